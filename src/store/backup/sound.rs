//! Whether a file of a backup is one that the program can use: it is copied as it is, and told.

use super::Kind;
use super::read::Item;
use crate::store::profile_error::ProfileError;
use crate::store::profile_file::parse_profile_bytes;
use crate::store::profiles::BUILT_IN;
use crate::store::words::word;
use crate::store::{StoreError, engines, sessions, settings, shown};
use std::path::Path;

/// Says what is the matter with a file of a backup that is to lie at a path, as `verify` would.
pub(super) fn fault(kind: Kind, bytes: &[u8], path: &Path) -> Option<String> {
    let text = || String::from_utf8_lossy(bytes).into_owned();
    match kind {
        Kind::Engine => match engines::parse(&text(), path) {
            Ok(engine) => engine.flaw(),
            Err(error) => Some(error.to_string()),
        },
        Kind::Session => match sessions::glance_at(path, bytes) {
            Ok(glance) => (!glance.verdict.may_append()).then(|| glance.verdict.to_string()),
            Err(StoreError::ReadOnly { verdict, .. }) => Some(verdict.to_string()),
            Err(error) => Some(error.to_string()),
        },
        Kind::Settings => settings::parse(&text(), path).err().map(|error| error.to_string()),
        // Nobody reads it as anything.
        Kind::SetAside => None,
        Kind::Profile => {
            let read = parse_profile_bytes(bytes.to_owned(), &shown(path));
            read.err().map(|error| error.to_string())
        }
    }
}

/// Tells whether the bytes of a small file are damaged: no version of the program can use them.
pub(super) fn is_damaged(kind: Kind, bytes: &[u8], path: &Path) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return true };
    let is_newer = |error: &StoreError| matches!(error, StoreError::Newer { .. });
    match kind {
        Kind::Engine => engines::parse(text, path).is_err_and(|error| !is_newer(&error)),
        Kind::Settings => settings::parse(text, path).is_err_and(|error| !is_newer(&error)),
        Kind::Profile => parse_profile_bytes(bytes.to_owned(), &shown(path))
            .is_err_and(|error| !matches!(error, ProfileError::Newer { .. })),
        Kind::Session | Kind::SetAside => false,
    }
}

/// Says of a profile of a backup that it stands before a built-in one of another content from then on.
pub(super) fn hides_built_in(item: &Item, name: &str) -> Option<String> {
    let (_, text) = BUILT_IN.iter().find(|(built_in, _)| *built_in == name)?;
    (item.kind == Kind::Profile && item.bytes != text.as_bytes()).then(|| {
        format!(
            "profile {name} takes the place of the built-in one of that name, for every engine that has it: \
             cowlside profiles show {}",
            word(name)
        )
    })
}
