//! What the services before left out is told in the first questions of the next, and last time's manual
//! is offered where its page ruled over the profile.

use crate::services::{MORNING, Service as Walk, flat_four, later, signature, valve};
use crate::session::engines;
use crate::session::harness::Service as Guided;
use cowlside::domain::entry::{Begin, Entry, Figure, Rounds, SourceRead, Step};
use cowlside::domain::profile::Facts;
use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Input};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::{Cylinder, Kind};
use cowlside::guide::{Answered, Beside, Talk, faults_left_in};
use std::sync::Arc;

const WHY: &str = "cannot be set: part on order";

/// A signed service of these cylinders; these valves read so, and are left so.
fn service(
    name: &str,
    days: i64,
    hours: i64,
    scope: &[Cylinder],
    left: &[(Cylinder, Kind, &'static str)],
) -> Service {
    let mut walk = Walk::begun(flat_four(), name, later(MORNING, days), hours);
    for &(cylinder, kind, read) in left {
        walk.readings.push((valve(cylinder, kind), Step::Found, read));
        walk.leave.push((valve(cylinder, kind), WHY));
    }
    walk.until(|due| *due == Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(scope.to_vec()));
    walk.input(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    walk.sign(signature());
    Service::of(&walk.session)
}

fn after(services: Vec<Service>) -> Talk {
    let beside = Beside { earlier: Earlier::from(services), ..Beside::default() };
    Talk { beside: Arc::new(beside), ..Talk::default() }
}

#[test]
fn what_was_left_so_what_has_no_figure_and_what_was_not_looked_at_come_first_the_gravest_foremost()
{
    let left = [(1, Kind::Intake, "9"), (2, Kind::Intake, "3"), (3, Kind::Exhaust, "7")];
    let whole = service("first", 0, 41_260, &[], &left);
    let part = service("second", 30, 43_000, &[1], &[(1, Kind::Intake, "9")]);
    for (hours, due) in [(44_000, ""), (46_260, "; DUE by now: cylinders 2, 3, 4")] {
        let mut walk = Walk::begun(flat_four(), "third", later(MORNING, 60), hours);
        let talk = after(vec![whole.clone(), part.clone()]);
        let wanted = [
            format!(
                "LEFT SO before: 3 exhaust TIGHT ({WHY}), 2 intake TIGHT ({WHY}), 1 intake LOOSE ({WHY})."
            ),
            format!("Not in the scope last time: cylinders 2, 3, 4{due}."),
        ];
        assert_eq!(walk.due(), Due::Who);
        assert_eq!(talk.prompt(&walk.session).lines, wanted);
        walk.until(|due| *due == Due::Scope);
        let scope = talk.prompt(&walk.session).lines;
        assert!(wanted.iter().all(|line| scope.contains(line)), "{scope:?}");
    }
    // Nothing was left out: nothing is said.
    let walk = Walk::begun(flat_four(), "third", later(MORNING, 60), 44_000);
    let fine = service("first", 0, 41_260, &[], &[]);
    assert_eq!(after(vec![fine]).prompt(&walk.session).lines, Vec::<String>::new());
    assert_eq!(after(vec![]).prompt(&walk.session).lines, Vec::<String>::new());
}

#[test]
fn a_valve_that_was_passed_over_and_a_service_closed_unsigned_are_told_too() {
    let mut last = Walk::begun(flat_four(), "first", MORNING, 41_260);
    last.readings = vec![(valve(1, Kind::Exhaust), Step::Found, "7")];
    last.until(|due| matches!(due, Due::Set(..)));
    last.input(Input::LeaveAsIs { valve: valve(1, Kind::Exhaust), why: WHY.into() });
    last.until(|due| matches!(due, Due::Gauge(one, _) if *one == valve(3, Kind::Exhaust)));
    last.input(Input::CloseUnsigned { why: "interrupted".into() });
    let walk = Walk::begun(flat_four(), "second", later(MORNING, 60), 44_000);
    let lines = after(vec![Service::of(&last.session)]).prompt(&walk.session).lines;
    assert_eq!(lines.len(), 2, "{lines:?}");
    assert_eq!(lines[0], format!("LEFT SO before: 1 exhaust TIGHT ({WHY})."));
    let none = "No figure last time: 2 intake, 2 exhaust, 3 exhaust, 4 intake and 1 more.";
    assert_eq!(lines[1], none);
}

/// What is told after these services before the first answer of the next.
fn told(facts: Facts, services: Vec<Service>) -> Vec<String> {
    let walk = Walk::begun(facts, "next", later(MORNING, 90), 44_000);
    after(services).prompt(&walk.session).lines
}

#[test]
fn a_reason_in_own_words_may_hold_a_figure_and_is_not_told() {
    let left = [(1, Kind::Exhaust, "7")];
    let of = |why: &str| {
        let mut one = service("first", 0, 41_260, &[], &left);
        for outcome in one.valves.iter_mut().filter(|one| one.left_as_is.is_some()) {
            outcome.left_as_is = Some(why.into());
        }
        told(flat_four(), vec![one])
    };
    for why in [WHY, "owner told, will be done at the next service"] {
        assert_eq!(of(why), [format!("LEFT SO before: 1 exhaust TIGHT ({why}).")]);
    }
    for why in ["reads 8, shim ordered", "part on order", "reads 8: cannot be set: part on order"] {
        assert_eq!(of(why), ["LEFT SO before: 1 exhaust TIGHT (reason in the record)."], "{why}");
    }
}

#[test]
fn what_a_signed_service_left_out_and_an_unsigned_one_put_right_is_told_as_the_list_has_it() {
    let signed = service("first", 0, 41_260, &[], &[(1, Kind::Exhaust, "7")]);
    for set in [true, false] {
        let mut last = Walk::begun(flat_four(), "second", later(MORNING, 30), 43_000);
        if set {
            last.readings = vec![(valve(1, Kind::Exhaust), Step::Found, "7")];
        }
        last.until(|due| *due == Due::Sign);
        last.input(Input::CloseUnsigned { why: "interrupted".into() });
        let since = if set { "set since" } else { "in limits since" };
        let words = format!("LEFT SO before: 1 exhaust TIGHT ({WHY}; {since}, not signed).");
        let unsigned = Service::of(&last.session);
        assert_eq!(told(flat_four(), vec![signed.clone(), unsigned.clone()]), [words]);
        // Signed for as well as set: nothing is left so.
        let fine = service("third", 60, 43_500, &[], &[]);
        assert_eq!(told(flat_four(), vec![signed.clone(), unsigned, fine]), [""; 0]);
    }
}

#[test]
fn where_there_are_two_valves_of_a_kind_each_is_told_by_its_whole_name() {
    let mut facts = flat_four();
    facts.exhaust.per_cylinder = 2;
    let mut one = service("first", 0, 41_260, &[], &[(1, Kind::Exhaust, "7")]);
    for outcome in &mut one.valves {
        let none = outcome.valve == valve(2, Kind::Exhaust);
        outcome.left = outcome.left.take().filter(|_| !none);
    }
    let lines = told(facts, vec![one]);
    assert_eq!(lines[0], format!("LEFT SO before: 1 exhaust 1 TIGHT ({WHY})."));
    assert_eq!(lines[1], "No figure last time: 2 exhaust 1.");
}

#[test]
fn where_the_page_ruled_last_time_its_manual_is_taken_by_enter_and_its_figures_are_read_again() {
    let mut last = Walk::begun(flat_four(), "first", MORNING, 41_260);
    last.until(|due| matches!(due, Due::PageFigure(Kind::Exhaust, Figure::Target)));
    last.input(Input::PageFigure("0.011 in".into()));
    last.until(|due| matches!(due, Due::PageDiffers(_)));
    last.input(Input::PageRules { why: "newer issue of the manual".into() });
    last.sign(signature());
    let mut walk = Walk::begun(flat_four(), "second", later(MORNING, 60), 44_000);
    let mut talk = after(vec![Service::of(&last.session)]);
    walk.until(|due| matches!(due, Due::SourceName(None)));
    for offered in ["Overhaul manual of the test", "3"] {
        assert_eq!(talk.prompt(&walk.session).field.enter.as_deref(), Some(offered));
        let Answered::Next(next) = talk.answer(&walk.session, "") else { panic!("{offered}") };
        talk = next;
    }
    let Answered::Keep(entries) = talk.answer(&walk.session, "") else { panic!("12-4") };
    let [Entry::Source(SourceRead::Named { source, practice: false })] = entries.as_slice() else {
        panic!("{entries:?}")
    };
    assert_eq!(
        (source.document.as_str(), source.page.as_str()),
        ("Overhaul manual of the test", "12-4")
    );
    walk.keep(entries[0].clone());
    assert!(
        matches!(walk.due(), Due::PageFigure(Kind::Intake, Figure::Target)),
        "{:?}",
        walk.due()
    );
}

#[test]
fn a_service_for_practice_hides_nothing_that_a_real_one_left() {
    let tight = [(1, Kind::Exhaust, "7")];
    let signed = service("first", 0, 41_260, &[1], &tight);
    let mut practice = Walk::begun(flat_four(), "second", later(MORNING, 30), 42_000);
    practice.practice = true;
    practice.sign(signature());
    let practice = Service::of(&practice.session);
    assert!(practice.conditions.practice && practice.has_readings());
    let part =
        "Not in the scope last time: cylinders 2, 3, 4; DUE by now: cylinders 2, 3, 4.".to_string();
    let words = vec![format!("LEFT SO before: 1 exhaust TIGHT ({WHY})."), part];
    assert_eq!(told(flat_four(), vec![signed.clone(), practice.clone()]), words);
    // And at the run of one that does not look at it.
    let mut walk = Walk::begun(flat_four(), "next", later(MORNING, 60), 44_000);
    walk.until(|due| *due == Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(vec![2]));
    walk.input(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    walk.until(|due| matches!(due, Due::RunCaution(_)));
    let lines = after(vec![signed, practice]).prompt(&walk.session).lines.join(" ");
    assert!(lines.contains("1 exhaust LEFT TIGHT"), "{lines}");
    // What practice left so is no finding.
    let mut bad = Walk::begun(flat_four(), "first", MORNING, 41_260);
    bad.practice = true;
    bad.readings = vec![(valve(1, Kind::Exhaust), Step::Found, "7")];
    bad.leave = vec![(valve(1, Kind::Exhaust), WHY)];
    bad.sign(signature());
    assert_eq!(told(flat_four(), vec![Service::of(&bad.session)]), [""; 0]);
}

/// A signed service of cylinder 1, in which the nut of 3 exhaust was found slack: it is set and gauged.
fn opened_beside_the_scope() -> Service {
    let mut walk = Walk::begun(flat_four(), "second", later(MORNING, 30), 43_000);
    walk.until(|due| *due == Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(vec![1]));
    walk.input(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    walk.until(|due| matches!(due, Due::CountIn { .. }));
    walk.input(Input::NutFoundSlack(valve(3, Kind::Exhaust)));
    walk.sign(signature());
    let service = Service::of(&walk.session);
    let opened = service.outcome(valve(3, Kind::Exhaust)).unwrap();
    assert!(opened.in_scope && opened.left.is_some(), "{opened:?}");
    service
}

#[test]
fn one_valve_that_was_opened_makes_its_cylinder_neither_looked_at_nor_gauged() {
    let whole = service("first", 0, 41_260, &[], &[]);
    let part = opened_beside_the_scope();
    let told = |services: &[&Service], hours| {
        let walk = Walk::begun(flat_four(), "third", later(MORNING, 60), hours);
        after(services.iter().copied().cloned().collect()).prompt(&walk.session).lines
    };
    let not = "Not in the scope last time: 3 intake, cylinders 2, 4";
    assert_eq!(told(&[&whole, &part], 44_000), [format!("{not}.")]);
    let due = format!("{not}; DUE by now: 3 intake, cylinders 2, 4.");
    assert_eq!(told(&[&whole, &part], 46_260).join(" "), due);
    // Never gauged before: due at once.
    assert_eq!(told(&[&part], 43_100), [due]);
    // Where a later one looked at another cylinder, that of the opened valve is due by its other valve.
    let last = service("third", 40, 43_500, &[2], &[]);
    let mut lines = told(&[&whole, &part, &last], 46_260);
    lines.retain(|line| line.starts_with("Not in the scope"));
    assert_eq!(
        lines,
        ["Not in the scope last time: cylinders 1, 3, 4; DUE by now: cylinders 3, 4."]
    );
}

#[test]
fn a_low_leak_test_is_told_until_the_next_of_its_cylinder_and_a_fault_of_the_run_until_it_runs() {
    let low = |reads: &str| {
        let mut service = Guided::very_tight();
        service.tell(Input::LeakTest { typed: reads.into(), why_not: String::new() });
        service
    };
    let mut first = low("30/80");
    first.calmly_while(|_, due| !matches!(due, Due::RunCheck(..)));
    first.tell(Input::RunFault { digit: 2, text: "low oil pressure".into() });
    first.tell(Input::RunLeave { why: "owner told".into() }).sign();
    let mut other = Guided::new(engines::flat_four());
    other.prepare(Rounds::SetThenRecheck, Some(vec![2]));
    let mut part = other.clone();
    part.on_to_sign();
    let [first, other, part] = [first, other, part].map(|one| faults_left_in(&one.session.state));
    let told = first.clone().words();
    let (left, leaks) = &told;
    let ([run], [leak]) = (left.as_slice(), leaks.as_slice()) else { panic!("{told:?}") };
    // What was found and done about it is not left so; own words may hold a figure.
    assert_eq!(leak, "leak test of cylinder 1: 30 of 80 is low, found: see the record");
    assert!(run.ends_with(": see the record"), "{run}");
    // Nothing read and not run yet: all stands as it was. Run with cylinder 2 read: so does the leak test.
    assert_eq!(other.over(first.clone()).words(), told);
    assert_eq!(part.over(first.clone()).words(), (Vec::new(), leaks.clone()));
    // Gauged with a leaf, and not tested: a leaf says nothing of it.
    let mut gauged = Guided::new(engines::flat_four());
    gauged.prepare(Rounds::SetThenRecheck, Some(vec![1])).on_to_sign();
    let gauged = faults_left_in(&gauged.session.state).over(first.clone());
    assert_eq!(gauged.words(), (Vec::new(), leaks.clone()));
    let read = faults_left_in(&low("74/80").session.state);
    assert_eq!(read.over(first).words(), (vec![run.clone()], Vec::new()));
}

#[test]
fn threads_left_so_are_told_until_they_are_counted_again() {
    let counted = |threads: u8| {
        let mut service = Guided::new(engines::flat_four());
        service.prepare(Rounds::SetThenRecheck, None);
        service.on_to_gauge(engines::intake(1)).gauge("9");
        service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
        service.tell(Input::Threads(threads));
        if threads > 5 {
            service.tell(Input::LeaveThreads { why: "owner told".into() });
        }
        faults_left_in(&service.session.state)
    };
    let many = counted(7);
    let told = ["threads showing on 1 intake: 7, 2 to 5 allowed"];
    assert_eq!(many.clone().words().0, told);
    let mut gauged = Guided::new(engines::flat_four());
    gauged.prepare(Rounds::SetThenRecheck, None).on_to_sign();
    let gauged = faults_left_in(&gauged.session.state);
    assert_eq!(gauged.over(many.clone()).words().0, told, "a leaf says nothing of threads");
    assert_eq!(counted(3).over(many).words(), Default::default());
}
