//! The profile that an engine has: given another one, and told where a service replaced it.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::plain::plain;
use crate::domain::session::Session;
use crate::store::engines::{self, Engine};
use crate::store::profiles;

/// Gives an engine a profile, from its next service on; says so in words.
///
/// # Errors
/// There is no such profile, or the engine's file cannot be read or written.
pub fn give(workshop: &Workshop, id: &str, profile: &str) -> Result<String, Fail> {
    let known = profiles::remembered(profile, workshop.root())?;
    let engine = engines::update(workshop.folder(), id, |engine| {
        engine.profile.clone_from(&known);
        Ok(())
    })?;
    let (name, engine) = (plain(profile), plain(&engine.name));
    Ok(format!("{engine}: profile {name} from its next service on"))
}

/// Says that a service replaced the profile and its engine still has the old one; `None` where it did
/// not, or has not.
pub fn still_old(workshop: &Workshop, engine: &Engine, session: &Session) -> Option<String> {
    let (first, used) = (&session.head.profile.name, &session.state.profile.name);
    // As it stands on disk now: it may have been given since.
    let engine = workshop.engine(&engine.id).ok()?;
    if first == used || engine.profile == *used {
        return None;
    }
    let (name, old, used) = (plain(&engine.name), plain(&engine.profile), plain(used));
    Some(format!(
        "{name} still has the profile {old}; this service went on with {used}. To give it that: \
         cowlside engine profile \"{name}\" \"{used}\""
    ))
}
