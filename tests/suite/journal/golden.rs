//! One file for each kind of entry, as it stands on disk for ever.

use super::samples;
use cowlside::store::codec::{self, DecodeFault};
use cowlside::store::journal::record::{self, Line, Record};
use std::path::PathBuf;

fn golden(kind: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("tests/golden/{kind}.jsonl"))
}

fn good(line: &str) -> Record<'_> {
    match record::read(line.as_bytes()) {
        Line::Good(record) => record,
        other => panic!("{other:?}: {line}"),
    }
}

#[test]
fn every_kind_on_disk_reads_as_its_entry_and_is_written_back_byte_for_byte() {
    let mut lines = 0;
    for kind in samples::kinds() {
        let text = std::fs::read_to_string(golden(kind)).expect(kind);
        let entries = samples::of_kind(kind);
        assert_eq!(text.lines().count(), entries.len(), "{kind}");
        for (line, entry) in text.lines().zip(&entries) {
            let record = good(line);
            assert_eq!(record.kind, kind);
            let read = codec::decode(&record.kind, record.payload, &samples::parse);
            assert_eq!(read.as_ref(), Ok(entry), "{line}");
            let payload = codec::encode(entry).unwrap();
            let (seq, stamp, kind) = (record.seq, record.stamp, codec::kind(entry));
            let (written, _) = record::build(seq, stamp, &record.previous, kind, &payload);
            assert_eq!(written, line);
            lines += 1;
        }
    }
    println!("{lines} lines");
    assert!(lines >= 60);
}

#[test]
fn every_kind_has_its_file_and_every_file_its_kind() {
    let folder = golden("head");
    let mut files: Vec<String> = std::fs::read_dir(folder.parent().unwrap())
        .unwrap()
        .map(|file| file.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    files.sort();
    let mut kinds = samples::kinds();
    kinds.sort_unstable();
    assert_eq!(files, kinds);
    assert_eq!(kinds.len(), 30);
}

#[test]
fn no_line_on_disk_holds_a_character_that_could_harm_a_terminal() {
    for kind in samples::kinds() {
        let text = std::fs::read_to_string(golden(kind)).expect(kind);
        for line in text.lines() {
            assert_eq!(cowlside::domain::plain::plain(line), line);
        }
    }
}

#[test]
fn a_kind_that_is_misspelled_is_refused_and_more_members_are_taken() {
    let away = |payload: &str| codec::decode("away", payload, &samples::parse);
    assert!(away("{\"text\":\"a\"}").is_ok());
    assert!(away("{\"text\":\"a\",\"more\":{\"deep\":[1]}}").is_ok());
    for wrong in
        ["{}", "{\"text\":1}", "{\"text\":\"a\",\"text\":\"b\"}", "[\"a\"]", "\"a\"", "null"]
    {
        assert!(matches!(away(wrong), Err(DecodeFault::Misspelled(_))), "{wrong}");
    }
    let unknown = codec::decode("hydraulics", "{}", &samples::parse);
    assert_eq!(unknown, Err(DecodeFault::UnknownKind));
}

#[test]
fn members_of_the_wrong_type_are_refused_in_every_kind() {
    let mut tried = 0;
    for kind in samples::kinds() {
        for entry in samples::of_kind(kind) {
            let payload = codec::encode(&entry).unwrap();
            let members: serde_json::Map<String, serde_json::Value> =
                serde_json::from_str(&payload).unwrap();
            for name in members.keys() {
                let mut wrong = members.clone();
                wrong[name] = serde_json::json!({ "no such thing": -0.5 });
                let text = serde_json::to_string(&wrong).unwrap();
                let read = codec::decode(kind, &text, &samples::parse);
                assert!(matches!(read, Err(DecodeFault::Misspelled(_))), "{kind} {name}: {read:?}");
                tried += 1;
            }
        }
    }
    println!("{tried} members");
    assert!(tried > 200);
}

#[test]
fn a_profile_whose_text_was_changed_inside_a_session_is_noticed() {
    let payload = codec::encode(&samples::of_kind("head")[0]).unwrap();
    let changed = payload.replace("upright twin", "upright four");
    assert_ne!(changed, payload);
    let read = codec::decode("head", &changed, &samples::parse);
    assert!(matches!(read, Err(DecodeFault::Misspelled(why)) if why.contains("hash")));
}
