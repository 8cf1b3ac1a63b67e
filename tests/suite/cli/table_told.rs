//! `import`: what a table cannot be, against itself and against what is here, and what is only told.

use super::Place;
use super::table::{NEEDED, everything, exported, import, refused};
use crate::cli::services::with_services;

/// A table of one reading, of a session with this name, day and counter.
fn one_row(session: &str, day: &str, hours: &str) -> String {
    format!("{NEEDED}\nE1,flat-four,{session},{day}T10:00:00+02:00,{hours},1,intake,found,6,thou\n")
}

#[test]
fn hours_that_fall_are_refused_against_what_is_here_too() {
    let place = Place::new();
    import(&place, &one_row("S1", "2025-05-01", "100.5"), &[]).done();
    let before = everything(&place);
    for (day, hours, words) in [
        (
            "2024-05-01",
            "200",
            "must not be above the 100.5 of session \"S1\" here on 2025-05-01, which is later",
        ),
        (
            "2025-12-01",
            "50",
            "must not be below the 100.5 of session \"S1\" here on 2025-05-01, which is earlier",
        ),
    ] {
        let shown = import(&place, &one_row("S0", day, hours), &[]);
        assert!(refused(&shown).contains("nothing was taken"), "{shown}");
        assert!(shown.out.contains(&format!("line 2: `hours` is {hours}")), "{shown}");
        assert!(shown.out.contains(words), "{shown}");
        assert_eq!(everything(&place), before);
    }
    // Where there is no end of it, it is said that there is more.
    let wrong = "E1,flat-four,S1,2025-05-01T10:00:00+02:00,100.5,1,intake,found,six,thou\n";
    let shown = import(&place, &format!("{NEEDED}\n{}", wrong.repeat(1_002)), &[]);
    assert!(refused(&shown).contains("1001 problems"), "{shown}");
    assert!(shown.out.contains("line 1002: this is wrong too, and perhaps more"), "{shown}");
    // What goes together is taken, and so is again what is here.
    import(&place, &one_row("S0", "2024-05-01", "100.5"), &[]).done();
    import(&place, &one_row("S2", "2025-12-01", "100.5"), &[]).done();
    assert!(
        import(&place, &one_row("S1", "2025-05-01", "100.5"), &[]).done().contains("here already")
    );
}

#[test]
fn a_past_service_of_more_hours_than_the_engine_has_is_refused_and_what_was_put_right_is_not_asked()
{
    let place = Place::new();
    place.run(&["engine", "add", "E1", "--profile", "flat-four", "--hours", "5"]).done();
    let shown = import(&place, &one_row("S1", "2025-05-01", "100.5"), &[]);
    assert!(refused(&shown).contains("nothing was taken"), "{shown}");
    assert!(
        shown.out.contains("above the 5.0 of the engine here on 2026-03-14, which is later"),
        "{shown}"
    );
    assert!(shown.out.contains("cowlside engine hours E1 HOURS --correct"), "{shown}");
    place.run(&["engine", "hours", "E1", "150", "--correct"]).done();
    import(&place, &one_row("S1", "2025-05-01", "100.5"), &[]).done();
    // Hours run on over counters: the sum is what is compared.
    place.later(60 * 24 * 30);
    place.run(&["engine", "hours", "E1", "1", "--counter-replaced"]).done();
    import(&place, &one_row("S2", "2025-06-01", "120"), &[]).done();
}

#[test]
fn an_engines_hours_that_a_table_raises_are_told_from_what_to_what_and_by_which_row() {
    let place = Place::new();
    import(&place, &one_row("S1", "2025-05-01", "100.5"), &[]).done();
    // An engine that is made stands where the table's last session leaves it, and that is told, too.
    let fresh = import(&place, &one_row("S9", "2025-05-01", "7").replace("E1,", "E2,"), &[]);
    assert!(fresh.done().contains("new engine E2, profile flat-four, at 7.0 h\n"), "{fresh}");
    let table = format!(
        "{}E1,flat-four,S3,2025-12-01T10:00:00+02:00,150,2,intake,found,6,thou\n",
        one_row("S2", "2025-10-01", "120")
    );
    let words = |stands| {
        format!(
            "E1: the counter stood at 100.5 h and {stands} at 150.0 h, by S3 of 2025-12-01 (line 3)\n"
        )
    };
    let dry = import(&place, &table, &["--dry-run"]);
    assert!(dry.done().contains(&words("would stand")), "{dry}");
    assert!(place.run(&["engines"]).done().contains("100.5 h"));
    assert!(import(&place, &table, &[]).done().contains(&words("now stands")));
    assert!(place.run(&["engines"]).done().contains("150.0 h"));
    // Nothing is told where nothing is changed; on another counter it is that counter's figure.
    assert!(!import(&place, &table, &[]).done().contains("stands"));
    place.run(&["engine", "hours", "E1", "1", "--counter-replaced"]).done();
    place.later(60 * 24 * 60);
    let shown = import(&place, &one_row("S4", "2026-05-01", "153.5"), &[]);
    assert!(
        shown.done().contains(
            "E1: the counter stood at 1.0 h and now stands at 3.5 h, by S4 of 2026-05-01 (line 2)\n"
        ),
        "{shown}"
    );
}

