//! The questions that bring the crank to a stop and prove it: turn, rock, unload, let go.

use super::felt::{Feel, felt_alone, none_felt, of_the_sign, place_shown};
use super::form::{capital, count, pick, prompt, take};
use super::named::{valve_name, valve_names};
use super::part_sizes::before_a_turn;
use super::status::{self, number_and_side};
use super::turning::{
    approach_lines, bank_words, clock_words, clockwise_as_seen, direction_line, direction_lines,
    looks_like, tolerance_words, turn_words,
};
use super::valve_place::{place_seen, seen_words};
use super::{Field, Prompt, Step};
use crate::domain::crank::{TURN, normal};
use crate::domain::entry::Rocked;
use crate::domain::plain::plain;
use crate::domain::plan::{Approach, Stop, TimingFrom};
use crate::domain::profile::{Facts, Sign};
use crate::domain::session::{Again, Crank, Input, Proven, Session, State};
use crate::domain::valve::{Cylinder, Kind, Valve};

/// The stop's place in the plan, why it is to be found again, whether the crank is said to be
/// there, whether rocking will be asked.
type TurnDue = (usize, Option<Again>, bool, bool);

pub(super) fn turn(session: &Session, place: &str, due: TurnDue, given: &[String]) -> Step {
    let ask = turn_prompt(session, place, due);
    let ask = ask.lines(super::hold_down::turned_under(&session.state));
    let ask = ask.lines(super::order::made_anew(session, due.0));
    let ask = before_a_turn(ask, &session.state);
    if none_felt(&session.state, due.0) {
        return pick(ask, given, |digit, _| {
            take(if digit == Some(1) { Input::Loose(0) } else { Input::Lost })
        });
    }
    if felt_alone(&session.state, due.0).is_some() {
        return pick(ask, given, |digit, _| take(Input::Loose(digit.unwrap_or(0))));
    }
    count(ask, given, |loose, _| take(Input::Loose(u8::try_from(loose).unwrap_or(u8::MAX))))
}

fn turn_prompt(session: &Session, place: &str, (index, again, there, rock): TurnDue) -> Prompt {
    let state = &session.state;
    let facts = state.facts();
    let feel = Feel::at(state, index);
    let Some(stop) = state.stops().get(index) else {
        return prompt(place, "Turn", format!("How many {} {}?", feel.parts, feel.shut));
    };
    let (ask, field) = feel.question(state, index, stop);
    // Where the sign lies behind already its name would be half of the long way: no mixture of both.
    // Where nothing is felt the sign is always to be seen, whatever turn would lead there.
    let angle = told_angle(state).filter(|_| !none_felt(state, index));
    let turn_on = match stop.approach(angle) {
        Approach::TurnOn { turn, .. } if again.is_none() && !there => Some(turn),
        Approach::TurnOn { .. } | Approach::SeeSign { .. } => None,
    };
    let title = match (again, there) {
        (Some(Again::WrongStroke), _) => format!("{}: it was the wrong stroke", feel.none),
        (Some(Again::Moved), _) => {
            let sign = stood_title(stop.watch, stop.sign, 0);
            let then_on = if stop.then_turn > 0 { ", then one full turn on" } else { "" };
            format!("{}: find {sign} again{then_on}", feel.one_moved)
        }
        (None, true) => format!("Prove it: the crank at {}", place_shown(state, index, stop)),
        (None, false) => match turn_on {
            Some(turn) if stop.sign.is_overlap() => {
                format!("Turn on {turn:.0}°, to the firing stroke of {}", stop.watch)
            }
            Some(turn) => format!("Turn on {turn:.0}°"),
            None => format!("Turn to {}", place_shown(state, index, stop)),
        },
    };
    let watched = state.shown_by(index).map_or(stop.watch, |(cylinder, _)| cylinder);
    let (large, caption) = match (again, turn_on) {
        (None, Some(turn)) => (format!("{turn:.0}°"), "on, from where it stands".to_string()),
        (Some(Again::WrongStroke), _) => {
            let parts = feel.parts_words(state, index, stop);
            ("360°".to_string(), format!("one full turn on, then {} the {parts} again", feel.look))
        }
        (Some(Again::Moved), _) | (None, None) => {
            (number_and_side(state, watched), place_seen(facts, watched))
        }
    };
    let mut ask = in_large(prompt(place, title, ask), large, caption, watched).with(field);
    if none_felt(state, index) {
        ask = ask.line(of_the_sign(state, index, stop));
    }
    if again.is_none() && !there {
        ask = with_the_way(session, stop, angle, ask);
        ask = ask.lines(tape_at_stop(state, stop));
    }
    if again.is_some() {
        ask = ask.line(direction_line(facts)).whole_for_any();
        ask.more.extend(direction_lines(facts));
    }
    if again.is_none() && there {
        ask = ask.lines(tape_where_it_stands(state).map(|tape| capital(&tape)));
    }
    ask = with_the_manual(stop, ask);
    if !of_several(stop) {
        ask = ask.line(done_there(session, stop));
    } else if again.is_some() || there {
        ask = ask.line(done_there(session, stop)).whole_for_any();
    }
    let carried = again.is_none().then(|| carried(state, stop));
    ask = ask.lines(Feel::no_play(state, index)).lines(carried);
    if rock && again.is_none() && !none_felt(state, index) {
        ask = ask.more("Rocking the crank is asked next.");
    }
    if let Some(caveat) = state.plan.as_ref().ok().and_then(|plan| plan.caveat) {
        ask = ask.line(format!("Computed plan: {caveat}."));
    }
    ask
}

