//! Breaks about the run: nothing is asked of an engine that has run as of one that is to be started, and a
//! service is finished on the day after its own run.

use super::engines::{flat_four, intake, radial_table, usual_timing};
use super::harness::{Service, profile_text, why};
use cowlside::domain::entry::{Back, Begin, Rounds, Skip, Skipped};
use cowlside::domain::session::{Due, Input};
use cowlside::guide::{Talk, status};
use cowlside::report::record::record;

fn back(minutes: u32, new_day: bool) -> Input {
    Input::Back(Back { after_min: Some(minutes), new_day, ..Back::default() })
}

fn at_check(id: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == id));
    service
}

/// What is asked up to the next check of the run, by the beginning of each question.
fn asked(service: &mut Service, answer: u8) -> Vec<String> {
    let mut asked = Vec::new();
    loop {
        let (id, digit) = match service.due() {
            Due::Caution(line, _) => (line.id, 1),
            Due::RunCaution(line) | Due::Check(line) => (line.id, 1),
            Due::RunCheck(line) if line.id == "meanwhile" => (line.id, answer),
            Due::NewDay => {
                asked.push("new day".into());
                service.tell(Input::NotRunSince);
                continue;
            }
            _ => return asked,
        };
        asked.push(id);
        service.tell(Input::Answer(digit));
    }
}

const MADE_SAFE: [&str; 4] = ["ignition", "fuel", "arc", "hands"];
const BEFORE_A_RUN: [&str; 4] = ["run-air", "run-fire", "run-second", "run-seat"];

fn is_at(service: &Service, id: &str) -> bool {
    matches!(service.due(), Due::RunCheck(line) if line.id == id)
}

#[test]
fn after_a_run_that_took_long_it_is_only_made_safe_and_what_comes_before_a_run_is_not_asked() {
    let mut service = at_check("warm");
    service.tell(back(25, false));
    let once_safe = asked(&mut service, 1);
    let of_the_run: Vec<&String> = once_safe.iter().filter(|id| id.starts_with("run-")).collect();
    assert_eq!(of_the_run, Vec::<&String>::new(), "{once_safe:?}");
    assert_eq!(once_safe[..4], MADE_SAFE);
    assert_eq!(once_safe[4..], ["meanwhile"], "joined up only once all is looked at");
    assert!(is_at(&service, "warm"), "{:?}", service.due());
    // It stands in the record as it was answered.
    let text = record(&service.session, &cowlside::domain::trend::Earlier::default());
    assert!(text.contains("it was run, and is stopped"), "{text}");
    service.sign();
    assert_eq!(service.due(), Due::Closed);
}

#[test]
fn where_it_was_not_run_meanwhile_all_that_comes_before_a_run_is_asked_anew() {
    for id in ["warm", "noise"] {
        let mut service = at_check(id);
        service.tell(back(25, false));
        let again = asked(&mut service, 2);
        let at = again.iter().position(|id| id == "meanwhile").unwrap();
        // What was put off to make it safe is put on first; nothing of a run before it is said of this one.
        let joined_up = ["leads", "controls"].iter().chain(&BEFORE_A_RUN);
        assert!(again[at + 1..].iter().eq(joined_up), "{id}: {again:?}");
        assert!(is_at(&service, "warm"), "{:?}", service.due());
    }
    // Whoever takes over does not take that on trust either.
    let mut service = at_check("warm");
    service.tell(Input::Who("CD".into()));
    assert!(asked(&mut service, 2).ends_with(&BEFORE_A_RUN.map(String::from)));
    // Before all of that was answered nothing was run: it is asked from its beginning.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(line) if line.id == "run-second"));
    service.tell(back(25, false));
    let again = asked(&mut service, 2);
    assert!(
        again.ends_with(&BEFORE_A_RUN.map(String::from)) && !again.contains(&"meanwhile".into())
    );
}

#[test]
fn while_it_cools_nothing_is_joined_up_and_what_made_it_safe_is_undone_before_the_signature() {
    let mut service = at_check("cooled");
    service.tell(back(80, false));
    assert_eq!(asked(&mut service, 1), MADE_SAFE);
    assert!(is_at(&service, "cooled"), "{:?}", service.due());
    service.tell(Input::Answer(1));
    assert_eq!(asked(&mut service, 1), ["leads", "controls"]);
    assert_eq!(service.due(), Due::Sign);
}

