//! The indexes in `cache/`: what the program says is the same with them, without them, and whatever
//! has become of them.

#[path = "../../benches/shop/made.rs"]
pub mod made;

use crate::cli::Place;
use cowlside::domain::entry::{Entry, Remark};
use cowlside::store::hash::hex_of_sha256;
use made::Size;
use std::fs;
use std::path::{Path, PathBuf};

const INDEXES: [&str; 3] = ["sessions-index", "engines-index", "open-index"];
const COMMANDS: [&[&str]; 6] = [
    &["engines"],
    &["engines", "--json"],
    &["sessions", "Engine 0001"],
    &["sessions", "engine 0002"],
    &["history", "Engine 0003", "--json"],
    &["export"],
];

/// A shop with a damaged session, a copy of one, and a file that is no session.
fn shop() -> Place {
    let place = Place::new();
    made::make(place.path(), Size { engines: 4, sessions: 4, entries: 70, seed: 1 });
    let journals = place.journals();
    fs::copy(&journals[1], place.path().join("sessions/copy.jsonl")).unwrap();
    fs::write(place.path().join("sessions/notes.jsonl"), "not a session\n").unwrap();
    damage(&journals[2]);
    place
}

/// Changes one digit in the middle of a journal; its length stays.
fn damage(journal: &Path) {
    let mut bytes = fs::read(journal).unwrap();
    let middle = bytes.len() / 2;
    let digit = (middle..).find(|&at| bytes[at].is_ascii_digit()).unwrap();
    bytes[digit] = if bytes[digit] == b'1' { b'2' } else { b'1' };
    fs::write(journal, bytes).unwrap();
}

fn said(place: &Place) -> Vec<String> {
    COMMANDS.iter().map(|words| place.run(words).to_string()).collect()
}

fn without(place: &Place) -> Vec<String> {
    let _ = fs::remove_dir_all(place.path().join("cache"));
    said(place)
}

fn index(place: &Place, name: &str) -> PathBuf {
    place.path().join("cache").join(name)
}

/// Rewrites an index with sound hashes: its time ten seconds later, so that it is believed of files
/// that were only just written, and words in it replaced.
fn forged(path: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(path).unwrap();
    let (first, rest) = text.split_once('\n').unwrap();
    let length: usize = first.rsplit('\t').next().unwrap().trim().parse().unwrap();
    let (head, sections) = rest.split_at(length);
    let sections = sections.replace(from, to);
    let mut lines = head[..length - 32].lines();
    let (taken, more) = lines.next().unwrap().split_once('\t').unwrap();
    let mut head = format!("{}\t{more}\n", taken.parse::<i128>().unwrap() + 10_000_000_000);
    for line in lines {
        let parts: Vec<&str> = line.splitn(4, '\t').collect();
        let (at, long): (usize, usize) = (parts[0].parse().unwrap(), parts[1].parse().unwrap());
        let sum = hex_of_sha256(&sections.as_bytes()[at..at + long], 16);
        head += &format!("{at}\t{long}\t{sum}\t{}\n", parts[3]);
    }
    head += &hex_of_sha256(head.as_bytes(), 16);
    fs::write(path, format!("{first}\n{head}{sections}")).unwrap();
}

/// Makes the indexes and has them believed.
fn settle(place: &Place) {
    without(place);
    INDEXES.iter().for_each(|name| forged(&index(place, name), "", ""));
}

