//! From a journal's records to its entries, and the rules that hold between entries.

use super::record::Record;
use super::scan::Scan;
use super::verdict::Verdict;
use crate::domain::entry::{Entry, Kept, Seal};
use crate::domain::plain::quoted;
use crate::store::codec::{self, DecodeFault, FORMAT, HeadStart, ParseProfile, VERSION};
use crate::store::hash::{code_of, is_id};
use crate::store::words::line_words;

/// Reads the entries of a scanned journal, and returns them with the verdict on the whole.
pub fn entries(scan: &Scan, parse: ParseProfile) -> (Vec<Kept>, Verdict) {
    if let Some(verdict) = scan.records.first().and_then(head_fault) {
        return (Vec::new(), verdict);
    }
    let mut kept = Vec::new();
    let mut fault = None;
    let mut sealed = false;
    for record in &scan.records {
        match entry(record, parse) {
            Ok(Some(entry)) => {
                fault = fault.or_else(|| made_by_hand(record.seq, &entry));
                if sealed && !may_follow_seal(&entry) {
                    fault.get_or_insert(faulty(record, "it follows the end of the session"));
                }
                sealed |= matches!(entry, Entry::Seal(_));
                kept.push(Kept { seq: record.seq, at: record.stamp.at, entry });
            }
            Ok(None) => {}
            Err(found) => fault = fault.or(Some(found)),
        }
    }
    // Damage and changed line ends weigh more: they say that the file is not as it was written.
    let verdict = match (&scan.verdict, fault) {
        (Verdict::Clean | Verdict::CutOff(_), Some(fault)) => fault,
        (verdict, _) => verdict.clone(),
    };
    (kept, verdict)
}

/// Says of an entry that names an identity which no program makes: it can be read, but nothing is
/// locked, kept or found by it.
fn made_by_hand(seq: u64, entry: &Entry) -> Option<Verdict> {
    match entry {
        Entry::Head(head) => not_an_id(seq, "sid", &head.session),
        Entry::Begin(begin) => not_an_id(seq, "engine_id", begin.engine_id.as_deref()?),
        _ => None,
    }
}

/// The verdict on a text that must be an identity and is none.
pub fn not_an_id(seq: u64, member: &str, text: &str) -> Option<Verdict> {
    let why = || format!("`{member}` is \"{}\", which is no identity", quoted(text));
    (!is_id(text)).then(|| Verdict::Faulty { seq, why: why() })
}

/// Tells whether an entry may stand after the end of a session.
pub fn may_follow_seal(entry: &Entry) -> bool {
    matches!(entry, Entry::Remark(_) | Entry::Recover(_))
}

/// Returns the code of the entry that ended a session: evidence against a copy kept elsewhere.
pub fn seal_code(scan: &Scan) -> Option<String> {
    let seal = scan.records.iter().find(|record| record.kind == "seal")?;
    code_of(seal.hash)
}

/// Says why the first record does not let this program read on, if so.
pub fn head_fault(first: &Record) -> Option<Verdict> {
    if first.seq > 0 {
        // The head is missing; the damage says so.
        return None;
    }
    let head: HeadStart = match serde_json::from_str(first.payload) {
        Ok(head) if first.kind == "head" => head,
        Ok(_) => return Some(Verdict::NotASession(None)),
        Err(error) => return Some(faulty(first, &line_words(&error, first.payload))),
    };
    if head.format != FORMAT {
        return Some(Verdict::NotASession(None));
    }
    if head.v < VERSION {
        return Some(faulty(first, &format!("`v` is {}, which no program wrote", head.v)));
    }
    head.is_newer().then_some(Verdict::Newer { version: head.v, needs: head.need, fits: true })
}

/// Reads one entry; `None` for one of a newer program that may be passed over.
fn entry(record: &Record, parse: ParseProfile) -> Result<Option<Entry>, Verdict> {
    let entry = match codec::decode(&record.kind, record.payload, parse) {
        Ok(entry) => entry,
        Err(DecodeFault::UnknownKind) if record.optional => return Ok(None),
        Err(DecodeFault::UnknownKind) => {
            let kind = record.kind.clone().into_owned();
            return Err(Verdict::UnknownKind { seq: record.seq, kind });
        }
        Err(DecodeFault::Misspelled(why)) => {
            return Err(faulty(record, &format!("{}: {why}", record.kind)));
        }
    };
    if (record.seq == 0) != matches!(entry, Entry::Head(_)) {
        return Err(faulty(record, "only the first entry is a head"));
    }
    if let Entry::Seal(seal) = &entry
        && let Some(fault) = seal_fault(record, seal)
    {
        return Err(fault);
    }
    Ok(Some(entry))
}

/// The verdict on the end of a session that is not of the entries before it.
pub fn seal_fault(record: &Record, Seal { entries, chain, .. }: &Seal) -> Option<Verdict> {
    let fits = *entries == record.seq && *chain == record.previous;
    (!fits).then(|| faulty(record, "the end does not fit the entries before it"))
}

/// The verdict on an entry whose kind only a newer program knows, where that does not allow it to be
/// passed over.
pub fn unknown_kind(record: &Record) -> Option<Verdict> {
    let kind = || record.kind.clone().into_owned();
    (!record.optional && !codec::is_kind(&record.kind))
        .then(|| Verdict::UnknownKind { seq: record.seq, kind: kind() })
}

/// The verdict on an entry that no sound program writes.
pub fn faulty(record: &Record, why: &str) -> Verdict {
    Verdict::Faulty { seq: record.seq, why: why.to_owned() }
}
