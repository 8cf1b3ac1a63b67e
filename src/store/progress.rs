//! How far long work is, for whoever watches it.

use std::fmt;
use std::sync::Arc;

/// Whoever is told how far long work is, from any thread.
pub trait Watcher: Send + Sync {
    /// Takes in that of so many things so many are done.
    fn so_far(&self, what: &'static str, done: usize, of: usize);
}

/// What long work tells; nobody has to listen.
#[derive(Clone, Default)]
pub struct Progress(Option<Arc<dyn Watcher>>);

impl Progress {
    /// Tells it to a watcher.
    pub fn to(watcher: Arc<dyn Watcher>) -> Progress {
        Progress(Some(watcher))
    }

    /// Tells that of so many things so many are done: "checking sessions", 3, 20.
    pub fn so_far(&self, what: &'static str, done: usize, of: usize) {
        if let Some(watcher) = &self.0 {
            watcher.so_far(what, done, of);
        }
    }
}

impl fmt::Debug for Progress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.0.is_some() { "watched" } else { "unwatched" })
    }
}
