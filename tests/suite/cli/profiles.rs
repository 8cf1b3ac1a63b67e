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
    assert_eq!(list.code, 0);
    let rows: serde_json::Value = serde_json::from_str(&list.out).unwrap();
    let mine: Vec<_> = rows["profiles"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["built_in"] == false)
        .collect();
    assert_eq!(mine.len(), 1);
    assert_eq!(mine[0]["name"], "my-four");
    assert_eq!(list.err.lines().count(), 3, "{list}");
    assert!(list.err.lines().all(|line| line.starts_with("warning: left out: ")), "{list}");
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
    assert_eq!(tried, 65);
}

#[test]
fn the_list_as_text_is_short_and_says_that_the_figures_are_examples() {
    super::snapshot("cli_profiles", &shown(&Place::new(), &[&["profiles"]]));
}
