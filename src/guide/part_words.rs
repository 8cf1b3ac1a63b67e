//! Words for shims, push rods and cams: what a parts list says, what came out and went in.

use super::form::capital;
use super::named::valve_name;
use crate::domain::advice::Choice;
use crate::domain::entry::{Part, PartKind};
use crate::domain::leaves;
use crate::domain::profile::Adjuster;
use crate::domain::session::{Due, Session, Stage, State, the_bank};
use crate::domain::shims::{Answer, Line, Origin, PartsList};
use crate::domain::units::Length;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;

/// Tells whether parts are changed now: the list is asked about, or something is out.
pub fn changing_parts(state: &State) -> bool {
    matches!(
        state.due(),
        Due::PartsList
            | Due::TakeOut(_)
            | Due::PartOut(..)
            | Due::CamsOut(..)
            | Due::TurnThrough(_)
            | Due::Felt(_, Stage::Apart)
    )
}

/// Tells whether cams bear on shims and followers, so that there are no rockers and no rods.
pub fn overhead_cams(state: &State) -> bool {
    matches!(state.facts().adjuster, Adjuster::Shim { .. })
}

/// Says how far a change of parts has come: "change shims · 1 to take out · 2 out".
pub(super) fn apart_words(state: &State) -> String {
    let to_change = state.to_change().len();
    let out = state.parts_out.iter().filter(|out| out.valve.is_some()).count();
    let what = match &state.facts().adjuster {
        Adjuster::Shim { .. } => "shims",
        Adjuster::Pushrod { .. } => "push rods",
        Adjuster::Screw(_) | Adjuster::None => "parts",
    };
    format!("change {what} · {to_change} to take out · {out} out")
}

/// Says what a parts list comes to, line by line.
pub fn list_lines(state: &State, parts: &PartsList) -> Vec<String> {
    parts.lines.iter().map(|line| line_words(state, line)).collect()
}

/// Says of a valve which shim goes in, and what it leads to.
pub fn line_words(state: &State, line: &Line) -> String {
    let unit = state.facts().unit;
    let valve = line.change.valve;
    let typed = state.before_parts(valve).map_or("", |taken| taken.reading.typed.as_str());
    let undecided = state.verdict_before(valve).and_then(|verdict| settle_words(state, verdict));
    let undecided = undecided.map_or_else(String::new, |words| format!(" ({words})"));
    let reads = format!("{} reads {typed}{undecided}", valve_name(state, valve));
    let now =
        line.change.fitted.map_or_else(String::new, |size| format!(" for {}", size.digits(unit)));
    match line.answer {
        Answer::Fit { size, origin, predicted, in_band } => {
            let origin = match origin {
                Origin::New => "new".into(),
                Origin::Removed(from) if from == valve => "its own".into(),
                Origin::Removed(from) => format!("from {}", valve_name(state, from)),
            };
            let still =
                if in_band { "" } else { ", STILL OUTSIDE: no stocked size leads into the band" };
            let result = predicted.text(unit);
            let close = close_to_a_limit(state, line, predicted).unwrap_or_default();
            let nearer = line.nearer.map_or_else(String::new, |(size, leads_to)| {
                format!("; a new {} leads nearer, to {}", size.digits(unit), leads_to.text(unit))
            });
            format!(
                "{reads}: fit {}{now}, {origin}: then {result}{still}{close}{nearer}",
                size.digits(unit)
            )
        }
        Answer::About(size) => format!(
            "{reads}: about {}{now}; the profile lists no sizes: the nearest, thinner on a tie",
            size.text(unit)
        ),
        Answer::ShimNotKnown if state.part_is_out(line.change.valve) => {
            format!("{reads}: its shim came out unmeasured: measure it now, type its size")
        }
        Answer::ShimNotKnown => {
            format!("{reads}: its shim is not known, measure it when it is out")
        }
        Answer::NoneNearer => {
            let thicker = line.change.wanted() > line.change.fitted;
            let word = if thicker { "thicker" } else { "thinner" };
            let fitted = line.change.fitted.map_or_else(String::new, |size| size.digits(unit));
            format!(
                "{reads}: nothing {word} than its {fitted} is stocked, it stays OUTSIDE its band"
            )
        }
        Answer::OpenEnded if only_a_look(state, valve) => {
            format!("{reads} outside its temperature: no size follows, gauge it within it first")
        }
        Answer::OpenEnded => {
            format!("{reads}: no size follows from an open end, gauge it closed first")
        }
    }
}

/// Says of a result that it may gauge out of the band all the same: what was read lies anywhere between two
/// leaves, and so does what it leads to.
fn close_to_a_limit(state: &State, line: &Line, predicted: Length) -> Option<&'static str> {
    let reading = &state.before_parts(line.change.valve)?.reading;
    let (low, high, nominal) = (reading.low?, reading.high?, reading.nominal?);
    let band = line.change.band;
    if !band.contains(predicted) {
        return None;
    }
    let tight = !band.contains(predicted - (nominal - low));
    let loose = !band.contains(predicted + (high - nominal));
    match (tight, loose) {
        (true, _) => Some(", CLOSE TO THE LIMIT: it may gauge tight"),
        (false, true) => Some(", CLOSE TO THE LIMIT: it may gauge loose"),
        (false, false) => None,
    }
}

/// Tells whether no part follows from what a valve read: the engine was outside its temperature.
fn only_a_look(state: &State, valve: Valve) -> bool {
    state.before_parts(valve).is_some_and(|taken| state.is_only_a_look(taken))
}

