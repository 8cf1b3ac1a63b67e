//! What the loop carries out for the screens, and what it brings back: values, not deeds.

use super::job::{Request, Table};
use super::look::Look;
use super::profile_desk::{Done, ProfileDesk};
use super::watching::Watched;
use crate::domain::document::Node;
use crate::domain::entry::Entry;
use crate::report::history_sheet::Page;

/// What the shell is to do before the next state counts.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Write these entries to the journal.
    Keep(Vec<Entry>),
    /// Open the engine, or whatever else stands at this row of the shop's list.
    Open(usize),
    /// Open the engine of this id.
    OpenEngine(String),
    /// Make the comparison with earlier sessions.
    Compare,
    /// Work out the past of the engine in hand.
    History,
    /// Work out the past of the engine at this row of the shop's list.
    HistoryAt(usize),
    /// Make the comparison of the last two sessions of the engine at this row.
    CompareAt(usize),
    /// List the services of the engine at this row, to read the record of one.
    RecordsAt(usize),
    /// Read the record of the service at this row of that list.
    Record(usize),
    /// Ask for the running hours of the engine at this row.
    HoursAt(usize),
    /// List the kinds of engine that a new one can be.
    Kinds,
    /// Describe a new engine of the kind at this row of that list.
    Kind(usize),
    /// Change the profile of the engine at this row, or a copy of it where it is built in.
    ProfileAt(usize),
    /// Write what the form holds under this name.
    WriteProfile {
        /// The profile.
        document: Node,
        /// The file's name without its ending.
        name: String,
        /// Whether the user's own profile of this name may be replaced.
        replace: bool,
    },
    /// The form is closed; where it was written.
    Described(Option<String>),
    /// Look whether there is something new in the session that is looked at.
    LookOn,
    /// Go on here with the session that is looked at.
    TakeOver,
    /// Go back to the list of engines, as it is now.
    Shop,
    /// Make an engine, begin a service, or find a profile.
    Do(Request),
    /// Write the whole session into a new file in this folder, and go on there.
    SaveTo(String),
    /// Remember whether the bell may ring.
    Bell(bool),
    /// Remember the looks.
    Look(Look),
    /// End.
    Quit,
}

/// What an effect brought back.
#[derive(Clone, Debug)]
pub enum Carried<J> {
    /// Nothing that is shown.
    Done,
    /// A session, to go on with.
    Session(Box<J>),
    /// The session with what was kept, of which more came to light than the key knew; nothing else changes.
    Kept(Box<J>),
    /// The session as it is, where what was given was not kept, and why.
    Instead(Box<J>, String),
    /// A table, to look at.
    Table(Table),
    /// The session as it is now that it is closed, under a table to look at.
    Closed(Box<J>, Table),
    /// The services of an engine, to choose from.
    Records(Table),
    /// A record, to be read.
    Record(Table),
    /// The list of engines.
    Shop(Table),
    /// The kinds of engine, to choose from.
    Kinds(Table),
    /// An engine's past, page by page.
    Past(Vec<Page>),
    /// A session that can only be looked at.
    Watching(Box<Watched>),
    /// The form of a profile, to be filled in before anything else.
    Describe(Box<ProfileDesk>),
    /// What became of a profile that was to be written.
    Written(Done),
    /// Any of these, with what was done.
    Said(Box<Carried<J>>, String),
    /// Any of these, with something that the mechanic should know though the work goes on.
    Told(Box<Carried<J>>, String),
}
