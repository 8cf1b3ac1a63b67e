//! Where a cylinder has several valves of a kind, each is called by its whole name, on every sheet.

use super::Place;
use crate::services::{MORNING, Service as Walk};
use cowlside::domain::service::Service;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::compared;

/// An engine of two valves a kind with six services from a table: a closing exhaust valve among them, and
/// one that was left tight at last.
fn with_past() -> Place {
    let place = Place::new();
    let mut table =
        "engine,profile,session,date,hours,cylinder,valve,number,step,typed,unit\n".to_owned();
    for (n, found) in (1_u32..).zip([30, 28, 26, 24, 22, 18]) {
        for cylinder in 1..=4 {
            for (valve, number) in [("intake", 1), ("intake", 2), ("exhaust", 1), ("exhaust", 2)] {
                let closing = (cylinder, valve, number) == (1, "exhaust", 1);
                let usual = if valve == "intake" { 20 } else { 30 };
                let (reads, left) = match (closing, n) {
                    (true, 6) => (found, found),
                    (true, _) => (found, 30),
                    (false, _) => (usual, usual),
                };
                for (step, typed) in [("found", reads), ("left", left)] {
                    table += &format!(
                        "Bus,inline-four-report,s{n},202{n}-03-01T10:00:00Z,{},{cylinder},{valve},{number},{step},{typed},hundredths\n",
                        n * 100
                    );
                }
            }
        }
    }
    let path = place.path().join("past.csv");
    std::fs::write(&path, table).unwrap();
    let taken = place.run_unsettled(&["import", path.to_str().unwrap()]);
    assert_eq!(taken.code, 0, "{taken}");
    place
}

/// Returns each place where a valve is named without its number.
fn bare(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    fn digits(word: &str) -> &str {
        word.trim_matches(|c: char| !c.is_ascii_alphanumeric())
    }
    let is_number = |word: &str| digits(word).len() == 1 && digits(word).parse::<u8>().is_ok();
    let mut found = Vec::new();
    for at in 1..words.len() {
        let kind = digits(words[at]);
        if (kind != "intake" && kind != "exhaust")
            || !is_number(words[at - 1])
            || words[at - 1].ends_with([':', ',', '.'])
        {
            continue;
        }
        let whole = words[at] == kind && words.get(at + 1).is_some_and(|next| is_number(next));
        if !whole {
            found.push(words[at.saturating_sub(3)..words.len().min(at + 4)].join(" "));
        }
    }
    found
}

#[test]
fn each_sheet_names_each_valve_with_its_number_where_there_are_two_of_a_kind() {
    assert_eq!(
        bare("1 exhaust closes; 1 exhaust 2 x (2 intake 1), 3 intake"),
        ["1 exhaust closes; 1 exhaust", "intake 1), 3 intake"]
    );
    let place = with_past();
    let last = place.run_unsettled(&["sessions", "Bus"]).out;
    let session = last.lines().last().unwrap().split_whitespace().next().unwrap().to_owned();
    let runs: &[&[&str]] = &[
        &["compare", "Bus"],
        &["history", "Bus"],
        &["report", &session],
        &["report", &session, "--format", "html"],
        &["report", "--blank", "Bus"],
        &["plan", "inline-four-report"],
        &["plan", "inline-four-report", "--few-stops"],
        &["profiles", "show", "inline-four-report"],
        &["engines"],
    ];
    let mut told = Vec::new();
    for words in runs {
        let shown = place.run_unsettled(words);
        assert_eq!(shown.code, 0, "{words:?} {shown}");
        let text = shown.out.replace(['<', '>'], " ");
        told.extend(bare(&text).into_iter().map(|place| format!("{words:?}: {place}")));
    }
    assert_eq!(told, [""; 0]);
    let compared = place.run_unsettled(&["compare", "Bus"]).out;
    assert!(compared.contains("Left outside limits: 1 exhaust 1 (tight)"), "{compared}");
    let past = place.run_unsettled(&["history", "Bus"]).out;
    assert!(past.contains("first exhaust valve of cylinder 1 may"), "{past}");
}

#[test]
fn what_a_comparison_leaves_out_while_it_is_to_be_gauged_is_named_wholly_too() {
    let (_, text) = BUILT_IN.iter().find(|(name, _)| *name == "inline-four-report").unwrap();
    let facts = (*parse_profile(text, "inline-four-report").unwrap()).clone();
    let service = Service::of(&Walk::begun(facts, "spring", MORNING, 41_260).session);
    let due = [Valve::new(1, Kind::Exhaust)].into();
    let table = compared::without(&due, service.clone(), service);
    let told = "Left out until it is gauged at this stop: 1 exhaust 1";
    assert!(table.lines.iter().any(|line| line == told), "{:?}", table.lines);
}
