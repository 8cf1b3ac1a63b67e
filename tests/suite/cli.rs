//! The command line: every command in a data folder of its own, without the user's environment.
//!
//! `Place` runs the program in this process with a clock that the test sets; `built` runs the built
//! program. Both give a `Shown`: what stands on standard output, on standard error, and the exit
//! code, with the names that are made anew each time (folders, sessions, identities) replaced.

mod advise;
mod aside;
mod backup;
mod binary;
mod cut_words;
pub mod damage;
mod demo;
mod doubted;
mod earlier_versions;
mod engines;
mod extremes;
mod faulty;
mod gone_files;
mod helps;
pub mod left_open;
mod left_out;
mod letters;
mod lost_head;
mod missed;
mod newer;
mod not_put_back;
mod not_read;
mod note_added;
mod other_versions;
mod plans;
mod profiles;
mod restored;
pub mod services;
mod several_files;
mod slips;
mod sound_copy;
mod stranded;
mod table;
mod table_told;
mod take;
mod told_typed;
mod unopened;
mod verify;
mod whole_names;

use crate::plain::{Mechanic, Questions};
use cowlside::cli::{Terminals, World, run};
use cowlside::domain::entry::Moment;
use cowlside::store::journal::{meaning, scan};
use std::cell::{Cell, RefCell};
use std::ffi::OsString;
use std::fmt;
use std::io::{BufRead, Cursor, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use tempfile::TempDir;

/// 2026-03-14 09:00 at an offset of one hour.
pub const MORNING: i64 = 1_773_475_200_000;
/// How far the clock goes on each time it is read.
const TICK_MS: i64 = 1_000;

/// What a run of the program came to.
pub struct Shown {
    pub out: String,
    pub err: String,
    pub code: i32,
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.out)?;
        if !self.err.is_empty() {
            write!(f, "--- stderr ---\n{}", self.err)?;
        }
        write!(f, "--- exit {} ---", self.code)
    }
}

impl Shown {
    /// Returns standard output of a run that went well and said nothing else.
    pub fn done(&self) -> &str {
        assert_eq!((self.code, self.err.as_str()), (0, ""), "{self}");
        &self.out
    }

    /// Asserts that hours were told, which a session that is open is warned of, and no more.
    pub fn told_over_a_session(&self) {
        let one = self.err.lines().count() == 1;
        assert!(self.code == 0 && one && self.err.contains(" has a session open, with "), "{self}");
        assert!(self.err.ends_with("; gone on with, it asks whether it ran\n"), "{self}");
    }

    /// Returns the JSON document of a run that went well.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(self.done()).unwrap()
    }

    /// Returns the `error:` and the `hint:` line of a run that could not do its work.
    pub fn failed(&self) -> (&str, &str) {
        assert_eq!((self.code, self.out.as_str()), (1, ""), "{self}");
        let lines: Vec<&str> = self.err.lines().collect();
        let [error, hint] = lines[..] else { panic!("not two lines: {self}") };
        let part = |line: &'_ str, word| line.strip_prefix(word).is_some();
        assert!(part(error, "error: ") && part(hint, "hint: "), "{self}");
        (&error["error: ".len()..], &hint["hint: ".len()..])
    }
}

/// A data folder with a clock.
pub struct Place {
    folder: TempDir,
    clock: Cell<i64>,
}

/// Standard output that can be read while it is written.
#[derive(Clone, Default)]
pub struct Shared(Rc<RefCell<Vec<u8>>>);

