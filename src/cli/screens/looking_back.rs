//! A look back from the screens: comparisons, an engine's past, the records of its services.

use super::Shell;
use crate::cli::fail::Fail;
use crate::cli::history;
use crate::cli::open_session::OpenSession;
use crate::cli::workshop::day_of;
use crate::domain::compare;
use crate::domain::plain::plain;
use crate::domain::service;
use crate::domain::session::Session;
use crate::report::history_sheet::{self, Page};
use crate::report::record;
use crate::store::engines::Engine;
use crate::store::journal::Verdict;
use crate::tui::compared;
use crate::tui::job::Table;

impl Shell<'_> {
    /// Compares the session on the bench with the one before.
    pub(super) fn compare(&self) -> Result<Table, Fail> {
        let Some(desk) = &self.desk else {
            return Err(Fail::work("no session is open", "choose an engine, then compare"));
        };
        not_while_gauging(desk)?;
        match &desk.previous {
            Some(previous) => Ok(compared::table(&compare::compare(previous, &desk.service()))),
            None => Err(Fail::work("this is the first service of this engine", "")),
        }
    }

    /// Works out the past of the engine in hand.
    pub(super) fn past(&mut self) -> Result<Vec<Page>, Fail> {
        let Some(desk) = &self.desk else {
            return Err(Fail::work("no session is open", "choose an engine"));
        };
        not_while_gauging(desk)?;
        let engine = desk.engine().clone();
        self.past_of(&engine)
    }

    pub(super) fn past_at(&mut self, row: usize) -> Result<Vec<Page>, Fail> {
        let Some(engine) = self.rows.get(row).cloned() else {
            return Err(Fail::work("a new engine has no past", "choose one that was gauged"));
        };
        self.past_of(&engine)
    }

    fn past_of(&mut self, engine: &Engine) -> Result<Vec<Page>, Fail> {
        let (history, notes) = history::of(self.workshop, engine)?;
        self.notes.extend(notes);
        Ok(history_sheet::pages(&history))
    }

    pub(super) fn compare_at(&self, row: usize) -> Result<Table, Fail> {
        let Some(engine) = self.rows.get(row) else {
            return Err(Fail::work("there is nothing to compare yet", ""));
        };
        let services = self.workshop.services(engine, self.workshop.sessions_of(engine)?);
        let (older, newer) = service::choose(&services.things, None, None)
            .map_err(|no_pair| Fail::work(no_pair.to_string(), no_pair.hint()))?;
        let mut table = compared::table(&compare::compare(older, newer));
        table.lines.extend(services.notes.iter().map(|note| plain(note)));
        Ok(table)
    }

    /// Lists the services of an engine, the newest first, to read the record of one.
    pub(super) fn records_at(&mut self, row: usize) -> Result<Table, Fail> {
        let Some(engine) = self.rows.get(row).cloned() else {
            return Err(Fail::work("a new engine has no records", "choose one that was gauged"));
        };
        let found = self.workshop.sessions_of(&engine)?;
        let mut listed = found.things;
        listed.reverse();
        if listed.is_empty() {
            return Err(Fail::work("no service of it yet", "Enter begins one"));
        }
        let rows = listed.iter().map(|one| {
            let how = match (one.signed, one.sealed) {
                (true, _) => "signed",
                (false, true) if one.imported => "imported",
                (false, true) => "closed unsigned",
                (false, false) => "open",
            };
            vec![day_of(one), plain(&one.full_name()), how.to_string()]
        });
        let table = Table {
            title: format!("{}: the record of which service?", plain(&engine.name)),
            lines: found.notes.iter().map(|note| plain(note)).collect(),
            head: ["day", "service", ""].map(String::from).to_vec(),
            rows: rows.collect(),
            ..Table::default()
        };
        self.services = Some((engine, listed));
        Ok(table)
    }

    pub(super) fn record_of(&self, row: usize) -> Result<Table, Fail> {
        let none = || Fail::work("there is no such service", "go back and choose again");
        let (engine, listed) = self.services.as_ref().ok_or_else(none)?;
        let opened = self.workshop.read(&listed.get(row).ok_or_else(none)?.path)?;
        let session = Session::replay(&opened.entries)
            .ok_or_else(|| Fail::work("the session has no beginning", opened.verdict.hint()))?;
        let earlier = self.workshop.earlier(engine, &session);
        let sheet = record::sheet(&session, &earlier, opened.seal_code.as_deref());
        let mut table = Table::of_sheet("The record", sheet);
        if opened.verdict != Verdict::Clean {
            table.lines.push(plain(&opened.verdict.to_string()));
        }
        Ok(table)
    }
}

/// What a valve read before is on no screen before its reading is kept.
fn not_while_gauging(desk: &OpenSession<'_>) -> Result<(), Fail> {
    let Some(valve) = desk.session.state.due().untold() else { return Ok(()) };
    let error = format!("{valve} is to be gauged first: its past would tell what to expect");
    Err(Fail::work(error, "look at it after the reading is kept"))
}