#[test]
fn names_of_engines_that_capitals_alone_tell_apart_are_one_engine() {
    let place = Place::new();
    let table = one_row("S1", "2025-05-01", "100.5");
    import(&place, &table, &[]).done();
    let other = one_row("Second", "2025-06-01", "100.5").replace("E1,", "e1,");
    let shown = import(&place, &other, &[]);
    assert!(shown.done().contains("E1: Second,") && !shown.out.contains("new engine"), "{shown}");
    let engines = place.run(&["engines"]);
    assert_eq!(engines.done().lines().count(), 1, "{engines}");
    // Within one table, too, whatever its letters.
    let place = Place::new();
    let within = format!(
        "{}ÖL 1,flat-four,S2,2025-06-01T10:00:00+02:00,101,2,intake,found,6,thou\n",
        table.replace("E1,", "öl 1,")
    );
    let shown = import(&place, &within, &[]);
    assert_eq!(shown.done().matches("new engine").count(), 1, "{shown}");
}

#[test]
fn a_quotation_mark_that_is_never_closed_swallows_no_reading() {
    let place = Place::new();
    let row = |n: u8, note: &str| {
        format!("E1,flat-four,S1,2025-05-01T10:00:00+02:00,100.5,{n},intake,found,6,thou,{note}\n")
    };
    let table =
        format!("{NEEDED},note\n{}{}{}{}", row(1, ""), row(2, "\"checked"), row(3, ""), row(4, ""));
    let shown = import(&place, &table, &[]);
    assert!(refused(&shown).contains("has 1 problem: nothing was taken"), "{shown}");
    assert!(shown.out.contains("line 3: a quotation mark opens a cell on this line"), "{shown}");
    assert!(everything(&place).is_empty());
}

#[test]
fn a_session_of_more_readings_than_it_can_hold_is_refused_by_its_line_and_soon() {
    let place = Place::new();
    let table = one_row("S1", "2025-05-01", "100.5");
    let row = table.lines().nth(1).unwrap();
    let table = format!("{NEEDED}\n{}", format!("{row}\n").repeat(100_000));
    let shown = import(&place, &table, &["--dry-run"]);
    assert!(refused(&shown).contains("1 problem: nothing was taken"), "{shown}");
    let words = "line 2: session \"S1\" has more readings than a session can hold\n";
    assert!(shown.out.ends_with(words), "{shown}");
}

#[test]
fn session_names_longer_than_their_column_are_folded_in_the_list() {
    let place = Place::new();
    let long = "Annual check in the spring of the year with a very long name that goes on and on 1";
    let older = import(&place, &one_row(long, "2025-05-01", "100.5"), &["--so-it-is"]);
    assert_eq!(older.code, 0, "{older}");
    let even = "x".repeat(36);
    import(&place, &one_row(&even, "2025-06-01", "100.5"), &[]).done();
    let listed = place.run(&["sessions", "E1"]);
    let lines: Vec<&str> = listed.done().lines().collect();
    assert!(lines.iter().all(|line| line.len() <= 80), "{listed}");
    assert_eq!(format!("{} {}", lines[0], lines[1]), long, "{listed}");
    let blanks = " ".repeat(37);
    assert!(lines[2].starts_with(&format!("{blanks}2025-05-01  imported")), "{listed}");
    assert!(lines[3].starts_with(&format!("{even} 2025-06-01  imported")), "{listed}");
}

