//! What an import would do: which engines and sessions it makes, what it passes over, what is wrong.

use super::hours::Known;
use crate::cli::engine_profile;
use crate::cli::export::rows_of;
use crate::cli::fail::Fail;
use crate::cli::workshop::{Workshop, offset_by, parse, service_of};
use crate::domain::entry::{Head, Hours, Moment, ProfileText, Step};
use crate::domain::flat::{self, Owner, Row};
use crate::domain::plain::plain;
use crate::domain::reading::Meaning;
use crate::domain::session::Session;
use crate::domain::valve::Valve;
use crate::report::dates;
use crate::store::StoreError;
use crate::store::engines::{self, Counter, Engine};
use crate::store::hash::new_id;
use crate::store::journal;
use crate::store::profiles;
use crate::store::sessions::{self, Glance};
use crate::store::table::{self, Given, Problem};
use std::collections::BTreeMap;

/// A session of the table.
pub struct Taken {
    /// The engine's name.
    pub engine: String,
    /// The session's name.
    pub name: String,
    /// When it began.
    pub began: Moment,
    /// Running hours over all counters.
    pub hours: Hours,
    /// Readings that are taken.
    pub readings: usize,
    /// Readings that are here already.
    pub passed_over: usize,
    /// Whether the table has no reading of some valve of its engine.
    pub lacks_valves: bool,
    /// The file's name and bytes; `None` where the session is here.
    pub made: Option<(String, Vec<u8>)>,
}

/// What an import does.
#[derive(Default)]
pub struct Plan {
    /// Engines to be made.
    pub engines: Vec<Engine>,
    /// The table's sessions.
    pub sessions: Vec<Taken>,
    /// Hours of engines that are here.
    pub hours: Vec<Raised>,
    /// What is wrong.
    pub problems: Vec<Problem>,
    /// What the user should know though it is taken.
    pub notes: Vec<String>,
}

/// An engine that is here, and whose counter stands higher by the table.
pub struct Raised {
    /// The engine's identity.
    pub id: String,
    /// Its name.
    pub engine: String,
    /// What its counter showed last.
    pub from: Hours,
    /// What it showed at a session of the table.
    pub to: Hours,
    /// The day of that session.
    pub day: String,
    /// That session's name.
    pub session: String,
    /// Its first line.
    pub line: u64,
}

struct Making<'a> {
    workshop: &'a Workshop,
    engines: Vec<Engine>,
    /// The files of engines that cannot be read.
    unread: engines::Listing,
    known: Vec<Glance>,
    profiles: BTreeMap<String, ProfileText>,
    plan: Plan,
    now: Moment,
    /// Days that are still to come are right, says the user.
    so_it_is: bool,
}

impl Plan {
    /// Works out what an import of these sessions does; `now` goes into identities. `so_it_is`: days that are
    /// still to come are right.
    pub fn make(
        workshop: &Workshop,
        sessions: &[table::Session],
        now: Moment,
        so_it_is: bool,
    ) -> Result<Plan, Fail> {
        let mut listing = engines::list(workshop.folder())?;
        let mut making = Making {
            workshop,
            engines: std::mem::take(&mut listing.engines),
            unread: listing,
            known: workshop.sessions()?.things,
            profiles: BTreeMap::new(),
            plan: Plan::default(),
            now,
            so_it_is,
        };
        for known in profiles::list(workshop.root()).known {
            making.profiles.insert(known.profile.name.clone(), known.profile);
        }
        making.embedded_profiles(sessions);
        making.new_engines(sessions, now);
        for (done, session) in sessions.iter().enumerate() {
            workshop.folder().progress().so_far("making sessions", done, sessions.len());
            making.session(session)?;
        }
        making.hours_of_known_engines(sessions);
        Ok(making.plan)
    }
}

