//! What is signed for: by the hours as put right, with what was found wrong and is left so.

use crate::services::{MORNING, Service as Walk, flat_four, later, signature};
use cowlside::domain::entry::{Begin, Hours, Rounds, Step};
use cowlside::domain::profile::{Adjuster, Facts, Screw};
use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Input};
use cowlside::domain::trend::{Earlier, put_right};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::{Answered, Beside, Prompt, Proposal, Talk};
use cowlside::report::record::{proposal, record};
use std::sync::Arc;

const EXHAUST_3: Valve = Valve { cylinder: 3, kind: Kind::Exhaust, number: 1 };

/// A flat four's service that is to be signed; where `left`, with one valve loose and left so.
pub(crate) fn at_the_signature(left: bool) -> Walk {
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    if left {
        walk.readings = vec![(EXHAUST_3, Step::Found, "14")];
        walk.until(|due| matches!(due, Due::Set(..)));
        walk.input(Input::LeaveAsIs { valve: EXHAUST_3, why: "part on order".into() });
    }
    walk.finish();
    walk
}

/// Answers up to the question when to look again.
pub(crate) fn at_next_check(walk: &Walk, proposal: Proposal) -> Talk {
    let beside = Arc::new(Beside { proposal, ..Beside::default() });
    let mut talk = Talk { beside, ..Talk::default() };
    for typed in ["", "", "", "1", ""] {
        let Answered::Next(next) = talk.answer(&walk.session, typed) else { panic!("{typed}") };
        talk = next;
    }
    talk
}

#[test]
fn a_signer_whose_hours_were_put_right_meanwhile_signs_by_the_right_ones() {
    // 4126.0 h typed for 412.6 h.
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 412_600);
    walk.finish();
    let earlier = Earlier { corrected: Some(Hours(41_260)), ..Earlier::default() };
    let proposed = proposal(&walk.session, &earlier);
    let words = "look again by 462.6 h or 2027-03-14, whichever comes first";
    assert!(proposed.owner.contains(words), "{}", proposed.owner);
    let talk = at_next_check(&walk, proposed);
    assert_eq!(talk.prompt(&walk.session).title, "When to look again");
    for (typed, taken) in [("412.6", false), ("440", true)] {
        let answered = talk.answer(&walk.session, typed);
        assert_eq!(matches!(answered, Answered::Next(_)), taken, "{typed}: {answered:?}");
    }
}

#[test]
fn what_else_was_found_wrong_and_left_is_named_where_it_is_signed_for() {
    let facts = Facts {
        adjuster: match flat_four().adjuster {
            Adjuster::Screw(screw) => {
                Adjuster::Screw(Screw { threads_showing: Some((2, 5)), ..screw })
            }
            other => other,
        },
        ..flat_four()
    };
    let mut walk = Walk::begun(facts, "spring check", MORNING, 41_260);
    walk.readings = vec![(EXHAUST_3, Step::Found, "7")];
    walk.tries = vec![(EXHAUST_3, "9 10")];
    walk.until(|due| matches!(due, Due::Threads(..)));
    walk.input(Input::Threads(10));
    walk.input(Input::LeaveThreads { why: "another rod is on order".into() });
    walk.finish();
    let session = walk.session.clone();
    let words = "hreads showing on 3 exhaust: 10, 2 to 5 allowed, left so: another rod is on order";
    let one_line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let asked = Talk::default().prompt(&session);
    assert!(asked.lines.iter().any(|line| line.contains(words)), "{asked:?}");
    let told = one_line(&record(&session, &Earlier::default()));
    assert!(told.contains("LEFT AS FOUND"), "{told}");
    assert_eq!(told.matches(words).count(), 2, "for the owner, and on its own: {told}");
    assert!(proposal(&session, &Earlier::default()).owner.contains(words));
}

