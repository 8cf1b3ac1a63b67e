//! What was left open by a session that has ended, or in another version, is told in the next one.

use super::services::begin;
use super::{Place, with_trainer};
use crate::plain::Mechanic;
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::{
    Entry, LeftItem, Moment, Nut, NutSaid, Off, On, Redate, Remark, Seal,
};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::store::folder::Folder;
use cowlside::store::journal::Journal;
use std::collections::BTreeMap;
use std::path::Path;

/// Adds entries to the newest session as the program would.
pub fn write(place: &Place, entries: &[Entry]) {
    write_to(place, &place.journals().pop().unwrap(), entries);
}

pub fn write_to(place: &Place, path: &Path, entries: &[Entry]) {
    let folder = Folder::at(place.path());
    let at = Moment { unix_ms: 1_773_500_000_000, offset_min: 60 };
    let (mut journal, _) = Journal::resume(&folder, path, &parse, at, 0).unwrap();
    journal.append(entries, at, 0).unwrap();
    place.not_before(at.unix_ms);
}

fn intake(cylinder: u8) -> Valve {
    Valve { cylinder, kind: Kind::Intake, number: 1 }
}

pub fn slack(cylinder: u8) -> Entry {
    Entry::Nut(Nut::said(intake(cylinder), NutSaid::Slack))
}

pub fn unsigned() -> Entry {
    let (by, chain, why) = ("Somebody".into(), String::new(), "no time".into());
    let (tells_not_put_back, tells_not_gauged) = (Some(true), true);
    let signed = false;
    Entry::Seal(Seal { entries: 0, by, chain, signed, why, tells_not_put_back, tells_not_gauged })
}

#[test]
fn a_nut_left_slack_by_a_session_closed_unsigned_is_where_the_next_one_begins() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1), unsigned()]);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("LEFT OPEN: NUT SLACK: 1 intake"), "{listed}");
    let json = place.run(&["engines", "--json"]).json();
    assert_eq!(json["engines"][0]["left_open"][0], "NUT SLACK: 1 intake");
    // The owner is told so, and no next check.
    let journal = place.journals()[0].to_str().unwrap().to_owned();
    let report = place.run(&["report", &journal]);
    let owner = report.done().split("For the owner").nth(1).unwrap();
    let owner = owner.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        owner.starts_with("Closed without a signature; left open: NUT SLACK: 1 intake"),
        "{report}"
    );
    assert!(!report.out.contains("look again by"), "{report}");
    // The tag still says it, though no session is open.
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("NUT SLACK: 1 intake"), "{tag}");
    place.later(60);
    begin(&place, "", "Set 1 intake");
    assert_eq!(place.journals().len(), 2);
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("NUT SLACK: 1 intake"), "{tag}");
    assert!(tag.out.contains("Left so: NUT SLACK: 1 intake, by SESSION-1"), "{tag}");
    // Negative control: what was closed with nothing open leaves nothing.
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let never = NutSaid::NeverTouched { why: "looked at".into() };
    let valve = intake(1);
    write(&place, &[slack(1), Entry::Nut(Nut::said(valve, never)), unsigned()]);
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    assert!(!place.run(&["tag", "Trainer"]).done().contains("NUT SLACK"));
}

#[test]
fn where_there_are_two_valves_of_a_kind_the_list_names_each_wholly() {
    let place = Place::new();
    let add = ["engine", "add", "Trainer", "--profile", "inline-four-report", "--hours", "412.6"];
    place.run(&add).done();
    begin(&place, "", "Name or initials");
    write(&place, &[slack(1)]);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("NUT SLACK: 1 intake 1"), "{listed}");
    let json = place.run(&["engines", "--json"]).json();
    assert_eq!(json["engines"][0]["left_open"][0], "NUT SLACK: 1 intake 1", "{json}");
    write(&place, &[unsigned()]);
    let report = place.run(&["report", place.journals()[0].to_str().unwrap()]);
    let bare = |line: &&str| line.contains("SLACK: 1 intake") && !line.contains("1 intake 1");
    assert_eq!(report.done().lines().find(bare), None, "{report}");
    let owner = report.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(owner.contains("left open: NUT SLACK: 1 intake 1"), "{report}");
}

