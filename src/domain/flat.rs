//! A service as rows of the flat table (contract 7), and back: one row a reading.
//!
//! A try becomes *left* only through what is said of its nut, so that is worked out here both ways.
//! How a row is spelled on paper is the store's business.

use super::entry::{
    Begin, Condition, Entry, Hours, LeafSet, Moment, Nut, NutSaid, Part, PartKind, Reading,
    ReadingUnit, Remark, Seal, Step, Who,
};
use super::limits::{NOTE_MAX, Past, past_a_note};
use super::profile::{Adjuster, Facts};
use super::reading::Meaning;
use super::service::{IMPORTED, Service};
use super::session::{Session, Taken};
use super::units::{Length, LengthUnit, Temperature, TemperatureUnit};
use super::valve::Valve;
use super::verdict::{Band, Interval, judge};
use std::collections::{BTreeMap, BTreeSet};

/// One reading of one service.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The engine's name.
    pub engine: String,
    /// The name that the profile is known by.
    pub profile: String,
    /// The session's name.
    pub session: String,
    /// When the session began.
    pub began: Option<Moment>,
    /// Running hours over all counters.
    pub hours: Option<Hours>,
    /// The valve.
    pub valve: Valve,
    /// The round, from 1.
    pub round: u8,
    /// `found`, `try`, `left` or `recheck`.
    pub step: Step,
    /// As typed, without a unit.
    pub typed: String,
    /// The unit of `typed`.
    pub unit: ReadingUnit,
    /// Lower end of the interval; `None` where open.
    pub low: Option<Length>,
    /// Upper end of the interval; `None` where open.
    pub high: Option<Length>,
    /// The verdict's word.
    pub verdict: String,
    /// Who gauged.
    pub by: String,
    /// Temperature of the head.
    pub head: Option<Temperature>,
    /// What was aimed at.
    pub aimed: Option<Length>,
    /// The part that came out before this reading: its marked size.
    pub part_out: String,
    /// The part that went in.
    pub part_in: String,
    /// What else there is to say.
    pub note: String,
}

/// Stands where a part was changed and its size is not known.
const NO_SIZE: &str = "?";

/// Writes a session's readings as rows, in journal order; withdrawn ones are left out. `service` is
/// what the session came to, with hours over all counters; `engine` is the engine's name now.
pub fn rows(session: &Session, service: &Service, engine: &str) -> Vec<Row> {
    let readings = &session.state.readings;
    let mut last_seq: BTreeMap<Valve, u64> = BTreeMap::new();
    let mut set: BTreeSet<Valve> = BTreeSet::new();
    readings
        .iter()
        .map(|taken| {
            let reading = &taken.reading;
            let valve = reading.valve;
            let since = last_seq.insert(valve, taken.seq).unwrap_or(0);
            let (part_out, part_in) = parts(session, valve, since, taken.seq);
            let step = step(taken);
            let touches = matches!(step, Step::Try | Step::Left) || !part_in.is_empty();
            if touches {
                set.insert(valve);
            }
            let figures = session.state.figures(valve.kind);
            let band =
                if set.contains(&valve) { Band::set(&figures) } else { Band::found(&figures) };
            Row {
                engine: engine.to_string(),
                profile: session.head.profile.name.clone(),
                session: service.called().to_string(),
                began: service.began,
                hours: service.hours,
                valve,
                round: reading.round,
                step,
                typed: bare(&reading.typed),
                unit: reading.unit,
                low: reading.low,
                high: reading.high,
                verdict: judge(&Interval::from(reading), band, &[]).word().into(),
                by: reading.by.clone(),
                head: head_at(session, taken.seq),
                aimed: reading.aimed,
                part_out,
                part_in,
                note: note(session, taken),
            }
        })
        .collect()
}

/// A try with its nut locked and gauged after is what was left.
fn step(taken: &Taken) -> Step {
    match taken.reading.step {
        Step::Try if taken.locked => Step::Left,
        step @ (Step::Found | Step::Try | Step::Left | Step::Recheck) => step,
    }
}

/// Leaves units out of what was typed: the table has a column for them.
pub fn bare(typed: &str) -> String {
    typed.chars().filter(|c| c.is_ascii_digit() || ".,/+".contains(*c)).collect()
}

