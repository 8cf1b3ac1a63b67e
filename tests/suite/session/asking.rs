//! What the guide asks of readings: leaf by leaf, second readings without a word of what was
//! expected, the learnt aim, own leaves, the time at which a warm engine is cool.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, profile_text};
use cowlside::domain::entry::{Condition, Entry, Head, Kept, LeafSet, Moment, Rounds, Tolerance};
use cowlside::domain::learning;
use cowlside::domain::session::{Due, Input, Session};
use cowlside::domain::units::{Length, LengthUnit, Temperature};
use cowlside::guide::{Answered, Beside, Command, Prompt, Talk, status};

fn at_exhaust() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("6");
    assert!(matches!(service.due(), Due::Gauge(valve, _) if valve == exhaust(1)));
    service
}

/// Calls for a command and answers its questions; returns the entries, or the question left open.
fn command(
    session: &Session,
    command: Command,
    answers: &[&str],
) -> Result<Vec<Entry>, Box<Prompt>> {
    talk(session, Talk::call(session, command, Beside::default().into()), answers)
}

fn due(session: &Session, beside: &Beside, answers: &[&str]) -> Result<Vec<Entry>, Box<Prompt>> {
    let talked = Talk { beside: beside.clone().into(), ..Talk::default() };
    talk(session, Answered::Next(talked), answers)
}