#[test]
fn a_nut_slack_in_an_open_session_is_in_capitals_in_the_list() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let calm = place.run(&["engines"]);
    assert!(calm.done().trim_end().ends_with("a session is open: 80 pieces off"), "{calm}");
    write(&place, &[slack(1)]);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("a session is open: NUT SLACK: 1 intake"), "{listed}");
    let json = place.run(&["engines", "--json"]).json();
    assert_eq!(json["engines"][0]["left_open"][0], "NUT SLACK: 1 intake");
    assert_eq!(json["engines"][0]["attention"], "open");
}

#[test]
fn in_the_document_all_that_is_open_is_listed_gone_on_with_or_closed() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1)]);
    let open = |place: &Place| {
        let mut json = place.run(&["engines", "--json"]).json();
        json["engines"][0]["left_open"].take()
    };
    let wanted = serde_json::json!(["NUT SLACK: 1 intake", "80 pieces off"]);
    assert_eq!(open(&place), wanted);
    write(&place, &[unsigned()]);
    // At work the rest is as it has to be; closed so it is left so.
    let closed = open(&place);
    assert!(closed[6] == "CONTROLS NOT PUT BACK YET" && closed[0] == wanted[0], "{closed}");
}

#[test]
fn a_piece_that_was_counted_missing_in_an_open_session_is_in_the_list() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let (bank, item) = ("right".into(), "cover".into());
    write(&place, &[Entry::On(On::Count { bank, item, count: 0 })]);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("a session is open: MISSING: "), "{listed}");
}

#[test]
fn what_no_later_service_took_over_is_taken_over_though_its_clock_stood_years_back() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1), unsigned()]);
    // The next service is begun by a clock that stands two years back, so it is listed as the earlier
    // one; it takes the slack nut over and is closed with another one slack.
    place.later(-2 * 365 * 24 * 60);
    begin(&place, "", "Set 1 intake");
    let back = place.journals().remove(0);
    write_to(&place, &back, &[slack(2), unsigned()]);
    place.later(3 * 365 * 24 * 60);
    begin(&place, "", "Set 1 intake");
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("NUT SLACK: 1 intake"), "{tag}");
    assert!(tag.out.contains("NUT SLACK: 2 intake"), "{tag}");
    // What was taken over once is not taken over again by the service after that.
    let never = |cylinder| {
        let said = NutSaid::NeverTouched { why: "locked".into() };
        Entry::Nut(Nut::said(intake(cylinder), said))
    };
    write(&place, &[never(1), never(2), unsigned()]);
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    assert!(!place.run(&["tag", "Trainer"]).done().contains("NUT SLACK"));
}

#[test]
fn a_nut_slack_in_another_version_is_told_in_the_one_that_is_gone_on_with() {
    let place = with_trainer();
    forked(&place, &[]);
    // The first that is offered is the one that counts, the longer one.
    place.run_typing(&["session", "Trainer", "--plain"], "1\n").done();
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.out.contains("NUT SLACK: 3 intake"), "{tag}");
    assert!(tag.code == 0 && tag.err.contains("has another version, "), "{tag}");
    // Its file is named, not its letter, which is another one as soon as the other counts.
    let words = tag.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("by the version in SESSION-1.jsonl"), "{tag}");
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
    assert!(shown.code == 0 && shown.out.contains("Has the engine run since?"), "{shown}");
    assert!(shown.err.contains("its last entry is cut off (17 bytes): what it said"), "{shown}");
}

#[test]
fn a_table_that_is_taken_in_after_it_hides_nothing() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1), unsigned()]);
    let table = place.path().join("later.csv");
    let head = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit";
    let row = "Trainer,flat-four,paper,2026-03-20T10:00:00+01:00,420,1,intake,found,6,thou";
    std::fs::write(&table, format!("{head}\n{row}\n")).unwrap();
    place.later(60 * 24 * 10);
    place.run(&["import", table.to_str().unwrap()]).done();
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("LEFT OPEN: NUT SLACK: 1 intake"), "{listed}");
    assert!(place.run(&["tag", "Trainer"]).done().contains("NUT SLACK: 1 intake"));
    begin(&place, "430", "Set 1 intake");
    assert!(place.run(&["tag", "Trainer"]).done().contains("Left so: NUT SLACK: 1 intake"));
}

