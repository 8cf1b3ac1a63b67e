//! What the screens need of a session; the guide's words stand behind it.

use super::screens::drawn::Drawn;
use super::screens::notice::NoticeView;
use super::widgets::engine::EngineView;
use super::widgets::picture::PictureView;
use crate::domain::entry::{Back, Begin, Entry, Hours, Moment};
use crate::guide::Prompt;
use crate::guide::help::Page;
use crate::guide::start::NewEngine;
use crate::guide::warmth::Wait;
use crate::report::WIDTH;
use crate::report::orders::Order;
use crate::report::sheet::{Block, Sheet, laid_out};
use crate::report::sheet_search;
use std::sync::Arc;

/// A session as the screens see it.
pub trait Job: Clone {
    /// A command on its way that asks more than one question.
    type Form: Clone;

    /// Tells how far the session is.
    fn stage(&self) -> Stage;
    /// Returns the engine's name, for the line at the top.
    fn engine(&self) -> String;
    /// Returns its running hours, once they are told.
    fn hours(&self) -> Option<String> {
        None
    }
    /// Returns what is asked: by the command on its way, else by the session.
    fn prompt(&self, form: Option<&Self::Form>) -> Prompt;
    /// Tells what an entry is taken for, or why it cannot be taken.
    fn taken_for(&self, form: Option<&Self::Form>, entry: &str) -> String;
    /// Answers what is asked.
    fn answer(&self, form: Option<&Self::Form>, answer: &Answer, at: Moment) -> Reply<Self>;
    /// Tells whether one question of an errand was answered before another was asked; one that is asked
    /// again was not.
    fn answered_before(&self, _earlier: &Self::Form, _form: &Self::Form) -> bool {
        true
    }
    /// Returns what was typed at the question before this one; nothing where a digit answered it.
    fn last_typed(&self, _form: &Self::Form) -> String {
        String::new()
    }
    /// Tells whether what was answered to a command may be gone on with after a break: not what speaks of
    /// the crank, a nut or a valve as it stood before.
    fn outlasts_a_break(&self, _form: &Self::Form) -> bool {
        false
    }
    /// Lists all commands; each always has the same place.
    fn offers(&self) -> Vec<Offer>;
    /// Begins the command at this place of [`Job::offers`].
    fn begin(&self, offer: usize, at: Moment) -> Reply<Self>;
    /// Says where in the job the mechanic is and how much is left, in several lengths, the longest
    /// first; nothing where the question says it itself.
    fn whereabouts(&self) -> Vec<String> {
        Vec::new()
    }
    /// Says what taking back would withdraw; `None` where it would be refused.
    fn undo(&self) -> Option<String> {
        None
    }
    /// Takes the last entry back.
    fn take_back(&self, at: Moment) -> Reply<Self>;
    /// The mechanic is back; the key that told so is no answer.
    fn back(&self, back: Back, at: Moment) -> Reply<Self>;
    /// Lists what must not be forgotten.
    fn open_items(&self) -> Vec<String>;
    /// Returns the engine as it is to be drawn beside what the session asks, where that helps.
    fn drawing(&self) -> Option<EngineView>;
    /// Returns the engine as it is to be drawn where a question that it does not help leaves room.
    fn drawn_where_free(&self) -> Option<EngineView> {
        self.drawing()
    }
    /// Tells whether the engine may stand beside a question about an answer under way: it may not
    /// where it would tell how the valve stands that is gauged.
    fn drawn_beside(&self, _form: &Self::Form) -> bool {
        false
    }
    /// Returns the engine as it may be drawn in room that a command's question leaves: the valve that it asks
    /// about shows only that it is asked about. `None` where it may not.
    fn drawn_where_free_of(&self, _form: &Self::Form) -> Option<EngineView> {
        None
    }
    /// Returns the picture of the stop, while the crank is to be turned to it or rocked there.
    fn picture(&self) -> Option<PictureView>;
    /// Returns the notice that hangs while the mechanic is called away.
    fn notice(&self) -> Option<NoticeView>;
    /// Returns the help on what is asked: by the command on its way, else by the session.
    fn help(&self, form: Option<&Self::Form>) -> Page;
    /// Returns the wait for an engine that is too warm, while that is what is asked.
    fn wait(&self) -> Option<Wait>;
    /// Tells whether what is asked is a second reading, because the first is not believed.
    fn disbelieves(&self) -> bool;
    /// Lists what was kept, the newest first.
    fn kept(&self) -> Table;
    /// Returns the record as it stands, line by line.
    ///
    /// # Errors
    /// There is none, or it cannot be read now; the words say why.
    fn record(&self) -> Result<Table, String> {
        Err("there is no record yet".into())
    }
    /// Begins the correction of the entry at this row of [`Job::kept`].
    fn correct(&self, row: usize, at: Moment) -> Reply<Self>;
}

