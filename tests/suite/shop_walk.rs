//! The list of engines of the built program in a terminal: each order, an engine's services and their
//! records; and what the command line says of the same engines.

#![cfg(unix)]

use crate::cli::Place;
use crate::real::{kept, newest_journal};
use crate::seat::Seat;
use cowlside::domain::session::Session;
use cowlside::store::profile_file::parse_profile;

/// Three engines with a service long ago, by a table of paper notes, one of unknown past, one new. All
/// figures are invented.
fn shop() -> Place {
    let place = Place::new();
    let mut table =
        "engine,profile,session,date,hours,cylinder,valve,step,typed,unit\n".to_string();
    for (engine, month, hours) in [("Delta", 3, 700), ("Alpha", 6, 100), ("Charlie", 1, 300)] {
        for (cylinder, valve) in
            (1..=4).flat_map(|n| [(n, "intake,found,6"), (n, "exhaust,found,12")])
        {
            table += &format!(
                "{engine},flat-four,paper,2025-0{month}-05T10:00:00Z,{hours},{cylinder},{valve},thou\n"
            );
        }
    }
    let path = place.path().join("paper.csv");
    std::fs::write(&path, table).unwrap();
    place.run(&["import", path.to_str().unwrap()]).done();
    for (engine, hours) in [("Delta", "750"), ("Alpha", "190")] {
        place.run(&["engine", "hours", engine, hours]).done();
    }
    for (engine, hours) in [("Bravo", "3"), ("Echo", "5000")] {
        place.run(&["engine", "add", engine, "--profile", "flat-four", "--hours", hours]).done();
    }
    place
}

/// The names in the rows of the list, from the first to the last.
fn names(screen: &str) -> String {
    let rows = screen.lines().filter_map(|line| {
        let mut words = line.split_whitespace().skip_while(|word| word.len() == 1);
        words.next().filter(|word| ["Alpha", "Bravo", "Charlie", "Delta", "Echo"].contains(word))
    });
    rows.collect::<Vec<_>>().join(" ")
}

#[test]
fn the_list_is_read_in_each_order_and_opens_what_its_row_says() {
    let place = shop();
    let mut seat = Seat::take(place.path(), &[], (24, 80));
    // Due by date in the order of their names, of unknown past, then what is well.
    let first = "Alpha Charlie Delta Echo Bravo";
    seat.await_that(first, |screen| names(screen) == first);
    // Hours left: not known 10, 22 to the first service, 50, 100.
    for (words, order) in [
        ("by name", "Alpha Bravo Charlie Delta Echo"),
        ("fewest hours left first", "Echo Alpha Bravo Delta Charlie"),
        ("longest without a service first", "Echo Bravo Charlie Delta Alpha"),
    ] {
        seat.press(".");
        let screen = seat.await_text(words);
        assert_eq!(names(&screen), order, "{screen}");
    }
    // The cursor is on the row as it stands in this order.
    for _ in 0..3 {
        seat.press("\x1b[B");
    }
    seat.press("*");
    let screen = seat.await_text("read the record of a service");
    assert!(screen.contains("Delta") && !screen.contains("Charlie"), "{screen}");
    seat.press("5");
    let screen = seat.await_text("the record of which service?");
    assert!(screen.contains("2025-03-05") && !screen.contains("2025-01-05"), "{screen}");
    seat.press("\r");
    let screen = seat.await_text("VALVE-CLEARANCE SERVICE: RECORD");
    assert!(screen.contains("running hours       700.0 h"), "{screen}");
    // Back to where it was opened from, and from there to the engines.
    seat.press("\x1b");
    let screen = seat.await_text("the record of which service?");
    assert!(screen.contains("2025-03-05"), "{screen}");
    seat.press("\x1b");
    let screen = seat.await_text("Which engine?");
    assert_eq!(names(&screen).split(' ').count(), 5, "{screen}");
    seat.press("q");
    assert_eq!(seat.exit_code(), 0);
    assert!(seat.left_behind().is_empty());
}

