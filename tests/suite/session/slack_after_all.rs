//! A nut that is slack after all, and a valve that is set again, once the rounds are done.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Asked, Back, Rounds};
use cowlside::domain::session::{
    Due, Input, OpenItem, PRESSED_BY_MISTAKE, Refusal, WRONG_VALVE_NAMED,
};
use cowlside::domain::valve::Standing;
use cowlside::guide::commands::offers;
use cowlside::guide::{Answered, Beside, Command, Talk};

fn at(rounds: Rounds, wanted: impl Fn(&Due) -> bool) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(rounds, None);
    service.calmly_while(|_, due| !wanted(due));
    service
}

fn set_and_recheck(wanted: impl Fn(&Due) -> bool) -> Service {
    at(Rounds::SetThenRecheck, wanted)
}

/// Both words, each at each place of closing up.
fn each(wanted: impl Fn(&Due) -> bool + Copy) -> [(Service, Input); 2] {
    let words = [Input::NutFoundSlack(exhaust(3)), Input::OpenSet(exhaust(3))];
    words.map(|word| (set_and_recheck(wanted), word))
}

/// The nut is open, and the valve is due at its stop until it was locked, gauged and rechecked.
fn due_again(service: &mut Service) {
    assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(3)));
    assert_eq!(service.session.state.standing(exhaust(3)), Standing::Setting);
    let before = service.session.state.readings.len();
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(3)));
    assert!(service.session.state.crank_proven(), "{:?}", service.due());
    assert_eq!(service.session.state.readings.len(), before, "nothing else is gauged");
    service.tell(Input::Tried { typed: "12".into(), sure: true }).tell(Input::NutLocked);
    service.on_to_gauge(exhaust(3));
    assert!(matches!(service.due(), Due::Gauge(..)), "the recheck is of what was set last");
    service.sign();
    assert_eq!(service.session.state.readings.len(), before + 2, "only this valve");
    assert_eq!(service.left(exhaust(3)), Some("0.012 in"));
}

#[test]
fn while_pieces_are_counted_in_the_covers_are_still_off() {
    for (mut service, word) in each(|due| matches!(due, Due::CountIn { .. })) {
        let cautions = service.session.state.cautions_due.len();
        let due = service.due();
        let Due::CountIn { out, .. } = due else { panic!("{due:?}") };
        service.tell(Input::CountIn(out)).tell(word);
        assert_eq!(service.session.state.cautions_due.len(), cautions, "nothing was put back yet");
        assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
        assert!(service.session.state.out.iter().all(|line| line.counted_in.is_none()));
        due_again(&mut service);
    }
}

#[test]
fn where_covers_may_be_on_it_is_made_safe_and_the_crank_proven_anew() {
    for at in ["torque", "second-look"] {
        let wanted = |due: &Due| matches!(due, Due::Check(line) if line.id == at);
        for (mut service, word) in each(wanted) {
            service.tell(word);
            assert!(matches!(service.due(), Due::Caution(_, Asked::Start)), "{:?}", service.due());
            let mut asked = Vec::new();
            while let Due::Caution(line, _) = service.due() {
                asked.push(line.id.clone());
                service.tell(Input::Answer(1));
            }
            assert_eq!(asked.len(), 7, "{asked:?}");
            service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
            assert!(matches!(service.due(), Due::CountOut(..)), "covers come off once more");
            due_again(&mut service);
        }
    }
}

#[test]
fn just_before_the_run_after_it_and_at_the_signature_too() {
    for (mut service, word) in each(|due| matches!(due, Due::RunCaution(_))) {
        service.tell(word);
        due_again(&mut service);
    }
    for (mut service, word) in each(|due| *due == Due::Sign) {
        service.tell(word);
        assert!(!service.session.state.has_run(), "what was said of the run is said of the next");
        due_again(&mut service);
    }
}

#[test]
fn a_second_time_it_is_rechecked_once_more_and_never_touched_leaves_the_recheck_as_it_was() {
    let mut service = set_and_recheck(|due| *due == Due::Sign);
    service.tell(Input::NutFoundSlack(exhaust(3)));
    service.on_to_sign().tell(Input::OpenSet(exhaust(3)));
    due_again(&mut service);

    let mut service = set_and_recheck(|due| matches!(due, Due::CountIn { .. }));
    let before = service.session.state.readings.len();
    service.tell(Input::NutFoundSlack(exhaust(3)));
    service.tell(Input::NutNeverTouched { valve: exhaust(3), why: why() });
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    service.sign();
    assert_eq!(service.session.state.readings.len(), before);
}

