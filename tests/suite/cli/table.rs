//! `export` and `import`: the flat table out and in again, and every way in which it is refused.

use super::{Place, Shown, with_trainer};
use crate::cli::services::with_services;
use crate::services::{MORNING, Service as Walk, flat_four};
use cowlside::domain::entry::Remark;
use cowlside::domain::flat;
use cowlside::domain::service::Service;
use cowlside::store::table;
use proptest::prelude::*;
use std::path::PathBuf;

const HEAD: &str = "engine,profile,session,date,hours,cylinder,valve,number,round,step,typed,unit,\
                    low_mm,high_mm,low_in,high_in,verdict,by,temp_c,aimed,part_out,part_in,note";
pub const NEEDED: &str = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit";

/// Writes a table into a place and imports it.
pub fn import(place: &Place, table: &str, more: &[&str]) -> Shown {
    let path = file(place, table);
    let words = [&["import", path.to_str().unwrap()], more].concat();
    place.run(&words)
}

fn file(place: &Place, table: &str) -> PathBuf {
    let path = place.path().join("table.csv");
    std::fs::write(&path, table).unwrap();
    path
}

/// The table as it stands on standard output, with no name replaced.
pub fn exported(place: &Place) -> String {
    let shown = place.run_unsettled(&["export"]);
    assert_eq!((shown.code, shown.err.as_str()), (0, ""), "{}", shown.err);
    shown.out
}

/// Returns the `error:` and `hint:` lines of an import that took nothing; problems are told before.
pub fn refused(shown: &Shown) -> String {
    assert_eq!(shown.code, 1, "{shown}");
    assert!(shown.err.starts_with("error: ") && shown.err.contains("\nhint: "), "{shown}");
    shown.err.clone()
}

fn rows(table: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().from_reader(table.as_bytes());
    assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>().join(","), HEAD);
    reader.records().map(|row| row.unwrap().iter().map(String::from).collect()).collect()
}

/// Everything in a place's folders, to see that nothing changed.
pub fn everything(place: &Place) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for folder in ["engines", "sessions"] {
        let Ok(entries) = std::fs::read_dir(place.path().join(folder)) else { continue };
        for entry in entries {
            let path = entry.unwrap().path();
            all.push((path.clone(), std::fs::read(path).unwrap()));
        }
    }
    all.sort();
    all
}

#[test]
fn every_reading_is_a_row_with_the_contracts_columns_and_line_ends() {
    let place = with_services();
    let table = exported(&place);
    assert!(table.starts_with(&format!("{HEAD}\r\n")), "{table}");
    assert_eq!(table.matches('\n').count(), table.matches("\r\n").count());
    let rows = rows(&table);
    // Two whole services of eight valves in two rounds, and one reading of the third... of cylinder 1.
    assert_eq!(rows.iter().filter(|row| row[2] == rows[0][2]).count(), 16);
    let first = &rows[0];
    assert_eq!((&*first[0], &*first[1], &*first[4]), ("Trainer", "flat-four", "412.6"));
    assert!(first[3].starts_with("2026-03-14T09:00:") && first[3].ends_with("+01:00"), "{first:?}");
    assert_eq!(
        first[5..17].join(" "),
        "1 intake 1 1 found 6 thou 0.139700 0.165100 0.005500000 0.006500000 in limits"
    );
    let hours: Vec<f64> = rows.iter().map(|row| row[4].parse().unwrap()).collect();
    assert!(hours.is_sorted());
}

