//! How the two kinds that carry a whole profile are spelled: `head` and `amend`.
//!
//! The profile stands in them as the text of its file with that text's hash, so that a session can
//! be read and compared in ten years whatever has become of the file.

use super::shared::{KindWire, nm};
use crate::domain::entry::{Amend, Amended, Head, ProfileText};
use crate::domain::profile::EngineProfile;
use crate::domain::units::Length;
use crate::domain::valve::Kind;
use crate::store::hash::hex_of_sha256;
use serde::{Deserialize, Serialize};

/// Makes a checked profile of its file's text, or says in words why not.
pub type ParseProfile<'a> = &'a dyn Fn(&str) -> Result<EngineProfile, String>;

/// What a session file says it is.
pub const FORMAT: &str = "cowlside-session";

/// The major version of the session file that this program writes and reads.
pub const VERSION: u32 = 1;

/// What must be looked at before anything else in a session is read.
#[derive(Deserialize)]
pub struct HeadStart {
    /// Must be [`FORMAT`].
    pub format: String,
    /// The major version.
    pub v: u32,
    /// What a reader must understand; this program knows of nothing beyond the version.
    #[serde(default)]
    pub need: Vec<String>,
}

impl HeadStart {
    /// Tells whether only a newer program may read the session.
    pub fn is_newer(&self) -> bool {
        self.v > VERSION || !self.need.is_empty()
    }
}

#[derive(Serialize, Deserialize)]
pub struct ProfileWire {
    name: String,
    text: String,
    sha256: String,
}

impl ProfileWire {
    fn of(profile: &ProfileText) -> ProfileWire {
        ProfileWire {
            name: profile.name.clone(),
            text: profile.text.clone(),
            sha256: hex_of_sha256(profile.text.as_bytes(), 32),
        }
    }

    fn profile(self, parse: ParseProfile) -> Result<ProfileText, String> {
        if hex_of_sha256(self.text.as_bytes(), 32) != self.sha256 {
            return Err("the profile's text does not fit its hash".to_owned());
        }
        let profile = parse(&self.text)?;
        Ok(ProfileText { profile, text: self.text, name: self.name })
    }
}

#[derive(Serialize, Deserialize)]
pub struct HeadWire {
    format: String,
    v: u32,
    need: Vec<String>,
    sid: String,
    program: String,
    profile: ProfileWire,
}

impl HeadWire {
    pub fn of(head: &Head) -> HeadWire {
        HeadWire {
            format: FORMAT.to_owned(),
            v: VERSION,
            need: Vec::new(),
            sid: head.session.clone(),
            program: head.program.clone(),
            profile: ProfileWire::of(&head.profile),
        }
    }

    pub fn head(self, parse: ParseProfile) -> Result<Head, String> {
        let profile = self.profile.profile(parse)?;
        Ok(Head { session: self.sid, program: self.program, profile })
    }
}

#[derive(Serialize, Deserialize)]
pub struct AmendWire {
    what: AmendedWire,
    source: String,
    why: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    asks_anew: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum AmendedWire {
    Figures {
        #[serde(with = "KindWire")]
        kind: Kind,
        #[serde(rename = "target_nm", with = "nm")]
        target: Length,
        #[serde(rename = "least_nm", with = "nm")]
        least: Length,
        #[serde(rename = "most_nm", with = "nm")]
        most: Length,
    },
    Profile(ProfileWire),
}

impl AmendWire {
    pub fn of(amend: &Amend) -> AmendWire {
        let what = match &amend.what {
            &Amended::Figures { kind, target, least, most } => {
                AmendedWire::Figures { kind, target, least, most }
            }
            Amended::Profile(profile) => AmendedWire::Profile(ProfileWire::of(profile)),
        };
        let (source, why) = (amend.source.clone(), amend.why.clone());
        AmendWire { what, source, why, asks_anew: amend.asks_anew }
    }

    pub fn amend(self, parse: ParseProfile) -> Result<Amend, String> {
        let AmendWire { what, source, why, asks_anew } = self;
        let what = match what {
            AmendedWire::Figures { kind, target, least, most } => {
                Amended::Figures { kind, target, least, most }
            }
            AmendedWire::Profile(wire) => Amended::Profile(Box::new(wire.profile(parse)?)),
        };
        Ok(Amend { what, source, why, asks_anew })
    }
}
