//! The shop: every engine with its hours, its last service and the next one, what needs attention
//! first. The command line and the full screen both list it from here.

use super::attention::Attention;
use super::beforehand::profiles_unread;
use super::clock_now::doubted_now;
use super::fail::Fail;
use super::file_words::{cut_off, cut_short, is_of_nobody_knows, not_whole};
use super::left_out::left_out;
use super::remade::lost_words;
use super::shop_open::{Own, tell_what_is_open};
use super::unread::gone_in_short;
use super::versions::of_the_open;
use super::workshop::{Found, Workshop, day_is_doubtful, day_of, offset_by};
use crate::domain::entry::{Hours, Moment};
use crate::domain::plain::plain;
use crate::domain::service::on_day;
use crate::domain::session::Gravity;
use crate::domain::trend::{Because, FORECAST_MIN, History};
use crate::report::dates;
use crate::report::history_json::next_day;
use crate::report::next_sheet::at_hours;
use crate::report::orders::Order;
use crate::store::engines::{self, Engine};
use crate::store::hash::hex_of_sha256;
use crate::store::nexts::{Next, Nexts};
use crate::store::profiles;
use crate::store::sessions::is_harmless;
use crate::store::sessions::{self, Glance};
use crate::store::still_open::StillOpen;
use crate::store::verify::{Gone, sessions_gone};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

/// Most engines whose history is worked out for one listing; the others' turn comes with the next.
const AT_ONCE: usize = 200;
/// Version of what the noted next checks mean; what was noted by another is worked out anew.
const MEANING: u32 = 9;
/// Hours before the next service from which it is said to come soon.
const SOON: i64 = 1_000;

/// An engine of the shop.
#[derive(Clone, Debug)]
pub struct Row {
    /// The engine.
    pub engine: Engine,
    /// Day of the last service that was ended.
    pub last: Option<String>,
    /// Whether that day is not to be believed.
    pub last_doubtful: bool,
    /// The next service, by the engine's counter.
    pub next_hours: Option<Hours>,
    /// The day by which it comes at the latest, where the profile counts months.
    pub next_day: Option<String>,
    /// Whether the next service has still to be worked out: then neither is known.
    pub not_yet: bool,
    /// The session that is open and can be gone on with.
    pub open: Option<String>,
    /// Whether that is for practice: it is no service of the engine.
    pub practice: bool,
    /// What the last service left open where it was ended, or where its file is damaged; of one that is
    /// gone on with what is dangerous.
    pub left_open: Vec<String>,
    /// All that the last service has or left open, dangerous or not, gone on with or ended.
    pub all_open: Vec<String>,
    /// How grave the gravest of that is.
    pub gravest: Option<Gravity>,
    /// The valves that services left out of their band, the gravest first.
    pub left_out: Vec<String>,
    /// How the file of a service that has not ended is damaged.
    pub damaged: Option<String>,
    /// The services that are gone, and may be of this engine.
    pub gone: Vec<String>,
    /// Those of which it is known that they are kept in another folder.
    pub elsewhere: Vec<String>,
    /// Whether one of either may be open.
    pub gone_open: bool,
    /// Versions of the last service that are still open in a file of their own, though another one has ended.
    pub open_versions: Vec<String>,
    /// What needs attention.
    pub attention: Attention,
}

impl Row {
    /// Returns what needs attention most, the valves that were left out of their band among it.
    pub fn foremost(&self) -> Attention {
        let left_out =
            if self.left_out.is_empty() { Attention::Nothing } else { Attention::LeftOut };
        let gone = if self.gone_open { Attention::Gone } else { Attention::Nothing };
        self.attention.min(left_out).min(gone)
    }

    /// Returns what the row is searched by: name, serial number, profile, in small letters.
    pub fn words(&self) -> String {
        let Engine { name, serial, profile, .. } = &self.engine;
        plain(&[name.as_str(), serial, profile].join(" \u{b7} ")).to_lowercase()
    }

    /// Says what needs attention, with what was left open: "LEFT OPEN: NUT SLACK: 1 intake".
    pub fn attention_words(&self) -> String {
        let about = self.about_the_service();
        let mut parts = self.before_it();
        parts.extend((!about.is_empty()).then_some(about));
        parts.extend(self.open_versions.iter().cloned());
        parts.join("; ")
    }

