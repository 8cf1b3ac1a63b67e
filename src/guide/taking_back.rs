//! Taking back: whether the key comes to something, and what is answered for instead: a nut, or what
//! was said to have come out.

use super::cams::{cams_apart, which_cams};
use super::form::{capital, pick, prompt, reason, take, type_in};
use super::glance::AND_THE_STOP;
use super::named::valve_name;
use super::part_words::part_words;
use super::parts::{sizes_out, told_or_not};
use super::status::entry_words;
use super::which_valve::one_of;
use super::{Field, Step, Typed};
use crate::domain::entry::{At, Change, Entry, Nut, NutSaid, Part, PartKind, Skip, Skipped};
use crate::domain::session::{
    AT_ONCE, Input, PRESSED_BY_MISTAKE, Session, State, WRONG_PLACE, WRONG_VALVE_NAMED,
};
use crate::domain::valve::Valve;

/// Returns the valve whose nut was said slack just now.
fn slack_just_now(session: &Session) -> Option<Valve> {
    let valve = slack_by(&session.last_entry()?.entry)?;
    let never = Input::NutNeverTouched { valve, why: PRESSED_BY_MISTAKE.into() };
    session.decide(&never).is_ok().then_some(valve)
}

/// Returns the valve that was said to be pressed open just now: it is let go by its own answer.
fn opened_just_now(session: &Session) -> Option<Valve> {
    let Entry::Unload(opened) = &session.last_entry()?.entry else { return None };
    session.state.unloaded.contains(&opened.valve).then_some(opened.valve)
}

/// Tells whether the key that takes back comes to something.
pub fn may_take_back(session: &Session) -> bool {
    slack_just_now(session).is_some()
        || opened_just_now(session).is_some()
        || session.came_out_last().is_some()
        || session.worked_last().is_some()
        || session.decide(&Input::TakeBack).is_ok()
}

/// A nut said slack, a valve said pressed open, or a part said out, by mistake is not taken back without a word
/// but answered for, so the key asks that at once.
pub(super) fn step(session: &Session, place: &str, given: &[String]) -> Step {
    if let Some(valve) = opened_just_now(session) {
        return super::crank::release(session, place, valve, given);
    }
    match slack_just_now(session) {
        Some(valve) => never_slack(session, place, valve, given),
        None => match session.came_out_last().map(|kept| (kept.seq, &kept.entry)) {
            Some((of, Entry::Part(part))) => not_out(session, place, (of, part), given),
            _ => match session.worked_last().map(|kept| (kept.seq, &kept.entry)) {
                Some((of, Entry::Work(work))) => super::hold_down::not_worked(
                    place,
                    (of, work.cylinder, session.state.opens_nuts(work)),
                    given,
                ),
                _ => take(Input::TakeBack),
            },
        },
    }
}

/// Asks what is so of something that was said to be out: where it is out all the same, what is known of
/// it is told anew and it stays out.
fn not_out(session: &Session, place: &str, (of, part): (u64, &Part), given: &[String]) -> Step {
    let title = capital(&format!("{}: taken back?", part_words(session, part)));
    let Some(was) = part.valve else {
        return cams_not_out(session, place, &title, of, given);
    };
    let ask = prompt(place, &title, "What is so?")
        .with(Field::choice(&[(1, IN_IT_IS), (2, WRONG_SIZE), (3, WRONG_VALVE)]).kept_by_enter());
    pick(ask, given, |digit, rest| match digit {
        Some(2) => retold(session, place, (of, part.part), (was, WRONG_SIZE), rest),
        Some(3) => super::which_valve::ask_valve(
            session,
            place,
            "The part that is out",
            rest,
            |valve, rest| retold(session, place, (of, part.part), (valve, WRONG_VALVE), rest),
        ),
        _ => reason(place, &title, OF_PARTS, rest, |why, _| take(Input::Void { of, why })),
    })
}

