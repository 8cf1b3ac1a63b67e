//! A session that went two ways: its versions are shown, chosen and compared, and each keeps its letter.

use super::Place;
use super::services::{SESSION, with_services};
use std::fs;
use std::path::Path;

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

fn in_a_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A place where the open session went two ways after so many entries.
fn forked() -> (Place, usize) {
    let place = with_services();
    let path = place.journals()[2].clone();
    let all = lines(&path);
    let common = all.len() - 3;
    let aside = place.path().join("aside");
    fs::rename(&path, &aside).unwrap();
    fs::write(&path, all[..common].concat()).unwrap();
    // What is written here goes another way.
    let shown = place.run_typing(SESSION, "\n");
    assert!(shown.err.contains("entries here last time"), "{shown}");
    let other = path.with_file_name("20270309-000000z-copy.jsonl");
    fs::rename(&aside, &other).unwrap();
    (place, common)
}

#[test]
fn versions_of_one_session_are_shown_chosen_compared_and_none_is_touched() {
    let (place, common) = forked();
    let before: Vec<Vec<u8>> =
        place.journals().iter().map(|path| fs::read(path).unwrap()).collect();
    let listed = place.run(&["sessions", "Trainer"]);
    assert_eq!(listed.out.matches(&format!("parts at entry {common}")).count(), 2, "{listed}");
    let asked = place.run_typing(SESSION, "");
    let words = asked.done().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(&format!("They part at entry {common}")), "{asked}");
    assert!(
        words.contains("1 version A: the one that counts, ") && words.contains("2 version B: "),
        "{asked}"
    );
    let after = place.journals();
    assert!(after.iter().zip(&before).all(|(path, bytes)| fs::read(path).unwrap() == *bytes));
    // The one that was written here is gone on with, the copy stays as it is, and counts no more. The
    // letter of each stays what it was, whichever is the longer one now.
    let letters = || -> Vec<(String, String, bool)> {
        let named = place.run_unsettled(&["sessions", "Trainer"]).out;
        let of = |line: &str| {
            let (letter, rest) = line.split_once(", version ")?.1.split_once(" in ")?;
            let (file, rest) = rest.split_once(',')?;
            Some((letter.to_owned(), file.to_owned(), rest.contains("the one that counts")))
        };
        let mut all: Vec<_> = named.lines().filter_map(of).collect();
        all.sort();
        all
    };
    let first = letters();
    let is_copy = |file: &str| file.starts_with("20270309-000000z-copy");
    assert_eq!(
        first.iter().map(|one| (one.0.as_str(), is_copy(&one.1), one.2)).collect::<Vec<_>>(),
        [("A", true, true), ("B", false, false)],
        "{first:?}"
    );
    let path = after.iter().find(|path| path.ends_with("20270309-000000z-copy.jsonl")).unwrap();
    for _ in 0..3 {
        let asked = in_a_line(&place.run_typing(SESSION, "").out);
        let own = asked.split_once(" version B: ").unwrap().0.chars().last().unwrap();
        let gone_on = place.run_typing(SESSION, &format!("{own}\n"));
        assert_eq!(gone_on.code, 0, "{gone_on}");
    }
    assert!(before.contains(&fs::read(path).unwrap()), "the other version was not touched");
    let grown = after.iter().filter(|path| !before.contains(&fs::read(path).unwrap())).count();
    assert_eq!(grown, 1);
    let counts_now: Vec<_> =
        first.iter().cloned().map(|(letter, file, counts)| (letter, file, !counts)).collect();
    assert_eq!(letters(), counts_now);
    let asked = in_a_line(&place.run_typing(SESSION, "").out);
    assert!(asked.contains("1 version B: the one that counts, "), "{asked}");
    assert!(asked.contains("2 version A: "), "{asked}");
    // What was seen last lies in one of them: nothing is missed of the other.
    for letter in ["1\n", "2\n"] {
        let opened = place.run_typing(SESSION, letter);
        assert_eq!((opened.code, opened.err.contains("last time")), (0, false), "{opened}");
    }
    // Two versions can be set side by side, and verify shows both.
    let stem = place.journals()[3].file_stem().unwrap().to_string_lossy().into_owned();
    let both = place.run_unsettled(&[
        "compare",
        "Trainer",
        &format!("{stem}@A"),
        &format!("{stem}@B"),
        "--json",
    ]);
    let json: serde_json::Value =
        serde_json::from_str(&both.out).unwrap_or_else(|_| panic!("{both}"));
    let names = [&json["older"]["session"], &json["newer"]["session"]].map(|name| name.as_str());
    assert!(names.iter().all(|name| name.is_some_and(|name| name.contains('@'))), "{names:?}");
    let checked = place.run(&["verify", &stem]);
    assert_eq!(checked.code, 0, "{checked}");
    let words = checked.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words.matches("is another version").count(), 2, "{checked}");
}
