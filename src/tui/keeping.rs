//! How far the disk is behind what the screens show, and what looks after it.
//!
//! What is handed to the journal stands on the screen at once, as being saved; it is never called
//! saved before the disk has it. Files are the business of whoever stands behind [`Keeping`].

use super::screens::Note;
use std::io;

/// How much of what was handed over is on the disk.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Saving {
    /// All of it.
    #[default]
    All,
    /// So many entries are being written.
    Busy(usize),
    /// All entries are on the disk; what is remembered beside them is being written.
    Beside,
    /// So many entries could not be written.
    Not {
        /// How many; none where only the file is not in its place any more.
        entries: usize,
        /// What is the matter, and where.
        why: String,
    },
}

impl Saving {
    /// Returns the line that stands on every screen while something could not be saved.
    pub fn alert(&self) -> Option<String> {
        match self {
            Saving::All | Saving::Busy(_) | Saving::Beside => None,
            Saving::Not { entries: 0, why } => Some(format!("NOT IN ITS PLACE: {why}")),
            Saving::Not { entries: 1, why } => Some(format!("NOT SAVED: 1 entry - {why}")),
            Saving::Not { entries, why } => Some(format!("NOT SAVED: {entries} entries - {why}")),
        }
    }

    /// Says that the end of a wait has come and what is not on the disk by then, where anything is not.
    pub fn not_known(&self) -> Option<String> {
        let entries = match self {
            Saving::All => return None,
            Saving::Not { .. } => return self.alert(),
            Saving::Beside => REMEMBERED.to_owned(),
            Saving::Busy(1) => "1 entry".to_owned(),
            Saving::Busy(count) => format!("{count} entries"),
        };
        Some(format!("NOT KNOWN TO BE SAVED: {entries} - the disk does not answer"))
    }

    /// Says what is still on its way to the disk.
    pub fn being_saved(&self) -> Option<String> {
        match self {
            Saving::All | Saving::Not { .. } => None,
            Saving::Beside => Some(format!("saving... {REMEMBERED}")),
            Saving::Busy(1) => Some("saving... 1 entry".to_owned()),
            Saving::Busy(count) => Some(format!("saving... {count} entries")),
        }
    }

    /// Says why nothing is saved in another folder, where nothing is known to be amiss.
    pub fn no_way_out(&self) -> &'static str {
        match self {
            Saving::All | Saving::Not { .. } => ALL_SAVED,
            Saving::Busy(_) => "it is still being saved, and the disk has not answered yet",
            Saving::Beside => {
                "all entries are saved where they are; what is remembered for next time is still \
                 being written"
            }
        }
    }

    /// Says of a note that something was saved, or is remembered, only what is true of it by now.
    pub fn said_of(&self, note: &str) -> String {
        match (self, note.strip_prefix(SAVED)) {
            (Saving::Beside, None) => format!("saving... {note}"),
            // Where only the file is not in its place any more, it was saved there all the same.
            (Saving::All | Saving::Beside | Saving::Not { entries: 0, .. }, _) | (_, None) => {
                note.to_owned()
            }
            (Saving::Busy(_), Some(what)) => format!("saving... {what}"),
            (Saving::Not { .. }, Some(what)) => format!("NOT SAVED yet: {what}"),
        }
    }
}

const ALL_SAVED: &str = "everything is saved where it is";

/// What a note begins with that something was saved.
pub(super) const SAVED: &str = "saved: ";

/// What is written beside the entries: settings, and what the engine's next service is asked.
const REMEMBERED: &str = "what is remembered for next time";

/// What looks after the entries on their way to the disk.
pub trait Keeping: Send + Sync {
    /// Tells how far the disk is; when that changes afterwards, [`super::wake`] is called.
    fn saving(&self) -> Saving;

    /// Somebody is there: what could not be saved is tried again. Whether the key counted tells whether
    /// what stood over the screen was seen.
    fn try_again(&self, counts: bool);

    /// Takes what came to light since it was asked last, beside any key.
    fn told(&self) -> Option<Note> {
        None
    }

    /// Says what stands over every screen until the next key that counts, beside what is not saved.
    fn alert(&self) -> Option<String> {
        None
    }

    /// Nobody waits any longer: whoever waits for the disk says now what is not on it.
    fn give_up(&self) {}

    /// Says that the terminal failed, in lines.
    fn terminal_failed(&self, error: &io::Error) -> Vec<String> {
        vec![format!("error: the terminal: {error}")]
    }

    /// Waits, with an end, until all is saved, and says so where that takes long enough to wonder;
    /// returns what is not, in words, a line each.
    fn last_words(&self, say: &mut dyn FnMut(String)) -> Vec<String>;
}

/// Nothing is on its way.
pub struct NothingToKeep;

impl Keeping for NothingToKeep {
    fn saving(&self) -> Saving {
        Saving::All
    }

    fn try_again(&self, _: bool) {}

    fn last_words(&self, _: &mut dyn FnMut(String)) -> Vec<String> {
        Vec::new()
    }
}
