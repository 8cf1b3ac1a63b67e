//! What is locked in the round that looks again is itself looked at again, once the engine was turned.

use super::engines::{exhaust, flat_four, intake, single};
use super::harness::{Service, why};
use cowlside::domain::entry::{Entry, On, Rounds, Step};
use cowlside::domain::session::{Due, Input};
use cowlside::domain::valve::{Standing, Valve};
use cowlside::guide::{Answered, Command, Talk};

/// Locked and gauged so, however it is doubted.
fn tries(service: &mut Service, typed: &str) {
    while let Due::Trying(_) | Due::Again(_, Step::Try) | Due::Doubted { .. } = service.due() {
        let believed = matches!(service.due(), Due::Doubted { .. });
        let typed = typed.to_string();
        let tried = Input::Tried { typed, sure: true };
        service.tell(if believed { Input::Believe { why: why() } } else { tried });
    }
    service.tell(Input::NutLocked);
    service.calmly_while(|_, due| matches!(due, Due::Threads(..)));
}

/// Rechecked, it is out of its band, gauged twice.
fn is_out(service: &mut Service, typed: &str) {
    service.gauge(typed);
    while let Due::Again(..) | Due::Doubted { .. } = service.due() {
        let believed = matches!(service.due(), Due::Doubted { .. });
        let again = Input::Gauge { typed: typed.into(), sure: true };
        service.tell(if believed { Input::Believe { why: why() } } else { again });
    }
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
}

/// The next word about this valve comes after a turn to its stop.
fn only_after_a_turn(service: &mut Service, valve: Valve) {
    let arrived = service.session.state.arrived;
    let before = service.session.state.readings.len();
    assert_ne!(service.due(), Due::Gauge(valve, Step::Recheck), "at once, where the crank stands");
    assert_eq!(service.session.state.standing(valve), Standing::NotYet);
    service.calmly_while(|_, due| *due != Due::Gauge(valve, Step::Recheck));
    assert_eq!(service.due(), Due::Gauge(valve, Step::Recheck));
    assert!(service.session.state.arrived > arrived, "nobody turned");
    service.sign();
    assert!(service.session.state.readings.len() > before);
    let mut steps = service.session.state.readings.iter().filter(|one| one.reading.valve == valve);
    assert_eq!(steps.next_back().unwrap().reading.step, Step::Recheck);
}

fn in_the_recheck() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_round(1);
    service
}

#[test]
fn a_nut_found_slack_in_the_recheck_is_rechecked_once_the_engine_was_turned() {
    let mut service = in_the_recheck();
    service.on_to_gauge(intake(3)).tell(Input::NutFoundSlack(intake(3)));
    assert_eq!(service.due(), Due::Trying(intake(3)));
    tries(&mut service, "6");
    assert_eq!(service.due(), Due::Gauge(exhaust(3), Step::Recheck), "the stop goes on");
    only_after_a_turn(&mut service, intake(3));
}

#[test]
fn so_is_one_that_was_set_in_it() {
    let mut service = in_the_recheck();
    is_out(service.on_to_gauge(intake(3)), "9");
    service.tell(Input::OpenSet(intake(3)));
    tries(&mut service, "6");
    only_after_a_turn(&mut service, intake(3));
}

#[test]
fn one_that_is_locked_out_of_its_band_is_set_at_once_and_looked_at_after_that() {
    let mut service = in_the_recheck();
    service.on_to_gauge(intake(3)).tell(Input::NutFoundSlack(intake(3)));
    tries(&mut service, "9");
    assert!(!matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    assert!(matches!(service.due(), Due::Set(valve, _) if valve == intake(3)));
    // Gauged once more where it stands, it is set by that; it is no look after a turn.
    is_out(&mut service, "9");
    service.tell(Input::OpenSet(intake(3)));
    tries(&mut service, "6");
    only_after_a_turn(&mut service, intake(3));
}

#[test]
fn at_the_only_stop_of_an_engine_it_is_turned_all_the_way_round() {
    let mut service = Service::new(single());
    service.prepare(Rounds::SetThenRecheck, None).on_to_round(1).on_to_gauge(intake(1));
    service.tell(Input::NutFoundSlack(intake(1)));
    service.calmly_while(|_, due| *due != Due::Trying(intake(1)));
    service.tell(Input::Tried { typed: "0.20".into(), sure: true }).tell(Input::NutLocked);
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    let prompt = cowlside::guide::Talk::default().prompt(&service.session);
    let said = prompt.lines.join(" ");
    assert!(said.contains("720°"), "{said}");
    only_after_a_turn(&mut service, intake(1));
}

#[test]
fn in_a_survey_a_second_look_at_what_was_locked_out_of_its_band_comes_after_a_turn() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveyOnly, None).on_to_gauge(intake(3)).gauge("9");
    service.on_to_round(1).on_to_gauge(intake(3)).tell(Input::NutFoundSlack(intake(3)));
    tries(&mut service, "9");
    only_after_a_turn(&mut service, intake(3));
}