#[test]
fn a_try_is_left_once_its_nut_was_answered_for() {
    let place = Place::new();
    let mut mechanic = crate::plain::Mechanic {
        reads: [("3 exhaust".to_string(), vec!["8", "12"])].into(),
        tries: [("3 exhaust".to_string(), "11 12")].into(),
        ..Default::default()
    };
    place.run(&["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "1"]).done();
    place.run_asked(&["session", "Trainer", "--plain"], &mut mechanic).done();
    let table = exported(&place);
    let of: Vec<(String, String, String)> = rows(&table)
        .into_iter()
        .filter(|row| row[5] == "3" && row[6] == "exhaust")
        .map(|row| (row[9].clone(), row[10].clone(), row[16].clone()))
        .collect();
    let step = |step: &str, typed: &str, verdict: &str| (step.into(), typed.into(), verdict.into());
    assert_eq!(of[0], step("found", "8", "tight"));
    assert_eq!(of[1], step("try", "11", "in limits"));
    assert_eq!(of[2], step("left", "12", "in limits"));
    assert_eq!(of[3], step("recheck", "12", "in limits"));
    assert_eq!(of.len(), 4, "{of:?}");
}

#[test]
fn what_was_withdrawn_is_left_out_and_a_remark_typed_right_after_a_reading_is_its_note() {
    use cowlside::domain::session::{Due, Input};
    let mut walk = Walk::begun(flat_four(), "spring", MORNING, 41_260);
    walk.until(|due| matches!(due, Due::Gauge(..)));
    let gauge = |typed: &str| Input::Gauge { typed: typed.into(), sure: true };
    walk.input(gauge("9"));
    walk.input(Input::TakeBack);
    walk.input(gauge("6"));
    let remark = Remark { cylinder: Some(1), text: "pad hollow".into(), ..Remark::default() };
    walk.keep(cowlside::domain::entry::Entry::Remark(remark));
    let rows = flat::rows(&walk.session, &Service::of(&walk.session), "Trainer");
    assert_eq!(rows.len(), 1);
    assert_eq!((&*rows[0].typed, &*rows[0].note), ("6", "pad hollow"));
    assert_eq!(rows[0].head.map(|head| head.0), Some(20_000));
    assert!(table::csv_line(&rows[0]).contains(",A. Fitter,20,,,,pad hollow\r\n"));
}

#[test]
fn what_was_exported_is_imported_elsewhere_and_exports_as_the_same_table() {
    let place = with_services();
    let table = exported(&place);
    let other = Place::new();
    other.later(366 * 24 * 60);
    let shown = import(&other, &table, &[]);
    shown.done();
    assert!(
        shown.out.contains("new engine Trainer") && shown.out.contains("3 of 3 sessions taken"),
        "{shown}"
    );
    assert_eq!(exported(&other), table);
    // Again: every row is here already.
    let before = everything(&other);
    let again = import(&other, &table, &[]);
    assert!(again.done().contains("0 of 3 sessions taken"), "{again}");
    let home = import(&place, &table, &[]);
    assert!(home.done().contains("0 of 3 sessions taken"), "{home}");
    assert_eq!(everything(&other), before);
}

#[test]
fn imported_sessions_are_closed_marked_and_count_in_history_and_comparison() {
    let place = with_services();
    let other = Place::new();
    other.later(366 * 24 * 60);
    import(&other, &exported(&place), &[]).done();
    let one = |place: &Place| place.run(&["history", "Trainer", "--json"]).json();
    let (here, there) = (one(&place), one(&other));
    for valve in 0..8 {
        for member in ["drift", "adjusted_total", "forecast"] {
            let (here, there) = (&here["valves"][valve][member], &there["valves"][valve][member]);
            // The open session's valves that were not reached are missing for good in a closed one.
            if !here.is_null() && !there.is_null() {
                assert_eq!(here, there, "{valve} {member}");
            }
        }
    }
    let sessions = other.run(&["sessions", "Trainer"]);
    assert_eq!(sessions.done().matches("imported").count(), 3, "{sessions}");
    let compared = other.run(&["compare", "Trainer"]);
    assert!(compared.done().contains("was imported from a table"), "{compared}");
    let record = other.run(&["report", &rows(&exported(&place))[0][2]]);
    assert!(record.done().contains("NOT SIGNED HERE: made from a table"), "{record}");
}

#[test]
fn a_paper_record_needs_ten_columns_and_what_is_left_out_is_worked_out() {
    let place = with_trainer();
    let table = format!(
        "\u{feff}{NEEDED}\nTrainer,flat-four,annual 2023,2023-03-01T10:00:00+01:00,250,1,exhaust,found,8,thou\n\
         trainer,flat-four,annual 2023,2023-03-01T10:00:00+01:00,250.0,1,exhaust,left,12,thou\n\
         Old tug,flat-six,spring,2022-04-05T08:30:00Z,\"1012,5\",6,intake,found,0.15/0.20,mm\n"
    );
    let problems = import(&place, &table, &[]);
    assert!(
        refused(&problems).contains("1 problem"),
        "the engine is spelled in two ways: {problems}"
    );
    let table = table.replace("trainer", "Trainer");
    let dry = import(&place, &table, &["--dry-run"]);
    assert!(dry.done().contains("2 of 2 sessions would be taken"), "{dry}");
    assert_eq!(place.journals().len(), 0);
    import(&place, &table, &[]).done();
    let rows = rows(&exported(&place));
    let of = |n: usize, from: usize, to: usize| rows[n][from..to].join(" ");
    assert_eq!(of(0, 0, 3), "Old tug flat-six spring");
    assert_eq!(
        of(0, 4, 17),
        "1012.5 6 intake 1 1 found 0.15/0.20 mm 0.150000 0.200000 0.005905512 0.007874016 in limits"
    );
    // No set is known: half a thousandth on either side.
    assert_eq!(of(1, 9, 17), "found 8 thou 0.190500 0.215900 0.007500000 0.008500000 tight");
    assert_eq!(of(2, 9, 17), "left 12 thou 0.292100 0.317500 0.011500000 0.012500000 in limits");
    let engines = place.run(&["engines", "--json"]).json();
    let hours: Vec<_> =
        engines["engines"].as_array().unwrap().iter().map(|one| one["hours"].clone()).collect();
    assert_eq!(hours, [1012.5, 412.6], "an older service takes back no hours");
}

#[test]
fn every_problem_is_told_by_its_line_and_nothing_is_taken() {
    let place = with_trainer();
    let row = "Trainer,flat-four,annual,2023-03-01T10:00:00+01:00,250,1,exhaust,found,8,thou";
    let before = everything(&place);
    for (line, problem) in [
        (row.replace("250", "-3"), "`hours` \"-3\" must lie between"),
        (
            row.replace("2023-03-01T10:00:00+01:00", "2023-03-01"),
            "`date` is \"2023-03-01\", but must be",
        ),
        (row.replace(",1,exh", ",0,exh"), "`cylinder` is \"0\""),
        (row.replace(",1,exh", ",7,exh"), "has no valve 7 exhaust"),
        (
            row.replace("exhaust", "outlet"),
            "`valve` is \"outlet\", but must be one of: intake, exhaust",
        ),
        (
            row.replace("found", "before"),
            "`step` is \"before\", but must be one of: found, try, left, recheck",
        ),
        (row.replace("thou", "mil"), "`unit` is \"mil\""),
        (row.replace(",8,", ",x,"), "`typed`: \"x\" is no leaf"),
        (row.replace(",8,", ",8/7,"), "`typed`: \"8/7\""),
        (row.replace(",8,", ",8 mm,"), "`typed`: the reading has two different units"),
        (
            row.replace("flat-four,annual", "flat-five,other"),
            "the profile \"flat-five\" is not known",
        ),
        (
            row.replace("flat-four,annual", "/etc/passwd,other"),
            "the profile \"/etc/passwd\" is not known",
        ),
        (row.replace("annual", ""), "`session` is empty"),
        (row.replace("Trainer", "a\u{202e}b"), "`engine` is \"a\u{fffd}b\""),
        (format!("{row},more"), "it has 11 cells, but the head has 10"),
    ] {
        let shown = import(&place, &format!("{NEEDED}\n{row}\n{line}\n"), &[]);
        let line = shown.out.lines().find(|line| line.contains(".csv, line 3: "));
        assert!(line.is_some_and(|line| line.contains(problem)), "{problem}: {shown}");
        assert!(refused(&shown).contains("import it again"), "{shown}");
    }
    for (table, problem) in [
        (String::new(), "the file is empty"),
        (format!("{NEEDED}\n"), "no rows"),
        (format!("{NEEDED},colour\n{row},red\n"), "no column `colour`"),
        (format!("{NEEDED},unit\n{row},mm\n"), "`unit` stands twice"),
    ] {
        let shown = import(&place, &table, &[]);
        assert!(shown.out.contains(problem) && shown.code == 1, "{problem}: {shown}");
    }
    let three =
        format!("{NEEDED}\n{}\n{}\n{row}\n", row.replace(",8,", ",,"), row.replace(",1,", ",a,"));
    let shown = import(&place, &three, &["--dry-run"]);
    assert!(refused(&shown).contains("2 problems"), "{shown}");
    assert_eq!(everything(&place), before);
    assert_eq!(place.run(&["import", "nowhere.csv"]).code, 1);
}

#[test]
fn a_session_that_is_here_takes_no_other_row_and_hours_do_not_run_backwards() {
    let place = with_trainer();
    let row = |session: &str, day: &str, hours: &str, typed: &str| {
        format!(
            "Tug,flat-four,{session},2023-03-{day}T10:00:00Z,{hours},1,exhaust,found,{typed},thou\n"
        )
    };
    let first = format!("{NEEDED}\n{}", row("one", "01", "250", "8"));
    import(&place, &first, &[]).done();
    let other = import(&place, &format!("{NEEDED}\n{}", row("one", "01", "250", "9")), &[]);
    assert!(other.out.contains("line 2: session \"one\" is here already"), "{other}");
    let both = format!("{first}{}", row("two", "05", "260", "9"));
    assert!(import(&place, &both, &[]).done().contains("1 of 2 sessions taken"));
    let back = format!("{NEEDED}\n{}{}", row("x", "01", "250", "8"), row("y", "02", "240", "8"));
    let back = import(&place, &back.replace("Tug", "Other"), &[]);
    assert!(
        back.out.contains("line 3: `hours` is 240.0, but must not be below the 250.0 of \"x\""),
        "{back}"
    );
}

#[test]
fn a_verdict_that_the_profile_does_not_give_is_told_and_the_row_taken() {
    let place = with_trainer();
    let table = format!(
        "{NEEDED},verdict\nTrainer,flat-four,annual,2023-03-01T10:00:00Z,250,1,exhaust,found,8,thou,in limits\n"
    );
    let shown = import(&place, &table, &[]);
    assert_eq!(shown.code, 0, "{shown}");
    assert!(
        shown.err.contains(
            ".csv, line 2: the table says in limits; by the profile flat-four it is tight"
        ),
        "{shown}"
    );
}

#[test]
fn json_lines_say_the_same_with_numbers_as_numbers() {
    let place = with_services();
    let lines = place.run_unsettled(&["export", "--jsonl"]).out;
    let rows = rows(&exported(&place));
    assert_eq!(lines.lines().count(), rows.len());
    for (line, row) in lines.lines().zip(&rows) {
        let object: serde_json::Value = serde_json::from_str(line).unwrap();
        assert_eq!(object.as_object().unwrap().len(), 23);
        for (column, cell) in HEAD.split(',').zip(row) {
            let found = &object[column];
            let same = match found {
                serde_json::Value::Null => cell.is_empty(),
                serde_json::Value::Number(number) => {
                    number.as_f64().unwrap() == cell.parse::<f64>().unwrap()
                }
                other => other.as_str() == Some(cell),
            };
            assert!(same, "{column}: {found} {cell}");
        }
    }
    assert!(lines.contains("\"low_mm\":0.139700,"), "{lines}");
}

/// A row of one engine: session, cylinder, exhaust or intake, step, reading, more text.
type Drawn = (u8, u8, bool, u8, String, [String; 3]);

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        "[ -~]{1,12}",
        "['=+@-][ -~]{0,6}",
        Just("Müller, \"Bo\"\nzwei".to_string()),
    ]
}

