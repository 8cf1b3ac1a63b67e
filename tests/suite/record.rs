//! The maintenance record: read whole, item by item against the rules, and never wider than 80.
#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

use crate::services::{MORNING, Service as Walk, flat_four, later, signature, valve};
use cowlside::domain::entry::{
    Back, Begin, Entry, LeafSet, NutSaid, Recover, Remark, Rounds, Step, Tick,
};
use cowlside::domain::profile::{CamRing, Shape};
use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Input, ROUGH_LOOK, Session};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::{Answered, Beside, Talk};
use cowlside::report::record::{owner_sentence, proposal, record};
use unicode_width::UnicodeWidthStr;

const INTAKE_1: Valve = Valve { cylinder: 1, kind: Kind::Intake, number: 1 };
const EXHAUST_2: Valve = Valve { cylinder: 2, kind: Kind::Exhaust, number: 1 };
const EXHAUST_3: Valve = Valve { cylinder: 3, kind: Kind::Exhaust, number: 1 };
const EXHAUST_4: Valve = Valve { cylinder: 4, kind: Kind::Exhaust, number: 1 };

macro_rules! snapshot {
    ($name:literal, $text:expr) => {
        insta::with_settings!({
            snapshot_path => "../../snapshots",
            prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!($name, $text);
        })
    };
}

fn last_winter() -> Service {
    let mut walk = Walk::begun(flat_four(), "winter check", later(MORNING, -60), 36_260);
    walk.sign(signature());
    Service::of(&walk.session)
}

/// A service in which nothing went wrong but one closing exhaust valve.
pub(crate) fn quiet() -> Walk {
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.readings = vec![(EXHAUST_3, Step::Found, "7")];
    walk.tries = vec![(EXHAUST_3, "9 10")];
    walk.sign(signature());
    walk
}

/// A service in which nearly everything happens.
fn eventful() -> Walk {
    eventful_at("99 °F")
}

/// The same with the head at another temperature; the limit is 95 °F.
fn eventful_at(head: &'static str) -> Walk {
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.head = head;
    walk.readings = vec![
        (INTAKE_1, Step::Found, "15"),
        (INTAKE_1, Step::Recheck, "5.5"),
        (EXHAUST_2, Step::Found, "13"),
        (EXHAUST_3, Step::Found, "/3"),
        (EXHAUST_4, Step::Found, "9/10"),
    ];
    walk.tries = vec![(EXHAUST_3, "3x 9 10")];
    walk.leave = vec![(EXHAUST_2, "screw at its end, rocker ordered")];
    walk.until(|due| matches!(due, Due::Gauge(valve, _) if *valve != INTAKE_1));
    let slip = walk.session.kept.last().unwrap().seq;
    walk.now.unix_ms += 20 * 60_000;
    walk.input(Input::CorrectValue {
        of: slip,
        typed: "5.5".into(),
        why: "typing error".into(),
        sure: true,
    });
    walk.input(Input::Away("fuel truck at the hangar".into()));
    walk.now.unix_ms += 47 * 60_000;
    walk.input(Input::Back(Back { after_min: Some(47), ..Back::default() }));
    walk.input(Input::Who("C. Other".into()));
    walk.until(|due| matches!(due, Due::Gauge(valve, _) if *valve == EXHAUST_4));
    walk.input(Input::AsFoundLost { why: "set before it was read".into() });
    looks(&mut walk);
    walk.until(|due| matches!(due, Due::CountIn { item, .. } if item == "cover screw"));
    walk.input(Input::CountIn(10));
    walk.input(Input::ShortageAccounted {
        place: "sheared, both halves in the tray".into(),
        by: "C. Other".into(),
    });
    walk.until(|due| matches!(due, Due::CountIn { item, .. } if item == "plug"));
    walk.input(Input::CountIn(5));
    walk.input(Input::ShortageAccounted {
        place: "a spare from the shelf".into(),
        by: "C. Other".into(),
    });
    walk.until(|due| matches!(due, Due::RunCheck(line) if line.id == "leaks"));
    walk.input(Input::RunFault { digit: 2, text: "a drop at cover 3".into() });
    walk.input(Input::RunLeave { why: "gasket on order".into() });
    walk.finish();
    walk
}

pub(crate) fn winter() -> Earlier {
    vec![last_winter()].into()
}

