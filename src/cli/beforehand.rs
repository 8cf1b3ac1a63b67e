//! What stands in the way of a service, said before anybody types or takes a cover off.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::plain::plain;
use crate::domain::plan;
use crate::domain::session::Session;
use crate::store::StoreError;
use crate::store::engines::Engine;
use crate::store::profiles;
use crate::store::shown;
use crate::store::words::{as_typed, command};
use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

impl Workshop {
    /// Looks whether a service of an engine can be begun; says why its session has to be kept in another
    /// folder, where in this one nothing may be written.
    ///
    /// # Errors
    /// Its profile cannot be used or has no way round, or its session cannot be made here for another reason.
    pub fn can_begin(&self, engine: &Engine) -> Result<Option<Fail>, Fail> {
        let profile = self.profile(engine)?;
        plan::plan(&profile.profile, &plan::PlanChoice::default())
            .map_err(|refusal| Fail::work(refusal.to_string(), refusal.hint()))?;
        match self.ready() {
            Ok(()) => Ok(None),
            Err(error) if only_read(&error) => Ok(Some(elsewhere(error, self.root()))),
            Err(error) => Err(elsewhere(error, self.root())),
        }
    }

    /// Tells whether nothing may be written in the data folder.
    pub fn is_only_read(&self) -> bool {
        self.ready().is_err_and(|error| only_read(&error))
    }

    fn ready(&self) -> Result<(), StoreError> {
        self.folder().prepare().and_then(|()| self.folder().may_write(&self.folder().sessions()))
    }

    /// Looks whether the session of a service can be made: here, or in the folder that was `typed` because
    /// this one can only be read; returns that.
    ///
    /// # Errors
    /// It cannot; the words say what to do.
    pub fn place_for(&self, typed: Option<&str>) -> Result<Option<PathBuf>, Fail> {
        let Some(typed) = typed else {
            return self.ready().map(|()| None).map_err(|error| elsewhere(error, self.root()));
        };
        let folder = std::path::absolute(typed.trim()).unwrap_or_else(|_| typed.trim().into());
        let shown = shown(&folder);
        let refused = |words: String| Err(Fail::work(words, ""));
        match folder.metadata() {
            Ok(about) if about.is_dir() => {}
            Ok(_) => {
                return refused(format!("{shown} is a file: name the folder in which it lies"));
            }
            Err(_) => {
                return refused(format!("there is no folder {shown}; name one that is there"));
            }
        }
        let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
        if real(&folder).starts_with(real(self.root())) {
            let words = "lies in the folder that can only be read: name another";
            return refused(format!("{shown} {words}"));
        }
        self.folder().may_write(&folder).map_err(|error| not_there(&error))?;
        Ok(Some(folder))
    }
}

/// Says that a folder that was typed takes no session.
pub(super) fn not_there(error: &StoreError) -> Fail {
    Fail::work(format!("the session cannot be kept there: {error}"), "name another folder")
}

/// Tells whether nothing may be written at a place that can be read.
fn only_read(error: &StoreError) -> bool {
    let StoreError::Io { cause, .. } = error else { return false };
    matches!(cause.kind(), ErrorKind::ReadOnlyFilesystem | ErrorKind::PermissionDenied)
}

/// Says that a session is kept in another folder, and what is not kept beside its engine.
pub(super) fn kept_elsewhere(session: &Session, engine: &Engine, path: &Path) -> Vec<String> {
    let kept = format!(
        "this session is kept in {}, since the data folder can only be read; later: cowlside take {}",
        shown(path),
        as_typed(path)
    );
    let begin = &session.state.begin;
    let replaced = if begin.hours_why.is_some() { "--counter-replaced" } else { "" };
    let told = begin.hours.filter(|hours| *hours != engine.counter() || begin.hours_why.is_some());
    let hours = told.map(|hours| {
        let typed = command("engine hours", (&engine.name, &hours.to_string()), replaced);
        format!("its {hours} h are not kept beside the engine; later: {typed}")
    });
    std::iter::once(kept).chain(hours).collect()
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
