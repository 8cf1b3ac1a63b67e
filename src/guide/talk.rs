//! The conversation: which task is being answered, and with what so far. Screens and plain prompts
//! hold one of these beside the session; it is a value, and nothing in it is kept on disk.

use super::help::{SET_AGAIN, Topic, of_command, of_due};
use super::named::valve_name;
use super::outlasts;
use super::{Beside, Command, Prompt, Step, Task, step};
use crate::domain::entry::{Entry, Sign};
use crate::domain::session::{Due, Input, Refusal, Session, State};
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;
use std::sync::Arc;

/// A task under way, with the answers given so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Talk {
    /// What is being answered.
    pub task: Task,
    /// The answers so far, each as typed.
    pub given: Vec<String>,
    /// What is known beside the session.
    pub beside: Arc<Beside>,
}

impl Default for Talk {
    fn default() -> Talk {
        Talk { task: Task::Due, given: Vec::new(), beside: Arc::default() }
    }
}

/// What comes of an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Answered {
    /// Another question.
    Next(Talk),
    /// Entries to be written; the talk is over once they are on disk.
    Keep(Vec<Entry>),
    /// The record is to be read as it will be with this signature; the talk asks the same again.
    Read(Talk, Box<Sign>),
    /// Nothing more to ask: back to what the session asks.
    Back,
    /// The answer is not taken; nothing has changed but the last answer is dropped.
    Refused(Talk, String),
    /// The engine is to have the profile of this name from its next service on.
    GiveProfile(String),
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
        match step(session, self.task, &self.beside, &self.given) {
            Step::Ask(prompt) => prompt,
            Step::Do(_)
            | Step::ReplaceProfile { .. }
            | Step::GiveProfile(_)
            | Step::Refused(_)
            | Step::Again
            | Step::Retype(_)
            | Step::Read(_)
            | Step::Back
            | Step::Switch(_) => match step(session, Task::Due, &self.beside, &[]) {
                Step::Ask(prompt) => prompt,
                _ => super::form::prompt("", "", ""),
            },
        }
    }

    /// Returns the help on what is being answered.
    pub fn topic(&self, session: &Session) -> &'static Topic {
        match self.task {
            Task::Due => of_due(&session.state.due()),
            // Once the rounds are done it is another thing: covers go off for it.
            Task::Command(Command::SetAnyway) if session.state.may_reopen(&session.state.due()) => {
                &SET_AGAIN
            }
            Task::Command(command) => of_command(command),
        }
    }

    /// Answers the open question; an empty answer is Enter alone.
    pub fn answer(&self, session: &Session, typed: &str) -> Answered {
        let mut talk = self.clone();
        talk.given.push(typed.to_string());
        talk.go_on(session)
    }

    /// Tells whether this is a further question of something that was begun, and not what is due.
    pub fn is_begun(&self) -> bool {
        self.task != Task::Due || !self.given.is_empty()
    }

    /// Tells whether what was answered so far may be gone on with after a break: not what speaks of the
    /// crank, a nut or a valve as it stood before, nor a caution.
    pub fn outlasts_a_break(&self, session: &Session) -> bool {
        match self.task {
            Task::Due => outlasts::due(&session.state.due()),
            Task::Command(command) => outlasts::command(command),
        }
    }

    /// Goes back to the question before; before the first one of a command, to what is due.
    pub fn go_back(&mut self) {
        if self.given.pop().is_none() {
            self.task = Task::Due;
        }
    }

    /// Calls for a command in the middle of whatever is asked.
    pub fn call(session: &Session, command: Command, beside: Arc<Beside>) -> Answered {
        Talk { task: Task::Command(command), given: Vec::new(), beside }.go_on(session)
    }

    fn go_on(mut self, session: &Session) -> Answered {
        match step(session, self.task, &self.beside, &self.given) {
            Step::Ask(_) => Answered::Next(self),
            Step::Do(input) => self.decide(session, &input),
            Step::ReplaceProfile { name, source, why } => {
                Answered::ReplaceProfile { name, source, why }
            }
            Step::GiveProfile(name) => Answered::GiveProfile(name),
            Step::Refused(words) => self.refused(words),
            Step::Again => {
                self.given.clear();
                Answered::Next(self)
            }
            Step::Retype(answers) => {
                self.given.truncate(self.given.len().saturating_sub(answers));
                Answered::Next(self)
            }
            Step::Read(sign) => {
                self.given.pop();
                Answered::Read(self, sign)
            }
            Step::Back => Answered::Back,
            Step::Switch(command) => Talk::call(session, command, self.beside),
        }
    }

    fn decide(self, session: &Session, input: &Input) -> Answered {
        match session.decide(input) {
            Ok(entries) => Answered::Keep(self.beside.likely.doubt(session, entries)),
            Err(Refusal::NotNow) => {
                let words = asked_instead(session, &self.beside);
                self.refused(words)
            }
            Err(refusal) => self.refused(refused_words(session, &refusal)),
        }
    }

    fn refused(mut self, words: String) -> Answered {
        // A command that is refused before it asked anything leaves what is due.
        if self.given.pop().is_none() {
            self = Talk { beside: self.beside, ..Talk::default() };
        }
        Answered::Refused(self, words)
    }
}

/// Says why something is refused, each valve by its whole name.
pub fn refused_words(session: &Session, refusal: &Refusal) -> String {
    if let Refusal::StaysInScope(valve) = refusal {
        return stays_words(&session.state, *valve);
    }
    refusal.words_with(&|valve| session.state.name_of(valve))
}

/// Says why the cylinder of a valve stays in the scope, and what to do.
fn stays_words(state: &State, valve: Valve) -> String {
    let (name, cylinder) = (valve_name(state, valve), valve.cylinder);
    let why = match state.verdict_now(valve) {
        _ if state.nut_slack(valve) && state.left_slack(valve) => {
            format!("the nut of {name} was left slack by an earlier service")
        }
        _ if state.nut_slack(valve) => format!("the nut of {name} is slack"),
        _ if state.left_open_before(valve) => {
            format!("{name} was left open by an earlier service")
        }
        _ if state.touched.contains(&valve) => format!("{name} was set or opened in this service"),
        Some(verdict) if verdict != Verdict::InLimits => format!("{name} is outside its limits"),
        Some(_) | None => format!("{name} was opened in this service"),
    };
    let then = match state.due() {
        Due::Scope => format!("cylinder {cylinder} has to be among those of today"),
        _ => format!("cylinder {cylinder} stays in the scope; gauge it, or close unsigned"),
    };
    format!("{why}: {then}")
}

/// Says of what is not asked now what is asked instead, and which keys answer that.
fn asked_instead(session: &Session, beside: &Beside) -> String {
    match step(session, Task::Due, beside, &[]) {
        Step::Ask(prompt) => {
            let keys = prompt.field.answered_by();
            format!("{}, but: {} ({keys})", Refusal::NotNow.words(), prompt.ask)
        }
        _ => Refusal::NotNow.words(),
    }
}
