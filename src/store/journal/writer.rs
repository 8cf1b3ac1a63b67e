//! A thread that brings lines to the disk while the mechanic goes on.
//!
//! What is handed over is never dropped: it waits until it is on the disk, and is known word for
//! word meanwhile. The thread sleeps until it is handed something; only while something could not be
//! saved does it also wake by itself, to try again.

use super::keeper::Keeper;
use super::ledger::{Ledger, Made};
use super::trouble::{Moved, Trouble};
use super::{Journal, StoreError};
use crate::domain::entry::{Entry, Kept, Moment};
use crate::store::folder::Lock;
use std::collections::VecDeque;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// How long after a failed try the next one is made.
pub const RETRY: Duration = Duration::from_secs(5);

/// Longest that the end of a session waits for a disk.
pub const PATIENCE: Duration = Duration::from_secs(10);

const SILENT: &str = "its disk does not answer; it is still tried, and told when it is done";

enum Order {
    Save(Vec<Made>),
    Look,
    Elsewhere(PathBuf, Sender<Result<PathBuf, Trouble>>),
    End,
}

/// How far the disk is behind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Entries that were handed over and are not on the disk.
    pub unsaved: usize,
    /// Why not, where the last try failed.
    pub trouble: Option<Trouble>,
}

#[derive(Default)]
struct State {
    unsaved: VecDeque<Kept>,
    /// Those that were on the disk once, of earlier runs, too: their file may be removed.
    saved: Vec<Kept>,
    /// Entries that are not on the disk and were never handed over here.
    more_unsaved: usize,
    trouble: Option<Trouble>,
    /// Looks at the file that were asked for, and those that were done.
    looks: (u64, u64),
    /// Entries handed over, and those among them that were tried at least once.
    handed: u64,
    tried: u64,
    path: PathBuf,
    /// What was looked at last: a change of it is worth waking somebody for.
    looked_at: Progress,
    ended: bool,
    /// The longest wait has ended before the disk answered, and it has not answered since.
    silent: bool,
    /// Nobody waits any longer.
    given_up: bool,
    /// What saving elsewhere came to, where nobody waited for it any more.
    late: Option<Result<PathBuf, Trouble>>,
    /// Where the session goes on since its file was given up, until it was told.
    moved: Option<Moved>,
}

#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

impl Shared {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A journal whose lines a thread of its own brings to the disk; dropped, it waits, with an end.
pub struct Writer {
    ledger: Ledger,
    watch: Watch,
    warning: Option<String>,
}

/// Looks at a writer from anywhere.
#[derive(Clone)]
pub struct Watch {
    shared: Arc<Shared>,
    orders: Sender<Order>,
}

impl Writer {
    /// Starts the thread; `wake` is called when what was looked at last has changed. What is on the
    /// disk already is given as `read`: its file may be removed, and then memory has the last copy.
    ///
    /// # Errors
    /// The system has no thread.
    pub fn start(
        journal: Journal,
        read: &[Kept],
        wake: impl Fn() + Send + 'static,
    ) -> io::Result<Writer> {
        let warning = journal.warning().map(str::to_owned);
        let Journal { ledger, mut keeper, lock } = journal;
        let shared = Arc::new(Shared::default());
        let mut state = shared.state();
        (state.path, state.moved) = (keeper.path().to_owned(), keeper.take_moved());
        // What sets a broken end aside may wait for room.
        let waits = keeper.unsaved().min(read.len());
        let (saved, unsaved) = read.split_at(read.len() - waits);
        (state.saved, state.unsaved) = (saved.to_vec(), unsaved.iter().cloned().collect());
        state.more_unsaved = keeper.unsaved() - waits;
        state.trouble = keeper.trouble().cloned();
        drop(state);
        let (orders, received) = channel();
        let thread = Thread { keeper, lock, shared: Arc::clone(&shared), wake: Box::new(wake) };
        thread::Builder::new().name("journal".into()).spawn(move || thread.run(&received))?;
        Ok(Writer { ledger, watch: Watch { shared, orders }, warning })
    }

