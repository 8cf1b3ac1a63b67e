//! The questions of the signature: who answers for the entry, in which words, and when to look again.

use super::form::{capital, in_words, pick, prompt, take, type_in};
use super::leak::low_found;
use super::left_so::{left_as_found, left_so, reasons};
use super::{Field, Proposal, Step, Typed};
use crate::domain::entry::{Entry, Hours, NutSaid, Sign};
use crate::domain::plain::plain;
use crate::domain::session::{Input, Session, State};
use crate::domain::valve::Valve;

const SIGN: &str = "sign";

/// Asks for the parts of the signature one by one; it closes the session for good.
pub(super) fn sign(session: &Session, proposal: &Proposal, given: &[String]) -> Step {
    let worker = session.state.worker.clone().unwrap_or_default();
    let title = "The signature closes this session for good";
    let mut ask = prompt(SIGN, title, "Who signs?");
    if let Some((big, about)) = left_large(session, proposal) {
        ask = ask.big(big, about);
    }
    let ask = ask
        .lines(told_to_the_signer(session, proposal))
        .lines(narrow_words(&session.state))
        .line("The signer answers for the entry under the local rules; the program only drafts it.")
        .line("The last question shows the record as it will be, before anything is signed.")
        .also_large("WHO SIGNS")
        .with(Field::typed(Typed::Text).a_name().or_enter(plain(&worker)));
    in_words(ask, given, |signer, rest| {
        let signer = if signer.is_empty() { worker.clone() } else { signer.to_string() };
        let kind = prompt(SIGN, title, "Kind of certificate or licence:")
            .also_large("LICENCE")
            .with(Field::typed(Typed::Text).a_name().or_enter("left blank"));
        type_in(kind, rest, |kind, rest| {
            let number = prompt(SIGN, title, "Its number:")
                .also_large("NUMBER")
                .with(Field::typed(Typed::Text).a_name().or_enter("left blank"));
            let kind = kind.to_string();
            type_in(number, rest, |number, rest| {
                let begun = Sign {
                    signer,
                    certificate_kind: kind,
                    certificate_number: number.into(),
                    ..Sign::default()
                };
                sign_statement(session, begun, proposal, rest)
            })
        })
    })
}

/// Says what is signed for that is not as it should be, with the reasons that were given; and what is left
/// so by others, which no own words to the owner take away.
fn told_to_the_signer(session: &Session, proposal: &Proposal) -> Vec<String> {
    let before = proposal.left_before.iter().map(|words| capital(words) + ".");
    let (found, low) = (left_as_found(&session.state), low_found(&session.state));
    let found = found.iter().chain(&low).map(|words| capital(words) + ".");
    reasons(session).into_iter().chain(before).chain(found).collect()
}

/// Returns in large words what is left outside its band: by this service, else that those before it left
/// something so.
fn left_large(session: &Session, proposal: &Proposal) -> Option<(String, String)> {
    let before = proposal.left_before.as_ref();
    left_so(&session.state)
        .or_else(|| before.map(|_| ("LEFT SO".into(), "before, and not looked at".into())))
}

/// Says what is left outside its band, by this service and by those before it; empty where nothing is.
fn left_outside(session: &Session, proposal: &Proposal) -> Vec<String> {
    let own = left_so(&session.state).map(|(left, _)| format!("{left} is left so."));
    let before = proposal.left_before.iter().map(|words| capital(words) + ".");
    own.into_iter().chain(before).collect()
}

/// Says what was not looked at, where that is not the whole engine.
fn narrow_words(state: &State) -> Option<String> {
    let all = state.facts().valves();
    let scoped = state.valves().len();
    let (all, others) = (all.len(), all.len() - scoped);
    (others > 0).then(|| {
        format!(
            "Only {scoped} of {all} valves were looked at: the other {others} are not signed for."
        )
    })
}

/// Tells whether a touched valve was set, or may have been, and not only locked as its nut was found slack:
/// gauged once, with the figure of before.
fn was_set(session: &Session, valve: Valve) -> bool {
    if session.state.only_worked_on(valve) {
        return false;
    }
    let is_void = |seq: u64| session.is_void(seq);
    let opened = session.kept.iter().filter_map(|kept| match &kept.entry {
        Entry::Nut(nut) if nut.valve == valve && nut.said == NutSaid::Slack => {
            (!is_void(kept.seq)).then_some((kept.seq, nut.found))
        }
        _ => None,
    });
    let opened: Vec<(u64, bool)> = opened.collect();
    let Some(first) = opened.first().map(|(seq, _)| *seq) else { return true };
    let figures = |since: bool| {
        let of = session.state.readings.iter().filter(move |taken| {
            taken.counts && taken.reading.valve == valve && (taken.seq > first) == since
        });
        of.map(|taken| taken.reading.nominal)
    };
    let before = figures(false).next_back().flatten();
    let as_before = before.is_some() && figures(true).all(|figure| figure == before);
    !(opened.iter().all(|(_, found)| *found) && as_before)
}

