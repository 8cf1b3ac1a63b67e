//! What whoever looks on from another terminal is told: all that was kept, but of a valve that is to be
//! gauged now no earlier figure, in whatever way it was kept.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Rounds, Step};
use cowlside::domain::session::{Due, Input};
use cowlside::domain::valve::Valve;
use cowlside::guide::watching::glimpse;

/// Figures that stand in nothing else.
const FIGURE: &str = "6.125";
const OTHER: &str = "6.375";

/// Everything that an onlooker is told.
fn told(service: &Service) -> String {
    let glimpse = glimpse(&service.session);
    let kept = glimpse.kept.iter().map(|said| said.words.clone());
    let lines = [glimpse.engine.clone(), glimpse.place.clone()].into_iter().chain(glimpse.asked);
    lines.chain(glimpse.open).chain(kept).collect::<Vec<_>>().join("\n")
}

fn gauged(typed: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service.tell(Input::Gauge { typed: typed.into(), sure: true });
    service
}

/// The figures are told now, and not when the valve is to be gauged.
#[track_caller]
fn hidden_while_due(mut service: Service, figures: &[&str], valve: Valve) -> Service {
    for figure in figures {
        assert!(told(&service).contains(figure), "{figure} was never told\n{}", told(&service));
    }
    service.on_to_gauge(valve);
    for figure in figures {
        assert!(!told(&service).contains(figure), "{figure} is told\n{}", told(&service));
    }
    assert!(told(&service).contains(&format!("{valve}: not told while it is to be gauged")));
    service
}

#[test]
fn the_figures_of_the_valve_that_is_due_are_hidden_from_the_onlooker_until_it_is_gauged() {
    let mut service = hidden_while_due(gauged(FIGURE), &[FIGURE], intake(1));
    service.gauge("6");
    assert!(told(&service).contains(FIGURE), "{}", told(&service));
}

#[test]
fn so_are_those_that_were_taken_back_corrected_or_swapped_with_another_valves() {
    let mut taken_back = gauged(FIGURE);
    taken_back.tell(Input::TakeBack);
    assert_eq!(taken_back.due(), Due::Gauge(intake(1), Step::Found));
    assert!(!told(&taken_back).contains(FIGURE), "{}", told(&taken_back));
    assert!(told(&taken_back).contains("(taken back)"), "{}", told(&taken_back));

    let mut corrected = gauged(OTHER);
    let of = corrected.last_reading();
    corrected.tell(Input::CorrectValue { of, typed: FIGURE.into(), why: why(), sure: true });
    hidden_while_due(corrected, &[FIGURE], intake(1));

    // Kept for the exhaust, it counts for the intake once they are swapped, and is hidden for both.
    for valve in [intake(1), exhaust(1)] {
        let mut swapped = gauged("6");
        let of = swapped.last_reading();
        swapped.tell(Input::Gauge { typed: "10.125".into(), sure: true });
        let with = swapped.last_reading();
        swapped.tell(Input::Swap { of, with, why: why() });
        hidden_while_due(swapped, &["10.125"], valve);
    }
}

#[test]
fn so_is_a_reading_that_is_not_believed_and_the_word_given_for_it() {
    let mut doubted = gauged("60.125");
    assert_eq!(doubted.due(), Due::Again(intake(1), Step::Found));
    assert!(!told(&doubted).contains("60.125"), "{}", told(&doubted));
    doubted.tell(Input::Gauge { typed: FIGURE.into(), sure: true });
    doubted.tell(Input::Believe { why: why() });
    hidden_while_due(doubted, &["60.125", FIGURE], intake(1));
}

#[test]
fn where_the_crank_stood_is_told_by_each_entry_and_not_by_where_it_stands_now() {
    let mut service = gauged("6");
    service.on_to_gauge(intake(3));
    let told = told(&service);
    let stood: Vec<&str> = told.lines().filter(|line| line.starts_with("crank: ")).collect();
    assert_eq!(stood, ["crank: 2 at overlap", "crank: 4 at overlap"]);
}
