//! A list on top of everything else: its rows, the cursor, what is searched in it.

use super::job::Table;
use super::keymap::{Begun, Motion};
use crate::guide::kinds;

/// A list on top of everything else.
#[derive(Clone, Debug, PartialEq)]
pub struct List {
    /// Which list.
    pub what: Listed,
    /// What it shows.
    pub table: Table,
    /// The row that the cursor is on, among those shown.
    pub cursor: usize,
    /// The digits of a row's number typed so far.
    pub number: String,
    /// What is searched; `None` where all rows are shown.
    pub search: Option<String>,
}

/// Which list it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Listed {
    /// Engines and open sessions.
    Shop,
    /// Kinds that a new engine can be.
    Kinds,
    /// What can be done with the engine under the cursor.
    Engine,
    /// What else can be done now.
    More,
    /// What was kept.
    Kept,
    /// The comparison with earlier sessions.
    Compare,
    /// A record, line by line.
    Record,
    /// The services of an engine, of which the record of one is chosen.
    Records,
    /// A session that is only looked at.
    Watched,
}

impl List {
    /// Shows a table from its first row on.
    pub fn new(what: Listed, table: Table) -> List {
        List { what, table, cursor: 0, number: String::new(), search: None }
    }

    /// Returns the places of the rows that are shown: those in which every word searched stands.
    pub fn shown(&self) -> Vec<usize> {
        let all = 0..self.table.rows.len();
        let Some(search) = &self.search else { return all.collect() };
        if self.what == Listed::Kinds {
            return kinds::found(search, &self.table.words);
        }
        let search = search.to_lowercase();
        let fits = |row: &usize| {
            let words = self.table.words.get(*row).map_or("", String::as_str);
            search.split_whitespace().all(|word| words.contains(word))
        };
        all.filter(fits).collect()
    }

    /// Tells whether something is searched.
    pub fn begun(&self) -> Begun {
        if self.search.is_some() { Begun::Yes } else { Begun::No }
    }

    /// Returns the place of the row under the cursor.
    pub fn row(&self) -> Option<usize> {
        self.shown().get(self.cursor).copied()
    }

    /// Searches for something else, or for nothing; then the cursor stays on its row.
    pub(super) fn searching(&self, search: Option<String>) -> List {
        let row = self.row().unwrap_or(0);
        let cursor = if search.is_none() { row } else { 0 };
        List { cursor, search, number: String::new(), ..self.clone() }
    }

    /// Shows the same list as it is now, with the cursor on the row that it was on.
    pub(super) fn renewed(&self, table: Table) -> List {
        let under = self.row().and_then(|row| self.table.words.get(row));
        let row = under.and_then(|words| table.words.iter().position(|other| other == words));
        let list = List { search: self.search.clone(), ..List::new(self.what, table) };
        let place = list.shown().iter().position(|shown| Some(*shown) == row);
        List { cursor: place.unwrap_or(0), ..list }
    }

    pub(super) fn moved(&self, motion: Motion) -> List {
        let last = self.shown().len().saturating_sub(1);
        let cursor = match motion {
            Motion::Up => self.cursor.saturating_sub(1),
            Motion::Down => self.cursor + 1,
            Motion::PageUp => self.cursor.saturating_sub(10),
            Motion::PageDown => self.cursor + 10,
            Motion::First => 0,
            Motion::Last => last,
        };
        List { cursor: cursor.min(last), number: String::new(), ..self.clone() }
    }

    /// Puts the cursor on a row by its number; a digit more makes a longer number.
    pub(super) fn numbered(&self, digit: u8) -> Option<List> {
        let row = |number: &str| {
            let row = number.parse::<usize>().ok()?.checked_sub(1)?;
            (row < self.table.rows.len()).then_some(row)
        };
        let longer = format!("{}{digit}", self.number);
        let number = if row(&longer).is_some() { longer } else { digit.to_string() };
        row(&number).map(|cursor| List { cursor, number, ..self.clone() })
    }
}
