//! A plain session of the built program, answered question by question through pipes.

use crate::plain::Mechanic;
use crate::real::kept;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");

/// A plain session of a new engine, answered question by question.
pub struct Plain {
    pub folder: PathBuf,
    pub child: Child,
    pub input: Option<ChildStdin>,
    output: Option<ChildStdout>,
    pub mechanic: Mechanic,
    pub seen: String,
    answered: usize,
    before: BTreeSet<PathBuf>,
}

impl Plain {
    /// Makes the next engine of this folder and answers until the session is on the disk.
    pub fn begin(folder: &Path, environment: &[(&str, &Path)]) -> Plain {
        Plain::begin_under(folder, environment, &[])
    }

    /// The same, the session started by another program, which is given its command line.
    pub fn begin_under(folder: &Path, environment: &[(&str, &Path)], under: &[&str]) -> Plain {
        let folder = folder.to_owned();
        let engines = std::fs::read_dir(folder.join("engines")).map_or(0, Iterator::count);
        // What a cut without syncs has left of one before may hold its name: then the next one.
        let mut names = (engines..engines + 4).map(|number| format!("Trainer {number}"));
        let added = names.find(|engine| {
            let facts = ["--profile", "flat-four", "--hours", "412.6"];
            let add = [&[PROGRAM, "engine", "add", engine][..], &facts].concat();
            command(&folder, &add, environment).stdout(Stdio::null()).status().unwrap().success()
        });
        let engine = added.expect("no engine is added");
        let mut plain = Plain::open_under(&folder, &engine, environment, under);
        while !plain.seen.contains("saved: ") {
            plain.answer();
        }
        plain
    }

    /// Makes an engine and answers so many questions of its session, under a program that may kill it;
    /// nothing where it lives on after them.
    pub fn until_it_dies(folder: &Path, under: &[&str], answers: usize) -> Option<Plain> {
        let add = [PROGRAM, "engine", "add", "Trainer 0", "--profile", "flat-four", "--hours", "1"];
        assert!(command(folder, &add, &[]).stdout(Stdio::null()).status().unwrap().success());
        let mut plain = Plain::started(folder, "Trainer 0", &[], under);
        let mut lives = plain.hear();
        for _ in 0..answers {
            if !lives {
                return Some(plain);
            }
            let answer = plain.mechanic.answer(&plain.seen[plain.answered..]).unwrap();
            plain.answered = plain.seen.len();
            // It may be dead already.
            let typed = writeln!(plain.input.as_mut().unwrap(), "{answer}");
            lives = typed.is_ok() && plain.hear();
        }
        if !lives {
            return Some(plain);
        }
        plain.end_of_input();
        None
    }

    /// Begins a session of this engine, or goes on with its open one, up to the first question.
    pub fn open_under(
        folder: &Path,
        engine: &str,
        environment: &[(&str, &Path)],
        under: &[&str],
    ) -> Plain {
        let mut plain = Plain::started(folder, engine, environment, under);
        assert!(plain.hear(), "ended early:\n{}", plain.seen);
        plain
    }

    fn started(
        folder: &Path,
        engine: &str,
        environment: &[(&str, &Path)],
        under: &[&str],
    ) -> Plain {
        let folder = folder.to_owned();
        let before = journals(&folder);
        let words = [under, &[PROGRAM, "session", engine, "--plain"]].concat();
        let mut child = command(&folder, &words, environment)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (input, output) = (child.stdin.take(), child.stdout.take());
        let (mechanic, seen) = (Mechanic::default(), String::new());
        Plain { folder, child, input, output, mechanic, seen, answered: 0, before }
    }

    /// Reads up to the next question: the one thing that is printed without the end of its line.
    /// Tells whether there was one before the end.
    fn hear(&mut self) -> bool {
        let mut piece = [0; 4096];
        loop {
            let count = self.output.as_mut().unwrap().read(&mut piece).unwrap();
            self.seen += &String::from_utf8_lossy(&piece[..count]);
            if count == 0 || self.seen.ends_with(' ') {
                return count > 0;
            }
        }
    }

