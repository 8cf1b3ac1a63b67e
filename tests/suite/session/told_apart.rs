//! Figures that contradict each other: every reading stands in the record, the words that are
//! offered are true, a shim that is not what its mark says is asked about.

use super::engines::{flat_four, intake, vee_twin};
use super::harness::Service;
use cowlside::domain::entry::{Entry, Rounds};
use cowlside::domain::profile::{Adjuster, Facts, Source};
use cowlside::domain::session::{Due, Input, Session};
use cowlside::domain::trend::Earlier;
use cowlside::domain::units::Length;
use cowlside::guide::{Answered, Prompt, Talk};
use cowlside::report::record::record;

/// Answers what is due; returns the entries, or the question left open.
fn asked(session: &Session, answers: &[&str]) -> Result<Vec<Entry>, Box<Prompt>> {
    let mut answered = Answered::Next(Talk::default());
    for answer in answers {
        let Answered::Next(talk) = answered else { panic!("{answer} too many: {answered:?}") };
        answered = talk.answer(session, answer);
    }
    match answered {
        Answered::Keep(entries) => Ok(entries),
        Answered::Next(talk) => Err(Box::new(talk.prompt(session))),
        other => panic!("{other:?}"),
    }
}

/// A recheck in which 12 is not believed after 6.
fn scattered(again: &[&str]) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").on_to_round(1).on_to_gauge(intake(1));
    for typed in ["12"].iter().chain(again) {
        service.gauge(typed);
    }
    assert!(matches!(service.due(), Due::Doubted { .. }), "{:?}", service.due());
    service
}

#[test]
fn every_reading_that_was_kept_stands_in_the_record() {
    let service = scattered(&["16", "0"]);
    let record = record(&service.session, &Earlier::default());
    let words: String = record.split_whitespace().collect::<Vec<_>>().join(" ");
    let also = "also: gauged once more 12 thou, gauged once more 16 thou";
    assert!(words.replace('\u{a0}', " ").contains(also), "{record}");
}

#[test]
fn two_readings_that_differ_are_not_said_to_be_the_same() {
    for (second, offered) in [("12", "it is so, gauged twice"), ("0", "it is so: it moved")] {
        let service = scattered(&[second]);
        let ask = asked(&service.session, &[]).unwrap_err();
        let so = ask.field.choices.iter().find(|one| one.digit == 4).unwrap();
        assert!(so.label.starts_with(offered), "{second}: {}", so.label);
        let kept = asked(&service.session, &["4"]).unwrap();
        let Entry::Remark(remark) = &kept[0] else { panic!("{kept:?}") };
        assert!(remark.text.ends_with(&so.label), "{}", remark.text);
    }
}

/// A vee twin whose shim of 1 intake has come out, its size not told yet.
fn taking_out(facts: Facts) -> Service {
    let mut service = Service::cams_out(facts, "left", (intake(1), "30"));
    assert_eq!(service.due(), Due::TakeOut(intake(1)));
    let (marked, measured) = (String::new(), String::new());
    let part = cowlside::domain::entry::PartKind::Shim;
    service.tell(Input::PartOut { valve: intake(1), part, marked, measured });
    service
}

#[test]
fn a_shim_that_is_not_what_its_mark_says_is_asked_about_once_thicker_or_thinner() {
    // The sizes go up by 0.05 mm: half a step is 0.025 mm.
    let mut service = taking_out(vee_twin());
    for (measured, asks) in
        [("2.90", true), ("2.70", true), ("2.78", false), ("2.82", false), ("2.83", true)]
    {
        let told = asked(&service.session, &["2.80", measured]);
        assert_eq!(told.is_err(), asks, "{measured}");
        let Err(ask) = told else { continue };
        let words = format!("Marked 2.80, measured {measured}: is that right?");
        assert_eq!((ask.ask.as_str(), ask.big.unwrap().text.as_str()), (words.as_str(), measured));
        let sure = asked(&service.session, &["2.80", measured, "1"]).unwrap();
        assert!(matches!(sure[..], [Entry::Part(_)]), "{sure:?}");
        // Not right: asked for from the start, and nothing kept.
        assert!(asked(&service.session, &["2.80", measured, "2"]).is_err());
    }
    // What is put in as the list has it is measured too.
    let out = asked(&service.session, &["2.60", ""]).unwrap();
    let Entry::Part(_) = &out[0] else { panic!("{out:?}") };
    let (marked, measured) = ("2.60".to_string(), String::new());
    let part = cowlside::domain::entry::PartKind::Shim;
    service.tell(Input::PartOut { valve: intake(1), part, marked, measured });
    let ask = asked(&service.session, &[]).unwrap_err();
    assert_eq!(ask.field.choices[0].label, "2.70 mm went in");
    let ask = asked(&service.session, &["1", "2.50"]).unwrap_err();
    assert_eq!(ask.ask, "Marked 2.70, measured 2.50: is that right?");
    // 2.60 + 0.30 - 2.50: where another is listed that leads inside, that is asked about too.
    let ask = asked(&service.session, &["1", "2.50", "1"]).unwrap_err();
    assert_eq!(ask.ask, "2.50 leads to 0.40 mm: did it go in?");
    assert!(asked(&service.session, &["1", "2.50", "1", "1"]).is_ok());
    assert!(asked(&service.session, &["1", "2.70"]).is_ok());
}