#[test]
fn an_engines_name_gives_its_latest_record_and_says_where_there_is_none() {
    let place = crate::cli::services::with_services();
    // The third service is open, and the latest.
    let stem = |n: usize| place.journals()[n].file_stem().unwrap().to_string_lossy().into_owned();
    let by_engine = place.run(&["report", "trainer"]);
    assert_eq!(by_engine.done(), place.run(&["report", &stem(2)]).done());
    assert_ne!(by_engine.done(), place.run(&["report", &stem(1)]).done());
    let place = shop();
    let shown = place.run(&["report", "Delta"]);
    assert!(shown.done().contains("made from a table of readings"), "{shown}");
    assert!(shown.out.contains("running hours       700.0 h"), "{shown}");
    assert_eq!(
        place.run(&["report", "echo"]).failed(),
        ("Echo has no service yet", "begin one: cowlside session Echo")
    );
    assert_eq!(place.run(&["report", "Foxtrot"]).failed().0, "no session is called \"Foxtrot\"");
}

#[test]
fn a_number_below_zero_is_refused_with_the_way_out_and_leaves_are_read_with_commas() {
    let place = Place::new();
    for words in [&["leaves", "flat-four", "-5"][..], &["advise", "flat-four", "-5"]] {
        let shown = place.run(words);
        assert_eq!((shown.code, shown.out.as_str()), (2, ""), "{shown}");
        assert_eq!(
            shown.err,
            "error: `-5` is no option of this command\n\
             hint: only --rod takes a number below zero, as in --rod=\"-0.5 mm\"; \
             else leave the minus out\n"
        );
    }
    let shown = place.run(&["leaves", "flat-four", "--", "-5"]);
    let (error, hint) = shown.failed();
    assert_eq!(error, "\"-5\" is no leaf and no range of leaves");
    assert!(hint.starts_with("Type the leaves with blanks between"), "{hint}");
    let commas = place.run(&["leaves", "flat-four", "4,5,6"]);
    assert!(commas.done().starts_with("these leaves: 4 5 6\n"), "{commas}");
    assert_eq!(commas.done(), place.run(&["leaves", "flat-four", "4 5 6"]).done());
}

#[test]
fn an_engine_is_given_a_profile_or_told_why_not_and_an_open_session_keeps_its_own() {
    let place = crate::cli::services::with_services();
    let give = |engine: &str, profile: &str| place.run(&["engine", "profile", engine, profile]);
    let has = |profile: &str| {
        let list = place.run(&["engines", "--json"]).json();
        assert_eq!(list["engines"][0]["profile"], profile);
    };
    assert_eq!(
        give("Nobody", "flat-six").failed(),
        ("no engine is called \"Nobody\"", "there are: Trainer")
    );
    let shown = give("Trainer", "flat-fuor");
    assert!(shown.failed().0.starts_with("there is no profile `flat-fuor`"), "{shown}");
    has("flat-four");
    // A session is open: it stands on the profile in its head, to the byte.
    let journals = place.journals();
    let bytes = || journals.iter().map(|path| std::fs::read(path).unwrap()).collect::<Vec<_>>();
    let before = bytes();
    let record = place.run(&["report", "Trainer"]);
    assert_eq!(
        give("trainer", "flat-four-1423").done(),
        "Trainer: profile flat-four-1423 from its next service on\n"
    );
    has("flat-four-1423");
    // Four cylinders became three: given, and doubted.
    assert_eq!(
        give("Trainer", "inline-three").done(),
        "Trainer: profile inline-three from its next service on; it has 3 cylinders, \
         flat-four-1423 4: is it this engine's?\n"
    );
    has("inline-three");
    assert_eq!(bytes(), before);
    assert_eq!(place.run(&["report", "Trainer"]).done(), record.done());
}

/// Takes the proposal of each question of the form, or types an answer where there is none.
fn fill_in(seat: &mut Seat, steps: &[(&str, &str)]) {
    for (question, typed) in steps {
        seat.await_text(question);
        if !typed.is_empty() {
            seat.press(typed);
            seat.await_text(&format!("> {typed}"));
        }
        seat.press("\r");
    }
}