#[test]
fn the_box_of_what_is_out_of_limits_has_the_gravest_first_and_the_valves_before_the_faults() {
    let of = |cylinder, kind| Valve { cylinder, kind, number: 1 };
    let (loose, tight) = (of(1, Kind::Intake), of(4, Kind::Exhaust));
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.readings = [(EXHAUST_3, "7"), (loose, "9"), (of(1, Kind::Exhaust), "13"), (tight, "7")]
        .map(|(valve, read)| (valve, Step::Found, read))
        .to_vec();
    walk.tries = vec![(EXHAUST_3, "9 10")];
    walk.leave = [loose, of(1, Kind::Exhaust), tight].map(|valve| (valve, "part on order")).into();
    walk.until(|due| matches!(due, Due::Threads(..)));
    walk.input(Input::Threads(10));
    walk.input(Input::LeaveThreads { why: "another rod is on order".into() });
    walk.until(|due| matches!(due, Due::CountIn { .. }));
    let text = record(&walk.session, &Earlier::default());
    let boxed = text.split("OUT OF LIMITS, OR WITHOUT A FIGURE").nth(1).unwrap();
    let boxed = boxed.split("\n\n").next().unwrap();
    let first = |words: &str| boxed.find(words).unwrap_or_else(|| panic!("{words}: {boxed}"));
    let order = ["4 exhaust", "1 exhaust", "1 intake", "threads showing on 3 exhaust"].map(first);
    assert!(order.is_sorted(), "{boxed}");
    walk.sign(signature());
    let text = record(&walk.session, &Earlier::default());
    let boxed = text.split("SIGNED FOR OUT OF LIMITS").nth(1).unwrap();
    assert!(boxed.trim_start().starts_with("4 exhaust     tight"), "{boxed}");
}

#[test]
fn a_next_check_signed_by_mistaken_hours_is_as_it_was_meant_or_sooner() {
    for (chosen, shown, really, then) in [
        // Read from the counter once more, or added to the mistake: the sooner.
        (46_610, 40_610, 41_610, 46_610),
        (46_610, 41_610, 40_610, 45_610),
        (46_610, 4_160, 41_610, 46_610),
        // Below what it really showed: it was added to the mistake.
        (9_160, 4_160, 41_610, 46_610),
        // Below the mistake: it was put right before the signature.
        (46_610, 416_100, 41_610, 46_610),
        (421_100, 416_100, 41_610, 46_610),
    ] {
        let said = put_right(Hours(chosen), Hours(shown), Hours(really));
        assert_eq!(said, Hours(then), "{chosen} {shown} {really}");
    }
}

#[test]
fn with_a_valve_left_out_of_its_band_no_interval_is_taken_by_enter() {
    for left in [true, false] {
        let walk = at_the_signature(left);
        let proposed = proposal(&walk.session, &Earlier::default());
        assert!(proposed.next_check.is_some());
        let talk = at_next_check(&walk, proposed);
        let ask = talk.prompt(&walk.session);
        assert_eq!(ask.title, "When to look again");
        assert_eq!(ask.field.enter.is_none(), left, "{ask:?}");
        let entered = talk.answer(&walk.session, "");
        assert_eq!(matches!(entered, Answered::Refused(..)), left, "{entered:?}");
        let said = ask.lines.join(" ");
        let told = said.contains("3 EXH LOOSE is left so") && said.contains("Look sooner than ");
        assert_eq!(told, left, "{said}");
        assert!(matches!(talk.answer(&walk.session, "430"), Answered::Next(_)));
    }
}

