//! A plain session of the built program, answered question by question through pipes.

use crate::plain::Mechanic;
use crate::real::kept;
use std::collections::BTreeSet;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");

/// A plain session of a new engine, answered question by question.
pub struct Plain {
    pub folder: PathBuf,
    pub child: Child,
    pub input: Option<ChildStdin>,
    output: ChildStdout,
    mechanic: Mechanic,
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
        let engine = format!("Trainer {engines}");
        let command = |words: &[&str]| {
            let mut command = Command::new(words[0]);
            command.args(&words[1..]).env_clear().env("COWLSIDE_HOME", &folder);
            command.envs(environment.iter().copied());
            command
        };
        let add = [PROGRAM, "engine", "add", &engine, "--profile", "flat-four", "--hours", "412.6"];
        assert!(command(&add).stdout(Stdio::null()).status().unwrap().success());
        let before = journals(&folder);
        let mut child = command(&[under, &[PROGRAM, "session", &engine, "--plain"]].concat())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (input, output) = (child.stdin.take(), child.stdout.take().unwrap());
        let (mechanic, seen) = (Mechanic::default(), String::new());
        let mut plain = Plain { folder, child, input, output, mechanic, seen, answered: 0, before };
        plain.hear();
        while !plain.seen.contains("saved: ") {
            plain.answer();
        }
        plain
    }

    /// Reads up to the next question: the one thing that is printed without the end of its line.
    fn hear(&mut self) {
        let mut piece = [0; 4096];
        loop {
            let count = self.output.read(&mut piece).unwrap();
            assert!(count > 0, "ended early:\n{}", self.seen);
            self.seen += &String::from_utf8_lossy(&piece[..count]);
            if self.seen.ends_with(' ') {
                return;
            }
        }
    }

    /// Answers the question and returns what was said up to the next one.
    pub fn answer(&mut self) -> String {
        let answer = self.mechanic.answer(&self.seen[self.answered..]).unwrap();
        self.answered = self.seen.len();
        writeln!(self.input.as_mut().unwrap(), "{answer}").unwrap();
        self.hear();
        self.seen[self.answered..].to_owned()
    }

    /// Sends the answer and does not wait for what it comes to.
    pub fn answer_into_the_dark(&mut self) {
        let answer = self.mechanic.answer(&self.seen[self.answered..]).unwrap();
        writeln!(self.input.as_mut().unwrap(), "{answer}").unwrap();
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
        self.output.read_to_end(&mut rest).unwrap();
        self.seen += &String::from_utf8_lossy(&rest);
        let whole = self.seen.rfind('\n').map_or(0, |end| end + 1);
        self.seen.truncate(whole);
        self.saved()
    }

    pub fn signal(&self, signal: &str) {
        let process = self.child.id().to_string();
        assert!(Command::new("kill").args(["-s", signal, &process]).status().unwrap().success());
    }

    /// Ends it from outside; returns its exit code and what it said on standard error.
    pub fn end_by(&mut self, signal: &str) -> (Option<i32>, String) {
        self.signal(signal);
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (self.child.wait().unwrap().code(), said)
    }
}

fn journals(folder: &Path) -> BTreeSet<PathBuf> {
    let files = std::fs::read_dir(folder.join("sessions"));
    files.map_or_else(|_| BTreeSet::new(), |files| files.map(|file| file.unwrap().path()).collect())
}
