//! One whole session as each released version wrote it, kept for ever: it must still read the same.
//! The session is the demonstration's, so everything in it is invented.

use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Session};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::domain::verdict::Verdict;
use cowlside::store::journal::{self, Verdict as Whole};
use cowlside::store::profile_file::parse_profile;
use std::path::Path;

fn read(version: &str) -> Session {
    let name = format!("tests/released/session-{version}.jsonl");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let parse = |text: &str| parse_profile(text, "golden").map_err(|error| error.to_string());
    let opened = journal::open(&path, &parse).unwrap();
    assert_eq!(opened.verdict, Whole::Clean, "{}", opened.verdict);
    Session::replay(&opened.entries).unwrap()
}

#[test]
fn a_session_of_the_first_version_reads_as_it_did() {
    let session = read("0.1.0");
    let state = &session.state;
    assert_eq!(state.due(), Due::Closed);
    assert_eq!((state.sealed, state.open_items()), (Some(true), vec![]));
    let service = Service::of(&session);
    assert!(service.valves.iter().all(|outcome| outcome.left.is_some()));
    let exhaust = Valve::new(3, Kind::Exhaust);
    let typed = |taken: Option<&cowlside::domain::session::Taken>| {
        taken.map(|taken| taken.reading.typed.clone()).unwrap_or_default()
    };
    assert_eq!(typed(state.found(exhaust)), FOUND);
    assert_eq!(typed(state.left(exhaust)), LEFT);
    assert_eq!(session.tries(exhaust), 2);
    assert_eq!(state.verdict_found(exhaust), Some(Verdict::Tight));
    assert_eq!(state.verdict_left(exhaust), Some(Verdict::InLimits));
    assert_eq!(state.worker.as_deref(), Some("day mechanic"));
}

/// As typed by the invented mechanic.
const FOUND: &str = "8/9";
const LEFT: &str = "12";
