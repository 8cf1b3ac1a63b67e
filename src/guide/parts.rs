//! The questions of shims, push rods and cams: the parts list, what comes out, what goes in.

use super::cams::{cams_in, cams_out, out_label};
use super::form::{capital, pick, prompt, reason, take, type_in};
use super::left_so::left_whys;
use super::lifters::dry;
use super::named::{open_words, valve_name, valve_short};
use super::part_sizes::{before_a_turn, is_size, micrometer, serves};
use super::part_words::{
    beside_words, get_words, its, line_words, list_lines, overhead_cams, valves_word,
};
use super::prepare::line_prompt;
use super::rods::{change_rod, rod_in};
use super::rounds::place_of;
use super::{Field, Step, Typed};
use crate::domain::entry::{Part, PartKind};
use crate::domain::profile::Adjuster;
use crate::domain::session::checklist::{self, Line as Check};
use crate::domain::session::{Due, Input, OpenItem, OutPart, Session, State};
use crate::domain::shims::Answer;
use crate::domain::units::Length;
use crate::domain::valve::Valve;

/// Most lines of a parts list on the question itself; the rest stands in the help.
const LINES_SHOWN: usize = 6;
/// Most banks with a key of their own.
const BANKS_MAX: u8 = 4;

/// Asks what is due about parts; `None` where something else is due.
pub(super) fn step(session: &Session, place: &str, due: &Due, given: &[String]) -> Option<Step> {
    let sized =
        matches!(due, Due::PartsList | Due::TakeOut(_) | Due::PartOut(..) | Due::CamsOut(..));
    if let (true, Some(&owed)) = (sized, session.state.sizes_owed.first()) {
        return Some(size_owed(session, place, owed, given));
    }
    Some(match due {
        Due::PartsList => list(session, place, given),
        Due::TakeOut(valve) => take_out(session, place, *valve, given),
        Due::PartOut(valve, PartKind::Shim) => shim_in(session, place, *valve, given),
        Due::PartOut(valve, PartKind::Pushrod) => rod_in(session, place, *valve, given),
        Due::PartOut(valve, part @ (PartKind::Cam | PartKind::Rocker)) => {
            part_in(session, place, (*valve, *part), given)
        }
        Due::CamsOut(bank, line) => cams_in(session, place, bank.as_deref(), line, given),
        Due::TurnThrough(line) => turn_through(session, place, line, given),
        Due::Felt(line, _) => super::stop_felt::asked(session, place, line, given),
        Due::Dry(valve, line) => dry(session, place, *valve, line, given),
        Due::ChangeRod(valve, verdict) => change_rod(session, place, *valve, *verdict, given),
        _ => return None,
    })
}

