//! `profiles`: list, check, show; files that cannot be used.

use super::{Place, fields, shown};
use cowlside::store::profiles::BUILT_IN;
use std::fs;

fn own(place: &Place, name: &str, text: &str) -> String {
    let folder = place.path().join("profiles");
    fs::create_dir_all(&folder).unwrap();
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    path.to_string_lossy().into_owned()
}

#[test]
fn the_list_has_the_built_in_profiles_and_the_contracts_field_names() {
    let list = Place::new().run(&["profiles", "--json"]).json();
    assert_eq!(fields(&list), ["profiles"]);
    let profiles = list["profiles"].as_array().unwrap();
    assert_eq!(profiles.len(), BUILT_IN.len());
    for profile in profiles {
        assert_eq!(fields(profile), ["built_in", "cylinders", "name", "title"]);
        assert_eq!(profile["built_in"], true);
        let name = profile["name"].as_str().unwrap();
        let shown = Place::new().run(&["profiles", "show", name]);
        assert!(shown.done().contains(profile["title"].as_str().unwrap()), "{shown}");
    }
    assert_eq!(profiles[0]["name"], "flat-four");
}

#[test]
fn a_users_own_profile_is_listed_and_broken_ones_are_told_beside_the_list() {
    let place = Place::new();
    let sound = include_str!("../../../profiles/flat-four.json");
    own(&place, "my-four.json", sound);
    own(&place, "broken.json", "{ \"format\": 1, \"nmae\": \"x\" }");
    own(&place, "cut.json", "{ \"format\": 1,");
    own(&place, "not a name.json", sound);
    let list = place.run(&["profiles", "--json"]);
    assert_eq!(list.code, 1, "files were left out");
    let rows: serde_json::Value = serde_json::from_str(&list.out).unwrap();
    let mine: Vec<_> = rows["profiles"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["built_in"] == false)
        .collect();
    assert_eq!(mine.len(), 1);
    assert_eq!(mine[0]["name"], "my-four");
    let left_out = list.err.lines().filter(|line| line.starts_with("warning: left out: "));
    assert_eq!(left_out.count(), 3, "{list}");
    assert!(list.err.contains("error: 3 files were left out of the list"), "{list}");
    for word in ["broken.json", "cut.json", "not a name.json", "nmae"] {
        assert!(list.err.contains(word), "{word}: {list}");
    }
}

#[test]
fn a_check_says_what_is_wrong_and_what_to_do() {
    let place = Place::new();
    let sound = include_str!("../../../profiles/flat-four.json");
    let path = own(&place, "good.json", sound);
    assert!(place.run(&["profiles", "check", &path]).done().contains("good.json"));
    let cases = [
        ("{ \"format\": 1, \"nmae\": \"x\" }", "`nmae`"),
        ("{ \"format\": 2 }", "newer version"),
        ("[1, 2", "JSON"),
        (&sound.replace("[1, 3, 2, 4]", "[1, 3, 2, 2]"), "firing_order"),
        (&sound.replace("0.006 in", "0.006"), "valves.intake.target"),
        (&sound.replace("Flat four,", "Flat\\u001b[31m four,"), "name"),
    ];
    for (text, named) in cases {
        let path = own(&place, "bad.json", text);
        let shown = place.run(&["profiles", "check", &path]);
        let (error, _) = shown.failed();
        assert!(error.contains("bad.json") && error.contains(named), "{named}: {shown}");
    }
}

#[test]
fn what_is_no_plain_file_of_decent_size_is_refused_and_never_waited_for() {
    let place = Place::new();
    let large = own(&place, "large.json", &" ".repeat(70_000));
    let folder = place.path().to_string_lossy().into_owned();
    for path in ["/dev/zero", "/dev/null", "/nowhere/at-all.json", &folder, &large] {
        place.run(&["profiles", "check", path]).failed();
        place.run(&["plan", path]).failed();
    }
}

#[test]
fn hostile_names_in_arguments_reach_no_terminal() {
    let place = Place::new();
    let hostile = ["\u{1b}[31mred", "a\u{202e}b.json", "x\ny", "\u{7}", "é\u{200b}"];
    let mut tried = 0;
    for name in hostile {
        for words in [
            vec!["plan", name],
            vec!["profiles", "show", name],
            vec!["profiles", "check", name],
            vec!["profiles", name],
            vec!["profiles", "show", name, "--json"],
            vec!["engine", "add", name, "--profile", "flat-four", "--hours", "1"],
            vec!["engine", "add", "x", "--profile", name, "--hours", "1"],
            vec!["engine", "add", "x", "--profile", "flat-four", "--hours", name],
            vec!["engine", "hours", name, "1"],
            vec!["session", name, "--plain"],
            vec!["report", name],
            vec!["tag", name],
            vec!["compare", name, name, name],
            vec!["advise", "flat-six", name, "1"],
            vec!["advise", "flat-six", "1 exhaust", name],
        ] {
            // `run` refuses control characters in what is shown; here for those that turn the line.
            let shown = place.run(&words);
            assert!(!shown.err.contains(['\u{202e}', '\u{200b}']), "{words:?}");
            let (_, _) = shown.failed();
            tried += 1;
        }
        let shown = place.run(&[name]);
        assert_eq!(shown.code, 2);
        assert!(!shown.err.contains(['\u{202e}', '\u{200b}']));
    }
    assert_eq!(tried, 75);
}

