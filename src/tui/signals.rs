//! What reaches the program from outside: being ended, being stopped, and the terminal going away.
//!
//! Three threads, all asleep until something happens. The main loop sleeps in its read of keys, which
//! no signal interrupts and which never returns once the terminal is gone; so the threads themselves
//! give the terminal back and end the program. Nothing is lost: what was kept is on disk already,
//! and [`while_working`] lets a write in progress finish first.

use std::io;

/// How long an end waits for work in hand.
#[cfg(unix)]
const PATIENCE: std::time::Duration = std::time::Duration::from_millis(800);
/// How long it waits for a terminal that takes no more text, before it drops that text.
#[cfg(unix)]
const STUCK: std::time::Duration = std::time::Duration::from_millis(150);
/// How often that text is dropped: the largest frame in the smallest pieces that a terminal takes.
#[cfg(unix)]
const PIECES: usize = 20;

#[cfg(unix)]
pub use unix::{
    attend, attend_without_screens, can_come_back, catch, ended_by, hung_up, in_foreground,
    leave_failed, leave_ignored, leave_now, leaving, say_last, stop_this, wake, was_woken,
    while_working,
};

/// What plain prompts say when they are ended from outside.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Farewell {
    /// Where everything is saved.
    pub saved: String,
    /// How to go on.
    pub go_on: String,
}

/// The signals that whoever started the program had ignored, as `nohup` does with a hang-up: a bit each,
/// the lowest for signal 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ignored(u64);

impl Ignored {
    /// Takes them from what Linux says of a process in `/proc/PROCESS/status`; none where it does not.
    pub fn in_status(status: &str) -> Ignored {
        let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
        Ignored(mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0))
    }

    #[cfg(unix)]
    fn has(self, signal: i32) -> bool {
        self.0 >> (signal - 1) & 1 == 1
    }
}

#[cfg(unix)]
mod unix {
    use super::{Farewell, Ignored, PATIENCE, PIECES, STUCK, io};
    use crate::tui::keeping::Keeping;
    use crate::tui::terminal;
    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    use signal_hook::consts::{
        SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP, SIGTTOU, SIGWINCH,
    };
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::{emulate_default_handler, raise};
    use std::io::Write;
    use std::sync::atomic::{AtomicBool, AtomicI32, AtomicU64, Ordering};
    use std::sync::{Arc, Mutex, PoisonError, mpsc};
    use std::thread;
    use std::time::Instant;

    /// What asks the program to end.
    const ENDING: [i32; 4] = [SIGHUP, SIGINT, SIGQUIT, SIGTERM];

    /// The bits of [`Ignored`].
    static IGNORED: AtomicU64 = AtomicU64::new(0);
    static WORK: Mutex<()> = Mutex::new(());
    static WATCHING: AtomicBool = AtomicBool::new(false);
    static WOKEN: AtomicBool = AtomicBool::new(false);
    /// Caught, and not attended to yet.
    static CAUGHT: Mutex<Option<Signals>> = Mutex::new(None);
    static KEEPING: Mutex<Option<Arc<dyn Keeping>>> = Mutex::new(None);

    static FAREWELL: Mutex<Option<Farewell>> = Mutex::new(None);
    /// The main thread is leaving by itself, and has the last words.
    static LEAVING: AtomicBool = AtomicBool::new(false);
    /// One thread ends the program for a fault or a signal; it has the last words.
    static ENDS: AtomicBool = AtomicBool::new(false);
    /// The exit code of the signal that came first, or 0.
    static ENDED_BY: AtomicI32 = AtomicI32::new(0);

    /// Lets what looks after the entries have its say when the program is ended from outside.
    pub fn say_last(keeping: Arc<dyn Keeping>) {
        *KEEPING.lock().unwrap_or_else(PoisonError::into_inner) = Some(keeping);
    }