/// Two versions of a session, of which the longer one, first in the list, knows of no slack nut.
pub fn forked(place: &Place, more: &[Entry]) {
    begin(place, "", "Gauge 2 intake");
    let path = place.journals().pop().unwrap();
    let copy = std::fs::read(&path).unwrap();
    write(place, &[slack(3)]);
    let other = path.with_file_name("copy.jsonl");
    // The copy went another way, further.
    std::fs::write(&other, copy).unwrap();
    let folder = Folder::at(place.path());
    let at = Moment { unix_ms: 1_773_500_100_000, offset_min: 60 };
    let (mut journal, _) = Journal::resume(&folder, &other, &parse, at, 0).unwrap();
    let said = |text: &str| Entry::Remark(Remark { text: text.into(), ..Remark::default() });
    journal.append(&["one", "two", "three"].map(said), at, 0).unwrap();
    journal.append(more, at, 0).unwrap();
}

#[test]
fn the_choice_between_versions_says_what_each_has_open_and_it_is_asked_once() {
    let place = with_trainer();
    forked(&place, &[]);
    let shown = place.run_typing(&["session", "Trainer", "--plain"], "1\n");
    let asked = shown.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(asked.contains("NUT SLACK: 3 intake"), "{shown}");
    let left = |place: &Place| {
        let texts = place.journals().into_iter().map(|path| std::fs::read_to_string(path).unwrap());
        texts.map(|text| text.matches("\"left_open\"").count()).sum::<usize>()
    };
    assert_eq!(left(&place), 1);
    place.later(60);
    place.run_typing(&["session", "Trainer", "--plain"], "1\n");
    assert_eq!(left(&place), 1);
}

#[test]
fn what_another_version_has_open_is_told_after_the_one_that_counts_has_ended() {
    let place = with_trainer();
    forked(&place, &[unsigned()]);
    place.later(60);
    let mut mechanic = Mechanic { stops_at: Some("Set 3 intake"), ..Mechanic::default() };
    let shown = place.run_asked(&["session", "Trainer", "--plain"], &mut mechanic);
    assert_eq!(shown.code, 0, "{shown}");
    let tag = place.run_unsettled(&["tag", "Trainer"]);
    assert!(tag.out.contains("Left so: NUT SLACK: 3 intake"), "{tag}");
}

#[test]
fn a_remark_answered_where_it_was_handed_on_to_comes_back_in_no_later_service() {
    let place = with_trainer();
    let text = "before running: cracked baffle, left open ";
    let remark =
        Remark { text: "cracked baffle".into(), before_running: true, ..Remark::default() };
    let next = |hours: &'static str| {
        place.later(60 * 24);
        begin(&place, hours, "How warm is the engine?");
    };
    begin(&place, "", "How warm is the engine?");
    write(&place, &[Entry::Remark(remark), unsigned()]);
    next("");
    assert!(place.run(&["tag", "Trainer"]).done().contains(text), "taken over");
    // Nothing else is open: no cover is off. The second is closed with it, the third answers it.
    write(&place, &[unsigned()]);
    next("");
    assert!(place.run(&["tag", "Trainer"]).done().contains(text), "handed on");
    let told = place.journals().pop().unwrap();
    let told = std::fs::read_to_string(told).unwrap();
    let line = told.lines().position(|line| line.contains(": cracked baffle")).unwrap();
    let settles = Some(u64::try_from(line).unwrap());
    let done = Remark { text: "new baffle fitted".into(), settles, ..Remark::default() };
    write(&place, &[Entry::Remark(done), unsigned()]);
    for _ in 0..2 {
        next("");
        let tag = place.run(&["tag", "Trainer"]);
        assert!(!tag.done().contains("cracked baffle"), "{tag}");
        write(&place, &[unsigned()]);
    }
}