    /// Says what the session that is open has open: all that is dangerous; else the first of what is still
    /// to be closed up, so that nobody takes the engine for ready.
    pub fn still_open(&self) -> String {
        match (self.left_open.as_slice(), self.all_open.as_slice()) {
            ([], [first, more @ ..]) if !more.is_empty() => {
                format!("{first} and {} more", more.len())
            }
            ([], all) => all.concat(),
            (dangers, _) => dangers.join("; "),
        }
    }

    /// Says all of what the session that is open has open, for whatever has room for it.
    pub fn all_still_open(&self) -> String {
        if self.left_open.is_empty() { self.all_open.join("; ") } else { self.left_open.join("; ") }
    }

    fn about_the_service(&self) -> String {
        let words = match self.attention {
            Attention::Open if self.practice => "PRACTICE, OPEN: go on",
            attention => attention.words(),
        };
        let left = self.left_open.iter().map(String::as_str);
        let open = self.open.as_ref().map(|_| Attention::Open.words());
        let told: Vec<&str> = match self.attention {
            Attention::Damaged => left.chain(open).collect(),
            Attention::LeftOpen => left.collect(),
            // It is read before it is gone on with.
            Attention::Open if !self.all_open.is_empty() => {
                return format!("{}; {words}", self.still_open());
            }
            Attention::Open
            | Attention::Gone
            | Attention::Unsigned
            | Attention::Due
            | Attention::Never
            | Attention::LeftOut
            | Attention::NotYet
            | Attention::Soon
            | Attention::Nothing => Vec::new(),
        };
        if told.is_empty() { words.to_string() } else { format!("{words}: {}", told.join("; ")) }
    }

    /// Says when the last service was, marked where nobody can believe the day.
    pub fn last_words(&self) -> Option<String> {
        Some(dates::marked(self.last.clone()?, self.last_doubtful))
    }

    /// Says when the next service comes: "462.6 h or 2027-03-14".
    pub fn next_words(&self) -> String {
        if self.not_yet {
            return "not worked out yet".into();
        }
        // Before the counter was a new one: by that no figure can be told.
        let hours = self.next_hours.map(|hours| match hours < Hours(0) {
            true => "now".to_owned(),
            false => format!("{hours} h"),
        });
        let both: Vec<String> = hours.into_iter().chain(self.next_day.clone()).collect();
        both.join(" or ")
    }
}

