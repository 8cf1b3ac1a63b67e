//! A comparison of two services as text, as rows for the screen, and as the JSON document of the
//! contract's section 8.

use super::dates;
use super::sheet::{Sheet, told_by_heads};
use crate::domain::compare::{Comparison, Movement, Side, Way};
use crate::domain::service::Gauged;
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::{Kind, Several, Valve};
use crate::domain::verdict::{Interval, Verdict, gravity};
use serde_json::{Value, json};

/// Columns of the table.
const WIDTHS: [usize; 7] = [13, 9, 8, 10, 17, 17, 7];
/// The table needs this much room; on a narrower page each valve is a paragraph.
const TABLE_WIDTH: usize = 80;

const HEADS: [&str; 7] = ["valve", "was left", "found", "", "moved", "range", "left"];

/// What the sign of a movement means.
pub const SIGN: &str = "A minus means closing.";

/// Stands before what is to be said of a valve.
const NOTE: &str = "               ";

/// Writes a comparison as plain text of `width` columns.
pub fn compare_text(comparison: &Comparison, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    sheet.line("", &format!("Comparison of two services: {}", comparison.engine));
    sheet.line("  older  ", &side_words(&comparison.older));
    sheet.line("  newer  ", &side_words(&comparison.newer));
    if let Some(closing) = closing_exhausts(comparison) {
        sheet.heading(&closing);
    }
    sheet.blank();
    sheet.line("", unit_line(comparison.unit));
    let mut rows = compare_rows(comparison);
    let head = rows.remove(0);
    if width >= TABLE_WIDTH {
        sheet.row(&head, &WIDTHS);
    }
    for (row, movement) in rows.iter().zip(&comparison.valves) {
        if width >= TABLE_WIDTH {
            sheet.row(row, &WIDTHS);
        } else {
            sheet.line("  ", &row_words(&head, row));
        }
        let notes = valve_notes(movement);
        if !notes.is_empty() {
            sheet.line(NOTE, &notes);
        }
    }
    let outside = left_outside(comparison);
    if !outside.is_empty() {
        sheet.blank();
    }
    for words in outside {
        sheet.line("", &words);
    }
    sheet.heading("What limits this comparison:");
    for condition in &comparison.conditions {
        sheet.line("  - ", condition);
    }
    if comparison.conditions.is_empty() {
        sheet.line("  - ", "nothing that the records tell");
    }
    sheet.into_text()
}

fn side_words(side: &Side) -> String {
    let mut words = format!("\"{}\"", side.session);
    if let Some(began) = side.began {
        words += &format!(", {}", dates::marked_day(began, side.day_doubtful));
    }
    words += &side.hours.map_or(", hours not known".into(), |hours| format!(", {hours} h"));
    if side.unfinished {
        words += ", not finished";
    }
    words
}

fn unit_line(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "Figures in mm. Range: what the readings allow (- is closing).",
        LengthUnit::Inch => {
            "Figures in inches; range in thou: what the readings allow (- is closing)."
        }
    }
}

/// Returns the heads of [`compare_rows`] with their units, for a table without a line about them.
pub fn heads_with_units(unit: LengthUnit) -> [&'static str; 7] {
    let [_, was_left, found, verdict, moved, range, left] = HEADS;
    match unit {
        LengthUnit::Mm => ["valve, mm", was_left, found, verdict, moved, range, left],
        LengthUnit::Inch => ["valve, in", was_left, found, verdict, moved, "range, thou", left],
    }
}

/// Names closing exhaust valves, the ones that burn: a seat or a stem may be going.
pub fn closing_exhausts(comparison: &Comparison) -> Option<String> {
    let several = several(comparison);
    let closing = comparison
        .valves
        .iter()
        .filter(|movement| movement.valve.kind == Kind::Exhaust && movement.way() == Way::Closed);
    let words = closing.map(|movement| {
        format!("{} {}", several.name(movement.valve), movement_words(movement, comparison.unit))
    });
    let words = words.collect::<Vec<_>>().join(", ");
    (!words.is_empty()).then(|| {
        format!("CLOSING EXHAUST: {words} since it was left. Find out why: seat, stem, or gauging.")
    })
}

fn several(comparison: &Comparison) -> Several {
    Several::of(comparison.valves.iter().map(|movement| movement.valve))
}