#[test]
fn whoever_comes_back_is_told_no_figure_of_the_valve_that_he_gauges_next() {
    // Gauged once in the recheck and asked for a second time.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_round(1).on_to_gauge(intake(1));
    service.gauge("8");
    assert!(matches!(service.due(), Due::Again(valve, _) if valve == intake(1)));
    service.tell(Input::Away(String::new()));
    let none = cowlside::domain::trend::Earlier::default();
    let told = |service: &Service| {
        let notice = status::notice(&service.session, &none).join("\n");
        let back = status::way_back(&service.session, &none).join("\n");
        let undo = cowlside::guide::glance::undo(&service.session);
        format!("{notice}\n{back}\n{undo:?}\n{:?}", Talk::default().prompt(&service.session))
    };
    let figure = |words: &str| words.contains("8 thou") || words.contains(", 8");
    assert!(!figure(&told(&service)), "{}", told(&service));
    service.tell(back(20, false));
    assert!(!figure(&told(&service)), "{}", told(&service));
    // Of a valve that he does not gauge next it is told.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("6");
    service.tell(Input::Away(String::new()));
    assert!(told(&service).contains("6 thou"), "{}", told(&service));
}

#[test]
fn on_the_day_after_its_own_run_a_service_is_finished_and_not_closed_as_interrupted() {
    let question = |service: &Service| {
        let ask = Talk::default().prompt(&service.session);
        format!("{} {}", ask.ask, ask.field.choices[0].label)
    };
    let of_the_run =
        "Has the engine run since, but for its run check? not run, or for the run check only";
    // Handed over before anything of a run was asked.
    let mut handed_over = Service::new(flat_four());
    handed_over.prepare(Rounds::SetThenRecheck, None);
    handed_over.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    handed_over.keep(cowlside::domain::entry::Entry::Skip(Skip::of(
        Skipped::Run,
        "handed over: the run is done by somebody else",
    )));
    for mut service in [at_check("warm"), at_check("cooled"), handed_over] {
        service.tell(back(14 * 60, true));
        assert_eq!(question(&service), of_the_run);
        service.tell(Input::NotRunSince).sign();
    }
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service.tell(back(14 * 60, true));
    assert!(question(&service).starts_with("Has the engine run since? not run,"));
}

#[test]
fn not_run_is_an_answer_to_whether_it_was_run_and_nobody_asks_after_it() {
    let mut service = at_check("warm");
    service.tell(back(25, false));
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    assert!(is_at(&service, "meanwhile"), "{:?}", service.due());
    service.tell(Input::SkipRun { why: why() });
    assert!(!asked(&mut service, 1).contains(&"meanwhile".into()));
    assert_eq!(service.due(), Due::Sign);
    // Nor after a break before the signature, nor of who takes over.
    for ever in [back(25, false), Input::Who("CD".into())] {
        let mut service = service.clone();
        service.tell(ever);
        assert!(!asked(&mut service, 2).contains(&"meanwhile".into()));
        assert!(service.session.state.run_skipped.is_some());
        assert_eq!(service.due(), Due::Sign);
    }
}

#[test]
fn another_profile_leaves_the_question_whether_it_was_run() {
    let another = |cautions: &[&str]| {
        let cautions = cautions.iter().map(|text| (*text).to_string()).collect();
        let facts = cowlside::domain::profile::Facts { cautions, ..flat_four() };
        let profile = Box::new(profile_text(facts));
        Input::AmendProfile { profile, source: "new issue".into(), why: why() }
    };
    let mut service = at_check("warm");
    service.tell(back(25, false));
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    service.tell(another(&[]));
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    assert!(is_at(&service, "meanwhile"), "{:?}", service.due());
    // Once it was run, what the other manual wants besides is asked all the same.
    service.on_to_sign().tell(another(&["Drain valve: open"]));
    service.calmly_while(|_, due| !matches!(due, Due::Caution(..) | Due::Sign));
    assert!(matches!(service.due(), Due::Caution(..)), "{:?}", service.due());
    service.sign();
}

#[test]
fn while_it_cools_no_plug_comes_out_and_nothing_is_turned_for_who_takes_over() {
    for ever in [Input::Who("CD".into()), back(80, true)] {
        let mut service = Service::new(radial_table(Some(usual_timing())));
        service.prepare(Rounds::SetThenRecheck, None);
        service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "cooled"));
        service.tell(ever);
        let asked = asked(&mut service, 1);
        for not in ["plugs", "oil-lock", "wheels"] {
            assert!(!asked.contains(&not.into()), "{not}: {asked:?}");
        }
        assert!(asked.contains(&"ignition".into()), "{asked:?}");
        assert!(is_at(&service, "cooled"), "{:?}", service.due());
        service.sign();
    }
}

#[test]
fn what_came_off_since_is_counted_in_before_it_is_asked_whether_it_was_run() {
    let scope = |cylinder| {
        let (scope, scope_why) = (Some(vec![cylinder]), Some(why()));
        Input::Begin(Box::new(Begin { scope, scope_why, ..Begin::default() }))
    };
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_))).tell(scope(3));
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "noise"));
    service.tell(scope(1)).calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    service.tell(back(25, false));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    service.sign();
}
