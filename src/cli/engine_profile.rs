//! The profile that an engine has: given another one, and told where a service replaced it.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::entry::ProfileText;
use crate::domain::plain::plain;
use crate::domain::session::Session;
use crate::store::engines::{self, Engine};
use crate::store::profile_error::ProfileError;
use crate::store::profiles;
use crate::store::words::{command, word};

/// Gives an engine a profile, from its next service on; says so in words, and where it has another
/// number of cylinders than the one before.
///
/// # Errors
/// There is no such profile, or the engine's file cannot be read or written.
pub fn give(workshop: &Workshop, id: &str, profile: &str) -> Result<String, Fail> {
    let known = profiles::remembered(profile, workshop.root())?;
    let mut old = String::new();
    let engine = engines::update(workshop.folder(), id, |engine| {
        old = std::mem::replace(&mut engine.profile, known.clone());
        Ok(())
    })?;
    // The same engine never has more or fewer: a slip, most likely, and put right by the same command.
    let cylinders = |profile: &str| {
        profiles::find(profile, workshop.root()).ok().map(|found| found.profile.cylinders())
    };
    let doubt = match (cylinders(&old), cylinders(&known)) {
        (Some(before), Some(now)) if before != now => {
            format!("; it has {now} cylinders, {} {before}: is it this engine's?", plain(&old))
        }
        _ => String::new(),
    };
    let (name, engine) = (plain(profile), plain(&engine.name));
    Ok(format!("{engine}: profile {name} from its next service on{doubt}"))
}

/// Says that a service is of so many cylinders, and its engine's profile of another number; `None` where
/// both have the same, or the engine's profile cannot be read.
pub fn of_other_cylinders(workshop: &Workshop, engine: &Engine, its: usize) -> Option<String> {
    let own = profiles::find(&engine.profile, workshop.root()).ok()?.profile.cylinders();
    (own != its).then(|| {
        let profile = plain(&engine.profile);
        format!("it has {its} cylinders, and the profile of the engine, {profile}, has {own}: is it this engine's?")
    })
}

/// Tells whether a profile is not found by its name: it was read from a path, or changed since.
pub fn is_by_path(workshop: &Workshop, profile: &ProfileText) -> bool {
    !profiles::find(&profile.name, workshop.root()).is_ok_and(|found| found.text == profile.text)
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
    let (name, old) = (plain(&engine.name), plain(&engine.profile));
    let which = match is_by_path(workshop, &session.state.profile) {
        false => word(used),
        true => "PATH, the path of that profile's file".to_string(),
    };
    let used = plain(used);
    Some(format!(
        "{name} still has the profile {old}; this service went on with {used}. To give it that: {}",
        command("engine profile", (&engine.name, &which), "")
    ))
}

/// Says that an engine's profile cannot be had; where it is gone, how the engine is given another.
pub fn not_found(engine: &Engine, error: ProfileError) -> Fail {
    let gone = matches!(&error, ProfileError::Unknown { .. });
    let fail = Fail::from(error);
    if !gone {
        return fail;
    }
    let give = command("engine profile", (&engine.name, "PROFILE"), "");
    let hint = format!(
        "put its file back into the folder `profiles`, or give the engine another: {give} (cowlside \
         profiles lists them)"
    );
    Fail::work(fail.words_alone(), hint)
}