/// Lists the engines, what needs attention first, with what the user must be told beside. The next
/// service is that of the engine's history, which is noted once it is worked out. An engine with too
/// few services for a forecast, each of all its valves, needs no history: the signer's choice, else
/// the profile's interval. One that has no service yet is due by the first interval.
pub fn rows(workshop: &Workshop, now: Moment) -> Result<(Vec<Row>, Vec<String>), Fail> {
    let listing = engines::list(workshop.folder())?;
    let known = workshop.sessions()?;
    let mut notes: Vec<String> = doubted_now(now, &known.things).into_iter().collect();
    notes.extend(listing.broken.iter().map(|broken| format!("left out: {broken}")));
    notes.extend(listing.copies.iter().map(ToString::to_string));
    notes.extend(known.notes);
    let gone = sessions_gone(workshop.folder(), &known.things).unwrap_or_default();
    notes.extend(gone_in_short(&gone));
    let whose = Gone::by_engine(&gone, &listing.engines);
    notes.extend(lost_words(&known.things, &listing));
    let (dealt, of_none) = sessions::by_engine(&known.things, &listing.engines);
    notes.extend(of_none.into_iter().filter(|one| is_of_nobody_knows(one)).map(not_whole));
    let mut intervals = Intervals { root: workshop.root(), read: BTreeMap::new() };
    notes.extend(profiles_unread(workshop.root(), &listing.engines));
    let folder = workshop.folder();
    let (mut nexts, mut still) = (Nexts::load(folder), StillOpen::load(folder));
    let parted: Vec<&Glance> = known.things.iter().filter(|one| one.version.is_some()).collect();
    let (mut worked_out, mut put_off, mut rows) = (0, 0, Vec::new());
    let all = listing.engines.len();
    for (done, (engine, mut its)) in listing.engines.into_iter().zip(dealt).enumerate() {
        let flaw = engine.flaw();
        notes.extend(flaw.map(|flaw| plain(&format!("the file of {}: {flaw}", engine.name))));
        let own = Own::of(&known.things, &parted, &its, (done, all));
        its.retain(|one| one.version.is_none_or(|version| version.counts));
        notes.extend(of_the_open(workshop, &own, &engine, &its));
        notes.extend(its.iter().filter_map(|one| cut_off(workshop.folder(), &engine, one)));
        notes.extend(its.iter().filter_map(|one| cut_short(workshop.folder(), one)));
        let ended = its.iter().filter(|one| one.sealed && one.verdict.is_damage());
        notes.extend(ended.map(|one| format!("{}: {}", plain(&engine.name), not_whole(one))));
        let gauged = its.iter().filter(|one| one.sealed).count();
        let plain = its.iter().filter(|one| counts(one)).all(|one| !one.partial);
        let next = if gauged < FORECAST_MIN && plain {
            ByHistory::NotNeeded
        } else {
            let from = worked_out_from(&engine, &its);
            match nexts.get(&engine.id, &from) {
                None if worked_out == AT_ONCE => {
                    put_off += 1;
                    ByHistory::PutOff
                }
                None => {
                    worked_out += 1;
                    workshop.folder().progress().so_far("working out next checks", done, all);
                    let next = next_of(workshop, &engine, &its);
                    nexts.set(&engine.id, from, &next);
                    ByHistory::Says(next)
                }
                Some(noted) => ByHistory::Says(noted),
            }
        };
        let left_out = match &next {
            ByHistory::Says(noted) => noted.left_out.clone(),
            ByHistory::NotNeeded | ByHistory::PutOff => left_out_of(workshop, &engine, &its),
        };
        let mut row = Row { left_out, ..row(engine, &its, &mut intervals, next, now) };
        tell_what_is_open(workshop, &mut still, &own, &its, &mut row);
        row.tell_gone(whose.get(done).map_or(&[], Vec::as_slice));
        rows.push(row);
    }
    nexts.save(workshop.folder());
    still.save(workshop.folder());
    if put_off > 0 {
        notes.push(format!(
            "{put_off} engines: the next service by interval only, or not worked out yet; \
             list them again"
        ));
    }
    // What is harmless comes behind all that is not: a small window shows the first of them.
    notes.sort_by_key(|note| is_harmless(note));
    rows.sort_by_cached_key(|row| (row.foremost(), row.engine.name.to_lowercase()));
    Ok((rows, notes))
}

/// Tells of one engine what the list of all tells of what is open.
pub(super) fn row_of(workshop: &Workshop, engine: &Engine, now: Moment) -> Result<Row, Fail> {
    let all = workshop.sessions_of(engine)?.things;
    let (mut its, mut still) = (all.iter().collect::<Vec<_>>(), StillOpen::load(workshop.folder()));
    let own = Own::of(&all, &its, &its, (0, 1));
    its.retain(|one| one.version.is_none_or(|version| version.counts));
    let mut intervals = Intervals { root: workshop.root(), read: BTreeMap::new() };
    let mut row = row(engine.clone(), &its, &mut intervals, ByHistory::NotNeeded, now);
    tell_what_is_open(workshop, &mut still, &own, &its, &mut row);
    Ok(row)
}

/// Lists the orders of the list of engines; the row behind the engines, a new one, stays the last.
pub fn orders(rows: &[Row]) -> Vec<Order> {
    let left = |row: &Row| match row.next_hours {
        Some(next) => next.less(row.engine.counter()).0,
        // Nobody knows how long it may still run, or it is due.
        None if row.not_yet || row.attention == Attention::Never => i64::MIN,
        None => i64::MAX,
    };
    // An engine without a service yet stands first: its day is before any other.
    let mut orders = vec![
        Order { words: "what needs attention first", rows: (0..rows.len()).collect() },
        Order::by("by name", rows, |row| row.engine.name.to_lowercase()),
        Order::by("fewest hours left first", rows, left),
        Order::by("longest without a service first", rows, |row| row.last.clone()),
    ];
    orders.iter_mut().for_each(|order| order.rows.push(rows.len()));
    orders
}

