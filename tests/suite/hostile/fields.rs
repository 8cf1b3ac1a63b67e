//! Every text that an entry can hold: free ones, which anybody may have typed, and words of the
//! program's own. A new member that stands on neither list fails the test.

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Texts that somebody typed, or that a file from elsewhere may hold.
const FREE: &[&str] = &[
    "adopt.file",
    "adopt.reading.against_plan",
    "adopt.reading.by",
    "adopt.reading.odd",
    "adopt.reading.paper",
    "adopt.reading.typed",
    "amend.source",
    "amend.why",
    "away.text",
    "begin.corrects",
    "begin.engine",
    "begin.hours_why",
    "begin.known_source.document",
    "begin.known_source.page",
    "begin.known_source.revision",
    "begin.known_worker",
    "begin.left_open[].from",
    "begin.left_open[].item.pieces.item",
    "begin.name",
    "begin.scope_why",
    "begin.serial",
    "caution.asked",
    "caution.seen",
    "condition.against_limit",
    "condition.typed",
    "correct.change.value.typed",
    "correct.why",
    "head.program",
    "leaktest.why_not",
    "leaves.name",
    "leaves.tolerance.source",
    "nut.said.locked.torque",
    "nut.said.never_touched.why",
    "off.items[][]",
    "on.said.accounted_for.by",
    "on.said.accounted_for.item",
    "on.said.accounted_for.place",
    "on.said.check.asked",
    "on.said.check.seen",
    "on.said.count.item",
    "on.said.found.item",
    "part.seen",
    "part.typed",
    "reading.against_plan",
    "reading.by",
    "reading.odd",
    "reading.paper",
    "reading.typed",
    "redate.why",
    "remark.by",
    "remark.text",
    "run.asked",
    "run.seen",
    "run.text",
    "seal.by",
    "seal.why",
    "sign.certificate_kind",
    "sign.certificate_number",
    "sign.owner_sentence",
    "sign.signer",
    "sign.statement",
    "skip.why",
    "source.said.figure.typed",
    "source.said.named.source.document",
    "source.said.named.source.page",
    "source.said.named.source.revision",
    "who.name",
    "work.hold_down",
    "work.text",
];

/// Words, identities and hashes of the program's own, and names that must fit the profile; a file
/// may hold others, which is `stray`'s business.
const FIXED: &[&str] = &[
    "adopt.hash",
    "adopt.reading.step",
    "adopt.reading.unit",
    "adopt.reading.valve.kind",
    "amend.what.figures.kind",
    "amend.what.profile.name",
    "amend.what.profile.sha256",
    "amend.what.profile.text",
    "at.said",
    "begin.engine_id",
    "begin.known_parts[].valve.kind",
    "begin.left_open[].item",
    "begin.left_open[].item.gauge_after.valve.kind",
    "begin.left_open[].item.held_open.kind",
    "begin.left_open[].item.nut_slack.kind",
    "begin.left_open[].item.part_out.bank",
    "begin.left_open[].item.part_out.part",
    "begin.left_open[].item.part_out.valve.kind",
    "begin.left_open[].item.pieces.bank",
    "begin.left_open[].item.unloaded.kind",
    "begin.rounds",
    "caution.id",
    "caution.when",
    "correct.change",
    "correct.change.value.unit",
    "head.format",
    "head.profile.name",
    "head.profile.sha256",
    "head.profile.text",
    "head.sid",
    "leaves.unit",
    "nut.said",
    "nut.valve.kind",
    "off.bank",
    "on.said.accounted_for.bank",
    "on.said.check.id",
    "on.said.count.bank",
    "on.said.found.bank",
    "part.bank",
    "part.part",
    "part.valve.kind",
    "proof.rocked",
    "reading.step",
    "reading.unit",
    "reading.valve.kind",
    "recover.sha",
    "redate.day",
    "release.valve.kind",
    "remark.bad[]",
    "remark.good[]",
    "run.id",
    "seal.chain",
    "skip.what",
    "skip.what.as_found.kind",
    "skip.what.check",
    "skip.what.gauging[].kind",
    "skip.what.setting.kind",
    "source.said",
    "source.said.figure.figure",
    "source.said.figure.kind",
    "unload.valve.kind",
    "work.what",
];

/// Fixed members that a foreign file may fill with any text, and that decode all the same.
const STRAY: &[&str] = &[
    "begin.left_open[].item.part_out.bank",
    "begin.left_open[].item.pieces.bank",
    "caution.id",
    "off.bank",
    "on.said.accounted_for.bank",
    "on.said.check.id",
    "on.said.count.bank",
    "on.said.found.bank",
    "part.bank",
    "run.id",
    "skip.what.check",
];

/// Puts a text into every free member of an entry's payload, or into the stray ones; returns how many.
pub fn poison(kind: &str, payload: &mut Value, text: &str, stray: bool) -> usize {
    let list = if stray { STRAY } else { FREE };
    let mut met = 0;
    texts(kind, payload, &mut |path, value| {
        if list.contains(&path) {
            *value = text.into();
            met += 1;
        }
    });
    met
}

/// Visits every text below a value with its path.
fn texts(path: &str, value: &mut Value, each: &mut dyn FnMut(&str, &mut Value)) {
    match value {
        Value::String(_) => each(path, value),
        Value::Array(items) => {
            let inside = format!("{path}[]");
            items.iter_mut().for_each(|item| texts(&inside, item, each));
        }
        Value::Object(members) => {
            for (name, member) in members {
                texts(&format!("{path}.{name}"), member, each);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Every sample of an entry: its kind and payload.
pub fn samples() -> Vec<(String, Value)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden");
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().path()).collect();
    files.sort();
    let mut all = Vec::new();
    for file in files {
        for line in std::fs::read_to_string(&file).unwrap().lines() {
            let mut record: Value = serde_json::from_str(line).unwrap();
            let kind = record["k"].as_str().unwrap().to_owned();
            all.push((kind, record["d"].take()));
        }
    }
    all
}

#[test]
fn every_text_of_every_kind_of_entry_is_on_one_of_the_lists() {
    let mut met = BTreeSet::new();
    for (kind, mut payload) in samples() {
        texts(&kind, &mut payload, &mut |path, _| {
            met.insert(path.to_owned());
        });
    }
    let listed: BTreeSet<String> =
        FREE.iter().chain(FIXED).map(|path| (*path).to_owned()).collect();
    assert_eq!(FREE.len() + FIXED.len(), listed.len(), "one stands on both lists");
    assert_eq!(met, listed, "a text of an entry that nobody has tried hostile words in");
    assert!(STRAY.iter().all(|path| FIXED.contains(path)));
}