#[test]
fn what_a_version_before_this_one_closed_up_over_stays_closed() {
    let mut service = in_the_recheck();
    let last = service.session.state.stops().last().unwrap().gauge[1].valve;
    is_out(service.on_to_gauge(last), "19");
    service.tell(Input::OpenSet(last));
    let target = super::mechanic::on_target(&service.session.state, last.kind);
    tries(&mut service, &target);
    assert_eq!(service.session.state.round(), Some(1));
    let line = service.session.state.out.iter().find(|line| line.out > 0).unwrap();
    let (bank, item, count) = (line.bank.clone(), line.item.clone(), line.out);
    service.keep(Entry::On(On::Count { bank, item, count }));
    assert_eq!(service.session.state.round(), None);
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    service.sign();
}

#[test]
fn a_place_that_is_seen_where_it_stood_all_the_time_is_no_turn() {
    let mut service = in_the_recheck();
    let stop = service.session.state.stops().last().unwrap().clone();
    let last = stop.gauge[1].valve;
    let target = super::mechanic::on_target(&service.session.state, last.kind);
    service.on_to_gauge(last).tell(Input::NutFoundSlack(last));
    tries(&mut service, &target);
    let turn = |due: &Due| matches!(due, Due::Turn { there: false, .. });
    assert!(turn(&service.due()), "{:?}", service.due());
    let prompt = cowlside::guide::Talk::default().prompt(&service.session);
    assert!(prompt.lines.join(" ").contains("720°"), "{prompt:?}");
    assert!(stop.sign.is_overlap() && stop.then_turn == 0);
    let seen = [Input::SeeOverlap(stop.watch), Input::SeeLoose(last.cylinder)];
    let lost = seen.clone().into_iter().map(|seen| vec![Input::Lost, seen]);
    for told in seen.iter().map(|seen| vec![seen.clone()]).chain(lost) {
        let mut service = service.clone();
        let arrived = service.session.state.arrived;
        for input in told {
            service.tell(input);
            assert_eq!(service.session.state.arrived, arrived, "no turn by {:?}", service.due());
        }
        service.calmly_while(|_, due| !turn(due) && !matches!(due, Due::Gauge(..)));
        assert!(turn(&service.due()), "{:?}", service.due());
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
        assert_eq!(service.due(), Due::Gauge(last, Step::Recheck));
        service.sign();
    }
    // Another place is only come to by turning.
    let other = service.session.state.stops().first().unwrap().watch;
    let arrived = service.session.state.arrived;
    service.tell(Input::SeeOverlap(other));
    assert!(service.session.state.arrived > arrived);
    service.sign();
}

#[test]
fn what_is_set_once_the_rounds_are_done_is_looked_at_after_a_turn() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    // The crank stands at the last stop still.
    let last = service.session.state.stops().last().unwrap().gauge[0].valve;
    service.tell(Input::NutFoundSlack(last));
    assert_eq!(service.due(), Due::Trying(last));
    let target = super::mechanic::on_target(&service.session.state, last.kind);
    tries(&mut service, &target);
    only_after_a_turn(&mut service, last);
}

#[test]
fn what_is_seen_after_the_two_turns_asks_whether_it_was_turned_since() {
    let mut service = in_the_recheck();
    let (watch, last) = {
        let stop = service.session.state.stops().last().unwrap();
        (stop.watch, stop.gauge[1].valve)
    };
    service.on_to_gauge(last).tell(Input::NutFoundSlack(last));
    let target = super::mechanic::on_target(&service.session.state, last.kind);
    tries(&mut service, &target);
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
    let seen = |service: &mut Service, digit: &str| {
        let asked = Talk::call(&service.session, Command::SeeOverlap, Default::default());
        let Answered::Next(talk) = asked else { panic!("{asked:?}") };
        let Answered::Next(talk) = talk.answer(&service.session, &watch.to_string()) else {
            panic!("turned since?")
        };
        assert!(talk.prompt(&service.session).ask.starts_with("Was it turned all the way round"));
        let Answered::Keep(entries) = talk.answer(&service.session, digit) else { panic!() };
        entries.into_iter().for_each(|entry| service.keep(entry));
    };
    let mut stood = service.clone();
    seen(&mut stood, "2");
    only_after_a_turn(&mut stood, last);
    let turns = |service: &Service| {
        let of = |kept: &&cowlside::domain::entry::Kept| {
            matches!(kept.entry, Entry::At(cowlside::domain::entry::At::Stop { .. }))
        };
        service.session.kept.iter().filter(of).count()
    };
    let arrived = service.session.state.arrived;
    seen(&mut service, "1");
    assert!(matches!(service.due(), Due::Turn { there: true, .. }), "{:?}", service.due());
    assert!(service.session.state.arrived > arrived, "it was turned");
    let told = turns(&service);
    service.calmly_while(|_, due| *due != Due::Gauge(last, Step::Recheck));
    assert_eq!(turns(&service), told, "no further turn");
    service.sign();
}
