//! The past of an engine in words: when to look again, what stands out, every valve with its drift,
//! its chart and its figures.

use super::chart::{Chart, LEGEND, chart, chart_text};
use super::compare_sheet::figure;
use super::left_sheet::{left_so_words, left_word, point_left};
use super::next_sheet::next_words;
use super::orders::{self, Order};
use super::sheet::Sheet;
use super::{counted, dates};
use crate::domain::trend::{
    Break, DRIFT_MIN, Drift, Early, FORECAST_MIN, Forecast, History, Limit, Odd, Point, Scatter,
    Sign, Since, ValvePast,
};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::{Kind, Several};

/// Columns of a valve's services.
const WIDTHS: [usize; 6] = [12, 14, 10, 10, 11, 20];
const HANG: &str = "    ";

/// Writes an engine's past as plain text of `width` columns.
pub fn history_text(history: &History, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let services = counted(history.sessions, "service");
    let title = format!("{}: {services} with figures, {} h now", history.engine, history.hours);
    sheet.line("", &title);
    sheet.line("next check  ", &next_words(history));
    let standing_out = standing_out(history);
    if !standing_out.is_empty() {
        sheet.heading("What stands out");
        for line in standing_out {
            sheet.line("  - ", &line);
        }
    }
    sheet.blank();
    sheet.line("", &unit_line(history.unit));
    sheet.line("", &format!("Chart: {LEGEND}."));
    for past in &history.valves {
        let name = several(history).name(past.valve);
        valve(&mut sheet, (&name, past), history.unit, width);
    }
    sheet.into_text()
}

/// A page of an engine's past as a screen shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// What it is about.
    pub title: String,
    /// What is said.
    pub lines: Vec<String>,
    /// The chart, where it has one.
    pub chart: Option<Chart>,
    /// The unit of its figures.
    pub unit: LengthUnit,
    /// Names of the columns of the table below.
    pub head: Vec<String>,
    /// The table: a row a service, the newest first; in the glance a row a valve.
    pub rows: Vec<Vec<String>>,
    /// The words that each row is found by.
    pub words: Vec<String>,
    /// The orders that the rows can be read in.
    pub orders: Vec<Order>,
}

/// Makes the pages of an engine's past: all of it at a glance, then a page a valve.
pub fn pages(history: &History) -> Vec<Page> {
    let mut lines = vec![format!("next check: {}", next_words(history))];
    lines.extend(standing_out(history));
    let several = several(history);
    let row = |past: &ValvePast| vec![several.name(past.valve), drift_words(past, history.unit)];
    let services = counted(history.sessions, "service");
    let title = format!("{}: {services}, {} h now", history.engine, history.hours);
    let mut pages = vec![Page {
        title,
        lines,
        chart: None,
        unit: history.unit,
        head: ["valve", "what it does"].map(String::from).to_vec(),
        rows: history.valves.iter().map(row).collect(),
        words: history.valves.iter().map(|past| several.name(past.valve)).collect(),
        orders: orders::of_valves(history),
    }];
    pages.extend(history.valves.iter().map(|past| valve_page(history, past)));
    pages
}

fn valve_page(history: &History, past: &ValvePast) -> Page {
    let (least, most) = (past.band.least.digits(history.unit), past.band.most.text(history.unit));
    let name = several(history).name(past.valve);
    let newest: Vec<&Point> = past.points.iter().rev().collect();
    Page {
        title: format!("{}: {name}, limits {least} to {most}", history.engine),
        lines: valve_page_lines(history, past),
        chart: chart(past),
        unit: history.unit,
        head: ["hours", "date", "found", "left", "as found", "session"].map(String::from).to_vec(),
        rows: newest.iter().map(|point| marked_row(point, history.unit)).collect(),
        words: newest.iter().map(|point| orders::service_words(point)).collect(),
        orders: orders::of_services(&newest),
    }
}

fn valve_page_lines(history: &History, past: &ValvePast) -> Vec<String> {
    let left = history.left.iter().filter(|left| left.valve == past.valve);
    let left = left.map(|left| left_so_words(left, several(history)));
    left.chain(valve_lines(past, history.unit)).collect()
}

/// Adds the past of an engine to a record: when to look again by it, what stands out, and a line a
/// valve.
pub fn section(sheet: &mut Sheet, history: &History) {
    let services = counted(history.sessions, "service");
    sheet.heading(&format!("History up to this service ({services})"));
    sheet.field("next check by it", &next_words(history));
    let several = several(history);
    for line in standing_out(history) {
        sheet.field("stands out", &line);
    }
    let (told, points_only): (Vec<&ValvePast>, Vec<&ValvePast>) =
        history.valves.iter().partition(|past| past.drift.is_some());
    for past in told {
        let lines = valve_lines(past, history.unit).join("; ");
        sheet.field(&several.name(past.valve), &lines);
    }
    if !points_only.is_empty() {
        let valves = points_only.iter().map(|past| several.name(past.valve));
        let valves: Vec<String> = valves.collect();
        let words =
            format!("no drift yet, it needs {DRIFT_MIN} services in a row: {}", valves.join(", "));
        sheet.field("points only", &words);
    }
}

