//! A rocker with its nut slack is loose on either stroke: it proves no place of the crank.

use super::engines::{exhaust, flat_four, intake, single, twin_180};
use super::harness::Service;
use cowlside::domain::entry::{At, Entry, Rocked, Rounds};
use cowlside::domain::session::{Crank, Due, Input, Proven, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Cylinder;
use cowlside::guide::{Answered, Talk, glance, status};

/// Only cylinder 3 is in the scope; the nut of 4 exhaust was found slack in the recheck.
fn one_outside() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![3])).on_to_round(1);
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    service.tell(Input::NutFoundSlack(exhaust(4)));
    service
}

/// Goes on to the turn to a cylinder's stop.
fn on_to_stop_of(service: &mut Service, cylinder: Cylinder) -> usize {
    let stop = service.session.state.stop_gauging(cylinder).unwrap();
    service.calmly_while(|_, due| !matches!(due, Due::Turn { stop: at, .. } if *at == stop));
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
    stop
}

const NOT_SEEN: &str = "not seen, or not sure";

/// The answers that the question offers, and whether it takes a count.
fn offered(service: &Service) -> (Vec<String>, bool) {
    let field = Talk::default().prompt(&service.session).field;
    (field.choices.into_iter().map(|one| one.label).collect(), field.typed.is_some())
}

#[test]
fn where_every_nut_of_a_stop_is_slack_the_sign_proves_it_and_nothing_is_counted() {
    let mut service = one_outside();
    let stop = on_to_stop_of(&mut service, 4);
    assert_eq!(service.session.state.to_gauge(stop), 0);
    let seen = "seen: 3 at overlap, then one full turn on";
    let watch = service.session.state.stops()[stop].watch;
    let then_turn = service.session.state.stops()[stop].then_turn;
    let place = format!("seen: {watch} at overlap");
    let expected = if then_turn > 0 { seen.into() } else { place };
    assert_eq!(offered(&service), (vec![expected.clone(), NOT_SEEN.to_string()], false));
    let prompt = Talk::default().prompt(&service.session);
    let said = prompt.lines.join(" ");
    assert!(said.contains("loose on either stroke"), "{said}");
    // Its sign is to be seen, though it lies behind: no turn on by degrees shows the stroke.
    assert!(prompt.title.starts_with("Turn to "), "{}", prompt.title);
    assert!(!said.contains("rockers of"), "{said}");
    assert_eq!(service.refused(Input::Loose(1)), Refusal::TooMany { of: 0 });
    service.tell(Input::Loose(0));
    assert_eq!(service.due(), Due::Trying(exhaust(4)));
    assert_eq!(glance::undo(&service.session).as_deref(), Some("sign seen and the stop"));
    service.sign();
    // Nothing was rocked there: after a break the next place is.
    let mut service = one_outside();
    service.tell(Input::Back(Default::default()));
    on_to_stop_of(&mut service, 4);
    service.tell(Input::Loose(0));
    assert!(service.session.state.crank_proven() && service.session.state.rock_wanted);
    service.sign();
}

#[test]
fn of_two_rockers_the_one_with_its_nut_locked_is_felt() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).tell(Input::NutFoundSlack(intake(3)));
    let stop = on_to_stop_of(&mut service, 3);
    assert_eq!(service.session.state.to_gauge(stop), 1);
    let ask = Talk::default().prompt(&service.session).ask;
    assert_eq!(ask, "Is the rocker of 3 exhaust loose?");
    service.sign();
}

#[test]
fn after_work_that_opened_both_nuts_neither_is_felt() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let (what, text) = ("cylinder".to_string(), String::new());
    service.tell(Input::Work { cylinder: 3, what, text });
    let stop = on_to_stop_of(&mut service, 3);
    assert_eq!(service.session.state.to_gauge(stop), 0);
    assert_eq!(service.refused(Input::Loose(2)), Refusal::TooMany { of: 0 });
    // Nor by what was felt on the way.
    let refused = service.refused(Input::SeeLoose(3));
    assert!(refused.words().contains("loose on either stroke"), "{}", refused.words());
    service.tell(Input::Loose(0));
    assert!(service.session.state.crank_proven());
    service.sign();
}

#[test]
fn both_loose_is_taken_where_one_of_them_is_locked() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).tell(Input::NutFoundSlack(intake(3)));
    service.tell(Input::SeeLoose(3));
    assert!(service.session.state.crank_proven());
    service.sign();
}

#[test]
fn what_the_only_rocker_showed_is_proven_anew_where_its_nut_is_found_slack_there() {
    let mut service = one_outside();
    let stop = on_to_stop_of(&mut service, 4);
    service.tell(Input::Loose(0)).on_to_gauge(exhaust(4));
    // Locked, it was felt at the way back to it, and rocked.
    assert!(service.session.state.felt.contains(&exhaust(4)));
    service.tell(Input::NutFoundSlack(exhaust(4)));
    assert_eq!(service.session.state.crank, Crank::At { stop, proof: Proven::No });
    assert!(matches!(service.due(), Due::Turn { there: true, .. }), "{:?}", service.due());
    service.sign();
    // Of two, the other one showed it.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service.tell(Input::NutFoundSlack(intake(1)));
    assert_eq!(service.due(), Due::Trying(intake(1)));
    service.tell(Input::NutFoundSlack(exhaust(1)));
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
    service.sign();
}

