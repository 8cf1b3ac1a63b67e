//! A session that came without its engine: the command that is told finds it again.

use super::services::with_services;
use super::{Place, Shown};
use cowlside::store::profiles::BUILT_IN;
use std::fs;
use std::path::Path;

fn take(place: &Place, from: &Path) -> Shown {
    place.run(&["take", from.to_str().unwrap()])
}

/// The words of the command that a warning tells, as a shell takes them apart.
fn command(place: &Place, shown: &Shown) -> Vec<String> {
    let (_, told) =
        shown.err.split_once("cowlside engine add ").unwrap_or_else(|| panic!("{shown}"));
    let told = told.split_once(" and it is found again").unwrap().0;
    let (mut words, mut quoted) = (vec![String::new()], false);
    for sign in told.chars() {
        match sign {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            sign => words.last_mut().unwrap().push(sign),
        }
    }
    let stem = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    let meant = words.into_iter().map(|word| word.replace("SESSION-1", &stem));
    ["engine".to_owned(), "add".into()].into_iter().chain(meant).collect()
}

fn carry_out(place: &Place, told: &Shown) -> Shown {
    let words = command(place, told);
    place.run(&words.iter().map(String::as_str).collect::<Vec<_>>())
}

/// What stands in it: what is built in, and an empty line.
fn own_text() -> String {
    let (_, text) = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap();
    format!("{text}\n")
}

/// A place with an open session of an engine that goes by a profile of its own.
fn with_an_own_profile() -> Place {
    let place = Place::new();
    fs::create_dir_all(place.path().join("profiles")).unwrap();
    fs::write(place.path().join("profiles/own.json"), own_text()).unwrap();
    place.run(&["engine", "add", "Trainer", "--profile", "own", "--hours", "412.6"]).done();
    super::services::begin(&place, "", "Gauge 2 intake");
    place
}

#[test]
fn a_session_taken_alone_beside_an_engine_of_its_name_is_found_by_the_command_that_is_told() {
    let there = with_services();
    let here = Place::new();
    here.run(&["engine", "add", "trainer", "--profile", "flat-six", "--hours", "3"]).done();
    let taken = take(&here, &there.journals()[0]);
    assert_eq!((taken.code, taken.out.contains("1 of 1 copied")), (0, true), "{taken}");
    assert_eq!(command(&here, &taken)[2..4], ["Trainer 2", "--of"], "{taken}");
    for words in [["engines"].as_slice(), &["session", "nobody", "--plain"]] {
        let shown = here.run(words);
        assert!(shown.err.contains("engine add \"Trainer 2\" --of SESSION-1"), "{shown}");
    }
    let added = carry_out(&here, &taken);
    assert_eq!((added.code, added.out.as_str()), (0, "added Trainer 2 at 412.6 h\n"), "{added}");
    let found = here.run(&["sessions", "Trainer 2"]);
    assert!(found.done().contains("signed, seal"), "{found}");
    here.run(&["engines"]).done();
    assert!(here.run(&["session", "Trainer 2", "--plain"]).err.is_empty());
    // It goes by the built-in profile, which its session carries word for word.
    let engines = here.run(&["engines", "--json"]).json();
    let engines = engines["engines"].as_array().unwrap();
    let profile = |name: &str| {
        engines.iter().find(|one| one["name"] == name).unwrap()["profile"].as_str().unwrap()
    };
    assert_eq!((profile("Trainer 2"), profile("trainer")), ("flat-four", "flat-six"));
    // What comes of it later is its own.
    take(&here, &there.journals()[1]).done();
    assert_eq!(here.run(&["sessions", "Trainer 2"]).done().lines().count(), 2);
    // A second time it is there, and said to be.
    let again = carry_out(&here, &taken);
    assert!(again.failed().0.contains("is here: Trainer 2"), "{again}");
    assert!(again.failed().1.contains("cowlside sessions \"Trainer 2\""), "{again}");
}

#[test]
fn where_neither_engine_nor_profile_is_here_both_come_of_the_session() {
    let there = with_an_own_profile();
    for other in [None, Some("another")] {
        let here = Place::new();
        if other.is_some() {
            fs::create_dir_all(here.path().join("profiles")).unwrap();
            fs::write(here.path().join("profiles/own.json"), own_text().trim_end()).unwrap();
        }
        let taken = take(&here, &there.journals()[0]);
        let words = command(&here, &taken);
        assert_eq!(words[2..4], ["Trainer", "--of"], "{taken}");
        carry_out(&here, &taken);
        let name = if other.is_some() { "own-2" } else { "own" };
        let engines = here.run(&["engines", "--json"]).json();
        assert_eq!(engines["engines"][0]["profile"], name);
        let profile = here.path().join(format!("profiles/{name}.json"));
        assert_eq!(fs::read_to_string(profile).unwrap(), own_text());
        // The session goes on.
        let gone_on = here.run(&["session", "Trainer", "--plain"]);
        assert!(gone_on.out.starts_with("Open: "), "{gone_on}");
    }
}

#[test]
fn an_engine_is_added_by_its_profile_and_hours_or_by_a_session_and_by_nothing_less() {
    let place = with_services();
    for words in [vec!["--profile", "flat-four"], vec!["--hours", "3"], vec![]] {
        let shown = place.run(&[vec!["engine", "add", "X"], words].concat());
        assert_eq!(shown.code, 2, "{shown}");
    }
    let none = place.run(&["engine", "add", "X", "--of", "spring"]);
    assert!(none.failed().0.contains("no session is called"), "{none}");
    let stem = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    let here = place.run(&["engine", "add", "X", "--of", &stem]);
    assert!(here.failed().0.contains("is here: Trainer"), "{here}");
}

#[test]
fn hours_that_are_refused_leave_no_profile_of_the_session_behind() {
    let there = with_an_own_profile();
    let here = Place::new();
    take(&here, &there.journals()[0]);
    let own = here.path().join("profiles/own.json");
    let stem = here.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    let few = here.run(&["engine", "add", "X", "--of", &stem, "--hours", "1"]);
    assert!(few.failed().1.contains("give the hours that the counter shows now"), "{few}");
    assert!(!own.exists(), "nothing is left of what was refused");
    let enough = here.run(&["engine", "add", "X", "--of", &stem, "--hours", "413"]);
    assert!(enough.code == 0 && own.exists(), "{enough}");
}

#[test]
fn a_file_outside_of_the_folder_makes_no_engine_before_it_is_taken() {
    let there = with_services();
    let here = Place::new();
    let path = there.journals()[0].to_string_lossy().into_owned();
    let refused = here.run(&["engine", "add", "X", "--of", &path]);
    let (error, hint) = refused.failed();
    assert_eq!(error, format!("{path} lies outside of this data folder"));
    let first = format!("cowlside take {path} first; then cowlside engine add X --of ");
    assert!(hint.starts_with(&first), "{hint}");
    assert!(here.run(&["engines"]).done().starts_with("No engine yet"));
    take(&here, &there.journals()[0]);
    // By now it is a copy of one that is here.
    let added = here.run(&["engine", "add", "X", "--of", &path]);
    assert!(added.err.contains("X is here again with 1 session; its hours"), "{added}");
}