impl Making<'_> {
    fn problem(&mut self, line: u64, what: impl Into<String>) {
        self.plan.problems.push(Problem { line, what: what.into() });
    }

    /// A profile is known too where a session here carries it; the newest one counts.
    fn embedded_profiles(&mut self, sessions: &[table::Session]) {
        let missing = |name: &String| !self.profiles.contains_key(name);
        let mut missing: Vec<String> =
            sessions.iter().map(|session| session.profile.clone()).filter(missing).collect();
        for glance in self.known.iter().rev() {
            if missing.is_empty() {
                return;
            }
            let Ok(opened) = journal::open(&glance.path, &parse) else { continue };
            let Some(head) = opened.head() else { continue };
            if missing.contains(&head.profile.name) {
                missing.retain(|name| *name != head.profile.name);
                self.profiles.insert(head.profile.name.clone(), head.profile.clone());
            }
        }
    }

    fn engine(&self, name: &str) -> Option<&Engine> {
        let name = name.to_lowercase();
        let all = self.engines.iter().chain(&self.plan.engines);
        all.into_iter().find(|engine| engine.name.to_lowercase() == name)
    }

    /// Makes the engines that are not here, each with the hours that its sessions tell.
    fn new_engines(&mut self, sessions: &[table::Session], now: Moment) {
        let mut by_day: Vec<&table::Session> = sessions.iter().collect();
        by_day.sort_by_key(|session| (session.began.unix_ms, session.hours));
        let mut reached: BTreeMap<String, (Hours, String)> = BTreeMap::new();
        for session in by_day {
            let key = session.engine.to_lowercase();
            let line = session.rows.first().map_or(0, |row| row.line);
            if let Some((hours, name)) = reached.get(&key)
                && session.hours < *hours
            {
                let (told, hours) = (session.hours, *hours);
                let what = format!(
                    "`hours` is {told}, but must not be below the {hours} of \"{name}\", which is earlier"
                );
                self.problem(line, what);
                continue;
            }
            let day = dates::day(session.began);
            let fresh = reached.insert(key, (session.hours, session.name.clone())).is_none();
            if fresh && self.engine(&session.engine).is_none() {
                if let Some(taken) = self.unread.taken_by_newer(&session.engine) {
                    self.problem(line, taken.to_string());
                    continue;
                }
                let first = (day.as_str(), session.hours);
                match Engine::new(&session.engine, "", &session.profile, first, now.unix_ms) {
                    Ok(engine) => self.plan.engines.push(engine),
                    Err(error) => self.problem(line, format!("`engine`: {error}")),
                }
                continue;
            }
            let name = session.engine.to_lowercase();
            let made = self.plan.engines.iter_mut().find(|one| one.name.to_lowercase() == name);
            if let Some(engine) = made {
                // Fewer hours were told as a problem above.
                let _ = engine.tell_hours(&day, session.hours, Counter::Same);
            }
        }
    }

    fn session(&mut self, session: &table::Session) -> Result<(), Fail> {
        let line = session.rows.first().map_or(0, |row| row.line);
        let Some(engine) = self.engine(&session.engine).cloned() else { return Ok(()) };
        let Some(profile) = self.profiles.get(&session.profile).cloned() else {
            let name = &session.profile;
            let to_do = if profiles::is_name(name) {
                "put its file into the folder `profiles` first"
            } else {
                "and no file in the folder `profiles` can be called so: a name there has small letters, \
                 digits and hyphens only. Put its file there under such a name, and write that here"
            };
            self.problem(line, format!("the profile \"{name}\" is not known: {to_do}"));
            return Ok(());
        };
        let valves = profile.profile.valves();
        for row in session.rows.iter().filter(|row| !valves.contains(&row.valve)) {
            let what = format!("the profile {} has no valve {}", profile.name, row.valve);
            self.problem(row.line, what);
        }
        let its: Vec<&Glance> = sessions::of_engine(&self.known, &engine)
            .filter(|glance| glance.name == session.name || glance.id == session.name)
            .collect();
        let (here, _) = rows_of(self.workshop, &engine, &its)?;
        if its.is_empty() {
            let known = Known::of(&engine, &self.known);
            if let Some(what) = known.against(session).filter(|_| self.engines.contains(&engine)) {
                self.problem(line, what);
                return Ok(());
            }
            if let Some(what) = self.to_come(session) {
                self.problem(line, what);
                return Ok(());
            }
            self.past_its_limits(session);
            self.doubts(session);
            self.other_profile((session, &engine), &profile);
            self.make(session, &engine, profile);
        } else {
            self.pass_over((session, &engine), here);
        }
        Ok(())
    }

    /// Says why a session on a day that is still to come is not taken: its hours would stand against
    /// every service that comes.
    fn to_come(&self, session: &table::Session) -> Option<String> {
        let (day, today) = (dates::day(session.began), dates::day(self.now));
        (!self.so_it_is && is_to_come(session, self.now)).then(|| {
            format!(
                "`date` is {day}, which is still to come: by this computer's clock today is {today}; put \
                 right which of them is wrong; where both are right, add --so-it-is"
            )
        })
    }

    /// Says of texts that are longer than the questions take them that they are; earlier versions took them, and
    /// what those exported comes in again where the user says so. A session that is here is not asked about.
    fn past_its_limits(&mut self, session: &table::Session) {
        let all =
            session.rows.iter().flat_map(|row| row.past.iter().map(move |past| (row.line, past)));
        for (line, past) in all {
            if self.so_it_is {
                let taken = "taken as it stands, since --so-it-is was said";
                self.plan.notes.push(format!("line {line}: {past}; {taken}"));
            } else {
                let way = "where an earlier version of this program exported it so, add --so-it-is";
                self.problem(line, format!("{past}; {way}"));
            }
        }
    }

    /// Says of what is taken what may be a slip, or cannot be seen where it is printed.
    fn doubts(&mut self, session: &table::Session) {
        let line = session.rows.first().map_or(0, |row| row.line);
        if is_to_come(session, self.now) {
            let day = dates::day(session.began);
            self.plan.notes.push(format!("line {line}: `date` is {day}, which is still to come"));
        }
        for row in &session.rows {
            let texts = [
                ("by", &row.by),
                ("part_out", &row.part_out),
                ("part_in", &row.part_in),
                ("note", &row.note),
            ];
            let hidden = |text: &&String| text.lines().any(|line| plain(line) != line);
            for (column, _) in
                texts.iter().filter(|(_, text)| text.as_ref().filter(hidden).is_some())
            {
                self.plan.notes.push(format!(
                    "line {}: `{column}` holds signs that cannot be seen or act on a terminal; they are \
                     marked wherever it is shown",
                    row.line
                ));
            }
        }
    }

    /// Says of an engine that is here where a session of it is by a profile with other cylinders.
    fn other_profile(&mut self, (session, engine): (&table::Session, &Engine), by: &ProfileText) {
        if session.profile == engine.profile || self.plan.engines.contains(engine) {
            return;
        }
        let line = session.rows.first().map_or(0, |row| row.line);
        let other =
            engine_profile::of_other_cylinders(self.workshop, engine, by.profile.cylinders());
        self.plan.notes.extend(other.map(|words| {
            format!(
                "line {line}: {}, session {}: {words}",
                plain(&engine.name),
                plain(&session.name)
            )
        }));
    }

    /// A session that is here already: each row must be one that it has.
    fn pass_over(&mut self, (session, engine): (&table::Session, &Engine), mut here: Vec<Row>) {
        for given in &session.rows {
            match here.iter().position(|row| differences(session, given, row).is_empty()) {
                Some(place) => {
                    here.remove(place);
                }
                None => {
                    let what = format!(
                        "session \"{}\" is here already, and has no such reading of {}",
                        session.name, given.valve
                    );
                    self.problem(given.line, what);
                }
            }
        }
        self.taken((session, engine), 0, None);
    }

    fn taken(
        &mut self,
        (session, engine): (&table::Session, &Engine),
        readings: usize,
        made: Option<(String, Vec<u8>)>,
    ) {
        let valves = self.profiles.get(&session.profile).map(|known| known.profile.valves());
        let is_read = |valve: &Valve| session.rows.iter().any(|row| row.valve == *valve);
        let lacks_valves = valves.is_some_and(|valves| !valves.iter().all(is_read));
        self.plan.sessions.push(Taken {
            lacks_valves,
            engine: engine.name.clone(),
            name: session.name.clone(),
            began: session.began,
            hours: session.hours,
            readings,
            passed_over: session.rows.len() - readings,
            made,
        });
    }

    fn make(&mut self, session: &table::Session, engine: &Engine, profile: ProfileText) {
        let rows: Vec<Row> = session.rows.iter().map(|given| row(session, given)).collect();
        let meanings: Vec<Meaning> = session.rows.iter().map(|row| row.meaning.clone()).collect();
        let offset = offset_by(engine, &dates::day(session.began));
        let owner = Owner {
            engine_id: engine.id.clone(),
            engine: engine.name.clone(),
            serial: engine.serial.clone(),
            counter: Some(Hours(session.hours.0 - offset.0)),
        };
        let line = session.rows.first().map_or(0, |row| row.line);
        let entries = flat::entries(&owner, &profile.profile, &rows, &meanings);
        let head = Head {
            session: new_id(session.began.unix_ms),
            program: env!("CARGO_PKG_VERSION").into(),
            profile,
        };
        match journal::in_memory(head, &entries, session.began) {
            Ok((name, bytes, kept)) => {
                let replayed = Session::replay(&kept);
                let read_back = replayed.map_or(Vec::new(), |replayed| {
                    flat::rows(&replayed, &service_of(engine, &replayed), &engine.name)
                });
                self.compare(session, &read_back);
                self.taken((session, engine), session.rows.len(), Some((name, bytes)));
            }
            Err(StoreError::Full { .. }) => {
                let what = format!(
                    "session \"{}\" has more readings than a session can hold",
                    session.name
                );
                self.problem(line, what);
            }
            Err(error) => self.problem(line, error.to_string()),
        }
    }

    /// What was made must say what was given; a verdict is worked out anew and only told.
    fn compare(&mut self, session: &table::Session, made: &[Row]) {
        if made.len() != session.rows.len() {
            let line = session.rows.first().map_or(0, |row| row.line);
            self.problem(line, format!("session \"{}\" does not read back whole", session.name));
        }
        for (given, made) in session.rows.iter().zip(made) {
            match differences(session, given, made)[..] {
                [] => {}
                ["verdict"] => {
                    let told = given.verdict.clone().unwrap_or_default();
                    self.plan.notes.push(format!(
                        "line {}: the table says {told}; by the profile {} it is {}",
                        given.line, session.profile, made.verdict
                    ));
                }
                ref columns => {
                    let what = format!("`{}` cannot be kept as it stands", columns.join("`, `"));
                    self.problem(given.line, what);
                }
            }
        }
    }

    /// Engines that are here stand at least at the last hours that the table tells.
    fn hours_of_known_engines(&mut self, sessions: &[table::Session]) {
        for engine in &self.engines {
            let its = sessions
                .iter()
                .filter(|one| one.engine.to_lowercase() == engine.name.to_lowercase());
            let Some(last) = its.max_by_key(|session| session.hours) else { continue };
            let day = dates::day(last.began);
            let told = engine.hours.last();
            let later = told.is_none_or(|told| told.date <= day);
            let offset = told.map_or(0, |told| told.offset.0);
            if last.hours > engine.hours_run() && later {
                self.plan.hours.push(Raised {
                    id: engine.id.clone(),
                    engine: engine.name.clone(),
                    from: engine.counter(),
                    to: Hours(last.hours.0 - offset),
                    day,
                    session: last.name.clone(),
                    line: last.rows.first().map_or(0, |row| row.line),
                });
            }
        }
    }
}