/// Cams that are out all the same are told in the same step: nothing turns while they are.
fn cams_not_out(session: &Session, place: &str, title: &str, of: u64, given: &[String]) -> Step {
    let never = |given: &[String]| {
        reason(place, title, OF_CAMS, given, |why, _| take(Input::Void { of, why }))
    };
    if !cams_apart(&session.state) {
        return never(given);
    }
    let ask = prompt(place, title, "What is so?")
        .with(Field::choice(&[(1, IN_THEY_ARE), (2, WRONG_BANK)]).kept_by_enter());
    pick(ask, given, |digit, rest| match digit {
        Some(2) => which_cams(session, place, "The cams that are out", rest, |bank| {
            take(Input::CamsOutRetold { of, bank, why: WRONG_BANK.into() })
        }),
        _ => never(rest),
    })
}

/// Asks the size of what is out, as where it came out.
fn retold(
    session: &Session,
    place: &str,
    (of, part): (u64, PartKind),
    (valve, why): (Valve, &str),
    given: &[String],
) -> Step {
    let anew = |marked, measured| {
        let (marked, measured) = told_or_not(marked, measured);
        take(Input::PartOutRetold { of, valve, marked, measured, why: why.into() })
    };
    if part == PartKind::Shim {
        return sizes_out(session, place, valve, given, anew);
    }
    let ask = match part {
        PartKind::Pushrod => "Its difference from standard, as in +0.030 in, or 0:",
        PartKind::Shim | PartKind::Rocker | PartKind::Cam => "Marked size:",
    };
    let ask = prompt(place, format!("What came out of {}", valve_name(&session.state, valve)), ask)
        .with(Field::typed(Typed::Text).or_enter("not known"));
    type_in(ask, given, |marked, _| anew(marked.into(), String::new()))
}

/// Lists the valves whose nut counts as slack and may still be said to be none: nothing was tried on it.
pub(super) fn never_slackened(session: &Session) -> Vec<Valve> {
    let never = |valve: &Valve| {
        let why = PRESSED_BY_MISTAKE.into();
        session.decide(&Input::NutNeverTouched { valve: *valve, why }).is_ok()
    };
    session.state.facts().valves().into_iter().filter(never).collect()
}

/// Says in the list of all what is answered of which nut, where there is one; `None` where several are
/// slack alike, or none.
pub(super) fn untouched_words(session: &Session) -> Option<String> {
    let (state, valves) = (&session.state, never_slackened(session));
    match valves.as_slice() {
        [one] if state.left_slack(*one) => Some(format!(
            "the nut of {}, left slack before: seen, it is locked",
            valve_name(state, *one)
        )),
        [one] => {
            Some(format!("the nut of {}, said slack, was never touched", valve_name(state, *one)))
        }
        several if several.iter().any(|valve| state.left_slack(*valve)) => {
            Some("seen: it is locked (a nut left slack before), or never touched".into())
        }
        _ => None,
    }
}

/// Asks which nut that was said slack was never touched; the only one is not asked for.
pub(super) fn never_touched(session: &Session, place: &str, given: &[String]) -> Step {
    let valves = never_slackened(session);
    match valves.as_slice() {
        [] => Step::Refused(format!("not now: {}", super::not_now::of_nuts(&session.state))),
        [one] => never_slack(session, place, *one, given),
        several => {
            let title = "A nut said slack was never touched";
            let ask = prompt(place, title, "Which nut?").also_large("WHICH NUT");
            one_of(session, ask, several, given, |valve, rest| {
                never_slack(session, place, valve, rest)
            })
        }
    }
}

/// Asks why a nut that counts as slack is not; where another was meant, which: of those that are not
/// slack yet.
pub(super) fn never_slack(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let title = untouched_title(state, valve);
    let named = valve;
    let others = state.facts().valves().into_iter();
    let others: Vec<Valve> = others
        .filter(|&really| session.decide(&Input::NutOfAnother { named, really }).is_ok())
        .collect();
    let mut usual = untouched(state, valve).to_vec();
    // Where every other nut is slack too there is none to name.
    usual.retain(|why| *why != WRONG_VALVE_NAMED || !others.is_empty());
    reason(place, &title, &usual, given, |why, rest| {
        if why != WRONG_VALVE_NAMED || others.is_empty() {
            return take(Input::NutNeverTouched { valve, why });
        }
        let ask = prompt(place, "The nut that is slack", "Which valve?").also_large("WHICH NUT");
        one_of(session, ask, &others, rest, |really, _| take(Input::NutOfAnother { named, really }))
    })
}

