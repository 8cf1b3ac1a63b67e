//! What is on its way to the disk behind the screens: the entries of the session in hand, what is
//! remembered beside them, and what an effect is writing just now.

use crate::cli::keeping::{Minder, WONDERING, or_beside, waiting_for};
use crate::cli::notebook::Notebook;
use crate::store::journal::writer::PATIENCE;
use crate::tui::doing::Doing;
use crate::tui::keeping::{Keeping, Saving};
use crate::tui::screens::{Note, Tone};
use std::cell::Cell;
use std::io;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

#[derive(Default)]
struct Inside {
    minder: Option<Arc<Minder>>,
    doing: Option<Doing>,
    /// What could not be saved, until a key shows that it was read.
    failed: Option<String>,
    given_up: bool,
}

/// What looks after all that, whichever session is in hand.
pub(super) struct Current {
    inside: Mutex<Inside>,
    done: Condvar,
    notebook: Arc<Notebook>,
}

impl Current {
    pub(super) fn of(notebook: &Arc<Notebook>) -> Current {
        let notebook = Arc::clone(notebook);
        Current { inside: Mutex::default(), done: Condvar::new(), notebook }
    }

    pub(super) fn take(&self, minder: Option<Arc<Minder>>) {
        let before = std::mem::replace(&mut self.inside().minder, minder);
        // What came to light with the session before is still to be told.
        if let Some(note) = before.and_then(|before| before.told()) {
            self.notebook.tell(note);
        }
    }

    /// Notes what is being done from now on.
    pub(super) fn begin(&self, doing: Doing) {
        let mut inside = self.inside();
        (inside.doing, inside.failed) = (Some(doing), None);
    }

    /// Notes that it is done, or why it could not be.
    pub(super) fn end(&self, why_not: Option<&str>) {
        let mut inside = self.inside();
        let doing = inside.doing.take();
        inside.failed = doing.zip(why_not).and_then(|(doing, why)| doing.failed(why));
        drop(inside);
        self.done.notify_all();
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn minder(&self) -> Option<Arc<Minder>> {
        self.inside().minder.clone()
    }

    /// Waits until what is being written is done; returns what is not.
    fn await_done(&self, most: Duration) -> Option<Doing> {
        let since = Instant::now();
        let mut inside = self.inside();
        loop {
            let doing = inside.doing.filter(|doing| doing.not_known().is_some())?;
            let left = most.checked_sub(since.elapsed()).filter(|_| !inside.given_up);
            let Some(left) = left else { return Some(doing) };
            let waited = self.done.wait_timeout(inside, left);
            inside = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

impl Keeping for Current {
    fn saving(&self) -> Saving {
        let entries = self.minder().map_or(Saving::All, |minder| minder.saving());
        or_beside(entries, self.notebook.is_writing())
    }

    fn try_again(&self, counts: bool) {
        // A key that counts: what an effect came to stands on the screen.
        if counts {
            self.inside().failed = None;
        }
        if let Some(minder) = self.minder() {
            minder.try_again(counts);
        }
    }

    fn told(&self) -> Option<Note> {
        let late = self.minder().and_then(|minder| minder.told());
        let mut told = self.notebook.take_told();
        told.extend(late);
        let warns = told.iter().any(|note| note.tone == Tone::Warning);
        let texts: Vec<String> = told.into_iter().map(|note| note.text).collect();
        let text = (!texts.is_empty()).then(|| texts.join("; "))?;
        Some(if warns { Note::warning(text) } else { Note::done(text) })
    }

    fn alert(&self) -> Option<String> {
        self.minder()?.alert()
    }

    fn give_up(&self) {
        self.inside().given_up = true;
        self.done.notify_all();
        self.notebook.give_up();
        if let Some(minder) = self.minder() {
            minder.give_up();
        }
    }

    fn terminal_failed(&self, error: &io::Error) -> Vec<String> {
        let mut said = Vec::new();
        super::terminal_failed(error).print(&mut said);
        String::from_utf8_lossy(&said).lines().map(str::to_owned).collect()
    }

    fn last_words(&self, say: &mut dyn FnMut(String)) -> Vec<String> {
        let since = Instant::now();
        let said = Cell::new(false);
        let mut say = |words| {
            said.set(true);
            say(words);
        };
        let mut lines = match self.minder() {
            Some(minder) => minder.last_words(&mut say),
            None if self.notebook.wait(WONDERING) => self.notebook.take_warnings(),
            None => {
                Saving::Beside.being_saved().iter().for_each(|words| say(waiting_for(words)));
                let written = self.notebook.wait(PATIENCE);
                let told = self.notebook.take_warnings().into_iter();
                Saving::Beside.not_known().filter(|_| !written).into_iter().chain(told).collect()
            }
        };
        if let Some(doing) = self.await_done(WONDERING) {
            if !said.get() {
                say(waiting_for(&doing.words()));
            }
            let doing = self.await_done(PATIENCE.saturating_sub(since.elapsed()));
            lines.extend(doing.and_then(Doing::not_known));
        }
        // It came to its end under the question whether to leave, where nobody was told.
        lines.extend(self.inside().failed.take());
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn last_words(current: &Current) -> Vec<String> {
        current.last_words(&mut |_| {})
    }

    #[test]
    fn what_could_not_be_saved_is_told_at_the_end_unless_a_key_was_pressed_on_it() {
        let current = Current::of(&Arc::default());
        let saving = Doing::Saving("the new engine");
        current.begin(saving);
        current.end(Some("no space left on the disk"));
        let told = ["NOT SAVED: the new engine - no space left on the disk"];
        assert_eq!(last_words(&current), told);
        assert!(last_words(&current).is_empty(), "once");
        // Read on the screen.
        current.begin(saving);
        current.end(Some("no space left on the disk"));
        current.try_again(true);
        assert!(last_words(&current).is_empty());
        // Done, or nothing that could be lost.
        current.begin(saving);
        current.end(None);
        current.begin(Doing::Reading);
        current.end(Some("cannot be read"));
        assert!(last_words(&current).is_empty());
    }
}