/// Tells whether the interval counts from a session, as `domain::trend::counts` of its service.
fn counts(glance: &Glance) -> bool {
    glance.sealed && (glance.signed && !glance.practice || glance.imported)
}

/// Tells apart what an engine's next check is worked out from.
fn worked_out_from(engine: &Engine, its: &[&Glance]) -> String {
    let mut text = format!("{} {MEANING}", env!("CARGO_PKG_VERSION"));
    for told in &engine.hours {
        // Writing into a text cannot fail.
        let _ = write!(text, "|{} {} {}", told.date, told.hours.0, told.offset.0);
    }
    for one in its {
        let Glance { id, entries, last, day, sealed, .. } = one;
        let _ = write!(text, "|{id} {entries} {} {day:?} {sealed}", last.unix_ms);
    }
    hex_of_sha256(text.as_bytes(), 16)
}

/// Works out an engine's next check from its history, running hours over all counters.
fn next_of(workshop: &Workshop, engine: &Engine, its: &[&Glance]) -> Next {
    let things = its.iter().map(|one| (*one).clone()).collect();
    let services = workshop.services(engine, Found { things, notes: Vec::new() }).things;
    let next = History::of(&services, engine.hours_run()).and_then(|history| history.next);
    let left_out = left_out(&services);
    match next {
        Some(next) => {
            let hours = next.hours.map(|hours| at_hours(hours, next.because));
            Next { hours, day: next_day(&next), left_out }
        }
        None => Next { left_out, ..Next::default() },
    }
}

/// Lists the valves that services left out of their band, those for practice aside.
fn left_out_of(workshop: &Workshop, engine: &Engine, its: &[&Glance]) -> Vec<String> {
    let ended = its.iter().rev().filter(|one| one.sealed && !one.practice);
    workshop.left_out_in(engine, &ended.copied().collect::<Vec<_>>())
}

/// What profiles say of intervals. Only those that an engine names are read, and each once: all
/// built-in ones took most of the time to the first frame.
struct Intervals<'a> {
    root: &'a Path,
    read: BTreeMap<String, profiles::Intervals>,
}

impl Intervals<'_> {
    fn get(&mut self, profile: &str) -> profiles::Intervals {
        if let Some(known) = self.read.get(profile) {
            return *known;
        }
        let read = profiles::intervals(profile, self.root);
        *self.read.entry(profile.to_string()).or_insert(read)
    }
}

/// What an engine's history says of its next service.
enum ByHistory {
    /// Nothing else than its last service does.
    NotNeeded,
    /// It is worked out at another listing.
    PutOff,
    /// This; nothing where it says nothing.
    Says(Next),
}

