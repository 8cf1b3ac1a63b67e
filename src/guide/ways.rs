//! The way round the engine, to be chosen by what it costs: stops, degrees turned, changes of side.

use super::form::{count, pick, prompt, take, type_in};
use super::{Field, Step, Typed};
use crate::domain::entry::{Begin, Rounds};
use crate::domain::plain::plain;
use crate::domain::plan::{self, MARGIN_OF_ASSUMED, MARGIN_OF_PROFILE, Plan, PlanChoice};
use crate::domain::profile::Adjuster;
use crate::domain::session::{Input, Session, State};

/// The ways, each with its words, and whether it asks for few stops and for less walking.
const WAYS: [(&str, bool, bool); 4] = [
    ("one cylinder a stop", false, false),
    ("fewest stops", true, false),
    ("one cylinder a stop, less walking", false, true),
    ("fewest stops, less walking", true, true),
];

/// Says what a plan costs: "4 stops, 540° turned, 4 changes of side".
pub fn cost_words(plan: &Plan) -> String {
    let counted = |number: String, noun: &str| {
        let ending = if number == "1" { "" } else { "s" };
        format!("{number} {noun}{ending}")
    };
    let turned =
        plan.turned.map_or("turning not known".into(), |turned| format!("{turned:.0}° turned"));
    let stops = counted(plan.stops.len().to_string(), "stop");
    format!("{stops}, {turned}, {} of side", counted(plan.side_changes.to_string(), "change"))
}

/// Names the way that a session's plan is.
pub fn way_words(begin: &Begin) -> String {
    let way = begin.way();
    let asked = (way.few_stops, way.less_walking);
    let name = WAYS.iter().find(|(_, few, less)| (*few, *less) == asked);
    let mut words = name.map_or("", |(words, ..)| words).to_string();
    if let Some(from) = way.from {
        words.push_str(&format!(", beginning with {from}"));
    }
    if let Some(margin) = way.margin {
        words.push_str(&format!(", {margin}° from moving at least"));
    }
    words
}

/// Says which valves are looked at, and in which rounds: "all valves: gauge, set, recheck".
fn scope_words(state: &State, begin: &Begin) -> String {
    let cylinders = begin.scope.as_deref().unwrap_or_default();
    let named: Vec<String> = cylinders.iter().map(ToString::to_string).collect();
    let which = match named.as_slice() {
        [] => "all valves".to_owned(),
        [one] => format!("cylinder {one}"),
        several => format!("cylinders {}", several.join(", ")),
    };
    let rounds = match (begin.rounds, begin.change, &state.facts().adjuster) {
        (Some(Rounds::SetThenRecheck), ..) => "gauge, set, recheck",
        (Some(Rounds::SurveySetRecheck), ..) => "gauge all, then set, recheck",
        (_, true, Adjuster::Shim { .. }) => "gauge, change shims, gauge those",
        (_, true, Adjuster::Pushrod { .. }) => "gauge, change rods, gauge those",
        _ => "gauge only",
    };
    format!("{which}: {rounds}")
}

/// Says what was begun or chosen; nothing of what only tells the engine.
pub(super) fn begun_words(state: &State, begin: &Begin) -> Option<String> {
    let Begin { from, few_stops, margin, .. } = begin;
    if begin.rounds.is_some() {
        Some(scope_words(state, begin))
    } else if begin.rest {
        Some(format!("the rest: {}", way_words(begin)))
    } else if from.is_some() || few_stops.is_some() || margin.is_some() {
        Some(format!("the way round: {}", way_words(&state.begin)))
    } else if begin.engine.is_none() {
        // Said on another day.
        begin.hours.map(|hours| format!("not run since, {hours} h"))
    } else {
        None
    }
}

/// Chooses the way round the whole engine, before it is begun.
pub(super) fn whole(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let profile = &state.profile.profile;
    let now = state.begin.way();
    let planned = |few_stops, less_walking| {
        let choice = PlanChoice { few_stops, less_walking, ..now };
        plan::plan(profile, &choice).map_err(|refusal| refusal.to_string())
    };
    let mut labels = labels(planned);
    labels.push("begin with another cylinder".into());
    labels.push("another least margin".into());
    let choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    let ask = prompt(place, "The way round", "Which way?")
        .line(format!("Now: {}.", way_words(&state.begin)))
        .with(Field::choice(&choices));
    pick(ask, given, |digit, rest| match digit {
        Some(5) => from(rest, place),
        Some(6) => margin(session, rest, place),
        digit => chosen(digit, false),
    })
}

/// Chooses the way round what is left, from where the crank stands.
pub(super) fn rest(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let planned = |few_stops, less_walking| {
        let choice = PlanChoice { few_stops, less_walking, ..PlanChoice::default() };
        state
            .rest_planned(&choice)
            .unwrap_or_else(|| Err("say first which cylinder you see at overlap".into()))
    };
    let labels = labels(planned);
    let choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    let ask = prompt(place, "The rest of this round, from where the crank stands", "Which way?")
        .line("The next round goes round the whole engine again.")
        .with(Field::choice(&choices));
    pick(ask, given, |digit, _| chosen(digit, true))
}

fn labels(planned: impl Fn(bool, bool) -> Result<Plan, String>) -> Vec<String> {
    let label = |&(words, few, less): &(&str, bool, bool)| match planned(few, less) {
        Ok(plan) if less && planned(few, false).is_ok_and(|other| same_cost(&plan, &other)) => {
            format!("{words}: no better here")
        }
        Ok(plan) => format!("{words}: {}", cost_words(&plan)),
        Err(why) => format!("{words}: not possible, {}", plain(&why)),
    };
    WAYS.iter().map(label).collect()
}

fn same_cost(one: &Plan, other: &Plan) -> bool {
    cost_words(one) == cost_words(other)
}

fn chosen(digit: Option<u8>, rest: bool) -> Step {
    let way = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|way| WAYS.get(way));
    let (_, few_stops, less_walking) = way.unwrap_or(&WAYS[0]);
    let (few_stops, less_walking) = (Some(*few_stops), Some(*less_walking));
    begin(Begin { few_stops, less_walking, rest, ..Begin::default() })
}

fn begin(begin: Begin) -> Step {
    take(Input::Begin(Box::new(begin)))
}

fn from(given: &[String], place: &str) -> Step {
    let ask = prompt(place, "Where to begin", "Which cylinder is gauged first?")
        .with(Field::typed(Typed::Count));
    count(ask, given, |number, _| match u8::try_from(number) {
        Ok(cylinder) => begin(Begin { from: Some(cylinder), ..Begin::default() }),
        Err(_) => Step::Refused(format!("there is no cylinder {number}")),
    })
}

fn margin(session: &Session, given: &[String], place: &str) -> Step {
    let own = session.state.facts().timing.is_some();
    let usual = if own { MARGIN_OF_PROFILE } else { MARGIN_OF_ASSUMED };
    let ask = prompt(place, "The least margin", "At least how many degrees from moving?")
        .line(format!("How far each valve is from opening where it is gauged; usual: {usual}°."))
        .with(Field::typed(Typed::Number));
    type_in(ask, given, |typed, _| {
        let number = typed.trim_end_matches('°').trim().replace(',', ".");
        match number.parse::<f64>().ok().filter(|margin| (0.0..=360.0).contains(margin)) {
            Some(margin) => begin(Begin { margin: Some(margin), ..Begin::default() }),
            None => Step::Refused(format!("\"{}\" is no angle from 0 to 360°", plain(typed))),
        }
    })
}
