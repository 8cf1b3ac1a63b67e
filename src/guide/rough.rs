//! A rough look at an engine outside the temperature that its limits are for, or a round that only gauges:
//! what is asked there in another way, because nothing is set.

use super::form::prompt;
use super::named::{valve_name, valve_short};
use super::rounds::{outside_words, place_of, torque_words};
use super::{Field, Prompt, Typed};
use crate::domain::session::Session;
use crate::domain::valve::Valve;

/// Asks what a nut that was found slack reads once it is locked as its screw stands.
pub(super) fn trying(session: &Session, place: &str, valve: Valve) -> Prompt {
    let state = &session.state;
    let torque = torque_words(session).map_or_else(String::new, |torque| format!(" at {torque}"));
    let name = valve_name(state, valve);
    let title = format!("{name}: its nut is slack, lock it as it stands");
    let looks =
        if state.is_rough_look() { "on a rough look" } else { "while valves are only gauged" };
    prompt(place, title, "Locked and gauged: which leaf drags?")
        .big(valve_short(state, valve), place_of(state, valve))
        .lines(super::screw::locked_before(session, valve))
        .lines(outside_words(state))
        .line(format!(
            "Nothing is set {looks}: leave the screw as it is, lock the nut{torque}, gauge."
        ))
        .with(Field::typed(Typed::Reading))
}