fn row(
    engine: Engine,
    its: &[&Glance],
    intervals: &mut Intervals<'_>,
    history: ByHistory,
    now: Moment,
) -> Row {
    let open = its.iter().rev().find(|one| !one.sealed && !one.is_broken());
    // Days are put into words only for an engine whose counter was replaced or put right.
    let other = engine.hours.iter().any(|told| told.offset.0 != 0 || told.is_correction());
    // Hours are told by the clock's day, whatever day a service was put right to.
    let told_on = |glance: &Glance| dates::day(glance.hours_at);
    // What the counter showed and what the engine had run by then are so far apart.
    let apart = |glance: &Glance| match glance.hours.filter(|_| other) {
        Some(shown) => engine.run_at(shown, &told_on(glance)).less(shown),
        None if other => offset_by(&engine, &told_on(glance)),
        None => Hours(0),
    };
    let run = |glance: &Glance| glance.hours.map(|hours| hours.plus(apart(glance)));
    let chosen = |glance: &Glance| {
        let shown = glance.hours.filter(|_| other);
        glance.next_check.map(|chosen| match shown {
            Some(shown) => engine.chosen_at(chosen, shown, &told_on(glance)),
            None => chosen.plus(apart(glance)),
        })
    };
    let place = |glance: &&&Glance| (run(glance), glance.started.unix_ms);
    let last = its.iter().filter(|one| counts(one)).max_by_key(place);
    let ended_unsigned = last_ended(its, false).is_some_and(|one| !counts(one));
    let interval = intervals.get(&engine.profile);
    let offset = engine.hours_run().less(engine.counter());
    let after = |one: Option<&Glance>| by_interval(one, interval, (run, chosen));
    // Each valve counts from the last service that has a figure of it. While it is not known which
    // those are, the next one comes no later than by the last service, and may come sooner.
    let not_yet = matches!(history, ByHistory::PutOff) && last.is_some_and(|last| last.partial);
    let next = match history {
        ByHistory::Says(next) if next.is_told() => next,
        ByHistory::PutOff => after(last.copied()),
        ByHistory::NotNeeded | ByHistory::Says(_) => {
            let whole = its.iter().filter(|one| counts(one) && !one.partial).max_by_key(place);
            let from = whole.or_else(|| its.iter().filter(|one| counts(one)).min_by_key(place));
            after(from.copied())
        }
    };
    let next_hours = next.hours.map(|hours| hours.less(offset));
    let next_day = next.day;
    let counter = engine.counter();
    let past_day = next_day.as_ref().is_some_and(|day| *day <= dates::day(now));
    let attention = match next_hours {
        _ if open.is_some() => Attention::Open,
        _ if ended_unsigned => Attention::Unsigned,
        _ if past_day => Attention::Due,
        Some(next) if not_yet && next <= counter => Attention::Due,
        _ if not_yet => Attention::NotYet,
        None if last.is_none() => Attention::Never,
        Some(next) if next <= counter && last.is_none() => Attention::Never,
        Some(next) if next <= counter => Attention::Due,
        Some(next) if next.less(counter).0 <= SOON => Attention::Soon,
        Some(_) | None => Attention::Nothing,
    };
    // What passed before anything was gauged here is due now, at whatever hours.
    let passed = last.is_none() && next_hours.is_some_and(|next| next <= counter);
    let known = !passed && !not_yet;
    Row {
        last: last.map(|last| day_of(last)),
        last_doubtful: last.is_some_and(|last| day_is_doubtful(last)),
        next_hours: next_hours.filter(|_| known),
        next_day: next_day.filter(|_| !not_yet),
        not_yet,
        open: open.map(|open| open.name.clone()),
        practice: open.is_some_and(|open| open.practice),
        left_open: Vec::new(),
        open_versions: Vec::new(),
        all_open: Vec::new(),
        gravest: None,
        left_out: Vec::new(),
        gone: Vec::new(),
        elsewhere: Vec::new(),
        gone_open: false,
        damaged: None,
        attention,
        engine,
    }
}

/// Finds the last service that has ended here, in the order of the folder: by the day as it was put right.
/// What was typed in from a table since says nothing of the engine as it stands.
pub(super) fn last_ended<'a>(its: &[&'a Glance], practice: bool) -> Option<&'a Glance> {
    let ended = |one: &&&Glance| one.sealed && !one.imported && (practice || !one.practice);
    its.iter().rev().find(ended).copied()
}

/// Says when the next check is by a service alone: its signer's choice, else the interval; before the
/// first one by the first interval. All in running hours over all counters: what the engine had `run` at a
/// service, and what its signer has `chosen`.
fn by_interval(
    from: Option<&Glance>,
    interval: profiles::Intervals,
    (run, chosen): (impl Fn(&Glance) -> Option<Hours>, impl Fn(&Glance) -> Option<Hours>),
) -> Next {
    // As the history tells them: the mechanic's choice to the hundredth, all else to the tenth.
    let tenths = |hours: f64| at_hours(hours, Because::Interval);
    let Some(from) = from else {
        let hours = interval.first_hours.or(interval.hours).map(tenths);
        return Next { hours, ..Next::default() };
    };
    let by_interval = run(from).zip(interval.hours).map(|(run, hours)| tenths(run.hours() + hours));
    let day = interval
        .months
        .filter(|_| !day_is_doubtful(from))
        .and_then(|months| dates::after_months(on_day(from.started, from.day.as_deref()), months));
    Next { hours: chosen(from).or(by_interval), day, ..Next::default() }
}

/// Keeps the rows in which a word stands: in the engine's name, serial number or profile.
pub fn matching(rows: Vec<Row>, word: &str) -> Vec<Row> {
    let word = word.to_lowercase();
    rows.into_iter().filter(|row| row.words().contains(&word)).collect()
}