#[test]
fn a_valve_signed_for_out_of_its_band_is_told_in_the_list_until_a_service_finds_it_well() {
    let place = with_trainer();
    let serve = |exhaust: &'static str| {
        let mut mechanic = Mechanic {
            reads: BTreeMap::from([("1 exhaust".to_string(), vec![exhaust])]),
            instead: vec![("What now?", "3"), ("1 exhaust is left tight", "1")],
            ..Mechanic::default()
        };
        place.run_asked(super::services::SESSION, &mut mechanic).done();
        place.later(600);
    };
    serve("9");
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("  1 exhaust LEFT TIGHT"), "{listed}");
    // By the index, which is read from the second time on.
    assert_eq!(place.run(&["engines"]).done(), listed.done());
    // A service of another cylinder alone says nothing of it.
    let mut mechanic = Mechanic {
        instead: vec![("What is done today?", "3"), ("Only some cylinders", "3")],
        ..Mechanic::default()
    };
    place.run_asked(super::services::SESSION, &mut mechanic).done();
    place.later(600);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("  1 exhaust LEFT TIGHT"), "{listed}");
    serve("12");
    assert!(!place.run(&["engines"]).done().contains("LEFT"));
}

/// Pieces that a service counted out, of a bank or lying about.
fn off(bank: &str, items: &[(&str, u32)]) -> Entry {
    let items = items.iter().map(|(item, count)| ((*item).to_string(), *count)).collect();
    Entry::Off(Off { bank: bank.into(), items })
}

/// Two services of which neither took over what the other left, and the one after both.
fn after_two(place: &Place, off: &[Entry]) -> Vec<(String, String, u64)> {
    let left = |path: &Path| {
        write_to(place, path, off);
        write_to(place, path, &[unsigned()]);
    };
    begin(place, "", "Gauge 2 intake");
    // The second knew nothing of the first.
    let first = place.journals().pop().unwrap();
    left(&first);
    let ended = std::fs::read(&first).unwrap();
    std::fs::remove_file(&first).unwrap();
    place.later(60);
    begin(place, "", "Gauge 2 intake");
    let second = place.journals().pop().unwrap();
    left(&second);
    std::fs::write(&first, ended).unwrap();
    place.later(60);
    begin(place, "", "Name or initials");
    taken_over(&place.journals().pop().unwrap())
}

/// The pieces that a session took over.
fn taken_over(path: &Path) -> Vec<(String, String, u64)> {
    let session = cowlside::domain::session::Session::replay(&crate::real::kept(path)).unwrap();
    let left = session.state.begin.left_open.iter();
    let pieces = left.filter_map(|left| match &left.item {
        LeftItem::Pieces { bank, item, out, .. } if *out > 0 => {
            Some((bank.clone(), item.clone(), u64::from(*out)))
        }
        _ => None,
    });
    pieces.collect()
}

fn pieces(taken: &[(String, String, u64)], of: (&str, &str)) -> u64 {
    taken.iter().filter(|(bank, item, _)| (&**bank, &**item) == of).map(|(.., out)| out).sum()
}

#[test]
fn equal_pieces_of_two_services_are_taken_over_both_and_once_more_after_that() {
    let place = with_trainer();
    let taken = after_two(&place, &[off("all round", &[("tool", 3)])]);
    assert_eq!(pieces(&taken, ("all round", "tool")), 6, "{taken:?}");
    write(&place, &[unsigned()]);
    place.later(60);
    begin(&place, "", "Name or initials");
    let taken = taken_over(&place.journals().pop().unwrap());
    assert_eq!(pieces(&taken, ("all round", "tool")), 6, "{taken:?}");
    // In the record they are as many.
    let counts = [
        On::Count { bank: "all round".into(), item: "tool".into(), count: 3 },
        On::Count { bank: "all round".into(), item: "tool".into(), count: 2 },
        On::AccountedFor {
            bank: "all round".into(),
            item: "tool".into(),
            place: "in the drawer".into(),
            by: "Somebody".into(),
        },
    ];
    write(&place, &counts.map(Entry::On));
    let journal = place.journals().pop().unwrap();
    let record = place.run(&["report", journal.to_str().unwrap()]);
    let words = record.done().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("1 × tool missing, all round: in the drawer"), "{record}");
}