/// Names what was left outside its limits, by the newer service and by the older one, the gravest first.
pub fn left_outside(comparison: &Comparison) -> Vec<String> {
    let named = |head: &str, verdict: fn(&Movement) -> Option<Verdict>| {
        let outside = |movement: &Movement| {
            let verdict = out(verdict(movement))?;
            let name = several(comparison).name(movement.valve);
            Some((gravity(verdict, movement.valve), format!("{name} ({})", verdict.word())))
        };
        let mut outside: Vec<_> = comparison.valves.iter().filter_map(outside).collect();
        outside.sort_by_key(|(gravity, _)| *gravity);
        let words: Vec<String> = outside.into_iter().map(|(_, words)| words).collect();
        (!words.is_empty()).then(|| format!("{head}: {}", words.join(", ")))
    };
    let now = named("Left outside limits", |movement| movement.verdict_left);
    let before = named("Left outside limits before", |movement| movement.verdict_was_left);
    now.into_iter().chain(before).collect()
}

fn out(verdict: Option<Verdict>) -> Option<Verdict> {
    verdict.filter(|one| *one != Verdict::InLimits)
}

/// Returns the rows of [`compare_rows`] with how a figure was left beside it, where that is outside its
/// limits: for a table that has no line below a row.
pub fn marked_rows(comparison: &Comparison) -> Vec<Vec<String>> {
    let mut rows = compare_rows(comparison);
    for (row, movement) in rows.iter_mut().skip(1).zip(&comparison.valves) {
        for (at, verdict) in [(1, movement.verdict_was_left), (6, movement.verdict_left)] {
            if let (Some(cell), Some(verdict)) = (row.get_mut(at), out(verdict)) {
                *cell += &format!(" {}", verdict.word().to_uppercase());
            }
        }
    }
    rows
}

/// Returns the table: its heads, then a row a valve, every cell in words.
pub fn compare_rows(comparison: &Comparison) -> Vec<Vec<String>> {
    let several = several(comparison);
    let row = |movement: &Movement| {
        let unit = comparison.unit;
        vec![
            several.name(movement.valve),
            figure(movement.was_left.as_ref(), unit),
            figure(movement.found.as_ref(), unit),
            movement.verdict_found.map_or(String::new(), |verdict| verdict.word().into()),
            movement_words(movement, unit),
            range_words(movement, unit),
            figure(movement.left.as_ref(), unit),
        ]
    };
    let heads = HEADS.map(String::from).to_vec();
    std::iter::once(heads).chain(comparison.valves.iter().map(row)).collect()
}

/// Says how a valve was left where that is outside its limits, how many tries it took, and what else there
/// is to say of its figures.
pub fn valve_notes(movement: &Movement) -> String {
    let tries = match movement.tries {
        0 => None,
        1 => Some("set in 1 try".to_string()),
        tries => Some(format!("set in {tries} tries")),
    };
    let left = left_words("left", movement.verdict_left, movement.why_left.as_ref());
    let before = left_words("was left", movement.verdict_was_left, movement.why_was_left.as_ref());
    let notes = movement.notes.iter().cloned();
    left.into_iter().chain(before).chain(tries).chain(notes).collect::<Vec<_>>().join("; ")
}

/// Says that a valve was left outside its limits, and why: "left TIGHT: part on order".
fn left_words(left: &str, verdict: Option<Verdict>, why: Option<&String>) -> Option<String> {
    let why = why.map_or(String::new(), |why| format!(": {why}"));
    Some(format!("{left} {}{why}", out(verdict)?.word().to_uppercase()))
}

/// Says of each valve that was left outside its limits with a reason, why.
pub fn reasons(comparison: &Comparison) -> Vec<String> {
    let several = several(comparison);
    let words = |movement: &Movement| {
        let now = left_words("left", movement.verdict_left, movement.why_left.as_ref());
        let before =
            left_words("was left", movement.verdict_was_left, movement.why_was_left.as_ref());
        let now = now.filter(|_| movement.why_left.is_some());
        let before = before.filter(|_| movement.why_was_left.is_some());
        let name = several.name(movement.valve);
        now.into_iter().chain(before).map(move |words| format!("{name} {words}"))
    };
    comparison.valves.iter().flat_map(words).collect()
}

fn row_words(heads: &[String], row: &[String]) -> String {
    told_by_heads(heads, row).join(", ").replacen(", ", ": ", 1)
}

/// Writes what a reading says, without its unit: `0.006`, `<0.004`, `>0.012`, or `-` for none.
pub(super) fn figure(gauged: Option<&Gauged>, unit: LengthUnit) -> String {
    let Some(Gauged { interval: Interval { low, high, nominal, .. }, .. }) = gauged else {
        return "-".into();
    };
    match (nominal, low, high) {
        (Some(nominal), _, _) => nominal.digits(unit),
        (None, _, Some(high)) if *high == Length::ZERO => "0".into(),
        (None, _, Some(high)) => format!("<{}", high.digits(unit)),
        (None, Some(low), None) => format!(">{}", low.digits(unit)),
        (None, None, None) => "-".into(),
    }
}