fn list(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let parts = state.parts_list();
    let mut lines = list_lines(state, &parts).into_iter();
    let out = parts.lines.len();
    let title = format!("Parts list: {out} {} out of {} band", valves_word(out), its(out));
    let noun = if out == 1 { "SHIM" } else { "SHIMS" };
    let mut ask = prompt(place, title, "What now?").also_large(format!("{out} {noun}"));
    ask = ask.line(get_words(state, &parts));
    ask = ask.lines(lines.by_ref().take(LINES_SHOWN));
    let rest: Vec<String> = lines.collect();
    if !rest.is_empty() {
        ask = ask.line(format!("{} more: in the help, and on the parts list.", rest.len()));
    }
    ask.more.extend(rest);
    ask.more.extend(beside_words(state, &parts));
    let ask = ask.more("Shims not here yet? Nothing is open: call away, and go on when they are.");
    // On a rough look nothing is changed.
    let look = state.is_rough_look();
    let banks = if look { Vec::new() } else { banks_to_open(state) };
    let labels: Vec<String> = banks.iter().map(|bank| out_label(state, bank.as_deref())).collect();
    let mut choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    choices.extend((!look).then_some((5, "cams stay in: shim out past them")));
    choices.extend([
        (6, "gauge one once more first"),
        (7, "leave one as it is"),
        (8, "leave all as is"),
    ]);
    // What is opened, and what is got for it, is decided by what stands there.
    let ask = ask.with(Field::choice(&choices)).whole_for_any();
    pick(ask, given, |digit, rest| match digit {
        Some(5) => which(session, place, "Past its cam", rest, |valve, _| {
            take(taken_out(valve, PartKind::Shim))
        }),
        Some(6) => which(session, place, "Gauge once more", rest, |valve, _| {
            let why = "gauged once more before anything is opened".into();
            match state.before_parts(valve) {
                Some(taken) => take(Input::Void { of: taken.seq, why }),
                None => Step::Again,
            }
        }),
        Some(7) => which(session, place, "Leave as it is", rest, |valve, rest| {
            let name = valve_name(&session.state, valve);
            reason(
                place,
                &format!("{name} is left as it is"),
                &left_whys(&session.state),
                rest,
                |why, _| take(Input::LeaveAsIs { valve, why }),
            )
        }),
        Some(8) => {
            reason(place, "All are left as they are", &left_whys(&session.state), rest, |why, _| {
                take(Input::LeaveAllAsIs { why })
            })
        }
        digit => {
            let bank = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|n| banks.get(n));
            bank.map_or(Step::Again, |bank| take(Input::CamsOut { bank: bank.clone() }))
        }
    })
}

/// Lists the banks with a shim to change; of an engine with one bank, or with many, all of it.
fn banks_to_open(state: &State) -> Vec<Option<String>> {
    let banks = &state.facts().layout.banks;
    if banks.len() < 2 || banks.len() > usize::from(BANKS_MAX) {
        return vec![None];
    }
    let to_change = state.to_change();
    let open = banks
        .iter()
        .filter(|bank| to_change.iter().any(|valve| bank.cylinders.contains(&valve.cylinder)));
    open.map(|bank| Some(bank.name.clone())).collect()
}

/// Asks which of the valves to be changed is meant; of one alone nothing is asked.
fn which(
    session: &Session,
    place: &str,
    title: &str,
    given: &[String],
    then: impl FnOnce(Valve, &[String]) -> Step,
) -> Step {
    let valves = session.state.to_change();
    if let [alone] = valves.as_slice() {
        return then(*alone, given);
    }
    super::which_valve::one_of(session, prompt(place, title, "Which valve?"), &valves, given, then)
}

fn take_out(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let ask = prompt(place, format!("Take out the shim of {name}"), "What now?")
        .big(valve_short(state, valve), place_of(state, valve))
        .line("The mark is often worn, and marks leave figures out: the micrometer decides.")
        .with(
            Field::choice(&[(1, "it is out: type its size"), (2, "leave it, and say why")])
                .kept_by_enter(),
        );
    pick(ask, given, |digit, rest| match digit {
        Some(2) => reason(
            place,
            &format!("{name} is left as it is"),
            &left_whys(&session.state),
            rest,
            |why, _| take(Input::LeaveAsIs { valve, why }),
        ),
        // Out from here on, whatever comes between: its size is asked next.
        _ => take(taken_out(valve, PartKind::Shim)),
    })
}

/// Says that a part is out.
pub(super) fn taken_out(valve: Valve, part: PartKind) -> Input {
    Input::PartOut { valve, part, marked: String::new(), measured: String::new() }
}

/// Tells the size of a part that is out, or that nobody can tell it.
pub(super) fn size_of_out(valve: Valve, part: PartKind, marked: String, measured: String) -> Input {
    let (marked, measured) = told_or_not(marked, measured);
    Input::PartOut { valve, part, marked, measured }
}

/// Says in place of a size that nobody can tell it, so that it is not asked again.
pub(super) fn told_or_not(marked: String, measured: String) -> (String, String) {
    let told = !(marked.trim().is_empty() && measured.trim().is_empty());
    (if told { marked } else { Part::NOT_TOLD.into() }, measured)
}

