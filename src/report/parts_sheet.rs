//! The parts list of a session as text and as a JSON document: what to fit where, what to get, what
//! is known to be in the engine.

use super::sheet::Sheet;
use crate::domain::entry::PartKind;
use crate::domain::plain::plain;
use crate::domain::profile::Adjuster;
use crate::domain::session::{OpenItem, Session, State};
use crate::domain::shims::{Answer, Line, Origin, PartsList};
use crate::domain::units::Length;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;
use crate::guide::part_words::{
    beside_words, get_words, line_words, list_lines, rod_lines, rod_name,
};
use serde_json::{Value, json};

/// Writes the parts list of a session, open or closed, as plain text of `width` columns.
pub fn parts_text(session: &Session, width: usize) -> String {
    let state = &session.state;
    let name = |text: &Option<String>| text.clone().unwrap_or_default();
    let mut sheet = Sheet::new(width);
    let (engine, service) = (name(&state.begin.engine), name(&state.begin.name));
    sheet.line("", &format!("Parts list: {engine}, service \"{service}\""));
    let out = of_interest(state);
    parts_out(state, &mut sheet);
    sheet.heading(if state.sealed.is_some() { "Left out of band" } else { "Out of band" });
    if shims(state) {
        let list = state.parts_list_of(&out);
        list_lines(state, &list).iter().for_each(|line| sheet.line("  ", line));
        if list.lines.is_empty() && !left_so(session).is_empty() {
            sheet.line("  ", "nothing to change");
        } else if list.lines.is_empty() {
            sheet.line("  ", "nothing that is known");
        } else {
            sheet.line("  ", &get_words(state, &list));
        }
        beside_words(state, &list).iter().for_each(|line| sheet.line("  ", line));
        // On its own: what is left takes no shim from what is changed.
        let left_so = left_so(session);
        for (valve, why) in &left_so {
            let list = state.parts_list_of(&[*valve]);
            let of_it = list.lines.iter().filter(|line| line.change.valve == *valve);
            of_it.for_each(|line| sheet.line("  ", &line_words(state, line)));
            sheet.line("    ", &format!("left so: {why}"));
        }
    } else {
        let left_so = left_so(session);
        let left = |valve: &Valve| left_so.iter().find(|(one, _)| one == valve);
        for valve in out.iter().chain(left_so.iter().map(|(valve, _)| valve)) {
            let typed = reading(state, *valve).unwrap_or_default();
            let verb = if state.part_is_out(*valve) { "read" } else { "reads" };
            sheet.line("  ", &format!("{} {verb} {typed}", state.name_of(*valve)));
            rod_lines(state, *valve).iter().for_each(|line| sheet.line("    ", line));
            let why = left(valve).map(|(_, why)| format!("left so: {why}"));
            why.iter().for_each(|why| sheet.line("    ", why));
        }
        if out.is_empty() && left_so.is_empty() {
            sheet.line("  ", "nothing that is known");
        }
    }
    sheet.heading("Known to be in the engine");
    let known = fitted(state);
    for (valve, size) in &known {
        let words = size_words(state, *size);
        sheet.line("  ", &format!("{}: {words}", state.name_of(*valve)));
    }
    if known.is_empty() {
        sheet.line("  ", "nothing: no service has told what went in");
    }
    sheet.into_text()
}

fn shims(state: &State) -> bool {
    matches!(state.facts().adjuster, Adjuster::Shim { .. })
}

/// Says first of all what is out, of which valve or bank, and its size where it is known.
fn parts_out(state: &State, sheet: &mut Sheet) {
    if state.parts_out.is_empty() {
        return;
    }
    sheet.heading("Out of the engine");
    for out in &state.parts_out {
        let words = OpenItem::PartOut(out.clone()).words(&|valve| state.name_of(valve));
        let own = out.valve.filter(|_| is_own(state, out.part));
        let size = own.map(|valve| match state.fitted_size(valve) {
            Some(size) => format!(", {}", size_words(state, size)),
            None => ", its size not known".into(),
        });
        sheet.line("  ", &plain(&format!("{words}{}", size.unwrap_or_default())));
    }
}

/// Tells whether the clearance is set by parts of this kind.
fn is_own(state: &State, part: PartKind) -> bool {
    state.has_parts() && part == if shims(state) { PartKind::Shim } else { PartKind::Pushrod }
}

/// Names a shim, or a push rod by its difference from standard.
fn size_words(state: &State, size: Length) -> String {
    if shims(state) { size.both(state.facts().unit) } else { rod_name(state, size) }
}

/// Lists what the parts list is about: of a closed session what was left, of an open one what is
/// still to be changed, and the valves whose push rods are out for it; shims that are out the list tells itself.
fn of_interest(state: &State) -> Vec<Valve> {
    if state.sealed.is_none() {
        let rods = state.parts_out.iter().filter(|out| !shims(state) && is_own(state, out.part));
        let mut valves: Vec<Valve> = rods.filter_map(|out| out.valve).collect();
        valves.retain(|valve| state.before_parts(*valve).is_some());
        valves.extend(state.to_change());
        valves.sort_unstable();
        return valves;
    }
    let mut left: Vec<Valve> = state.left_outside().into_iter().map(|(_, valve)| valve).collect();
    left.sort_unstable();
    left
}