#[test]
fn where_the_profile_has_no_step_between_sizes_mark_and_micrometer_may_be_two_hundredths_apart() {
    // None listed, one, and the same one twice.
    for sizes in [vec![], vec![2_800], vec![2_800, 2_800]] {
        let sizes: Vec<Length> = sizes.into_iter().map(Length::from_um).collect();
        let service = taking_out(Facts { adjuster: Adjuster::Shim { sizes }, ..vee_twin() });
        for (measured, asks) in
            [("2.80", false), ("2.82", false), ("2.78", false), ("2.821", true), ("2.779", true)]
        {
            let told = asked(&service.session, &["2.80", measured]);
            assert_eq!(told.is_err(), asks, "{measured}");
        }
    }
}

/// A service by a manual, with these figures on its page where they are not the profile's.
fn by_the_page(facts: Facts, page: Option<[&str; 6]>) -> String {
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| !matches!(due, Due::SourceName(_)));
    let source = Source { document: "Overhaul manual".into(), ..Source::default() };
    service.tell(Input::NameSource { source, practice: false });
    if let Some(figures) = page {
        service.page(figures).tell(Input::PageRules { why: "newer issue".into() });
    }
    service.prepare(Rounds::SetThenRecheck, None);
    let record = record(&service.session, &Earlier::default());
    record.split_whitespace().collect::<Vec<_>>().join(" ").replace('\u{a0}', " ")
}

#[test]
fn set_limits_that_the_program_worked_out_do_not_pass_as_the_profiles() {
    let mut facts = flat_four();
    let (by_profile, worked_out) = (
        "(by the profile, not the manual)",
        "worked out by the program from the profile's set limits and the target as it is now",
    );
    let set = "exhaust once touched 0.012 to 0.014 in";
    // The target is another: 0.011 to 0.013 goes along with it.
    for example in [true, false] {
        let document = if example { "Example figures, not from any manual" } else { "Handbook" };
        facts.source.document = document.into();
        let words = by_the_page(facts.clone(), Some(["6", "5", "7", "13", "10", "14"]));
        assert_eq!(words.contains(&format!("({worked_out}) {set}")), example, "{words}");
        assert_eq!(words.contains(by_profile), example, "{words}");
        let figures = format!("; once touched, 0.012 to 0.014 in ({worked_out})");
        assert!(words.contains(&figures), "{words}");
    }
    // Other limits, the same target: what the profile has stands.
    facts.source.document = "Example figures, not from any manual".into();
    let words = by_the_page(facts, Some(["6", "5", "7", "12", "10", "15"]));
    assert!(words.contains("exhaust once touched 0.011 to 0.013 in"), "{words}");
    assert!(!words.contains("worked out by the program"), "{words}");
}

#[test]
fn figures_of_an_example_profile_do_not_pass_as_the_manuals() {
    let mut facts = flat_four();
    let told = |facts| by_the_page(facts, None);
    let mark = "(by the profile, not the manual)";
    facts.source.document = "Example figures, not from any manual".into();
    let words = told(facts.clone());
    for figure in ["exhaust once touched", "lock nut", "not warmer than 35 °C"] {
        let (_, after) = words.split_once(mark).unwrap_or_else(|| panic!("{words}"));
        let (section, _) = after.split_once(" Gauged ").unwrap();
        assert!(section.contains(figure), "{figure}: {section}");
    }
    facts.source.document = "Overhaul manual".into();
    assert!(!told(facts).contains(mark));
}