fn looks(walk: &mut Walk) {
    use Tick::{Bush, Gasket, Oil, Pad, Rod, Spring};
    for cylinder in [1, 2] {
        walk.input(Input::Remark(Remark {
            cylinder: Some(cylinder),
            good: vec![Pad, Bush, Spring, Rod, Oil, Gasket],
            ..Remark::default()
        }));
    }
    walk.input(Input::Remark(Remark {
        cylinder: Some(3),
        good: vec![Pad],
        bad: vec![Gasket],
        text: "gasket hard and cracked".into(),
        before_running: true,
        ..Remark::default()
    }));
    let seq = walk.session.kept.last().unwrap().seq;
    walk.input(Input::SettleRemark { seq, text: "new gasket fitted".into() });
}

#[test]
fn a_quiet_service_reads_well() {
    snapshot!("record_quiet", record(&quiet().session, &winter()));
}

#[test]
fn an_eventful_service_reads_well() {
    let mut walk = eventful();
    walk.sign(signature());
    walk.now = later(walk.now, 3);
    let text = "Owner told by telephone".to_string();
    walk.input(Input::Remark(Remark { text, ..Remark::default() }));
    snapshot!("record_eventful", record(&walk.session, &winter()));
}

#[test]
fn an_interrupted_practice_says_so_at_the_top() {
    let mut walk = Walk::begun(flat_four(), "practice", MORNING, 41_260);
    walk.practice = true;
    walk.readings = vec![(EXHAUST_3, Step::Found, "7")];
    walk.until(|due| matches!(due, Due::Trying(_)));
    walk.input(Input::Away("called to the tower".into()));
    let text = record(&walk.session, &Earlier::default());
    let head: Vec<&str> = text.lines().take(10).collect();
    assert!(head.iter().any(|line| line.starts_with("EXAMPLE FIGURES, NOT FROM ANY MANUAL")));
    assert!(head.contains(&"NOT FINISHED AND NOT SIGNED: the service is still open."));
    assert!(text.contains("NUT SLACK: 3 exhaust"));
    assert!(text.contains("SLACK, not locked: 3 exhaust"));
    assert!(!text.contains("none besides gauging"), "{text}");
    snapshot!("record_interrupted", text);
}

#[test]
fn every_item_of_43_9_a_and_43_11_a_is_there() {
    // 14 CFR 43.9(a)(1) to (4) and 43.11(a)(1) to (4), as in check-values 10.1 and 10.2.
    let text = record(&quiet().session, &winter());
    let field = |label: &str| {
        let mut lines = text.lines().skip_while(|line| !line.starts_with(&format!("  {label}")));
        let first = lines.next().unwrap_or_else(|| panic!("no field {label}")).trim();
        let rest = lines.take_while(|line| line.starts_with("           "));
        let whole = rest.fold(first.to_string(), |whole, line| format!("{whole} {}", line.trim()));
        whole[label.len()..].trim().to_string()
    };
    // 43.9(a)(1): description of the work, and reference to the data; 43.11(a)(1): type, extent.
    assert_eq!(
        field("type and extent"),
        "Inspection of valve clearances, engine cold, all 4 cylinders: 8 of 8 valves gauged; \
         1 valve adjusted: 3 exhaust."
    );
    assert_eq!(field("document"), "Overhaul manual of the test, revision 3, page 12-4");
    // 43.9(a)(2), 43.11(a)(2): date, and the aircraft's total time in service.
    assert!(field("date of completion").starts_with("2026-03-14 "));
    assert!(field("aircraft total").starts_with("1034.2 h"));
    // 43.9(a)(3): who did the work, if not the signer.
    assert_eq!(field("work done by"), "A. Fitter");
    assert_eq!(field("signed by"), "B. Signer");
    // 43.9(a)(4), 43.11(a)(3): signature, number and kind of certificate.
    assert!(field("signature").starts_with("____"));
    assert_eq!(field("certificate number"), "0000123");
    assert_eq!(field("certificate kind"), "mechanic, powerplant");
    // 43.11(a)(4) or (5): the signer's own statement.
    assert!(text.contains("Valve clearances inspected and set as recorded above."));
}

#[test]
fn what_is_not_signed_is_left_blank_to_be_filled_in() {
    let mut walk = quiet_unsigned();
    walk.input(Input::CloseUnsigned { why: "engine goes to overhaul".into() });
    let text = record(&walk.session, &Earlier::default());
    assert!(text.contains("CLOSED WITHOUT A SIGNATURE, 2026-03-14"));
    assert!(text.contains("engine goes to overhaul."));
    for label in ["signed by", "certificate kind", "certificate number", "date of completion"] {
        let line = text.lines().find(|line| line.starts_with(&format!("  {label}"))).unwrap();
        assert!(line.ends_with("______"), "{line}");
    }
}

pub(crate) fn quiet_unsigned() -> Walk {
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.finish();
    walk
}