#[test]
fn a_year_in_which_no_service_can_be_is_refused_and_a_day_to_come_is_told() {
    for (day, year) in
        [("9999-12-31", 9999), ("0225-05-01", 225), ("0000-01-01", 0), ("1899-12-31", 1899)]
    {
        let place = Place::new();
        let shown = import(&place, &one_row("S1", day, "100.5"), &[]);
        let words = format!("`date` is in the year {year}, but must be in one from 1900 to 9998");
        assert!(refused(&shown).contains("1 problem") && shown.out.contains(&words), "{shown}");
    }
    let place = Place::new();
    let table = one_row("S1", "2030-05-01", "100.5");
    let shown = import(&place, &table, &[]);
    assert!(refused(&shown).contains("1 problem: nothing was taken"), "{shown}");
    let words = "line 2: `date` is 2030-05-01, which is still to come: by this computer's clock today is \
                 2026-03-14; put right which of them is wrong; where both are right, add --so-it-is";
    assert!(shown.out.contains(words), "{shown}");
    assert!(everything(&place).is_empty());
    // Tomorrow is to come, and today is not, whatever the hour.
    let tomorrow = import(&place, &one_row("S1", "2026-03-15", "100.5"), &["--dry-run"]);
    assert!(tomorrow.code == 1 && tomorrow.out.contains("still to come"), "{tomorrow}");
    let today = one_row("S1", "2026-03-14", "100.5").replace("T10:", "T23:");
    let today = import(&place, &today, &["--dry-run"]);
    assert!(today.code == 0 && today.err.is_empty(), "{today}");
    let shown = import(&place, &table, &["--so-it-is"]);
    assert!(shown.code == 0, "{shown}");
    assert!(shown.err.contains("line 2: `date` is 2030-05-01, which is still to come"), "{shown}");
    // What is here is passed over whatever its day.
    assert!(import(&place, &table, &[]).done().contains("here already"));
    // The day by which the next check comes has four digits of its year.
    let place = Place::new();
    let shown = import(&place, &one_row("S1", "9998-12-31", "100.5"), &["--so-it-is"]);
    assert_eq!(shown.code, 0, "{shown}");
    assert!(!place.run(&["engines"]).out.contains("10000"));
}

#[test]
fn what_is_no_table_is_told_for_what_it_is() {
    let place = with_services();
    let lines = place.run_unsettled(&["export", "--jsonl"]).out;
    let shown = import(&Place::new(), &lines, &[]);
    assert!(refused(&shown).contains("1 problem"), "{shown}");
    assert!(
        shown.out.contains("line 1: this is JSON Lines: import takes the CSV table"),
        "{shown}"
    );
    let shown = import(&Place::new(), "", &[]);
    assert!(refused(&shown).contains("1 problem"), "{shown}");
    assert!(shown.out.contains("line 1: the file is empty"), "{shown}");
}

#[test]
fn signs_that_cannot_be_seen_are_taken_told_and_come_out_again() {
    let place = Place::new();
    let row = "E1,flat-four,S1,2025-05-01T10:00:00+02:00,100.5,1,intake,found,6,thou";
    let table = format!("{NEEDED},note\n{row},safe\u{202e}ton\u{200b}\n");
    let shown = import(&place, &table, &[]);
    assert_eq!(shown.code, 0, "{shown}");
    assert!(shown.err.contains("line 2: `note` holds signs that cannot be seen"), "{shown}");
    assert!(exported(&place).contains("safe\u{202e}ton\u{200b}"));
    let clean = format!("{NEEDED},note\n{row},two lines\n");
    import(&Place::new(), &clean, &[]).done();
}

#[test]
fn a_name_that_two_engines_have_is_told_apart_and_an_exact_spelling_is_enough() {
    let place = Place::new();
    let row = |engine: &str, session: &str, day: &str| {
        format!("{engine},flat-four,{session},{day}T10:00:00+02:00,100.5,1,intake,found,6,thou\n")
    };
    let table = [
        format!("{NEEDED}\n"),
        row("E1", "Annual", "2025-05-01"),
        row("E2", "Annual", "2025-06-02"),
        row("E1", "S1", "2025-07-01"),
        row("E1", "s1", "2025-08-01"),
    ];
    import(&place, &table.concat(), &[]).done();
    let shown = place.run_unsettled(&["report", "Annual"]);
    assert_eq!(shown.code, 1);
    assert!(shown.err.contains("Annual (E1), 2025-05-01, id "), "{}", shown.err);
    // In it each identity has become a word; the file's name ends with how it begins.
    assert!(shown.err.contains("ID-"), "{}", shown.err);
    let id = place.journals()[1].file_stem().unwrap().to_string_lossy().into_owned();
    let id = id.rsplit('-').next().unwrap().to_owned();
    let report = place.run(&["report", &id]);
    assert!(report.done().contains("E2"), "{report}");
    assert!(place.run(&["report", "s1"]).done().contains("2025-08-01"));
    assert!(place.run(&["report", "S1"]).done().contains("2025-07-01"));
    // A file's own name finds its session, too.
    let stem = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    place.run(&["verify", &stem]).done();
    // Of two engines of one name each has its identity.
    let engines = place.path().join("engines");
    let first = std::fs::read_dir(&engines).unwrap().next().unwrap().unwrap().path();
    let old = first.file_stem().unwrap().to_string_lossy().into_owned();
    let copy = std::fs::read_to_string(&first).unwrap().replace(&old, &"7".repeat(26));
    std::fs::write(engines.join(format!("{}.json", "7".repeat(26))), &copy).unwrap();
    let name = copy.split("\"name\":\"").nth(1).unwrap().split('"').next().unwrap();
    let shown = place.run_unsettled(&["sessions", name]);
    assert!(shown.err.contains(&format!("{name}, id 777777")), "{}", shown.err);
    assert_eq!(place.run(&["sessions", "777777"]).code, 0);
}