/// Writes large how far is turned or which cylinder is watched, and asks for the count there.
fn in_large(ask: Prompt, large: String, caption: String, watched: Cylinder) -> Prompt {
    let short = if large.ends_with('°') { large.clone() } else { watched.to_string() };
    ask.big(large, caption).in_short(short)
}

/// Says what to carry to a stop: one errand.
fn carried(state: &State, stop: &Stop) -> String {
    let gauged = |kind: &Kind| stop.gauge.iter().any(|gauge| gauge.valve.kind == *kind);
    let kinds: Vec<Kind> = Kind::BOTH.into_iter().filter(gauged).collect();
    format!("Carry {}.", status::carry_words(state, &kinds))
}

/// What the manual says of a stop, to be read before an answer counts.
fn with_the_manual(stop: &Stop, ask: Prompt) -> Prompt {
    match &stop.say {
        Some(say) => ask.line(format!("The manual: {say}")).whole_for_any(),
        None => ask,
    }
}

/// Where the crank stands, to tell a turn from: nowhere after a break or after a rocker moved, one
/// turn on after the wrong stroke.
fn told_angle(state: &State) -> Option<f64> {
    let angle = state.crank_angle()?;
    // After a break somebody may have moved it: then the sign counts, and no degrees.
    if matches!(state.crank, Crank::At { proof: Proven::No, .. }) && state.again.is_none() {
        return None;
    }
    match state.again {
        None => Some(angle),
        Some(Again::Moved) => None,
        Some(Again::WrongStroke) => Some(normal(angle + TURN)),
    }
}

/// Says where the tape comes to at a stop. It helps to find the place, and proves nothing.
fn tape_at_stop(state: &State, stop: &Stop) -> Option<String> {
    let clock = tape_clock(state, stop.crank?)?;
    Some(format!("The tape is then near {clock}; it comes by there on both strokes."))
}

/// Asks whether the tape still points to where it was left: "tape still at 8 o'clock? ...".
pub(super) fn tape_where_it_stands(state: &State) -> Option<String> {
    let clock = tape_clock(state, state.crank_angle()?)?;
    Some(format!("tape still at {clock}? If not, somebody has moved the crank."))
}

fn tape_clock(state: &State, crank: f64) -> Option<String> {
    let clockwise = clockwise_as_seen(state.facts())?;
    Some(clock_words(state.tape_at(crank, clockwise)?))
}