/// Says what a valve did: `closed 0.03 mm`, `opened 1.0 thou`, `not told apart`, or `-`.
///
/// Where a reading is open-ended there is no amount, only a least one.
pub fn movement_words(movement: &Movement, unit: LengthUnit) -> String {
    let of = |least: Option<Length>| {
        let amount = |length: Length| amount(Length::from_nm(length.nm().abs()), unit);
        match (movement.moved, least) {
            (Some(moved), _) => amount(moved),
            (None, Some(least)) => format!(">{}", amount(least)),
            (None, None) => String::new(),
        }
    };
    match movement.way() {
        Way::Closed => format!("closed {}", of(movement.moved_high)),
        Way::Opened => format!("opened {}", of(movement.moved_low)),
        Way::NotToldApart => "not told apart".into(),
        Way::NotKnown => "-".into(),
    }
}

/// Writes a movement in the small unit of the trade: `0.03 mm`, `1.0 thou`.
fn amount(length: Length, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => length.text(unit),
        LengthUnit::Inch => format!("{} thou", thou(length)),
    }
}

/// Writes thousandths of an inch with one or two decimals.
fn thou(length: Length) -> String {
    let text = format!("{:.2}", length.in_unit(LengthUnit::Inch) * 1000.0);
    text.strip_suffix('0').map_or(text.clone(), String::from)
}

/// Writes the range that the readings allow, with signs: `-2.0 to +0.5`.
pub(super) fn range_words(movement: &Movement, unit: LengthUnit) -> String {
    let end = |length: Length| {
        let digits = match unit {
            LengthUnit::Mm => length.digits(unit),
            LengthUnit::Inch => thou(length),
        };
        if length > Length::ZERO { format!("+{digits}") } else { digits }
    };
    match (movement.moved_low, movement.moved_high) {
        (Some(low), Some(high)) => format!("{} to {}", end(low), end(high)),
        (Some(low), None) => format!("{} or more", end(low)),
        (None, Some(high)) => format!("{} or less", end(high)),
        (None, None) => String::new(),
    }
}

/// Calls a valve as it is told to an owner: "exhaust 3", "exhaust 3 no. 1" where there are several.
pub(super) fn owner_name(valve: Valve, several: Several) -> String {
    let Valve { cylinder, kind, number } = valve;
    let nth = match number {
        _ if !several.has(kind) => return format!("{} {cylinder}", kind.word()),
        1 => "first",
        2 => "second",
        3 => "third",
        _ => return format!("{} valve {number} of cylinder {cylinder}", kind.word()),
    };
    format!("{nth} {} valve of cylinder {cylinder}", kind.word())
}

/// Makes the JSON document of a comparison; lengths in its `unit`, to the nanometre.
pub fn compare_json(comparison: &Comparison) -> Value {
    let Comparison { engine, unit, older, newer, valves, conditions } = comparison;
    json!({
        "engine": engine,
        "unit": unit.word(),
        "older": side_json(older),
        "newer": side_json(newer),
        "valves": valves.iter().map(|movement| movement_json(movement, *unit)).collect::<Value>(),
        "conditions": conditions,
    })
}

fn side_json(side: &Side) -> Value {
    json!({
        "session": side.session,
        "date": side.began.and_then(dates::rfc3339),
        "hours": side.hours.map(|hours| hours.hours()),
    })
}

fn movement_json(movement: &Movement, unit: LengthUnit) -> Value {
    let number = |length: Option<Length>| length.map(|length| length.in_unit(unit));
    let nominal = |gauged: &Option<Gauged>| gauged_json(gauged.as_ref(), unit);
    let word = |verdict: Option<Verdict>| verdict.map(Verdict::word);
    json!({
        "cylinder": movement.valve.cylinder,
        "valve": movement.valve.kind.word(),
        "number": movement.valve.number,
        "was_left": nominal(&movement.was_left),
        "found": nominal(&movement.found),
        "moved": number(movement.moved),
        "moved_low": number(movement.moved_low),
        "moved_high": number(movement.moved_high),
        "left": nominal(&movement.left),
        "verdict_found": word(movement.verdict_found),
        "verdict_left": word(movement.verdict_left),
    })
}

/// Returns a reading's nominal in a unit; null where it is missing or open-ended.
pub(super) fn gauged_json(gauged: Option<&Gauged>, unit: LengthUnit) -> Option<f64> {
    Some(gauged?.interval.nominal?.in_unit(unit))
}
