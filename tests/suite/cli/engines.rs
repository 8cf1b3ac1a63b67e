//! `engine add`, `engine hours`, `engines`.

use super::{Place, fields, listed, shown, snapshot, with_trainer};
use std::fs;

#[test]
fn engines_are_added_listed_and_told_their_hours() {
    let place = Place::new();
    let runs: &[&[&str]] = &[
        &["engines"],
        &["engine", "add", "Blue trainer", "--profile", "flat-four", "--hours", "412.6"],
        &["engine", "add", "Tug", "--profile", "flat-six", "--hours", "1,5", "--serial", "T-17"],
        &["engine", "add", "bLUE TRAINER", "--profile", "flat-four", "--hours", "1"],
        &["engine", "add", "", "--profile", "flat-four", "--hours", "1"],
        &["engine", "add", "Third", "--profile", "flat-for", "--hours", "1"],
        &["engine", "add", "Third", "--profile", "flat-four", "--hours", "-1"],
        &["engine", "add", "Third", "--profile", "flat-four", "--hours", "many"],
        &["engine", "hours", "blue", "43710"],
        &["engine", "hours", "blue", "437.1", "--so-it-is"],
        &["engine", "hours", "blue", "3"],
        &["engine", "hours", "blue", "3", "--counter-replaced"],
        &["engine", "hours", "nobody", "3"],
        &["engines"],
    ];
    snapshot("cli_engines", &shown(&place, runs));
}

#[test]
fn the_list_as_json_names_each_engine_with_its_counter_and_open_session() {
    let place = with_trainer();
    let before = place.run(&["engines", "--json"]).json();
    assert_eq!(fields(&before), ["engines"]);
    let engine = &before["engines"][0];
    let known = [
        "attention",
        "hours",
        "id",
        "last_service",
        "left_open",
        "left_out",
        "name",
        "next_due",
        "open_session",
        "profile",
        "serial",
    ];
    assert_eq!(fields(engine), known);
    assert_eq!(engine["hours"], 412.6);
    assert!(engine["open_session"].is_null());
    assert_eq!(engine["left_open"], serde_json::json!([]));
    place.run_typing(&["session", "Trainer", "--plain"], "\n\n").done();
    let after = place.run(&["engines", "--json"]).json();
    assert_eq!(after["engines"][0]["open_session"], "SESSION-1");
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("a session is open"));
    // Its first check lies behind it; at which hours tells nothing.
    assert!(
        listed.done().contains("no service yet") && !listed.done().contains("next"),
        "{listed}"
    );
}

#[test]
fn a_profile_by_path_is_remembered_by_its_whole_path() {
    let place = Place::new();
    // Tests run in the project's folder.
    let words = ["engine", "add", "Mine", "--profile", "profiles/flat-four.json", "--hours", "1"];
    place.run(&words).done();
    let kept = place.run(&["engines", "--json"]).json()["engines"][0]["profile"].clone();
    let whole = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    assert_eq!(kept, whole);
    let other = ["engine", "add", "Other", "--profile", "flat-four", "--hours", "1"];
    place.run(&other).done();
    assert_eq!(place.run(&["engines", "--json"]).json()["engines"][1]["profile"], "flat-four");
}

#[test]
fn a_broken_engine_file_is_told_and_left_alone() {
    let place = with_trainer();
    place.run(&["engine", "add", "Tug", "--profile", "flat-six", "--hours", "7"]).done();
    let files = listed(&place.path().join("engines"));
    let broken =
        files.iter().find(|path| fs::read_to_string(path).unwrap().contains("Tug")).unwrap();
    fs::write(broken, "{ \"format\": 1").unwrap();
    let list = place.run(&["engines"]);
    assert_eq!(list.code, 1);
    assert!(list.out.contains("Trainer") && !list.out.contains("Tug"), "{list}");
    assert!(list.err.starts_with("warning: left out: "), "{list}");
    let shown = place.run(&["engine", "hours", "Tug", "9"]);
    assert!(shown.failed().1.contains("left out: "), "{shown}");
    assert_eq!(fs::read_to_string(broken).unwrap(), "{ \"format\": 1");
}

