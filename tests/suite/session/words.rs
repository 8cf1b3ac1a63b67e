//! Words that a mechanic meets: each true of the engine, of what is kept and of what is left to do.

use super::engines::{flat_four, intake, vee_twin};
use super::harness::Service;
use cowlside::domain::advice::Direction;
use cowlside::domain::entry::{Back, Entry, LeafSet, Nut, NutSaid, ReadingUnit, Rocked, Rounds};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::{Due, Input, OpenItem};
use cowlside::domain::turn_words::{Drive, turn_of_screw_words};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::guide::named::typed_unit;
use cowlside::guide::{Prompt, Talk, amending, glance, hangar, status};

fn asked(service: &Service) -> Prompt {
    Talk::default().prompt(&service.session)
}

fn prepared(facts: Facts, rounds: Rounds) -> Service {
    let mut service = Service::new(facts);
    service.prepare(rounds, None);
    service
}

#[test]
fn pieces_that_are_off_stand_once_on_the_notice() {
    let mut service = prepared(flat_four(), Rounds::SetThenRecheck);
    service.tell(Input::Away(String::new()));
    assert_eq!(hangar::large(&service.session), None);
    let lines = hangar::lines(&service.session, &cowlside::domain::trend::Earlier::default()).0;
    assert_eq!(lines.iter().filter(|line| line.contains("pieces off")).count(), 1, "{lines:?}");
    // What is loose is told large, and in full beneath.
    service.tell(Input::Back(Back::default()));
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service.tell(Input::OpenSet(intake(1))).tell(Input::Away(String::new()));
    assert_eq!(hangar::large(&service.session).as_deref(), Some("1 INT SLACK"));
}

#[test]
fn where_cams_bear_on_followers_hands_stay_clear_and_no_rocker_or_rod_is_named() {
    for (facts, wanted, not) in [
        (vee_twin(), "hands clear, eyes on the cam lobes", "a hand on"),
        (flat_four(), "a hand on the rockers", "lobes"),
    ] {
        let rounds =
            if facts.name == vee_twin().name { Rounds::SurveyOnly } else { Rounds::SetThenRecheck };
        let mut service = prepared(facts, rounds);
        service.calmly_while(|_, due| !matches!(due, Due::Rock { .. }));
        let title = asked(&service).title;
        assert!(title.contains(wanted) && !title.contains(not), "{title}");
        service.tell(Input::Rock(Rocked::Steady));
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    }
}

#[test]
fn after_a_break_only_what_is_not_read_yet_is_gauged() {
    let mut service = prepared(flat_four(), Rounds::SetThenRecheck);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| matches!(due, Due::Again(..) | Due::Doubted { .. }));
    service.tell(Input::Away(String::new())).tell(Input::Back(Back::default()));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    let lines = asked(&service).lines.join(" ");
    assert!(
        lines.contains("Then gauge 1, ") && lines.contains(": exhaust; then set 1 intake."),
        "{lines}"
    );
    assert!(!lines.contains("intake and exhaust"), "{lines}");
}

#[test]
fn one_thread_shows_and_a_turn_in_minutes_is_told_as_near() {
    let service = prepared(flat_four(), Rounds::SetThenRecheck);
    let said = |threads| {
        let nut = Entry::Nut(Nut::said(intake(1), NutSaid::Threads(threads)));
        status::entry_words(&service.session, &nut).unwrap()
    };
    assert_eq!([said(1), said(2)], ["1 intake: 1 thread showing", "1 intake: 2 threads showing"]);
    let turn = |degrees| turn_of_screw_words(Direction::Out, degrees, Drive::Blade);
    assert_eq!(turn(45.0), "out about 45°, about 8 marks of a clock's face");
    assert_eq!(turn(30.0), "out about 30°, 5 marks of a clock's face");
}