fn talk(session: &Session, first: Answered, answers: &[&str]) -> Result<Vec<Entry>, Box<Prompt>> {
    let mut answered = first;
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

fn text(prompt: &Prompt) -> String {
    let big =
        prompt.big.as_ref().map_or(String::new(), |big| format!("{} {}", big.text, big.caption));
    let choices: Vec<&str> = prompt.field.choices.iter().map(|one| one.label.as_str()).collect();
    let lines = prompt.lines.join("\n");
    format!("{}\n{big}\n{lines}\n{}\n{}", prompt.title, prompt.ask, choices.join("\n"))
}

#[test]
fn leaf_by_leaf_starts_at_the_target_and_keeps_an_ordinary_reading() {
    let service = at_exhaust();
    let session = &service.session;
    let first = command(session, Command::ByLeaf, &[]).unwrap_err();
    assert_eq!(first.big.unwrap().text, "12");
    let second = command(session, Command::ByLeaf, &["1"]).unwrap_err();
    assert_eq!(second.lines[0], "So far: 12/");
    let typed = |answers: &[&str]| match command(session, Command::ByLeaf, answers) {
        Ok(entries) => match &entries[..] {
            [Entry::Reading(reading)] => (reading.typed.clone(), reading.odd.clone()),
            other => panic!("{other:?}"),
        },
        Err(prompt) => panic!("{}", text(&prompt)),
    };
    assert_eq!(typed(&["2"]), ("12".into(), None));
    // Eleven leaves are left below 12 and halving has four tries left for them: 8, not 11.
    assert_eq!(typed(&["3", "1", "1"]), ("11/12".into(), None));
    // The last answer was wrong: back, and it goes after all.
    assert_eq!(typed(&["3", "4", "2"]), ("12".into(), None));
    assert_eq!(typed(&["1", "5"]), ("12/".into(), None));
    let refused = Talk::call(session, Command::ByLeaf, Beside::default().into());
    let Answered::Next(talk) = refused else { panic!() };
    assert!(matches!(talk.answer(session, "7"), Answered::Refused(..)));
}

#[test]
fn a_valve_that_is_set_is_gauged_leaf_by_leaf_as_a_try() {
    let mut service = at_exhaust();
    service.gauge("16").tell(Input::OpenSet(exhaust(1)));
    let entries = command(&service.session, Command::ByLeaf, &["2"]).unwrap();
    assert!(matches!(&entries[..], [Entry::Reading(reading)] if reading.typed == "12"));
}

#[test]
fn a_second_reading_is_asked_for_without_a_word_of_what_was_expected() {
    let mut service = at_exhaust();
    let entries =
        service.session.decide(&Input::Gauge { typed: "120".into(), sure: true }).unwrap();
    service.tell(Input::Gauge { typed: "120".into(), sure: true });
    let said = status::kept_words(&service.session, &entries, &|_| {
        Some(("12".into(), Length::from_tenths_thou(120)))
    });
    assert_eq!(said, "saved: 1 exhaust 120");
    let again = due(&service.session, &Beside::default(), &[]).unwrap_err();
    let shown = text(&again);
    assert_eq!(again.title, "A second reading of 1 exhaust");
    // Neither the target 12, nor its limits 10 and 14, nor why.
    for word in ["12", "10", "14", "ten times", "point", "target", "limit", "LOOSE"] {
        assert!(!shown.contains(word), "{word} in {shown}");
    }
    service.gauge("12");
    let both = text(&due(&service.session, &Beside::default(), &[]).unwrap_err());
    assert!(both.contains("1 exhaust: first 120, then 12"), "{both}");
    assert!(both.contains("target 0.012 in"), "{both}");
    let kept = due(&service.session, &Beside::default(), &["1"]).unwrap();
    assert!(matches!(&kept[..], [Entry::Remark(_)]), "one key: {kept:?}");
}

/// Tries that locked a thousandth above what they were set to.
fn taught(tries: usize) -> Service {
    let mut service = at_exhaust();
    service.gauge("16");
    for _ in 0..tries {
        service.tell(Input::OpenSet(exhaust(1)));
        service.tell(Input::Tried { typed: "12 > 13".into(), sure: true }).tell(Input::NutLocked);
        service.calmly_while(|_, due| matches!(due, Due::Threads(..)));
    }
    service
}

#[test]
fn three_tries_with_their_aim_teach_the_lock_nut_and_nothing_is_applied() {
    let mut service = taught(2);
    service.tell(Input::OpenSet(exhaust(1)));
    let shown = text(&due(&service.session, &Beside::default(), &[]).unwrap_err());
    assert!(!shown.contains("Locking the nut"), "two may agree by chance: {shown}");
    // The same, with one more from an earlier service of this engine.
    let beside = Beside { tries: learning::tries(&taught(1).session), ..Beside::default() };
    let shown = text(&due(&service.session, &beside, &[]).unwrap_err());
    assert!(
        shown.contains("Locking the nut opens 0.001 in (0.025 mm) on this engine: 0.001 to 0.001 in over 3 tries."),
        "{shown}"
    );
    assert!(shown.contains("It is steady: aim at 0.011 in; gauge it locked."), "{shown}");
    assert!(shown.contains("target 0.012 in"), "the target is what it was: {shown}");
    let taken = service.session.state.readings.iter().filter(|taken| taken.reading.aimed.is_some());
    assert_eq!(taken.count(), 2);
    let refused = service.refused(Input::Tried { typed: "12/>13".into(), sure: true });
    assert!(refused.words().contains("5.5>6"), "{}", refused.words());
}

#[test]
fn a_number_pad_tells_an_aim_by_two_questions() {
    let mut service = at_exhaust();
    service.gauge("16").tell(Input::OpenSet(exhaust(1)));
    let entries = command(&service.session, Command::Aimed, &["12", "13"]).unwrap();
    let [Entry::Reading(reading)] = &entries[..] else { panic!("{entries:?}") };
    assert_eq!(reading.aimed, Some(Length::from_tenths_thou(120)));
    assert_eq!(reading.typed, "13");
}

#[test]
fn own_leaves_come_first_and_what_they_cannot_prove_is_said_in_prepare() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Leaves);
    let own = LeafSet {
        tolerance: Some(Tolerance {
            plus_minus: Length::from_nm(8_890),
            source: "a gauge maker".into(),
        }),
        ..LeafSet::new(
            "my box",
            LengthUnit::Inch,
            [4, 8, 12, 16].map(|n| Length::from_tenths_thou(n * 10)).to_vec(),
        )
    };
    let owned = vec![
        ("First".into(), own.clone()),
        ("Other".into(), LeafSet::new("b", LengthUnit::Inch, own.leaves.clone())),
    ];
    let beside = Beside { owned, ..Beside::default() };
    let ask = due(&service.session, &beside, &[]).unwrap_err();
    assert_eq!(ask.field.choices[0].label, "my box, 0.004 to 0.016 in, ±0.00035 in");
    assert!(!text(&ask).contains("\nb,"), "another's leaves are not offered");
    assert_eq!(due(&service.session, &beside, &["1"]).unwrap(), [Entry::Leaves(own.clone())]);
    // Typed anew: leaves, name, tolerance, who says so.
    let typed = due(
        &service.session,
        &beside,
        &["7", "4-16 by 4", "my box", "±0.00035 in", "a gauge maker"],
    );
    assert_eq!(typed.unwrap(), [Entry::Leaves(own.clone())]);
    // A bare number in millimetres is hundredths: what was understood is said before it is kept.
    let understood =
        |typed: &str| text(&due(&service.session, &beside, &["8", typed]).unwrap_err());
    let said = understood("5 6 7");
    assert!(said.contains("TAKEN FOR 3 leaves: 0.05, 0.06, 0.07 mm."), "{said}");
    let said = understood("0.05-1.00");
    assert!(said.contains("TAKEN FOR 20 leaves: 0.05, 0.10, ... 1.00 mm."), "{said}");
    let talked = Talk { beside: beside.clone().into(), ..Talk::default() };
    let Answered::Next(typing) = talked.answer(&service.session, "8") else { panic!() };
    let Answered::Refused(_, words) = typing.answer(&service.session, "5 mm 6 mm") else {
        panic!()
    };
    assert!(words.starts_with("6.00 mm is no feeler leaf, 0.01 to 5.00 mm"), "{words}");
    let plain = due(&service.session, &beside, &["8", "0.05-0.50 by 0.05", "", ""]).unwrap();
    assert!(matches!(&plain[..], [Entry::Leaves(LeafSet { tolerance: None, .. })]));
    service.tell(Input::Leaves(own));
    let scope = text(&due(&service.session, &beside, &[]).unwrap_err());
    assert!(
        scope.contains("Intake 0.005 to 0.007 in: a pair proves nothing. One leaf of 0.005 in would help most; with 0.007 too both limits are proved."),
        "{scope}"
    );
}

