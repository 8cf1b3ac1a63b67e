//! `session --plain`, `sessions`, `compare`, `report`, `tag` on whole and half services.

use super::left_open::{slack, unsigned, write};
use super::{Place, Shared, fields, with_trainer};
use crate::plain::Mechanic;
use cowlside::domain::entry::{Entry, Redate, Remark};
use std::collections::BTreeMap;
use std::io::{BufRead, Read};

pub const SESSION: &[&str] = &["session", "Trainer", "--plain"];

/// A place with two services signed, half a year apart, and one begun.
pub fn with_services() -> Place {
    let place = with_trainer();
    for (hours, reads) in [("", "12"), ("510.2", "11")] {
        let mut mechanic = Mechanic {
            reads: BTreeMap::from([("3 exhaust".to_string(), vec![reads])]),
            instead: vec![("Running hours now", hours)],
            ..Mechanic::default()
        };
        place.run_asked(SESSION, &mut mechanic).done();
        place.later(60 * 24 * 180);
    }
    begin(&place, "600", "Gauge 2 intake");
    place
}

pub fn begin(place: &Place, hours: &'static str, until: &'static str) {
    let mut mechanic = Mechanic {
        reads: BTreeMap::from([("3 exhaust".to_string(), vec!["10"])]),
        instead: vec![("Running hours now", hours)],
        stops_at: Some(until),
        ..Mechanic::default()
    };
    place.run_asked(SESSION, &mut mechanic).done();
}

fn stem(place: &Place, n: usize) -> String {
    place.journals()[n].file_stem().unwrap().to_string_lossy().into_owned()
}

#[test]
fn sessions_are_listed_with_their_day_and_how_they_ended() {
    let place = with_services();
    let shown = place.run(&["sessions", "train"]);
    let rows: Vec<Vec<&str>> =
        shown.done().lines().map(|line| line.split_whitespace().collect()).collect();
    assert_eq!(
        rows,
        [
            vec!["SESSION-1", "2026-03-14", "signed,", "seal", "SEAL-CODE-01"],
            vec!["SESSION-2", "2026-09-10", "signed,", "seal", "SEAL-CODE-02"],
            vec!["SESSION-3", "2027-03-09", "open"],
        ]
    );
    let none = with_trainer();
    assert!(none.run(&["sessions", "Trainer"]).done().starts_with("No session yet."));
}

