//! The form of a profile opened from the screens: for a new engine, or for one that is here.

use super::engine_profile;
use super::fail::Fail;
use super::profile_form::{self, Wanted};
use super::workshop::Workshop;
use crate::domain::document::Node;
use crate::guide::start::{self, Kind};
use crate::store::engines::Engine;
use crate::store::profile_writer;
use crate::store::profiles::{self, Origin};
use crate::tui;
use crate::tui::job::Table;
use crate::tui::profile_desk::{Done, ProfileDesk};
use crate::tui::theme::{Colours, ThemeName};

/// A form on its way, and what is to be done once it is written.
#[derive(Clone, Debug, Default)]
pub struct Describing {
    /// The user's own profile as it was read, by name and text, where that is changed.
    own: Option<(String, String)>,
    /// The engine whose profile it is; `None` for a new engine.
    engine: Option<Engine>,
}

impl Describing {
    /// Opens the form: empty for a new engine, else on the engine's own profile, or on a copy of it
    /// where it came with the program.
    ///
    /// # Errors
    /// The profile cannot be found or read, or holds what the form has not.
    pub fn begin(
        workshop: &Workshop,
        engine: Option<&Engine>,
    ) -> Result<(ProfileDesk, Describing), Fail> {
        let wanted = match engine.map(|engine| engine.profile.clone()) {
            None => Wanted::New { name: None },
            Some(name) if profile_writer::own_file(workshop.folder(), &name).is_some() => {
                Wanted::Change { name }
            }
            Some(name) => Wanted::Copy { name, to: None },
        };
        let opened = profile_form::form(workshop, &wanted)?;
        // The screens give it their own looks.
        let looks = (ThemeName::default(), Colours::Off);
        let desk = ProfileDesk::new(opened.form, opened.title, opened.name, looks);
        Ok((desk, Describing { own: opened.own, engine: engine.cloned() }))
    }

    /// Writes what the form holds.
    pub fn write(
        &self,
        workshop: &Workshop,
        document: &Node,
        (name, replace): (&str, bool),
    ) -> Done {
        profile_form::write(workshop, document, name, replace, self.own.as_ref())
    }

    /// Gives an engine the profile that was written, from its next service on; says in words what
    /// became of it. `None` where it was for a new engine.
    ///
    /// # Errors
    /// The engine's file cannot be read or written.
    pub fn given_to_its_engine(
        &self,
        workshop: &Workshop,
        name: &str,
    ) -> Result<Option<String>, Fail> {
        let Some(engine) = &self.engine else { return Ok(None) };
        engine_profile::give(workshop, &engine.id, name).map(Some)
    }
}

/// Lists the kinds to choose from, and how they are shown.
pub fn kinds(workshop: &Workshop) -> (Vec<Kind>, Table) {
    let known = profiles::list(workshop.root()).known;
    let each = known.iter().map(|known| {
        let own = known.origin == Origin::Own;
        (known.profile.name.as_str(), &*known.profile.profile, own)
    });
    let kinds = start::kinds(each);
    let of = |name: &str| {
        let known = known.iter().find(|known| known.profile.name == name)?;
        Some(&known.profile.profile)
    };
    let table = tui::kinds::table(&kinds, of);
    (kinds, table)
}