#[test]
fn on_request_every_reading_is_judged_with_its_uncertainty_but_the_valve_that_is_due() {
    let service = at_exhaust();
    let shown = cowlside::guide::surely::lines(&service.session);
    assert_eq!(
        shown[0],
        "1 intake 6: pass. 0.006 ± 0.0006 in lies wholly inside 0.005 to 0.007 in."
    );
    assert!(!shown.join(" ").contains("1 exhaust"), "{shown:?}");
    let mut service = service;
    service.gauge("12").on_to_round(1).on_to_gauge(intake(1));
    let shown = cowlside::guide::surely::lines(&service.session);
    assert!(shown.contains(&"1 intake: due".to_string()), "{shown:?}");
    let left = command(&service.session, Command::Surely, &[]).unwrap_err();
    assert_eq!(left.title, "How sure are the readings?");
}

/// A session of a cold engine with these heads kept at these minutes after ten.
fn cooling(heads: &[(i64, i32)], air: Option<i32>) -> Session {
    let mut facts = flat_four();
    facts.gauge_when.no_warmer_than = Some(Temperature(35_000));
    let head =
        Head { session: "a".repeat(26), program: "test".into(), profile: profile_text(facts) };
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Temperature);
    let mut kept: Vec<Kept> = service.session.kept.clone();
    kept[0].entry = Entry::Head(head);
    for &(minute, degrees) in heads {
        let at = Moment { unix_ms: 36_000_000 + minute * 60_000, offset_min: 0 };
        let entry = Entry::Condition(Condition {
            head: Some(Temperature(degrees * 1000)),
            typed: format!("{degrees} °C"),
            air: air.map(|air| Temperature(air * 1000)),
            against_limit: None,
        });
        kept.push(Kept { seq: kept.len() as u64, at, entry });
    }
    Session::replay(&kept).unwrap()
}

