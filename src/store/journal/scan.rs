//! Reads the bytes of a journal into records: finds the whole ones, tells a cut-off end from damage
//! in the middle, and believes a span of bad bytes only where a `recover` record describes it.
//!
//! Pure: bytes in, verdict out. What the records mean is left to `meaning`.

use super::newer::{self, Told};
use super::record::{self, Line, NO_HASH, Record};
use super::verdict::{Damage, Sign, Tail, Verdict};
use crate::domain::entry::Recover;
use crate::domain::plain::plain;
use crate::store::codec;
use crate::store::hash::hex_of_sha256;
use std::collections::BTreeMap;

/// Most bytes of a journal.
pub const FILE_MAX: u64 = 64 * 1024 * 1024;

/// What was found in a journal's bytes.
#[derive(Debug)]
pub struct Scan<'a> {
    /// The good records, in the order of their places.
    pub records: Vec<Record<'a>>,
    /// How whole the file is.
    pub verdict: Verdict,
    /// The last good line lacks only its `\n`.
    pub bare_end: bool,
}

/// Reads a journal's bytes.
pub fn scan(bytes: &[u8]) -> Scan<'_> {
    let mut found = Reader::new(bytes, LineEnd::Newline).read();
    if found.records.first().is_none_or(|first| first.seq > 0) {
        match (newer::told_in(bytes), &mut found.verdict) {
            // Nothing behind a head that only a newer program understands is this one's to judge.
            (Some(Told::Newer(verdict)), _) => {
                return Scan { records: Vec::new(), verdict, bare_end: false };
            }
            (Some(Told::Changed), Verdict::Damaged(damage)) => {
                damage.signs.push(Sign::FormatChanged);
            }
            (Some(Told::Changed) | None, _) => {}
        }
    }
    if found.verdict != Verdict::Clean && bytes.windows(2).any(|pair| pair == b"\r\n") {
        let without = Reader::new(bytes, LineEnd::CarriageReturnToo).read();
        if matches!(without.verdict, Verdict::Clean | Verdict::CutOff(_)) {
            return Scan { verdict: Verdict::LineEndingsChanged, ..without };
        }
    }
    found
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum LineEnd {
    Newline,
    CarriageReturnToo,
}

/// A stretch of the file up to a `\n` or the end.
#[derive(Clone, Copy)]
struct Stretch<'a> {
    start: usize,
    /// Without its line end.
    text: &'a [u8],
}

struct Reader<'a> {
    bytes: &'a [u8],
    lines: Vec<Stretch<'a>>,
    records: Vec<Record<'a>>,
}

impl<'a> Reader<'a> {
    fn new(bytes: &'a [u8], line_end: LineEnd) -> Reader<'a> {
        let mut start = 0;
        let mut lines = Vec::new();
        for text in bytes.split(|byte| *byte == b'\n') {
            let shorter = match line_end {
                LineEnd::Newline => None,
                LineEnd::CarriageReturnToo => text.strip_suffix(b"\r"),
            };
            lines.push(Stretch { start, text: shorter.unwrap_or(text) });
            start += text.len() + 1;
        }
        // What follows the last `\n` is a line only if there is something.
        lines.pop_if(|last| last.text.is_empty());
        Reader { bytes, lines, records: Vec::new() }
    }

    fn read(mut self) -> Scan<'a> {
        let mut place = 0;
        while let Some(stretch) = self.lines.get(place).copied() {
            let after = match record::read(stretch.text) {
                Line::Good(record) if self.fits(&record) && record.kind != "recover" => {
                    self.records.push(record);
                    place + 1
                }
                Line::Strange(why) => {
                    let verdict = Verdict::Faulty { seq: self.next_seq(), why };
                    return self.done(verdict);
                }
                Line::Good(_) | Line::Bad => match self.healed(place) {
                    Some(after) => after,
                    None => return self.broken(place),
                },
            };
            place = after;
        }
        let verdict = if self.records.is_empty() { Verdict::EmptyStart } else { Verdict::Clean };
        self.done(verdict)
    }

    fn next_seq(&self) -> u64 {
        self.records.last().map_or(0, |last| last.seq + 1)
    }

    fn fits(&self, record: &Record) -> bool {
        let previous = self.records.last().map_or(NO_HASH, |last| last.hash);
        record.seq == self.next_seq() && record.previous == previous
    }

