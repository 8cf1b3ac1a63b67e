//! `advise`: the contract's document for every kind of adjuster, and what is refused.

use super::{Place, fields};
use serde_json::{Value, json};

fn advice(words: &[&str]) -> Value {
    let all: Vec<&str> = ["advise"].iter().chain(words).chain(&["--json"]).copied().collect();
    Place::new().run(&all).json()
}

#[test]
fn the_contracts_example_of_a_screw_comes_out_as_it_stands_there() {
    let advice = advice(&["flat-six", "1 exhaust", "0.35/0.40"]);
    assert_eq!(fields(&advice), ["action", "reading", "valve", "verdict"]);
    assert_eq!(advice["valve"], json!({"cylinder": 1, "valve": "exhaust", "number": 1}));
    let reading =
        json!({"typed": "0.35/0.40", "low": 0.35, "high": 0.40, "nominal": 0.375, "unit": "mm"});
    assert_eq!(advice["reading"], reading);
    assert_eq!(advice["verdict"], "loose");
    let action = &advice["action"];
    assert_eq!(fields(action), ["degrees", "direction", "kind", "predicted", "turns"]);
    assert_eq!((&action["kind"], &action["direction"]), (&json!("screw"), &json!("in")));
    // 0.075 mm / (1.0 mm × 1.4) of a turn (contract 6).
    let degrees = 0.075 / 1.4 * 360.0;
    assert!((action["degrees"].as_f64().unwrap() - degrees).abs() < 1e-9, "{action}");
    assert!((action["turns"].as_f64().unwrap() - degrees / 360.0).abs() < 1e-11, "{action}");
    assert_eq!(action["predicted"], 0.30);
}

#[test]
fn an_open_ended_reading_gets_a_direction_and_no_amount() {
    let advice = advice(&["flat-six", "1 exhaust", "/0.20"]);
    assert_eq!(advice["verdict"], "tight");
    let open = json!({"kind": "screw", "direction": "out", "degrees": null, "turns": null, "predicted": null});
    assert_eq!(advice["action"], open);
}

#[test]
fn figures_that_are_told_to_differ_are_printed_so() {
    let place = Place::new();
    let said =
        |reading: &str| place.run(&["advise", "flat-six", "1 intake", reading]).done().to_string();
    for (reading, line) in [
        ("0.1499", "0.1499 mm is less than the limit of 0.1500 mm"),
        ("0.0059 in", "0.1499 mm is less than the limit of 0.1500 mm"),
        ("0.2501", "0.2501 mm is more than the limit of 0.2500 mm"),
        ("0.250001", "0.250001 mm is more than the limit of 0.250000 mm"),
        ("0.1499/0.1501", "between 0.1499 and 0.1501 mm"),
    ] {
        assert!(said(reading).contains(line), "{reading}: {}", said(reading));
    }
    for plain in ["0.15", "0.14", "0.14/0.15"] {
        assert!(!said(plain).contains("the limit of"), "{plain}: {}", said(plain));
    }
}

#[test]
fn nothing_is_advised_where_nothing_is_to_be_done_and_the_leaf_that_would_settle_it_is_named() {
    assert_eq!(advice(&["flat-six", "1 exhaust", "0.30"])["action"], json!({"kind": "none"}));
    let undecided = advice(&["flat-six", "1 exhaust", "0.325/0.375"]);
    assert_eq!(undecided["verdict"], "undecided");
    assert_eq!(undecided["action"], json!({"kind": "none", "settle": 0.35}));
    let report_only = advice(&["inline-four-report", "1 exhaust 2", "0.10"]);
    assert_eq!(report_only["verdict"], "tight");
    assert_eq!(report_only["action"], json!({"kind": "none"}));
    assert_eq!(report_only["valve"]["number"], 2);
}

#[test]
fn shims_and_push_rods_get_a_size_from_stock() {
    let shim = advice(&["vee-twin-shims", "1 intake", "0.30", "--shim", "2.95 mm"]);
    assert_eq!(fields(&shim["action"]), ["fit", "kind", "predicted"]);
    assert_eq!(shim["action"]["kind"], "shim");
    // Fitted + reading - target = fitted + its part above the target; what is fitted then reads so.
    let (fit, predicted) = (&shim["action"]["fit"], &shim["action"]["predicted"]);
    let sum = fit.as_f64().unwrap() + predicted.as_f64().unwrap();
    assert!((sum - 3.25).abs() < 1e-9, "{shim}");
    let rod = advice(&["flat-six-hydraulic", "1 intake", "3"]);
    assert_eq!(fields(&rod["action"]), ["choices", "fit", "kind"]);
    assert_eq!(rod["reading"]["unit"], "in");
    for choice in rod["action"]["choices"].as_array().unwrap() {
        assert_eq!(fields(choice), ["length", "predicted", "room"]);
    }
}