fn any_row() -> impl Strategy<Value = Drawn> {
    let reading = prop_oneof![
        (3..20_u8).prop_map(|leaf| leaf.to_string()),
        (3..20_u8).prop_map(|leaf| format!("{leaf}.5/{}", leaf + 2)),
        (3..20_u8).prop_map(|leaf| format!("/{leaf}")),
        (3..20_u8).prop_map(|leaf| format!("{leaf}/")),
        (3..9_u8).prop_map(|leaf| format!("{leaf}+12")),
        Just("0".to_string()),
    ];
    (0..3_u8, 1..=4_u8, any::<bool>(), 0..4_u8, reading, [any_text(), any_text(), any_text()])
}

fn quoted(text: &str) -> String {
    let guard =
        if text.trim_start_matches('\'').starts_with(['=', '+', '-', '@']) { "'" } else { "" };
    format!("\"{guard}{}\"", text.replace('"', "\"\""))
}

proptest! {
    #![proptest_config(crate::seeded::config(32))]

    #[test]
    fn any_table_that_is_taken_comes_out_again(drawn in prop::collection::vec(any_row(), 1..20)) {
        let mut table = format!("{NEEDED},by,part_out,note\n");
        for (session, cylinder, exhaust, step, typed, [by, part, note]) in &drawn {
            let kind = if *exhaust { "exhaust" } else { "intake" };
            let step = ["found", "try", "left", "recheck"][usize::from(*step)];
            let (day, hours) = (session + 1, 100 + u32::from(*session) * 50);
            table += &format!(
                "Tug,flat-four,s{session},2023-03-0{day}T10:00:00Z,{hours},{cylinder},{kind},{step},{typed},thou,{},{},{}\n",
                quoted(by), quoted(part), quoted(note)
            );
        }
        let (one, other) = (Place::new(), Place::new());
        import(&one, &table, &[]).done();
        let out = exported(&one);
        let rows = rows(&out);
        prop_assert_eq!(rows.len(), drawn.len());
        let mut by_session = drawn.clone();
        by_session.sort_by_key(|row| row.0);
        for (row, (_, cylinder, _, _, typed, [by, part, note])) in rows.iter().zip(&by_session) {
            let text = |cell: &str| cell.strip_prefix('\'').filter(|rest| {
                rest.trim_start_matches('\'').starts_with(['=', '+', '-', '@'])
            }).unwrap_or(cell).to_string();
            prop_assert_eq!(&row[5], &cylinder.to_string());
            prop_assert_eq!(&row[10], typed);
            prop_assert_eq!((&text(&row[17]), &text(&row[20]), &text(&row[22])), (by, part, note));
        }
        import(&other, &out, &[]).done();
        prop_assert_eq!(exported(&other), out);
    }

    #[test]
    fn no_bytes_upset_the_reader(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = cowlside::store::table::read(&bytes);
        let with_head = [format!("{NEEDED}\n").into_bytes(), bytes].concat();
        let _ = cowlside::store::table::read(&with_head);
    }
}