/// Tells which kinds of valve the engine has several of.
pub fn several(history: &History) -> Several {
    Several::of(history.valves.iter().map(|past| past.valve))
}

fn unit_line(unit: LengthUnit) -> String {
    let of = match unit {
        LengthUnit::Mm => "Figures in mm.",
        LengthUnit::Inch => "Figures in inches, movement in thou.",
    };
    format!("{of} Drift with its 95 % interval; without one, movement is not told from chance.")
}

/// Writes hours from a service on, whole ones.
fn hours_words(hours: f64) -> String {
    format!("{:.0}", hours.floor())
}

/// Lists what stands out in the engine: what is left outside its band, closing exhausts and steps first.
pub fn standing_out(history: &History) -> Vec<String> {
    let mut lines: Vec<(u8, String)> = Vec::new();
    let mut slow: Vec<String> = Vec::new();
    lines.extend(history.left.iter().map(|left| (0, left_so_words(left, several(history)))));
    for past in &history.valves {
        let name = several(history).name(past.valve);
        for sign in &past.signs {
            if *sign == Sign::ClosingExhaust && is_slow(history, past) {
                slow.push(name.clone());
                continue;
            }
            let words = sign_words(past, sign, history.unit);
            lines.extend(words.map(|words| (sign_rank(sign), format!("{name}: {words}"))));
        }
    }
    let cylinders = history.odd_cylinders.iter().map(|odd| (2, cylinder_words(odd, history.unit)));
    lines.extend(cylinders);
    if !slow.is_empty() {
        let interval =
            history.interval_hours.map_or(String::new(), |hours| format!(" of {hours:.0} h"));
        lines.push((
            SLOW,
            format!(
                "closing, with room for more than two intervals{interval}: {}",
                slow.join(", ")
            ),
        ));
    }
    lines.sort_by_key(|(rank, _)| *rank);
    lines.into_iter().map(|(_, words)| words).collect()
}

/// Ranks a valve by the gravest that stands out in it, as [`standing_out`] tells it; the largest where
/// nothing does.
pub(super) fn standing_rank(history: &History, past: &ValvePast) -> u8 {
    let rank = |sign: &Sign| match *sign == Sign::ClosingExhaust && is_slow(history, past) {
        true => SLOW,
        false => sign_rank(sign),
    };
    let left = history.left.iter().any(|left| left.valve == past.valve);
    if left { 0 } else { past.signs.iter().map(rank).min().unwrap_or(u8::MAX) }
}

/// The rank of a closing exhaust that has room for long.
const SLOW: u8 = 5;

/// Ranks what stands out: closing exhausts and steps first.
fn sign_rank(sign: &Sign) -> u8 {
    match sign {
        Sign::ClosingExhaust => 0,
        Sign::Step { .. } => 1,
        Sign::Odd(_) => 2,
        Sign::SameWay { .. } => 3,
        Sign::Early(_) => 4,
    }
}

/// Tells whether a closing exhaust stands out by nothing else and has room for two intervals at the least.
fn is_slow(history: &History, past: &ValvePast) -> bool {
    let alone = |sign: &Sign| match sign {
        Sign::Odd(_) | Sign::Step { .. } | Sign::SameWay { .. } => true,
        Sign::ClosingExhaust | Sign::Early(_) => false,
    };
    let odd = past.signs.iter().any(alone);
    let room = past.cautious.zip(history.interval_hours);
    !odd && room.is_some_and(|(forecast, interval)| forecast.soonest > 2.0 * interval)
}

fn sign_words(past: &ValvePast, sign: &Sign, unit: LengthUnit) -> Option<String> {
    Some(match sign {
        Sign::ClosingExhaust => {
            let drift = past.drift.map_or(String::new(), |drift| rate_words(drift.per_100_h, unit));
            format!("CLOSING EXHAUST, {drift}. Find out why: seat, stem, or gauging.")
        }
        Sign::Step { session, moved, expected } => format!(
            "SUDDEN STEP, {} at \"{session}\", where its own past lets expect {}. Find out why \
             before it is set: nut, rod, seat, lobe, or gauging.",
            moved_words(moved.nm() as f64, unit),
            moved_words(*expected, unit)
        ),
        Sign::Odd(odd) => {
            let others = match past.valve.kind {
                Kind::Intake => "intakes",
                Kind::Exhaust => "exhausts",
            };
            let (own, usual) = (rate_words(odd.per_100_h, unit), rate_words(odd.others, unit));
            format!("unlike the other {others}: {own}; theirs, in the middle, {usual}")
        }
        Sign::SameWay { times, total } => format!(
            "set back {times} times the same way, {} together: what moves it is still there, and \
             each setting hides it",
            moved_words(total.nm() as f64, unit)
        ),
        Sign::Early(early) => return early_words(early, unit),
    })
}

