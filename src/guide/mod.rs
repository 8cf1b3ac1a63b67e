//! Puts a session into words: what is asked now, how it may be answered, what an answer means.
//!
//! The screens and the plain prompts both stand on this, so that they can never ask different
//! questions. Pure: domain in, words out. Nothing here draws or writes.

pub mod amending;
mod by_leaf;
mod cams;
pub mod closing;
pub mod commands;
pub mod counter;
mod counting_out;
mod covers;
mod crank;
pub mod doubtful;
mod doubts;
mod felt;
mod form;
pub mod glance;
pub mod hangar;
pub mod help;
mod hold_down;
pub mod kinds;
mod last_time;
pub mod leaf_sets;
mod leak;
mod left_so;
mod lifters;
pub mod limits;
mod look;
pub mod named;
pub mod not_now;
mod not_safe;
pub mod on_paper;
mod order;
mod outlasts;
mod owed_run;
mod page;
mod paper;
mod part_sizes;
pub mod part_words;
mod parts;
pub mod picture;
pub mod place;
mod prepare;
pub mod profile_form;
pub mod remarks;
mod rods;
mod rough;
mod rounds;
mod screw;
mod seen;
mod set_again;
mod signing;
mod stands_open;
pub mod start;
pub mod status;
mod stop_felt;
pub mod surely;
mod taken;
pub mod taking_back;
pub mod talk;
pub mod turning;
pub mod unlikely;
pub mod untold;
mod usual;
pub mod valve_place;
pub mod versions;
pub mod warmth;
pub mod watching;
mod way_back;
pub mod ways;
mod which_valve;

use crate::domain::entry::{Hours, LeafSet, Moment, Sign};
use crate::domain::learning::Aimed;
use crate::domain::likely::Likely;
use crate::domain::pace::Gap;
use crate::domain::session::{Input, Session};
use crate::domain::trend::Earlier;
pub use commands::Command;
pub use last_time::faults_left_in;
pub use leak::low_found;
pub use left_so::left_as_found;
pub use signing::look_again_by;
pub use talk::{Answered, Talk, refused_words};

/// What is being answered: the question that is due, or a command called from beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Task {
    /// What the session asks now.
    Due,
    /// Something the mechanic called for.
    Command(Command),
}

/// What is proposed to the signer; the reports make it, because they know the services before.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proposal {
    /// The one sentence for the owner.
    pub owner: String,
    /// What the sentence says of when to look again, word for word.
    pub look_again: Option<String>,
    /// When to look again, and why.
    pub next_check: Option<String>,
    /// Its running hours.
    pub next_hours: Option<Hours>,
    /// The day by which it is due by the months of the profile, as YYYY-MM-DD.
    pub last_day: Option<String>,
    /// What earlier services left outside its band and this one has not looked at: it is kept beside the
    /// signature, whatever the owner is told.
    pub left_before: Option<String>,
    /// What the counter shows, where the figure in the session was put right since.
    pub shows: Option<Hours>,
}

/// What is known beside the session: it is never written into it by itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Beside {
    /// What is proposed to the signer; empty until the signature is due.
    pub proposal: Proposal,
    /// The leaf sets that mechanics own, with their names; the last one in hand first.
    pub owned: Vec<(String, LeafSet)>,
    /// Tries of earlier services of this engine that tell what was aimed at.
    pub tries: Vec<Aimed>,
    /// The other versions of this session, where its files went different ways.
    pub others: Vec<versions::OtherVersion>,
    /// What earlier services make likely of each valve.
    pub likely: Likely,
    /// The services before.
    pub earlier: Earlier,
    /// The names of the profiles that can be found, the mechanic's own first.
    pub profiles: Vec<String>,
    /// Whether the profile in use is not found by its name: it was read from a path.
    pub profile_by_path: bool,
    /// The times between the readings of earlier services.
    pub pace: Vec<Gap>,
    /// The code of the session's end, once that is on the disk.
    pub seal_code: Option<String>,
    /// When the command was called that asks for a time on paper; `None` for every other one.
    pub now: Option<Moment>,
}

