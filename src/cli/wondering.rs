//! What is said on standard error where plain prompts wait for a disk that does not answer: which work
//! waits, once it has taken so long that one wonders.

use std::io::{self, Write};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

/// What is done sooner than this says nothing.
const A_WHILE: Duration = Duration::from_secs(1);

/// Does the work; says what it is where it takes a while, and that it came to an end.
pub fn under<T>(what: &str, work: impl FnOnce() -> T) -> T {
    thread::scope(|scope| {
        let (done, told) = mpsc::channel::<()>();
        let tell = move || {
            if told.recv_timeout(A_WHILE) == Err(RecvTimeoutError::Timeout) {
                say(&format!(
                    "{what}: waiting for the disk; nothing can be answered before it does"
                ));
                // Ends with the work, whatever that came to: it says so itself.
                let _ = told.recv();
                say("waited no longer");
            }
        };
        // Without a thread it waits as it did, silently.
        let _teller = thread::Builder::new().name("wondering".into()).spawn_scoped(scope, tell);
        let made = work();
        drop(done);
        made
    })
}

fn say(words: &str) {
    // There is nowhere left to say that saying it failed.
    let _ = writeln!(io::stderr(), "{words}");
}
