//! A look back from the screens: comparisons, an engine's past, the records of its services.

use super::Shell;
use crate::cli::fail::Fail;
use crate::cli::history;
use crate::cli::record::of_file;
use crate::cli::workshop::{Workshop, day_is_doubtful, day_of};
use crate::domain::plain::plain;
use crate::domain::service;
use crate::domain::session::Session;
use crate::domain::valve::{Several, Valve};
use crate::guide::untold;
use crate::report::dates;
use crate::report::history_sheet::{self, Page};
use crate::report::record;
use crate::store::engines::Engine;
use crate::tui::compared;
use crate::tui::job::Table;
use std::collections::BTreeSet;

impl Shell<'_> {
    /// Compares the session on the bench with the one before.
    pub(super) fn compare(&self) -> Result<Table, Fail> {
        let Some(desk) = &self.desk else {
            return Err(Fail::work("no session is open", "choose an engine, then compare"));
        };
        let untold = desk.session.state.untold();
        match desk.previous.clone() {
            Some(previous) => Ok(compared::without(&untold, previous, desk.service())),
            None => Err(Fail::work("this is the first service of this engine", "")),
        }
    }

    /// Works out the past of the engine in hand.
    pub(super) fn past(&mut self) -> Result<Vec<Page>, Fail> {
        let Some(desk) = &self.desk else {
            return Err(Fail::work("no session is open", "choose an engine"));
        };
        let (engine, untold) = (desk.engine().clone(), desk.session.state.untold());
        self.past_of(&engine, &untold)
    }

    pub(super) fn past_at(&mut self, row: usize) -> Result<Vec<Page>, Fail> {
        let Some(engine) = self.rows.get(row).cloned() else {
            return Err(Fail::work("a new engine has no past", "choose one that was gauged"));
        };
        let untold = untold_of(self.workshop, &engine)?;
        self.past_of(&engine, &untold)
    }

    fn past_of(&mut self, engine: &Engine, untold: &BTreeSet<Valve>) -> Result<Vec<Page>, Fail> {
        let (history, notes) = history::of(self.workshop, engine, untold)?;
        let mut pages = history_sheet::pages(&history);
        if let Some(glance) = pages.first_mut() {
            // What the figures leave out is read with them, however much it is.
            glance.lines.splice(0..0, notes.iter().map(|note| plain(note)));
            let known = history.valves.iter().map(|past| past.valve);
            let several = Several::of(known.chain(untold.iter().copied()));
            glance.lines.splice(0..0, untold::left_out(untold, several));
        }
        Ok(pages)
    }

    pub(super) fn compare_at(&self, row: usize) -> Result<Table, Fail> {
        let Some(engine) = self.rows.get(row) else {
            return Err(Fail::work("there is nothing to compare yet", ""));
        };
        let services = self.workshop.services(engine, self.workshop.sessions_of(engine)?);
        let (older, newer) = service::choose(&services.things, None, None)
            .map_err(|no_pair| Fail::work(no_pair.to_string(), no_pair.hint()))
            .map_err(|none| self.workshop.beside_unopened(engine, none))?;
        let untold = untold_of(self.workshop, engine)?;
        let mut table = compared::without(&untold, older.clone(), newer.clone());
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
            let none = Fail::work("no service of it yet", "Enter begins one");
            return Err(self.workshop.beside_unopened(&engine, none));
        }
        let rows = listed.iter().map(|one| {
            let how = match (one.signed, one.sealed) {
                (true, _) => "signed",
                (false, true) if one.imported => "imported",
                (false, true) => "closed unsigned",
                (false, false) => "open",
            };
            let damaged = if one.verdict.is_damage() { ", damaged" } else { "" };
            let day = dates::marked(day_of(one), day_is_doubtful(one));
            vec![day, plain(&one.full_name()), format!("{how}{damaged}")]
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
        if let Some(words) = untold::no_record(first_untold(self.workshop, engine)?) {
            return Err(Fail::work(words, "look at it after the reading is kept"));
        }
        let opened = self.workshop.read(&listed.get(row).ok_or_else(none)?.path)?;
        let session = Session::replay(&opened.entries)
            .ok_or_else(|| Fail::work("the session has no beginning", opened.verdict.hint()))?;
        let earlier = self.workshop.earlier(engine, &session);
        let sheet = record::sheet(&session, &earlier, of_file(&opened));
        Ok(Table::of_sheet("The record", sheet))
    }
}

/// Returns the valves of an engine that are to be gauged at the stop in hand of a session that is open,
/// here or in another terminal.
fn untold_of(workshop: &Workshop, engine: &Engine) -> Result<BTreeSet<Valve>, Fail> {
    let open = open_of(workshop, engine)?;
    Ok(open.iter().flat_map(|session| session.state.untold()).collect())
}

/// Names the first of them.
fn first_untold(workshop: &Workshop, engine: &Engine) -> Result<Option<String>, Fail> {
    let name = |session: &Session| {
        session.state.untold().first().map(|valve| session.state.name_of(*valve))
    };
    Ok(open_of(workshop, engine)?.iter().find_map(name))
}

/// Reads the sessions of an engine that are open. What cannot be read is told where it is looked at.
fn open_of(workshop: &Workshop, engine: &Engine) -> Result<Vec<Session>, Fail> {
    let open = workshop.open_sessions(engine, None)?.things;
    let read =
        open.iter().filter_map(|one| Session::replay(&workshop.read(&one.path).ok()?.entries));
    Ok(read.collect())
}