#[test]
fn no_line_is_wider_than_80_columns_whatever_was_typed() {
    let mut facts = flat_four();
    facts.cautions = vec!["点".repeat(200), "a\u{1b}[31m\u{202e}b".into()];
    let long = "Löng-närrative".repeat(30);
    let mut walk = Walk::begun(facts, &long, MORNING, 41_260);
    walk.set = LeafSet { name: long.clone(), ..walk.set };
    walk.input(Input::Begin(Box::new(Begin {
        engine: Some("点火順序".repeat(40)),
        serial: Some("\x1b]0;title\x07\nsecond line".into()),
        ..Begin::default()
    })));
    walk.input(Input::Who(long.clone()));
    walk.leave = vec![(EXHAUST_3, "\u{202e}because\u{7}")];
    walk.readings = vec![(EXHAUST_3, Step::Found, "0.0075 in/0.025 inches")];
    walk.finish();
    walk.input(Input::Remark(Remark { text: long.clone(), ..Remark::default() }));
    walk.sign(cowlside::domain::entry::Sign { statement: long, ..signature() });
    let text = record(&walk.session, &winter());
    for line in text.lines() {
        assert!(line.width() <= 80, "{} columns: {line}", line.width());
        assert!(!line.chars().any(cowlside::domain::plain::is_unsafe), "{line:?}");
        assert!(!line.ends_with(' '), "{line:?}");
    }
    assert!(text.contains("0.0075 in/0.025 inches"));
}

#[test]
fn the_owner_is_told_in_one_sentence() {
    assert_eq!(
        owner_sentence(&quiet().session, &winter()),
        "All 8 in limits; exhaust 3 has closed 0.003 in in 50 h and was set back; look again by \
         462.6 h or 2027-03-14, whichever comes first"
    );
    assert_eq!(
        owner_sentence(&quiet().session, &Earlier::default()),
        "All 8 in limits; exhaust 3 was tight and was set; look again by 462.6 h or 2027-03-14, \
         whichever comes first"
    );
    let begun = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    assert!(
        owner_sentence(&begun.session, &Earlier::default())
            .starts_with("0 of 8 in limits, 8 without a figure")
    );
    assert!(owner_sentence(&eventful_at("90 °F").session, &winter()).starts_with(
        "7 of 8 in limits; exhaust 2 is left loose (it has opened 0.003 in in 50 h); "
    ));
}

#[test]
fn the_owner_of_an_engine_that_stands_at_its_next_check_is_told_that_it_is_due() {
    let mut facts = flat_four();
    // So short an interval ends, by the tenths of the counter, where it stands.
    (facts.interval_hours, facts.interval_months) = (Some(0.05), None);
    let mut walk = Walk::begun(facts, "spring check", MORNING, 41_260);
    walk.sign(signature());
    let said = owner_sentence(&walk.session, &Earlier::default());
    assert!(
        said.ends_with("; look again now: the next check is due (by the profile's interval)"),
        "{said}"
    );
}

#[test]
fn the_owner_is_told_what_the_years_did() {
    let at = |number: i64, (found, left): (&'static str, &'static str)| {
        let mut walk = Walk::begun(
            flat_four(),
            &format!("check {number}"),
            later(MORNING, 60 * number),
            10_000 * number,
        );
        walk.readings = vec![(EXHAUST_3, Step::Found, found), (EXHAUST_3, Step::Recheck, left)];
        walk.tries = vec![(EXHAUST_3, "9 10")];
        walk.sign(signature());
        walk.session
    };
    let figures = [("10", "10"), ("8", "8"), ("6", "10"), ("8", "8"), ("6", "10")];
    let sessions: Vec<_> = (1..).zip(figures).map(|(number, found)| at(number, found)).collect();
    let (last, before) = sessions.split_last().unwrap();
    let earlier = Earlier::from(before.iter().map(Service::of).collect::<Vec<_>>());
    // 0.002 in each 100 h: the interval of 50 h comes before the forecast, which counts from 0.010 in.
    assert_eq!(
        owner_sentence(last, &earlier),
        "All 8 in limits; exhaust 3 has closed 0.008 in in 400 h and was set back twice; look again \
         by 550.0 h or 2028-01-08, whichever comes first"
    );
}

#[test]
fn a_radial_of_unknown_cam_ring_carries_its_caveat() {
    let mut facts = flat_four();
    facts.layout.shape = Shape::Radial;
    facts.layout.banks.truncate(1);
    facts.layout.banks[0].cylinders = vec![1, 2, 3];
    facts.layout.banks[0].side = None;
    facts.firing_order = vec![1, 3, 2];
    facts.firing_intervals = vec![240.0; 3];
    let caveat = "only for a fixed cam ring: look in the manual";
    let of =
        |facts| record(&Walk::begun(facts, "radial", MORNING, 100).session, &Earlier::default());
    assert!(of(facts.clone()).contains(caveat));
    facts.layout.cam_ring = Some(CamRing::Fixed);
    assert!(!of(facts).contains(caveat));
}