#[test]
fn hours_told_by_mistake_are_put_right_and_stay_in_the_file() {
    let place = with_trainer();
    let tell = |words: &[&str]| place.run(&[&["engine", "hours", "Trainer"], words].concat());
    let refused = tell(&["4200"]);
    let (error, hint) = refused.failed();
    assert!(error.contains("4200.0 h is 3787.4 h more than 412.6 h of "), "{error}");
    assert!(hint.contains("--so-it-is"), "{hint}");
    tell(&["4200", "--so-it-is"]).done();
    assert!(tell(&["420"]).failed().1.contains("--correct"));
    assert!(tell(&["4201", "--correct"]).failed().1.contains("--so-it-is"));
    let below = tell(&["410", "--correct"]);
    assert_eq!(below.failed().0, "410.0 h is less than the 412.6 h told before");
    assert!(below.failed().1.contains("--counter-replaced"));
    tell(&["421", "--correct"]).done();
    tell(&["420", "--correct"]).done();
    // A counter said to be replaced by mistake, and one that was, with a figure typed wrong.
    tell(&["5", "--counter-replaced"]).done();
    tell(&["425", "--correct"]).done();
    tell(&["7", "--counter-replaced"]).done();
    tell(&["6", "--counter-replaced", "--correct"]).done();
    let file = fs::read_dir(place.path().join("engines")).unwrap().flatten();
    let file = file.map(|file| file.path()).find(|path| path.extension().is_some()).unwrap();
    let engine: serde_json::Value = serde_json::from_slice(&fs::read(file).unwrap()).unwrap();
    let told = engine["hours"].as_array().unwrap().iter();
    let hours: Vec<(i64, &str, i64)> = told
        .map(|told| {
            let number = |member: &str| told[member].as_i64().unwrap_or(0);
            (number("hours"), told["why"].as_str().unwrap_or(""), number("offset"))
        })
        .collect();
    assert_eq!(
        hours,
        [
            (41_260, "", 0),
            (420_000, "", 0),
            (42_100, "corrected", 0),
            (42_000, "corrected", 0),
            (500, "counter replaced", 42_000),
            (42_500, "corrected", 0),
            (700, "counter replaced", 42_500),
            (600, "counter replaced, corrected", 42_500),
        ]
    );
}

#[test]
fn engines_are_found_by_the_beginning_of_a_name_and_several_are_named() {
    let place = with_trainer();
    place.run(&["engine", "add", "Trainer two", "--profile", "flat-four", "--hours", "7"]).done();
    place.run(&["engine", "hours", "trainer", "420"]).done();
    let shown = place.run(&["engine", "hours", "train", "500"]);
    let (error, _) = shown.failed();
    assert!(error.contains("Trainer, Trainer two"), "{shown}");
}

#[test]
fn what_needs_attention_comes_first_and_engines_are_found_by_a_word() {
    let place = crate::cli::services::with_services();
    let add = |name: &str, serial: &str| {
        let words =
            ["engine", "add", name, "--profile", "flat-four", "--hours", "1", "--serial", serial];
        place.run(&words).done();
    };
    add("Alpha", "A-1");
    add("Beta", "B-2");
    let rows = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit\n\
                Beta,flat-four,annual,2025-01-05T10:00:00Z,1,1,exhaust,found,12,thou\n\
                Gamma,flat-four,annual,2027-03-05T10:00:00Z,700,1,exhaust,found,12,thou\n";
    let table = place.path().join("paper.csv");
    std::fs::write(&table, rows).unwrap();
    place.run(&["import", table.to_str().unwrap()]).done();
    place.run(&["engine", "hours", "Gamma", "795", "--so-it-is"]).done();
    let list = |words: &[&str]| -> Vec<(String, serde_json::Value)> {
        let document = place.run(&[&["engines", "--json"], words].concat()).json();
        let rows = document["engines"].as_array().unwrap().iter();
        rows.map(|row| (row["name"].as_str().unwrap().into(), row["attention"].clone())).collect()
    };
    let row = |name: &str, attention: serde_json::Value| (name.to_string(), attention);
    assert_eq!(
        list(&[]),
        // Beta's year is over though it has run no hour.
        [
            row("Trainer", "open".into()),
            row("Beta", "due".into()),
            row("Gamma", "soon".into()),
            row("Alpha", ().into())
        ]
    );
    assert_eq!(list(&["b-2"]), [row("Beta", "due".into())]);
    let beta = &place.run(&["engines", "beta", "--json"]).json()["engines"][0];
    assert_eq!(
        (&beta["last_service"], &beta["next_due"]["hours"]),
        (&"2025-01-05".into(), &101.0.into())
    );
    assert_eq!(beta["next_due"]["date"], "2026-01-05");
    let text = place.run(&["engines", "gamma"]);
    assert!(
        text.done().contains("next 800.0 h or 2028-03-05, whichever comes first  due soon"),
        "{text}"
    );
    assert!(place.run(&["engines", "nothing"]).done().contains("No engine has \"nothing\""));
    let due = place.run(&["engine", "hours", "Gamma", "800"]);
    due.done();
    assert_eq!(list(&["gamma"]), [row("Gamma", "due".into())]);
}

