//! A profile's text: from JSON to a checked profile, or to the one thing that is wrong with it.
//!
//! First the text as a whole (length, JSON, no hidden character, nothing twice), then its format,
//! then field by field (`profile_facts`), then all together (the domain).

use super::profile_error::{Place, ProfileError};
use super::profile_facts::facts;
use super::profile_fields::{Field, Taken};
use super::profile_json::{Json, locate, read};
use crate::domain::profile::{EngineProfile, ProfileFault};
use crate::domain::units::plain_number;

/// Most bytes of a profile.
pub const PROFILE_BYTES_MAX: usize = 64 * 1024;

/// The format that this program knows.
const FORMAT: f64 = 1.0;

/// Reads a profile; `shown_path` is what messages call it.
///
/// # Errors
/// [`ProfileError`] names the place, what was found and what must stand there.
pub fn parse_profile(text: &str, shown_path: &str) -> Result<EngineProfile, ProfileError> {
    parse(text, shown_path, true)
}

/// Reads the profile that a session keeps: versions before this one took any number of marks on a letter.
///
/// # Errors
/// As [`parse_profile`], but for letters made of many signs.
pub fn parse_kept(text: &str, shown_path: &str) -> Result<EngineProfile, ProfileError> {
    parse(text, shown_path, false)
}

fn parse(text: &str, shown_path: &str, no_piles: bool) -> Result<EngineProfile, ProfileError> {
    let path = || shown_path.to_string();
    if text.len() > PROFILE_BYTES_MAX {
        return Err(ProfileError::TooLong { path: path() });
    }
    if text.starts_with('\u{feff}') {
        return Err(ProfileError::NotJson {
            path: path(),
            place: Place { line: 1, column: 1 },
            found: "it begins with a byte-order mark".to_string(),
            hint: "Save the file as UTF-8 without byte-order mark (BOM).".to_string(),
        });
    }
    let json = read(text).map_err(|syntax| ProfileError::NotJson {
        path: path(),
        place: syntax.place,
        found: syntax.found,
        hint: syntax.hint,
    })?;
    let wrong = |fault: ProfileFault| ProfileError::Wrong {
        path: path(),
        place: locate(text, &fault.field),
        fault,
    };
    json.check_members("", no_piles).map_err(wrong)?;
    // Before anything else is looked at: a later format may have fields that are unknown here.
    let format = format(&json).map_err(wrong)?;
    if format > FORMAT {
        let format = plain_number(format);
        return Err(ProfileError::Newer { path: path(), format });
    }
    facts(&Field::root(&json)).and_then(EngineProfile::new).map_err(wrong)
}

fn format(json: &Json) -> Taken<f64> {
    let must = "be 1, the format that this program knows";
    let field = Field::root(json).any_object()?.required("format", must)?;
    field.whole_from(1.0).or_else(|_| field.wrong(must))
}

/// Reads a profile from the bytes of a file, and returns its text too.
///
/// # Errors
/// As [`parse_profile`]; also where the bytes are no UTF-8 text.
pub fn parse_profile_bytes(
    bytes: Vec<u8>,
    shown_path: &str,
) -> Result<(EngineProfile, String), ProfileError> {
    if bytes.len() > PROFILE_BYTES_MAX {
        return Err(ProfileError::TooLong { path: shown_path.to_string() });
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = good.iter().filter(|byte| **byte == b'\n').count() + 1;
        ProfileError::NotText { path: shown_path.to_string(), line }
    })?;
    parse_profile(&text, shown_path).map(|profile| (profile, text))
}