    /// Where a bad span begins at line `place` and the next good line is a `recover` record that
    /// describes exactly its bytes, takes that record in and returns the line after it.
    fn healed(&mut self, place: usize) -> Option<usize> {
        let start = self.lines.get(place)?.start;
        for (offset, stretch) in self.lines.get(place..)?.iter().enumerate() {
            let Line::Good(record) = record::read(stretch.text) else { continue };
            let span = self.bytes.get(start..stretch.start)?;
            if !self.fits(&record) || !describes(&record, start, span) {
                return None;
            }
            self.records.push(record);
            return Some(place + offset + 1);
        }
        None
    }

    /// The lines from `place` on do not fit: the end is cut off, or the file is damaged.
    fn broken(self, place: usize) -> Scan<'a> {
        let rest = self.lines.get(place..).unwrap_or_default();
        let good = |line: &[u8]| !matches!(record::read(line), Line::Bad);
        // No cut and no power failure puts blanks round a line, or joins whole lines.
        let blanks = |line: &[u8]| line.trim_ascii() != line && good(line.trim_ascii());
        let joined = |line: &[u8]| self.records.is_empty() && good_inside(line).count() > 1;
        // A page that never reached the disk reads as NULs, its line end too: what follows them was
        // written after it.
        let behind_a_lost_page = |line: &[u8]| {
            let last = line.iter().rposition(|byte| *byte == 0);
            last.is_some_and(|at| good(line.get(at + 1..).unwrap_or_default()))
        };
        let changed =
            |text: &[u8]| good(text) || blanks(text) || joined(text) || behind_a_lost_page(text);
        if rest.iter().any(|stretch| changed(stretch.text)) {
            return self.damaged(place);
        }
        let at = rest.first().map_or(self.bytes.len(), |first| first.start);
        let tail = self.bytes.get(at..).unwrap_or_default();
        let verdict = if self.records.is_empty() {
            not_a_session(tail)
        } else {
            Verdict::CutOff(Tail {
                at: count(at),
                len: count(tail.len()),
                text: readable(tail),
                complete: looks_complete(tail),
                whole_in: None,
            })
        };
        self.done(verdict)
    }

    /// Takes in every good record after the damage and lists what is missing.
    fn damaged(self, place: usize) -> Scan<'a> {
        let (good, rest) = self.lines.split_at(place);
        let at = rest.first().map_or(self.bytes.len(), |first| first.start);
        let mut by_seq: BTreeMap<u64, Record> =
            self.records.into_iter().map(|record| (record.seq, record)).collect();
        let mut signs = Vec::new();
        if self.bytes.starts_with(b"\xef\xbb\xbf") {
            signs.push(Sign::ByteOrderMark);
        }
        for stretch in rest {
            let mut seen = Vec::new();
            match record::read(stretch.text) {
                Line::Good(record) => seen.extend(take_in(record, &mut by_seq)),
                Line::Strange(_) => seen.push(Sign::Unreadable),
                Line::Bad => {
                    seen.push(look_of(stretch.text));
                    let inside = good_inside(stretch.text);
                    seen.extend(inside.filter_map(|record| take_in(record, &mut by_seq)));
                }
            }
            for sign in seen {
                if !signs.contains(&sign) {
                    signs.push(sign);
                }
            }
        }
        let last = by_seq.last_key_value().map_or(0, |(seq, _)| *seq);
        let missing = (0..last).filter(|seq| !by_seq.contains_key(seq)).collect();
        let damage = Damage { at: count(at), line: count(good.len() + 1), missing, signs };
        Scan {
            records: by_seq.into_values().collect(),
            verdict: Verdict::Damaged(damage),
            bare_end: false,
        }
    }

    fn done(self, verdict: Verdict) -> Scan<'a> {
        let bare_end = !self.bytes.is_empty() && !self.bytes.ends_with(b"\n");
        Scan { records: self.records, verdict, bare_end }
    }
}

/// Tells whether a record is a `recover` for the bad bytes `span`, which begin at `start`; a `\n`
/// that ends them may have been added by the healing.
fn describes(record: &Record, start: usize, span: &[u8]) -> bool {
    let Some(Recover { at, len, sha }) = recover_of(record) else { return false };
    let without = span.strip_suffix(b"\n").unwrap_or(span);
    at == count(start)
        && [span, without].into_iter().any(|bytes| {
            !bytes.is_empty() && count(bytes.len()) == len && hex_of_sha256(bytes, 16) == sha
        })
}

/// Returns what can be read of the bytes that a `recover` record set aside, and where they are.
pub(in crate::store) fn set_aside(record: &Record, bytes: &[u8]) -> Option<Tail> {
    let Recover { at, len, .. } = recover_of(record)?;
    let from = usize::try_from(at).ok()?;
    let aside = bytes.get(from..from.checked_add(usize::try_from(len).ok()?)?)?;
    Some(Tail { at, len, text: readable(aside), complete: looks_complete(aside), whole_in: None })
}

