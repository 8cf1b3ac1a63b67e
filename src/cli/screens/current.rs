//! What is on its way to the disk behind the screens: the entries of the session in hand, what is
//! remembered beside them, and what an effect is writing just now.

use crate::cli::keeping::{Minder, WONDERING, or_beside, waiting_for};
use crate::cli::notebook::Notebook;
use crate::store::journal::writer::PATIENCE;
use crate::tui::doing::Doing;
use crate::tui::keeping::{Keeping, Saving};
use crate::tui::screens::{Note, Tone};
use std::cell::Cell;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

#[derive(Default)]
struct Inside {
    minder: Option<Arc<Minder>>,
    doing: Option<Doing>,
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
        self.inside().minder = minder;
    }

    /// Notes what is being done from now on.
    pub(super) fn doing(&self, doing: Option<Doing>) {
        self.inside().doing = doing;
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

    fn try_again(&self) {
        if let Some(minder) = self.minder() {
            minder.try_again();
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

    fn give_up(&self) {
        self.inside().given_up = true;
        self.done.notify_all();
        self.notebook.give_up();
        if let Some(minder) = self.minder() {
            minder.give_up();
        }
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
            None if self.notebook.wait(WONDERING) => Vec::new(),
            None => {
                Saving::Beside.being_saved().iter().for_each(|words| say(waiting_for(words)));
                let written = self.notebook.wait(PATIENCE);
                Saving::Beside.not_known().filter(|_| !written).into_iter().collect()
            }
        };
        if let Some(doing) = self.await_done(WONDERING) {
            if !said.get() {
                say(waiting_for(&doing.words()));
            }
            let doing = self.await_done(PATIENCE.saturating_sub(since.elapsed()));
            lines.extend(doing.and_then(Doing::not_known));
        }
        lines
    }
}