#[test]
fn in_the_rounds_a_nut_of_another_stop_is_gone_to_in_the_same_round() {
    let mut service =
        set_and_recheck(|due| matches!(due, Due::Gauge(valve, _) if *valve == intake(2)));
    let round = service.session.state.round();
    assert_eq!(service.refused(Input::OpenSet(exhaust(2))), Refusal::NotNow, "not gauged yet");
    service.tell(Input::NutFoundSlack(exhaust(1)));
    assert_eq!(service.due(), Due::Gauge(intake(2), cowlside::domain::entry::Step::Found));
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(1)));
    assert_eq!(service.session.state.round(), round);
    service.sign();
}

#[test]
fn where_nothing_is_set_a_slack_nut_is_still_said_and_locked() {
    let mut service = at(Rounds::SurveyOnly, |due| matches!(due, Due::CountIn { .. }));
    assert_eq!(service.refused(Input::OpenSet(exhaust(3))), Refusal::NotNow);
    service.tell(Input::NutFoundSlack(exhaust(3)));
    let slack = Refusal::NutSlack(exhaust(3));
    assert_eq!(service.refused(Input::NutFoundSlack(exhaust(3))), slack);
    service.sign();
}

#[test]
fn both_are_offered_in_the_list_and_asked_once() {
    let service = set_and_recheck(|due| matches!(due, Due::Check(line) if line.id == "torque"));
    let beside = Beside::default();
    let offered = offers(&service.session, &beside);
    let find = |command| offered.iter().find(|one| one.command == command).unwrap();
    assert_eq!(find(Command::SetAnyway).label, "set a valve again: its nut is slackened");
    for command in [Command::SetAnyway, Command::FoundSlack] {
        assert_eq!(find(command).not_now, None);
        let mut talk = Talk::call(&service.session, command, beside.clone().into());
        for answer in ["3", "2"] {
            let Answered::Next(next) = talk else { panic!("{talk:?}") };
            talk = next.answer(&service.session, answer);
        }
        let Answered::Next(next) = talk else { panic!("{talk:?}") };
        let said = next.prompt(&service.session).lines.join(" ");
        assert!(said.contains("Covers go off again") && said.contains("made safe"), "{said}");
        assert_eq!(next.answer(&service.session, "0"), Answered::Back);
        let Answered::Keep(entries) = next.answer(&service.session, "1") else { panic!() };
        assert_eq!(entries.len(), 1);
    }
    let looked = at(Rounds::SurveyOnly, |due| matches!(due, Due::CountIn { .. }));
    let offered = offers(&looked.session, &beside);
    let set = offered.iter().find(|one| one.command == Command::SetAnyway).unwrap();
    assert_eq!(set.not_now, Some("nothing is set in this service"));
}

fn never_touched(why: &str) -> Input {
    Input::NutNeverTouched { valve: exhaust(3), why: why.into() }
}

#[test]
fn a_slip_that_is_undone_at_once_asks_nothing_anew() {
    let never = || never_touched(PRESSED_BY_MISTAKE);
    let places: [&dyn Fn(&Due) -> bool; 4] = [
        &|due| matches!(due, Due::CountIn { .. }),
        &|due| matches!(due, Due::Check(line) if line.id == "second-look"),
        &|due| matches!(due, Due::RunCheck(line) if line.id == "leaks"),
        &|due| *due == Due::Sign,
    ];
    for wanted in places {
        for word in [Input::NutFoundSlack(exhaust(3)), Input::OpenSet(exhaust(3))] {
            let mut service = set_and_recheck(wanted);
            if let Due::CountIn { out, .. } = service.due() {
                service.tell(Input::CountIn(out));
            }
            let before = service.session.state.clone();
            service.tell(word).tell(never());
            assert!(service.session.state == before, "{:?}", service.due());
            service.sign();
        }
    }
}