/// Lists what is out of its band and left so in a session that is open, each with its reason: what it
/// may need one day is told too. Of a closed one they stand with the others.
fn left_so(session: &Session) -> Vec<(Valve, String)> {
    let state = &session.state;
    if state.sealed.is_some() {
        return Vec::new();
    }
    let out =
        |valve: &Valve| state.verdict_before(*valve).is_some_and(|one| one != Verdict::InLimits);
    let mut valves = state.valves();
    valves.retain(|valve| out(valve) && !state.part_is_out(*valve));
    let why = |valve: Valve| Some((valve, plain(state.reason_to_leave(valve)?)));
    valves.into_iter().filter_map(why).collect()
}

fn reading(state: &State, valve: Valve) -> Option<String> {
    state.before_parts(valve).map(|taken| taken.reading.typed.clone())
}

fn fitted(state: &State) -> Vec<(Valve, Length)> {
    let valves = state.facts().valves().into_iter().filter(|valve| !state.part_is_out(*valve));
    valves.filter_map(|valve| Some((valve, state.fitted_size(valve)?))).collect()
}

/// Makes the document of `parts --json`; every length is in the profile's unit.
pub fn parts_json(session: &Session) -> Value {
    let state = &session.state;
    let unit = state.facts().unit;
    let out = of_interest(state);
    let number = |length: Length| length.in_unit(unit);
    let list = if shims(state) { state.parts_list_of(&out) } else { PartsList::default() };
    let change: Vec<Value> = if shims(state) {
        list.lines.iter().map(|line| shim_json(state, line)).collect()
    } else {
        out.iter().map(|&valve| rod_json(state, valve)).collect()
    };
    let sized = |&(valve, size): &(Valve, Length)| with(valve, json!({ "size": number(size) }));
    let order = list.order.iter();
    json!({
        "engine": state.begin.engine,
        "session": state.begin.name,
        "adjuster": if shims(state) { "shim" } else { "pushrod" },
        "unit": unit.word(),
        "change": change,
        "order": order
            .map(|(size, count)| json!({ "size": number(*size), "count": count }))
            .collect::<Vec<_>>(),
        "spare": list.spare.iter().map(sized).collect::<Vec<_>>(),
        "fitted": fitted(state).iter().map(sized).collect::<Vec<_>>(),
    })
}

/// Puts the names of a valve before other members.
fn with(valve: Valve, mut members: Value) -> Value {
    members["cylinder"] = json!(valve.cylinder);
    members["valve"] = json!(valve.kind.word());
    members["number"] = json!(valve.number);
    members
}

fn shim_json(state: &State, line: &Line) -> Value {
    let unit = state.facts().unit;
    let number = |length: Option<Length>| length.map(|length| length.in_unit(unit));
    let (fit, from, predicted, in_band) = match line.answer {
        Answer::Fit { size, origin, predicted, in_band } => {
            let from = match origin {
                Origin::New => Value::Null,
                Origin::Removed(valve) => with(valve, json!({})),
            };
            (Some(size), from, Some(predicted), json!(in_band))
        }
        Answer::About(_) | Answer::ShimNotKnown | Answer::OpenEnded | Answer::NoneNearer => {
            (None, Value::Null, None, Value::Null)
        }
    };
    let members = json!({
        "reading": reading(state, line.change.valve),
        "fitted": number(line.change.fitted),
        "wanted": number(line.change.wanted()),
        "fit": number(fit),
        "from": from,
        "predicted": number(predicted),
        "in_band": in_band,
        "why": why_no_shim(state, line),
    });
    with(line.change.valve, members)
}

/// Says why no shim is named to be fitted; nothing where one is.
fn why_no_shim(state: &State, line: &Line) -> Option<&'static str> {
    match line.answer {
        Answer::Fit { .. } => None,
        Answer::About(_) => Some("no sizes listed"),
        Answer::ShimNotKnown => Some("fitted not known"),
        Answer::NoneNearer => Some("none nearer"),
        Answer::OpenEnded => Some(why_no_figure(state, line.change.valve)),
    }
}

/// Says why no part follows from what a valve reads.
fn why_no_figure(state: &State, valve: Valve) -> &'static str {
    match state.before_parts(valve) {
        Some(taken) if state.is_only_a_look(taken) => "only a look",
        Some(_) => "open-ended",
        None => "not gauged",
    }
}

fn rod_json(state: &State, valve: Valve) -> Value {
    let unit = state.facts().unit;
    let number = |length: Option<Length>| length.map(|length| length.in_unit(unit));
    let (choices, fit) = state.rods(valve);
    let why = match (fit, choices.first()) {
        (Some(_), _) => None,
        (None, None) => Some("no lengths listed"),
        (None, Some(first)) if first.predicted.is_none() => Some(why_no_figure(state, valve)),
        (None, Some(_)) => Some("none in band"),
    };
    let choices: Vec<Value> = choices
        .iter()
        .map(|choice| {
            json!({
                "length": choice.length.in_unit(unit),
                "predicted": number(choice.predicted),
                "room": number(choice.room),
            })
        })
        .collect();
    let members = json!({
        "reading": reading(state, valve),
        "fitted": number(state.fitted_size(valve)),
        "choices": choices,
        "fit": number(fit),
        "why": why,
    });
    with(valve, members)
}
