//! A shop where no engine's file can be read: it is not told that it has no engine.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::store::StoreError;
use crate::store::engines;

const DAMAGED: &str = "bring the file back with cowlside restore BACKUP --replace engines, or add the engine \
                       anew under its name: its sessions are found again";

/// Says what to do about files of engines that cannot be read.
pub fn to_do(broken: &[StoreError]) -> String {
    let mut hints: Vec<String> = Vec::new();
    for one in broken {
        let hint = match one {
            StoreError::DamagedFile { .. } => DAMAGED.to_owned(),
            other => other.hint(),
        };
        if !hints.contains(&hint) {
            hints.push(hint);
        }
    }
    hints.join("; ")
}

/// What is said of a shop without an engine that can be read: which files cannot be, and what to do.
pub struct Unread {
    /// The files and what is the matter with them.
    pub files: String,
    /// What to do.
    pub to_do: String,
}

/// Looks why no engine can be listed; `None` where there is none.
pub fn engines_unread(workshop: &Workshop) -> Result<Option<Unread>, Fail> {
    let broken = engines::list(workshop.folder())?.broken;
    let files: Vec<String> = broken.iter().map(ToString::to_string).collect();
    let unread = Unread { files: files.join("; "), to_do: to_do(&broken) };
    Ok((!broken.is_empty()).then_some(unread))
}