/// What comes of the answers given so far.
#[derive(Clone, Debug, PartialEq)]
pub enum Step<T = Box<Input>> {
    /// One more question.
    Ask(Prompt),
    /// Everything is answered: this is the input.
    Do(T),
    /// The profile is to be replaced by the one of this name, which the shell has to find.
    ReplaceProfile {
        /// The profile's name or path.
        name: String,
        /// Where it comes from.
        source: String,
        /// Why.
        why: String,
    },
    /// The engine is to have the profile of this name from its next service on.
    GiveProfile(String),
    /// The last answer cannot be taken; the words say why.
    Refused(String),
    /// All answers are dropped and the first question is asked again.
    Again,
    /// The last answers, so many, are dropped and the question before them is asked again.
    Retype(usize),
    /// The record is to be read as it will be with this signature; then the same is asked again.
    Read(Box<Sign>),
    /// Nothing more to ask: back to what the session asks.
    Back,
    /// Another command takes over.
    Switch(Command),
}

/// Asks the next question of a task, or turns its answers into an input.
///
/// `given` are the answers so far, each as typed; an empty one is Enter alone. The same session,
/// task, answers and what is known beside them always lead to the same step.
pub fn step(session: &Session, task: Task, beside: &Beside, given: &[String]) -> Step {
    let step = match task {
        Task::Due => due_step(session, beside, given),
        Task::Command(command) => commands::step(session, command, beside, given),
    };
    match step {
        Step::Ask(prompt) => {
            let mut prompt = prompt.titled_large();
            prompt.place = place::of_practice(&session.state, prompt.place);
            Step::Ask(prompt)
        }
        other => other,
    }
}

fn due_step(session: &Session, beside: &Beside, given: &[String]) -> Step {
    let due = session.state.due();
    prepare::step(session, &due, beside, given)
        .or_else(|| rounds::step(session, &due, beside, given))
        .unwrap_or_else(|| closing::step(session, &due, beside, given))
}

/// One question, in words, with everything that belongs beside it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Prompt {
    /// Where in the job: "round 1 of 2 · stop 3 of 4".
    pub place: String,
    /// What is to be done, one short line.
    pub title: String,
    /// What is written largest on the screen.
    pub big: Option<Box<Big>>,
    /// The how and the why, short lines, the most needed first.
    pub lines: Vec<String>,
    /// The way back in as few words as it has, a line each: where the lines have no room, these stand before
    /// anything large.
    pub told: Vec<String>,
    /// Some of the lines in fewer words.
    pub shorter: Option<Box<Shorter>>,
    /// What is needed more seldom: the help shows it.
    pub more: Vec<String>,
    /// The question itself, one line.
    pub ask: String,
    /// How it may be answered.
    pub field: Field,
}

/// Lines that stand whole wherever there is room for them, and what stands in their place elsewhere.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shorter {
    /// Where they begin among the lines of the prompt.
    pub from: usize,
    /// How many they are.
    pub whole: usize,
    /// The same in fewer words, the longest first.
    pub instead: Vec<Vec<String>>,
}

impl Shorter {
    /// Every text that may stand in their place.
    pub fn texts(&mut self) -> impl Iterator<Item = &mut String> {
        self.instead.iter_mut().flatten()
    }
}

/// What is written in large digits, with its caption.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Big {
    /// Few characters: digits, and capital words such as `TIGHT`, `LOOSE`, `IN`.
    pub text: String,
    /// The same in more words, the longest first, where there is room for them.
    pub longer: Vec<String>,
    /// What is to be done next, large too where there is room: "SCREW OUT 25°"; else empty.
    pub then: String,
    /// The same in few characters; empty where there are none that cannot be misread.
    pub then_short: String,
    /// What it is: "bring to overlap: right bank, 1st from the propeller end".
    pub caption: String,
    /// The same in the fewest characters, where there is room for no more; it may stand beside the title.
    pub short: String,
    /// Whether they say again what title and question say: then they give way where room is short.
    pub gives_way: bool,
    /// Whether they and the question tell all that the title does: then it gives way to them.
    pub for_title: bool,
    /// Whether they are read out and written down: then they are large before anything else, over several
    /// lines if need be.
    pub read_out: bool,
}