#[test]
fn two_temperatures_and_the_airs_tell_when_it_is_cool_enough_as_an_estimate() {
    let shown = |heads: &[(i64, i32)], air| {
        let session = cooling(heads, air);
        assert_eq!(session.state.due(), Due::OutsideTemperature);
        text(&due(&session, &Beside::default(), &[]).unwrap_err())
    };
    // check-values 8.5: 90, an hour later 60, air 20 °C: 165 minutes in all, from ten o'clock.
    let told = shown(&[(0, 90), (60, 60)], Some(20));
    assert!(told.contains("Estimate: 35 °C (95 °F) at about 12:46. Measure again"), "{told}");
    // 25 °C over the limit are worth 0.03 mm by check-values 8.2.
    assert!(
        told.contains("So much warmth can be worth 0.0012 in (0.03 mm) of clearance."),
        "{told}"
    );
    assert!(shown(&[(0, 90)], Some(20)).contains("then a time can be told"));
    assert!(shown(&[(0, 90), (60, 60)], None).contains("then a time can be told"));
    assert!(shown(&[(0, 90), (60, 91)], Some(20)).contains("did not get cooler"));
    assert!(shown(&[(0, 90), (60, 60)], Some(36)).contains("the air is not cooler"));
}

#[test]
fn a_warm_head_asks_for_the_air_and_an_unlikely_one_is_asked_about() {
    let session = cooling(&[(0, 90)], Some(20));
    let beside = Beside::default();
    let ask = due(&session, &beside, &["1", "60"]).unwrap_err();
    assert_eq!(ask.title, "Too warm");
    assert_eq!(ask.field.enter.as_deref(), Some("as before, 20 °C (68 °F)"));
    let kept = |answers: &[&str]| match &due(&session, &beside, answers).unwrap()[..] {
        [Entry::Condition(condition)] => {
            (condition.head.unwrap().0, condition.air.map(|air| air.0))
        }
        other => panic!("{other:?}"),
    };
    assert_eq!(kept(&["1", "60", ""]), (60_000, Some(20_000)));
    assert_eq!(kept(&["1", "60", "18"]), (60_000, Some(18_000)));
    assert_eq!(kept(&["1", "30"]), (30_000, None));
    // A digit too many; air that is warmer than what cools in it.
    for (typed, title) in [("218", "Air at 218 °C (424.4 °F)?"), ("61", "Air at 61 °C (141.8 °F)?")]
    {
        assert_eq!(due(&session, &beside, &["1", "60", typed]).unwrap_err().title, title);
    }
    assert_eq!(kept(&["1", "60", "61", "1"]), (60_000, Some(61_000)));
    let sure = due(&session, &beside, &["1", "500"]).unwrap_err();
    assert_eq!(sure.title, "A head at 500 °C (932 °F)?");
    assert_eq!(due(&session, &beside, &["1", "500", "1"]).unwrap_err().title, "Too warm");
}

#[test]
fn counts_and_commas_that_are_far_off_are_asked_about() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    let beside = Beside::default();
    let Due::CountOut(_, items) = service.due() else { panic!() };
    let listed: Vec<String> = items.iter().map(|(_, count)| count.to_string()).collect();
    assert!(due(&service.session, &beside, &[&listed.join("/")]).is_ok());
    let mut far = listed.clone();
    far[0] = "800".into();
    let ask = due(&service.session, &beside, &[&far.join("/")]).unwrap_err();
    assert!(ask.title.starts_with("800 × "), "{}", ask.title);
    assert!(due(&service.session, &beside, &[&far.join("/"), "1"]).is_ok());
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::PageFigure(..)));
    let refused = service.refused(Input::PageFigure("0,15".into()));
    assert!(refused.words().contains("a comma is usual for millimetres"), "{}", refused.words());
    assert!(service.session.decide(&Input::PageFigure("0,15 mm".into())).is_ok());
    assert!(service.session.decide(&Input::PageFigure("0.006".into())).is_ok());
}

#[test]
fn no_example_of_a_figure_is_one_of_the_engines_own() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::PageFigure(..)));
    let shown = text(&due(&service.session, &Beside::default(), &[]).unwrap_err());
    assert!(!shown.contains('6') && !shown.contains("12"), "{shown}");
    let gauge = text(&due(&at_exhaust().session, &Beside::default(), &[]).unwrap_err());
    for figure in [" 5", " 6", " 7", "10", "11", "12", "13", "14"] {
        assert!(!gauge.contains(figure), "{figure} in {gauge}");
    }
}