#[test]
fn one_reading_is_told_as_one() {
    let place = with_trainer();
    let row = |cylinder: u8| {
        format!(
            "Trainer,flat-four,spring,2025-03-01T10:00:00+01:00,400,{cylinder},intake,found,0.006,in\n"
        )
    };
    let told = |table: &str| import(&place, table, &["--dry-run"]).out;
    let one = told(&format!("{NEEDED}\n{}", row(1)));
    assert!(one.contains(": 1 reading\n"), "{one}");
    let two = told(&format!("{NEEDED}\n{}{}", row(1), row(2)));
    assert!(two.contains(": 2 readings\n"), "{two}");
    // A service of another kind of engine is taken, and doubted wherever it is looked at.
    let six = |name: &str, hours: u32| {
        let day = format!("2025-0{}-01T10:00:00+01:00", hours / 100);
        format!("Trainer,flat-six,{name},{day},{hours},6,intake,found,0.20,mm\n")
    };
    let table = format!("{NEEDED}\n{}{}", six("a", 200), six("b", 300));
    let doubt = "it has 6 cylinders, and the profile of the engine, flat-four, has 4";
    let taken = import(&place, &table, &[]);
    assert!(taken.code == 0 && taken.err.contains(doubt), "{taken}");
    let compared = place.run(&["compare", "Trainer"]).done().to_owned();
    let compared = compared.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(compared.contains(doubt), "{compared}");
}