#[test]
fn the_same_covers_are_taken_over_once_and_of_two_counts_the_larger() {
    let place = with_trainer();
    let taken = after_two(&place, &[off("left", &[("cover", 2)])]);
    assert_eq!(pieces(&taken, ("left", "cover")), 2, "{taken:?}");
    // What was taken over of both is not taken over again.
    write(
        &place,
        &[On::Count { bank: "left".into(), item: "cover".into(), count: 2 }].map(Entry::On),
    );
    write(&place, &[unsigned()]);
    place.later(60);
    begin(&place, "", "Name or initials");
    let taken = taken_over(&place.journals().pop().unwrap());
    assert_eq!(pieces(&taken, ("left", "cover")), 0, "{taken:?}");
}

#[test]
fn a_valve_signed_for_out_of_its_band_is_told_behind_a_later_service_too() {
    let place = with_trainer();
    let mut mechanic = Mechanic {
        reads: BTreeMap::from([("1 exhaust".to_string(), vec!["9"])]),
        instead: vec![("What now?", "3"), ("1 exhaust is left tight", "1")],
        ..Mechanic::default()
    };
    place.run_asked(super::services::SESSION, &mut mechanic).done();
    let told = |place: &Place, when: &str| {
        let listed = place.run_unsettled(&["engines"]);
        assert!(listed.out.contains("1 exhaust LEFT TIGHT"), "{when}: {listed}");
        let json = place.run_unsettled(&["engines", "--json"]).out;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let left_out = &json["engines"][0]["left_out"];
        assert_eq!(left_out[0], "1 exhaust LEFT TIGHT", "{when}: {json}");
    };
    told(&place, "signed");
    place.later(600);
    begin(&place, "", "Name or initials");
    told(&place, "open");
    let journal = place.journals().pop().unwrap();
    let whole = std::fs::read(&journal).unwrap();
    let mut damaged = whole.clone();
    let middle = damaged.len() / 2;
    damaged[middle] ^= 1;
    std::fs::write(&journal, damaged).unwrap();
    told(&place, "damaged");
    std::fs::write(&journal, whole).unwrap();
    write(&place, &[unsigned()]);
    told(&place, "closed unsigned");
}

#[test]
fn what_services_of_some_cylinders_left_out_is_noted_and_not_read_anew_at_each_listing() {
    let place = with_trainer();
    place.run_asked(super::services::SESSION, &mut Mechanic::default()).done();
    place.later(600);
    let mut mechanic = Mechanic {
        reads: BTreeMap::from([("1 exhaust".to_string(), vec!["9"])]),
        instead: vec![
            ("What is done today?", "3"),
            ("Only some cylinders", "1"),
            ("What now?", "3"),
            ("1 exhaust is left tight", "1"),
        ],
        ..Mechanic::default()
    };
    place.run_asked(super::services::SESSION, &mut mechanic).done();
    place.later(600);
    assert!(place.run(&["engines"]).done().contains("1 exhaust LEFT TIGHT"));
    let noted = place.path().join("cache/next.json");
    let text = std::fs::read_to_string(&noted).unwrap();
    assert!(text.contains("1 exhaust LEFT TIGHT"), "{text}");
    std::fs::write(&noted, text.replace("LEFT TIGHT", "LEFT \\u001b[2J NOTED")).unwrap();
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("1 exhaust LEFT "), "{listed}");
    assert!(listed.out.contains("NOTED"), "read anew: {listed}");
    assert!(!listed.out.contains('\u{1b}'), "{listed}");
}

#[test]
fn a_service_whose_day_was_put_right_is_not_the_last_one_for_ever() {
    let place = with_trainer();
    let five_years = 5 * 365 * 24 * 60;
    place.later(five_years);
    begin(&place, "", "anybody else");
    let (day, why) = ("2026-01-10".into(), "the clock was years ahead".into());
    write(&place, &[Entry::Redate(Redate { day, why }), unsigned()]);
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("LEFT OPEN: PLUGS NOT AT TORQUE YET; LEADS OFF"), "{listed}");
    place.later(60 - five_years);
    let mut mechanic = Mechanic::default();
    place.run_asked(super::services::SESSION, &mut mechanic).done();
    let listed = place.run(&["engines"]);
    assert!(listed.done().contains("next "), "{listed}");
    assert!(
        !listed.out.contains("CLOSED UNSIGNED") && !listed.out.contains("LEFT OPEN"),
        "{listed}"
    );
}