#[test]
fn a_comparison_takes_the_last_two_and_those_named_in_either_order() {
    let place = with_services();
    let last = place.run(&["compare", "Trainer", "--json"]).json();
    let known = ["conditions", "engine", "newer", "older", "unit", "valves"];
    assert_eq!(fields(&last), known);
    assert_eq!(
        (&last["older"]["session"], &last["newer"]["session"]),
        (&"SESSION-2".into(), &"SESSION-3".into())
    );
    assert_eq!(last["unit"], "in");
    assert_eq!(last["newer"]["hours"], 600.0);
    let valves = last["valves"].as_array().unwrap();
    assert_eq!(valves.len(), 8);
    let of_a_valve = [
        "cylinder",
        "found",
        "left",
        "moved",
        "moved_high",
        "moved_low",
        "number",
        "valve",
        "verdict_found",
        "verdict_left",
        "was_left",
    ];
    assert!(valves.iter().all(|valve| fields(valve) == of_a_valve), "{}", valves[0]);
    let third = valves.iter().find(|v| v["cylinder"] == 3 && v["valve"] == "exhaust").unwrap();
    assert_eq!((third["was_left"].as_f64(), third["found"].as_f64()), (Some(0.011), Some(0.010)));
    assert_eq!(third["moved"].as_f64(), Some(-0.001));
    let not_yet = valves.iter().find(|v| v["cylinder"] == 4).unwrap();
    assert!(not_yet["found"].is_null() && not_yet["moved"].is_null());

    let [first, second] = [stem(&place, 0), stem(&place, 1)];
    let path = place.journals()[0].to_string_lossy().into_owned();
    for (one, other) in [(&first, &second), (&second, &first), (&path, &second)] {
        let named = place.run(&["compare", "Trainer", one, other, "--json"]).json();
        assert_eq!(
            (&named["older"]["session"], &named["newer"]["session"]),
            (&"SESSION-1".into(), &"SESSION-2".into())
        );
    }
    let text = place.run(&["compare", "Trainer"]);
    assert!(text.done().contains("not finished"), "{text}");
    assert!(text.out.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn what_cannot_be_compared_is_refused_with_the_names_that_can() {
    let place = with_services();
    let first = stem(&place, 0);
    place.run(&["engine", "add", "Tug", "--profile", "flat-four", "--hours", "1"]).done();
    for (words, named) in [
        (vec!["compare", "Tug"], "no session"),
        (vec!["compare", "Trainer", &first, &first], "twice"),
        (vec!["compare", "Trainer", "2026", &first], "SESSION-1"),
        (vec!["compare", "Trainer", "nothing", &first], "nothing"),
        (vec!["compare", "Nobody"], "Nobody"),
    ] {
        let shown = place.run(&words);
        assert!(shown.failed().0.contains(named), "{words:?}: {shown}");
    }
    let path = place.journals()[0].to_string_lossy().into_owned();
    let foreign = place.run(&["compare", "Tug", &path, &first]);
    assert!(foreign.failed().0.contains("is not one of Tug"), "{foreign}");
    assert_eq!(place.run(&["compare", "Trainer", &first]).code, 2);
    let alone = with_trainer();
    begin(&alone, "", "Gauge 2 intake");
    assert!(alone.run(&["compare", "Trainer"]).failed().0.contains("nothing to compare"));
}

#[test]
fn hours_are_compared_on_the_sum_of_all_counters() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    // Closed unsigned: it counts all the same.
    for more in [["450", "--so-it-is"], ["10", "--counter-replaced"]] {
        place.run(&[&["engine", "hours", "Trainer"], &more[..]].concat()).told_over_a_session();
    }
    place.later(60 * 24 * 30);
    let mut mechanic = Mechanic {
        instead: vec![("Has the engine run since", "2")],
        stops_at: Some("Name or initials"),
        ..Mechanic::default()
    };
    place.run_asked(SESSION, &mut mechanic).done();
    begin(&place, "60", "Gauge 2 intake");
    let shown = place.run(&["compare", "Trainer", "--json"]).json();
    assert_eq!(shown["older"]["hours"], 412.6);
    assert_eq!(shown["newer"]["hours"], 510.0);
}

#[test]
fn a_service_begun_with_mistaken_hours_counts_by_the_corrected_ones_and_says_so() {
    let place = with_trainer();
    place.run(&["engine", "hours", "Trainer", "426.1", "--so-it-is"]).done();
    begin(&place, "", "Gauge 2 intake");
    let journal = place.journals()[0].clone();
    let before = std::fs::read(&journal).unwrap();
    let history = || place.run(&["history", "Trainer", "--json"]).json();
    let record = || place.run(&["report", journal.to_str().unwrap()]).done().to_owned();
    let point = |of: &serde_json::Value| of["valves"][0]["points"][0]["hours"].clone();
    assert_eq!(point(&history()), 426.1);
    assert!(!record().contains("as corrected since"));
    place.run(&["engine", "hours", "Trainer", "416.2", "--correct"]).done();
    assert_eq!(point(&history()), 416.2);
    let words = record().split_whitespace().collect::<Vec<_>>().join(" ");
    let told = "running hours 416.2 h, as corrected since; kept in this service: 426.1 h";
    assert!(words.contains(told), "{words}");
    assert_eq!(std::fs::read(&journal).unwrap(), before, "a session is never rewritten");
    // Put right to what it was after all, a day later: there is nothing to tell.
    place.later(60 * 24);
    place.run(&["engine", "hours", "Trainer", "426.1", "--correct"]).done();
    assert_eq!(point(&history()), 426.1);
    assert!(!record().contains("as corrected since"), "{}", record());
    // Put right once more: the last word counts.
    place.run(&["engine", "hours", "Trainer", "415", "--correct"]).done();
    assert_eq!(point(&history()), 415.0);
}

#[test]
fn a_record_is_printed_for_a_name_its_beginning_or_a_path_and_stays_within_the_page() {
    let place = with_services();
    let name = stem(&place, 1);
    let record = place.run(&["report", &name]);
    assert!(record.done().contains("compared with       SESSION-1"), "{record}");
    assert!(record.out.lines().all(|line| line.chars().count() <= 80), "{record}");
    let path = place.journals()[1].to_string_lossy().into_owned();
    for other in [&name[..10], &name.to_uppercase(), &path] {
        assert_eq!(place.run(&["report", other]).done(), record.out);
    }
    assert!(place.run(&["report", "202"]).failed().0.contains("202"));
    assert!(place.run(&["report", "2026"]).failed().0.contains("SESSION-1 (Trainer), SESSION-2"));
    assert!(place.run(&["report", "/nowhere/x.jsonl"]).failed().0.contains("/nowhere/x.jsonl"));
}

#[test]
fn a_tag_belongs_to_an_open_session() {
    let place = with_trainer();
    assert!(place.run(&["tag", "Trainer"]).failed().0.contains("no session of Trainer is open"));
    begin(&place, "", "Gauge 2 intake");
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("DO NOT TURN"), "{tag}");
}

