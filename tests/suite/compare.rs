//! Two services side by side: what moved, what the readings allow, and what limits the comparison.
#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

use crate::services::{MORNING, Service as Walk, flat_four, later, signature, valve};
use cowlside::domain::compare::{Movement, Way, compare};
use cowlside::domain::doubt::Doubt;
use cowlside::domain::entry::{Entry, LeafSet, Moment, Step};
use cowlside::domain::leaves;
use cowlside::domain::likely::Likely;
use cowlside::domain::reading::parse;
use cowlside::domain::service::{
    Ending, Gauged, GaugedAt, IMPORTED, NoPair, Service, choose, find, on_day,
};
use cowlside::domain::session::{Due, Input};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::domain::verdict::Verdict;
use cowlside::report::compare_sheet::{compare_json, compare_rows, compare_text, movement_words};
use cowlside::report::dates;
use cowlside::report::orders::of_comparison;
use proptest::prelude::*;
use serde_json::json;

const INTAKE_1: Valve = Valve { cylinder: 1, kind: Kind::Intake, number: 1 };
const EXHAUST_1: Valve = Valve { cylinder: 1, kind: Kind::Exhaust, number: 1 };
const EXHAUST_3: Valve = Valve { cylinder: 3, kind: Kind::Exhaust, number: 1 };

/// A finished service at 362.6 h, all on target.
fn older() -> Walk {
    let mut walk = Walk::begun(flat_four(), "winter check", MORNING, 36_260);
    walk.sign(signature());
    walk
}

/// One at 412.6 h: exhaust 3 has closed by two leaves, intake 1 by half a leaf.
fn newer() -> Walk {
    let mut walk = Walk::begun(flat_four(), "spring check", later(MORNING, 60), 41_260);
    walk.readings = vec![
        (EXHAUST_3, Step::Found, "8"),
        (INTAKE_1, Step::Found, "5/6"),
        (valve(2, Kind::Exhaust), Step::Found, "11"),
        (valve(4, Kind::Exhaust), Step::Found, "0"),
    ];
    walk
}

fn pair(older: &Walk, newer: &Walk) -> (Service, Service) {
    (Service::of(&older.session), Service::of(&newer.session))
}

fn of(valves: &[Movement], valve: Valve) -> &Movement {
    valves.iter().find(|movement| movement.valve == valve).unwrap()
}

#[test]
fn a_comparison_has_exactly_the_shape_of_the_contract() {
    let mut walk = newer();
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    let document = compare_json(&compare(&older, &newer));
    let keys = |value: &serde_json::Value| {
        let mut keys: Vec<String> = value.as_object().unwrap().keys().cloned().collect();
        keys.sort();
        keys
    };
    assert_eq!(keys(&document), ["conditions", "engine", "newer", "older", "unit", "valves"]);
    assert_eq!(
        document["older"],
        json!({ "session": "winter check", "date": "2026-03-14T09:00:00+01:00", "hours": 362.6 })
    );
    assert_eq!((&document["engine"], &document["unit"]), (&json!("Trainer two"), &json!("in")));
    let valves = document["valves"].as_array().unwrap();
    assert_eq!(valves.len(), 8);
    // The readings are 10 ± 0.5 and 8 ± 0.5 thou: two thou closed, one to three allowed.
    assert_eq!(
        valves[5],
        json!({ "cylinder": 3, "valve": "exhaust", "number": 1, "was_left": 0.010, "found": 0.008,
                "moved": -0.002, "moved_low": -0.003, "moved_high": -0.001, "left": 0.008,
                "verdict_found": "in limits", "verdict_left": "in limits" })
    );
    // Nothing goes: open downwards, so no amount, and at least 9.5 thou closed.
    assert_eq!(
        valves[7],
        json!({ "cylinder": 4, "valve": "exhaust", "number": 1, "was_left": 0.010, "found": null,
                "moved": null, "moved_low": null, "moved_high": -0.0095, "left": 0.010,
                "verdict_found": "tight", "verdict_left": "in limits" })
    );
}

#[test]
fn numbers_in_json_keep_every_nanometre() {
    let mut facts = flat_four();
    facts.unit = LengthUnit::Mm;
    let mut walk = Walk::begun(facts, "spring check", later(MORNING, 60), 41_260);
    walk.readings = vec![(EXHAUST_3, Step::Found, "8")];
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    let document = compare_json(&compare(&older, &newer));
    assert_eq!(document["unit"], "mm");
    // 0.010 in is 0.254 mm, 0.008 in is 0.2032 mm, exact.
    assert_eq!(document["valves"][5]["moved"], json!(-0.0508));
    assert_eq!(document["valves"][5]["moved_low"], json!(-0.0762));
}

