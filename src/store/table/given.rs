//! A table of readings read back: every row taken apart, and every problem told by its line.
//!
//! Nothing is looked up here. Whether engines and profiles are known is the importer's business.

use super::rows::{Over, Row, Rows};
use super::{COLUMNS, limits, unguarded};
use crate::domain::entry::{Hours, Moment, ReadingUnit, Step};
use crate::domain::flat::unknown_set;
use crate::domain::limits::{Past, has_piles};
use crate::domain::plain::{beginning, plain, quoted};
use crate::domain::reading::{self, Meaning};
use crate::domain::units::{Decimal, Length, Temperature, TemperatureUnit};
use crate::domain::valve::{Cylinder, Kind, Valve};
use chrono::DateTime;
use std::collections::BTreeMap;

/// Years in which a service can be: a month after one is still a day of four digits.
const YEARS: std::ops::RangeInclusive<u16> = 1900..=9998;
/// Columns that a table must have.
const NEEDED: [&str; 10] =
    ["engine", "profile", "session", "date", "hours", "cylinder", "valve", "step", "typed", "unit"];
/// Most characters of what is said of a cell.
const SAID_MAX: usize = 300;
/// Two figures for the same end may be this far apart: half of the last digit of 0.0001 in.
const APART_MAX: i64 = 1_270;
/// Most problems that are told each by itself.
pub(super) const PROBLEMS_MAX: usize = 1_000;

/// Something wrong with a line of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The line, from 1.
    pub line: u64,
    /// What is wrong with it.
    pub what: String,
}

/// A row as it was given; what the table has no word for is `None`.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// The line it stands on.
    pub line: u64,
    /// The valve.
    pub valve: Valve,
    /// The round, from 1.
    pub round: Option<u8>,
    /// Found, try, left or recheck.
    pub step: Step,
    /// What the reading means, with the ends of the table where it has them.
    pub meaning: Meaning,
    /// True where the table gave an end of its interval.
    pub ends: bool,
    /// The verdict's word.
    pub verdict: Option<String>,
    /// Who gauged.
    pub by: Option<String>,
    /// Temperature of the head.
    pub head: Option<Temperature>,
    /// What was aimed at.
    pub aimed: Option<Length>,
    /// The part that came out.
    pub part_out: Option<String>,
    /// The part that went in.
    pub part_in: Option<String>,
    /// What else there is to say.
    pub note: Option<String>,
    /// What of it is longer than the questions take it now, in words: earlier versions wrote such rows.
    pub past: Vec<String>,
}

/// The rows of one session of one engine, in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    /// The engine's name.
    pub engine: String,
    /// The profile's name.
    pub profile: String,
    /// The session's name.
    pub name: String,
    /// When it began.
    pub began: Moment,
    /// Running hours over all counters.
    pub hours: Hours,
    /// Its rows.
    pub rows: Vec<Given>,
}

/// Reads a CSV table: its sessions in the order of their first rows.
///
/// # Errors
/// Every problem, by line; what is over a limit ends the reading.
pub fn read(bytes: &[u8]) -> Result<Vec<Session>, Vec<Problem>> {
    if bytes.trim_ascii_start().starts_with(b"{") {
        let what = "this is JSON Lines: import takes the CSV table, as cowlside export writes it";
        return Err(vec![Problem { line: 1, what: what.into() }]);
    }
    let mut rows = Rows::of(bytes);
    let over = |Over { line, what }| Problem { line, what };
    let mut reading = Reading::default();
    let head = rows.next().transpose().map_err(|found| vec![over(found)])?;
    let Some(head) = head else {
        return Err(vec![Problem { line: 1, what: "the file is empty".into() }]);
    };
    let columns = columns(&head)?;
    let mut below = false;
    while let Some(row) = rows.next() {
        below = true;
        match row {
            Ok(row) => reading.record(&columns, &row),
            Err(found) => {
                let Problem { line, what } = over(found);
                reading.problem(line, what);
                break;
            }
        }
    }
    if !below {
        reading.problem(1, "the table has no rows below its head: add one for each reading".into());
    }
    if reading.problems.is_empty() { Ok(reading.sessions) } else { Err(reading.problems) }
}

/// The columns of a table: where each stands, and how many there are.
struct Columns {
    places: BTreeMap<&'static str, usize>,
    count: usize,
}