/// How a question may be answered.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Field {
    /// One digit answers at once, or by Enter; empty where something else is typed.
    pub choices: Vec<Choice>,
    /// What may be typed, where one digit does not answer at once.
    pub typed: Option<Typed>,
    /// What Enter alone means; `None` where Enter alone is no answer.
    pub enter: Option<String>,
    /// How many of the question's lines, the first ones, an answer speaks of: each has to be seen before
    /// one counts.
    pub whole: u16,
    /// Whether each answer speaks of them, and not only one that agrees to them: Enter alone, or 1.
    pub of_any: bool,
    /// Whether what is typed names a person, a document or a set: such a name is short.
    pub names: bool,
}

/// One of several answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The digit that gives it.
    pub digit: u8,
    /// What it says.
    pub label: String,
}

/// What a typed answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typed {
    /// A whole number.
    Count,
    /// A feeler reading: digits and `. , / +`, blanks, a unit.
    Reading,
    /// A number with an optional unit, possibly negative.
    Number,
    /// Free text.
    Text,
    /// One of the choices, kept by Enter.
    Digit,
}

impl Field {
    /// A choice by digit.
    pub fn choice(choices: &[(u8, &str)]) -> Field {
        let choices =
            choices.iter().map(|&(digit, label)| Choice { digit, label: label.into() }).collect();
        Field { choices, ..Field::default() }
    }

    /// Something typed.
    pub fn typed(typed: Typed) -> Field {
        Field { typed: Some(typed), ..Field::default() }
    }

    /// The same, with a meaning for Enter alone.
    #[must_use]
    pub fn or_enter(mut self, means: impl Into<String>) -> Field {
        self.enter = Some(means.into());
        self
    }

    /// Its digit waits for Enter: a size or a reading may be typed here by mistake, and of that no digit
    /// may answer.
    #[must_use]
    pub fn kept_by_enter(mut self) -> Field {
        self.wait_for_enter();
        self
    }

    /// What is typed is a name.
    #[must_use]
    pub fn a_name(mut self) -> Field {
        self.names = true;
        self
    }

    /// Where a digit would answer at once, makes it wait for Enter.
    pub fn wait_for_enter(&mut self) {
        if self.typed.is_none() && !self.choices.is_empty() {
            self.typed = Some(Typed::Digit);
        }
    }

    /// Tells whether a number is to be typed, and not one of the choices.
    pub fn is_number(&self) -> bool {
        match self.typed {
            Some(Typed::Count | Typed::Reading | Typed::Number) => true,
            Some(Typed::Text | Typed::Digit) | None => false,
        }
    }

    /// Says which keys answer: "1, 2 or 3", "a number, then Enter".
    pub fn answered_by(&self) -> String {
        let mut keys: Vec<String> =
            self.choices.iter().map(|choice| choice.digit.to_string()).collect();
        match self.typed {
            Some(Typed::Count | Typed::Number) => return "a number, then Enter".into(),
            Some(Typed::Reading) => return "the leaf, then Enter".into(),
            Some(Typed::Text) => return "words, then Enter".into(),
            Some(Typed::Digit) | None => {}
        }
        if self.enter.is_some() {
            keys.push("Enter".into());
        }
        match (keys.split_last(), self.typed) {
            (None, _) => "Enter".into(),
            (Some((one, [])), None) => one.clone(),
            (Some((last, others)), None) => format!("{} or {last}", others.join(", ")),
            (Some((one, [])), Some(_)) => format!("{one}, then Enter"),
            (Some((last, others)), Some(_)) => {
                format!("{} or {last}, then Enter", others.join(", "))
            }
        }
    }

    /// Tells whether a digit is one of the choices.
    pub fn offers(&self, digit: u8) -> bool {
        self.choices.iter().any(|choice| choice.digit == digit)
    }
}
