//! An engine's past, leafed through: which of its pages is open, which valves and services are shown
//! and in which order.
//!
//! What is typed in the glance chooses valves, and so the pages that are leafed through; what is typed
//! on a valve's page chooses its services.

use super::keymap::{Begun, Turn};
use super::screens::past_charts::Named;
use crate::report::history_sheet::Page;
use crate::report::orders::found;

/// An engine's past on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// All at a glance, then a page a valve.
    pages: Vec<Page>,
    /// The page that is open, among those shown.
    at: usize,
    valves: Sift,
    services: Sift,
}

/// What is shown of a table, and in which order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Sift {
    search: Option<String>,
    order: usize,
}

impl Sift {
    fn rows(&self, page: &Page) -> Vec<usize> {
        let order = page.orders.get(self.order);
        let all = order.map_or_else(|| (0..page.rows.len()).collect(), |all| all.rows.clone());
        let Some(search) = &self.search else { return all };
        let words = |row: usize| page.words.get(row).map_or("", String::as_str);
        all.into_iter().filter(|row| found(search, words(*row))).collect()
    }

    /// Says what is shown, and in which order: "8 valves, by valve".
    fn words(&self, page: &Page, things: &str) -> String {
        let all = page.rows.len();
        let order = page.orders.get(self.order).map_or("", |order| order.words);
        match (&self.search, self.rows(page).len()) {
            (None, _) => format!("{all} {things}, {order}; letters search"),
            (Some(search), 0) => format!("search: {search}_  nothing found; Esc: all {things}"),
            (Some(search), shown) => {
                format!("search: {search}_  {shown} of {all} {things}, {order}")
            }
        }
    }
}

impl Past {
    /// Opens a past at its glance.
    pub fn new(pages: Vec<Page>) -> Past {
        Past { pages, at: 0, valves: Sift::default(), services: Sift::default() }
    }

    /// Returns the place of the open page among those shown, and how many these are.
    pub fn place(&self) -> (usize, usize) {
        (self.at, self.shown().len() + 1)
    }

    /// Returns the valves that are shown, by their rows in the glance.
    fn shown(&self) -> Vec<usize> {
        self.pages.first().map_or(Vec::new(), |glance| self.valves.rows(glance))
    }

    /// Returns the open page as it is to be shown: its rows found and in order, and that in words.
    pub fn page(&self) -> Option<(Page, String)> {
        let glance = self.pages.first()?;
        let valve = self.at.checked_sub(1).and_then(|at| self.shown().get(at).copied());
        let (page, sift, things) = match valve {
            Some(valve) => (self.pages.get(valve + 1)?, &self.services, "services"),
            None => (glance, &self.valves, "valves"),
        };
        let rows = sift.rows(page).into_iter().filter_map(|row| page.rows.get(row)).cloned();
        let shown = Page { rows: rows.collect(), ..page.clone() };
        Some((shown, sift.words(page, things)))
    }

    /// Returns the charts of the valves that the glance shows, in its order; none on the page of a valve.
    pub fn charts(&self) -> Vec<Named> {
        let Some(glance) = self.pages.first().filter(|_| self.at == 0) else { return Vec::new() };
        let named = |valve: usize| {
            let name = glance.rows.get(valve)?.first()?.trim().to_owned();
            let page = self.pages.get(valve + 1)?;
            Some((name, page.chart.clone()?, page.unit))
        };
        self.shown().into_iter().filter_map(named).collect()
    }

    /// Tells whether something is searched in what is open.
    pub fn begun(&self) -> Begun {
        if self.search().is_some() { Begun::Yes } else { Begun::No }
    }

    /// Returns what is searched in what is open.
    pub fn search(&self) -> Option<&str> {
        let sift = if self.at == 0 { &self.valves } else { &self.services };
        sift.search.as_deref()
    }

    /// Searches for something else in what is open, or for nothing.
    #[must_use]
    pub fn searching(mut self, search: Option<String>) -> Past {
        self.sift().search = search;
        self
    }

    /// Shows what is open in its next order.
    #[must_use]
    pub fn reordered(mut self) -> Past {
        let orders = self.page().map_or(0, |(page, _)| page.orders.len());
        let sift = self.sift();
        sift.order = (sift.order + 1).checked_rem(orders).unwrap_or(0);
        self
    }

    fn sift(&mut self) -> &mut Sift {
        if self.at == 0 { &mut self.valves } else { &mut self.services }
    }

    /// Turns to another page; what was searched in the services of one valve is not in the next.
    #[must_use]
    pub fn turned(mut self, turn: Turn) -> Past {
        let at = match turn {
            Turn::Back => self.at.saturating_sub(1),
            Turn::On => (self.at + 1).min(self.shown().len()),
        };
        if at != self.at {
            self.services.search = None;
        }
        self.at = at;
        self
    }
}