/// Asks for the size of a part that was said to be out.
fn size_owed(
    session: &Session,
    place: &str,
    (valve, part): (Valve, PartKind),
    given: &[String],
) -> Step {
    let told = |marked: String, measured| take(size_of_out(valve, part, marked, measured));
    match part {
        PartKind::Shim => sizes_out(session, place, valve, given, told),
        PartKind::Pushrod if session.state.has_lifters() => {
            super::rods::length_out(session, place, valve, given)
        }
        PartKind::Pushrod | PartKind::Rocker | PartKind::Cam => {
            let title = format!("What came out of {}", valve_name(&session.state, valve));
            let ask = prompt(place, title, "Marked size:")
                .big(valve_short(&session.state, valve), place_of(&session.state, valve))
                .with(Field::typed(Typed::Text).or_enter("not known"));
            type_in(ask, given, |marked, _| told(marked.into(), String::new()))
        }
    }
}

/// Asks for the sizes of a shim that is out.
pub(super) fn sizes_out(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
    then: impl FnOnce(String, String) -> Step,
) -> Step {
    let title = format!("The shim that came out of {}", valve_name(&session.state, valve));
    sizes(session, place, (&title, valve), NOT_READ, given, |marked, measured, _| {
        then(marked, measured)
    })
}

/// What Enter says of the mark of a shim that came out.
const NOT_READ: &str = "no mark can be read";

/// What Enter says of the mark of a shim that goes in.
const NO_MARK: &str = "no mark";

/// Asks for the marked size and the one by the micrometer.
fn sizes(
    session: &Session,
    place: &str,
    (title, valve): (&str, Valve),
    no_mark: &str,
    given: &[String],
    then: impl FnOnce(String, String, &[String]) -> Step,
) -> Step {
    let example = example_size(session);
    let about = |ask: &str| {
        prompt(place, title, format!("{ask}, as in {example}:"))
            .big(valve_short(&session.state, valve), place_of(&session.state, valve))
    };
    let marked = about("Marked size").with(Field::typed(Typed::Number).or_enter(no_mark));
    type_in(marked, given, |marked, rest| {
        let size = match is_size(session, marked) {
            Ok(size) => size,
            Err(words) => return Step::Refused(words),
        };
        let said = size.map(|size| format!("Marked {}.", size.text(session.state.facts().unit)));
        let field = Field::typed(Typed::Number);
        // What goes in has one size at least.
        let needed = no_mark == NO_MARK && marked.is_empty();
        let field = if needed { field } else { field.or_enter("not measured") };
        let measured = about("By the micrometer").lines(said).with(field);
        type_in(measured, rest, |measured, rest| {
            micrometer(session, (place, valve, true), size, measured, rest, |measured, rest| {
                then(marked.into(), measured, rest)
            })
        })
    })
}

fn example_size(session: &Session) -> String {
    let facts = session.state.facts();
    match &facts.adjuster {
        Adjuster::Shim { sizes } if !sizes.is_empty() => sizes[sizes.len() / 2].digits(facts.unit),
        Adjuster::Shim { .. } | Adjuster::Screw(_) | Adjuster::Pushrod { .. } | Adjuster::None => {
            Length::from_um(2650).text(facts.unit)
        }
    }
}