#[test]
fn what_spreadsheets_save_that_is_no_such_table_is_named_with_what_to_do() {
    let place = with_services();
    let table = exported(&place).replace("\r\n", "\n");
    let utf16 = |swap: bool| {
        let units = std::iter::once(0xfeff).chain(table.encode_utf16());
        let two = |unit: u16| if swap { unit.to_be_bytes() } else { unit.to_le_bytes() };
        units.flat_map(two).collect::<Vec<u8>>()
    };
    let latin = [table.as_bytes(), b"caf\xe9,x\n"].concat();
    let line = table.lines().count() + 1;
    let cut = [table.as_bytes(), b"caf\xc3"].concat();
    for (bytes, why) in [
        (b"PK\x03\x04\x14\0\x06\0\x08\0".to_vec(), " is a workbook of a spreadsheet".to_owned()),
        (cut, format!(", line {line}: the file was cut off within a letter")),
        (
            table.replace(',', ";").into_bytes(),
            ": its columns are set apart by semicolons".to_owned(),
        ),
        (table.replace(',', "\t").into_bytes(), ": its columns are set apart by tabs".to_owned()),
        (utf16(false), " is written in UTF-16".to_owned()),
        (utf16(true), " is written in UTF-16".to_owned()),
        // Without the mark at its beginning.
        (utf16(false)[2..].to_vec(), " is written in UTF-16".to_owned()),
        (latin, format!(", line {line}: its letters are not written in UTF-8, but in Latin-1")),
    ] {
        let path = place.path().join("table.csv");
        std::fs::write(&path, bytes).unwrap();
        let shown = place.run(&["import", path.to_str().unwrap()]);
        let (error, hint) = shown.failed();
        assert!(error.starts_with(&format!("FOLDER/table.csv{why}")), "{shown}");
        let says =
            if why.contains("cut off") { "copy it once more" } else { "save it as \"CSV UTF-8\"" };
        assert!(hint.contains(says), "{hint}");
    }
    import(&place, &table, &[]).done();
}

#[test]
fn a_service_without_a_reading_of_each_valve_is_told_since_a_table_tells_no_end() {
    let there = with_services();
    let table = exported(&there);
    let here = Place::new();
    // No day of the table is still to come.
    here.later(60 * 24 * 365);
    let shown = import(&here, &table, &[]);
    let told = "SESSION-3 has no reading of some valves: a table does not tell whether a service was \
                ended, and it counts as one that was\n3 of 3 sessions taken\n";
    let name = there.journals()[2].file_stem().unwrap().to_string_lossy().into_owned();
    assert!(shown.done().ends_with(&told.replace("SESSION-3", &name)), "{shown}");
    // Nothing is said of what is here already.
    assert!(!import(&here, &table, &[]).done().contains("no reading of some valves"));
}