impl Shared {
    pub fn text(&self) -> String {
        String::from_utf8(self.0.borrow().clone()).unwrap()
    }
}

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Place {
    pub fn new() -> Place {
        let folder = tempfile::tempdir().unwrap();
        Place { folder, clock: Cell::new(MORNING) }
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Lets time pass.
    pub fn later(&self, minutes: i64) {
        self.clock.set(self.clock.get() + minutes * 60_000);
    }

    /// Lets time pass up to a moment, where it has not come yet.
    pub fn not_before(&self, unix_ms: i64) {
        self.clock.set(self.clock.get().max(unix_ms));
    }

    /// Sets the clock to whatever it may show.
    pub fn set_clock(&self, unix_ms: i64) {
        self.clock.set(unix_ms);
    }

    /// Lists the journals, oldest first.
    pub fn journals(&self) -> Vec<PathBuf> {
        listed(&self.path().join("sessions"))
    }

    /// Runs a command with nothing to read.
    pub fn run(&self, words: &[&str]) -> Shown {
        self.run_typing(words, "")
    }

    /// Runs a command with lines to read.
    pub fn run_typing(&self, words: &[&str], typed: &str) -> Shown {
        self.run_raw(words, &mut Cursor::new(typed.to_owned()), Shared::default())
    }

    /// Runs a command whose questions a mechanic answers; returns everything as it stood there.
    pub fn run_asked(&self, words: &[&str], mechanic: &mut Mechanic) -> Shown {
        let out = Shared::default();
        let mut questions = Questions::new(out.clone(), mechanic);
        self.run_raw(words, &mut questions, out.clone())
    }

    /// Runs a command and leaves every name as it is, line ends too.
    pub fn run_unsettled(&self, words: &[&str]) -> Shown {
        let out = Shared::default();
        let shown = self.run_raw(words, &mut Cursor::new(String::new()), out.clone());
        Shown { out: out.text(), ..shown }
    }

    fn run_raw(&self, words: &[&str], input: &mut dyn BufRead, out: Shared) -> Shown {
        let mut err = Vec::new();
        let home = self.path().as_os_str().to_owned();
        let variable = |name: &str| (name == "COWLSIDE_HOME").then(|| home.clone());
        let now = || {
            self.clock.set(self.clock.get() + TICK_MS);
            Moment { unix_ms: self.clock.get(), offset_min: 60 }
        };
        let run_ms = || u64::try_from(self.clock.get() - MORNING).unwrap_or(0);
        let mut writer = out.clone();
        let mut world = World {
            out: &mut writer,
            err: &mut err,
            input,
            ready: &|_| true,
            forget: &|| false,
            now: &now,
            run_ms: &run_ms,
            terminals: Terminals::default(),
            variable: &variable,
            ascii: false,
        };
        let words = std::iter::once("cowlside").chain(words.iter().copied());
        let code = run(words.map(OsString::from).collect(), &mut world);
        let safe = |text: String| {
            // The flat table has line ends of its own.
            let lines = text.replace("\r\n", "\n");
            assert!(!lines.chars().any(|c| c != '\n' && c.is_control()), "{text:?}");
            self.settled(&text)
        };
        Shown {
            out: safe(out.text()),
            err: safe(String::from_utf8(err).unwrap()),
            code: code.into(),
        }
    }

    /// Replaces what is made anew in each run: the folder, the names of sessions, identities.
    fn settled(&self, text: &str) -> String {
        let mut text = text.replace(&*self.path().to_string_lossy(), "FOLDER");
        let stems = |paths: Vec<PathBuf>| {
            paths.into_iter().map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        };
        for (path, n) in self.journals().iter().zip(1..) {
            let bytes = std::fs::read(path).unwrap_or_default();
            if let Some(code) = meaning::seal_code(&scan::scan(&bytes)) {
                text = text.replace(&code, &format!("SEAL-CODE-{n:02}"));
            }
        }
        for (stem, n) in stems(self.journals()).zip(1..) {
            let id =
                text.find(&format!("id {}", stem.rsplit('-').next().unwrap())).map(|at| at + 3);
            if let Some(id) = id.and_then(|at| text.get(at..at + 26)).map(str::to_owned) {
                text = text.replace(&id, &format!("ID-{n}"));
            }
            // A name of one letter stands in every word.
            if stem.len() > 1 {
                text = text.replace(&stem, &format!("SESSION-{n}"));
            }
        }
        for (stem, n) in stems(listed(&self.path().join("engines"))).zip(1..) {
            text = text.replace(&stem, &format!("ENGINE-{n}"));
        }
        text
    }
}

fn listed(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|end| end == "jsonl" || end == "json"));
    paths.sort();
    paths
}

/// A place with one engine, a flat four.
pub fn with_trainer() -> Place {
    let place = Place::new();
    place.run(&["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"]).done();
    place
}

/// What a dry run says, as if it had been done.
pub fn in_deed(dry: &str) -> String {
    dry.replace("would be set aside", "is set aside").replace("would be ", "")
}

/// Shows several runs one after the other, each below its words.
pub fn shown(place: &Place, runs: &[&[&str]]) -> String {
    let one = |words: &&[&str]| format!("$ {}\n{}\n\n", words.join(" "), place.run(words));
    runs.iter().map(one).collect()
}

pub fn snapshot(name: &str, text: &str) {
    insta::with_settings!({
        snapshot_path => "../../snapshots", prepend_module_to_snapshot => false
    }, {
        insta::assert_snapshot!(name, text);
    });
}

/// Tells the names of an object's fields, in order.
pub fn fields(value: &serde_json::Value) -> Vec<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}
