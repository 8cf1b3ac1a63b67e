//! What stands in the way of a service, said before anybody types or takes a cover off.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::plain::plain;
use crate::domain::plan;
use crate::store::StoreError;
use crate::store::engines::Engine;
use crate::store::profiles;
use crate::store::words::as_typed;
use std::collections::BTreeMap;
use std::path::Path;

impl Workshop {
    /// Looks whether a service of an engine can be begun.
    ///
    /// # Errors
    /// Its profile cannot be used or has no way round, or nothing can be written here.
    pub fn can_begin(&self, engine: &Engine) -> Result<(), Fail> {
        let profile = self.profile(engine)?;
        plan::plan(&profile.profile, &plan::PlanChoice::default())
            .map_err(|refusal| Fail::work(refusal.to_string(), refusal.hint()))?;
        let ready = self.folder().prepare();
        ready
            .and_then(|()| self.folder().may_write(&self.folder().sessions()))
            .map_err(|error| elsewhere(error, self.root()))
    }
}

/// Says beside what keeps anything from being written here how to work in another folder.
fn elsewhere(error: StoreError, root: &Path) -> Fail {
    if !matches!(error, StoreError::Io { .. }) {
        return error.into();
    }
    let here = as_typed(root);
    let hint = format!(
        "{}; or name another folder, which takes all of this over: COWLSIDE_HOME=FOLDER cowlside take {here}, \
         then COWLSIDE_HOME=FOLDER cowlside",
        error.hint()
    );
    Fail::work(error.to_string(), hint)
}

/// Says of each profile that an engine goes by and that cannot be used why: its next service could not
/// begin, and nothing tells when that is due. Built-in ones are sound.
pub fn profiles_unread(root: &Path, engines: &[Engine]) -> Vec<String> {
    let mut by_profile: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for engine in engines {
        by_profile.entry(&engine.profile).or_default().push(&engine.name);
    }
    let unread = by_profile.iter().filter_map(|(profile, engines)| {
        let fault = profiles::unusable(profile, root)?;
        let more = match engines.len().saturating_sub(1) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let first = engines.first().copied().unwrap_or_default();
        Some(plain(&format!("{first}{more}: its profile cannot be used: {fault}")))
    });
    unread.collect()
}
