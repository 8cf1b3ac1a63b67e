//! "Will be gauged later in this service" is offered only where a later round does so.

use super::engines::{flat_four, intake, vee_twin};
use super::harness::Service;
use super::parts::begun;
use cowlside::domain::entry::Rounds;
use cowlside::domain::session::{Due, Input};
use cowlside::guide::{Answered, Command, Talk};

/// Why 1 intake may be passed over, as it is offered.
fn offered(service: &Service) -> Vec<String> {
    let mut answered = Talk::call(&service.session, Command::SkipValve, Default::default());
    for key in ["1", "1"] {
        let Answered::Next(talk) = answered else { panic!("{answered:?}") };
        answered = talk.answer(&service.session, key);
    }
    let Answered::Next(talk) = answered else { panic!("{answered:?}") };
    let choices = talk.prompt(&service.session).field.choices;
    choices.into_iter().map(|choice| choice.label).collect()
}

fn says_later(service: &Service) -> bool {
    offered(service).iter().any(|label| label.contains("later in this service"))
}

#[test]
fn in_the_last_round_nothing_is_left_for_later() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1));
    assert!(says_later(&service), "the recheck gauges it");
    let mut later = service.clone();
    later.tell(Input::SkipValve { valve: intake(1), why: "will be gauged later".into() });
    later.on_to_round(1).on_to_gauge(intake(1));
    assert!(matches!(later.due(), Due::Gauge(valve, _) if valve == intake(1)));
    service.on_to_round(1).on_to_gauge(intake(1));
    assert!(!says_later(&service), "{:?}", offered(&service));
    assert!(offered(&service).len() > 1, "cannot be reached, or own words");
    service.sign();
}

#[test]
fn a_round_that_gauges_only_what_was_changed_is_none_that_gauges_it_later() {
    let mut survey = Service::new(flat_four());
    survey.prepare(Rounds::SurveyOnly, None).on_to_gauge(intake(1));
    assert!(!says_later(&survey), "{:?}", offered(&survey));
    let mut survey = Service::new(flat_four());
    survey.prepare(Rounds::SurveySetRecheck, None).on_to_gauge(intake(1));
    assert!(says_later(&survey));
    let mut shims = begun(vee_twin(), &[]);
    shims.on_to_gauge(intake(1));
    assert!(!says_later(&shims), "{:?}", offered(&shims));
}