#[test]
fn a_comparison_reads_well_in_print() {
    let mut walk = newer();
    walk.head = "84 °F";
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    insta::with_settings!({snapshot_path => "../../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("compare_flat_four", compare_text(&compare(&older, &newer), 80));
        insta::assert_snapshot!("compare_narrow", compare_text(&compare(&older, &newer), 48));
    });
}

#[test]
fn what_spans_no_movement_is_not_told_apart() {
    let (older, newer) = pair(&older(), &{
        let mut walk = newer();
        walk.sign(signature());
        walk
    });
    let valves = compare(&older, &newer).valves;
    let cases = [
        (INTAKE_1, Way::NotToldApart, "not told apart"),
        (valve(2, Kind::Exhaust), Way::NotToldApart, "not told apart"),
        (EXHAUST_3, Way::Closed, "closed 2.0 thou"),
        (valve(4, Kind::Exhaust), Way::Closed, "closed >9.5 thou"),
    ];
    for (valve, way, words) in cases {
        let movement = of(&valves, valve);
        assert_eq!(movement.way(), way, "{valve}");
        assert_eq!(movement_words(movement, LengthUnit::Inch), words, "{valve}");
        assert_eq!(movement.told_apart(), way == Way::Closed, "{valve}");
    }
}

#[test]
fn what_was_gauged_warm_is_marked_and_set_against_nothing() {
    let mut walk = Walk::begun(flat_four(), "ferry check", later(MORNING, 60), 41_260);
    walk.head = "99 °F";
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    assert_eq!((older.gauged_at(), newer.gauged_at()), (GaugedAt::Cold, GaugedAt::Warm));
    assert!(walk.session.state.readings.iter().all(|taken| taken.warm.is_some()));
    for comparison in [compare(&older, &newer), compare(&newer, &older), compare(&newer, &newer)] {
        assert!(
            comparison.valves.iter().all(|one| one.moved.is_none() && one.way() == Way::NotKnown)
        );
    }
    // Neither does it teach what is likely: the service before it does.
    let facts = flat_four();
    let likely = Likely::of(&[older.clone(), newer.clone()], &facts);
    assert_eq!(likely, Likely::of(&[older], &facts));
    assert_eq!(Likely::of(&[newer], &facts), Likely::default());
}

#[test]
fn an_as_found_far_from_what_was_left_is_doubted_only_at_first() {
    let earlier = Service::of(&older().session);
    let likely = Likely::of(&[earlier], &flat_four());
    let mut walk = Walk::begun(flat_four(), "spring check", later(MORNING, 60), 41_260);
    walk.until(|due| matches!(due, Due::Gauge(valve, Step::Found) if *valve == EXHAUST_1));
    let doubted = |typed: &str| {
        let input = Input::Gauge { typed: typed.into(), sure: true };
        let entries = likely.doubt(&walk.session, walk.session.decide(&input).unwrap());
        let Entry::Reading(reading) = &entries[0] else { panic!() };
        Doubt::of(reading.odd.as_deref())
    };
    // Left at 0.010 in, limits 0.008 to 0.012: only one earlier service is known.
    assert_eq!(doubted("10"), None);
    assert_eq!(doubted("15"), None);
    assert_eq!(doubted("16"), Some(Doubt::MovedFar));
    assert_eq!(doubted("0"), Some(Doubt::MovedFar));
    assert_eq!(likely.left(EXHAUST_1), Some("10"));
}

#[test]
fn hot_and_cold_are_never_mixed() {
    let mut hot = flat_four();
    hot.gauge_when.hot = true;
    hot.gauge_when.no_warmer_than = None;
    (hot.intake.hot, hot.exhaust.hot) = (hot.intake.cold, hot.exhaust.cold);
    let mut walk = Walk::begun(hot, "hot check", later(MORNING, 60), 41_260);
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    let comparison = compare(&older, &newer);
    assert!(comparison.valves.iter().all(|movement| {
        movement.found.is_some()
            && (movement.moved, movement.moved_low, movement.moved_high) == (None, None, None)
    }));
    assert!(comparison.conditions.iter().any(|words| {
        words == "gauged cold, then hot: hot and cold are never mixed, so no movement is given"
    }));
}

