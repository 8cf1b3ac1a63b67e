//! What is said while the crank is brought to a stop: always which way, never two ways mixed, and a
//! proof that the wrong stroke cannot pass.

use super::engines::{exhaust, flat_four, intake, radial_table, vee_twin};
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::{Back, Begin, Rocked, Rounds};
use cowlside::domain::session::{Due, Input};
use cowlside::domain::valve::Standing;
use cowlside::guide::{Prompt, Talk};
use cowlside::tui::widgets::engine::EngineView;

fn asked(service: &Service) -> Prompt {
    Talk::default().prompt(&service.session)
}

fn at_the_first_turn() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service
}

#[test]
fn where_none_is_loose_it_is_asked_whether_one_moved() {
    // At overlap both are tight and move: that they stayed tight would prove the wrong stroke.
    let mut service = at_the_first_turn();
    service.tell(Input::Loose(0));
    service.tell(Input::Loose(0));
    let Due::Rock { .. } = service.due() else { panic!("{:?}", service.due()) };
    let ask = asked(&service);
    assert!(ask.ask.contains("move") && !ask.ask.contains("stay"), "{}", ask.ask);
    let labels: Vec<&str> = ask.field.choices.iter().map(|choice| &*choice.label).collect();
    assert_eq!(labels, ["none moved: a tight valve", "one moved: wrong place"]);
    service.tell(Input::Rock(Rocked::Moved));
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
}

#[test]
fn a_lobe_that_does_not_point_away_is_never_put_down_to_a_tight_valve() {
    // Where a lobe points is the crank's doing (session.md 3: words fit the adjuster).
    let mut service = Service::new(vee_twin());
    service.prepare(Rounds::SurveyOnly, None);
    service.tell(Input::Loose(1));
    let Due::Rock { .. } = service.due() else { panic!("{:?}", service.due()) };
    let labels = asked(&service).field.choices.into_iter().map(|choice| choice.label);
    let labels: Vec<String> = labels.collect();
    assert_eq!(labels, ["each points away: miscounted", "one does not, or one moved: wrong place"]);
}

#[test]
fn every_question_that_has_the_crank_turned_says_which_way() {
    let mut service = at_the_first_turn();
    let says = |service: &Service| {
        let ask = asked(service);
        let way = |line: &String| line.contains("Never back") && line.contains("wise from");
        assert!(ask.lines.iter().any(way), "{}: {:?}", ask.title, ask.lines);
    };
    says(&service);
    service.tell(Input::Loose(0));
    says(&service);
    service.tell(Input::Loose(0)).tell(Input::Rock(Rocked::Moved));
    assert!(asked(&service).title.contains("again"), "{}", asked(&service).title);
    says(&service);
}

#[test]
fn where_the_overlap_lies_behind_the_title_does_not_send_there() {
    // Contract 3: "turn on N: both rockers loose", or the long way, never a mixture.
    let (mut on, mut to) = (0, 0);
    let mut service = Service::new(radial_table(None));
    service.prepare(Rounds::SurveyOnly, None);
    for _ in 0..400 {
        let due = service.due();
        if due == Due::Closed || matches!(due, Due::CountIn { .. }) {
            break;
        }
        if let Due::Turn { .. } = due {
            let ask = asked(&service);
            let short = ask.lines.iter().any(|line| line.starts_with("Or the long way"));
            assert_eq!(short, ask.title.starts_with("Turn on "), "{}: {:?}", ask.title, ask.lines);
            assert!(!short || !ask.title.contains("overlap"), "{}", ask.title);
            if short { on += 1 } else { to += 1 }
        }
        let input = mechanic::calm(&service.session, &due);
        service.tell(input);
    }
    assert!(on > 1 && to > 1, "{on} turned on, {to} to an overlap");
}

/// After a break the way to the stop names what is done there.
fn done_there(service: &mut Service) -> String {
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() })).on_to_turn();
    let there = asked(service).lines.into_iter().find(|line| line.starts_with("Then "));
    let Due::Turn { stop, .. } = service.due() else { panic!("{:?}", service.due()) };
    let loose = service.session.state.to_gauge(stop);
    service.tell(Input::Loose(loose)).tell(Input::Rock(Rocked::Steady));
    there.unwrap()
}

#[test]
fn the_way_there_names_only_what_is_left_to_do() {
    let mut service = at_the_first_turn();
    let odd = || Input::Gauge { typed: "120".into(), sure: true };
    service.on_to_gauge(intake(1)).gauge("6").tell(odd());
    assert!(matches!(service.due(), Due::Again(..)), "{:?}", service.due());
    let exhaust_only = "Then gauge 1, right bank, 1st from the propeller end: exhaust.";
    assert_eq!(done_there(&mut service), exhaust_only, "once more");
    service.tell(odd());
    assert!(matches!(service.due(), Due::Doubted { .. }), "{:?}", service.due());
    assert_eq!(done_there(&mut service), "Then say what the readings of 1 exhaust were.");
    service.tell(Input::Believe { why: "so it is".into() });
    assert_eq!(done_there(&mut service), "Then set 1 exhaust.");
    service.tell(Input::OpenSet(exhaust(1)));
    assert_eq!(done_there(&mut service), "Then set 1 exhaust, lock its nut and gauge it.");
}

#[test]
fn where_a_stop_gauges_one_valve_of_a_cylinder_the_drawing_names_it() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Scope);
    let (rounds, few_stops) = (Some(Rounds::SetThenRecheck), Some(true));
    service.tell(Input::Begin(Box::new(Begin { rounds, few_stops, ..Begin::default() })));
    service.on_to_turn();
    let stop = &service.session.state.stops()[0];
    let valves: Vec<_> = stop.gauge.iter().map(|gauge| gauge.valve).collect();
    assert_eq!(valves.len(), 4);
    let cylinders: Vec<_> = valves.iter().map(|valve| valve.cylinder).collect();
    let profile = &service.session.state.profile.profile;
    let drawn = EngineView::new(profile, |_| Standing::NotYet, None, &cylinders).gauging(&valves);
    let all = drawn.banks.iter().flat_map(|bank| &bank.cylinders);
    let mut names: Vec<String> = all.map(|one| one.around(&one.name)).collect();
    names.sort();
    assert_eq!(names, [" 2 ", "[1]", "[3 E]", "[4 I]"]);
}