#[test]
fn a_profile_that_no_file_can_be_named_after_is_told_how_it_can_be_had() {
    let table = |profile: &str| one_row("S1", "2025-05-01", "1").replace("flat-four", profile);
    let shown = import(&Place::new(), &table("Flat 6 (v2)"), &[]);
    let words = "no file in the folder `profiles` can be called so: a name there has small letters";
    assert!(refused(&shown).contains("1 problem") && shown.out.contains(words), "{shown}");
    let shown = import(&Place::new(), &table("flat-6-v2"), &[]);
    assert!(
        shown.out.contains("is not known: put its file into the folder `profiles` first"),
        "{shown}"
    );
}

#[test]
fn a_table_takes_texts_as_long_as_the_questions_do_and_longer_ones_only_where_it_is_said() {
    let pile = format!("J{}", "\u{301}".repeat(60));
    let row = |session: &str, by: &str, note: &str| {
        format!(
            "{NEEDED},by,note\nE1,flat-four,{session},2025-05-01T10:00:00+02:00,100.5,1,intake,found,6,thou,{by},{note}\n"
        )
    };
    let (long, longer) = ("J".repeat(81), "s".repeat(600));
    for (table, words) in [
        (row("S1", &long, ""), "`by`: a name has at most 80 letters, this one has 81: shorten it"),
        (row(&longer, "J", ""), "`session`: a name has at most 80 letters, this one has 600"),
        (row("S1", &pile, ""), "`by`: a letter of it carries more than 7 marks"),
        (row("S1", "J", &pile), "`note`: a letter of it carries more than 7 marks"),
        (row("S1", "J", &"n".repeat(2_001)), "`note`: a note has at most 2000 characters"),
    ] {
        let place = Place::new();
        let shown = import(&place, &table, &[]);
        assert!(refused(&shown).contains("1 problem: nothing was taken"), "{shown}");
        let told = shown.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(&format!("line 2: {words}")), "{shown}");
        let way = "where an earlier version of this program exported it so, add --so-it-is";
        assert!(told.contains(way), "{shown}");
        assert!(everything(&place).is_empty());
        // Such a version's export comes in so, goes out, and is known where it is.
        let shown = import(&place, &table, &["--so-it-is"]);
        assert!(shown.code == 0 && shown.err.contains("since --so-it-is was said"), "{shown}");
        let out = exported(&place);
        assert!(import(&place, &out, &[]).done().contains("here already"));
        import(&Place::new(), &out, &["--so-it-is"]);
    }
    for name in ["engine", "session"] {
        let table = row(if name == "session" { &pile } else { "S1" }, "J", "");
        let table =
            if name == "engine" { table.replace("\nE1", &format!("\n{pile}")) } else { table };
        let shown = import(&Place::new(), &table, &["--so-it-is"]);
        assert!(refused(&shown).contains("1 problem"), "{shown}");
        let words = format!("`{name}`: a letter of it carries more than 7 marks");
        assert!(shown.out.contains(&words), "{shown}");
    }
    let most = row(&"s".repeat(80), &"J".repeat(80), &"n".repeat(2_000));
    assert_eq!(import(&Place::new(), &most, &[]).err, "");
    let add = ["engine", "add", &pile, "--profile", "flat-four", "--hours", "1"];
    let shown = Place::new().run(&add);
    let (error, _) = shown.failed();
    assert!(error.contains("have no letter with more than 7 marks"), "{error}");
}

#[test]
fn a_note_that_export_gathered_of_several_long_ones_comes_in_again() {
    let (why, said) = ("w".repeat(2_000), "r".repeat(2_000));
    let note = format!(
        "\"3 tries before, not told; against the plan: {why}; first entered 9: {why}; {said}\""
    );
    let table = format!(
        "{NEEDED},note\nE1,flat-four,S1,2025-05-01T10:00:00+02:00,100.5,1,intake,found,6,thou,{note}\n"
    );
    let place = Place::new();
    let shown = import(&place, &table, &[]);
    assert!(shown.code == 0 && shown.err.is_empty(), "{shown}");
    let out = exported(&place);
    assert!(out.contains(&note));
    assert_eq!(import(&Place::new(), &out, &[]).err, "");
}
