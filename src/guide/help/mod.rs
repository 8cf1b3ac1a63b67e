//! Help: what a step is, how it is done with the hands, what can go wrong here; and a glossary.
//!
//! One table of topics serves the `?` of the screens, the `?` of the plain prompts and `cowlside
//! help`, so that they cannot say different things. A sentence that is true of one kind of engine
//! only is marked with that kind: in a session it is shown or left out, on the command line named.

mod beside;
mod closing;
mod drawings;
mod gauging;
pub mod glossary;
mod of;
mod page;
mod parts;
mod prepare;
mod reviews;
mod search;
mod watching;

pub use drawings::WIDTH;
pub use gauging::SET_AGAIN;
pub use of::{of_command, of_due};
pub use page::{Kit, Page, Piece};
pub use search::{Found, near, search};

/// A kind of engine that a sentence is true of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum For {
    /// Every engine.
    All,
    /// Adjusting screws with lock nuts.
    Screw,
    /// Shims under the cam.
    Shim,
    /// Push rods of other lengths under hydraulic lifters.
    Rod,
    /// Valves opened by rockers.
    Rockers,
    /// The crank is turned by the propeller.
    Propeller,
    /// The crank is turned by a nut, flywheel or the like.
    Crank,
}

/// A sentence or two, and the engines that they are true of.
#[derive(Clone, Copy, Debug)]
pub struct Say(pub For, pub &'static str);

/// A drawing in plain characters, line by line, and what it shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// What it shows.
    pub title: &'static str,
    /// Its lines, at most [`WIDTH`] columns.
    pub lines: &'static [&'static str],
}

/// One subject of help.
#[derive(Debug)]
pub struct Topic {
    /// What it is called on the command line.
    pub name: &'static str,
    /// What it is about.
    pub title: &'static str,
    /// Other words that lead to it.
    pub words: &'static [&'static str],
    /// What this step is.
    pub what: &'static [Say],
    /// How it is done with the hands.
    pub hands: &'static [Say],
    /// Drawings, and the engines that they belong to.
    pub drawings: &'static [(For, &'static Drawing)],
    /// What can go wrong here.
    pub wrong: &'static [Say],
}

/// Returns all topics, in the order of a service, then what lies beside it.
pub fn topics() -> impl Iterator<Item = &'static Topic> {
    [prepare::TOPICS, gauging::TOPICS, parts::TOPICS, closing::TOPICS, beside::TOPICS]
        .into_iter()
        .flatten()
        .copied()
}

pub use beside::{
    BEGINNING, COMMAND_LIST, ENGINES, HOURS, KINDS, LEAVING, NEW_ENGINE, PICTURE, READINGS, SAVING,
    VERSIONS,
};
pub use reviews::{COMPARISON, PAST};
pub use watching::{RECORD, WATCHING};
