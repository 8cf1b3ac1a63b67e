//! The conversation: which task is being answered, and with what so far. Screens and plain prompts
//! hold one of these beside the session; it is a value, and nothing in it is kept on disk.

use super::{Command, Prompt, Proposal, Step, Task, step};
use crate::domain::entry::Entry;
use crate::domain::session::{Input, Session};

/// A task under way, with the answers given so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Talk {
    /// What is being answered.
    pub task: Task,
    /// The answers so far, each as typed.
    pub given: Vec<String>,
    /// What is proposed to the signer; empty until the signature is due.
    pub proposal: Proposal,
}

impl Default for Talk {
    fn default() -> Talk {
        Talk { task: Task::Due, given: Vec::new(), proposal: Proposal::default() }
    }
}

/// What comes of an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Answered {
    /// Another question.
    Next(Talk),
    /// Entries to be written; the talk is over once they are on disk.
    Keep(Vec<Entry>),
    /// The answer is not taken; nothing has changed but the last answer is dropped.
    Refused(Talk, String),
    /// The profile is to be replaced by one that the shell has to find.
    ReplaceProfile {
        /// Its name or path.
        name: String,
        /// Where it comes from.
        source: String,
        /// Why.
        why: String,
    },
}

impl Talk {
    /// Returns the question that is open.
    ///
    /// The answers so far were all taken, so there always is one; a session that moved on beneath
    /// them (it cannot, but a screen must never fail) asks what is due.
    pub fn prompt(&self, session: &Session) -> Prompt {
        match step(session, self.task, &self.proposal, &self.given) {
            Step::Ask(prompt) => prompt,
            Step::Do(_)
            | Step::ReplaceProfile { .. }
            | Step::Refused(_)
            | Step::Again
            | Step::Switch(_) => match step(session, Task::Due, &self.proposal, &[]) {
                Step::Ask(prompt) => prompt,
                _ => super::form::prompt("", "", ""),
            },
        }
    }

    /// Answers the open question; an empty answer is Enter alone.
    pub fn answer(&self, session: &Session, typed: &str) -> Answered {
        let mut talk = self.clone();
        talk.given.push(typed.to_string());
        talk.go_on(session)
    }

    /// Calls for a command in the middle of whatever is asked.
    pub fn call(session: &Session, command: Command) -> Answered {
        Talk { task: Task::Command(command), ..Talk::default() }.go_on(session)
    }

    fn go_on(mut self, session: &Session) -> Answered {
        match step(session, self.task, &self.proposal, &self.given) {
            Step::Ask(_) => Answered::Next(self),
            Step::Do(input) => self.decide(session, &input),
            Step::ReplaceProfile { name, source, why } => {
                Answered::ReplaceProfile { name, source, why }
            }
            Step::Refused(words) => self.refused(words),
            Step::Again => {
                self.given.clear();
                Answered::Next(self)
            }
            Step::Switch(command) => Talk::call(session, command),
        }
    }

    fn decide(self, session: &Session, input: &Input) -> Answered {
        match session.decide(input) {
            Ok(entries) => Answered::Keep(entries),
            Err(refusal) => self.refused(refusal.words()),
        }
    }

    fn refused(mut self, words: String) -> Answered {
        // A command that is refused before it asked anything leaves what is due.
        if self.given.pop().is_none() {
            self = Talk { proposal: self.proposal, ..Talk::default() };
        }
        Answered::Refused(self, words)
    }
}
