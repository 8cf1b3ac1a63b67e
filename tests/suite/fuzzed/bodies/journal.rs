//! The loader of sessions: what it shows hangs together by its hashes, healing only appends, what an
//! entry says it says again; and whatever hangs together can be replayed and looked at.

use super::{Checked, chosen, said, want};
use cowlside::domain::entry::{Away, Entry, Kept, Moment};
use cowlside::domain::flat;
use cowlside::domain::plain::plain;
use cowlside::domain::profile::EngineProfile;
use cowlside::domain::service::Service;
use cowlside::domain::session::Session;
use cowlside::guide::{Talk, status};
use cowlside::store::codec;
use cowlside::store::journal::storage::Memory;
use cowlside::store::journal::{Journal, Shelf, Standing, Storage, Verdict, meaning, scan};
use cowlside::store::profile_file::parse_profile;
use sha2::{Digest, Sha256};
use std::path::Path;

/// What reads a session's bytes: its entries, each with its line, and how whole it is.
pub type Loader = fn(&[u8]) -> Loaded;

/// A session as it was read.
pub struct Loaded {
    /// The hash of each good record, its own place and that of the one before.
    pub chain: Vec<(u64, String, String)>,
    pub entries: Vec<Kept>,
    pub verdict: Verdict,
}

const NOW: Moment = Moment { unix_ms: 1_773_483_330_123, offset_min: 60 };

fn profile(text: &str) -> Result<EngineProfile, String> {
    parse_profile(text, "the session's own").map_err(|error| error.to_string())
}

/// The program's own.
pub fn load(bytes: &[u8]) -> Loaded {
    let found = scan::scan(bytes);
    let (entries, verdict) = meaning::entries(&found, &profile);
    let one = |record: &cowlside::store::journal::record::Record<'_>| {
        (record.seq, record.hash.to_owned(), record.previous.clone().into_owned())
    };
    Loaded { chain: found.records.iter().map(one).collect(), entries, verdict }
}

/// The first byte says whether places and hashes are put right first, so that what the entries say is
/// reached; the rest is the file.
pub fn check(bytes: &[u8], load: Loader) -> Checked {
    let (choice, rest) = chosen(bytes);
    let file = if choice % 4 == 0 { rest.to_vec() } else { chained(rest) };
    let loaded = load(&file);
    hangs_together(&file, &loaded)?;
    told(&loaded.verdict, &loaded.verdict.to_string(), loaded.verdict.hint(), &file)?;
    says_again(&loaded.entries)?;
    healed(&file, &loaded)?;
    replayed(&loaded.entries)?;
    Ok(match loaded.verdict {
        Verdict::Clean => "clean",
        Verdict::CutOff(_) => "cut off",
        Verdict::Damaged(_) | Verdict::LineEndingsChanged => "damaged",
        Verdict::EmptyStart | Verdict::NotASession(_) => "no session",
        Verdict::Newer { .. } | Verdict::UnknownKind { .. } => "newer",
        Verdict::Faulty { .. } => "faulty",
    })
}

/// What is said of a file is said in words, and what to do.
fn told(verdict: &Verdict, error: &str, hint: &str, file: &[u8]) -> Result<(), String> {
    let Verdict::Damaged(damage) = verdict else { return said::refusal(error, hint, file) };
    // Exactly the numbers that are missing are told, however many stretches that makes.
    said::printable("the error", error)?;
    let most = 400 + 12 * damage.missing.len();
    want(error.len() < most, || format!("the verdict is too long: {error}"))?;
    said::refusal("damaged", hint, file)
}

/// What stands in `h` of a line is the hash of what stands before it, and the file has that line.
fn has_line(file: &[u8], hash: &str) -> bool {
    let tail = format!(",\"h\":\"{hash}\"}}");
    let mut from = 0;
    while let Some(at) = find(&file[from..], tail.as_bytes()).map(|at| at + from) {
        let before = &file[..at];
        let starts =
            (0..before.len()).rev().filter(|start| before[*start..].starts_with(b"{\"seq\":"));
        if starts.take(3).any(|start| own_hash(&before[start..]) == hash) {
            return true;
        }
        from = at + 1;
    }
    false
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|window| window == what)
}

fn own_hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(16).map(|byte| format!("{byte:02x}")).collect()
}

/// No entry stands beyond a break: each follows the one before it by its hash and its place. Of a
/// damaged file what is good is shown, but neighbours hang together there too, and gaps are told.
fn hangs_together(file: &[u8], loaded: &Loaded) -> Result<(), String> {
    if loaded.entries.is_empty() {
        // Nothing of it is shown.
        return Ok(());
    }
    let chain = &loaded.chain;
    let missing: &[u64] = match &loaded.verdict {
        Verdict::Damaged(damage) => &damage.missing,
        _ => &[],
    };
    let mut before: Option<&(u64, String, String)> = None;
    for one in chain {
        let (seq, hash, previous) = one;
        want(has_line(file, hash), || format!("entry {seq} has no line with its hash"))?;
        let next = before.map_or(0, |(seq, ..)| seq + 1);
        if *seq == next {
            let root = "0".repeat(32);
            let must = before.map_or(&root, |(_, hash, _)| hash);
            let damaged = matches!(loaded.verdict, Verdict::Damaged(_)) && *seq == 0;
            want(previous == must || damaged, || format!("entry {seq} follows another one"))?;
        } else {
            let told = *seq > next && (next..*seq).all(|gone| missing.contains(&gone));
            want(told, || format!("entry {seq} after {next}, missing {missing:?}"))?;
        }
        before = Some(one);
    }
    let seqs: Vec<u64> = chain.iter().map(|(seq, ..)| *seq).collect();
    let shown = loaded.entries.iter().all(|kept| seqs.contains(&kept.seq));
    want(shown, || "an entry is shown that no good line holds".into())
}