/// Returns the head's temperature as it was known when a reading was kept.
fn head_at(session: &Session, seq: u64) -> Option<Temperature> {
    let before = session.kept.iter().filter(|kept| kept.seq < seq && !session.is_void(kept.seq));
    let mut heads = before.rev().filter_map(|kept| {
        let Entry::Condition(condition) = &kept.entry else { return None };
        condition.head
    });
    heads.next()
}

/// Returns the sizes of what came out of a valve and went in between two entries.
fn parts(session: &Session, valve: Valve, after: u64, before: u64) -> (String, String) {
    let (mut out, mut fitted, mut measured) = (String::new(), String::new(), None);
    let between = session.kept.iter().filter(|kept| (after..before).contains(&kept.seq));
    for kept in between.filter(|kept| !session.is_void(kept.seq)) {
        let Entry::Part(part) = &kept.entry else { continue };
        let sized = matches!(part.part, PartKind::Shim | PartKind::Pushrod);
        if part.valve != Some(valve) || !sized {
            continue;
        }
        let said = size(part, session.state.facts().unit);
        if part.out {
            (out, measured) = (said, part.measured);
        } else if part.is_the_one_of(measured) {
            fitted = Part::SAME_ONE.into();
        } else {
            fitted = said;
        }
    }
    (out, fitted)
}

/// Returns the size that counts, with its unit: the measured one before the mark, as it was typed
/// where it says so itself.
fn size(part: &Part, unit: LengthUnit) -> String {
    let typed = Length::parse(&part.typed, Length::SHORTEST_ROD..=Length::MAX_CLEARANCE).ok();
    match part.measured.or(part.marked) {
        Some(size) if typed != Some(size) => size.text(unit),
        Some(_) | None if part.typed.is_empty() => NO_SIZE.to_string(),
        Some(_) | None => part.typed.clone(),
    }
}

/// What stands between the words that `note` gathers.
const AND: &str = "; ";
/// What stands before words that somebody typed.
const ODD: &str = "asked about: ";
const AGAINST_PLAN: &str = "against the plan: ";
const FIRST: &str = "first entered ";
/// Most characters of a note as this program writes it: each of its words may be as long as a note.
pub const GATHERED_MAX: usize = 5 * NOTE_MAX;

/// Tells in what the note of a row goes past what this program can have gathered in it: each of its words is
/// what was typed once, and no longer than that may be.
pub fn past_a_gathered_note(note: &str) -> Option<Past> {
    note.split(AND).find_map(|said| {
        let typed = [ODD, AGAINST_PLAN].iter().find_map(|before| said.strip_prefix(before));
        let why = || said.strip_prefix(FIRST)?.split_once(": ").map(|(_, why)| why);
        past_a_note(typed.or_else(why).unwrap_or(said))
    })
}

/// Gathers what the table has no column for, and the remark that was typed right after a reading.
fn note(session: &Session, taken: &Taken) -> String {
    let reading = &taken.reading;
    let tries = (reading.tries > 0).then(|| format!("{} tries before, not told", reading.tries));
    let odd = reading.odd.as_ref().map(|odd| format!("{ODD}{odd}"));
    let plan = reading.against_plan.as_ref().map(|why| format!("{AGAINST_PLAN}{why}"));
    let paper = reading.paper.as_ref().map(|time| format!("from paper, gauged {time}"));
    let corrected = taken.corrected.as_ref();
    let corrected = corrected.map(|(first, why)| format!("{FIRST}{first}: {why}"));
    let next = session.kept.iter().find(|kept| kept.seq == taken.seq + 1);
    let remark = next.filter(|kept| !session.is_void(kept.seq)).and_then(|kept| {
        let Entry::Remark(remark) = &kept.entry else { return None };
        let same = remark.cylinder == Some(reading.valve.cylinder) && !remark.text.is_empty();
        same.then(|| remark.text.clone())
    });
    let said = [tries, odd, plan, paper, corrected, remark].into_iter().flatten();
    said.collect::<Vec<_>>().join(AND)
}

/// Who is to be written down at the head of a session that is made of rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Owner {
    /// The engine's id.
    pub engine_id: String,
    /// The engine's name.
    pub engine: String,
    /// Its serial number; empty where it has none.
    pub serial: String,
    /// What the engine's counter showed.
    pub counter: Option<Hours>,
}