#[test]
fn a_reading_is_told_with_its_unit_and_its_verdict_and_each_valve_of_a_pair_with_its_number() {
    let mut facts = flat_four();
    facts.intake.per_cylinder = 2;
    let mut service = prepared(facts, Rounds::SetThenRecheck);
    service.on_to_gauge(intake(1));
    let title = asked(&service).title;
    assert!(title.starts_with("Gauge 1 intake 1 "), "{title}");
    let entries = service.session.decide(&Input::Gauge { typed: "6".into(), sure: true }).unwrap();
    service.gauge("6");
    let saved = status::kept_words(&service.session, &entries, &|_| None);
    assert!(saved.starts_with("saved: 1 intake 1: 6"), "{saved}");
    service.calmly_while(|of, _| of.session.state.untold().contains(&intake(1)));
    let list: Vec<String> =
        amending::reading_lines(&service.session).into_iter().map(|(_, words)| words).collect();
    assert!(list.iter().any(|line| line == "1 intake 1 found: 6 thou"), "{list:?}");
    let words = status::entry_words(&service.session, &entries[0]).unwrap();
    assert!(words.starts_with("1 intake 1, found: 6 thou, "), "{words}");
}

#[test]
fn examples_of_a_reading_are_leaves_of_the_set_in_hand() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Leaves);
    // A small set: each two leaves of it touch a band.
    let sizes = [100, 150, 200, 250, 300].map(Length::from_um).to_vec();
    service.tell(Input::Leaves(LeafSet::new("small", LengthUnit::Mm, sizes)));
    service.on_to_gauge(intake(1));
    let lines = asked(&service).lines.join(" ");
    let refused = service.refused(Input::Gauge { typed: "x".into(), sure: false }).words();
    for words in [&lines, &refused] {
        let leaves = ["0.10", "0.15", "0.20", "0.25", "0.30"];
        let numbers: Vec<&str> = words
            .split(|letter: char| !letter.is_ascii_digit() && letter != '.')
            .filter(|word| word.contains('.') && word.len() == 4)
            .collect();
        assert!(!numbers.is_empty(), "{words}");
        assert!(numbers.iter().all(|number| leaves.contains(number)), "{words}");
        assert!(!words.contains('`'), "{words}");
    }
}

#[test]
fn no_large_verdict_sets_the_i_of_an_intake_close_behind_a_digit() {
    let mut two = flat_four();
    two.intake.per_cylinder = 2;
    for facts in [flat_four(), two] {
        let mut service = Service::new(facts);
        service.prepare(Rounds::SurveyOnly, None).on_to_gauge(intake(1));
        let kept = service.session.kept.len();
        service.gauge("6");
        let entries: Vec<Entry> =
            service.session.kept[kept..].iter().map(|kept| kept.entry.clone()).collect();
        let words = glance::verdict(&service.session, &entries);
        assert!(!words.is_empty());
        for word in words {
            let close =
                word.as_bytes().windows(2).any(|two| two[0].is_ascii_digit() && two[1] == b'I');
            assert!(!close, "{word}");
        }
    }
}

#[test]
fn a_pair_of_hundredths_is_not_written_like_a_fraction() {
    let of = |typed| typed_unit(typed, ReadingUnit::Hundredths);
    assert_eq!(of("15"), "15 /100 mm");
    for pair in ["15/20", "15/", "/15", "10+5"] {
        assert_eq!(of(pair), format!("{pair} hundredths"));
    }
    assert_eq!(typed_unit("6/7", ReadingUnit::Thou), "6/7 thou");
}

#[test]
fn what_a_notice_has_no_room_for_is_counted_in_things_that_one_sees() {
    let (bank, item) = ("left".to_string(), "cover screw".to_string());
    let short = OpenItem::Missing { bank: bank.clone(), item: item.clone(), missing: 1 };
    let many = OpenItem::Surplus { bank, item, surplus: 1 };
    for (item, words) in [
        (short, "places with pieces missing"),
        (many, "places with pieces too many"),
        (OpenItem::NotCountedIn { pieces: 80 }, "pieces off"),
    ] {
        assert_eq!(item.kind(), words);
    }
}