#[test]
fn an_engine_without_a_service_that_counts_is_due_by_its_first_interval() {
    let place = crate::cli::Place::new();
    let add = |name: &str, profile: &str, hours: &str| {
        place.run(&["engine", "add", name, "--profile", profile, "--hours", hours]).done();
    };
    // 25 h to the first service, 100 h between them, by the profile.
    for (name, hours) in [("New", "3"), ("Soon", "16"), ("Old", "5000"), ("Ahead", "1")] {
        add(name, "flat-four", hours);
    }
    let listed = place.run(&["engines", "--json"]).json();
    let rows: Vec<_> = listed["engines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| {
            let (due, attention) = (&row["next_due"]["hours"], &row["attention"]);
            (row["name"].as_str().unwrap(), due.as_f64(), attention.as_str())
        })
        .collect();
    assert_eq!(
        rows,
        [
            ("Old", None, Some("due")),
            ("Soon", Some(25.0), Some("soon")),
            ("Ahead", Some(25.0), None),
            ("New", Some(25.0), None),
        ]
    );
    let text = place.run(&["engines"]);
    assert!(text.done().contains("no service yet  never checked here"), "{text}");
    place.run(&["engine", "hours", "New", "25"]).done();
    assert!(place.run(&["engines", "new"]).done().contains("never checked here"));
}

#[test]
fn a_partial_or_unsigned_session_moves_the_next_check_nowhere() {
    let place = crate::cli::with_trainer();
    let rows = |session: &str, hours: &str, valves: &[(u8, &str)]| -> String {
        let row = |&(cylinder, kind): &(u8, &str)| {
            format!(
                "Paper,flat-four,{session},2026-0{}-05T10:00:00Z,{hours},{cylinder},{kind},found,12,thou\n",
                &hours[..1]
            )
        };
        valves.iter().map(row).collect()
    };
    let all: Vec<(u8, &str)> =
        (1..=4).flat_map(|cylinder| [(cylinder, "intake"), (cylinder, "exhaust")]).collect();
    let table = place.path().join("paper.csv");
    let head = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit\n";
    let text = head.to_string() + &rows("full", "100", &all) + &rows("one valve", "250", &all[..1]);
    std::fs::write(&table, text).unwrap();
    place.run(&["import", table.to_str().unwrap()]).done();
    let next = || {
        let listed = place.run(&["engines", "paper", "--json"]).json();
        let history = place.run(&["history", "Paper", "--json"]).json();
        let (row, check) = (&listed["engines"][0]["next_due"], &history["next_check"]);
        assert_eq!((&row["hours"], &row["date"]), (&check["hours"], &check["date"]));
        row["hours"].as_f64().unwrap()
    };
    // Worked out, then noted.
    assert_eq!((next(), next()), (200.0, 200.0));
}