/// An entry that was read is written the same way it would be read.
fn says_again(entries: &[Kept]) -> Result<(), String> {
    for Kept { seq, entry, .. } in entries {
        let kind = codec::kind(entry);
        let payload =
            codec::encode(entry).map_err(|error| format!("entry {seq}, {kind}: {error}"))?;
        let again = codec::decode(kind, &payload, &profile);
        let same = again.as_ref().is_ok_and(|again| again == entry);
        want(same, || format!("entry {seq} {entry:?} is read again as {again:?} of {payload}"))?;
    }
    Ok(())
}

/// A file that may be gone on with is, by appending only, and is whole then; any other is left alone.
fn healed(file: &[u8], loaded: &Loaded) -> Result<(), String> {
    let memory = holding(file);
    let (mut journal, opened) = match resume(&memory) {
        Ok(resumed) => resumed,
        Err(refused) => {
            want(memory.bytes() == file, || "refused, and written to".into())?;
            told(&loaded.verdict, &refused.0, &refused.1, file)?;
            let may = loaded.verdict.may_append() && !loaded.entries.is_empty();
            return want(!may, || format!("{:?} is refused: {refused:?}", loaded.verdict));
        }
    };
    want(loaded.verdict.may_append(), || format!("{:?} is gone on with", loaded.verdict))?;
    let whole = |memory: &Memory, before: &[Kept]| {
        let bytes = memory.bytes();
        want(bytes.starts_with(file), || "what was there is changed".into())?;
        let after = load(&bytes);
        want(after.verdict == Verdict::Clean, || format!("healed, and {:?}", after.verdict))?;
        want(after.entries.starts_with(before), || "entries are lost by healing".into())
    };
    whole(&memory, &loaded.entries)?;
    want(opened.entries.starts_with(&loaded.entries), || "resumed with other entries".into())?;
    let away = Entry::Away(Away { text: "telephone".into() });
    match journal.append(&[away], NOW, 0) {
        Ok(kept) => {
            let all = [opened.entries, kept].concat();
            whole(&memory, &all)
        }
        Err(_) => {
            let ended = loaded.entries.iter().any(|kept| matches!(kept.entry, Entry::Seal(_)));
            let full = loaded.chain.last().is_some_and(|(seq, ..)| *seq > 90_000);
            want(ended || full, || "nothing can be added".into())
        }
    }
}

fn resume(
    memory: &Memory,
) -> Result<(Journal, cowlside::store::journal::Opened), (String, String)> {
    let on: (Box<dyn Storage>, Box<dyn Shelf>) =
        (Box::new(memory.clone()), Box::new(memory.clone()));
    Journal::resume_on(on, Path::new("fuzzed.jsonl"), Standing::Sound, &profile, (NOW, 0))
        .map_err(|error| (error.to_string(), error.hint()))
}

fn holding(bytes: &[u8]) -> Memory {
    let mut memory = Memory::default();
    let mut rest = bytes;
    while let (false, Ok(count)) = (rest.is_empty(), memory.write(rest)) {
        rest = &rest[count..];
    }
    memory
}

/// What hangs together adds up the same twice and can be asked, shown and written as a table.
fn replayed(entries: &[Kept]) -> Result<(), String> {
    let Some(session) = Session::replay(entries) else { return Ok(()) };
    let head = session.head.clone();
    let live = entries.iter().cloned().fold(Session::new(head), Session::keep);
    want(live == session, || "replay differs from keeping one by one".into())?;
    let prompt = Talk::default().prompt(&session);
    let lines = [&prompt.title, &prompt.ask, &prompt.place];
    let open = status::open_lines(&session);
    let lines = lines.into_iter().chain(&prompt.lines).chain(&open);
    lines.into_iter().try_for_each(|line| said::printable("a screen", &plain(line)))?;
    let rows = flat::rows(&session, &Service::of(&session), "engine");
    want(rows.len() == session.state.readings.len(), || "the table lost a reading".into())
}

/// Puts places, hashes and the chain right in every line that looks like one.
pub fn chained(file: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut previous = "0".repeat(32);
    let mut seq = 0;
    for line in file.split(|byte| *byte == b'\n') {
        let text = String::from_utf8_lossy(line);
        match right(&text, seq, &previous) {
            Some(body) => {
                let hash = own_hash(body.as_bytes());
                out.extend(format!("{body},\"h\":\"{hash}\"}}\n").as_bytes());
                (previous, seq) = (hash, seq + 1);
            }
            None => out.extend_from_slice(line),
        }
    }
    out
}

/// The line without its hash, its place and the hash before put right.
fn right(line: &str, seq: u64, previous: &str) -> Option<String> {
    let rest = line.strip_prefix("{\"seq\":")?.trim_start_matches(|c: char| c.is_ascii_digit());
    let rest = rest.rfind(",\"h\":\"").and_then(|end| rest.get(..end)).unwrap_or(rest);
    let (before, after) = rest.split_once("\"p\":\"")?;
    let after = after.get(32..)?;
    Some(format!("{{\"seq\":{seq}{before}\"p\":\"{previous}{after}"))
}