    /// Hands entries over, all or none, and returns them with their places.
    ///
    /// # Errors
    /// The session has ended, is full, or an entry would not read back; nothing was handed over.
    pub fn hand(
        &mut self,
        entries: &[Entry],
        at: Moment,
        run_ms: u64,
    ) -> Result<Vec<Kept>, StoreError> {
        let (kept, made): (Vec<Kept>, Vec<Made>) =
            self.ledger.take(entries, at, run_ms)?.into_iter().unzip();
        let mut state = self.watch.shared.state();
        state.unsaved.extend(kept.iter().cloned());
        state.handed += u64::try_from(kept.len()).unwrap_or(0);
        drop(state);
        // Where the thread is gone the entries stay unsaved, and are told so.
        let _ = self.watch.orders.send(Order::Save(made));
        Ok(kept)
    }

    /// Returns what looks at this writer.
    pub fn watch(&self) -> &Watch {
        &self.watch
    }

    /// Returns the hash of the last line.
    pub fn last_hash(&self) -> &str {
        self.ledger.last_hash()
    }

    /// Says once what the mechanic should know though the work goes on: there is no lock here.
    pub fn warning(&self) -> Option<&str> {
        self.warning.as_deref()
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        let _ = self.watch.orders.send(Order::End);
        // Whoever has waited for this disk in vain does not wait once more.
        let done = |state: &State| state.ended || state.silent || state.given_up;
        self.watch.wait_until(PATIENCE, done);
    }
}

impl Watch {
    /// Looks how far the disk is behind; a later change of that wakes.
    pub fn look(&self) -> Progress {
        let mut state = self.shared.state();
        state.looked_at = state.progress();
        state.looked_at.clone()
    }

    /// Waits until everything handed over was tried once, `most` at the longest.
    pub fn wait(&self, most: Duration) -> Progress {
        let answered = self.wait_until(most, |state| state.tried >= state.handed || state.ended);
        let mut state = self.shared.state();
        state.silent = !answered && most >= PATIENCE && state.tried < state.handed;
        state.progress()
    }

    /// Waits until all of it is on the disk, `most` at the longest, and tells whether it is; `None`
    /// where it will never be.
    pub fn await_all(&self, most: Duration) -> Option<bool> {
        self.wait_until(most, |state| state.unsaved() == 0 || state.ended);
        let state = self.shared.state();
        let done = state.unsaved() == 0;
        (done || !state.ended && !state.given_up).then_some(done)
    }

    /// Nobody waits any longer.
    pub fn give_up(&self) {
        self.shared.state().given_up = true;
        self.shared.changed.notify_all();
    }

    /// Takes what saving elsewhere came to after nobody waited for it any more.
    pub fn late(&self) -> Option<Result<PathBuf, Trouble>> {
        self.shared.state().late.take()
    }

    /// Takes the file in which the session goes on since the one before was given up: it is told once.
    pub fn moved(&self) -> Option<Moved> {
        self.shared.state().moved.take()
    }

    /// Asks for a look whether the file is still there, and for one more try to save what waits.
    pub fn try_again(&self) {
        let mut state = self.shared.state();
        // One look is enough for many keys behind a slow disk.
        if state.looks.0 == state.looks.1 {
            state.looks.0 += 1;
            let _ = self.orders.send(Order::Look);
        }
    }

    /// Waits until the look that was asked for is done, `most` at the longest.
    pub fn await_look(&self, most: Duration) {
        self.wait_until(most, |state| state.looks.0 == state.looks.1 || state.ended);
    }

    /// Writes the whole session into a new file in another folder, and goes on there.
    ///
    /// # Errors
    /// It cannot be written there, and nothing has changed; or its disk does not answer: then it is
    /// still tried, and [`Watch::late`] tells what comes of it.
    pub fn elsewhere(&self, folder: &Path) -> Result<PathBuf, Trouble> {
        let (answer, answered) = channel();
        let _ = self.orders.send(Order::Elsewhere(folder.to_owned(), answer));
        let silent = || Trouble { words: SILENT.to_owned() };
        answered.recv_timeout(PATIENCE).unwrap_or_else(|_| Err(silent()))
    }