/// Replaces the profile of a plain session by one of the user's own, which is changed after that or
/// not, and closes it; what is said then.
fn closed_with_a_profile(changed: bool) -> String {
    let place = Place::new();
    fs::create_dir_all(place.path().join("profiles")).unwrap();
    let own = place.path().join("profiles/mine.json");
    let text = include_str!("../../../profiles/flat-four-1423.json");
    fs::write(&own, text).unwrap();
    place.run(&["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "1"]).done();
    let session = ["session", "Trainer", "--plain"];
    let list = place.run_typing(&session, "\n\nJo\nManual\n3\n12\n*\n9\n9\n").out;
    assert!(list.contains("    3  the profile is the wrong one: replace it"), "{list}");
    place.run_typing(&session, "*\n9\n9\n3\n1\nplate\n1\n");
    if changed {
        let other = text.replace("\"interval_hours\": 100", "\"interval_hours\": 50");
        assert_ne!(other, text);
        fs::write(&own, other).unwrap();
    }
    place.run_typing(&session, "*\n9\n9\n8\n2\n").out
}

#[test]
fn the_profile_that_a_service_went_on_with_is_named_by_its_path_where_its_name_finds_another() {
    let said = closed_with_a_profile(false);
    assert!(said.contains("went on with mine") && said.contains("profile Trainer mine"), "{said}");
    let said = closed_with_a_profile(true);
    assert!(said.contains("went on with mine") && said.contains("PATH, the path of"), "{said}");
}

#[test]
fn hours_that_are_told_by_a_clock_that_cannot_be_right_are_kept_and_the_clock_is_named() {
    let place = Place::new();
    // 1969-06-15 09:00 at an offset of one hour; in the year 10003, which is told as the last that has
    // four digits, as in a session: hours of a day that cannot be read again would be damage for good.
    for (clock, day) in [(-17_251_200_000, "1969-06-15"), (253_524_124_800_000, "9999-12-31")] {
        place.set_clock(clock);
        let name = format!("Trainer {day}");
        for words in [
            &["engine", "add", &name, "--profile", "flat-four", "--hours", "412.6"][..],
            &["engine", "hours", &name, "413"],
        ] {
            let shown = place.run(words);
            let told = format!("warning: clock doubtful: it shows {day}");
            assert!(shown.code == 0 && shown.err.starts_with(&told), "{words:?}: {shown}");
        }
        place.set_clock(super::MORNING);
        place.run(&["engine", "hours", &name, "414"]).done();
        place.run(&["engines"]).done();
    }
}

#[test]
fn a_profile_that_cannot_be_used_is_told_with_the_engines_that_go_by_it() {
    let place = Place::new();
    let own = place.path().join("profiles/mine.json");
    fs::create_dir_all(own.parent().unwrap()).unwrap();
    let sound = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    fs::copy(sound, &own).unwrap();
    for name in ["One", "Two", "Three"] {
        place.run(&["engine", "add", name, "--profile", "mine", "--hours", "10"]).done();
    }
    place.run(&["engines"]).done();
    let told = " and 2 more: its profile cannot be used: ";
    fs::write(&own, "{\"format\": 1").unwrap();
    let damaged = place.run(&["engines"]);
    assert!(damaged.err.contains(told) && damaged.err.contains("mine.json"), "{damaged}");
    assert_eq!(damaged.err.matches("cannot be used").count(), 1, "{damaged}");
    // Nobody types hours in vain.
    let begun = place.run_typing(&["session", "One", "--plain"], "11\n");
    assert!(!begun.out.contains("Running hours"), "{begun}");
    fs::remove_file(&own).unwrap();
    let gone = place.run(&["engines"]);
    assert!(gone.err.contains(told) && gone.err.contains("there is no profile `mine`"), "{gone}");
}

/// Runs the built program with an output that takes nothing.
#[cfg(target_os = "linux")]
fn into_nothing(place: &Place, words: &[&str]) -> (Option<i32>, String) {
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_cowlside"));
    program.args(words).env_clear().env("COWLSIDE_HOME", place.path()).stdout(full);
    let shown = program.output().unwrap();
    (shown.status.code(), String::from_utf8(shown.stderr).unwrap())
}

#[test]
#[cfg(target_os = "linux")]
fn what_was_done_is_not_called_undone_where_only_its_words_were_lost() {
    let place = with_trainer();
    let outside = tempfile::tempdir().unwrap();
    let file = outside.path().join("a.backup").to_string_lossy().into_owned();
    let other = with_trainer();
    let from = other.path().to_string_lossy().into_owned();
    for words in [
        vec!["engine", "hours", "Trainer", "620"],
        vec!["engine", "add", "Two", "--profile", "flat-four", "--hours", "1"],
        vec!["backup", &file],
        vec!["take", &from],
        vec!["restore", &file],
    ] {
        let (code, err) = into_nothing(&place, &words);
        assert_eq!(code, Some(1), "{err}");
        assert!(err.contains("error: it was done; only the words about it"), "{words:?}: {err}");
    }
    let listed = place.run(&["engines"]);
    for words in ["Two", "620.0 h", "Trainer 2"] {
        assert!(listed.out.contains(words), "{words}: {listed}");
    }
    // What only tells something has done nothing.
    assert!(into_nothing(&place, &["engines"]).1.contains("error: cannot write the output"));
    assert!(!into_nothing(&place, &["take", &from, "--dry-run"]).1.contains("it was done"));
}

#[test]
fn a_flaw_in_an_engines_file_is_told_and_the_engine_stays() {
    let id = "1".repeat(26);
    let told = |hours: &str| {
        format!(
            "{{\"format\":1,\"id\":\"{id}\",\"name\":\"Odd\",\"serial\":\"\",\"profile\":\"flat-four\",\"hours\":{hours}}}"
        )
    };
    let one = "{\"date\":\"2026-03-14\",\"hours\":100}";
    for (text, words) in [
        (told("[]"), "`hours` is empty"),
        (told("[{\"date\":\"2023-13-19\",\"hours\":100}]"), "\"2023-13-19\" is no day"),
        (
            told(&format!("[{one},{{\"date\":\"2026-03-15\",\"hours\":50}}]")),
            "0.5 on 2026-03-15 is less than the 1.0",
        ),
        (
            format!("[1,\"{id}\",\"Odd\",\"\",\"flat-four\",[{one}]]"),
            "it is a list where an object",
        ),
    ] {
        let place = with_trainer();
        std::fs::write(place.path().join(format!("engines/{id}.json")), text).unwrap();
        let checked = place.run(&["verify"]);
        assert!(checked.code == 1 && checked.out.contains(words), "{words}: {checked}");
        assert!(checked.out.contains("DAMAGED    engine Odd: "), "{checked}");
        let listed = place.run(&["engines"]);
        assert!(listed.code == 0 && listed.err.contains(words), "{words}: {listed}");
        assert!(listed.out.contains("Odd"), "{listed}");
    }
    // Fewer hours with a reason are none.
    let place = with_trainer();
    place.run(&["engine", "hours", "Trainer", "1", "--counter-replaced"]).done();
    place.run(&["engine", "hours", "Trainer", "2"]).done();
    place.run(&["engine", "hours", "Trainer", "3", "--correct"]).done();
    assert!(place.run(&["verify"]).done().ends_with("Everything is whole.\n"));
}

#[test]
fn a_serial_number_with_signs_that_cannot_be_seen_is_refused() {
    let place = Place::new();
    let add = |serial: &str| {
        place.run(&[
            "engine",
            "add",
            "A",
            "--profile",
            "flat-four",
            "--hours",
            "1",
            "--serial",
            serial,
        ])
    };
    for serial in ["T\u{202e}17", "T\u{1b}[31m", "T\u{200b}1"] {
        assert!(add(serial).failed().0.contains("the serial number"), "{serial:?}");
    }
    add("T-17/\u{e4}").done();
}

#[test]
fn what_was_due_before_a_new_counter_is_due_now() {
    let place = super::services::with_services();
    place.later(365 * 24 * 60);
    let before = place.run(&["engines", "--json"]).json();
    assert!(before["engines"][0]["next_due"]["hours"].as_f64().unwrap() > 0.0, "{before}");
    place.run(&["engine", "hours", "Trainer", "900"]).told_over_a_session();
    place.run(&["engine", "hours", "Trainer", "1", "--counter-replaced"]).told_over_a_session();
    let listed = place.run(&["engines"]);
    assert!(listed.out.contains("next now") && !listed.out.contains("next -"), "{listed}");
    let after = place.run(&["engines", "--json"]).json();
    assert_eq!(after["engines"][0]["next_due"]["hours"], 0.0);
    assert_eq!(after["engines"][0]["next_due"]["hours_by"], "counter");
}

#[test]
fn an_engine_whose_profile_is_gone_is_given_another_by_what_the_hint_says() {
    let place = Place::new();
    let profiles = place.path().join("profiles");
    std::fs::create_dir_all(&profiles).unwrap();
    let built_in = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    std::fs::copy(built_in, profiles.join("mine.json")).unwrap();
    place.run(&["engine", "add", "Blue trainer", "--profile", "mine", "--hours", "1"]).done();
    std::fs::remove_file(profiles.join("mine.json")).unwrap();
    let shown = place.run(&["session", "Blue trainer", "--plain"]);
    assert_eq!(shown.code, 1, "{shown}");
    let hint = "cowlside engine profile \"Blue trainer\" PROFILE";
    assert!(shown.err.contains(hint), "{shown}");
    place.run(&["engine", "profile", "Blue trainer", "flat-four"]).done();
    assert_eq!(place.run_typing(&["session", "Blue trainer", "--plain"], "").code, 0);
}