/// Finds the columns by their names, in whatever order they stand.
fn columns(head: &Row) -> Result<Columns, Vec<Problem>> {
    let mut found = BTreeMap::new();
    let mut problems = Vec::new();
    let mut say = |what: String| problems.push(Problem { line: 1, what });
    for (place, name) in head.cells.iter().enumerate() {
        let name = name.trim();
        match COLUMNS.iter().find(|known| **known == name) {
            None => say(format!(
                "there is no column `{}`; known are {}",
                quoted(name),
                COLUMNS.join(", ")
            )),
            Some(known) if found.insert(*known, place).is_some() => {
                say(format!("the column `{known}` stands twice"));
            }
            Some(_) => {}
        }
    }
    for needed in NEEDED.iter().filter(|needed| !found.contains_key(*needed)) {
        say(format!("the column `{needed}` is missing"));
    }
    let count = head.cells.len();
    if problems.is_empty() { Ok(Columns { places: found, count }) } else { Err(problems) }
}

#[derive(Default)]
struct Reading {
    sessions: Vec<Session>,
    places: BTreeMap<(String, String), (usize, u64)>,
    problems: Vec<Problem>,
}

impl Reading {
    fn problem(&mut self, line: u64, what: String) {
        let what = match self.problems.len() {
            told if told < PROBLEMS_MAX => what,
            PROBLEMS_MAX => format!(
                "this is wrong too, and perhaps more: put the first {PROBLEMS_MAX} problems right first"
            ),
            _ => return,
        };
        self.problems.push(Problem { line, what });
    }

    fn record(&mut self, columns: &Columns, row: &Row) {
        let line = row.line;
        let (found, must) = (row.cells.len(), columns.count);
        if found != must {
            self.problem(line, format!("it has {found} cells, but the head has {must}"));
            return;
        }
        let mut cells =
            columns.places.iter().map(|(column, place)| (*column, row.cells.get(*place)));
        if let Some(what) = cells.find_map(|(column, cell)| limits::over(column, cell?)) {
            self.problem(line, what);
            return;
        }
        let cells = Cells { columns, row };
        let mut wrong = Vec::new();
        let session = cells.session(&mut wrong);
        let row = cells.row(line, &mut wrong);
        if let Some((session, row)) = session.zip(row).filter(|_| wrong.is_empty()) {
            self.take(session, row, line);
        }
        for what in wrong {
            self.problem(line, what);
        }
    }

    fn take(&mut self, session: Session, row: Given, line: u64) {
        let key = (session.engine.to_lowercase(), session.name.clone());
        let Some(&(place, first)) = self.places.get(&key) else {
            self.places.insert(key, (self.sessions.len(), line));
            let mut row = row;
            row.past.extend(limits::past("session", &session.name));
            self.sessions.push(Session { rows: vec![row], ..session });
            return;
        };
        let Some(known) = self.sessions.get_mut(place) else { return };
        let differs = [
            ("engine", known.engine == session.engine),
            ("profile", known.profile == session.profile),
            ("date", known.began == session.began),
            ("hours", known.hours == session.hours),
        ];
        known.rows.push(row);
        for (column, _) in differs.into_iter().filter(|(_, same)| !same) {
            let what = format!("`{column}` differs from line {first}, of the same session");
            self.problem(line, what);
        }
    }
}

struct Cells<'a> {
    columns: &'a Columns,
    row: &'a Row<'a>,
}