fn shim_in(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let parts = state.parts_list();
    let line = parts.lines.iter().find(|line| line.change.valve == valve);
    let fit = line.and_then(|line| match line.answer {
        Answer::Fit { size, .. } | Answer::About(size) => Some(size),
        Answer::NoneNearer => line.change.fitted,
        Answer::ShimNotKnown | Answer::OpenEnded => None,
    });
    let unit = state.facts().unit;
    // A size alone would not say whose it is.
    let next = fit.map_or_else(|| "SHIM OUT".into(), |size| size.digits(unit));
    let name = valve_name(state, valve);
    let mut ask = prompt(place, format!("Fit the shim of {name}"), "What is done?")
        .big(valve_short(state, valve), place_of(state, valve))
        .then(Some(next))
        .lines(line.map(|line| capital(&line_words(state, line))));
    if state.changes_shims() {
        ask = ask.line("Not here yet? Call away: the notice says what is out.");
    }
    ask = ask.more("Oil it, the mark to the follower.");
    ask.more.extend(list_lines(state, &parts));
    let proposed = fit.map(|size| format!("{} went in", size.text(unit)));
    let mut choices: Vec<(u8, &str)> = Vec::new();
    choices.extend(proposed.as_deref().map(|words| (1, words)));
    choices.push((2, "another went in: type its size"));
    choices.push((3, "the same one went back"));
    let unmeasured = state.may_tell_size(valve, PartKind::Shim);
    choices.extend(unmeasured.then_some((4, "measure what came out: type it")));
    let ask = ask.with(Field::choice(&choices).kept_by_enter());
    pick(ask, given, |digit, rest| match (digit, fit) {
        (Some(1), Some(size)) => as_proposed(session, place, (valve, size), rest),
        (Some(3), _) => {
            let (marked, measured) = (Part::SAME_ONE.into(), String::new());
            take(Input::PartIn { valve, part: PartKind::Shim, marked, measured })
        }
        (Some(4), _) => sizes_out(session, place, valve, rest, |marked, measured| {
            told_anew(valve, PartKind::Shim, marked, measured)
        }),
        _ => another_in(session, place, valve, rest),
    })
}

/// Takes the shim that the parts list names, and what the micrometer says of it.
fn as_proposed(
    session: &Session,
    place: &str,
    (valve, size): (Valve, Length),
    given: &[String],
) -> Step {
    let state = &session.state;
    let title = format!("The shim that went into {}", valve_name(state, valve));
    let ask = prompt(place, title, "By the micrometer:")
        .big(valve_short(state, valve), place_of(state, valve))
        .with(Field::typed(Typed::Number).or_enter("not measured"));
    type_in(ask, given, |measured, rest| {
        let about = (place, valve, false);
        micrometer(session, about, Some(size), measured, rest, |measured, rest| {
            let marked = size.text(state.facts().unit);
            shim_serves(session, place, valve, (marked, measured), rest)
        })
    })
}

/// Takes the sizes of another shim than the list names.
fn another_in(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let title = format!("The shim that went into {}", valve_name(&session.state, valve));
    sizes(session, place, (&title, valve), NO_MARK, given, |marked, measured, rest| {
        shim_serves(session, place, valve, (marked, measured), rest)
    })
}

fn shim_serves(
    session: &Session,
    place: &str,
    valve: Valve,
    (marked, measured): (String, String),
    given: &[String],
) -> Step {
    let of = |typed: &str| is_size(session, typed).ok().flatten();
    let size = of(&measured).or_else(|| of(&marked));
    let name = size.map_or_else(String::new, |size| size.digits(session.state.facts().unit));
    let part = PartKind::Shim;
    let fits = || take(Input::PartIn { valve, part, marked, measured });
    serves(session, (place, valve, part, &name), size, given, fits, |rest| {
        out_anew(session, place, valve, rest)
    })
}

/// Asks anew for the size of the shim that came out; Enter leaves it as it was told.
fn out_anew(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let title = format!("The shim that came out of {}", valve_name(state, valve));
    let unit = state.facts().unit;
    let known = state.fitted_size(valve).map(|size| format!("as told, {}", size.text(unit)));
    let known = known.unwrap_or_else(|| NOT_READ.into());
    sizes(session, place, (&title, valve), &known, given, |marked, measured, _| {
        told_anew(valve, PartKind::Shim, marked, measured)
    })
}

/// Keeps what is told anew of a part that is out; of nothing told all is asked from the start.
pub(super) fn told_anew(valve: Valve, part: PartKind, marked: String, measured: String) -> Step {
    if marked.trim().is_empty() && measured.trim().is_empty() {
        return Step::Again;
    }
    take(size_of_out(valve, part, marked, measured))
}

