//! Where in the job the session is, and whether the clock beside it can be believed.

use super::part_words::apart_words;
use crate::domain::service::is_practice;
use crate::domain::session::{Due, RoundKind, Session, Stage, State};
use crate::domain::valve::Valve;

/// Said before everything else of a service by example figures.
const PRACTICE: &str = "PRACTICE";

/// Said behind a place where the clock cannot be believed.
pub(super) const DOUBTED: &str = " · clock doubtful";

/// Says where in the job the session is: "round 1 of 2, setting · stop 3 of 4"; of a service for practice
/// that first.
pub fn place(session: &Session) -> String {
    of_practice(&session.state, place_of_any(session))
}

/// Says the same, for practice or not.
pub(super) fn place_of_any(session: &Session) -> String {
    let place = in_the_job(session);
    if doubtful_clock(session).is_some() { place + DOUBTED } else { place }
}

/// Tells whether a service is for practice.
pub(super) fn practises(state: &State) -> bool {
    state.source.as_ref().is_some_and(|(source, said)| is_practice(source, *said))
}

/// Says of a place first that it is one of a service for practice, once.
pub(super) fn of_practice(state: &State, place: String) -> String {
    if practises(state) { as_of_practice(&place) } else { place }
}

fn as_of_practice(place: &str) -> String {
    match place {
        "" => PRACTICE.into(),
        told if told.starts_with(PRACTICE) => told.into(),
        place => format!("{PRACTICE} · {place}"),
    }
}

/// Returns the places of a service for practice, the longest first: the word itself is never cut, and how much
/// is left is told before where that is.
pub(super) fn places_of_practice(places: &[String]) -> Vec<String> {
    let in_round = places.first().is_some_and(|whole| whole.starts_with("round "));
    let shortest = places.last().map_or("", String::as_str);
    let mut all: Vec<String> = places.iter().map(|place| as_of_practice(place)).collect();
    if in_round {
        // "r1/2 s1/4 8 to do, 12 min"
        let close = shortest.replace(", ", " ").replace(" min", "min");
        let valves = shortest.split_once(" to do, ").map(|(valves, _)| format!("{valves} to do"));
        let told = [Some(shortest.to_owned()), Some(close), valves].into_iter().flatten();
        all.extend(told.map(|place| format!("{PRACTICE} {place}")));
        let stop = shortest.split(' ').take(2).collect::<Vec<_>>().join(" ");
        all.push(as_of_practice(&stop));
    } else {
        let told: Vec<&str> = shortest.split(" · ").collect();
        let (whole, left) = (told.get(1..).unwrap_or_default().join(" · "), told.get(1));
        let left = left.into_iter().map(|left| (*left).to_owned());
        let told = std::iter::once(whole).chain(left).filter(|left| !left.is_empty());
        let first = shortest.split(" · ").next().map(str::to_owned);
        all.extend(told.chain(first).map(|place| as_of_practice(&place)));
    }
    all.push(PRACTICE.into());
    all.dedup();
    all
}

/// Says of another page of a service what its own place says first: that it is for practice.
pub fn beside(place: String, own: Option<&String>) -> String {
    match own.filter(|own| own.starts_with(PRACTICE)) {
        Some(_) => as_of_practice(&place),
        None => place,
    }
}

/// Says why times are not to be believed and what to do about it; nothing where they can be, or
/// where the day was put right.
pub fn doubtful_clock(session: &Session) -> Option<String> {
    let doubt = session.day_doubted()?;
    Some(format!("clock doubtful: {doubt}; is the day of this service wrong? {BY_KEY}"))
}

/// What puts the day right on a screen, and at a prompt.
const BY_KEY: &str = "* puts it right";
/// Where it is put right, for somebody who reads it on paper.
const IN_PROGRAM: &str =
    "It is put right in the session, under \"the day of this service is wrong\"";

/// Says the same of a line on paper, where there is no key.
pub fn for_paper(line: &str) -> String {
    match line.strip_suffix(BY_KEY) {
        Some(words) if words.starts_with("clock doubtful") => format!("{words}{IN_PROGRAM}"),
        _ => line.to_owned(),
    }
}

/// Says where in the job the session is, and nothing beside it.
pub fn in_the_job(session: &Session) -> String {
    let state = &session.state;
    let due = state.due();
    if matches!(due, Due::Look(..)) {
        return "before the crank turns".into();
    }
    match due.stage() {
        Stage::Closed => "closed".into(),
        Stage::Away => "called away".into(),
        Stage::Prepare => "prepare".into(),
        Stage::MakeSafe => {
            let left = state.cautions_left();
            format!("make safe · {left} to answer")
        }
        Stage::Temperature | Stage::AtAStop => round_words(state),
        Stage::Apart => apart_words(state),
        Stage::BeforeClosing => "before closing up".into(),
        Stage::CloseUp => "close up".into(),
        Stage::Run => "run and leak check".into(),
        Stage::Sign => "sign".into(),
    }
}

fn round_words(state: &State) -> String {
    let (Some(round), Some((stop, stops))) = (state.round(), state.progress()) else {
        if state.apart() {
            return apart_words(state);
        }
        let over = matches!(state.due(), Due::HoldDown(_));
        return if over { "before closing up" } else { "prepare" }.into();
    };
    let what = match state.round_kind() {
        Some(RoundKind::Survey) => "survey",
        Some(RoundKind::Setting) => "gauge and set",
        Some(RoundKind::Recheck) => "recheck",
        Some(RoundKind::SecondLook) => "second look",
        Some(RoundKind::Change) => "change push rods",
        Some(RoundKind::AsLeft) => "as left",
        None => "",
    };
    if state.after_rounds() {
        return format!("after the rounds, {what}");
    }
    format!("round {} of {}, {what} · stop {stop} of {stops}", round + 1, state.rounds().len())
}

/// Says how far the round is: "round 1 of 2, stop 2 of 4, 3 of 8 valves done, 1 valve set"; empty
/// outside of the rounds.
pub(super) fn round_so_far(state: &State) -> String {
    let (Some(round), Some((stop, stops)), Some((done, valves))) =
        (state.round(), state.progress(), state.valves_done())
    else {
        return String::new();
    };
    if valves == 0 {
        return String::new();
    }
    if state.after_rounds() {
        return "after the rounds; last: ".into();
    }
    let (round, rounds) = (round + 1, state.rounds().len());
    let is_set = |valve: &&Valve| !state.nut_slack(**valve) && !state.only_worked_on(**valve);
    let set = state.touched.iter().filter(is_set).count();
    let set = match set {
        0 => String::new(),
        1 => ", 1 valve set".into(),
        set => format!(", {set} valves set"),
    };
    format!(
        "round {round} of {rounds}, stop {stop} of {stops}, {done} of {valves} valves done{set}; last: "
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_paper_no_line_names_a_key() {
        let line =
            format!("clock doubtful: it is early; is the day of this service wrong? {BY_KEY}");
        let paper = for_paper(&line);
        assert!(
            !paper.contains('*') && paper.contains("It is put right in the session"),
            "{paper}"
        );
        assert!(paper.starts_with("clock doubtful: it is early; is the day"), "{paper}");
        assert_eq!(for_paper("left by J. Doe * puts it right"), "left by J. Doe * puts it right");
    }
}
