//! What is remembered beside the entries of a session: settings, leaves of one's own, what the engine's
//! next service is asked. A thread of its own writes it, one thing after the other, so that neither
//! the screens nor the entries wait for it; it is called saved only once it is.

use crate::domain::plain::plain;
use crate::tui::screens::{Note, Tone};
use crate::tui::{self, terminal};
use std::fmt;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::Builder;
use std::time::{Duration, Instant};

/// Writes something, and returns what the user should know of that.
type Task = Box<dyn FnOnce() -> Option<String> + Send>;

#[derive(Default)]
struct State {
    waiting: usize,
    told: Vec<Note>,
    /// Somebody has seen that something is being written, and is to be told when it is.
    looked: bool,
    given_up: bool,
}

#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

/// What is to be remembered, on its way to the disk; its thread is started with the first of it.
#[derive(Default)]
pub struct Notebook {
    shared: Arc<Shared>,
    tasks: Mutex<Option<Sender<Task>>>,
}

impl fmt::Debug for Notebook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to write", self.shared.state().waiting)
    }
}

impl Shared {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn write(&self, task: Task) {
        // Whatever becomes of it, nobody waits for it any longer.
        let told = terminal::caught(task).unwrap_or_else(|fault| {
            Some(format!("not remembered: a fault of the program itself: {}", plain(&fault)))
        });
        let mut state = self.state();
        state.waiting -= 1;
        state.told.extend(told.map(Note::warning));
        let wakes = state.looked && state.waiting == 0 || !state.told.is_empty();
        state.looked &= state.waiting > 0;
        drop(state);
        self.changed.notify_all();
        if wakes {
            tui::wake();
        }
    }
}

impl Notebook {
    /// Writes it after everything before. What it returns is told when it is done.
    pub fn put(&self, task: impl FnOnce() -> Option<String> + Send + 'static) {
        self.shared.state().waiting += 1;
        let mut tasks = self.tasks.lock().unwrap_or_else(PoisonError::into_inner);
        if tasks.is_none() {
            let (sender, received) = channel::<Task>();
            let shared = Arc::clone(&self.shared);
            let work = move || received.into_iter().for_each(|task| shared.write(task));
            *tasks = Builder::new().name("notebook".into()).spawn(work).ok().map(|_| sender);
        }
        // Where the system has no thread it is written on the spot.
        let sent = match tasks.as_ref() {
            Some(tasks) => tasks.send(Box::new(task)).map_err(|unsent| unsent.0),
            None => Err(Box::new(task) as Task),
        };
        if let Err(task) = sent {
            self.shared.write(task);
        }
    }

    /// Tells beside any key; a screen shows it at once.
    pub fn tell(&self, note: Note) {
        self.shared.state().told.push(note);
        tui::wake();
    }

    /// Waits until all is written, `most` at the longest, and tells whether it is.
    pub fn wait(&self, most: Duration) -> bool {
        let since = Instant::now();
        let mut state = self.shared.state();
        while state.waiting > 0 && !state.given_up {
            let Some(left) = most.checked_sub(since.elapsed()) else { break };
            let waited = self.shared.changed.wait_timeout(state, left);
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
        state.waiting == 0
    }

    /// Tells whether something is being written; whoever asked is woken when it is done.
    pub fn is_writing(&self) -> bool {
        let mut state = self.shared.state();
        state.looked = state.waiting > 0;
        state.looked
    }

    /// Takes what is to be told.
    pub fn take_told(&self) -> Vec<Note> {
        std::mem::take(&mut self.shared.state().told)
    }

    /// Takes what went wrong, for the last words; what was done needs none.
    pub fn take_warnings(&self) -> Vec<String> {
        let warns = |note: &Note| note.tone == Tone::Warning;
        self.take_told().into_iter().filter(warns).map(|note| plain(&note.text)).collect()
    }

    /// Nobody waits any longer.
    pub fn give_up(&self) {
        self.shared.state().given_up = true;
        self.shared.changed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_written_in_order_by_another_thread_and_waited_for_with_an_end() {
        let notebook = Notebook::default();
        let (go_on, wait) = channel::<()>();
        let written = Arc::new(Mutex::new(Vec::new()));
        let (first, second) = (Arc::clone(&written), Arc::clone(&written));
        notebook.put(move || {
            wait.recv().unwrap();
            first.lock().unwrap().push(1);
            None
        });
        notebook.put(move || {
            second.lock().unwrap().push(2);
            Some("not remembered".into())
        });
        assert!(notebook.is_writing() && !notebook.wait(Duration::from_millis(20)));
        assert!(written.lock().unwrap().is_empty() && notebook.take_told().is_empty());
        go_on.send(()).unwrap();
        assert!(notebook.wait(Duration::from_secs(60)) && !notebook.is_writing());
        assert_eq!(*written.lock().unwrap(), [1, 2]);
        assert_eq!(notebook.take_told(), [Note::warning("not remembered")]);
        assert!(notebook.take_told().is_empty(), "told once");
    }

    #[test]
    fn a_task_that_panics_is_counted_down_told_in_words_and_holds_up_nothing_behind_it() {
        let notebook = Notebook::default();
        notebook.put(|| panic!("no {} of a kind", 3));
        notebook.put(|| None);
        assert!(notebook.wait(Duration::from_secs(60)), "{notebook:?}");
        assert!(!notebook.is_writing());
        let told = "not remembered: a fault of the program itself: no 3 of a kind";
        assert_eq!(notebook.take_warnings(), [told]);
    }

    #[test]
    fn nobody_waits_for_it_once_it_is_given_up() {
        let notebook = Notebook::default();
        let (_go_on, wait) = channel::<()>();
        notebook.put(move || {
            let _ = wait.recv();
            None
        });
        notebook.give_up();
        assert!(!notebook.wait(Duration::from_secs(3600)));
    }
}
