//! What the list of engines says of valves that services left out of their band, and of services for
//! practice only.

use super::left_open::{unsigned, write};
use super::services::SESSION;
use super::{Place, with_trainer};
use crate::plain::Mechanic;
use serde_json::Value;
use std::collections::BTreeMap;

/// The usual mechanic; these valves read so and are left so, and these questions are answered otherwise.
fn leaving(
    left: &[(&str, &'static str)],
    instead: &[(&'static str, &'static str)],
    stops_at: Option<&'static str>,
) -> Mechanic {
    let reads: BTreeMap<_, _> =
        left.iter().map(|(valve, reads)| ((*valve).to_string(), vec![*reads])).collect();
    let left = left.iter().flat_map(|_| [("What now?", "3"), (" is left ", "1")]);
    Mechanic {
        reads,
        instead: left.chain(instead.iter().copied()).collect(),
        stops_at,
        ..Mechanic::default()
    }
}

fn serve(place: &Place, mut mechanic: Mechanic) {
    place.run_asked(SESSION, &mut mechanic).done();
    place.later(600);
}

fn engines(place: &Place) -> (String, Value) {
    let json = place.run(&["engines", "--json"]).json();
    (place.run(&["engines"]).done().to_owned(), json["engines"].clone())
}

const PRACTICE: (&str, &str) = ("Which document", "0");

#[test]
fn what_was_left_is_told_the_gravest_first_and_the_document_says_that_it_needs_attention() {
    let place = with_trainer();
    place.run(&["engine", "add", "Alpha", "--profile", "flat-four", "--hours", "0"]).done();
    let left = [("1 intake", "9"), ("2 intake", "4"), ("3 exhaust", "8"), ("4 exhaust", "16")];
    serve(&place, leaving(&left, &[], None));
    let (text, json) = engines(&place);
    let wanted = [
        "3 exhaust LEFT TIGHT",
        "2 intake LEFT TIGHT",
        "4 exhaust LEFT LOOSE",
        "1 intake LEFT LOOSE",
    ];
    assert!(text.contains(&wanted.join("; ")), "{text}");
    let row = json.as_array().unwrap().iter().find(|row| row["name"] == "Trainer").unwrap();
    assert_eq!(row["left_out"], serde_json::json!(wanted));
    assert_eq!(row["attention"], "left out");
    // It stands before an engine that needs nothing, and before one that is only due soon.
    serve_another(&place);
    let names: Vec<String> = engines(&place)
        .1
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["name"].as_str().unwrap().into())
        .collect();
    assert_eq!(names, ["Trainer", "Alpha"]);
    let report = place.run(&["report", place.journals()[0].to_str().unwrap()]);
    let owner = report.done().split_whitespace().collect::<Vec<_>>().join(" ");
    let told =
        "exhaust 3 is left tight; intake 2 is left tight; exhaust 4 is left loose; 1 more told";
    assert!(owner.contains(told), "{report}");
}

fn serve_another(place: &Place) {
    let mut mechanic = Mechanic::default();
    place.run_asked(&["session", "Alpha", "--plain"], &mut mechanic).done();
    place.later(600);
}

#[test]
fn a_service_closed_unsigned_tells_what_it_left_out_of_its_band_too() {
    let place = with_trainer();
    serve(&place, leaving(&[("1 exhaust", "9")], &[], Some("Gauge 3 intake")));
    write(&place, &[unsigned()]);
    let (text, json) = engines(&place);
    assert!(text.contains("1 exhaust LEFT TIGHT (not signed); LEFT OPEN: "), "{text}");
    assert!(text.contains(" pieces off"), "{text}");
    assert_eq!(json[0]["left_out"][0], "1 exhaust LEFT TIGHT (not signed)");
    // Found tight and not even left so with a reason.
    let place = with_trainer();
    let reads = BTreeMap::from([("1 exhaust".to_string(), vec!["9"])]);
    serve(&place, Mechanic { reads, stops_at: Some("What now?"), ..Mechanic::default() });
    write(&place, &[unsigned()]);
    assert!(engines(&place).0.contains("1 exhaust LEFT TIGHT (not signed)"));
}

#[test]
fn what_was_signed_for_stays_told_where_one_that_was_not_signed_found_it_well() {
    let place = with_trainer();
    serve(&place, leaving(&[("1 exhaust", "9")], &[], None));
    serve(&place, leaving(&[], &[], Some("Gauge 3 intake")));
    write(&place, &[unsigned()]);
    let (text, _) = engines(&place);
    assert!(text.contains("1 exhaust LEFT TIGHT (in limits since, not signed)"), "{text}");
}

#[test]
fn practice_counts_as_no_service_in_the_list() {
    let place = with_trainer();
    let before = engines(&place);
    serve(&place, leaving(&[("1 exhaust", "9")], &[PRACTICE], None));
    let after = engines(&place);
    assert_eq!(after, before, "nothing is told of practice");
    assert!(after.1[0]["last_service"].is_null());
    // Nor does it take away what a real one left, by the index and without it.
    serve(&place, leaving(&[("1 exhaust", "9")], &[], None));
    serve(&place, leaving(&[], &[("Is this still the source", "2"), PRACTICE], None));
    for _ in 0..2 {
        let (text, json) = engines(&place);
        assert!(text.contains("1 exhaust LEFT TIGHT"), "{text}");
        assert_eq!(json[0]["last_service"], "2026-03-14");
        std::fs::remove_dir_all(place.path().join("cache")).unwrap();
    }
    // A nut that was left slack in practice is as slack as any other.
    let slack =
        leaving(&[], &[("Is this still the source", "2"), PRACTICE], Some("Gauge 3 intake"));
    serve(&place, slack);
    write(&place, &[super::left_open::slack(1), unsigned()]);
    assert!(engines(&place).0.contains("LEFT OPEN: NUT SLACK: 1 intake"));
}

const THREADS_TOLD: &str = "Left as found before: threads showing on 3 exhaust: 7, 2 to 5 allowed.";

/// Sets 3 exhaust and leaves too many threads showing on it; these answers besides.
fn leaving_threads(besides: &[(&'static str, &'static str)]) -> Mechanic {
    let threads =
        [("How many threads show", "7"), ("by the profile | ", "3"), ("by the profile | ", "2")];
    Mechanic {
        reads: BTreeMap::from([("3 exhaust".to_string(), vec!["8", "12"])]),
        tries: BTreeMap::from([("3 exhaust".to_string(), "12")]),
        instead: [besides, &threads].concat(),
        ..Mechanic::default()
    }
}

#[test]
fn threads_and_faults_of_the_run_that_were_left_so_are_told_in_the_next_service() {
    let place = with_trainer();
    serve(&place, leaving_threads(&[]));
    let mut next = Mechanic { stops_at: Some("Name or initials"), ..Mechanic::default() };
    let shown = place.run_asked(SESSION, &mut next);
    assert!(shown.done().contains(THREADS_TOLD), "{shown}");
    // Not by a service for practice.
    let place = with_trainer();
    serve(&place, leaving_threads(&[PRACTICE]));
    let mut next = Mechanic { stops_at: Some("Name or initials"), ..Mechanic::default() };
    let shown = place.run_asked(SESSION, &mut next);
    assert!(!shown.done().contains("Left as found before"), "{shown}");
}

#[test]
fn one_that_is_broken_off_before_it_looked_there_hides_no_fault_that_was_left() {
    let place = with_trainer();
    serve(&place, leaving_threads(&[]));
    // At once, for practice too, and with the valves of other cylinders read.
    for (until, instead) in [
        ("Name or initials", vec![]),
        ("Gauge 3 exhaust", vec![("Is this still the source", "2"), PRACTICE]),
        ("Gauge 3 exhaust", vec![]),
    ] {
        serve(&place, leaving(&[], &instead, Some(until)));
        write(&place, &[unsigned()]);
        let mut next = Mechanic { stops_at: Some("Name or initials"), ..Mechanic::default() };
        let shown = place.run_asked(SESSION, &mut next);
        assert!(shown.done().contains(THREADS_TOLD), "{until} {instead:?}: {shown}");
        write(&place, &[unsigned()]);
        place.later(600);
    }
    // One that only gauged it says nothing of its threads.
    serve(&place, leaving(&[], &[], Some("Count in")));
    write(&place, &[unsigned()]);
    let mut next = Mechanic { stops_at: Some("Name or initials"), ..Mechanic::default() };
    let shown = place.run_asked(SESSION, &mut next);
    assert!(shown.done().contains(THREADS_TOLD), "{shown}");
}

/// A service that left 1 exhaust tight, and one after it that looks at cylinder 2 only, with own words for
/// the owner; it ends where `stops_at` is asked.
fn narrow_after_tight(stops_at: Option<&'static str>) -> Place {
    let place = with_trainer();
    serve(&place, leaving(&[("1 exhaust", "9")], &[], None));
    place.later(60 * 24 * 30);
    let instead = [
        ("What is done today?", "3"),
        ("Which of the 4?", "2"),
        ("Type another, or take this one", "All well, see you next year"),
    ];
    serve(&place, leaving(&[], &instead, stops_at));
    place
}

/// What was printed, in one line.
fn unbroken(shown: &crate::cli::Shown) -> String {
    shown.done().replace('\\', "").split_whitespace().collect::<Vec<_>>().join(" ")
}

const STILL_SO: &str =
    "Left so by an earlier service, not looked at in this one: 1 exhaust TIGHT (2026-03-14).";

#[test]
fn what_a_narrow_service_leaves_as_it_was_left_stands_in_its_record_in_every_form_for_good() {
    let place = narrow_after_tight(None);
    let second = place.journals()[1].to_str().unwrap().to_owned();
    let report = |form: &str| unbroken(&place.run(&["report", &second, "--format", form]));
    let forms = ["text", "md", "html", "json"];
    let lower = STILL_SO.replace("Left so by", "left so by");
    for form in forms {
        let told = report(form);
        assert!(told.contains("All well, see you next year"), "{form}: {told}");
        assert!(told.contains(&lower), "{form}: {told}");
    }
    // With the earlier service gone it says the same.
    std::fs::remove_file(&place.journals()[0]).unwrap();
    for form in forms {
        assert!(report(form).contains(&lower), "{form}");
    }
    place.run(&["verify", &second]).done();
}

#[test]
fn the_tag_of_a_narrow_service_and_who_comes_back_tell_what_is_still_left_so() {
    let place = narrow_after_tight(Some("Gauge 2 intake"));
    let words = "LEFT SO BEFORE, not looked at: 1 exhaust TIGHT (the manual allows it until the next \
                 check)";
    for form in ["text", "html"] {
        let tag = unbroken(&place.run(&["tag", "Trainer", "--format", form]));
        assert_eq!(tag.matches(words).count(), 1, "{tag}");
    }
    let mut back = Mechanic { stops_at: Some("Gauge 2 intake"), ..Mechanic::default() };
    let shown = unbroken(&place.run_asked(SESSION, &mut back));
    assert!(shown.contains(words), "{shown}");
}

#[test]
fn comparison_and_history_know_what_was_left_so_and_why() {
    let place = with_trainer();
    serve(&place, leaving(&[("1 exhaust", "9")], &[], None));
    place.later(60 * 24 * 30);
    serve(&place, leaving(&[], &[("Running hours now", "500")], None));
    let why = "the manual allows it until the next check";
    let compared = unbroken(&place.run(&["compare", "Trainer"]));
    assert!(compared.contains(&format!("was left TIGHT: {why}")), "{compared}");
    assert!(compared.contains("Left outside limits before: 1 exhaust (tight)"), "{compared}");
    let history = unbroken(&place.run(&["history", "Trainer"]));
    assert!(history.contains(&format!("left TIGHT: {why}")), "{history}");
    assert!(!history.contains("1 exhaust: LEFT TIGHT"), "it was set since: {history}");
    place.later(60 * 24 * 30);
    let instead = [("Running hours now", "600")];
    serve(&place, leaving(&[("1 exhaust", "9")], &instead, None));
    let compared = unbroken(&place.run(&["compare", "Trainer"]));
    assert!(compared.contains(&format!("left TIGHT: {why}")), "{compared}");
    assert!(compared.contains("Left outside limits: 1 exhaust (tight)"), "{compared}");
    let history = unbroken(&place.run(&["history", "Trainer"]));
    let standing = format!("1 exhaust: LEFT TIGHT, 2026-05-14: {why}");
    assert!(history.contains(&standing), "{history}");
    // The documents keep the members that the contract fixes.
    let json = place.run(&["history", "Trainer", "--json"]).json();
    let mut members: Vec<&String> =
        json["valves"][0]["points"][0].as_object().unwrap().keys().collect();
    members.sort();
    assert_eq!(members, ["date", "found", "hours", "left", "session"]);
}

#[test]
fn the_list_and_the_next_service_say_the_same_of_a_table_and_of_what_was_gauged_since() {
    let place = with_trainer();
    let table = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit\n\
                 Trainer,flat-four,paper,2025-03-14T09:00:00+01:00,400,1,exhaust,found,9,thou\n\
                 Trainer,flat-four,paper,2025-03-14T09:00:00+01:00,400,1,exhaust,left,9,thou\n";
    std::fs::write(place.path().join("table.csv"), table).unwrap();
    place.run(&["import", place.path().join("table.csv").to_str().unwrap()]).done();
    let begin = |place: &Place| {
        let mut next = Mechanic { stops_at: Some("Name or initials"), ..Mechanic::default() };
        let shown = place.run_asked(SESSION, &mut next).done().to_owned();
        write(place, &[unsigned()]);
        place.later(600);
        shown
    };
    let (list, start) = (engines(&place).0, begin(&place));
    assert!(list.contains("1 exhaust LEFT TIGHT (by a table)"), "{list}");
    assert!(start.contains("LEFT SO before: 1 exhaust TIGHT."), "{start}");
    // What was gauged here stands before any table, in both.
    serve(&place, leaving(&[], &[], None));
    let (list, start) = (engines(&place).0, begin(&place));
    assert!(!list.contains("LEFT") && !start.contains("LEFT SO"), "{list}\n{start}");
}
