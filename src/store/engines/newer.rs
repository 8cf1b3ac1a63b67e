//! Engines whose files a newer program wrote: what they are still known to be called.

use super::{FILE_MAX, Listing};
use crate::store::StoreError;
use crate::store::folder::read_text;
use std::path::Path;

impl Listing {
    /// Names the engines in files that a newer program wrote, as far as they still tell a name so.
    pub fn names_in_newer(&self) -> Vec<(String, &Path)> {
        let name_in = |path: &Path| {
            let text = read_text(path, FILE_MAX).ok()?;
            let file: serde_json::Value = serde_json::from_str(&text).ok()?;
            Some(file.get("name")?.as_str()?.to_owned())
        };
        let newer = self.broken.iter().filter(|one| matches!(one, StoreError::Newer { .. }));
        newer.filter_map(StoreError::path).filter_map(|at| Some((name_in(at)?, at))).collect()
    }

    /// Refuses a name, whatever its case, that an engine in a file of a newer program has.
    pub fn taken_by_newer(&self, name: &str) -> Option<StoreError> {
        let name = name.to_lowercase();
        let mut names = self.names_in_newer().into_iter();
        let (name, path) = names.find(|(taken, _)| taken.to_lowercase() == name)?;
        Some(StoreError::TakenByNewer { name, path: path.to_owned() })
    }
}
