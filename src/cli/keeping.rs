//! The entries of the session in hand on their way to the disk, in words that can be written down.

use crate::domain::entry::{Entry, Kept};
use crate::domain::plain::plain;
use crate::domain::session::Session;
use crate::guide::status;
use crate::store::journal::{Progress, Watch, writer};
use crate::tui::keeping::{Keeping, Saving};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// How long a key waits for the disk before the screen says `saving...`: less than is felt.
pub const AT_ONCE: Duration = Duration::from_millis(20);

/// How long the end waits before it says what for.
const WONDERING: Duration = Duration::from_millis(700);

/// What looks after the session in hand.
#[derive(Default)]
pub struct Minder(Mutex<Inside>);

#[derive(Default)]
struct Inside {
    watch: Option<Watch>,
    /// What each entry says, by its place.
    words: VecDeque<(u64, String)>,
}

impl Minder {
    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn watch(&self) -> Option<Watch> {
        self.inside().watch.clone()
    }

    /// Looks after a session from now on.
    pub fn take(&self, watch: Watch) {
        *self.inside() = Inside { watch: Some(watch), words: VecDeque::new() };
    }

    /// Remembers in words what was handed over.
    pub fn heard(&self, session: &Session, kept: &[Kept]) {
        let mut inside = self.inside();
        for one in kept {
            let words = status::entry_words(session, &one.entry);
            let words = words.unwrap_or_else(|| unspoken(&one.entry).to_owned());
            inside.words.push_back((one.seq, words));
        }
    }

    /// Waits until what was handed over was tried, `most` at the longest.
    pub fn wait(&self, most: Duration) -> Saving {
        self.watch().map_or(Saving::All, |watch| saving(watch.wait(most)))
    }

    /// Writes the whole session into a new file in another folder and goes on there.
    ///
    /// # Errors
    /// Says why it cannot be written there.
    pub fn elsewhere(&self, folder: &Path) -> Result<PathBuf, String> {
        let watch = self.watch().ok_or("no session is open")?;
        watch.elsewhere(folder).map_err(|trouble| trouble.words)
    }
}

impl Keeping for Minder {
    fn saving(&self) -> Saving {
        self.watch().map_or(Saving::All, |watch| saving(watch.look()))
    }

    fn try_again(&self) {
        if let Some(watch) = self.watch() {
            watch.try_again();
        }
    }

    fn last_words(&self, say: &mut dyn FnMut(String)) -> Vec<String> {
        let Some(watch) = self.watch() else { return Vec::new() };
        watch.try_again();
        if let Some(words) = saving(watch.wait(WONDERING)).being_saved() {
            let most = writer::PATIENCE.as_secs();
            say(format!("{words}: waiting for the disk, {most} s at most"));
        }
        let saving = saving(watch.wait(writer::PATIENCE));
        let unsaved: Vec<u64> = watch.unsaved().iter().map(|kept| kept.seq).collect();
        if unsaved.is_empty() {
            return Vec::new();
        }
        let unknown = || Saving::Busy(unsaved.len()).not_known();
        let mut lines: Vec<String> =
            saving.not_known().or_else(unknown).iter().map(|alert| plain(alert)).collect();
        lines.push("Write these down:".to_owned());
        let inside = self.inside();
        let words = inside.words.iter().filter(|(seq, _)| unsaved.contains(seq));
        lines.extend(words.map(|(_, words)| format!("  {}", plain(words))));
        lines
    }
}

fn saving(progress: Progress) -> Saving {
    match (progress.unsaved, progress.trouble) {
        (0, _) => Saving::All,
        (entries, None) => Saving::Busy(entries),
        (entries, Some(trouble)) => Saving::Not { entries, why: trouble.words },
    }
}

/// Entries that say nothing while the work goes on.
fn unspoken(entry: &Entry) -> &'static str {
    match entry {
        Entry::Away(_) => "called away",
        Entry::Back(_) => "back again",
        Entry::Seal(_) => "the session closed",
        Entry::Recover(_) => "a broken end set aside",
        _ => "an answer",
    }
}