#[test]
fn where_something_was_answered_in_between_it_is_made_safe_and_closed_up_once_more() {
    let mut service = set_and_recheck(|due| *due == Due::Sign);
    service.tell(Input::NutFoundSlack(exhaust(3))).tell(Input::Answer(1));
    service.tell(never_touched(PRESSED_BY_MISTAKE));
    assert!(matches!(service.due(), Due::Caution(..)), "{:?}", service.due());
    let word = Input::NutFoundSlack(exhaust(3));
    // Nor where somebody was away: covers may have come off.
    let mut service = set_and_recheck(|due| *due == Due::Sign);
    service.tell(word).tell(Input::Away(String::new()));
    service.tell(Input::Back(Default::default()));
    service.tell(never_touched(PRESSED_BY_MISTAKE));
    assert!(matches!(service.due(), Due::Caution(..)), "{:?}", service.due());
}

#[test]
fn any_other_reason_may_tell_of_a_slack_nut_and_asks_anew() {
    for why in ["somebody tightened it", WRONG_VALVE_NAMED] {
        let mut service = set_and_recheck(|due| *due == Due::Sign);
        service.tell(Input::NutFoundSlack(exhaust(3))).tell(never_touched(why));
        assert!(matches!(service.due(), Due::Caution(..)), "{why}: {:?}", service.due());
    }
}

#[test]
fn where_the_wrong_valve_was_named_the_one_that_is_slack_is_asked_for_and_bars_the_run() {
    for wanted in [|due: &Due| matches!(due, Due::RunCaution(_)), |due: &Due| *due == Due::Sign] {
        let mut service = set_and_recheck(wanted);
        service.tell(Input::NutFoundSlack(exhaust(3)));
        let call = Talk::call(&service.session, Command::TakeBack, Beside::default().into());
        let talk = |answers: &[&str]| {
            answers.iter().fold(call.clone(), |talk, typed| match talk {
                Answered::Next(next) => next.answer(&service.session, typed),
                other => panic!("{typed}: {other:?}"),
            })
        };
        let Answered::Next(which) = talk(&["2"]) else { panic!("taken without a valve") };
        assert_eq!(which.prompt(&service.session).ask, "Which valve?");
        let Answered::Keep(entries) = talk(&["2", "3"]) else { panic!() };
        assert_eq!(entries.len(), 2, "{entries:?}");
        service.tell(Input::NutOfAnother { named: exhaust(3), really: intake(2) });
        let open = service.open();
        assert!(open.contains(&OpenItem::NutSlack(intake(2))), "{open:?}");
        assert!(!open.contains(&OpenItem::NutSlack(exhaust(3))), "{open:?}");
        assert!(matches!(service.due(), Due::Caution(..)), "{:?}", service.due());
        service.calmly_while(|_, due| *due != Due::Trying(intake(2)) && *due != Due::Sign);
        assert_eq!(service.due(), Due::Trying(intake(2)));
        service.sign();
    }
}

#[test]
fn whoever_comes_back_says_so_before_anything_is_made_safe() {
    let back = |new_day| Back { after_min: Some(70), new_day, ..Back::default() };
    let said = |service: &Service| {
        let offered = offers(&service.session, &Beside::default());
        let one = offered.into_iter().find(|one| one.command == Command::FoundSlack).unwrap();
        one.not_now
    };
    for (new_day, place) in [(false, 0), (true, 0), (false, 1)] {
        let mut service =
            set_and_recheck(|due| matches!(due, Due::Gauge(valve, _) if *valve == intake(3)));
        service.tell(Input::Back(back(new_day)));
        let temperature = |due: &Due| matches!(due, Due::Temperature);
        service.calmly_while(|_, due| place == 1 && !temperature(due));
        let due = service.due();
        assert!(matches!(due, Due::NewDay | Due::Caution(..) | Due::Temperature), "{due:?}");
        assert_eq!(said(&service), None, "{due:?}");
        service.tell(Input::NutFoundSlack(exhaust(3)));
        assert_eq!(service.due(), due, "that is asked first all the same");
        assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(3)));
        service.sign();
    }
    // Another day at the count, the rounds being over.
    let mut service = set_and_recheck(|due| matches!(due, Due::CountIn { .. }));
    service.tell(Input::Back(back(true)));
    assert_eq!(said(&service), None);
    service.tell(Input::NutFoundSlack(exhaust(3)));
    due_again(&mut service);
    // Before anything came off nobody sees a nut.
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::Caution(..)));
    assert!(said(&service).is_some());
    assert_eq!(service.refused(Input::NutFoundSlack(exhaust(3))), Refusal::NotNow);
}