/// How far, which way, how exactly; what is seen there stands in the help once the way is known.
fn with_the_way(session: &Session, stop: &Stop, crank_now: Option<f64>, mut ask: Prompt) -> Prompt {
    let facts = session.state.facts();
    let approach = stop.approach(crank_now);
    let looks = looks_like(facts, stop.sign).map(|looks| format!("To be seen: {looks}."));
    // Where room is short the last lines give way.
    ask = ask.line(direction_line(facts));
    let stands_here = stop.turn_from(crank_now).is_some_and(|turn| turn < 0.5);
    match approach {
        // The only stop that is left of a new round: all the way round once more, not at once again.
        _ if stands_here => {
            ask = ask.line("Turn on two full turns, 720°, to the same place once more.");
        }
        Approach::SeeSign { turn: None } => ask = ask.whole_for_any().lines(looks),
        Approach::SeeSign { turn: Some(turn) } if stop.then_turn == 0 => {
            ask = ask.line(capital(&turn_words(facts, turn)) + ".");
            ask.more.extend(looks);
        }
        Approach::SeeSign { .. } | Approach::TurnOn { .. } => {
            let lines = approach_lines(facts, stop, approach);
            ask = ask.lines(lines.iter().map(|line| capital(line)));
        }
    }
    if of_several(stop) {
        ask = ask.line(done_there(session, stop));
    }
    if ask.field.whole == 0 || of_several(stop) {
        ask = ask.whole_for_any();
    }
    ask = ask.lines(tolerance_words(stop).map(|words| capital(&words) + "."));
    ask.more.extend(direction_lines(facts));
    ask
}

/// Tells whether valves of several cylinders are gauged at a stop: which ones nobody knows by heart, so
/// that they are read before an answer counts.
fn of_several(stop: &Stop) -> bool {
    cylinders_of(stop).len() > 1
}

pub(super) fn cylinders_of(stop: &Stop) -> Vec<Cylinder> {
    let mut cylinders: Vec<Cylinder> = Vec::new();
    for gauge in &stop.gauge {
        if !cylinders.contains(&gauge.valve.cylinder) {
            cylinders.push(gauge.valve.cylinder);
        }
    }
    cylinders
}

/// Names where the crank stands at a stop: "2 at overlap, then one full turn on".
pub(super) fn place_title(stop: &Stop) -> String {
    stood_title(stop.watch, stop.sign, stop.then_turn)
}

/// Names a place by what is seen there and what was turned on after it.
pub(super) fn stood_title(watch: Cylinder, sign: Sign, then_turn: u16) -> String {
    let then_on = if then_turn > 0 { ", then one full turn on" } else { "" };
    format!("{}{then_on}", sign_title(watch, sign))
}

fn sign_title(watch: Cylinder, sign: Sign) -> String {
    match sign {
        Sign::Overlap => format!("{watch} at overlap"),
        Sign::Changeover => format!("{watch} at changeover"),
        Sign::IntakeOpens => format!("{watch}: intake just opening"),
        Sign::IntakeCloses => format!("{watch}: intake just shut"),
        Sign::ExhaustOpens => format!("{watch}: exhaust just opening"),
        Sign::ExhaustCloses => format!("{watch}: exhaust just shut"),
        Sign::Mark => "the mark".into(),
    }
}

/// Lists the valves of a stop that are still to be gauged in this round, or once more; where none is,
/// those that something else is wanted of, and nothing that is done with.
fn still_to_do(state: &State, stop: &Stop) -> Vec<Valve> {
    let of = |wanted: &dyn Fn(usize, Valve) -> bool| -> Vec<Valve> {
        let wanted = |valve: &Valve| state.round().is_none_or(|round| wanted(round, *valve));
        stop.gauge.iter().map(|gauge| gauge.valve).filter(wanted).collect()
    };
    let gauge = of(&|round, valve| is_gauged(state, round, valve));
    let left =
        if gauge.is_empty() { of(&|round, valve| state.pending(round, valve)) } else { gauge };
    if left.is_empty() { of(&|_, _| true) } else { left }
}

fn is_gauged(state: &State, round: usize, valve: Valve) -> bool {
    state.needs_reading(round, valve) || state.wants_second(Some(round), valve)
}

/// Names the valves of a stop that something is wanted of.
fn named_there(state: &State, stop: &Stop, wanted: impl Fn(Valve) -> bool) -> Option<String> {
    let wanted = stop.gauge.iter().map(|gauge| gauge.valve).filter(|&valve| wanted(valve));
    let named: Vec<String> = wanted.map(|valve| valve_name(state, valve)).collect();
    (!named.is_empty()).then(|| named.join(", "))
}