fn early_words(early: &Early, unit: LengthUnit) -> Option<String> {
    let of = match early.since {
        Since::New => "a new or overhauled engine",
        Since::Work => "a cylinder that was worked on",
    };
    let moved = moved_words(early.moved, unit);
    let over = hours_words(early.over);
    match early.rest {
        None if early.moved == 0.0 => None,
        None => Some(format!(
            "{moved} in the first {over} h of {of}: it beds in, and no steady trend is told yet"
        )),
        Some(rest) if early.settled() => Some(format!(
            "bedded in: {moved} in the first {over} h of {of}, since then {}",
            rate_words(rest.per_100_h, unit)
        )),
        Some(_) => None,
    }
}

fn cylinder_words(odd: &Odd<u8>, unit: LengthUnit) -> String {
    format!(
        "cylinder {}: all its valves go the same way, unlike the other cylinders ({} against the \
         middle of its kind)",
        odd.which,
        rate_words(odd.per_100_h, unit)
    )
}

/// Says which way and how far: `closes 0.012 mm in 100 h`.
pub fn rate_words(per_100_h: f64, unit: LengthUnit) -> String {
    let amount = amount(per_100_h, unit);
    match signed(per_100_h, unit).chars().next() {
        Some('-') => format!("closes {amount} in 100 h"),
        Some('+') => format!("opens {amount} in 100 h"),
        _ => format!("moves less than {} in 100 h", least(unit)),
    }
}

fn moved_words(nm: f64, unit: LengthUnit) -> String {
    let amount = amount(nm, unit);
    match signed(nm, unit).chars().next() {
        Some('-') => format!("closed {amount}"),
        Some('+') => format!("opened {amount}"),
        _ => format!("moved less than {}", least(unit)),
    }
}

/// The least that is told: 0.001 mm or 0.01 thou.
fn least(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "0.001 mm",
        LengthUnit::Inch => "0.01 thou",
    }
}

/// Names the small unit of the trade.
fn small_unit(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "mm",
        LengthUnit::Inch => "thou",
    }
}

/// Writes an amount in the small unit of the trade, without its sign.
fn amount(nm: f64, unit: LengthUnit) -> String {
    signed(nm.abs(), unit).replace('+', "") + " " + small_unit(unit)
}

/// Writes an amount with its sign and without its unit; nothing has no sign.
fn signed(nm: f64, unit: LengthUnit) -> String {
    let text = match unit {
        LengthUnit::Mm => format!("{:+.3}", nm / 1e6),
        LengthUnit::Inch => format!("{:+.2}", nm / 25_400.0),
    };
    let nothing = text.chars().all(|sign| "+-0.".contains(sign));
    if nothing { text.replace(['+', '-'], "") } else { text }
}

fn valve(sheet: &mut Sheet, (name, past): (&str, &ValvePast), unit: LengthUnit, width: usize) {
    let (least, most) = (past.band.least.digits(unit), past.band.most.text(unit));
    sheet.heading(&format!("{name}: limits {least} to {most}"));
    for line in valve_lines(past, unit) {
        sheet.line("  ", &line);
    }
    for line in chart(past).map_or(Vec::new(), |chart| chart_text(&chart, unit, width.min(80))) {
        sheet.drawn(&line);
    }
    let heads = ["    hours", "date", "found", "left", "as found", "session"].map(String::from);
    sheet.row(&heads, &WIDTHS);
    for point in &past.points {
        sheet.row(&point_row(point, unit), &WIDTHS);
        if let Some(began) = point.began.filter(|_| point.day_doubtful) {
            sheet.line(HANG, &dates::marked_day(began, true));
        }
        if let Some(left) = point_left(point) {
            sheet.line(HANG, &left);
        }
        if let Some(starts) = point.starts {
            sheet.line(HANG, break_words(starts));
        }
    }
}