#[test]
fn a_kind_of_ones_own_is_described_a_slip_is_undone_and_its_engine_is_at_its_first_session() {
    let folder = tempfile::tempdir().unwrap();
    let mut seat = Seat::take(folder.path(), &[], (24, 80));
    seat.await_text("No engine yet");
    seat.press("1");
    seat.await_text("which kind?");
    seat.press("\x1b[F");
    seat.await_text("A form asks for what the manual");
    seat.press("\r");
    fill_in(&mut seat, &[("shape: how", ""), ("cylinders: how many", "")]);
    // A cylinder named twice is seen at once, and erased.
    seat.await_text("firing order: the engine's own numbers");
    seat.press("1-2-2-4");
    seat.await_text("must name each cylinder from 1 to 4 once");
    for left in ["1-2-2-", "1-2-2", "1-2-", "1-2", "1-"] {
        seat.press("\x7f");
        seat.await_that(left, |screen| screen.contains(&format!("> {left}\n")));
    }
    seat.press("3-2-4");
    let screen = seat.await_text("opposites 1-2");
    assert!(!screen.contains("must name each"), "{screen}");
    seat.press("\r");
    fill_in(
        &mut seat,
        &[
            ("bank 1: name: ", ""),
            ("right bank: cylinders: ", ""),
            ("bank 2: name: ", ""),
            ("left bank: cylinders: ", ""),
            ("set by: what sets", ""),
            ("kind of engine: ", "Flat four, walk"),
            ("intake target: ", "0.15 mm"),
            ("intake least: ", "0.10 mm"),
            ("intake most: ", "0.20 mm"),
            ("exhaust target: ", "0.25 mm"),
            ("exhaust least: ", "0.20 mm"),
            ("exhaust most: ", "0.30 mm"),
            ("Enter: it is sound", ""),
            ("Name of the file", ""),
        ],
    );
    let screen = seat.await_text("What do you call it?");
    assert!(screen.contains("A new engine: Flat four, walk"), "{screen}");
    assert!(screen.contains("written: "), "{screen}");
    let begun = [
        ("What do you call it?", "Trainer"),
        ("Its serial number", ""),
        ("Running hours, as in 412.6", "412.6"),
        ("Enter: not kept here", ""),
        ("Who works on this engine?", "Jo"),
    ];
    fill_in(&mut seat, &begun);
    seat.await_that("next question", |screen| !screen.contains("Who works on this engine?"));
    seat.settled();
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    // What is on the disk: the file as it was typed, the engine with it, the session with it.
    let written = folder.path().join("profiles/flat-four-walk.json");
    let profile = parse_profile(&std::fs::read_to_string(written).unwrap(), "walk").unwrap();
    let order: Vec<String> = profile.firing_order.iter().map(ToString::to_string).collect();
    assert_eq!(order.join("-"), "1-3-2-4");
    let session = Session::replay(&kept(&newest_journal(folder.path()))).unwrap();
    let used = session.state.facts();
    assert_eq!(used.firing_order, profile.firing_order);
    assert_eq!((&used.intake, &used.exhaust), (&profile.intake, &profile.exhaust));
}

#[test]
fn after_closing_unsigned_what_is_left_open_comes_before_any_comparison() {
    let place = shop();
    let mut seat = Seat::take(place.path(), &["session", "Alpha"], (24, 80));
    for (asked, typed) in [("Running hours now", "191"), ("Aircraft total", ""), ("initials", "Jo")]
    {
        seat.await_text(asked);
        seat.press(typed);
        seat.press("\r");
    }
    seat.await_text("Which document");
    seat.press("0");
    seat.press("\r");
    let mut screen = seat.await_text("ake safe");
    while !screen.contains("Cylinder-head temperature") {
        screen = seat.answer();
    }
    for (asked, keys) in [("temperature", "18\r"), ("leaves", "1\r"), ("What is done today", "1")] {
        seat.await_text(asked);
        seat.press(keys);
    }
    seat.await_text("count them out");
    // An Enter close behind a digit that chose agrees to nothing.
    std::thread::sleep(std::time::Duration::from_secs(1));
    seat.press("\r");
    seat.await_text("pieces off");
    seat.press("*");
    seat.await_text("What else can be done");
    for key in ["2", "4", "\r"] {
        seat.press(key);
    }
    seat.await_text("Is it left so?");
    seat.press("1");
    seat.await_text("only practised");
    seat.press("1");
    seat.await_text("Seal code");
    let screen = seat.settled();
    assert!(screen.contains("left so at the engine: hang a tag on it"), "{screen}");
    assert_eq!(screen.matches("eal code").count(), 1, "{screen}");
    // The comparison is there for whoever wants it.
    seat.press("c");
    seat.await_text("Alpha");
}