    fn keeping() -> Option<Arc<dyn Keeping>> {
        KEEPING.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// From here on the main thread leaves by itself: it has the last words, and a signal only tells
    /// the exit code.
    pub fn leaving() {
        LEAVING.store(true, Ordering::SeqCst);
    }

    /// Returns the exit code of the signal that came while the main thread left by itself.
    pub fn ended_by() -> Option<u8> {
        u8::try_from(ENDED_BY.load(Ordering::SeqCst)).ok().filter(|code| *code > 0)
    }

    /// Leaves while something is being done that may never come to its end: the terminal was given
    /// back, and what is not known to be saved is said.
    pub fn leave_now() -> ! {
        let lost = say_what_is_not_saved();
        std::process::exit(ended_by().map_or(i32::from(lost), i32::from))
    }

    /// Leaves because the terminal failed while something is being done that may never come to its
    /// end: nobody waits for that, but for what was given to be saved, as on every other way out.
    /// `why` is said where there is still somebody to say it to.
    pub fn leave_failed(why: &dyn Fn() -> Vec<String>) -> ! {
        while ENDS.swap(true, Ordering::SeqCst) {
            // The thread of signals, which hears of a terminal that went away, was first.
            thread::park();
        }
        leaving();
        let gone = hung_up();
        give_back();
        if !gone {
            say(why());
        }
        say_what_is_not_saved();
        let code = if gone { 128 + SIGHUP } else { 1 };
        std::process::exit(ended_by().map_or(code, i32::from))
    }

    /// Wakes the main loop in its read of keys, as a change of the window's size does.
    pub fn wake() {
        if WATCHING.load(Ordering::SeqCst) {
            WOKEN.store(true, Ordering::SeqCst);
            let _ = raise(SIGWINCH);
        }
    }

    /// Tells once whether it was `wake` that woke.
    pub fn was_woken() -> bool {
        WOKEN.swap(false, Ordering::SeqCst)
    }

    /// Runs what must not be cut in two by a signal: writing to the journal.
    pub fn while_working<T>(work: impl FnOnce() -> T) -> T {
        let _in_hand = WORK.lock().unwrap_or_else(PoisonError::into_inner);
        work()
    }

    /// Leaves alone what was ignored at the start, when the screens catch their signals. A terminal
    /// that goes away ends them all the same: there is nothing left to show anything on.
    pub fn leave_ignored(ignored: Ignored) {
        IGNORED.store(ignored.0, Ordering::SeqCst);
    }

    /// Catches the signals, once: from here on none ends the program with its terminal taken. Those
    /// that come before [`attend`] wait for it.
    ///
    /// # Errors
    /// The handlers cannot be set up.
    pub fn catch() -> io::Result<()> {
        if WATCHING.swap(true, Ordering::SeqCst) {
            return Ok(());
        }
        let ignored = Ignored(IGNORED.load(Ordering::SeqCst));
        let ending = ENDING.into_iter().filter(|signal| !ignored.has(*signal));
        let signals = Signals::new(ending.chain([SIGTSTP, SIGCONT]))?;
        *CAUGHT.lock().unwrap_or_else(PoisonError::into_inner) = Some(signals);
        Ok(())
    }

    /// Starts the threads, once; the first frame does not wait for them. Stopping and going on have one of
    /// their own: a terminal that takes no text holds it up, and no end may wait for that.
    ///
    /// # Errors
    /// The threads cannot be set up.
    pub fn attend() -> io::Result<()> {
        let caught = CAUGHT.lock().unwrap_or_else(PoisonError::into_inner).take();
        let Some(mut signals) = caught else { return Ok(()) };
        let (stops, told) = mpsc::channel();
        thread::Builder::new().name("signals".into()).spawn(move || {
            for signal in signals.forever() {
                match signal {
                    SIGTSTP | SIGCONT => drop(stops.send(signal)),
                    ending => ended(ending),
                }
            }
        })?;
        let stop_or_go_on = move || told.into_iter().for_each(stop_or_go_on);
        thread::Builder::new().name("stops".into()).spawn(stop_or_go_on)?;
        thread::Builder::new().name("hang-up".into()).spawn(await_hang_up)?;
        Ok(())
    }

    /// Lets plain prompts have their last words when the program is ended from outside; `None` where
    /// there is nothing more to say. Signals that are ignored stay so. A terminal that hangs up sends a signal; an input that is a pipe
    /// and ends does not, and is no fault.
    ///
    /// # Errors
    /// The handlers or the thread cannot be set up.
    pub fn attend_without_screens(farewell: Option<Farewell>, ignored: Ignored) -> io::Result<()> {
        let begins = farewell.is_some();
        *FAREWELL.lock().unwrap_or_else(PoisonError::into_inner) = farewell;
        if !begins || WATCHING.swap(true, Ordering::SeqCst) {
            return Ok(());
        }
        let ending = ENDING.into_iter().filter(|signal| !ignored.has(*signal));
        let mut signals = Signals::new(ending)?;
        thread::Builder::new().name("signals".into()).spawn(move || {
            for signal in signals.forever() {
                ended(signal);
            }
        })?;
        Ok(())
    }

    fn stop_or_go_on(signal: i32) {
        // Who ends stops no more, and takes nothing back: a shell's `kill` sends both.
        let ends = || ended_by().is_some() || ENDS.load(Ordering::SeqCst);
        let behind = signal == SIGCONT && !in_foreground();
        if signal == SIGTSTP {
            terminal::stop();
        } else if behind {
            // An end that was sent before may be heard of after it.
            thread::sleep(STUCK);
        }
        // Meanwhile a shell may have given us the terminal: its `fg` means to go on.
        let behind = behind && !in_foreground();
        if ends() {
            return;
        }
        if signal == SIGTSTP || behind {
            // In the background the terminal is somebody else's, who says `fg` once it is to be ours.
            let _ = emulate_default_handler(SIGTSTP);
            return;
        }
        // Also after a stop that could not be caught. The raised signal is the one that wakes
        // the main loop, which then paints a whole frame.
        terminal::resume();
        let _ = raise(SIGWINCH);
    }

    /// Tells whether the terminal is ours to set: it is not while a shell lets us run behind it.
    pub fn in_foreground() -> bool {
        let ours = rustix::process::getpgrp();
        let behind = rustix::termios::tcgetpgrp(io::stdin()).is_ok_and(|group| group != ours);
        // Who started us may have seen to it that setting it stops nobody.
        !behind || Ignored(IGNORED.load(Ordering::SeqCst)).has(SIGTTOU)
    }

    /// Ends the program for a signal, in a thread of its own: one more signal may follow.
    fn ended(signal: i32) {
        let code = 128 + signal;
        let is_first = ENDED_BY.compare_exchange(0, code, Ordering::SeqCst, Ordering::SeqCst);
        let leaving = LEAVING.load(Ordering::SeqCst);
        // Somebody at the keyboard who asks for the end during an end does not want to wait; a
        // terminal that goes away sends more than one signal by itself.
        let by_hand = matches!(signal, SIGINT | SIGQUIT);
        if by_hand && (leaving || is_first.is_err()) {
            if let Some(keeping) = keeping() {
                keeping.give_up();
            }
            // Whatever else holds up the main thread.
            let _ = thread::Builder::new().spawn(move || {
                thread::sleep(PATIENCE);
                std::process::exit(ended_by().map_or(code, i32::from));
            });
        } else if !leaving
            && is_first.is_ok()
            && !ENDS.swap(true, Ordering::SeqCst)
            && thread::Builder::new().spawn(move || end(code)).is_err()
        {
            end(code);
        }
    }

    /// No events are asked for: only a hang-up or an error of the terminal wakes this.
    fn await_hang_up() {
        let input = io::stdin();
        loop {
            let mut watched = [PollFd::new(&input, PollFlags::empty())];
            match poll(&mut watched, None) {
                Ok(_) if !watched[0].revents().is_empty() => return ended(SIGHUP),
                Ok(_) | Err(rustix::io::Errno::INTR) => {}
                // Without a watch the program still ends by signal or key.
                Err(_) => return,
            }
        }
    }

    /// Tells whether the terminal is gone; then nothing more can be said on it.
    pub fn hung_up() -> bool {
        let input = io::stdin();
        let mut watched = [PollFd::new(&input, PollFlags::empty())];
        let at_once = Timespec { tv_sec: 0, tv_nsec: 0 };
        poll(&mut watched, Some(&at_once)).is_ok() && !watched[0].revents().is_empty()
    }

    /// Tells whether a shell is there that `fg` can be said to: it puts what it starts into process
    /// groups of their own, so only without one are we in the group of the session's leader.
    pub fn can_come_back() -> bool {
        let input = io::stdin();
        match (rustix::termios::tcgetpgrp(&input), rustix::termios::tcgetsid(&input)) {
            (Ok(group), Ok(leader)) => group != leader,
            (Err(_), _) | (_, Err(_)) => false,
        }
    }

    /// Stops the program as the terminal's own Ctrl-Z would; the thread of signals does it.
    pub fn stop_this() {
        let _ = raise(SIGTSTP);
    }

    /// Waits for the disk, with an end, and says on the screen that was given back what is not on it;
    /// tells whether there is anything.
    fn say_what_is_not_saved() -> bool {
        let mut waiting = |line| say(vec![line]);
        let lines = keeping().map(|keeping| keeping.last_words(&mut waiting));
        let mut lines = lines.unwrap_or_default();
        let lost = !lines.is_empty();
        let farewell = FAREWELL.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(Farewell { saved, go_on }) = farewell {
            // The last question may stand in an unfinished line.
            let first = if lines.is_empty() { saved } else { lines.remove(0) };
            lines.splice(0..0, [String::new(), first]);
            lines.push(go_on);
        }
        say(lines);
        lost
    }

    /// Says it on standard error, which may take nothing.
    fn say(lines: Vec<String>) {
        let (done, said) = mpsc::channel();
        let _ = thread::Builder::new().spawn(move || {
            // Where the terminal is gone there is nobody to say it to.
            let mut err = io::stderr();
            lines.iter().for_each(|line| drop(writeln!(err, "{line}")));
            let _ = done.send(());
        });
        let _ = said.recv_timeout(PATIENCE);
    }

    fn end(code: i32) {
        let since = Instant::now();
        // Kept to the end, so that no further write begins.
        let mut in_hand = WORK.try_lock();
        while matches!(in_hand, Err(std::sync::TryLockError::WouldBlock))
            && since.elapsed() < PATIENCE
        {
            thread::sleep(std::time::Duration::from_millis(5));
            in_hand = WORK.try_lock();
        }
        give_back();
        say_what_is_not_saved();
        std::process::exit(code);
    }

    /// Gives the terminal back, by force where it takes no text: it may do so for as long as it likes,
    /// and the main loop is caught then too.
    fn give_back() {
        let (done, tidied) = mpsc::channel();
        let _ = thread::Builder::new().spawn(move || {
            terminal::tidy();
            let _ = done.send(());
        });
        let in_time = tidied.recv_timeout(STUCK).is_ok();
        if !in_time {
            // Each time that what waits is dropped, the frame that the main loop is caught in goes on, up
            // to its end: only then can it be given back.
            let _ = (0..PIECES).any(|_| {
                terminal::drop_waiting();
                tidied.recv_timeout(STUCK / 10).is_ok()
            });
            terminal::force();
        }
    }
}

#[cfg(not(unix))]
mod elsewhere {
    use super::io;