#[test]
fn the_same_is_said_with_the_indexes_without_them_and_whatever_has_become_of_them() {
    let place = shop();
    let plain = without(&place);
    assert!(plain[0].contains("Engine 0004") && plain[5].len() > 10_000);
    let slack = |by: &str| plain[0].contains(&format!("LEFT OPEN: NUT SLACK: {by}"));
    assert!(slack("1 intake") && slack("1 intake, by service 02"), "{}", plain[0]);
    assert!(plain[1].contains("left out"), "the copy and the foreign file are told");
    assert_eq!(said(&place), plain, "just made");
    settle(&place);
    assert_eq!(said(&place), plain, "believed");
    let mut tried = 0;
    let sound = INDEXES.map(|name| fs::read(index(&place, name)).unwrap());
    let lay = |at: usize, bytes: &[u8]| {
        let back = INDEXES.iter().zip(&sound);
        back.for_each(|(name, sound)| fs::write(index(&place, name), sound).unwrap());
        fs::write(index(&place, INDEXES[at]), bytes).unwrap();
    };
    for (which, sound) in sound.iter().enumerate() {
        for change in 0..6 {
            let mut bytes = sound.clone();
            match change {
                0 => bytes.truncate(sound.len() / 2),
                1 => bytes.clear(),
                2 => bytes = vec![0; sound.len()],
                3 => bytes = b"\xff\xfe garbage\n\t\t\t\n".repeat(50),
                4 => bytes[15] = b'9',
                _ => bytes.extend_from_within(..),
            }
            lay(which, &bytes);
            assert_eq!(said(&place), plain, "{}, change {change}", INDEXES[which]);
            tried += 1;
        }
        for at in (0..sound.len()).step_by(197) {
            let mut bytes = sound.clone();
            bytes[at] ^= 1;
            lay(which, &bytes);
            let (words, said) = ([COMMANDS[1], COMMANDS[2]], [&plain[1], &plain[2]]);
            let now = words.map(|words| place.run(words).to_string());
            assert_eq!(now.each_ref(), said, "{}, byte {at}", INDEXES[which]);
            tried += 1;
        }
    }
    assert!(tried > 20, "{tried}");
}

#[test]
fn a_believed_index_is_what_the_list_is_made_of_but_never_what_is_opened() {
    let place = shop();
    let plain = without(&place);
    forged(&index(&place, "sessions-index"), "service 04", "service XX");
    let listed = place.run(&["sessions", "Engine 0003"]).to_string();
    assert!(listed.contains("service XX") && !listed.contains("service 04"), "{listed}");
    assert_eq!(place.run(COMMANDS[4]).to_string(), plain[4], "history opens the sessions");
    assert_eq!(place.run(COMMANDS[5]).to_string(), plain[5], "so does the export");
    // What was left open is read of no session again, and nothing of it acts on a terminal.
    settle(&place);
    forged(&index(&place, "open-index"), "NUT SLACK: 1", "NUT NOTED:\u{1b}1");
    let listed = |word: &str| {
        let listed = [0, 1].map(|at| place.run(COMMANDS[at]).to_string());
        assert!(listed.iter().all(|listed| !listed.contains('\u{1b}')), "{listed:?}");
        listed.map(|listed| listed.matches(word).count())
    };
    let both = [0, 1].map(|at| plain[at].matches("NUT SLACK").count());
    assert_eq!((listed("NUT NOTED"), listed("NUT SLACK")), (both, [0, 0]));
    // Of an engine of which a session says more since it is read anew, and of no other one.
    let is_it = |path: &PathBuf| {
        let text = fs::read_to_string(path).unwrap_or_default();
        text.contains("\"service 04\"") && text.contains("called away")
    };
    let unsigned = place.journals().into_iter().find(is_it).unwrap();
    let remark = Remark { text: "looked at".into(), ..Remark::default() };
    crate::cli::left_open::write_to(&place, &unsigned, &[Entry::Remark(remark)]);
    let (noted, slack) = (listed("NUT NOTED"), listed("NUT SLACK"));
    assert!(noted[0] > 0 && slack[0] > 0, "{noted:?} {slack:?}");
    assert_eq!([0, 1].map(|at| noted[at] + slack[at]), both);
}

