//! What the word of a slack nut leaves owed, and what stays as it was where it was never so.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Begin, Entry, LeftItem, LeftOpen, PartKind, Rounds, Step};
use cowlside::domain::session::{Due, Input, LEAK_TEST_LATER, OpenItem};
use cowlside::domain::valve::{Cylinder, Standing, Valve};
use cowlside::guide::commands::offers;
use cowlside::guide::place::in_the_job;
use cowlside::guide::status::kept_words;
use cowlside::guide::{Answered, Beside, Command, Talk};

fn at(rounds: Rounds, scope: Option<Vec<Cylinder>>, wanted: impl Fn(&Due) -> bool) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(rounds, scope);
    service.calmly_while(|_, due| !wanted(due));
    service
}

fn counting_in(due: &Due) -> bool {
    matches!(due, Due::CountIn { .. })
}

fn never_touched(valve: Valve) -> Input {
    Input::NutNeverTouched { valve, why: why() }
}

fn owed(service: &Service) -> usize {
    let open = service.open().into_iter();
    open.filter(|item| item.to_string() == "before running: leak test 1").count()
}

#[test]
fn a_very_tight_valve_whose_nut_is_slack_after_all_still_owes_its_leak_test() {
    let mut service = Service::very_tight();
    service.tell(Input::NutFoundSlack(intake(1)));
    assert_eq!(owed(&service), 1);
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. } | Due::Sign));
    assert!(
        matches!(service.due(), Due::PromisedTest { cylinder: 1, plugs_out: true, .. }),
        "{:?}",
        service.due()
    );
    service.tell(Input::LeakTest { typed: "74/80".into(), why_not: String::new() });
    assert_eq!(owed(&service), 0);
    service.sign();
}

#[test]
fn where_its_nut_was_never_touched_the_leak_test_comes_before_the_screw_and_is_owed_once() {
    for (why_not, left) in [(LEAK_TEST_LATER, 1), ("the manual asks for none", 0)] {
        let mut service = Service::very_tight();
        service.tell(Input::NutFoundSlack(intake(1))).tell(never_touched(intake(1)));
        service.calmly_while(|_, due| !matches!(due, Due::LeakTest(..) | Due::Set(..)));
        assert!(matches!(service.due(), Due::LeakTest(1, _)), "{:?}", service.due());
        service.tell(Input::LeakTest { typed: String::new(), why_not: why_not.into() });
        assert_eq!(owed(&service), left, "{why_not}");
    }
}

#[test]
fn a_slack_nut_outside_the_scope_is_told_shown_and_locked() {
    let mut service = at(Rounds::SetThenRecheck, Some(vec![1]), |due| *due == Due::Sign);
    assert_eq!(service.session.state.standing(exhaust(3)), Standing::OutOfScope);
    service.tell(Input::NutFoundSlack(exhaust(3)));
    assert!(service.open().contains(&OpenItem::NutSlack(exhaust(3))));
    assert_eq!(service.session.state.standing(exhaust(3)), Standing::Setting);
    // Its cover, which never came off, is counted out with the others.
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    let bank = service.session.state.facts().bank_of(3).unwrap().name.clone();
    assert!(service.session.state.opened_in(&bank).contains(&3));
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(3)) && *due != Due::Sign);
    assert_eq!(service.due(), Due::Trying(exhaust(3)));
    service.sign();
    assert!(service.left(exhaust(3)).is_some());
}

#[test]
fn a_part_out_of_a_cylinder_outside_the_scope_is_not_left_out_on_the_drawing() {
    let item = LeftItem::PartOut {
        valve: Some(exhaust(3)),
        part: PartKind::Rocker,
        bank: None,
        marked: None,
        measured: None,
    };
    let left = LeftOpen { from: "spring".into(), item };
    let mut service = Service::after(flat_four(), vec![left]);
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin =
        Begin { rounds: Some(Rounds::SetThenRecheck), scope: Some(vec![1]), ..Begin::default() };
    // Another version may have it so: here the scope is not narrowed past what is out.
    service.keep(Entry::Begin(begin));
    assert_eq!(service.session.state.standing(exhaust(3)), Standing::PartOut);
    assert_eq!(service.session.state.standing(exhaust(2)), Standing::OutOfScope);
}

/// What is asked after a cylinder and a valve were chosen, or why they are not taken.
fn chosen(service: &Service, digits: &[&str]) -> Answered {
    let call = Talk::call(&service.session, Command::FoundSlack, Beside::default().into());
    digits.iter().fold(call, |talk, digit| {
        let Answered::Next(next) = talk else { panic!("{talk:?}") };
        next.answer(&service.session, digit)
    })
}

#[test]
fn a_nut_found_slack_before_its_valve_is_gauged_has_its_as_found_lost() {
    let mut service = at(
        Rounds::SetThenRecheck,
        None,
        |due| matches!(due, Due::Gauge(valve, _) if *valve == intake(2)),
    );
    assert!(matches!(chosen(&service, &["2", "2", "1"]), Answered::Keep(_)));
    service.tell(Input::NutFoundSlack(exhaust(2)));
    assert!(service.open().contains(&OpenItem::NutSlack(exhaust(2))));
    let why = service.session.state.found_lost[&exhaust(2)].clone();
    let kept = [service.session.kept.last().unwrap().entry.clone()];
    let said = kept_words(&service.session, &kept, &|_| None);
    assert_eq!(said, "saved: as-found of 2 exhaust lost: its nut was found slack");
    assert!(why.contains("slack"), "{why}");
    // Of a nut that is slack already nothing is asked that cannot be taken.
    let refused = chosen(&service, &["2", "2"]);
    let Answered::Refused(_, words) = refused else { panic!("{refused:?}") };
    assert_eq!(words, "the nut of 2 exhaust counts as slack: lock it and gauge after");
    service.sign();
    assert_eq!(service.found(exhaust(2)), None);
    assert!(service.left(exhaust(2)).is_some());
}