/// How far a session is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// There is none yet, nor its engine; going back leads to the list of kinds.
    Kind,
    /// There is none yet; going back leads to the list of engines.
    Before,
    /// It is under way.
    Open,
    /// It is closed: going back leads to the list of engines, and remarks can be added.
    Closed,
}

/// An answer to a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// One of the choices.
    Digit(u8),
    /// What was typed, as typed.
    Typed(String),
    /// Enter alone.
    Enter,
}

/// What a session makes of an answer.
#[derive(Clone, Debug)]
pub enum Reply<J: Job> {
    /// These entries, and the session as it is once they are on disk.
    Keep {
        /// The session with the entries.
        next: Box<J>,
        /// What is to be written.
        entries: Vec<Entry>,
        /// What to say when it is done; may be empty.
        said: String,
        /// The verdict in large letters, in several lengths, the longest first; may be empty.
        verdict: Vec<String>,
    },
    /// Another question first.
    Ask(Box<J::Form>),
    /// Something to read; then the same is asked again.
    Read(Table),
    /// Back to what the session asks; nothing changed.
    Back,
    /// Something that only the shell can do.
    Do(Request),
    /// Nothing changed, for this reason.
    Refused(String),
}

/// Something that only the shell can do.
#[derive(Clone, Debug, PartialEq)]
pub enum Request {
    /// Add an engine, and begin its first service.
    NewEngine(Box<NewEngine>),
    /// Begin a service.
    Begin {
        /// The engine's id.
        id: String,
        /// What was said at the start.
        begin: Box<Begin>,
        /// In which folder its session is kept, where the data folder can only be read.
        folder: Option<String>,
    },
    /// Go on with one version of a session.
    GoOn {
        /// The engine's id.
        id: String,
        /// The version's letter.
        version: char,
    },
    /// Tell an engine's running hours.
    TellHours {
        /// The engine's id.
        id: String,
        /// What the counter shows.
        hours: Hours,
        /// Whether it is a new counter.
        replaced: bool,
    },
    /// Give an engine the profile of this name, from its next service on.
    GiveProfile {
        /// The engine's id.
        id: String,
        /// The profile's name.
        name: String,
    },
    /// Find a profile and replace the one in use.
    ReplaceProfile {
        /// Its name or path.
        name: String,
        /// Where it comes from.
        source: String,
        /// Why.
        why: String,
    },
}

/// A command that can be given now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What it does.
    pub label: String,
    /// Its letter, where it has one.
    pub shortcut: Option<Shortcut>,
    /// Why it cannot be given now; `None` where it can.
    pub not_now: Option<&'static str>,
}

/// A list or table to show.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What it is a list of.
    pub title: String,
    /// Lines under the title.
    pub lines: Vec<String>,
    /// Names of the columns.
    pub head: Vec<String>,
    /// Rows, a text a column.
    pub rows: Vec<Vec<String>>,
    /// What a row is searched by, one each; empty where nothing is searched.
    pub words: Vec<String>,
    /// The orders that its rows can be read in, the first as they stand; empty where there is but that.
    pub orders: Vec<Order>,
    /// What is drawn beside the list of each row, in their order; empty where nothing is drawn.
    pub drawings: Vec<Drawn>,
    /// The sheet whose lines the rows are, to be set anew in a narrower window.
    pub sheet: Option<Arc<[Block]>>,
}

impl Table {
    /// Makes a page of a printed sheet, to be read line by line.
    pub fn of_sheet(title: &str, sheet: Sheet) -> Table {
        let blocks = sheet.into_blocks();
        let (mut rows, mut words) = (Vec::new(), Vec::new());
        for (text, found) in laid_out(&blocks, WIDTH).iter().zip(sheet_search::words(&blocks)) {
            rows.extend(text.lines().map(|line| vec![line.to_owned()]));
            words.resize(rows.len(), found);
        }
        let (title, sheet) = (title.to_owned(), Some(blocks.into()));
        Table { title, rows, words, sheet, ..Table::default() }
    }
}

/// Commands of a session that have a letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shortcut {
    /// This cylinder is seen at overlap.
    SeenOverlap,
    /// A remark.
    Remark,
    /// Something is passed over.
    Skip,
    /// Called away.
    Away,
    /// Gauge leaf by leaf.
    ByLeaf,
    /// Who works.
    Who,
    /// A reading is put right; its key is that of the list of readings.
    Correct,
}