/// Tells whether a session's day, where it was held, is after today and has not begun anywhere.
fn is_to_come(session: &table::Session, now: Moment) -> bool {
    session.began.unix_ms > now.unix_ms && dates::day(session.began) > dates::day(now)
}

/// Makes the row of what was given, with what the table left out worked out.
fn row(session: &table::Session, given: &Given) -> Row {
    let round = match given.step {
        Step::Recheck => 2,
        Step::Found | Step::Try | Step::Left => 1,
    };
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    Row {
        engine: session.engine.clone(),
        profile: session.profile.clone(),
        session: session.name.clone(),
        began: Some(session.began),
        hours: Some(session.hours),
        valve: given.valve,
        round: given.round.unwrap_or(round),
        step: given.step,
        typed: given.meaning.typed.clone(),
        unit: given.meaning.unit,
        low: given.meaning.low,
        high: given.meaning.high,
        verdict: text(&given.verdict),
        by: text(&given.by),
        head: given.head,
        aimed: given.aimed,
        part_out: text(&given.part_out),
        part_in: text(&given.part_in),
        note: text(&given.note),
    }
}

/// Names the columns in which a row differs from what was given; what the table left out, and ends
/// that follow from the leaf set where it gave none, do not count.
fn differences(session: &table::Session, given: &Given, row: &Row) -> Vec<&'static str> {
    let told = |given: &Option<String>, row: &str| given.as_ref().is_none_or(|text| text == row);
    let seconds = |moment: Moment| (moment.unix_ms.div_euclid(1000), moment.offset_min);
    let meaning = &given.meaning;
    let typed = flat::bare(&meaning.typed) == row.typed;
    let ends = (meaning.low, meaning.high) == (row.low, row.high) || !given.ends;
    let same = [
        ("date", row.began.map(seconds) == Some(seconds(session.began))),
        ("hours", row.hours == Some(session.hours)),
        ("profile", row.profile == session.profile),
        ("valve", row.valve == given.valve),
        ("step", row.step == given.step),
        ("round", given.round.is_none_or(|round| round == row.round)),
        ("typed", typed),
        ("unit", row.unit == meaning.unit),
        ("low", ends),
        ("verdict", told(&given.verdict, &row.verdict)),
        ("by", told(&given.by, &row.by)),
        ("temp_c", given.head.is_none_or(|head| row.head == Some(head))),
        ("aimed", given.aimed.is_none_or(|aimed| row.aimed == Some(aimed))),
        ("part_out", told(&given.part_out, &row.part_out)),
        ("part_in", told(&given.part_in, &row.part_in)),
        ("note", told(&given.note, &row.note)),
    ];
    same.into_iter().filter(|(_, same)| !same).map(|(column, _)| column).collect()
}