/// At the question when to look again of a service of cylinders 3 and 4 only, where 1 and 2 were gauged last
/// more than an interval ago.
fn due_now(left: bool) -> (Walk, Talk) {
    let mut first = Walk::begun(flat_four(), "autumn check", later(MORNING, -90), 30_000);
    first.sign(signature());
    let earlier = Earlier::from(vec![Service::of(&first.session)]);
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.until(|due| *due == Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(vec![3, 4]));
    walk.input(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    if left {
        walk.readings = vec![(EXHAUST_3, Step::Found, "14")];
        walk.leave = vec![(EXHAUST_3, "part on order")];
    }
    walk.finish();
    let talk = at_next_check(&walk, proposal(&walk.session, &earlier));
    (walk, talk)
}

fn signed_for(walk: &Walk, talk: &Talk, typed: &[&str]) -> Prompt {
    let talk =
        typed.iter().fold(talk.clone(), |talk, typed| match talk.answer(&walk.session, typed) {
            Answered::Next(next) => next,
            other => panic!("{typed}: {other:?}"),
        });
    talk.prompt(&walk.session)
}

#[test]
fn where_a_check_is_due_by_the_hours_now_that_is_asked_and_each_answer_is_signed_for() {
    for left in [false, true] {
        let (walk, talk) = due_now(left);
        let ask = talk.prompt(&walk.session);
        assert_eq!(ask.title, "A check is due by the hours now");
        assert!(ask.field.enter.is_none(), "{ask:?}");
        let said = ask.lines.join(" ");
        assert!(said.contains("Worked out: 350.0 h"), "{said}");
        assert_eq!(said.contains("3 EXH LOOSE is left so."), left, "{said}");
        let choices = ask.field.choices.iter();
        let choices: Vec<_> = choices.map(|choice| (choice.digit, choice.label.as_str())).collect();
        // That this service did it is never offered: it did not look at 1 and 2.
        let now = "it is due now, at 412.6 h, before the engine runs on";
        assert_eq!(choices, [(1, now), (2, "later, as the manual or the signer allows")]);
        let last = signed_for(&walk, &talk, &["1"]);
        let told = last.lines.join(" ");
        assert!(last.title == "Sign and close", "{last:?}");
        assert!(told.contains("Next check as signed: 412.6 h."), "{told}");
        assert!(told.contains("look again now: the next check is due"), "{told}");
        assert!(!told.contains("look again by"), "{told}");
        assert_eq!(signed_for(&walk, &talk, &["1", "0"]).title, ask.title);
        later_than_due(&walk, &talk);
    }
}

/// Where a check is due now, any hours are later than proposed: that is asked, and no takes them back.
fn later_than_due(walk: &Walk, talk: &Talk) {
    let hours = signed_for(walk, talk, &["2"]);
    assert!(hours.field.is_number() && hours.field.enter.is_none(), "{hours:?}");
    let Answered::Next(typing) = talk.answer(&walk.session, "2") else { panic!("{hours:?}") };
    for typed in ["412.5", "412.6", ""] {
        let answered = typing.answer(&walk.session, typed);
        assert!(matches!(answered, Answered::Refused(..)), "{typed}");
    }
    let asked = signed_for(walk, talk, &["2", "420"]);
    assert_eq!(asked.title, "That is later than proposed", "never \"not sooner\"");
    assert!(asked.lines.join(" ").contains("Proposed: 350.0 h"), "{asked:?}");
    assert_eq!(signed_for(walk, talk, &["2", "420", "0"]).title, "When to look again");
    let last = signed_for(walk, talk, &["2", "420", "1"]);
    let told = last.lines.join(" ");
    assert!(last.title == "Sign and close", "{last:?}");
    assert!(told.contains("Next check as signed: 420.0 h."), "{told}");
    assert!(told.contains("look again by 420.0 h") && !told.contains("look again now"), "{told}");
}

#[test]
fn with_a_valve_left_out_the_whole_interval_is_not_sooner_and_is_asked_about() {
    let walk = at_the_signature(true);
    let proposed = proposal(&walk.session, &Earlier::default());
    assert_eq!(proposed.next_hours, Hours::parse("462.6").ok());
    let beside = Arc::new(Beside { proposal: proposed, ..Beside::default() });
    for (typed, asked) in [("462.5", false), ("462.6", true), ("500", true)] {
        let mut talk = Talk { beside: beside.clone(), ..Talk::default() };
        for typed in ["", "", "", "1", "", typed] {
            let Answered::Next(next) = talk.answer(&walk.session, typed) else { panic!("{typed}") };
            talk = next;
        }
        let ask = talk.prompt(&walk.session);
        assert_eq!(ask.title != "Sign and close", asked, "{typed}: {}", ask.title);
        let said = ask.lines.join(" ");
        assert!(!said.contains("Proposed"), "none was proposed: {said}");
        let words = "That is not sooner than the interval for an engine in limits";
        assert_eq!(ask.title.contains("not sooner") && said.contains(words), asked, "{ask:?}");
    }
}

#[test]
fn no_to_a_later_next_check_asks_it_again_and_keeps_who_signs() {
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.finish();
    let proposal = proposal(&walk.session, &Earlier::default());
    let beside = Arc::new(Beside { proposal, ..Beside::default() });
    let mut talk = Talk { beside, ..Talk::default() };
    let asked = |talk: &mut Talk, typed: &str| {
        let Answered::Next(next) = talk.answer(&walk.session, typed) else { panic!("{typed}") };
        *talk = next;
        talk.prompt(&walk.session).title
    };
    for typed in ["Somebody Else", "", "", "1"] {
        asked(&mut talk, typed);
    }
    assert_eq!(asked(&mut talk, ""), "When to look again");
    assert_eq!(asked(&mut talk, "9999"), "That is later than proposed");
    assert_eq!(asked(&mut talk, "0"), "When to look again");
    assert_eq!(asked(&mut talk, ""), "Sign and close");
    assert!(talk.prompt(&walk.session).ask.contains("Somebody Else"));
    // Not yet: back to the question before, with everything else as it was typed.
    assert_eq!(asked(&mut talk, "0"), "When to look again");
    assert_eq!(asked(&mut talk, ""), "Sign and close");
    assert!(talk.prompt(&walk.session).ask.contains("Somebody Else"));
}
