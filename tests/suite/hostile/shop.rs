//! A data folder in which every free text is the same hostile one, and a run of the program in it.

use super::fields::{poison, samples};
use super::profiles::poisoned;
use crate::cli::services::with_services;
use cowlside::cli::{Terminals, World, run};
use cowlside::domain::entry::Moment;
use cowlside::domain::plain::plain;
use cowlside::store::hash::hex_of_sha256;
use cowlside::store::journal::record::{self, Line, NO_HASH};
use serde_json::{Value, json};
use std::ffi::OsString;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// What every shop is made of: three services of one engine, without their texts.
pub struct Mould {
    engine: Value,
    /// Of each session its file's name, and its entries: kind, payload and the line they stand on.
    sessions: Vec<(String, Vec<(String, Value)>)>,
    stamp: record::Stamp,
}

impl Mould {
    /// Takes the services that the other tests walk through, and puts a sample of each kind of entry
    /// into the last two: one of them signed, one open.
    pub fn new() -> Mould {
        let place = with_services();
        let read = |path: &Path| std::fs::read_to_string(path).unwrap();
        let engine = std::fs::read_dir(place.path().join("engines")).unwrap().next().unwrap();
        let engine = serde_json::from_str(&read(&engine.unwrap().path())).unwrap();
        let mut sessions = Vec::new();
        for path in place.journals() {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let entries = read(&path)
                .lines()
                .map(|line| match record::read(line.as_bytes()) {
                    Line::Good(one) => {
                        (one.kind.into_owned(), serde_json::from_str(one.payload).unwrap())
                    }
                    other => panic!("{other:?}"),
                })
                .collect();
            sessions.push((name, entries));
        }
        for (_, entries) in sessions.iter_mut().skip(1) {
            with_samples(entries);
        }
        let at = Moment { unix_ms: crate::cli::MORNING, offset_min: 60 };
        Mould { engine, sessions, stamp: record::Stamp { at, run_ms: 0, run: 1 } }
    }

    /// Makes a shop in which each free text is `text`.
    pub fn with(&self, text: &str, stray: bool) -> Shop {
        let folder = tempfile::tempdir().unwrap();
        for inside in ["engines", "sessions", "profiles"] {
            std::fs::create_dir(folder.path().join(inside)).unwrap();
        }
        let mut engine = self.engine.clone();
        let id = engine["id"].as_str().unwrap().to_owned();
        let is_name = plain(text) == text && text.trim() == text && text.chars().count() <= 80;
        let name = if is_name { text } else { "Trainer" };
        engine["name"] = name.into();
        engine["serial"] = text.into();
        engine["worker"] = text.into();
        engine["source"] = json!({ "document": text, "revision": text, "page": text });
        for told in engine["hours"].as_array_mut().unwrap() {
            told["why"] = text.into();
        }
        std::fs::write(folder.path().join(format!("engines/{id}.json")), engine.to_string())
            .unwrap();
        let mut filled = 0;
        let mut sessions = Vec::new();
        for (name, entries) in &self.sessions {
            let path = folder.path().join("sessions").join(name);
            let mut lines = String::new();
            let mut before = NO_HASH.to_owned();
            for (seq, (kind, payload)) in (0..).zip(entries) {
                let mut payload = payload.clone();
                filled += poison(kind, &mut payload, text, stray);
                if kind == "head" {
                    let profile = &mut payload["profile"];
                    let (poisoned, taken) = poisoned(profile["text"].as_str().unwrap(), text);
                    profile["name"] = text.into();
                    profile["sha256"] = hex_of_sha256(poisoned.as_bytes(), 32).into();
                    profile["text"] = poisoned.into();
                    filled += taken;
                }
                if kind == "seal" {
                    payload["entries"] = seq.into();
                    payload["chain"] = before.clone().into();
                }
                let mut stamp = self.stamp;
                stamp.at.unix_ms += 1_000 * i64::try_from(seq).unwrap();
                let payload = payload.to_string();
                let (line, hash) = record::build(seq, stamp, &before, kind, &payload);
                lines += &line;
                lines.push('\n');
                before = hash;
            }
            std::fs::write(&path, lines).unwrap();
            sessions.push(path);
        }
        filled += beside(folder.path(), text, sessions.last().unwrap());
        Shop { folder, id, sessions, filled }
    }
}