/// Says of which valve a nut is slack, and of which it is not, where the wrong one was named.
pub(super) fn of_another(state: &State, entries: &[Entry]) -> Option<String> {
    let [others @ .., Entry::Nut(Nut { valve: named, said: NutSaid::NeverTouched { .. }, .. })] =
        entries
    else {
        return None;
    };
    let really = others.iter().find_map(slack_by)?;
    let (named, really) = (valve_name(state, *named), valve_name(state, really));
    Some(format!("nut of {really} slack, that of {named} never touched"))
}

/// Says that with a count the turn was taken back that was told with it.
pub(super) fn of_a_turn(session: &Session, entries: &[Entry]) -> Option<String> {
    let [Entry::Correct(first), Entry::Correct(second), ..] = entries else { return None };
    let of = |seq| session.kept.iter().find(|kept| kept.seq == seq).map(|kept| &kept.entry);
    let counted = match (of(first.of)?, of(second.of)?) {
        (proof @ Entry::Proof(_), Entry::At(At::Stop { .. })) => proof,
        (Entry::Proof(_), place @ Entry::At(_)) => {
            return Some(format!("taken back: {}", entry_words(session, place)?));
        }
        _ => return None,
    };
    Some(format!("taken back: {}{AND_THE_STOP}", entry_words(session, counted)?))
}

/// Says how many readings went with one that does not count because of where the crank stood.
pub(super) fn of_a_place(entries: &[Entry]) -> Option<String> {
    let gone = |entry: &&Entry| {
        matches!(entry, Entry::Correct(correct)
            if correct.change == Change::Void && correct.why == WRONG_PLACE)
    };
    let gone = entries.iter().filter(gone).count();
    (gone > 1)
        .then(|| format!("all {gone} readings gauged there, or on from there, are taken back"))
}

/// Says that more than one entry was taken back by one key: the whole answer that the run leaked.
pub(super) fn of_a_leak(entries: &[Entry]) -> Option<String> {
    let at_once = |entry: &Entry| {
        matches!(entry, Entry::Correct(correct)
            if correct.change == Change::Void && correct.why == AT_ONCE)
    };
    let both = entries.len() > 1 && entries.iter().all(at_once);
    both.then(|| format!("taken back: {LEAKED}"))
}

/// The answer that the run of a service before leaked, as it is taken back.
pub(super) const LEAKED: &str = "that it was run, and that it leaked";

/// Returns the valve whose nut counts as slack by this entry.
fn slack_by(entry: &Entry) -> Option<Valve> {
    match entry {
        Entry::Nut(nut) if nut.said == NutSaid::Slack => Some(nut.valve),
        Entry::Skip(Skip { what: Skipped::AsFound(valve), .. }) => Some(*valve),
        _ => None,
    }
}

/// Asks of a nut that counts as slack whether it is.
fn untouched_title(state: &State, valve: Valve) -> String {
    let name = valve_name(state, valve);
    if state.left_slack(valve) {
        format!("The nut of {name}: seen, and it is locked?")
    } else {
        format!("The nut of {name} was never slackened?")
    }
}

/// Why a nut that counts as slack is not: one left slack by an earlier session may be locked since.
fn untouched(state: &State, valve: Valve) -> &'static [&'static str] {
    if state.left_slack(valve) { SEEN_LOCKED } else { NEVER_TOUCHED }
}

const SEEN_LOCKED: &[&str] = &["seen and tried with the spanner: it is locked"];
const NEVER_TOUCHED: &[&str] = &[PRESSED_BY_MISTAKE, WRONG_VALVE_NAMED, WOULD_NOT_TURN];
const WOULD_NOT_TURN: &str = "it is seized: it did not turn at all";
const IN_IT_IS: &str = "it is in: nothing came out";
const WRONG_SIZE: &str = "it is out: its size was typed wrong";
const WRONG_VALVE: &str = "another is out: the wrong valve was named";
const OF_PARTS: &[&str] = &["pressed by mistake"];
const OF_CAMS: &[&str] = &["pressed by mistake: they are in"];
const IN_THEY_ARE: &str = "they are in: nothing came out";
const WRONG_BANK: &str = "others are out: the wrong bank was named";
