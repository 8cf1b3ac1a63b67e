//! A service for practice says so wherever it says where in the job it is.

use super::engines::flat_four;
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::Sign;
use cowlside::domain::pace::Gap;
use cowlside::domain::profile::Source;
use cowlside::domain::session::{Due, Input};
use cowlside::guide::glance::whereabouts;
use cowlside::guide::{Answered, Beside, Command, Talk, place};

/// Goes through a whole service; returns what each question and each place said.
fn walked(practice: bool) -> Vec<(String, Vec<String>)> {
    let mut facts = flat_four();
    facts.source.document = "Handbook".into();
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| !matches!(due, Due::SourceName(_)));
    let source = Source { document: "Handbook".into(), ..Source::default() };
    let source = if practice { Source::default() } else { source };
    service.tell(Input::NameSource { source, practice });
    let mut met = Vec::new();
    loop {
        let due = service.due();
        let place = Talk::default().prompt(&service.session).place;
        let by = service.session.state.worker.clone().unwrap_or_default();
        let slow = Gap { by, ms: 600_000 };
        let beside = Beside { pace: vec![slow; if practice { 8 } else { 0 }], ..Beside::default() };
        met.push((place, whereabouts(&service.session, &beside)));
        match due {
            Due::Closed => return met,
            Due::Sign => {
                let sign = Sign { signer: "Signer".into(), ..Sign::default() };
                service.tell(Input::Sign(Box::new(sign), None));
            }
            due => {
                let input = mechanic::calm(&service.session, &due);
                service.tell(input);
            }
        }
    }
}

#[test]
fn practice_stands_before_where_in_the_job_at_every_question_and_is_never_cut() {
    let met = walked(true);
    assert!(met.len() > 60, "{}", met.len());
    for (place, places) in &met {
        assert!(place.starts_with("PRACTICE · "), "{place}");
        assert!(places.iter().all(|place| place.starts_with("PRACTICE")), "{places:?}");
        assert_eq!(places.last().unwrap(), "PRACTICE");
    }
    assert!(met.iter().any(|(place, _)| place == "PRACTICE · close up"));
    // In the smallest window too the stop is told, however many minutes are left.
    let stops = met.iter().filter(|(_, places)| places[0].contains(" · stop "));
    assert!(stops.clone().count() > 20);
    for (_, places) in stops {
        assert!(places[places.len() - 2].starts_with("PRACTICE · r"), "{places:?}");
        assert_eq!(places[places.len() - 2].chars().count(), "PRACTICE · r1/2 s1/4".len() - 1);
    }
    // And how much is left, beside an engine's name of eight letters.
    let fits = |place: &&String| place.chars().count() <= 31;
    for (_, places) in &met {
        let shown = places.iter().find(fits).unwrap();
        if places[0].contains(" · stop ") {
            let told = ["to do", "left"].iter().any(|left| shown.contains(left));
            assert!(told && shown.contains(" s"), "{shown} of {places:?}");
        } else if places[0].contains("to answer") {
            assert!(shown.contains("to answer"), "{shown} of {places:?}");
        }
    }
    for (place, places) in walked(false) {
        assert!(!place.contains("PRACTICE") && !places.concat().contains("PRACTICE"), "{place}");
    }
}

#[test]
fn a_page_beside_a_service_for_practice_says_so_once() {
    let own = "PRACTICE · prepare".to_owned();
    assert_eq!(place::beside("help".into(), Some(&own)), "PRACTICE · help");
    assert_eq!(place::beside(own.clone(), Some(&own)), own);
    assert_eq!(place::beside("help".into(), Some(&"prepare".into())), "help");
    assert_eq!(place::beside("help".into(), None), "help");
}

#[test]
fn in_practice_another_profile_is_taken_without_the_name_of_a_manual() {
    let asked = |practice: bool| {
        let mut service = Service::new(flat_four());
        service.calmly_while(|_, due| !matches!(due, Due::SourceName(_)));
        let source = Source { document: "Handbook".into(), ..Source::default() };
        let source = if practice { Source::default() } else { source };
        service.tell(Input::NameSource { source, practice });
        let beside = Beside { profiles: vec!["flat-six".into()], ..Beside::default() };
        let call = Talk::call(&service.session, Command::ReplaceProfile, beside.into());
        let Answered::Next(talk) = call else { panic!("{call:?}") };
        let Answered::Next(talk) = talk.answer(&service.session, "1") else { panic!("chosen") };
        (talk.prompt(&service.session).ask, talk.answer(&service.session, "1"))
    };
    let (ask, answered) = asked(true);
    assert_eq!(ask, "Why?");
    let Answered::ReplaceProfile { name, source, .. } = answered else { panic!("{answered:?}") };
    assert_eq!((name.as_str(), source.as_str()), ("flat-six", "no manual: practice"));
    assert!(asked(false).0.starts_with("Source: document"));
}