    /// Returns the entries that are not on the disk.
    pub fn unsaved(&self) -> Vec<Kept> {
        self.shared.state().unsaved.iter().cloned().collect()
    }

    /// Returns where the session lies now.
    pub fn path(&self) -> PathBuf {
        self.shared.state().path.clone()
    }

    /// Waits until it is done, and tells whether it is.
    fn wait_until(&self, most: Duration, done: impl Fn(&State) -> bool) -> bool {
        let since = Instant::now();
        let mut state = self.shared.state();
        while !done(&state) {
            if state.given_up {
                return false;
            }
            let Some(left) = most.checked_sub(since.elapsed()) else { return false };
            let waited = self.shared.changed.wait_timeout(state, left);
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
        true
    }
}

impl State {
    fn unsaved(&self) -> usize {
        self.unsaved.len() + self.more_unsaved
    }

    fn progress(&self) -> Progress {
        Progress { unsaved: self.unsaved(), trouble: self.trouble.clone() }
    }
}

struct Thread {
    keeper: Keeper,
    lock: Option<Lock>,
    shared: Arc<Shared>,
    wake: Box<dyn Fn() + Send>,
}

impl Thread {
    fn run(mut self, orders: &Receiver<Order>) {
        loop {
            let order = if self.keeper.unsaved() == 0 && !self.keeper.is_away() {
                orders.recv().map_err(|_| RecvTimeoutError::Disconnected)
            } else {
                orders.recv_timeout(RETRY)
            };
            match order {
                Ok(Order::Save(made)) => {
                    made.iter().for_each(|made| self.keeper.push(made));
                    self.save(u64::try_from(made.len()).unwrap_or(0));
                }
                Err(RecvTimeoutError::Timeout) => {
                    // A folder that was moved back is in its place again before anybody touches a key.
                    self.keeper.look();
                    self.save(0);
                }
                Ok(Order::Look) => {
                    self.keeper.look();
                    self.save(0);
                    self.shared.state().looks.1 += 1;
                    self.shared.changed.notify_all();
                }
                Ok(Order::Elsewhere(folder, answer)) => {
                    let done = self.keeper.elsewhere(&folder);
                    self.tell(0);
                    if let Err(unheard) = answer.send(done) {
                        self.shared.state().late = Some(unheard.0);
                        (self.wake)();
                    }
                }
                Ok(Order::End) | Err(RecvTimeoutError::Disconnected) => break,
            }
        }
        drop(self.lock.take());
        self.shared.state().ended = true;
        self.shared.changed.notify_all();
    }

    /// Saves what waits, one line after the other; `tried` lines of it are new.
    fn save(&mut self, tried: u64) {
        while self.keeper.unsaved() > 0 && self.keeper.save_next().is_ok() {}
        self.tell(tried);
    }

    fn tell(&mut self, tried: u64) {
        let moved = self.keeper.take_moved();
        let mut state = self.shared.state();
        state.tried += tried;
        state.silent = false;
        let behind = usize::try_from(state.handed - state.tried).unwrap_or(usize::MAX);
        let unsaved = self.keeper.unsaved() + behind;
        while state.unsaved.len() > unsaved
            && let Some(saved) = state.unsaved.pop_front()
        {
            state.saved.push(saved);
        }
        while state.unsaved.len() < unsaved
            && let Some(lost) = state.saved.pop()
        {
            state.unsaved.push_front(lost);
        }
        state.more_unsaved = unsaved.saturating_sub(state.unsaved.len());
        state.trouble = self.keeper.trouble().cloned();
        state.path = self.keeper.path().to_owned();
        let changed = moved.is_some() || state.progress() != state.looked_at;
        state.moved = moved.or(state.moved.take());
        drop(state);
        self.shared.changed.notify_all();
        if changed {
            (self.wake)();
        }
    }
}