#[test]
fn what_changed_between_them_is_told() {
    let mut walk = newer();
    walk.head = "84 °F";
    walk.set = LeafSet { name: "shop set".into(), ..walk.set };
    walk.input(Input::Who("C. Other".into()));
    walk.finish();
    walk.input(Input::Work { cylinder: 2, what: "valve and seat".into(), text: String::new() });
    let (older, newer) = pair(&older(), &walk);
    let conditions = compare(&older, &newer).conditions;
    let expected = [
        "the newer service is not finished",
        "another leaf set: \"inch, 0.0015 to 0.025\", then \"shop set\"",
        "head temperature 20 °C (68 °F), then 28.9 °C (84 °F)",
        "worked on by A. Fitter, then by C. Other",
        "cylinder 2: valve and seat in the newer service, where a new series begins",
    ];
    assert_eq!(conditions, expected);
}

#[test]
fn an_imported_session_counts_and_is_said_to_be_imported() {
    let mut walk = newer();
    walk.finish();
    walk.input(Input::CloseUnsigned { why: IMPORTED.into() });
    let (older, newer) = pair(&older(), &walk);
    assert_eq!(newer.ending, Ending::Imported);
    let comparison = compare(&older, &newer);
    assert_eq!(comparison.conditions, ["the newer service was imported from a table"]);
    assert!(of(&comparison.valves, EXHAUST_3).told_apart());
}

#[test]
fn a_corrected_day_is_the_day_of_the_service() {
    let mut walk = newer();
    walk.input(Input::Redate { day: "2026-02-01".into(), why: "clock".into() });
    assert_eq!(Service::of(&walk.session).began, Some(later(MORNING, -41)));
}

#[test]
fn nothing_is_told_where_nothing_changed() {
    let mut walk = Walk::begun(flat_four(), "spring check", later(MORNING, 60), 41_260);
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    assert_eq!(compare(&older, &newer).conditions, Vec::<String>::new());
}

#[test]
fn the_last_two_with_readings_are_chosen_and_an_unfinished_one_counts() {
    let first = older();
    let mut second = newer();
    second.sign(signature());
    let mut open = Walk::begun(flat_four(), "summer check", later(MORNING, 90), 45_000);
    let empty = Service::of(&open.session);
    open.until(|due| matches!(due, cowlside::domain::session::Due::Gauge(_, _)));
    let input = Input::Gauge { typed: "6".into(), sure: true };
    open.input(input);
    let [first, second, open] = [first, second, open].map(|walk| Service::of(&walk.session));
    let names = |older, newer, services: &[Service]| {
        choose(services, older, newer)
            .map(|(older, newer)| (older.name.clone(), newer.name.clone()))
    };
    let pair = |older: &str, newer: &str| Ok((older.to_string(), newer.to_string()));
    let all = [open.clone(), first.clone(), second.clone()];
    assert_eq!(names(None, None, &all), pair("spring check", "summer check"));
    assert_eq!(names(None, Some("spring check"), &all), pair("winter check", "spring check"));
    assert_eq!(names(Some("winter check"), None, &all), pair("winter check", "summer check"));
    // Named the wrong way round, they are still set in order.
    assert_eq!(names(Some("summer"), Some("wint"), &all), pair("winter check", "summer check"));
    let with_empty = [first.clone(), second.clone(), empty.clone()];
    assert_eq!(names(None, None, &with_empty), pair("winter check", "spring check"));
    let refused = |named: Option<&str>, services: &[Service]| {
        choose(services, None, named).unwrap_err().to_string()
    };
    assert_eq!(
        refused(None, std::slice::from_ref(&first)),
        "there is nothing to compare `winter check` with yet"
    );
    assert_eq!(refused(None, &[]), "no session of this engine has a reading");
    assert_eq!(refused(Some("summer check"), &with_empty), "session `summer check` has no reading");
    assert_eq!(
        names(Some("wint"), Some("winter check"), &all),
        Err(NoPair::Same("winter check".into()))
    );
}

#[test]
fn a_session_is_found_by_name_id_or_a_beginning_of_four() {
    let services = [older(), newer()].map(|walk| Service::of(&walk.session));
    let found = |named: &str| find(&services, named).map(|service| service.name.as_str());
    for named in ["winter check", "wint", "wintercheckaaaaaaaaaaaaaaa", "winterch"] {
        assert_eq!(found(named), Ok("winter check"), "{named}");
    }
    assert_eq!(found("win"), Err(NoPair::NoSuch("win".into())));
    let twins = [older(), older()].map(|walk| Service::of(&walk.session));
    let twins = twins.map(|mut service| {
        service.name = format!("{} {}", service.name, service.valves.len());
        service
    });
    assert!(matches!(find(&twins, "winter"), Err(NoPair::Several(_, names)) if names.len() == 2));
}