#[test]
fn what_is_rare_is_told_too() {
    let mut walk = Walk::begun(flat_four(), "rare", MORNING, 41_260);
    walk.until(|due| *due == Due::Scope);
    walk.input(Input::Begin(Box::new(Begin {
        scope: Some(vec![1, 3]),
        scope_why: Some("right bank only this time".into()),
        rounds: Some(Rounds::SurveySetRecheck),
        ..Begin::default()
    })));
    walk.until(|due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 3));
    walk.input(Input::GaugeFromPaper {
        readings: vec![(EXHAUST_3, "11".into())],
        time: "09:40".into(),
        sure: true,
    });
    walk.input(Input::Work { cylinder: 1, what: "rocker".into(), text: "worn pad".into() });
    walk.input(Input::Redate { day: "2026-03-12".into(), why: "laptop clock was wrong".into() });
    walk.keep(Entry::Recover(Recover { at: 4000, len: 17, sha: "0".repeat(32) }));
    let text = record(&walk.session, &Earlier::default());
    let in_one = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = owner_sentence(&walk.session, &Earlier::default());
    assert!(said.starts_with("Only 4 of 8 valves looked at; of them 1 of 4 in limits, "), "{said}");
    for words in [
        "cylinders 1, 3 only, because: right bank only",
        "outside the scope, not gauged: 2 intake, 2 exhaust, 4 intake, 4 exhaust",
        "11 thou typed from paper, gauged 09:40",
        "cylinder 1 rocker; worn pad",
        "2026-03-12; the clock said 2026-03-14: laptop clock was wrong.",
        "began 2026-03-12 09:00 +01:00",
        "(17 bytes set aside)",
    ] {
        assert!(in_one.contains(words), "{words}\n{text}");
    }
}

#[test]
fn a_slack_nut_is_never_told_as_locked() {
    let mut walk = Walk::begun(flat_four(), "slack", MORNING, 41_260);
    walk.readings =
        vec![(EXHAUST_3, Step::Found, "7"), (valve(1, Kind::Exhaust), Step::Found, "7")];
    let trying = |due: &Due| matches!(due, Due::Trying(valve) if *valve == EXHAUST_3);
    walk.until(trying);
    let text = record(&walk.session, &Earlier::default());
    let locked = |kept: &cowlside::domain::entry::Kept| matches!(&kept.entry, Entry::Nut(nut) if matches!(nut.said, NutSaid::Locked { .. }));
    assert!(walk.session.kept.iter().any(locked));
    assert!(text.contains("each gauged after: 1 exhaust\n"), "{text}");
    assert!(text.contains("still open   NUT SLACK: 3 exhaust"));
}

#[test]
fn a_next_check_later_than_proposed_is_asked_about_once() {
    let session = quiet_unsigned().session;
    let proposal = proposal(&session, &winter());
    let asked = |answers: &[&str]| {
        let beside = Beside { proposal: proposal.clone(), ..Beside::default() };
        let mut talk = Talk { beside: beside.into(), ..Talk::default() };
        for answer in ["", "", "", "1", ""].iter().chain(answers) {
            talk = match talk.answer(&session, answer) {
                Answered::Next(talk) => talk,
                Answered::Refused(_, words) => return Err(words),
                other => panic!("{other:?}"),
            };
        }
        Ok(talk.prompt(&session))
    };
    let later = asked(&["500"]).unwrap();
    assert_eq!(later.title, "That is later than proposed");
    assert!(later.lines[0].contains("462.6 h"), "{later:?}");
    for sure in [vec![""], vec!["450"], vec!["462.6"], vec!["500", "1"]] {
        assert_eq!(asked(&sure).unwrap().title, "Sign and close", "{sure:?}");
    }
    assert_eq!(
        asked(&["412.6"]),
        Err("the counter stands at 412.6 h: the next check comes after that".into())
    );
}