#[test]
fn the_list_as_text_is_short_and_says_that_the_figures_are_examples() {
    super::snapshot("cli_profiles", &shown(&Place::new(), &[&["profiles"]]));
}

fn names(list: &serde_json::Value) -> Vec<&str> {
    list["profiles"].as_array().unwrap().iter().map(|row| row["name"].as_str().unwrap()).collect()
}

#[test]
fn words_search_the_list_and_json_keeps_the_contracts_fields() {
    let place = Place::new();
    for (words, found) in [
        (&["vee", "8", "1-8-4-3-6-5-7-2"][..], vec!["vee-eight-18436572"]),
        (&["vee 8 18436572"], vec!["vee-eight-18436572"]),
        (&["1-3-4-2"], vec!["inline-four", "inline-four-report"]),
        (&["1", "3", "4", "2"], vec!["inline-four", "inline-four-report"]),
        (&["twin", "270"], vec!["parallel-twin-270", "vee-twin-90", "vee-twin-shims"]),
        (&["RADIAL", "nine"], vec!["radial-nine", "radial-nine-table"]),
        (&["boxer", "6", "hydraulic"], vec!["flat-six-hydraulic"]),
    ] {
        let shown = place.run(&[&["profiles", "--json"], words].concat()).json();
        assert_eq!(names(&shown), found, "{words:?}");
        assert_eq!(fields(&shown["profiles"][0]), ["built_in", "cylinders", "name", "title"]);
        let text = place.run(&[&["profiles"], words].concat()).done().to_owned();
        assert!(found.iter().all(|name| text.contains(name)), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
    own(&place, "blue-trainer.json", include_str!("../../../profiles/flat-four.json"));
    assert_eq!(names(&place.run(&["profiles", "blue", "--json"]).json()), ["blue-trainer"]);
}

#[test]
fn nothing_found_is_told_with_the_nearest_names() {
    let place = Place::new();
    for (words, near) in [
        (&["profiles", "vee-eigth"][..], "vee-eight-13726548"),
        (&["profiles", "radial", "six"], "radial-five"),
        (&["profiles", "1-3-4-3"], "inline-four"),
        (&["profiles", "--json", "zzz"], "flat-four"),
        (&["profiles", "shwo", "flat-four"], "flat-four"),
        (&["profiles", "\u{7}"], "flat-four"),
        (&["profiles", "a\u{202e}b"], "flat-four"),
    ] {
        let shown = place.run(words);
        let (error, hint) = shown.failed();
        assert!(error.starts_with("no profile has all of these words: "), "{shown}");
        assert!(!error.contains('\u{202e}'), "{shown}");
        assert!(hint.contains(near), "{near}: {shown}");
    }
    // What stands before the words `show` and `check` is no search for them.
    for words in [["profiles", "--json", "show", "flat-four"], ["profiles", "--json", "check", "x"]]
    {
        let shown = place.run(&words);
        assert_eq!((shown.code, shown.out.as_str()), (2, ""), "{shown}");
        assert!(shown.err.contains("comes first"), "{shown}");
    }
    for words in
        [&["profiles", "show"][..], &["profiles", "show", "a", "b"], &["profiles", "--all"]]
    {
        assert_eq!(place.run(words).code, 2, "{words:?}");
    }
    place.run(&["profiles", "show", "flatfour", "--json"]).failed();
}

#[test]
fn show_as_json_has_stable_fields_for_all_that_the_cams_come_to() {
    let show = |name| Place::new().run(&["profiles", "show", name, "--json"]).json();
    let six = show("inline-six");
    let known = [
        "cylinders",
        "firing_intervals",
        "firing_order",
        "least_margin",
        "name",
        "notes",
        "opposites",
        "pair_rules",
        "positions",
        "ramp",
        "shape",
        "sign",
        "spans",
        "spans_with_ramps",
        "timing",
        "title",
        "unit",
        "warnings",
    ];
    assert_eq!(fields(&six), known);
    let spans = ["both_shut", "both_shut_percent", "exhaust", "intake", "overlap"];
    assert_eq!(
        (fields(&six["spans"]), fields(&six["spans_with_ramps"])),
        (spans.to_vec(), spans.to_vec())
    );
    assert_eq!(fields(&six["pair_rules"][0]), ["bank", "margin", "other", "sum", "valves"]);
    assert_eq!(six["pair_rules"][0]["sum"], 13);
    assert_eq!(fields(&six["positions"][0]), ["crank", "gauge", "then_turn", "watch"]);
    let gauged = fields(&six["positions"][0]["gauge"][0]).len();
    assert_eq!((gauged, six["positions"].as_array().unwrap().len()), (4, 12));
    assert_eq!(six["opposites"][1], serde_json::json!({ "cylinder": 2, "opposite": 5 }));
    assert_eq!(show("inline-three")["opposites"][0]["opposite"], serde_json::Value::Null);
    // A floating ring: only the manual's table tells where a valve can be gauged.
    assert_eq!(show("radial-nine-table")["positions"], serde_json::Value::Null);
    for (name, _) in BUILT_IN {
        let document = show(name);
        let mut has = fields(&document);
        has.retain(|field| *field != "caveat");
        assert_eq!((has, &document["name"]), (known.to_vec(), &name.into()));
    }
    // Of a radial whose ring is not told the document carries the plan's caveat.
    assert_eq!(show("radial-five")["caveat"], "only for a fixed cam ring: look in the manual");
    assert!(show("radial-nine").get("caveat").is_none());
}

#[test]
fn an_unlikely_order_is_told_by_check_show_and_plan_and_stops_none_of_them() {
    let place = Place::new();
    let text = include_str!("../../../profiles/inline-four.json");
    // A textbook's order for an inline four: check-values 1.7 (S16).
    let path = own(&place, "my-four.json", &text.replace("[1, 3, 4, 2]", "[1, 4, 3, 2]"));
    let told = "the firing order 1-4-3-2 is unlikely for an inline four";
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [["profiles", "check", &path], ["profiles", "show", "my-four"]] {
        let shown = flat(place.run(&words).done());
        assert!(shown.contains(&format!("warning: {told}")), "{shown}");
        assert!(shown.contains("This leads to the opposites 1-3, 4-2."), "{shown}");
    }
    let plan = flat(place.run(&["plan", "my-four"]).done());
    assert!(plan.contains(&format!("WARNING: {told}")), "{plan}");
    // As JSON the document stays the contract's, and the warning stands beside it.
    let json = place.run(&["plan", "my-four", "--json"]);
    assert_eq!(json.code, 0);
    let document: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(fields(&document), ["profile", "side_changes", "stops", "timing", "turned"]);
    assert!(json.err.starts_with(&format!("warning: {told}")), "{json}");
    let show = place.run(&["profiles", "show", "my-four", "--json"]).json();
    assert!(show["warnings"][0].as_str().unwrap().starts_with(told), "{show}");
    assert!(place.run(&["plan", "inline-four"]).done().find("WARNING").is_none());
}

#[test]
fn what_no_workshop_has_is_doubted_with_what_was_probably_meant() {
    let place = Place::new();
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = include_str!("../../../profiles/flat-four.json");
    let sound = own(&place, "sound.json", text);
    assert!(!place.run(&["profiles", "check", &sound]).done().contains("warning: "));
    for (was, is, told) in [
        (
            "\"0.0357142857 in\"",
            "\"25 mm\"",
            "`adjuster.pitch` is 25.0000 mm, but no adjusting screw has such a thread: was 25 threads an inch, 1.0160 mm, meant?",
        ),
        (
            "\"95 °F\"",
            "\"500 °C\"",
            "`gauge_when.no_warmer_than` is 500 °C (932 °F), but no engine is cold at that: was 50 °C meant?",
        ),
        ("\"95 °F\"", "\"95 °C\"", "was 95 °F meant?"),
        (
            "\"45 ± 5 lbf·in\"",
            "\"900 N·m\"",
            "`covers.torque` is 900 N·m, but that would break it: was 9 N·m meant?",
        ),
        (
            "\"45 ± 5 lbf·in\"",
            "\"901 ± 50 lbf·in\"",
            "`covers.torque` is 901 ± 50 lbf·in, but that would break it: was 90.1 ± 5 lbf·in meant?",
        ),
        (
            "\"90 ± 10 lbf·in\"",
            "\"90 lbf·ft\"",
            "`adjuster.lock_nut_torque` is 90 lbf·ft, but that would break it: was 90 lbf·in meant?",
        ),
        (
            "\"right\",",
            "\"right\", \"side\": \"left\",",
            "`layout.banks[0].side` is left, but the bank is called \"right\": was right meant?",
        ),
        (
            "[2, 5]",
            "[50, 50]",
            "`adjuster.threads_showing` is 50 to 50, but no screw shows so many: was 5 to 5 meant?",
        ),
        (
            "\"7/16 in\"",
            "\"999 in\"",
            "`adjuster.lock_nut` is \"999 in\", but no lock nut takes such a spanner",
        ),
        ("\"flat blade\"", "\"  \"", "`adjuster.screw_drive` has nothing but blanks"),
        (
            "\"0.005 in\", \"0.006",
            "\"0.004 in\", \"0.006",
            "`leaves` lists 12, but only 11 are different",
        ),
    ] {
        assert!(text.contains(was), "{was}");
        let path = own(&place, "odd.json", &text.replacen(was, is, 1));
        let shown = flat(place.run(&["profiles", "check", &path]).done());
        assert!(
            shown.contains(&format!("warning: {}", told.split(": was").next().unwrap()))
                || told.starts_with("was"),
            "{shown}"
        );
        assert!(shown.contains(told), "{shown}");
    }
}