/// Says which leaf would settle an undecided reading: "undecided, leaf 21 would settle it".
pub(super) fn settle_words(state: &State, verdict: Verdict) -> Option<String> {
    match (verdict, &state.leaves) {
        (Verdict::Undecided { settle }, Some(set)) => {
            Some(format!("undecided, leaf {} would settle it", leaves::named(set, settle)))
        }
        (Verdict::Undecided { .. }, None) => Some("undecided".into()),
        (Verdict::InLimits | Verdict::Tight | Verdict::Loose, _) => None,
    }
}

/// Says what has to be got: "To get: 2 × 2.85, 1 × 2.90 mm".
pub fn get_words(state: &State, parts: &PartsList) -> String {
    let unit = state.facts().unit;
    let order: Vec<String> = parts
        .order
        .iter()
        .map(|(size, count)| format!("{count} × {}", size.digits(unit)))
        .collect();
    let waits = |line: &Line| matches!(line.answer, Answer::ShimNotKnown | Answer::OpenEnded);
    let unknown = parts.lines.iter().filter(|line| waits(line)).count();
    let none = parts.lines.iter().filter(|line| line.answer == Answer::NoneNearer).count();
    let mut words = match (order.is_empty(), unknown + none == parts.lines.len()) {
        (true, true) => String::new(),
        (true, false) => "Nothing to get: what comes out serves.".into(),
        (false, _) => format!("To get: {} {}.", order.join(", "), unit.word()),
    };
    if none > 0 {
        let of = format!("For {none} {} nothing that is stocked serves.", valves_word(none));
        words = if words.is_empty() { of } else { format!("{words} {of}") };
    }
    if unknown > 0 {
        let of = format!("Of {unknown} {} nothing can be told yet.", valves_word(unknown));
        words = if words.is_empty() { of } else { format!("{words} {of}") };
    }
    words
}

/// Says what else belongs to a parts list: the shims left over.
pub fn beside_words(state: &State, parts: &PartsList) -> Vec<String> {
    let unit = state.facts().unit;
    let spare: Vec<String> = parts
        .spare
        .iter()
        .map(|(valve, size)| format!("{} from {}", size.digits(unit), valve_name(state, *valve)))
        .collect();
    let mut words = Vec::new();
    if !spare.is_empty() {
        words.push(format!("Left over, {}: {}.", unit.word(), spare.join(", ")));
    }
    words
}

/// Names a push rod by its difference from standard: "+0.030 in", "standard".
pub fn rod_name(state: &State, size: Length) -> String {
    match size.nm() {
        0 => "standard".into(),
        nm if nm > 0 => format!("+{}", size.text(state.facts().unit)),
        _ => size.text(state.facts().unit),
    }
}

/// Says what each stocked push rod leads to, and which has most room, or that none fits.
pub fn rod_lines(state: &State, valve: Valve) -> Vec<String> {
    let (choices, fit) = state.rods(valve);
    let results: Vec<String> = choices
        .iter()
        .filter_map(|choice| rod_words(state, choice).map(|words| capital(&words)))
        .collect();
    let first = match (choices.is_empty(), results.is_empty(), fit) {
        (true, ..) => "The profile lists no push rods: look in the manual.".into(),
        (false, true, _) if only_a_look(state, valve) => {
            "Read outside its temperature: no rod follows, gauge it within it first.".into()
        }
        (false, true, _) => "No result follows from an open end: gauge it closed first.".into(),
        (false, false, Some(fit)) => format!("Most room: {}.", rod_name(state, fit)),
        (false, false, None) => {
            "NONE OF THE STOCKED RODS FITS: look for wear, and in the manual.".into()
        }
    };
    let mut lines = vec![first];
    if state.fitted_size(valve).is_none() && !choices.is_empty() {
        lines.push("Counted from a standard rod: which is in is not known.".into());
    }
    lines.extend(results);
    lines
}

pub(super) fn rod_words(state: &State, choice: &Choice) -> Option<String> {
    let unit = state.facts().unit;
    let (predicted, room) = (choice.predicted?, choice.room?);
    if predicted <= Length::ZERO {
        let name = rod_name(state, choice.length);
        return Some(format!("{name}: nothing left, it would hold the valve open"));
    }
    let room =
        if room < Length::ZERO { "outside".into() } else { format!("{} room", room.digits(unit)) };
    Some(format!("{}: {}, {room}", rod_name(state, choice.length), predicted.text(unit)))
}

pub(super) fn valves_word(count: usize) -> &'static str {
    if count == 1 { "valve" } else { "valves" }
}

pub(super) fn its(count: usize) -> &'static str {
    if count == 1 { "its" } else { "their" }
}

/// Says what came out or went in: "shim of 1 intake out, 2.65 mm".
pub(super) fn part_words(session: &Session, part: &Part) -> String {
    let what = match part.part {
        PartKind::Shim => "shim",
        PartKind::Pushrod => "push rod",
        PartKind::Cam => "cams",
        PartKind::Rocker => "rocker",
    };
    let of = match (&part.valve, &part.bank) {
        (Some(valve), _) => format!(" of {}", valve_name(&session.state, *valve)),
        (None, Some(bank)) => format!(" of {}", the_bank(bank)),
        (None, None) => String::new(),
    };
    let size = match (part.measured.or(part.marked), part.part) {
        (Some(size), PartKind::Pushrod) => format!(", {}", rod_name(&session.state, size)),
        (Some(size), _) => format!(", {}", size.text(session.state.facts().unit)),
        (None, _) => String::new(),
    };
    let way = match (part.out, part.typed == Part::SAME_ONE) {
        (true, _) => "out",
        (false, true) => "in, the same one",
        (false, false) => "in",
    };
    let seen = part.seen.as_ref().map_or_else(String::new, |seen| format!(": {seen}"));
    format!("{what}{of} {way}{size}{seen}")
}