/// Makes the entries of a closed session, after its head, of rows in order; `meanings` are what the
/// rows' readings mean, one each.
pub fn entries(owner: &Owner, facts: &Facts, rows: &[Row], meanings: &[Meaning]) -> Vec<Entry> {
    let first = rows.first();
    let begin = Begin {
        name: first.map(|row| row.session.clone()),
        engine_id: Some(owner.engine_id.clone()),
        engine: Some(owner.engine.clone()),
        serial: Some(owner.serial.clone()).filter(|serial| !serial.is_empty()),
        hours: owner.counter,
        ..Begin::default()
    };
    let mut making =
        Making { facts, entries: vec![Entry::Begin(begin)], worker: String::new(), head: None };
    for (row, meaning) in rows.iter().zip(meanings) {
        making.row(row, meaning);
    }
    making.entries.push(Entry::Seal(Seal {
        entries: 0,
        by: String::new(),
        chain: String::new(),
        signed: false,
        why: IMPORTED.into(),
        tells_not_put_back: None,
        tells_not_gauged: false,
    }));
    making.entries
}

struct Making<'a> {
    facts: &'a Facts,
    entries: Vec<Entry>,
    worker: String,
    head: Option<Temperature>,
}

impl Making<'_> {
    fn row(&mut self, row: &Row, meaning: &Meaning) {
        if !row.by.is_empty() && row.by != self.worker {
            self.worker.clone_from(&row.by);
            self.entries.push(Entry::Who(Who { name: row.by.clone(), takes_over: false }));
        }
        if let Some(head) = row.head.filter(|head| self.head != Some(*head)) {
            self.head = Some(head);
            let typed = head.text(TemperatureUnit::Celsius);
            let condition = Condition { head: Some(head), typed, ..Condition::default() };
            self.entries.push(Entry::Condition(condition));
        }
        self.part(row, &row.part_out, true);
        self.part(row, &row.part_in, false);
        let screw = matches!(self.facts.adjuster, Adjuster::Screw(_));
        let by_nut = screw && row.step == Step::Left;
        if by_nut || row.step == Step::Try {
            let said = NutSaid::Slack;
            self.entries.push(Entry::Nut(Nut::said(row.valve, said)));
        }
        // The head stands before the first of these entries.
        let seq = u64::try_from(self.entries.len() + 1).unwrap_or(u64::MAX);
        let step = if by_nut { Step::Try } else { row.step };
        self.entries.push(Entry::Reading(reading(row, meaning, step)));
        if !row.note.is_empty() {
            self.entries.push(Entry::Remark(Remark {
                cylinder: Some(row.valve.cylinder),
                text: row.note.clone(),
                ..Remark::default()
            }));
        }
        if by_nut {
            let said = NutSaid::Locked { torque: String::new(), gauged: seq };
            self.entries.push(Entry::Nut(Nut::said(row.valve, said)));
        }
    }

    fn part(&mut self, row: &Row, typed: &str, out: bool) {
        if typed.is_empty() {
            return;
        }
        let part = match self.facts.adjuster {
            Adjuster::Shim { .. } => PartKind::Shim,
            Adjuster::Pushrod { .. } | Adjuster::Screw(_) | Adjuster::None => PartKind::Pushrod,
        };
        let marked = Length::parse(typed, Length::SHORTEST_ROD..=Length::MAX_CLEARANCE).ok();
        let typed = if typed == NO_SIZE { String::new() } else { typed.to_string() };
        let valve = Some(row.valve);
        self.entries.push(Entry::Part(Part {
            valve,
            part,
            out,
            marked,
            measured: None,
            typed,
            bank: None,
            seen: None,
            size_only: false,
            undoes_less: false,
        }));
    }
}

fn reading(row: &Row, meaning: &Meaning, step: Step) -> Reading {
    Reading {
        valve: row.valve,
        step,
        round: row.round,
        typed: meaning.typed.clone(),
        unit: row.unit,
        low: row.low,
        high: row.high,
        nominal: meaning.nominal,
        single: meaning.single,
        by: row.by.clone(),
        paper: None,
        aimed: row.aimed,
        tries: 0,
        odd: None,
        against_plan: None,
        turned: None,
    }
}

/// The leaf set of a table: nothing is known of it but the unit of the readings.
pub fn unknown_set(unit: ReadingUnit) -> LeafSet {
    let unit = match unit {
        ReadingUnit::Mm | ReadingUnit::Hundredths => LengthUnit::Mm,
        ReadingUnit::Thou | ReadingUnit::Inch => LengthUnit::Inch,
    };
    LeafSet::new("not known", unit, Vec::new())
}