fn sign_statement(session: &Session, begun: Sign, proposal: &Proposal, given: &[String]) -> Step {
    let state = &session.state;
    let set = state.touched.iter().any(|valve| was_set(session, *valve));
    let done = if set { "checked and set" } else { "checked" };
    let by = match &state.source {
        Some((_, false)) => "by the source named",
        Some((_, true)) | None => "for practice, by example figures",
    };
    let checked = format!("Valve clearances {done} as recorded, {by}");
    let inspected = format!("Inspected as recorded; found as stated, {by}");
    let ask = prompt(SIGN, "The statement, in the signer's words", "Which?")
        .also_large("STATEMENT")
        .with(Field::choice(&[(1, &checked), (2, &inspected), (9, "in my own words")]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => sign_owner(session, Sign { statement: checked, ..begun }, proposal, rest),
        Some(2) => sign_owner(session, Sign { statement: inspected, ..begun }, proposal, rest),
        _ => in_words(prompt(SIGN, "The statement", "Type it:"), rest, |typed, rest| {
            sign_owner(session, Sign { statement: typed.into(), ..begun }, proposal, rest)
        }),
    })
}

fn sign_owner(session: &Session, begun: Sign, proposal: &Proposal, given: &[String]) -> Step {
    let proposed = proposal.owner.as_str();
    let ask = prompt(SIGN, "One sentence for the owner", "Type another, or take this one:")
        .also_large("OWNER")
        .line(proposed)
        .with(Field::typed(Typed::Text).or_enter("as proposed"))
        .whole();
    in_words(ask, given, |typed, rest| {
        let sentence = if typed.is_empty() { proposed.to_string() } else { typed.to_string() };
        sign_next(session, Sign { owner_sentence: sentence, ..begun }, proposal, rest)
    })
}

fn sign_next(session: &Session, begun: Sign, proposal: &Proposal, given: &[String]) -> Step {
    let next = proposal.next_check.as_ref();
    let enter = next.map_or_else(|| "as in the manual".into(), |when| format!("at {when}"));
    // The interval is for an engine in limits, and nothing that is published says how much sooner: no
    // figure is proposed for Enter. Where no hours are known there is none to ask for.
    if let Some(now) = due_now(session, proposal) {
        return due_already(session, begun, (now, proposal), given);
    }
    let now = hours_now(session, proposal);
    let left = now.map_or_else(Vec::new, |_| left_outside(session, proposal));
    let field = Field::typed(Typed::Number);
    let field = if left.is_empty() { field.or_enter(enter) } else { field };
    let sooner = (!left.is_empty()).then(|| sooner_words(next));
    let ask = prompt(SIGN, LOOK_AGAIN, NEXT_HOURS)
        .lines(left)
        .lines(sooner.into_iter().flatten())
        .also_large("NEXT CHECK")
        .with(field);
    type_in(ask, given, |typed, rest| {
        if typed.is_empty() {
            return sign_and_close((session, proposal), begun, rest);
        }
        match hours_after(typed, now) {
            Ok(chosen) => sign_later(session, with_next(begun, chosen, proposal), proposal, rest),
            Err(words) => Step::Refused(words),
        }
    })
}

const LOOK_AGAIN: &str = "When to look again";
const NEXT_HOURS: &str = "Running hours of the next check:";

/// Returns what the counter shows now, as put right.
fn hours_now(session: &Session, proposal: &Proposal) -> Option<Hours> {
    proposal.shows.or(session.state.begin.hours)
}

/// Returns the hours now where a check is due by them already.
fn due_now(session: &Session, proposal: &Proposal) -> Option<Hours> {
    hours_now(session, proposal).filter(|now| proposal.next_hours.is_some_and(|next| next <= *now))
}

/// Reads the hours of a next check, which comes after the hours now.
fn hours_after(typed: &str, now: Option<Hours>) -> Result<Hours, String> {
    let chosen = Hours::parse(typed).map_err(|fault| fault.to_string())?;
    match now.filter(|now| chosen <= *now) {
        Some(now) => Err(format!("the counter stands at {now} h: the next check comes after that")),
        None => Ok(chosen),
    }
}