/// Says what is done at a stop: nuts first, then what is gauged, which word is wanted of two readings,
/// and what is set by a reading that is kept.
fn done_there(session: &Session, stop: &Stop) -> String {
    let state = &session.state;
    let round = state.round();
    let gauged = |valve| round.is_none_or(|round| is_gauged(state, round, valve));
    let doubted = |valve| round.is_some_and(|round| state.in_doubt(round, valve));
    let set = |valve| round.is_some_and(|round| state.needs_setting(round, valve));
    let nuts = named_there(state, stop, |valve| state.nut_slack(valve));
    let nuts = nuts.map(|nuts| locked_there(state, &nuts));
    let word = named_there(state, stop, |valve| doubted(valve) && !gauged(valve));
    let word = word.map(|word| format!("say what the readings of {word} were"));
    let set = named_there(state, stop, |valve| set(valve) && !doubted(valve));
    let set = set.map(|set| format!("set {set}"));
    let other = nuts.is_some() || word.is_some() || set.is_some() && stop.unload.is_empty();
    let gauge = (!other || stop.gauge.iter().any(|gauge| gauged(gauge.valve)))
        .then(|| format!("gauge {}", gauged_words(session, stop)));
    // Where a valve is held open for it, that is said with what is gauged.
    let set = set.filter(|_| other);
    let done: Vec<String> = nuts.into_iter().chain(gauge).chain(word).chain(set).collect();
    format!("Then {}.", done.join("; then "))
}

/// Says what is done to slack nuts: only where nothing is set are they locked as they stand.
fn locked_there(state: &State, nuts: &str) -> String {
    match (state.locks_as_it_stands(), nuts.contains(',')) {
        (false, false) => format!("set {nuts}, lock its nut and gauge it"),
        (false, true) => format!("set {nuts}, lock each nut and gauge each"),
        (true, false) => format!("lock the nut of {nuts} as it stands and gauge it"),
        (true, true) => format!("lock the nuts of {nuts} as they stand and gauge each"),
    }
}

/// Says what is gauged at a stop and where it stands; of several cylinders bank by bank, in short.
fn gauged_words(session: &Session, stop: &Stop) -> String {
    let facts = session.state.facts();
    let valves = still_to_do(&session.state, stop);
    let kinds = |cylinder: Cylinder| {
        let words = |kind: Kind| {
            let due: Vec<Valve> = valves
                .iter()
                .copied()
                .filter(|valve| valve.cylinder == cylinder && valve.kind == kind)
                .collect();
            of_a_kind(facts, kind, &due)
        };
        Kind::BOTH.into_iter().filter_map(words).collect::<Vec<_>>().join(" and ")
    };
    let cylinders: Vec<Cylinder> = cylinders_of(stop)
        .into_iter()
        .filter(|cylinder| valves.iter().any(|valve| valve.cylinder == *cylinder))
        .collect();
    let mut words: Vec<String> = match cylinders.as_slice() {
        [alone] => vec![format!("{alone}, {}: {}", place_seen(facts, *alone), kinds(*alone))],
        several => {
            // Bank after bank, as they are visited.
            let mut banks: Vec<(&str, Vec<String>)> = Vec::new();
            for &cylinder in several {
                let name = facts.bank_of(cylinder).map_or("", |bank| bank.name.as_str());
                let valves = format!("{cylinder} {}", kinds(cylinder));
                match banks.last_mut().filter(|(last, _)| *last == name) {
                    Some((_, list)) => list.push(valves),
                    None => banks.push((name, vec![valves])),
                }
            }
            let named = facts.layout.banks.len() > 1;
            let words = |(name, list): (&str, Vec<String>)| match named {
                true => {
                    let bank = plain(&bank_words(name, facts.layout.shape));
                    format!("{bank}: {}", list.join(", "))
                }
                false => list.join(", "),
            };
            banks.into_iter().map(words).collect()
        }
    };
    if !stop.unload.is_empty() {
        words.push(format!("first unload {}", valve_names(&session.state, &stop.unload)));
    }
    words.join("; ")
}

