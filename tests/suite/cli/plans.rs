//! `plan`: text, the contract's document, and what is refused.

use super::{Place, fields};

#[test]
fn the_document_has_the_contracts_fields_and_every_valve_once() {
    for (profile, valves, timing) in [
        ("flat-four", 8, "profile"),
        ("flat-six", 12, "profile"),
        ("inline-four-report", 16, "profile"),
        ("radial-nine", 18, "profile"),
        ("radial-nine-table", 18, "table"),
        ("vee-twin-shims", 8, "profile"),
    ] {
        let plan = Place::new().run(&["plan", profile, "--json"]).json();
        let known = ["profile", "side_changes", "stops", "timing", "turned"];
        assert_eq!(fields(&plan), known, "{profile}");
        assert_eq!(plan["timing"], timing, "{profile}");
        let mut gauged = Vec::new();
        for stop in plan["stops"].as_array().unwrap() {
            let named =
                ["crank", "gauge", "margin", "stop", "then_turn", "turn", "unload", "watch"];
            let mut has = fields(stop);
            has.retain(|field| *field != "say");
            assert_eq!(has, named, "{profile}");
            assert_eq!(fields(&stop["watch"]), ["cylinder", "sign"]);
            for valve in stop["gauge"].as_array().unwrap() {
                assert_eq!(fields(valve), ["cylinder", "margin", "number", "valve"]);
                let valve = format!("{} {} {}", valve["cylinder"], valve["valve"], valve["number"]);
                assert!(!gauged.contains(&valve), "{profile}: {valve} twice");
                gauged.push(valve);
            }
        }
        assert_eq!(gauged.len(), valves, "{profile}");
    }
}

#[test]
fn from_begins_elsewhere_and_a_margin_that_cannot_be_kept_is_refused() {
    let place = Place::new();
    let from = place.run(&["plan", "flat-six", "--from", "3", "--json"]).json();
    assert_eq!(from["stops"][0]["gauge"][0]["cylinder"], 3);
    assert_eq!(from["stops"][0]["turn"], 0.0);
    for (words, named) in [
        (vec!["plan", "flat-four", "--from", "9"], "cylinder 9"),
        (vec!["plan", "flat-four", "--margin", "200"], "200"),
        (vec!["plan", "radial-nine-table", "--from", "2"], "table"),
        (vec!["plan", "radial-nine-table", "--margin", "20"], "table"),
        (vec!["plan", "flatfour"], "flatfour"),
    ] {
        let shown = place.run(&words);
        assert!(shown.failed().0.contains(named), "{shown}");
    }
    for words in [["plan", "flat-four", "--from=-1"], ["plan", "flat-four", "--margin=wide"]] {
        assert_eq!(place.run(&words).code, 2, "{words:?}");
    }
    assert!(place.run(&["plan", "flatfour"]).failed().1.contains("flat-four"));
}

#[test]
fn a_profile_may_be_named_by_its_path() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    let place = Place::new();
    let by_path = place.run(&["plan", path]).done().to_owned();
    assert_eq!(by_path, place.run(&["plan", "flat-four"]).done());
    assert!(by_path.lines().all(|line| line.chars().count() <= 80), "{by_path}");
}

#[test]
fn few_stops_and_less_walking_change_the_plan_and_go_together() {
    let place = Place::new();
    let plan = |flags: &[&str]| {
        let words = [&["plan", "flat-six", "--json"], flags].concat();
        place.run(&words).json()
    };
    let of = |plan: &serde_json::Value| {
        let stops = plan["stops"].as_array().unwrap().len();
        (stops, plan["turned"].as_f64().unwrap(), plan["side_changes"].as_u64().unwrap())
    };
    let (usual, few) = (plan(&[]), plan(&["--few-stops"]));
    assert_eq!(of(&usual), (6, 600.0, 6));
    assert_eq!((of(&few).0, of(&few).1), (2, 360.0));
    let walked = plan(&["--less-walking"]);
    assert_eq!(of(&walked).0, 6);
    assert!(of(&walked).2 <= of(&usual).2);
    let both = plan(&["--few-stops", "--less-walking", "--from", "3", "--margin", "60"]);
    let gauged = both["stops"][0]["gauge"].as_array().unwrap();
    assert!(gauged.iter().any(|valve| valve["cylinder"] == 3), "{gauged:?}");
    for stop in both["stops"].as_array().unwrap() {
        assert!(stop["margin"].as_f64().unwrap() >= 60.0);
    }
    let far = place.run(&["plan", "flat-six", "--few-stops", "--margin", "340"]);
    assert!(far.failed().0.contains("at most"), "{far}");
    assert!(far.failed().1.contains("--margin"), "{far}");
    for flag in ["--few-stops", "--less-walking"] {
        let table = place.run(&["plan", "radial-nine-table", flag]);
        assert!(table.failed().0.contains("used as written"), "{table}");
    }
}

#[test]
fn a_margin_takes_a_decimal_comma_and_says_how_to_write_what_it_cannot_read() {
    let place = Place::new();
    let comma = place.run(&["plan", "flat-six", "--margin", "60,5", "--json"]).json();
    assert_eq!(comma, place.run(&["plan", "flat-six", "--margin", "60.5", "--json"]).json());
    assert!(place.run(&["plan", "flat-six", "--margin", "-5"]).failed().0.contains("-5°"));
    let wide = place.run(&["plan", "flat-six", "--margin", "wide"]);
    assert!(wide.code == 2 && wide.err.contains("as in 60 or 47.5"), "{wide}");
}