/// Asks what is signed for where a check is due by the hours now: that it is, or the hours that the manual
/// or the signer allows. That this service did it is no answer: it is counted already, and what is due
/// comes from valves that it did not gauge, or from one that may be at its limit.
fn due_already(
    session: &Session,
    begun: Sign,
    (now, proposal): (Hours, &Proposal),
    given: &[String],
) -> Step {
    let due = format!("it is due now, at {now} h, before the engine runs on");
    let later = "later, as the manual or the signer allows";
    let why = proposal.next_check.as_ref().map(|next| format!("Worked out: {next}."));
    let ask = prompt(SIGN, "A check is due by the hours now", "What is signed for?")
        .also_large("DUE NOW")
        .lines(left_outside(session, proposal))
        .lines(why)
        .with(Field::choice(&[(1, &due), (2, later)]).kept_by_enter());
    pick(ask, given, |digit, rest| {
        if digit != Some(2) {
            // The sentence that is proposed to the owner says so already.
            let begun = Sign { next_check: Some(now), ..begun };
            return sign_and_close((session, proposal), begun, rest);
        }
        let ask = prompt(SIGN, LOOK_AGAIN, NEXT_HOURS)
            .also_large("NEXT CHECK")
            .line(
                "As the manual or the signer allows: local rules come first. The record says both.",
            )
            .with(Field::typed(Typed::Number));
        type_in(ask, rest, |typed, rest| match hours_after(typed, Some(now)) {
            Ok(chosen) => sign_later(session, with_next(begun, chosen, proposal), proposal, rest),
            Err(words) => Step::Refused(words),
        })
    })
}

/// Signs for these hours, and tells the owner so.
fn with_next(begun: Sign, chosen: Hours, proposal: &Proposal) -> Sign {
    let owner_sentence = as_signed(&begun.owner_sentence, chosen, proposal);
    Sign { next_check: Some(chosen), owner_sentence, ..begun }
}

/// Tells the owner the next check that is signed for in the place of the one that was proposed; words of
/// the signer's own stay as they are.
fn as_signed(sentence: &str, chosen: Hours, proposal: &Proposal) -> String {
    match &proposal.look_again {
        Some(proposed) => {
            sentence.replace(proposed, &look_again_by(chosen, proposal.last_day.as_deref()))
        }
        None => sentence.to_owned(),
    }
}

/// Says when the owner is to look again where the signer chose the hours: the months of the profile, which
/// nobody chose against, still count.
pub fn look_again_by(chosen: Hours, day: Option<&str>) -> String {
    let day = day.map(|day| format!(", by the months of the profile at the latest on {day}"));
    format!("look again by {chosen} h{}", day.unwrap_or_default())
}

/// Says why no hours are proposed where a valve is left outside its band.
fn sooner_words(whole: Option<&String>) -> [String; 2] {
    let than = whole.map_or_else(String::new, |whole| format!(" than {whole}"));
    [
        "The interval is for an engine in limits.".into(),
        format!("Look sooner{than}. How soon, the manual or the signer says: none is proposed."),
    ]
}

/// A choice that comes later than what is proposed is the signer's own, and is asked once; so is one that
/// is no sooner than the interval where a valve is left outside its band. Where a check is due now each is
/// later.
fn sign_later(session: &Session, begun: Sign, proposal: &Proposal, given: &[String]) -> Step {
    let whole = begun.next_check.zip(proposal.next_hours);
    let before = hours_now(session, proposal).is_some() && due_now(session, proposal).is_none();
    let sooner = before && !left_outside(session, proposal).is_empty();
    let asked = whole.filter(|(chosen, by)| chosen > by || (sooner && chosen == by));
    let Some(((chosen, _), next)) = asked.zip(proposal.next_check.as_ref()) else {
        return sign_and_close((session, proposal), begun, given);
    };
    let (title, words) = if sooner {
        let whole = "That is not sooner than the interval for an engine in limits";
        ("That is not sooner", format!("{whole}: {next}."))
    } else {
        ("That is later than proposed", format!("Proposed: {next}."))
    };
    let ask = prompt(SIGN, title, format!("Look again at {chosen} h?"))
        .also_large(chosen.to_string())
        .line(words)
        .line("The manual and local rules may not allow it. The record says both.")
        .with(Field::choice(&[(1, "yes, my own decision"), (0, "no")]));
    pick(ask, given, |digit, rest| {
        if digit == Some(1) {
            sign_and_close((session, proposal), begun, rest)
        } else {
            Step::Retype(2)
        }
    })
}

fn sign_and_close(
    (session, proposal): (&Session, &Proposal),
    done: Sign,
    given: &[String],
) -> Step {
    // What is signed for comes first: in the smallest window what comes last is cut.
    let question = format!("Sign as {}? Only remarks can follow.", plain(&done.signer));
    let (big, about) =
        left_large(session, proposal).unwrap_or_else(|| ("SIGN".into(), String::new()));
    let ask = prompt(SIGN, "Sign and close", question)
        .big(big, about)
        .lines(told_to_the_signer(session, proposal))
        .lines(done.next_check.map(|hours| format!("Next check as signed: {hours} h.")))
        .line(plain(&done.owner_sentence))
        .line(plain(&done.statement))
        .with(Field::choice(&[(1, "sign and close"), (2, "read the record"), (0, "not yet")]))
        .whole();
    pick(ask, given, |digit, _| match digit {
        Some(1) => take(Input::Sign(Box::new(done), proposal.left_before.clone())),
        Some(2) => Step::Read(Box::new(done)),
        // Back a question, with everything else as it was typed.
        Some(_) | None => Step::Retype(2),
    })
}