/// Settings with the text wherever they hold one, and files with the text for a name: a copy of a
/// session, an own profile, and one that is no engine's. Returns how many.
fn beside(folder: &Path, text: &str, session: &Path) -> usize {
    let signer = json!({ "name": text, "certificate_kind": text, "certificate_number": text });
    let settings = json!({
        "format": 1, "theme": text, "seen_from": text, "worker": text, "signer": signer,
    });
    std::fs::write(folder.join("settings.json"), settings.to_string()).unwrap();
    // The system takes any byte in a name but these two, and 255 of them.
    let mut name = text.replace(['/', '\0'], "_");
    while name.len() > 249 {
        name.pop();
    }
    let inside = |part: &str, ends: &str| folder.join(part).join(format!("{name}{ends}"));
    std::fs::copy(session, inside("sessions", ".jsonl")).unwrap();
    let (profile, _) = poisoned(include_str!("../../../profiles/flat-four.json"), text);
    std::fs::write(inside("profiles", ".json"), profile).unwrap();
    std::fs::write(inside("engines", ".json"), "{}").unwrap();
    8
}

/// Puts a sample of each kind before the signature, or at the end.
fn with_samples(entries: &mut Vec<(String, Value)>) {
    let reading = entries.iter().position(|(kind, _)| kind == "reading").unwrap();
    let at = entries.iter().position(|(kind, _)| kind == "sign").unwrap_or(entries.len());
    let not_there = ["head", "begin", "seal", "sign", "recover"];
    let mut more = Vec::new();
    for (kind, mut payload) in samples() {
        let of_a_whole_profile = payload["what"].get("profile").is_some();
        let that_moves = ["void", "swap_with"]
            .iter()
            .any(|word| payload["change"] == *word || payload["change"].get(word).is_some());
        if not_there.contains(&kind.as_str()) || of_a_whole_profile || that_moves {
            continue;
        }
        refit(&mut payload, reading);
        more.push((kind, payload));
    }
    entries.splice(at..at, more);
    // Of what was noted once it had ended the record names who noted it.
    if entries.last().is_some_and(|(kind, _)| kind == "seal") {
        let noted = samples().into_iter();
        entries.extend(noted.filter(|(kind, it)| kind == "remark" && it["by"].is_string()));
    }
}

/// Makes a sample fit an engine with one valve of a kind, and the reading that it speaks of.
fn refit(value: &mut Value, reading: usize) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| refit(item, reading)),
        Value::Object(members) => {
            for (name, member) in members {
                match name.as_str() {
                    "number" => *member = 1.into(),
                    "of" | "gauged" if member.is_u64() => *member = reading.into(),
                    _ => refit(member, reading),
                }
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// A data folder with hostile texts.
pub struct Shop {
    folder: TempDir,
    /// The engine's identity.
    pub id: String,
    /// The files of its sessions; the second is signed, the third open.
    pub sessions: Vec<PathBuf>,
    /// How many texts are hostile.
    pub filled: usize,
}

/// What a run came to.
pub struct Ran {
    pub out: String,
    pub err: String,
    pub code: u8,
}

impl Shop {
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Runs a command, its output a terminal or a file.
    pub fn run(&self, words: &[&str], typed: &str, terminal: bool) -> Ran {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let home = self.path().as_os_str().to_owned();
        let variable = |name: &str| (name == "COWLSIDE_HOME").then(|| home.clone());
        // A year later: every clock in the sessions lies behind.
        let unix_ms = crate::cli::MORNING + 31_536_000_000;
        let now = || Moment { unix_ms, offset_min: 60 };
        let mut world = World {
            ready: &|_| true,
            forget: &|| false,
            out: &mut out,
            err: &mut err,
            input: &mut Cursor::new(typed.to_owned()),
            now: &now,
            run_ms: &|| 1,
            terminals: Terminals { input: false, out: terminal, err: terminal },
            variable: &variable,
            ascii: false,
        };
        let words = std::iter::once("cowlside").chain(words.iter().copied());
        let code = run(words.map(OsString::from).collect(), &mut world);
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Ran { out: text(out), err: text(err), code }
    }
}