#[test]
fn what_was_counted_with_a_slack_one_is_counted_again_before_it_is_rocked() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).tell(Input::Loose(2));
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
    service.tell(Input::NutFoundSlack(intake(1)));
    assert!(matches!(service.due(), Due::Turn { there: true, .. }), "{:?}", service.due());
    service.tell(Input::Loose(1)).tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Trying(intake(1)));
    service.sign();
}

#[test]
fn a_nut_that_is_slackened_to_set_it_leaves_the_place_proven() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1])).on_to_gauge(intake(1));
    service.gauge("9").gauge("16");
    for valve in [intake(1), exhaust(1)] {
        service.calmly_while(|_, due| !matches!(due, Due::Set(one, _) if *one == valve));
        service.tell(Input::OpenSet(valve));
        assert!(service.session.state.crank_proven());
        assert_eq!(service.due(), Due::Trying(valve));
    }
    service.sign();
}

/// At the stop of cylinder 1, which lies a full turn past its own overlap, both its nuts are found slack.
fn both_slack(facts: cowlside::domain::profile::Facts) -> (Service, usize) {
    let mut service = Service::new(facts);
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    let Crank::At { stop, .. } = service.session.state.crank else { panic!() };
    let place = &service.session.state.stops()[stop];
    assert_eq!((place.watch, place.then_turn), (1, 360));
    service.tell(Input::NutFoundSlack(intake(1))).tell(Input::NutFoundSlack(exhaust(1)));
    (service, stop)
}

#[test]
fn where_the_watched_cylinder_shows_nothing_another_one_does_and_what_was_seen_is_kept() {
    let (mut service, stop) = both_slack(twin_180());
    let turn = Due::Turn { stop, again: None, there: false, rock: true };
    assert_eq!(service.due(), turn, "its sign lies behind, and its rockers show none");
    let (labels, _) = offered(&service);
    let (seen, on) = service.session.state.shown_by(stop).unwrap();
    assert_eq!(seen, 2);
    assert_eq!(labels, [format!("seen: 2 at overlap, then {on:.0}° on"), NOT_SEEN.into()]);
    let prompt = Talk::default().prompt(&service.session);
    assert!(prompt.title.contains("2 at overlap"), "{}", prompt.title);
    assert!(prompt.lines.join(" ").contains("nuts of 1 are slack"), "{:?}", prompt.lines);
    let refused = service.refused(Input::SeeOverlap(1)).words();
    assert!(refused.contains("show no overlap"), "{refused}");
    // Not seen is an answer: nobody knows where it is.
    let not_seen = Talk::default().answer(&service.session, "0");
    let Answered::Keep(entries) = not_seen else { panic!("{not_seen:?}") };
    assert_eq!(entries, [Entry::At(At::Lost)]);
    service.tell(Input::Lost);
    assert_eq!(service.session.state.crank, Crank::Unknown);
    let before = service.session.kept.len();
    service.tell(Input::Loose(0));
    assert!(service.session.state.crank_proven());
    let first = &service.session.kept[before].entry;
    assert!(matches!(first, Entry::At(At::SeenOverlap(2))), "{first:?}");
    service.sign();
}

#[test]
fn of_the_only_cylinder_something_else_than_its_rockers_tells() {
    let (mut service, stop) = both_slack(single());
    assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
    assert_eq!(service.session.state.shown_by(stop), None);
    let said = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(said.contains("plug hole"), "{said}");
    service.sign();
}

#[test]
fn the_way_back_names_the_sign_that_can_be_seen() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let (mut named, mut by_another) = (0, 0);
    for cylinder in [1, 2] {
        for valve in [intake(cylinder), exhaust(cylinder)] {
            service.tell(Input::NutFoundSlack(valve));
        }
    }
    for _ in 0..200 {
        service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
        let Due::Turn { stop, .. } = service.due() else { break };
        service.tell(Input::Loose(service.session.state.to_gauge(stop)));
        let mut back = service.clone();
        back.tell(Input::Back(Default::default()));
        let Crank::At { stop, .. } = back.session.state.crank else { continue };
        let next = back.session.state.round().and_then(|round| back.session.state.next_stop(round));
        if next != Some(stop) {
            continue;
        }
        let watch = back.session.state.stops()[stop].watch;
        let shown = back.session.state.shown_by(stop).map_or(watch, |(cylinder, _)| cylinder);
        let told = status::way_back(&back.session, &Earlier::default())[2].clone();
        assert!(told.contains(&format!("{shown} at overlap")), "{shown}: {told}");
        named += 1;
        by_another += usize::from(shown != watch);
    }
    assert!(named > by_another && by_another > 0, "{named} {by_another}");
}