#[test]
fn what_cannot_be_answered_is_refused_with_what_to_type() {
    let place = Place::new();
    for (words, named) in [
        (vec!["vee-twin-shims", "1 intake", "0.30"], "shim"),
        (vec!["vee-twin-shims", "1 intake", "0.30", "--shim", "2.95"], "--shim"),
        (vec!["vee-twin-shims", "1 intake", "0.30", "--shim", "-1 mm"], "--shim"),
        (vec!["flat-six", "9 exhaust", "0.30"], "9 exhaust"),
        (vec!["flat-six", "1 exhaust 2", "0.30"], "1 exhaust 2"),
        (vec!["flat-six", "1 middle", "0.30"], "1 middle"),
        (vec!["flat-six", "1 exhaust", "abc"], "abc"),
        (vec!["flat-six", "1 exhaust", "0.40/0.35"], "thinner"),
        (vec!["flat-six", "1 exhaust", "-3"], "-3"),
        (vec!["flat-six", "1 exhaust", ""], ""),
        (vec!["no-such", "1 exhaust", "6"], "no-such"),
    ] {
        let all: Vec<&str> = ["advise"].into_iter().chain(words).collect();
        let shown = place.run(&all);
        if shown.code == 2 {
            assert!(all.contains(&"-1 mm"), "{all:?}: {shown}");
            continue;
        }
        assert!(shown.failed().0.contains(named), "{all:?}: {shown}");
    }
    for words in
        [vec!["advise"], vec!["advise", "flat-six"], vec!["advise", "flat-six", "1 exhaust"]]
    {
        assert_eq!(place.run(&words).code, 2);
    }
}

#[test]
fn on_request_a_reading_is_judged_with_its_uncertainty_beside_the_contracts_verdict() {
    // check-values 7, worked test, through the whole program: 0.005 to 0.007 in, a pair of leaves a
    // thousandth apart and ±0.00035 in: U = 0.0007 in.
    let tolerance = ["--certainty", "--tolerance", "0.00035 in"];
    let sure = advice(&[&["flat-four", "1 intake", "5/6"], &tolerance[..]].concat());
    assert_eq!(fields(&sure), ["action", "certainty", "reading", "valve", "verdict"]);
    assert_eq!(sure["verdict"], "in limits");
    let certainty = &sure["certainty"];
    assert_eq!(
        fields(certainty),
        ["answer", "expanded", "k", "standard", "tolerance_known", "why"]
    );
    assert_eq!(certainty["answer"], "conditional pass");
    assert!((certainty["standard"].as_f64().unwrap() - 0.000_352).abs() < 1e-6, "{certainty}");
    assert!((certainty["expanded"].as_f64().unwrap() - 0.000_705).abs() < 1e-6, "{certainty}");
    assert_eq!(
        certainty["why"],
        "0.0055 ± 0.0007 in lies inside 0.005 to 0.007 in, but reaches beyond a limit."
    );
    let open = advice(&["flat-four", "1 intake", "/4", "--certainty"]);
    assert_eq!(open["certainty"], Value::Null);
    assert_eq!(
        fields(&advice(&["flat-four", "1 intake", "6"])),
        ["action", "reading", "valve", "verdict"]
    );
    let shown = Place::new().run(&["advise", "flat-six", "1 exhaust", "0.25/0.40", "--certainty"]);
    let text = shown.done();
    assert!(text.contains("with uncertainty: this set cannot decide"), "{text}");
    assert!(text.contains("The tolerance of the leaves is not known and left out."), "{text}");
}

#[test]
fn what_a_set_can_prove_is_told_for_every_band_of_a_profile() {
    let shown = Place::new().run(&["leaves", "flat-six"]);
    let text = shown.done();
    assert_eq!(
        text,
        "the profile's leaves: 0.05 0.10 0.15 0.20 0.25 0.30 0.35\n\
         intake as found, 0.15 to 0.25 mm: these leaves can prove both limits.\n\
         exhaust as found, 0.25 to 0.35 mm: these leaves can prove both limits.\n\
         exhaust once set, 0.28 to 0.32 mm: nothing can be proved good; undecided between\n\
         0.25 and 0.35 mm. One leaf of 0.28 mm would help most; with 0.32 too both limits\n\
         are proved.\n\
         Proved by the leaf that goes and the next that will not; a drag decides, too.\n"
    );
    let words = ["leaves", "flat-six", "0.05-0.50 by 0.05", "--json"];
    let document = Place::new().run(&words).json();
    assert_eq!(fields(&document), ["bands", "leaves", "unit"]);
    assert_eq!(document["leaves"].as_array().unwrap().len(), 10);
    let set = &document["bands"][2];
    assert_eq!(
        set,
        &json!({ "band": "exhaust once set", "least": 0.28, "most": 0.32, "good": null,
                 "undecided": [{ "above": 0.25, "below": 0.35 }], "helps_most": 0.28 })
    );
    let refused = Place::new().run(&["leaves", "flat-six", "0.05 six"]);
    assert!(refused.err.contains("\"six\" is no leaf"), "{}", refused.err);
}