    /// Runs work; nothing can cut it in two here.
    pub fn while_working<T>(work: impl FnOnce() -> T) -> T {
        work()
    }

    /// Nothing ends the program from outside here.
    pub fn say_last(_keeping: std::sync::Arc<dyn crate::tui::keeping::Keeping>) {}

    /// No signal comes meanwhile.
    pub fn leaving() {}

    /// No signal came.
    pub fn ended_by() -> Option<u8> {
        None
    }

    /// Leaves while something is being done that may never come to its end.
    pub fn leave_now() -> ! {
        std::process::exit(1)
    }

    /// Leaves because the terminal failed.
    pub fn leave_failed(_why: &dyn Fn() -> Vec<String>) -> ! {
        std::process::exit(1)
    }

    /// No signal is caught here.
    pub fn leave_ignored(_ignored: super::Ignored) {}

    /// Nothing ends the program from outside here.
    ///
    /// # Errors
    /// Never.
    pub fn attend_without_screens(
        _farewell: Option<super::Farewell>,
        _ignored: super::Ignored,
    ) -> io::Result<()> {
        Ok(())
    }

    /// The next key shows what has changed.
    pub fn wake() {}

    /// Nothing wakes here.
    pub fn was_woken() -> bool {
        false
    }

    /// There is nothing to catch here.
    ///
    /// # Errors
    /// Never.
    pub fn catch() -> io::Result<()> {
        Ok(())
    }

    /// There is nothing to attend to here.
    ///
    /// # Errors
    /// Never.
    pub fn attend() -> io::Result<()> {
        Ok(())
    }

    /// There is no stopping here.
    pub fn can_come_back() -> bool {
        false
    }

    /// Nothing runs behind another program here.
    pub fn in_foreground() -> bool {
        true
    }

    /// There is no stopping here.
    pub fn stop_this() {}

    /// The console does not go away before the program does.
    pub fn hung_up() -> bool {
        false
    }
}

#[cfg(not(unix))]
pub use elsewhere::{
    attend, attend_without_screens, can_come_back, catch, ended_by, hung_up, in_foreground,
    leave_failed, leave_ignored, leave_now, leaving, say_last, stop_this, wake, was_woken,
    while_working,
};
