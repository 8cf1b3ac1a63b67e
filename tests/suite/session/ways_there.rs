//! What is said while the crank is brought to a stop: always which way, never two ways mixed, and a
//! proof that the wrong stroke cannot pass.

use super::engines::{flat_four, radial_table, vee_twin};
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::{Rocked, Rounds};
use cowlside::domain::session::{Due, Input};
use cowlside::guide::{Prompt, Talk};

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
