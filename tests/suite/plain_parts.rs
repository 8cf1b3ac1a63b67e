//! Services C and D as plain prompts, from an empty data folder to the signature: shims with a week
//! in between, push rods under hydraulic lifters; what the engine remembers; the parts list.

use crate::cli::{Place, Shown, snapshot};
use crate::plain::Mechanic;
use std::collections::BTreeMap;

const TWIN: &[&str] = &["engine", "add", "Twin", "--profile", "vee-twin-shims", "--hours", "400"];
const SIX: &[&str] = &["engine", "add", "Six", "--profile", "flat-six-hydraulic", "--hours", "900"];

fn reads(list: &[(&str, &[&'static str])]) -> BTreeMap<String, Vec<&'static str>> {
    list.iter().map(|(valve, reads)| (valve.to_string(), reads.to_vec())).collect()
}

fn at_the_twin() -> Mechanic {
    Mechanic {
        page: vec![
            ("intake target", "0.18"),
            ("intake least", "0.15"),
            ("intake most", "21"),
            ("exhaust target", "25"),
            ("exhaust least", "0.22 mm"),
            ("exhaust most", "28"),
        ],
        on_target: Some(["18", "25"]),
        ..Mechanic::default()
    }
}

fn at_the_six() -> Mechanic {
    Mechanic {
        page: vec![
            ("intake target", "54"),
            ("intake least", "28"),
            ("intake most", "80"),
            ("exhaust target", "54"),
            ("exhaust least", "28"),
            ("exhaust most", "0.080"),
        ],
        on_target: Some(["40+14", "40+14"]),
        ..Mechanic::default()
    }
}

fn session(place: &Place, engine: &str, mechanic: &mut Mechanic) -> Shown {
    mechanic.said.clear();
    place.run_asked(&["session", engine, "--plain"], mechanic)
}

/// The questions about parts as they were printed, each with its page.
fn pages_about_parts(shown: &Shown) -> String {
    let pages = shown.out.split("\n\n").map(|page| page.trim_start_matches('\n'));
    let parts = pages.filter(|page| {
        let head = page.lines().find(|line| line.starts_with('[')).unwrap_or("");
        head.starts_with("[change ")
            || head.contains("lifter")
            || head.contains("reads")
            || head.contains("push rod")
    });
    let mut told: Vec<&str> = Vec::new();
    for page in parts {
        let lifter = |page: &str| page.contains(" comes first\n");
        let again = lifter(page) && told.iter().any(|told| lifter(told));
        if !told.contains(&page) && !again {
            told.push(page);
        }
    }
    told.join("\n\n") + "\n"
}

#[test]
fn service_c_with_a_week_between_taking_apart_and_fitting() {
    let place = Place::new();
    place.run(TWIN).done();
    let none = place.run(&["parts", "twin"]);
    assert!(none.err.contains("no service of Twin is known"), "{none}");
    let mut mechanic = at_the_twin();
    mechanic.reads = reads(&[("1 intake 2", &["26", "18"]), ("2 exhaust 1", &["16", "25"])]);
    // Cams of the left bank out, its shim out; then the right bank's.
    mechanic.instead.extend([
        ("Parts list: 2 valves out", "1"),
        ("Take out the shim of 1 intake 2", "1"),
        ("Marked size", "270"),
        ("By the micrometer", "2.69"),
        ("Parts list: 2 valves out", "1"),
        ("Take out the shim of 2 exhaust", "1"),
        ("Marked size", ""),
        ("By the micrometer", "2.80"),
    ]);
    mechanic.stops_at = Some("Fit the shim of 1 intake 2");
    let apart = session(&place, "twin", &mut mechanic);
    assert!(apart.done().ends_with("The session stays open; go on with it at any time.\n"));
    assert!(mechanic.instead.is_empty(), "not asked: {:?}", mechanic.instead);
    snapshot("parts_c_list", place.run(&["parts", "twin"]).done());
    snapshot("parts_c_tag", place.run(&["tag", "twin"]).done());

    place.later(60 * 24 * 7);
    mechanic.stops_at = None;
    mechanic.instead.extend([
        ("Fit the shim of 1 intake 2", "1"),
        ("By the micrometer", ""),
        ("Fit the shim of 2 exhaust", "2"),
        ("Marked size", "270"),
        ("By the micrometer", "2.70"),
    ]);
    let fitted = session(&place, "twin", &mut mechanic);
    assert!(fitted.out.contains("This session is closed."), "{fitted}");
    assert!(mechanic.instead.is_empty(), "not asked: {:?}", mechanic.instead);
    let order: Vec<usize> =
        ["Has the engine run", "make safe", "Fit the shim", "Put the cams in", "Turn it"]
            .iter()
            .map(|words| {
                mechanic
                    .said
                    .iter()
                    .position(|(asked, _)| asked.contains(words))
                    .unwrap_or_else(|| panic!("{words} was not asked: {:#?}", mechanic.said))
            })
            .collect();
    assert!(order.is_sorted(), "{order:?}");
    let words = ["rocker", "propeller", "blade"];
    let all = format!("{}{}", apart.out, fitted.out).to_lowercase();
    for word in words {
        assert!(!all.contains(word), "{word} on an overhead-cam engine without a propeller");
    }
    snapshot("parts_c_pages", &(pages_about_parts(&apart) + &pages_about_parts(&fitted)));
    let name = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    snapshot("parts_c_report", place.run(&["report", &name]).done());

    // The next service knows its shims before anything is opened.
    place.later(60 * 24 * 90);
    let mut mechanic = at_the_twin();
    // Moved further than this engine ever did: gauged once more, and it stands.
    mechanic.reads = reads(&[("1 intake 2", &["26"])]);
    mechanic.instead = vec![
        ("Running hours now", "800"),
        ("A second reading of 1 intake 2", "26"),
        ("what was it?", "2"),
    ];
    mechanic.stops_at = Some("Parts list");
    let next = session(&place, "twin", &mut mechanic);
    next.done();
    let known = place.run(&["parts", "twin"]);
    assert!(known.done().contains("1 intake 2 reads 26: fit"), "{known}");
    snapshot("parts_c_json", place.run(&["parts", "twin", "--json"]).done());
}

#[test]
fn service_d_push_rods_under_hydraulic_lifters() {
    let place = Place::new();
    place.run(SIX).done();
    let mut mechanic = at_the_six();
    mechanic.reads = reads(&[("4 exhaust", &["50+35", "50"]), ("2 intake", &["20", "20"])]);
    mechanic.instead = vec![
        ("4 exhaust reads", "1"),
        ("came out of 4 exhaust", ""),
        ("Fit the push rod of 4 exhaust", "4"),
        ("2 intake reads", "3"),
        ("2 intake is left", "2"),
    ];
    let shown = session(&place, "six", &mut mechanic);
    assert!(shown.out.contains("This session is closed."), "{shown}");
    assert!(mechanic.instead.is_empty(), "not asked: {:?}", mechanic.instead);
    let gauged = mechanic.said.iter().filter(|(asked, _)| asked.contains("| Gauge ")).count();
    assert_eq!(gauged, 13, "twelve, and the one that was changed");
    let lifters = mechanic.said.iter().filter(|(asked, _)| asked.contains("The lifter of"));
    assert_eq!(lifters.count(), 13);
    snapshot("parts_d_pages", &pages_about_parts(&shown));
    let name = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    snapshot("parts_d_report", place.run(&["report", &name]).done());
    snapshot("parts_d_list", place.run(&["parts", "six"]).done());
    let json = place.run(&["parts", "six", "--json"]).json();
    assert_eq!(json["adjuster"], "pushrod");
    assert_eq!(json["fitted"][0]["size"], 0.03);
}

#[test]
fn readings_on_paper_are_typed_a_cylinder_at_a_time() {
    let place = Place::new();
    place.run(SIX).done();
    let mut mechanic = at_the_six();
    mechanic.stops_at = Some("expected)");
    session(&place, "six", &mut mechanic).done();
    // The list's second page, its fourth line; the cylinder that is next, its time, both valves, each
    // with its lifter dry then.
    let typed = "1\n1\n1\n1\n*\n9\n4\n\n08:40\n40+14\n1\n50+35\n1\n*\n9\n4\n\n8.55\n40+14\n1\n\n*\n9\n4\n\n0859\n40+14\n";
    let shown = place.run_typing(&["session", "six", "--plain"], typed);
    let last = shown.done();
    assert!(last.contains("Enter  1, next in the plan"), "{last}");
    assert!(last.contains("Enter  4, next in the plan"), "{last}");
    assert!(last.contains("saved: 1 exhaust 50+35 · LOOSE"), "{last}");
    // 4 exhaust was not on the paper: its cylinder stays the next.
    assert_eq!(last.matches("Enter  4, next in the plan").count(), 2, "{last}");
    let name = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    let record = place.run(&["report", &name]);
    assert!(record.done().contains("from paper"), "{record}");
}

#[test]
fn an_engine_with_screws_has_no_parts_list() {
    let place = Place::new();
    place.run(&["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"]).done();
    let mut mechanic = Mechanic { stops_at: Some("expected)"), ..Mechanic::default() };
    session(&place, "trainer", &mut mechanic).done();
    let shown = place.run(&["parts", "trainer"]);
    assert_eq!(shown.code, 1);
    assert!(shown.err.contains("error: Trainer is not set by shims or push rods"), "{shown}");
}