    /// Answers the question and returns what was said up to the next one.
    pub fn answer(&mut self) -> String {
        let answer = self.mechanic.answer(&self.seen[self.answered..]).unwrap();
        self.type_in(&answer)
    }

    /// Types this, whatever is asked, and returns what was said up to the next question.
    pub fn type_in(&mut self, answer: &str) -> String {
        self.answered = self.seen.len();
        writeln!(self.input.as_mut().unwrap(), "{answer}").unwrap();
        assert!(self.hear(), "ended early:\n{}", self.seen);
        self.seen[self.answered..].to_owned()
    }

    /// Leaves, and returns what was said up to the end.
    pub fn leave(&mut self) -> String {
        self.answered = self.seen.len();
        writeln!(self.input.as_mut().unwrap(), ":q").unwrap();
        while self.hear() {}
        self.seen[self.answered..].to_owned()
    }

    /// Answers all that is asked to the end of the program, which is to be a good one.
    pub fn finish(&mut self) {
        loop {
            self.answer_into_the_dark();
            self.answered = self.seen.len();
            if !self.hear() {
                break;
            }
        }
        assert!(self.child.wait().unwrap().success(), "{}", self.seen);
    }

    /// Sends the answer and does not wait for what it comes to.
    pub fn answer_into_the_dark(&mut self) {
        let answer = self.mechanic.answer(&self.seen[self.answered..]).unwrap();
        writeln!(self.input.as_mut().unwrap(), "{answer}").unwrap();
    }

    /// Ends its input, which ends it and leaves the session open; returns what was counted out.
    pub fn end_of_input(&mut self) -> BTreeMap<String, String> {
        drop(self.input.take());
        assert!(self.child.wait().unwrap().success(), "{}", self.seen);
        std::mem::take(&mut self.mechanic.counted_out)
    }

    /// Reads nothing of what is said any more.
    pub fn stop_reading(&mut self) {
        drop(self.output.take());
    }

    /// What was said to be saved.
    pub fn saved(&self) -> Vec<String> {
        let lines = self.seen.lines().filter_map(|line| Some(&line[line.find("saved: ")?..]));
        lines.map(str::to_owned).collect()
    }

    /// The session's file; of several the one with most entries.
    pub fn journal(&self) -> Option<PathBuf> {
        let own = journals(&self.folder).into_iter().filter(|path| !self.before.contains(path));
        own.max_by_key(|path| kept(path).len())
    }

    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Kills it and takes in what it still said; returns the whole lines of it that say that
    /// something was saved.
    pub fn kill_and_hear(&mut self) -> Vec<String> {
        self.kill();
        let mut rest = Vec::new();
        self.output.as_mut().unwrap().read_to_end(&mut rest).unwrap();
        self.seen += &String::from_utf8_lossy(&rest);
        let whole = self.seen.rfind('\n').map_or(0, |end| end + 1);
        self.seen.truncate(whole);
        self.saved()
    }

    pub fn signal(&self, signal: &str) {
        let process = self.child.id().to_string();
        assert!(Command::new("kill").args(["-s", signal, &process]).status().unwrap().success());
    }

    /// What it said on standard error, once it has ended.
    pub fn stderr(&mut self) -> String {
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        said
    }

    /// Ends it from outside; returns its exit code and what it said on standard error.
    pub fn end_by(&mut self, signal: &str) -> (Option<i32>, String) {
        self.signal(signal);
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (self.child.wait().unwrap().code(), said)
    }
}

fn command(folder: &Path, words: &[&str], environment: &[(&str, &Path)]) -> Command {
    let mut command = Command::new(words[0]);
    command.args(&words[1..]).env_clear().env("COWLSIDE_HOME", folder);
    command.envs(environment.iter().copied());
    command
}

fn journals(folder: &Path) -> BTreeSet<PathBuf> {
    let files = std::fs::read_dir(folder.join("sessions"));
    files.map_or_else(|_| BTreeSet::new(), |files| files.map(|file| file.unwrap().path()).collect())
}