#[test]
fn nothing_is_begun_before_the_hours_are_told() {
    let place = with_trainer();
    for typed in ["", "q\n", "\n", "12\n"] {
        place.run_typing(SESSION, typed).done();
        assert!(place.journals().is_empty(), "{typed:?}");
    }
    let wrong = place.run_typing(SESSION, "lots\n");
    assert!(wrong.done().contains("! \"lots\" is no count of hours"), "{wrong}");
    // Fewer hours: typed wrong, then a replaced counter.
    place.run_typing(SESSION, "12\n1\n12\n2\n1\n\n").done();
    assert_eq!(place.journals().len(), 1);
    assert_eq!(place.run(&["engines", "--json"]).json()["engines"][0]["hours"], 12.0);
}

#[test]
fn a_long_pause_only_wakes_and_a_line_too_long_is_no_answer() {
    let place = with_trainer();
    place.run_typing(SESSION, "\n\n").done();
    let long = place.run_typing(SESSION, &"x".repeat(70_000));
    assert_eq!(long.code, 1);
    assert!(long.err.contains("65536 bytes"), "{}", long.err);
    let help = place.run_typing(SESSION, ":?\n:q\n");
    assert!(help.done().contains("In a text put a colon before"), "{help}");
    let hostile = place.run_typing(SESSION, "\u{1b}[31mEve\u{202e}\n\n9\nno such\n\u{7}\n");
    assert!(hostile.done().contains("! nothing was taken: it holds a sign"), "{hostile}");
    let kept = std::fs::read_to_string(&place.journals()[0]).unwrap();
    assert!(!kept.contains("Eve"), "{kept}");
}

#[test]
fn a_history_counts_signed_and_unfinished_services_and_says_when_to_look_again() {
    let place = with_services();
    let history = place.run(&["history", "Trainer", "--json"]).json();
    assert_eq!((&history["engine"], history["hours"].as_f64()), (&"Trainer".into(), Some(600.0)));
    let of = |cylinder: u64| {
        let valves = history["valves"].as_array().unwrap();
        valves.iter().find(|v| v["cylinder"] == cylinder && v["valve"] == "exhaust").unwrap()
    };
    let third = of(3);
    let found: Vec<Option<f64>> =
        third["points"].as_array().unwrap().iter().map(|point| point["found"].as_f64()).collect();
    assert_eq!(found, [Some(0.012), Some(0.011), Some(0.010)]);
    assert_eq!((&third["drift"]["sessions"], third["forecast"].is_null()), (&3.into(), true));
    // The unfinished one has not come to cylinder 4: that is no gap in its figures.
    assert_eq!(of(4)["points"].as_array().unwrap().len(), 2);
    assert_eq!(history["next_check"]["because"], "interval");
    let text = place.run(&["history", "Trainer"]);
    assert!(text.done().contains("3 exhaust: limits"), "{text}");
    assert!(text.out.lines().all(|line| line.chars().count() <= 80), "{text}");
    let none = with_trainer();
    assert!(none.run(&["history", "Trainer"]).failed().0.contains("no session"));
}

#[test]
fn a_comparison_puts_what_moved_most_first_where_that_is_asked_for() {
    let place = with_services();
    let moved = place.run(&["compare", "Trainer", "--by", "moved", "--json"]).json();
    let first = &moved["valves"][0];
    assert_eq!((&first["cylinder"], &first["valve"]), (&3.into(), &"exhaust".into()));
    let named = place.run(&["compare", "Trainer", "--json"]).json();
    assert_eq!(named["valves"][0]["cylinder"], 1);
    let wrong = place.run(&["compare", "Trainer", "--by", "size"]);
    assert_eq!(wrong.code, 2, "{wrong}");
}