pub(super) fn place_of_valve(state: &State, valve: Valve) -> String {
    format!("{} · {}", valve_short(state, valve), place_of(state, valve))
}

fn part_in(
    session: &Session,
    place: &str,
    (valve, part): (Valve, PartKind),
    given: &[String],
) -> Step {
    let ask = prompt(
        place,
        format!("A part of {} is out", valve_name(&session.state, valve)),
        "Put it back. Its marked size, or Enter where none is marked:",
    )
    .big(valve_short(&session.state, valve), place_of(&session.state, valve))
    .line("No turn is offered while a part is out.")
    .with(Field::typed(Typed::Text).or_enter("none"));
    type_in(ask, given, |typed, _| {
        let (marked, measured) = (typed.into(), String::new());
        take(Input::PartIn { valve, part, marked, measured })
    })
}

fn turn_through(session: &Session, place: &str, line: &Check, given: &[String]) -> Step {
    let overhead = overhead_cams(&session.state);
    let facts = session.state.facts();
    let back = facts.rotation.as_ref().is_some_and(|rotation| rotation.backwards_allowed);
    // In the smallest window these few words stand alone.
    let never = if back { "After" } else { "Never back; after" };
    let stop = if overhead { "cams out, look at the timing" } else { "look for what touches" };
    let mut ask = line_prompt(place, "Turn it through before anything is gauged", line)
        .big("TWO TURNS", "by hand, nothing forced")
        .line(format!("{never} a hard stop: {stop}."))
        .whole()
        .line(super::turning::direction_line(facts));
    if overhead {
        // The large words have the rest of it.
        ask.ask = "Two turns, then the timing marks: what was felt and seen?".into();
    }
    let ask = before_a_turn(ask, &session.state);
    pick(ask, given, |digit, _| take(Input::Answer(digit.unwrap_or_default())))
}

/// Asks what came out at any time: a part of a valve, or the cams.
pub(super) fn came_out(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let overhead = overhead_cams(state);
    let choices: &[(u8, &str)] = if overhead {
        &[(3, "shim"), (4, "cams")]
    } else {
        &[(1, "push rod"), (2, "rocker"), (3, "shim"), (4, "cams")]
    };
    let ask = prompt(place, "A part came out", "Which?").with(Field::choice(choices));
    pick(ask, given, |digit, rest| {
        let part = match digit {
            Some(4) => return cams_out(session, place, rest),
            Some(2) => PartKind::Rocker,
            Some(3) => PartKind::Shim,
            _ => PartKind::Pushrod,
        };
        super::which_valve::ask_valve(session, place, "A part came out", rest, |valve, _| {
            take(taken_out(valve, part))
        })
    })
}

/// Asks which of the parts that are out went in, and leads to its question.
pub(super) fn went_in(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let out: Vec<_> = state.parts_out.iter().take(8).cloned().collect();
    let labels: Vec<String> = out
        .iter()
        .map(|out| open_words(state, &OpenItem::PartOut(out.clone())).to_lowercase())
        .collect();
    let choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    let ask = prompt(place, "A part went in", "Which of those that are out?")
        .with(Field::choice(&choices));
    pick(ask, given, |digit, rest| {
        let one = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|n| out.get(n));
        match one {
            None => Step::Again,
            Some(OutPart { valve: None, bank, .. }) => {
                let line = checklist::timing_marks(bank.as_deref());
                cams_in(session, place, bank.as_deref(), &line, rest)
            }
            Some(OutPart { valve: Some(valve), part, .. }) => match part {
                PartKind::Shim => shim_in(session, place, *valve, rest),
                PartKind::Pushrod => rod_in(session, place, *valve, rest),
                PartKind::Cam | PartKind::Rocker => part_in(session, place, (*valve, *part), rest),
            },
        }
    })
}