/// Names valves of one kind of a cylinder: "intake"; of several "intakes", or by number where not all are due.
fn of_a_kind(facts: &Facts, kind: Kind, due: &[Valve]) -> Option<String> {
    let all = usize::from(facts.spec(kind).per_cylinder);
    let word = kind.word();
    match due {
        [] => None,
        _ if all == 1 => Some(word.into()),
        due if due.len() == all => Some(format!("{word}s")),
        due => {
            let numbers: Vec<String> = due.iter().map(|valve| valve.number.to_string()).collect();
            Some(format!("{word} {}", numbers.join(", ")))
        }
    }
}

/// Said where a table of the manual's tells the place and nothing turns back; how near it has to be is the manual's.
const PAST_THE_TABLE: &str = "Then it stands 15° past the table's place. Is that too far by the manual? Two turns on, up to it again.";

pub(super) fn rock(
    session: &Session,
    place: &str,
    stop: usize,
    loose: u8,
    given: &[String],
) -> Step {
    let state = &session.state;
    let (index, expected) = (stop, state.to_gauge(stop));
    let back = state.facts().rotation.as_ref().is_some_and(|rotation| rotation.backwards_allowed);
    let feel = Feel::at(state, index);
    let stop = state.stops().get(index);
    let parts = stop.map_or_else(|| feel.parts.into(), |stop| feel.parts_words(state, index, stop));
    let title = if back {
        format!("Rock the crank 15° each way, {} {parts}", feel.watched)
    } else {
        format!("Turn the crank 15° on, never back, {} {parts}", feel.watched)
    };
    let (ask, steady, moved) =
        if loose == expected { (feel.ask, feel.stayed, feel.moved) } else { feel.steady.into() };
    let mut prompt = prompt(place, title, ask).with(Field::choice(&[(1, steady), (0, moved)]));
    if let Some(stop) = stop {
        let alone = felt_alone(state, index).map(|valve| vec![valve.cylinder]);
        prompt = match alone.unwrap_or_else(|| cylinders_of(stop)).as_slice() {
            [gauged] => prompt
                .big(number_and_side(state, *gauged), place_seen(state.facts(), *gauged))
                .line("At its firing stroke neither valve moves; at overlap both do."),
            _ => prompt
                .big("15°", if back { "each way" } else { "on, never back" })
                .line(format!("Then {} the {parts} again, each of them.", feel.look))
                .line("On the wrong stroke, or at a wrong place, one of them takes up."),
        };
        if loose != expected {
            prompt = prompt.line(format!("{loose} of {expected} {}.", feel.shut));
        }
        let by_table = state.plan.as_ref().is_ok_and(|plan| plan.timing == TimingFrom::Table);
        if by_table && !back {
            prompt = prompt.line(PAST_THE_TABLE);
        }
    }
    pick(before_a_turn(prompt, state), given, |digit, _| {
        take(Input::Rock(if digit == Some(1) { Rocked::Steady } else { Rocked::Moved }))
    })
}

pub(super) fn unload(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let ask = prompt(place, format!("Unload {name} first"), "Is it pressed open and held?")
        .big(number_and_side(state, valve.cylinder), seen_words(state.facts(), "press open", valve))
        .with(Field::choice(&[(1, "pressed open and held")]))
        .line("Until it is let go again nothing may turn.")
        .whole();
    pick(ask, given, |_, _| take(Input::Unload))
}

/// What to do where a rod is not seated: the valve counts as held open, and nothing turns.
const NOT_SEATED: &str = "do not turn: press the valve open again, set the rod into both sockets, let \
                          go slowly, feel both ends, then answer 1; a bent rod or a worn socket goes by \
                          the manual";

pub(super) fn release(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let ask = prompt(place, format!("Let {name} go"), "Is its rod seated at both ends?")
        .big(number_and_side(state, valve.cylinder), seen_words(state.facts(), "let go", valve))
        .line("Spin the rod between the fingers, feel both ends.")
        .with(Field::choice(&[
            (1, "let go, rod seated at both ends"),
            (2, "not seated, or not sure"),
        ]));
    pick(ask, given, |digit, _| match digit {
        Some(2) => Step::Refused(NOT_SEATED.into()),
        _ => take(Input::ReleaseOf(valve)),
    })
}