fn recover_of(record: &Record) -> Option<Recover> {
    let no_profile = |_: &str| Err(String::new());
    match codec::decode(&record.kind, record.payload, &no_profile) {
        Ok(crate::domain::entry::Entry::Recover(recover)) => Some(recover),
        Ok(_) | Err(_) => None,
    }
}

/// Takes a good record from behind the damage in, unless it contradicts its neighbours or is there.
fn take_in<'a>(record: Record<'a>, by_seq: &mut BTreeMap<u64, Record<'a>>) -> Option<Sign> {
    let seq = record.seq;
    let last = by_seq.last_key_value().map(|(seq, _)| *seq);
    let before = seq.checked_sub(1).and_then(|seq| by_seq.get(&seq));
    let after = by_seq.get(&(seq + 1));
    let follows = before.is_none_or(|before| before.hash == record.previous);
    let leads = after.is_none_or(|after| after.previous == record.hash);
    if by_seq.contains_key(&seq) {
        return Some(Sign::Repeated(seq));
    }
    if !follows || !leads {
        return Some(Sign::Foreign(seq));
    }
    let sign = if last.is_some_and(|last| seq < last) {
        Some(Sign::OutOfOrder(seq))
    } else if record.kind == "recover" {
        Some(Sign::SetAsideChanged(seq))
    } else {
        None
    };
    by_seq.insert(seq, record);
    sign
}

/// Finds the good records in a line that is none: glued to the next one, or to other bytes.
fn good_inside(line: &[u8]) -> impl Iterator<Item = Record<'_>> {
    const OPENING: &[u8] = b"{\"seq\":";
    const CLOSING: &[u8] = b"\"}";
    let mut starts: Vec<usize> =
        (0..line.len()).filter(|start| line[*start..].starts_with(OPENING)).collect();
    starts.push(line.len());
    let pieces: Vec<&[u8]> =
        starts.windows(2).filter_map(|ends| line.get(ends[0]..ends[1])).collect();
    pieces.into_iter().filter_map(|piece| {
        let closing = piece.windows(CLOSING.len()).rposition(|pair| pair == CLOSING)?;
        match record::read(piece.get(..closing + CLOSING.len())?) {
            Line::Good(record) => Some(record),
            Line::Bad | Line::Strange(_) => None,
        }
    })
}

/// Tells what a line looks like that is no record.
fn look_of(line: &[u8]) -> Sign {
    let marks: [&[u8]; 3] = [b"<<<<<<<", b"=======", b">>>>>>>"];
    let trimmed = line.trim_ascii();
    if line.starts_with(b"\xef\xbb\xbf") {
        Sign::ByteOrderMark
    } else if trimmed.is_empty() {
        Sign::BlankLine
    } else if marks.iter().any(|mark| line.starts_with(mark)) {
        Sign::ConflictMarks
    } else if trimmed.len() < line.len() && !matches!(record::read(trimmed), Line::Bad) {
        Sign::Indented
    } else {
        Sign::Unreadable
    }
}

fn not_a_session(bytes: &[u8]) -> Verdict {
    const OPENING: &[u8] = b"{\"seq\":0,";
    let begun = bytes.get(..OPENING.len().min(bytes.len())).unwrap_or_default();
    let end = bytes.len().saturating_sub(1);
    let two_lines = bytes.get(..end).is_some_and(|bytes| bytes.contains(&b'\n'));
    let utf16 = bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff");
    if utf16 {
        Verdict::NotASession(Some(Sign::Utf16))
    } else if bytes.starts_with(b"\xef\xbb\xbf") {
        Verdict::NotASession(Some(Sign::ByteOrderMark))
    } else if OPENING.starts_with(begun) && !two_lines || bytes.iter().all(|byte| *byte == 0) {
        Verdict::EmptyStart
    } else {
        Verdict::NotASession(None)
    }
}

/// Returns what can be read of bad bytes, safe to show and not too long.
fn readable(bytes: &[u8]) -> String {
    const SHOWN: usize = 300;
    let begun = bytes.get(..bytes.len().min(SHOWN)).unwrap_or_default();
    let text = plain(&String::from_utf8_lossy(begun));
    text.trim_end_matches(crate::domain::plain::MARK).to_owned()
}

fn looks_complete(bytes: &[u8]) -> bool {
    let printable = |byte: &u8| !byte.is_ascii_control();
    bytes.strip_suffix(b"\n").is_some_and(|line| {
        line.starts_with(b"{") && line.ends_with(b"}") && line.iter().all(printable)
    })
}

fn count(size: usize) -> u64 {
    u64::try_from(size).unwrap_or(u64::MAX)
}