#[test]
fn what_was_changed_removed_or_added_since_is_seen() {
    let place = shop();
    settle(&place);
    let journals = place.journals();
    let its = |place: &Place| place.run(&["sessions", "Engine 0001"]).to_string();
    let before = its(&place);
    // A copy of an engine's folder: gone, renamed, and there again.
    let (one, away) = (&journals[3], place.path().join("away"));
    fs::rename(one, &away).unwrap();
    let gone = said(&place);
    assert_eq!(gone, without(&place), "one file gone");
    fs::rename(&away, one).unwrap();
    settle(&place);
    assert_eq!(its(&place), before);
    // Another name of an engine, written over its file.
    let engines = place.path().join("engines");
    let file = fs::read_dir(&engines).unwrap().next().unwrap().unwrap().path();
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replace("\"Engine 0", "\"Engine 9")).unwrap();
    let changed = said(&place);
    assert_eq!(changed, without(&place), "another name");
    settle(&place);
    fs::remove_file(&file).unwrap();
    assert_eq!(said(&place), without(&place), "one engine gone");
}

/// No program can set back the time at which Unix notes the change itself.
#[cfg(unix)]
#[test]
fn a_change_of_the_same_length_with_the_time_set_back_is_seen() {
    let place = shop();
    settle(&place);
    let journal = &place.journals()[0];
    let then = fs::metadata(journal).unwrap();
    damage(journal);
    let file = fs::File::options().append(true).open(journal).unwrap();
    file.set_modified(then.modified().unwrap()).unwrap();
    let now = fs::metadata(journal).unwrap();
    assert_eq!((now.len(), now.modified().unwrap()), (then.len(), then.modified().unwrap()));
    let seen = said(&place);
    assert!(seen.iter().any(|said| said.contains("damaged")), "{seen:?}");
    assert_eq!(seen, without(&place));
}

#[test]
fn an_index_that_cannot_be_kept_harms_nothing_and_nothing_is_left_beside_it() {
    let place = shop();
    let plain = without(&place);
    let left = fs::read_dir(place.path().join("cache")).unwrap().count();
    assert_eq!(left, INDEXES.len());
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    fs::write(place.path().join("cache"), "a file stands in the way").unwrap();
    assert_eq!(said(&place), plain);
    assert_eq!(fs::read_to_string(place.path().join("cache")).unwrap().len(), 24);
}

#[test]
fn two_programs_at_once_do_each_other_no_harm() {
    let place = shop();
    let plain = without(&place);
    let home = place.path();
    std::thread::scope(|scope| {
        let runs: Vec<_> = (0..4)
            .map(|n| {
                scope.spawn(move || {
                    let mut listed = Vec::new();
                    for _ in 0..10 {
                        if n == 0 {
                            let _ = fs::remove_file(home.join("cache/sessions-index"));
                        }
                        let folder = cowlside::store::folder::Folder::at(home);
                        listed.push(cowlside::store::sessions::list(&folder).unwrap());
                    }
                    listed
                })
            })
            .collect();
        let mut all = runs.into_iter().flat_map(|run| run.join().unwrap());
        let first = all.next().unwrap();
        assert!(first.sessions.len() > 10 && all.all(|listing| listing == first));
    });
    assert_eq!(said(&place), plain);
}

#[test]
fn an_index_whose_lines_meant_something_else_is_thrown_away() {
    let place = shop();
    let plain = without(&place);
    let path = index(&place, "sessions-index");
    forged(&path, "service 04", "service XX");
    let sound = fs::read_to_string(&path).unwrap();
    assert_ne!(said(&place), plain, "the control: it is believed");
    let (now, version) = sound.strip_prefix("cowlside index ").unwrap().split_once(' ').unwrap();
    for older in 1..=8 {
        fs::write(&path, format!("cowlside index {older} {version}")).unwrap();
        assert_eq!(said(&place), plain, "version {older}");
    }
    let path = index(&place, "open-index");
    forged(&path, "NUT SLACK", "NUT XXXXX");
    let older = fs::read_to_string(&path).unwrap();
    assert_ne!(said(&place), plain, "the control: it is believed");
    fs::write(&path, older.replacen(now, "8", 1)).unwrap();
    assert_eq!(said(&place), plain, "what was left open as version 8 noted it");
}