/// Says what a valve does: drift, forecast, what was set in all, how well its readings repeat.
pub fn valve_lines(past: &ValvePast, unit: LengthUnit) -> Vec<String> {
    let mut lines = vec![drift_words(past, unit)];
    lines.extend(past.drift.filter(Drift::robust_disagrees).map(|drift| {
        let robust = rate_words(drift.robust, unit);
        format!("one service weighs much in that: the robust slope {robust}")
    }));
    lines.push(forecast_words(past));
    if past.adjusted_total != Length::ZERO {
        let total = signed(past.adjusted_total.nm() as f64, unit);
        lines.push(format!("adjusted so far {total} {}", small_unit(unit)));
    }
    lines.extend(past.scatter.as_ref().map(|scatter| scatter_words(scatter, unit)));
    lines
}

fn drift_words(past: &ValvePast, unit: LengthUnit) -> String {
    let Some(drift) = &past.drift else {
        let n = past.series.len();
        return format!(
            "drift: points only, {} in a row; {DRIFT_MIN} are needed",
            counted(n, "service")
        );
    };
    let wide = drift.widened();
    let (low, high) = (signed(wide.low, unit), signed(wide.high, unit));
    let of = counted(drift.sessions, "service");
    if wide.low == 0.0 && wide.high == 0.0 {
        return format!("drift: no movement in any reading ({of})");
    }
    if wide.spans_nought() {
        let unit = small_unit(unit);
        return format!(
            "drift: not told from standing still ({low} to {high} {unit} in 100 h, {of})"
        );
    }
    format!("drift: {} ({low} to {high}, {of})", rate_words(drift.per_100_h, unit))
}

fn forecast_words(past: &ValvePast) -> String {
    if past.drift.is_none_or(|drift| drift.sessions < FORECAST_MIN) {
        return format!("forecast: none, it needs {FORECAST_MIN} services in a row");
    }
    match past.cautious {
        None => "forecast: none".into(),
        Some(Forecast { likely, .. }) if likely <= 0.0 => {
            "forecast: at its limit or beyond it now".into()
        }
        Some(Forecast { limit, soonest, likely }) => {
            let limit = match limit {
                Limit::Least => "lower",
                Limit::Most => "upper",
            };
            let (soonest, likely) = (hours_words(soonest), hours_words(likely));
            format!(
                "forecast: {limit} limit in {likely} h from the last service, {soonest} h at the soonest"
            )
        }
    }
}

fn scatter_words(scatter: &Scatter, unit: LengthUnit) -> String {
    let pairs = counted(scatter.pairs, "pair");
    if scatter.widest == Length::ZERO {
        return format!("readings repeat: no difference in {pairs}");
    }
    let (deviation, widest) =
        (amount(scatter.deviation, unit), amount(scatter.widest.nm() as f64, unit));
    format!("readings repeat within {deviation}, at worst {widest} apart ({pairs})")
}

fn point_row(point: &Point, unit: LengthUnit) -> Vec<String> {
    let verdict = point.verdict_found.map_or("", |verdict| verdict.word());
    let hours = point.hours.map_or("not known".into(), |hours| hours.to_string());
    vec![
        format!("{hours:>9}"),
        point.began.map_or("-".into(), dates::day),
        figure(point.found.as_ref(), unit),
        figure(point.left.as_ref(), unit),
        verdict.to_string(),
        point.session.clone(),
    ]
}

/// A row in which the day itself is marked, and the figure that was left: on a page they would not stand
/// in their columns.
fn marked_row(point: &Point, unit: LengthUnit) -> Vec<String> {
    let mut row = point_row(point, unit);
    if let (Some(day), Some(began)) = (row.get_mut(1), point.began) {
        *day = dates::marked_day(began, point.day_doubtful);
    }
    if let (Some(figure), Some(word)) = (row.get_mut(3), left_word(point)) {
        *figure += &format!(" {word}");
    }
    row
}

fn break_words(starts: Break) -> &'static str {
    match starts {
        Break::NoFigure => "the series ends here: a figure or the hours are missing or open-ended",
        Break::Work => "a new series begins here: work on the cylinder",
        Break::HotCold => "a new series begins here: hot, cold and warm are never mixed",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rounds_to_nothing_has_no_sign_and_goes_no_way() {
        for (nm, unit, number, words) in [
            (-400.0, LengthUnit::Mm, "0.000", "moves less than 0.001 mm in 100 h"),
            (400.0, LengthUnit::Mm, "0.000", "moves less than 0.001 mm in 100 h"),
            (-600.0, LengthUnit::Mm, "-0.001", "closes 0.001 mm in 100 h"),
            (12_000.0, LengthUnit::Mm, "+0.012", "opens 0.012 mm in 100 h"),
            (-100.0, LengthUnit::Inch, "0.00", "moves less than 0.01 thou in 100 h"),
            (254.0, LengthUnit::Inch, "+0.01", "opens 0.01 thou in 100 h"),
        ] {
            assert_eq!((signed(nm, unit).as_str(), rate_words(nm, unit).as_str()), (number, words));
        }
    }
}