#[test]
fn the_wrong_nut_named_at_closing_is_taken_back_at_once() {
    for wanted in [counting_in as fn(&Due) -> bool, |due| *due == Due::Sign] {
        let mut service = at(Rounds::SetThenRecheck, None, wanted);
        service.tell(Input::NutFoundSlack(exhaust(1)));
        assert!(!matches!(service.due(), Due::Trying(_)));
        let beside = Beside::default();
        let offered = offers(&service.session, &beside);
        let never = offered.iter().find(|one| one.command == Command::NeverTouched).unwrap();
        assert_eq!(never.not_now, None);
        let talk = Talk::call(&service.session, Command::TakeBack, beside.into());
        let Answered::Next(talk) = talk else { panic!("{talk:?}") };
        let title = talk.prompt(&service.session).title;
        assert!(title.contains("1 exhaust") && title.contains("never slackened"), "{title}");
        let kept = talk.answer(&service.session, "1");
        assert!(matches!(kept, Answered::Keep(_)), "{kept:?}");
        service.tell(never_touched(exhaust(1)));
        assert!(!service.open().contains(&OpenItem::NutSlack(exhaust(1))));
    }
}

#[test]
fn never_touched_keeps_why_there_is_no_figure_as_found() {
    let mut service = at(
        Rounds::SetThenRecheck,
        None,
        |due| matches!(due, Due::Gauge(valve, _) if *valve == exhaust(1)),
    );
    service.tell(Input::AsFoundLost { why: "set before it was gauged".into() });
    service.calmly_while(|_, due| !counting_in(due));
    let lost = service.session.state.found_lost.clone();
    assert_eq!(lost[&exhaust(1)], "set before it was gauged");
    service.tell(Input::NutFoundSlack(exhaust(1))).tell(never_touched(exhaust(1)));
    assert_eq!(service.session.state.found_lost, lost);
}

/// Reads the exhaust that is due loose, also when it is gauged once more, until it is to be set.
fn reads_high(service: &mut Service) {
    service.gauge("16");
    while matches!(service.due(), Due::Again(..)) {
        service.gauge("16");
    }
    service.calmly_while(|_, due| matches!(due, Due::Doubted { .. }));
}

#[test]
fn never_touched_leaves_the_nut_its_threads_and_the_reason_to_leave_as_they_were() {
    // Set in the recheck, or left as it is: either is so once more.
    let mut service = at(
        Rounds::SetThenRecheck,
        None,
        |due| matches!(due, Due::Gauge(valve, Step::Recheck) if *valve == exhaust(2)),
    );
    reads_high(&mut service);
    service.tell(Input::OpenSet(exhaust(2)));
    service.calmly_while(
        |_, due| !matches!(due, Due::Gauge(valve, _) if valve.kind == exhaust(1).kind),
    );
    reads_high(&mut service);
    let Due::Set(left, _) = service.due() else { panic!("{:?}", service.due()) };
    service.tell(Input::LeaveAsIs { valve: left, why: why() });
    service.calmly_while(|_, due| !counting_in(due));
    for valve in [exhaust(2), left] {
        let before = service.session.state.clone();
        service.tell(Input::NutFoundSlack(valve));
        assert_ne!(service.session.state.nuts, before.nuts);
        service.tell(never_touched(valve));
        assert!(counting_in(&service.due()), "{valve}: {:?}", service.due());
        let after = &service.session.state;
        assert_eq!(after.nuts, before.nuts, "{valve}");
        assert_eq!(after.left_as_is, before.left_as_is, "{valve}");
        assert_eq!(after.threads_left, before.threads_left, "{valve}");
        assert_eq!(after.touched, before.touched, "{valve}");
        assert_eq!(after.found_lost, before.found_lost, "{valve}");
    }
}

/// What is said on the way to the valve, and where in the job that is.
fn on_the_way(service: &mut Service, valve: Valve) -> (String, String) {
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    assert!(service.session.state.nut_slack(valve));
    let lines = Talk::default().prompt(&service.session).lines.join(" ");
    (lines, in_the_job(&service.session))
}

#[test]
fn a_valve_that_is_set_again_is_set_and_not_merely_locked() {
    let mut service = at(Rounds::SetThenRecheck, None, |due| *due == Due::Sign);
    service.tell(Input::OpenSet(exhaust(1)));
    let (lines, place) = on_the_way(&mut service, exhaust(1));
    assert!(lines.contains("Then set 1 exhaust, lock its nut and gauge it."), "{lines}");
    assert!(place.starts_with("after the rounds"), "{place}");
    let mut service = at(Rounds::SurveyOnly, None, |due| *due == Due::Sign);
    service.tell(Input::NutFoundSlack(exhaust(1)));
    let (lines, _) = on_the_way(&mut service, exhaust(1));
    assert!(lines.contains("Then lock the nut of 1 exhaust as it stands and gauge it."), "{lines}");
    // The stop says the same.
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(1)));
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.title, "1 exhaust: its nut is slack, lock it as it stands");
    assert!(ask.lines[0].starts_with("Nothing is set while valves are only gauged"), "{ask:?}");
    // In the rounds it is the round.
    let mut service = at(
        Rounds::SetThenRecheck,
        None,
        |due| matches!(due, Due::Gauge(valve, _) if *valve == intake(2)),
    );
    service.tell(Input::NutFoundSlack(exhaust(1)));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    assert!(in_the_job(&service.session).starts_with("round 1 of 2"));
}