impl<'a> Cells<'a> {
    /// Returns what stands in a column; empty where the table has no such column.
    fn get(&self, column: &str) -> &'a str {
        let place = self.columns.places.get(column);
        place.and_then(|&place| self.row.cells.get(place)).copied().unwrap_or("")
    }

    fn text(&self, column: &str) -> String {
        unguarded(self.get(column)).to_string()
    }

    /// Returns a text, where the table has the column.
    fn told(&self, column: &str) -> Option<String> {
        self.columns.places.contains_key(column).then(|| self.text(column))
    }

    fn needed(&self, column: &str, wrong: &mut Vec<String>) -> String {
        let text = self.text(column);
        if text.trim().is_empty() {
            wrong.push(format!("`{column}` is empty"));
        } else if has_piles(&text) {
            wrong.push(format!("`{column}`: {}", Past::Marks.words()));
        } else if plain(&text) != text || text.trim() != text {
            wrong.push(format!(
                "`{column}` is \"{}\", but must be visible text without blanks at its ends",
                quoted(&text)
            ));
        }
        text
    }

    fn session(&self, wrong: &mut Vec<String>) -> Option<Session> {
        let before = wrong.len();
        let engine = self.needed("engine", wrong);
        let profile = self.needed("profile", wrong);
        let name = self.needed("session", wrong);
        let began = moment(self.get("date"));
        if began.is_none() {
            let found = quoted(self.get("date"));
            wrong.push(format!(
                "`date` is \"{found}\", but must be a date with time and offset, as in 2026-03-14T10:22:00+01:00"
            ));
        }
        let year = began.and_then(|_| self.get("date").trim().get(..4)?.parse().ok());
        if let Some(year) = year.filter(|year| !YEARS.contains(year)) {
            let (least, most) = (YEARS.start(), YEARS.end());
            wrong.push(format!(
                "`date` is in the year {year}, but must be in one from {least} to {most}"
            ));
        }
        let hours = Hours::parse(self.get("hours"));
        wrong.extend(
            hours
                .as_ref()
                .err()
                .map(|misread| format!("`hours` {}", beginning(&misread.to_string(), SAID_MAX))),
        );
        if wrong.len() > before {
            return None;
        }
        Some(Session { engine, profile, name, began: began?, hours: hours.ok()?, rows: Vec::new() })
    }

    fn row(&self, line: u64, wrong: &mut Vec<String>) -> Option<Given> {
        let before = wrong.len();
        let valve = self.valve(wrong);
        let step = one_of(self.get("step"), "step", &STEPS, wrong);
        let unit = one_of(self.get("unit"), "unit", &UNITS, wrong);
        let meaning = unit.and_then(|unit| self.meaning(unit, wrong));
        let verdict = self.verdict(wrong);
        let round = self.number("round", wrong);
        let head = self.temperature(wrong);
        let aimed = self.aimed(wrong);
        let [by, part_out, part_in, note] =
            ["by", "part_out", "part_in", "note"].map(|column| self.told(column));
        if wrong.len() > before {
            return None;
        }
        let texts = [("by", &by), ("part_out", &part_out), ("part_in", &part_in), ("note", &note)];
        let past = |(column, text): (&str, &Option<String>)| limits::past(column, text.as_ref()?);
        let past = texts.into_iter().filter_map(past).collect();
        let (valve, step, (meaning, ends)) = (valve?, step?, meaning?);
        Some(Given {
            line,
            valve,
            round,
            step,
            meaning,
            ends,
            verdict,
            by,
            head,
            aimed,
            part_out,
            part_in,
            note,
            past,
        })
    }

    fn valve(&self, wrong: &mut Vec<String>) -> Option<Valve> {
        let cylinder: Option<Cylinder> =
            self.get("cylinder").trim().parse().ok().filter(|&n| n > 0);
        if cylinder.is_none() {
            let found = quoted(self.get("cylinder"));
            wrong.push(format!("`cylinder` is \"{found}\", but must be a number from 1"));
        }
        let kind = one_of(self.get("valve"), "valve", &KINDS, wrong);
        let number = self.number("number", wrong).unwrap_or(1);
        Some(Valve { cylinder: cylinder?, kind: kind?, number })
    }

    fn number(&self, column: &str, wrong: &mut Vec<String>) -> Option<u8> {
        let text = self.get(column).trim();
        let number = text.parse().ok().filter(|&number| number > 0);
        if number.is_none() && !text.is_empty() {
            wrong.push(format!("`{column}` is \"{}\", but must be a number from 1", quoted(text)));
        }
        number
    }

    fn verdict(&self, wrong: &mut Vec<String>) -> Option<String> {
        let text = self.get("verdict").trim();
        if text.is_empty() {
            return None;
        }
        one_of(text, "verdict", &VERDICTS, wrong).map(String::from)
    }

    fn temperature(&self, wrong: &mut Vec<String>) -> Option<Temperature> {
        let text = self.get("temp_c").trim();
        if text.is_empty() {
            return None;
        }
        let read = Temperature::parse_or(text, TemperatureUnit::Celsius);
        read.map_err(|misread| {
            wrong.push(format!("`temp_c` {}", beginning(&misread.to_string(), SAID_MAX)))
        })
        .ok()
    }

    fn aimed(&self, wrong: &mut Vec<String>) -> Option<Length> {
        let text = unguarded(self.get("aimed")).trim();
        if text.is_empty() {
            return None;
        }
        let read = Length::parse(text, Length::ZERO..=Length::MAX_CLEARANCE);
        read.map_err(|misread| {
            wrong.push(format!("`aimed` {}", beginning(&misread.to_string(), SAID_MAX)))
        })
        .ok()
    }

    /// Reads what was typed, and the ends of its interval where the table has them.
    fn meaning(&self, unit: ReadingUnit, wrong: &mut Vec<String>) -> Option<(Meaning, bool)> {
        let typed = unguarded(self.get("typed"));
        let meaning = reading::parse_as(typed, unit, &unknown_set(unit));
        let meaning = match meaning {
            Ok(meaning) => meaning,
            Err(fault) => {
                wrong.push(format!("`typed`: {}", beginning(&fault.words(), SAID_MAX)));
                return None;
            }
        };
        let low = self.end("low", wrong)?;
        let high = self.end("high", wrong)?;
        let given =
            Meaning { low: low.or(meaning.low), high: high.or(meaning.high), ..meaning.clone() };
        let open = |end: Option<Length>, own: Option<Length>| end.is_some() && own.is_none();
        if open(low, meaning.low) || open(high, meaning.high) {
            wrong.push(format!(
                "`{}` is open on one side, but the table gives an end there",
                quoted(typed)
            ));
        }
        let apart = |end: Option<Length>, own: Option<Length>| {
            end.zip(own).is_some_and(|(end, own)| (end.nm() - own.nm()).abs() > APART_MAX)
        };
        // How far a single leaf reaches depends on the set in hand; leaves that were named do not.
        if !meaning.single && (apart(low, meaning.low) || apart(high, meaning.high)) {
            wrong.push(format!("`{}` names other ends than `low` and `high`", quoted(typed)));
        }
        let outside = |nominal: Length| {
            given.low.is_some_and(|low| low > nominal)
                || given.high.is_some_and(|high| high < nominal)
        };
        let crossed = given.low.zip(given.high).is_some_and(|(low, high)| low > high);
        if crossed || given.nominal.is_some_and(outside) {
            wrong.push("the figure does not lie between `low` and `high`".into());
        }
        Some((given, low.or(high).is_some()))
    }

    /// Reads one end of the interval, in either unit or both; `None` where they do not agree.
    fn end(&self, which: &str, wrong: &mut Vec<String>) -> Option<Option<Length>> {
        let mm = self.length(&format!("{which}_mm"), 1_000_000, wrong)?;
        let inch = self.length(&format!("{which}_in"), 25_400_000, wrong)?;
        if let (Some(mm), Some(inch)) = (mm, inch)
            && (mm.nm() - inch.nm()).abs() > APART_MAX
        {
            wrong.push(format!("`{which}_mm` and `{which}_in` do not say the same"));
            return None;
        }
        Some(mm.or(inch))
    }

    fn length(&self, column: &str, nm: i64, wrong: &mut Vec<String>) -> Option<Option<Length>> {
        let text = self.get(column).trim();
        if text.is_empty() {
            return Some(None);
        }
        let number =
            Decimal::parse(text).ok().and_then(|number| i64::try_from(number.times(nm)).ok());
        let length = number.map(Length::from_nm).filter(|length| *length <= Length::MAX_CLEARANCE);
        if length.is_none_or(|length| length < Length::ZERO) {
            wrong.push(format!(
                "`{column}` is \"{}\", but must be a length from 0 to 25 mm",
                quoted(text)
            ));
            return None;
        }
        Some(length)
    }
}

