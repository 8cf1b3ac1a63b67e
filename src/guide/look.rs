//! The look at an engine of which nobody can read what an earlier service left open: nothing turns before
//! somebody says how it was looked at, and what was found.

use super::closing::RUN;
use super::form::{in_words, pick, prompt, take};
use super::named::{valve_name, valve_names};
use super::usual::{how_seen, told_of};
use super::which_valve::ask_valve;
use super::{Field, Prompt, Step, status};
use crate::domain::entry::Remark;
use crate::domain::plain::plain;
use crate::domain::session::{Due, Input, OpenItem, Session, is_handed_on, remark_in_short};
use crate::domain::valve::Valve;

const HOW: &str = "How was it seen, and by whom?";

/// Asks whether it was looked at, how, and what was found.
pub(super) fn asked(session: &Session, (seq, text): (u64, &str), given: &[String]) -> Step {
    let turns = matches!(session.state.due(), Due::Look(..));
    let place = if turns { status::place(session) } else { RUN.into() };
    let (title, yet) = if turns {
        ("Nothing turns until it is looked at", "nothing turns")
    } else {
        ("The run waits until it is looked at", "no run")
    };
    let not_yet = format!("not looked yet: {yet}");
    let short = plain(&remark_in_short(text));
    let screws = session.state.has_screws();
    let each = if screws { "each nut with the spanner" } else { "each valve" };
    let whose = if is_handed_on(text) { "Left by another service" } else { "Cut off here" };
    let ask = prompt(&place, title, format!("{whose}: what is seen of it?"))
        .also_large("LOOK FIRST")
        .in_short("LOOK")
        .line(&short)
        .line(format!("Covers off, the crank as it stands: {each}, the tray, and all round."))
        .more(if screws {
            "A nut that is slack is named with the answer, or by *; a part that is out by *."
        } else {
            "A part that is out is told by *."
        })
        .with(Field::choice(&[
            (1, "looked: say how, and by whom"),
            (2, "never so: say how seen, by whom"),
            (3, &not_yet),
        ]));
    pick(ask, given, |digit, rest| {
        if digit == Some(3) {
            return Step::Refused(format!("it stays open: {yet} until it is looked at"));
        }
        let how = prompt(&place, &short, HOW).also_large("HOW IT WAS SEEN");
        told_of(how, HOW, &how_seen(session), rest, |typed, rest| match digit {
            Some(1) => found(session, &place, &typed, rest),
            _ => take(Input::SettleRemark { seq, text: format!("never so: {typed}") }),
        })
    })
}

/// Asks what was found at it.
fn found(session: &Session, place: &str, how: &str, given: &[String]) -> Step {
    let open = session.state.open_items();
    let told = open.iter().any(|item| matches!(item, OpenItem::NutSlack(_) | OpenItem::PartOut(_)));
    let good = if told { "nothing else is open" } else { "all as it ought to be, nothing open" };
    let mut choices = vec![(1, good)];
    choices.extend(session.state.has_screws().then_some((2, "a nut is slack: say which")));
    choices.push((3, "something else: say what, put it right"));
    let title = format!("Looked at: {}", plain(how));
    let ask = prompt(place, &title, "What was found?")
        .also_large("FOUND")
        .line("What is put right is looked at once more before anything turns.")
        .with(Field::choice(&choices));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::Looked(format!("looked: {how}; {good}"), Vec::new())),
        Some(2) => slack(session, (place, how), &[], rest),
        _ => {
            let ask = prompt(place, &title, "What is open, and where?")
                .also_large("WHAT WHERE")
                .line("It is asked about before the run too. The look stays open meanwhile.");
            in_words(ask, rest, |typed, _| {
                let text = format!("found at the look: {typed}");
                take(Input::Remark(Remark { text, before_running: true, ..Remark::default() }))
            })
        }
    })
}

/// Asks which nuts are slack, one after the other.
fn slack(
    session: &Session,
    (place, how): (&str, &str),
    before: &[Valve],
    given: &[String],
) -> Step {
    let state = &session.state;
    ask_valve(session, place, "A nut was found slack", given, |valve, rest| {
        if before.contains(&valve) || state.nut_slack(valve) {
            let name = valve_name(state, valve);
            return Step::Refused(format!("the nut of {name} counts as slack already"));
        }
        let found = [before, &[valve]].concat();
        let names = valve_names(state, &found);
        let ask: Prompt = prompt(place, format!("Slack: {names}"), "Is another nut slack?")
            .also_large("NUT SLACK")
            .line("It counts as slack from here: locked and gauged after, at its own stop.")
            .with(Field::choice(&[(1, "no, all others are locked"), (2, "yes: say which")]));
        pick(ask, rest, |digit, rest| match digit {
            Some(1) => {
                take(Input::Looked(format!("looked: {how}; nut slack: {names}"), found.clone()))
            }
            _ => slack(session, (place, how), &found, rest),
        })
    })
}
