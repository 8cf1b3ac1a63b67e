//! A list on top of everything else: its rows, the cursor, what is searched in it.

use super::app::Top;
use super::beside::is_not_now;
use super::compared;
use super::job::Table;
use super::keymap::Begun;
use crate::guide::kinds;
use crate::report::orders::found;
use crate::report::sheet_search::finds;
use std::sync::Arc;

/// Rows that what is read from afar takes at most: a comparison's row, and an engine's name.
const LARGEST: u16 = 15;
const NAMED: u16 = 7;

/// A list on top of everything else.
#[derive(Clone, Debug, PartialEq)]
pub struct List {
    /// Which list.
    pub what: Listed,
    /// What it shows; each key makes a new state, and a large shop is not copied for it.
    pub table: Arc<Table>,
    /// The row that the cursor is on, among those shown.
    pub cursor: usize,
    /// The digits of a row's number typed so far.
    pub number: String,
    /// What is searched; `None` where all rows are shown.
    pub search: Option<String>,
    /// Which of the table's orders.
    pub order: usize,
    /// The list that it was opened from, to go back to.
    pub beneath: Option<Arc<List>>,
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
    /// What can be done in the middle of a command's own questions.
    Meanwhile,
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
        let table = Arc::new(table);
        let number = String::new();
        List { what, table, cursor: 0, number, search: None, order: 0, beneath: None }
    }

    /// Returns what is on top once the list is closed.
    pub(super) fn closed(&self) -> Top {
        self.beneath.as_deref().cloned().map_or(Top::Nothing, Top::List)
    }

    /// Returns the places of the rows that are shown, in their order: those in which every word searched
    /// stands.
    pub fn shown(&self) -> Vec<usize> {
        let order = self.table.orders.get(self.order);
        let mut all: Vec<usize> =
            order.map_or_else(|| (0..self.table.rows.len()).collect(), |all| all.rows.clone());
        if self.what == Listed::More {
            // Each keeps its number, wherever it stands.
            all.sort_by_key(|row| self.table.rows.get(*row).is_some_and(|row| is_not_now(row)));
        }
        let Some(search) = &self.search else { return all };
        if self.what == Listed::Kinds {
            return kinds::found(search, &self.table.words);
        }
        let words = |row: usize| self.table.words.get(row).map_or("", String::as_str);
        if self.what == Listed::Record {
            return all.into_iter().filter(|row| finds(search, words(*row))).collect();
        }
        if self.what == Listed::Compare {
            return all.into_iter().filter(|row| found(search, words(*row))).collect();
        }
        let search = search.to_lowercase();
        let fits = |row: &usize| search.split_whitespace().all(|word| words(*row).contains(word));
        all.into_iter().filter(fits).collect()
    }

    /// Tells whether the cursor is on the last row of the list of engines, which makes a new one.
    pub(super) fn is_at_new_engine(&self) -> bool {
        self.what == Listed::Shop && self.row().is_some_and(|row| row + 1 == self.table.rows.len())
    }

    /// Tells whether the kinds are searched in vain: then only the line of one's own is left.
    pub(super) fn finds_nothing(&self) -> bool {
        let searched = self.search.as_ref().is_some_and(|search| !search.trim().is_empty());
        self.what == Listed::Kinds && searched && self.shown().len() == 1
    }

    /// Returns the next of the table's orders, from its first row on; `None` where there is but one.
    pub(super) fn reordered(&self) -> Option<List> {
        let orders = self.table.orders.len();
        let order = (self.order + 1).checked_rem(orders).filter(|_| orders > 1)?;
        Some(List { order, cursor: 0, number: String::new(), ..self.clone() })
    }

    /// Says in which order the rows stand.
    pub fn order_words(&self) -> Option<&'static str> {
        self.table.orders.get(self.order).map(|order| order.words)
    }

    /// Tells whether something is searched.
    pub fn begun(&self) -> Begun {
        if self.search.is_some() { Begun::Yes } else { Begun::No }
    }

    /// Returns the place of the row under the cursor.
    pub fn row(&self) -> Option<usize> {
        self.shown().get(self.cursor).copied()
    }

    /// Returns what is read from afar of the row under the cursor, of an engine its name, and the rows that
    /// it takes at most.
    pub(super) fn large(&self) -> Option<(String, u16)> {
        let row = self.table.rows.get(self.row()?)?;
        match self.what {
            Listed::Compare => Some((compared::large(row), LARGEST)),
            Listed::Shop => row.first().map(|name| (name.to_uppercase(), NAMED)),
            Listed::Kinds
            | Listed::Engine
            | Listed::More
            | Listed::Meanwhile
            | Listed::Kept
            | Listed::Record
            | Listed::Records
            | Listed::Watched => None,
        }
    }

    /// Searches for something else, or for nothing; then the cursor stays on the row that was found.
    pub(super) fn searching(&self, search: Option<String>) -> List {
        let row = self.row().filter(|_| !self.finds_nothing()).unwrap_or(0);
        let mut list = List { cursor: 0, search, number: String::new(), ..self.clone() };
        if list.search.is_none() {
            list.cursor = list.shown().iter().position(|shown| *shown == row).unwrap_or(0);
        }
        list
    }

    /// Shows the same list as it is now, with the cursor on the row that it was on.
    pub(super) fn renewed(&self, table: Table) -> List {
        let under = self.row().and_then(|row| self.table.words.get(row));
        let row = under.and_then(|words| table.words.iter().position(|other| other == words));
        let order = if self.order < table.orders.len() { self.order } else { 0 };
        let list = List { search: self.search.clone(), order, ..List::new(self.what, table) };
        let place = list.shown().iter().position(|shown| Some(*shown) == row);
        List { cursor: place.unwrap_or(0), ..list }
    }

    /// Puts the cursor on a row by its number; a digit more makes a longer number.
    pub(super) fn numbered(&self, digit: u8) -> Option<List> {
        let row = |number: &str| {
            let row = number.parse::<usize>().ok()?.checked_sub(1)?;
            (row < self.table.rows.len()).then_some(row)
        };
        let begun = if self.goes_on() { self.number.as_str() } else { "" };
        let number = format!("{begun}{digit}").trim_start_matches('0').to_owned();
        let place = |row: usize| match self.what {
            Listed::More => self.shown().iter().position(|shown| *shown == row),
            _ => Some(row),
        };
        if self.table.rows.len() <= 9 || number.is_empty() {
            return row(&number).and_then(place).map(|cursor| List {
                cursor,
                number,
                ..self.clone()
            });
        }
        // What no row has stands there as it was typed: it is not cut to a number that one has.
        let cursor = row(&number).and_then(place).unwrap_or(self.cursor);
        Some(List { cursor, number, ..self.clone() })
    }

    /// Tells whether a digit more can make the number of another row of what is typed so far: else the next
    /// one begins anew.
    pub(super) fn goes_on(&self) -> bool {
        let row = self.number.parse::<usize>();
        row.is_ok_and(|row| (1..=self.table.rows.len()).contains(&row.saturating_mul(10)))
    }

    /// Tells whether the digits typed so far are the number of no row: then Enter opens none, and the next
    /// digit begins anew.
    pub(super) fn is_no_number(&self) -> bool {
        let row = self.number.parse::<usize>().ok();
        !self.number.is_empty()
            && !row.is_some_and(|row| (1..=self.table.rows.len()).contains(&row))
    }
}
