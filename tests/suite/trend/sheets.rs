//! The past of an engine in print and as the contract's document.

use super::made::{EXHAUST_1, Made, history, mm_engine};
use crate::cli::fields;
use cowlside::domain::service::Due;
use cowlside::domain::trend::History;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::report::history_json::history_json;
use cowlside::report::history_sheet::{history_text, standing_out};
use serde_json::json;

const INTAKE_2: Valve = Valve { cylinder: 2, kind: Kind::Intake, number: 1 };

/// Six services: 1 exhaust closes and is set back twice, 2 intake was worked on, the rest stands.
pub fn engine() -> Vec<Made> {
    let exhaust = ["30", "28", "26", "28", "26", "28"];
    let left = ["30", "28", "30", "28", "30", "28"];
    (0..6_usize)
        .map(|n| {
            let all = mm_engine().valves().into_iter();
            let made = all.fold(Made::at(100 + 100 * n as i64), |made, valve| match valve {
                EXHAUST_1 => made.read(valve, exhaust[n], left[n]),
                INTAKE_2 if n == 1 => made.read(valve, "12/", "30"),
                _ => made.read(valve, "30", "30").again(valve, &[0]),
            });
            let mut made = if n == 4 { made.worked(2, "valve and seat") } else { made };
            made.service.due =
                Due { interval_hours: Some(100.0), interval_months: Some(12), ..Due::default() };
            made
        })
        .collect()
}

fn shown(history: &History) -> String {
    history_text(history, 80)
}

#[test]
fn a_history_has_exactly_the_shape_of_the_contract() {
    let document = history_json(&history(&engine()));
    assert_eq!(fields(&document), ["engine", "hours", "next_check", "unit", "valves"]);
    let valve = &document["valves"][1];
    assert_eq!(
        fields(valve),
        ["adjusted_total", "cylinder", "drift", "forecast", "number", "points", "valve"]
    );
    assert_eq!(
        (&valve["cylinder"], &valve["valve"], &valve["number"]),
        (&json!(1), &json!("exhaust"), &json!(1))
    );
    assert_eq!(
        valve["points"][2],
        json!({ "session": "at 30000", "date": "2026-04-13T09:00:00+01:00", "hours": 300.0,
                "found": 0.26, "left": 0.30 })
    );
    assert_eq!(
        fields(&valve["drift"]),
        ["high", "low", "per_100_h", "robust_per_100_h", "sessions"]
    );
    assert_eq!(valve["adjusted_total"], json!(0.08));
    assert_eq!(valve["drift"]["sessions"], json!(6));
    assert_eq!(fields(&valve["forecast"]), ["hours_likely", "hours_soonest", "limit"]);
    assert_eq!(valve["forecast"]["limit"], "least");
    let still = &document["valves"][0];
    assert_eq!((still["forecast"].is_null(), &still["drift"]["low"]), (true, &json!(0.0)));
    // 2 intake: open-ended at 200 h, its cylinder worked on at 500 h.
    let worked = &document["valves"][2];
    assert_eq!((worked["drift"].is_null(), worked["points"][1]["found"].is_null()), (true, true));
    assert_eq!(
        document["next_check"],
        json!({ "hours": 700.0, "because": "interval", "date": "2027-05-13" })
    );
}

#[test]
fn the_next_check_is_the_mechanics_choice_else_the_earlier_of_interval_and_forecast() {
    let next = |change: fn(&mut Made)| {
        let mut made = engine();
        change(made.last_mut().unwrap());
        history_json(&history(&made))["next_check"].clone()
    };
    let hours = cowlside::domain::entry::Hours;
    let chosen =
        next(|made| made.service.due.chosen = Some(cowlside::domain::entry::Hours(65_000)));
    assert_eq!((&chosen["hours"], &chosen["because"]), (&json!(650.0), &json!("mechanic")));
    assert_eq!(hours(65_000).hours(), 650.0);
    let own = next(|made| made.service.due.chosen = Some(cowlside::domain::entry::Hours(95_000)));
    assert_eq!((&own["hours"], &own["because"]), (&json!(950.0), &json!("mechanic")));
    let late = next(|made| made.service.due.interval_hours = Some(900.0));
    assert_eq!(late["because"], "forecast");
    assert!(
        (late["hours"].as_f64().unwrap() - 1000.0).abs() < 1e-6,
        "0.28 to 0.20 at 0.02 in 100 h: {late}"
    );
    let none = next(|made| {
        made.service.due = Due::default();
        *made = made.clone().read(EXHAUST_1, "28", "12/");
    });
    assert!(none.is_null(), "{none}");
}

#[test]
fn a_history_reads_well_in_print() {
    let text = shown(&history(&engine()));
    insta::with_settings!({snapshot_path => "../../../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("history_flat_four", text);
    });
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    for width in [40, 48, 60] {
        let narrow = history_text(&history(&engine()), width);
        assert!(narrow.lines().all(|line| line.chars().count() <= width), "{narrow}");
    }
}

#[test]
fn a_closing_exhaust_is_named_first_and_one_that_cannot_be_told_is_not_called_closing() {
    let mut made = engine();
    let lines = standing_out(&history(&made));
    assert!(
        lines[0].starts_with("1 exhaust: CLOSING EXHAUST, closes 0.020 mm in 100 h"),
        "{lines:?}"
    );
    for (n, figure) in ["30", "27", "31", "28", "30", "29"].into_iter().enumerate() {
        made[n] = made[n].clone().read(EXHAUST_1, figure, figure);
    }
    let text = shown(&history(&made));
    assert!(!text.contains("CLOSING") && text.contains("not told from standing still"), "{text}");
}