#[test]
fn a_record_that_is_read_before_it_is_signed_says_that_it_is_not() {
    let place = with_trainer();
    let mut mechanic = Mechanic { instead: vec![("Sign and close", "2")], ..Mechanic::default() };
    let shown = place.run_asked(SESSION, &mut mechanic);
    let read = shown.done().split("This session is closed.").next().unwrap();
    assert!(read.contains("VALVE-CLEARANCE SERVICE: RECORD"), "{shown}");
    assert!(read.contains("NOT SIGNED YET. To be signed by"), "{shown}");
    assert!(!read.contains("Signed by"), "{shown}");
}

#[test]
fn the_list_reckons_by_the_clock_s_day_where_the_day_was_put_right_as_the_history_does() {
    for told_later in [false, true] {
        let place = with_trainer();
        let now = 60 * 24 * 30;
        // The clock stands two days ahead, and 480 h are typed for 450: at its beginning, or told beside it
        // on a later day, on which somebody says that the engine has not run.
        place.later(now + 2 * 60 * 24);
        let mut mechanic = Mechanic {
            reads: BTreeMap::from([("3 exhaust".to_string(), vec!["10", "10"])]),
            instead: vec![("Running hours now", if told_later { "" } else { "480" })],
            stops_at: Some("Gauge 2 intake"),
            ..Mechanic::default()
        };
        place.run_asked(SESSION, &mut mechanic).done();
        let path = place.journals().pop().unwrap();
        let day = "2026-04-13".into();
        super::left_open::write_to(
            &place,
            &path,
            &[Entry::Redate(Redate { day, why: "the clock was wrong".into() })],
        );
        if told_later {
            place.later(4 * 60 * 24);
            place.run(&["engine", "hours", "Trainer", "480"]).told_over_a_session();
        }
        mechanic.stops_at = None;
        place.run_asked(SESSION, &mut mechanic).done();
        place.later(if told_later { 60 * 24 } else { -2 * 60 * 24 });
        place.run(&["engine", "hours", "Trainer", "450", "--correct"]).done();
        let history = place.run(&["history", "Trainer", "--json"]).json();
        let listed = place.run(&["engines", "--json"]).json();
        assert_eq!(history["next_check"]["hours"], 550.0, "{told_later}: {history}");
        assert_eq!(listed["engines"][0]["next_due"]["hours"], 550.0, "{told_later}: {listed}");
    }
}

/// Lines that are typed, before each of which something else happens.
struct Typed<'a> {
    lines: &'a [(&'a str, &'a dyn Fn())],
    rest: Vec<u8>,
}

impl Read for Typed<'_> {
    fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
        let read = self.fill_buf()?.read(to)?;
        self.consume(read);
        Ok(read)
    }
}

impl BufRead for Typed<'_> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        if let (true, Some(((line, before), rest))) =
            (self.rest.is_empty(), self.lines.split_first())
        {
            before();
            (self.lines, self.rest) = (rest, format!("{line}\n").into_bytes());
        }
        Ok(&self.rest)
    }

    fn consume(&mut self, bytes: usize) {
        self.rest.drain(..bytes);
    }
}

fn what_hurts_nobody_bars_the_run_as_well() {
    let remark = Remark { text: "oil".into(), before_running: true, ..Remark::default() };
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[Entry::Remark(remark), unsigned()]);
    let told = place.run(&["engine", "hours", "Trainer", "413"]).err;
    assert!(told.contains("left with") && told.contains("do not run it before"), "{told}");
    assert!(!told.contains("an engine that runs like that"), "{told}");
}