#[test]
fn the_rows_for_the_screen_have_a_cell_for_every_head() {
    let mut walk = newer();
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    let rows = compare_rows(&compare(&older, &newer));
    assert_eq!(rows.len(), 9);
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
    assert_eq!(
        rows[6],
        ["3 exhaust", "0.010", "0.008", "in limits", "closed 2.0 thou", "-3.0 to -1.0", "0.008"]
    );
}

/// Any reading that contract 4 knows, with leaves of 2 to 25 thou.
fn any_reading() -> impl Strategy<Value = String> {
    let leaf = 2..25_i32;
    prop_oneof![
        leaf.clone().prop_map(|leaf| leaf.to_string()),
        (leaf.clone(), 1..6_i32).prop_map(|(leaf, more)| format!("{leaf}/{}", leaf + more)),
        leaf.clone().prop_map(|leaf| format!("/{leaf}")),
        leaf.clone().prop_map(|leaf| format!("{leaf}/")),
        (leaf, 2..10_i32).prop_map(|(leaf, more)| format!("{}+{more}", leaf + 10)),
        Just("0".to_string()),
    ]
}

fn gauged(typed: &str) -> Gauged {
    let meaning = parse(typed, &leaves::usual()[0]).unwrap();
    Gauged { typed: typed.into(), unit: meaning.unit, interval: meaning.interval() }
}

proptest! {
    #![proptest_config(crate::seeded::config(256))]

    #[test]
    fn a_day_is_corrected_as_the_calendar_has_it(
        year in 1..=9999_i32, month in 0..=13_u32, day in 0..=32_u32, offset_min in -900..900_i16,
    ) {
        let moment = Moment { offset_min, ..MORNING };
        let moved = on_day(moment, Some(&format!("{year:04}-{month:02}-{day:02}")));
        let local = |moment| dates::local(moment).unwrap().naive_local();
        let date = chrono::NaiveDate::from_ymd_opt(year, month, day);
        let expected = date.map_or(local(moment), |date| date.and_time(local(moment).time()));
        prop_assert_eq!(local(moved), expected);
    }

    #[test]
    fn a_movement_lies_within_what_the_readings_allow(was in any_reading(), now in any_reading()) {
        let mut older = Service::of(&Walk::begun(flat_four(), "older", MORNING, 100).session);
        let moment = Moment { unix_ms: MORNING.unix_ms + 1, ..MORNING };
        let mut newer = Service::of(&Walk::begun(flat_four(), "newer", moment, 200).session);
        older.valves[1].left = Some(gauged(&was));
        newer.valves[1].found = Some(gauged(&now));
        let comparison = compare(&older, &newer);
        let movement = of(&comparison.valves, EXHAUST_1);
        let open = |typed: &str| typed == "0" || typed.starts_with('/') || typed.ends_with('/');
        prop_assert_eq!(movement.moved.is_none(), open(&was) || open(&now));
        if let Some(moved) = movement.moved {
            let (low, high) = (movement.moved_low.unwrap(), movement.moved_high.unwrap());
            prop_assert!(low <= moved && moved <= high);
        }
        // Told apart means that no single clearance explains both readings.
        let ends = |typed: &str| gauged(typed).interval;
        let (was, now) = (ends(&was), ends(&now));
        let low = [was.low, now.low].into_iter().flatten().max().unwrap_or(Length::from_nm(i64::MIN));
        let high = [was.high, now.high].into_iter().flatten().min().unwrap_or(Length::from_nm(i64::MAX));
        prop_assert_eq!(movement.told_apart(), low > high);
    }
}

#[test]
fn a_valve_found_tight_with_nothing_valid_left_stands_before_those_in_limits() {
    let mut walk = newer();
    walk.sign(signature());
    let (older, newer) = pair(&older(), &walk);
    let mut comparison = compare(&older, &newer);
    let last = comparison.valves.last_mut().unwrap();
    (last.verdict_found, last.verdict_left) = (Some(Verdict::Tight), None);
    let place = comparison.valves.len() - 1;
    let orders = of_comparison(&comparison);
    let grave = orders.iter().find(|order| order.words == "gravest verdict first").unwrap();
    assert_eq!(grave.rows[0], place, "{:?}", grave.rows);
}

#[test]
fn what_a_minus_means_stands_in_a_line_of_its_own_behind_the_conditions() {
    let table = cowlside::tui::compared::table(&compare(
        &Service::of(&older().session),
        &Service::of(&newer().session),
    ));
    assert_eq!(table.lines.last().unwrap(), "A minus means closing.");
    assert!(table.lines.iter().all(|line| !line.contains(" - ") && !line.contains(". A minus")));
}
