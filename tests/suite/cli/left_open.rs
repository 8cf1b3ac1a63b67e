//! What was left open by a session that has ended, or in another version, is told in the next one.

use super::services::begin;
use super::{Place, with_trainer};
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::{Entry, Moment, Nut, NutSaid, Remark, Seal};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::store::folder::Folder;
use cowlside::store::journal::Journal;

/// Adds entries to the newest session as the program would.
fn write(place: &Place, entries: &[Entry]) {
    let path = place.journals().pop().unwrap();
    let folder = Folder::at(place.path());
    let at = Moment { unix_ms: 1_773_500_000_000, offset_min: 60 };
    let (mut journal, _) = Journal::resume(&folder, &path, &parse, at, 0).unwrap();
    journal.append(entries, at, 0).unwrap();
}

fn intake(cylinder: u8) -> Valve {
    Valve { cylinder, kind: Kind::Intake, number: 1 }
}

fn slack(cylinder: u8) -> Entry {
    Entry::Nut(Nut { valve: intake(cylinder), said: NutSaid::Slack })
}

#[test]
fn a_nut_left_slack_by_a_session_closed_unsigned_is_where_the_next_one_begins() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let seal = Seal {
        entries: 0,
        by: "Somebody".into(),
        chain: String::new(),
        signed: false,
        why: "no time".into(),
    };
    write(&place, &[slack(1), Entry::Seal(seal)]);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("CLOSED UNSIGNED"), "{listed}");
    // The tag still says it, though no session is open.
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("NUT SLACK: 1 intake"), "{tag}");
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    assert_eq!(place.journals().len(), 2);
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("NUT SLACK: 1 intake"), "{tag}");
    // Negative control: what was closed with nothing open leaves nothing.
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let never = NutSaid::NeverTouched { why: "looked at".into() };
    let valve = intake(1);
    let seal = Seal {
        entries: 0,
        by: String::new(),
        chain: String::new(),
        signed: false,
        why: "no time".into(),
    };
    write(&place, &[slack(1), Entry::Nut(Nut { valve, said: never }), Entry::Seal(seal)]);
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    assert!(!place.run(&["tag", "Trainer"]).done().contains("NUT SLACK"));
}

#[test]
fn a_nut_slack_in_another_version_is_told_in_the_one_that_is_gone_on_with() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = place.journals().pop().unwrap();
    let copy = std::fs::read(&path).unwrap();
    write(&place, &[slack(3)]);
    // The copy went another way, further.
    let other = path.with_file_name("copy.jsonl");
    std::fs::write(&other, copy).unwrap();
    let folder = Folder::at(place.path());
    let at = Moment { unix_ms: 1_773_500_100_000, offset_min: 60 };
    let (mut journal, _) = Journal::resume(&folder, &other, &parse, at, 0).unwrap();
    let away = |text: &str| Entry::Remark(Remark { text: text.into(), ..Remark::default() });
    journal.append(&[away("one"), away("two"), away("three")], at, 0).unwrap();
    drop(journal);
    // The first that is offered is the one that counts, the longer one.
    place.run_typing(&["session", "Trainer", "--plain"], "1\n").done();
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("NUT SLACK: 3 intake"), "{tag}");
}

#[test]
fn after_a_torn_line_another_day_is_another_day() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = place.journals().pop().unwrap();
    let mut file = std::fs::File::options().append(true).open(&path).unwrap();
    std::io::Write::write_all(&mut file, b"{\"seq\":99,\"t\":\"20").unwrap();
    place.later(2 * 24 * 60);
    let shown = place.run_typing(&["session", "Trainer", "--plain"], "");
    assert!(shown.done().contains("Has the engine run since?"), "{shown}");
}