/// A service signed by a version that leaned on a reason given on a rough look: 1 intake was too wide
/// on the warm engine, left with a reason, and read so again cold, where nobody was asked any more.
fn leaned_on_a_rough_look() -> Session {
    let mut walk = Walk::begun(flat_four(), "old", MORNING, 41_260);
    walk.head = "140 °F";
    walk.readings = vec![(INTAKE_1, Step::Found, "12"), (INTAKE_1, Step::Recheck, "12")];
    walk.leave = vec![(INTAKE_1, "owner told")];
    walk.until(|due| *due == Due::OutsideTemperature);
    walk.input(Input::AgainstLimit { why: ROUGH_LOOK.into() });
    let mut cold = false;
    walk.until(|due| *due == Due::Temperature);
    walk.head = "68 °F";
    walk.sign(signature());
    let cold_seq = walk.session.state.left(INTAKE_1).unwrap().seq;
    let mut kept = walk.session.kept.clone();
    kept.retain(|kept| {
        let again = matches!(&kept.entry, Entry::Skip(_)) && kept.seq > cold_seq;
        cold |= again;
        !again
    });
    assert!(cold, "asked again on the cold engine");
    for (seq, kept) in (0..).zip(&mut kept) {
        kept.seq = seq;
    }
    Session::replay(&kept).unwrap()
}

#[test]
fn a_signed_record_shows_the_reason_that_an_earlier_version_leaned_on_as_it_was_given() {
    let session = leaned_on_a_rough_look();
    assert_eq!(session.state.sealed, Some(true));
    assert_eq!(session.state.reason_to_leave(INTAKE_1), None);
    let text = record(&session, &Earlier::default());
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let given = "given on a reading of 12 thou outside the temperature (only a rough look, nothing \
                 will be set): owner told";
    assert!(flat.contains(&format!("band 0.004 to 0.008 in; reason {given}")), "{text}");
    assert!(flat.contains(&format!("was to be left as it is, {given}")), "{text}");
    let service = Service::of(&session);
    let outcome = service.valves.iter().find(|outcome| outcome.valve == INTAKE_1).unwrap();
    assert_eq!(outcome.left_as_is.as_deref(), Some("owner told"));
}

/// 1 intake loose as found, left as it is twice; each time on what `change` made of its reading.
fn left_as_it_is(whys: [&'static str; 2]) -> Session {
    let mut walk = Walk::begun(flat_four(), "old", MORNING, 41_260);
    walk.readings = vec![(INTAKE_1, Step::Found, "9"), (INTAKE_1, Step::Recheck, "13")];
    walk.until(|due| matches!(due, Due::Set(valve, _) if *valve == INTAKE_1));
    let of = walk.session.state.found(INTAKE_1).unwrap().seq;
    let (typed, why) = ("12".into(), "misread".into());
    walk.input(Input::CorrectValue { of, typed, why, sure: true });
    walk.input(Input::LeaveAsIs { valve: INTAKE_1, why: whys[0].into() });
    walk.until(|due| matches!(due, Due::Set(valve, _) if *valve == INTAKE_1));
    walk.input(Input::LeaveAsIs { valve: INTAKE_1, why: whys[1].into() });
    walk.session
}

#[test]
fn a_reason_is_told_with_the_figure_that_stood_when_it_was_given_and_each_time_it_was() {
    for whys in [["owner told", "no parts"], ["owner told", "owner told"]] {
        let text = record(&left_as_it_is(whys), &Earlier::default());
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let first = format!("was to be left as it is, given on a reading of 12 thou: {}", whys[0]);
        assert_eq!(flat.matches(&first).count(), 1, "{text}");
        assert!(flat.contains(&format!("left as it is: {}", whys[1])), "{text}");
        assert_eq!(flat.matches("was to be left").count(), 1, "{text}");
    }
}

#[test]
fn the_owner_hears_of_the_gravest_first_and_of_every_tight_exhaust() {
    let exhaust = |cylinder| Valve { cylinder, kind: Kind::Exhaust, number: 1 };
    let intake = |cylinder| Valve { cylinder, kind: Kind::Intake, number: 1 };
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.readings = vec![
        (intake(1), Step::Found, "15"),
        (exhaust(1), Step::Found, "20"),
        (exhaust(2), Step::Found, "7"),
        (intake(3), Step::Found, "3"),
        (exhaust(3), Step::Found, "7"),
        (exhaust(4), Step::Found, "0"),
    ];
    walk.sign(signature());
    let said = owner_sentence(&walk.session, &Earlier::default());
    let told = "All 8 in limits; exhaust 4 was tight, with no clearance at all, and was set; exhaust 2 was \
                tight and was set; exhaust 3 was tight and was set; 3 more set; ";
    assert!(said.starts_with(told), "{said}");
    // However many they are, none of those is counted away.
    walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.readings = (1..=4).map(|cylinder| (exhaust(cylinder), Step::Found, "7")).collect();
    walk.sign(signature());
    let said = owner_sentence(&walk.session, &Earlier::default());
    assert_eq!(said.matches("was tight and was set").count(), 4, "{said}");
}