const KINDS: [(&str, Kind); 2] = [("intake", Kind::Intake), ("exhaust", Kind::Exhaust)];
const STEPS: [(&str, Step); 4] =
    [("found", Step::Found), ("try", Step::Try), ("left", Step::Left), ("recheck", Step::Recheck)];
const UNITS: [(&str, ReadingUnit); 4] = [
    ("mm", ReadingUnit::Mm),
    ("hundredths", ReadingUnit::Hundredths),
    ("thou", ReadingUnit::Thou),
    ("in", ReadingUnit::Inch),
];
const VERDICTS: [(&str, &str); 4] = [
    ("in limits", "in limits"),
    ("tight", "tight"),
    ("loose", "loose"),
    ("undecided", "undecided"),
];

/// Finds the word of a cell among those that the column knows.
fn one_of<T: Copy>(
    text: &str,
    column: &str,
    known: &[(&str, T)],
    wrong: &mut Vec<String>,
) -> Option<T> {
    let found = known.iter().find(|(word, _)| word.eq_ignore_ascii_case(text.trim()));
    if found.is_none() {
        let words: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
        wrong.push(format!(
            "`{column}` is \"{}\", but must be one of: {}",
            quoted(text),
            words.join(", ")
        ));
    }
    found.map(|(_, thing)| *thing)
}

/// Reads a date with time and offset; seconds are the finest that is kept.
fn moment(text: &str) -> Option<Moment> {
    let time = DateTime::parse_from_rfc3339(text.trim()).ok()?;
    let offset_s = time.offset().local_minus_utc();
    let offset_min = i16::try_from(offset_s / 60).ok().filter(|_| offset_s % 60 == 0)?;
    Some(Moment { unix_ms: time.timestamp() * 1000, offset_min })
}
