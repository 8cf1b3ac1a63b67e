//! Puts a session into words: what is asked now, how it may be answered, what an answer means.
//!
//! The screens and the plain prompts both stand on this, so that they can never ask different
//! questions. Pure: domain in, words out. Nothing here draws or writes.

pub mod turning;

/// One question, in words, with everything that belongs beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prompt {
    /// Where in the job: "round 1 of 2 · stop 3 of 4".
    pub place: String,
    /// What is to be done, one short line.
    pub title: String,
    /// What is written largest on the screen.
    pub big: Option<Big>,
    /// The how and the why, short lines.
    pub lines: Vec<String>,
    /// The question itself, one line.
    pub ask: String,
    /// How it may be answered.
    pub field: Field,
}

/// What is written in large digits, with its caption.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Big {
    /// Few characters: digits, and capital words such as `TIGHT`, `LOOSE`, `IN`.
    pub text: String,
    /// What it is: "bring to overlap: right bank, 1st from the propeller end".
    pub caption: String,
}

/// How a question may be answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// One digit answers at once; empty where something is typed.
    pub choices: Vec<Choice>,
    /// What may be typed, where it is not a choice.
    pub typed: Option<Typed>,
    /// What Enter alone means; `None` where Enter alone is no answer.
    pub enter: Option<String>,
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
}