#[test]
fn hours_told_beside_what_is_open_are_warned_of_and_the_session_asks_whether_it_ran() {
    what_hurts_nobody_bars_the_run_as_well();
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let tell = |hours: &str, more: &[&str]| {
        place.run(&[&["engine", "hours", "Trainer", hours], more].concat())
    };
    let asked = |typed: &str| place.run_typing(SESSION, typed);
    let asks = |typed: &str| asked(typed).done().contains("Has the engine run");
    let kept_hours = || {
        let path = place.journals().pop().unwrap();
        let report = place.run(&["report", path.to_str().unwrap()]).out;
        report.lines().find(|line| line.contains("running hours")).unwrap().to_owned()
    };
    // Pieces that are off hurt nobody, and still nobody runs it.
    let told = tell("413", &[]);
    assert!(told.err.contains("; do not run it before this session has put it right"), "{told}");
    assert!(told.err.contains("has a session open, with 80 pieces"), "{told}");
    assert!(told.err.contains("gone on with, it asks whether it ran"), "{told}");
    assert!(!told.err.contains("damaged"), "{told}");
    // What was told by mistake asks nothing any more, and is no figure of the service.
    assert!(asks("") && asks(""));
    tell("412.6", &["--correct"]).done();
    assert!(!asks("") && kept_hours().contains("412.6 h"), "{}", kept_hours());
    write(&place, &[slack(1)]);
    assert_eq!(tell("412.6", &[]).err, "", "no more than before");
    let told = tell("415", &[]);
    assert!(told.err.contains("with NUT SLACK: 1 intake; 80 pieces"), "{told}");
    assert!(told.err.contains("an engine that runs like that is damaged"), "{told}");
    // On the same day, and where nobody answers, at the next time again; what it says is true.
    for _ in 0..2 {
        let asked = asked("");
        assert!(asked.done().contains("Has the engine run since?"), "{asked}");
        assert!(asked.out.contains("The counter has gone up"), "{asked}");
        assert!(asked.out.contains("stood at 412.6 h when this service began"), "{asked}");
        assert!(asked.out.contains("It was told to show 415.0 h"), "{asked}");
        assert!(!asked.out.contains("the counter stands as it did"), "{asked}");
        assert!(asked.out.contains("OPEN: NUT SLACK: 1 intake"), "{asked}");
    }
    assert!(kept_hours().contains("412.6 h"), "{}", kept_hours());
    // Not run: the figure is that of the service, and it is asked once.
    assert!(asks("1\n") && !asks(""));
    assert!(kept_hours().contains("415.0 h"), "{}", kept_hours());
    // Put right is not run: the figure that was taken over is put right with it.
    tell("416", &["--correct"]).done();
    assert!(!asks("") && kept_hours().contains("416.0 h"), "{}", kept_hours());
    let report = place.run(&["report", place.journals()[0].to_str().unwrap()]).out;
    let report = report.split_whitespace().collect::<Vec<_>>().join(" ");
    for told in ["told to show 415.0 h beside this session", "415.0 h, was put right: 416.0 h"] {
        assert!(report.contains(told), "{told}: {report}");
    }
    // Told while the session sleeps, it is asked about when that wakes; a new counter may show more.
    let replaced = || {
        place.later(60);
        tell("600", &["--counter-replaced"]);
    };
    let mut lines = Typed { lines: &[("", &replaced), ("1", &|| ())], rest: Vec::new() };
    let woken = place.run_raw(SESSION, &mut lines, Shared::default());
    let (_, woken) = woken.done().split_once("A long pause").unwrap();
    assert!(woken.contains("The counter was replaced"), "{woken}");
    assert!(woken.contains("A new one was told to show 600.0 h since."), "{woken}");
    assert!(!woken.contains("gone up") && woken.contains("counter was only replaced"), "{woken}");
    // The new one goes up: it is no figure of this service all the same.
    tell("603", &["--so-it-is"]);
    let up = asked("");
    assert!(up.done().contains("The new counter has gone up"), "{up}");
    assert!(up.out.contains("The new one was told to show 600.0 h, then 603.0 h since."), "{up}");
    assert!(up.out.contains("not run: the counter shows more for another reason"), "{up}");
    assert!(asks("1\n") && !asks(""));
    // Answered, it is told no more: another day is another day.
    place.later(60 * 24);
    let day = asked("");
    assert!(day.done().contains("[prepare] Another day"), "{day}");
    assert!(!day.out.contains("told to show") && !day.out.contains("new one"), "{day}");
    assert!(kept_hours().contains("416.0 h"), "{}", kept_hours());
    write(&place, &[unsigned()]);
    let told = tell("605", &[]);
    assert!(told.err.contains("was left with NUT SLACK: 1 intake"), "{told}");
    assert!(told.err.contains("do not run it before"), "{told}");
}
