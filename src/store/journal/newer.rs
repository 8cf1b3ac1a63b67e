//! A session of a newer program whose first line cannot be taken in as an entry: cut off, damaged, or
//! with members of another type. It is refused by its format all the same, as far as it still says so.
//!
//! A damaged line of this very format may say the same: one digit of it suffices. It is told by the
//! hash, which is right again once the format and the needs are put back to those of this program.

use super::record::{self, Line};
use super::verdict::Verdict;
use crate::store::codec::{FORMAT, HeadStart, VERSION};
use crate::store::hash::hex_of_sha256;
use serde::Deserialize;
use std::ops::Range;

/// How far into the line the head is looked for: what stands before it is short in any format.
const LOOKED_AT: usize = 4096;

/// Where a head says what it takes to read on.
struct Said {
    start: HeadStart,
    /// The digits of `v`.
    version: Range<usize>,
    /// The words in `need`, where it is there.
    needs: Option<Range<usize>>,
}

/// What a first line that is no entry says of its format, where it is not this one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// A newer program wrote it.
    Newer(Verdict),
    /// So it says, but its hash is that of this format.
    Changed,
}

/// Reads what bytes say of their format whose first line is no entry that can be read; `None` where
/// they say nothing, or this one.
pub fn told_in(bytes: &[u8]) -> Option<Told> {
    let line = bytes.split(|byte| *byte == b'\n').next()?;
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    let start = in_members(line).or_else(|| Some(said_in(line)?.start))?;
    let fits = !matches!(record::read(line), Line::Bad);
    match start {
        start if !start.is_newer() => None,
        _ if !fits && is_ours(line) => Some(Told::Changed),
        HeadStart { v, need, .. } => {
            Some(Told::Newer(Verdict::Newer { version: v, needs: need, fits }))
        }
    }
}

/// Reads the head where the line is still JSON, in whatever order its members stand.
fn in_members(line: &[u8]) -> Option<HeadStart> {
    #[derive(Deserialize)]
    struct First {
        k: String,
        d: HeadStart,
    }
    let First { k, d } = serde_json::from_slice(line).ok()?;
    (k == "head" && d.format == FORMAT).then_some(d)
}

/// Finds what the head says in a line that is no JSON any more, or that ends before its end.
fn said_in(line: &[u8]) -> Option<Said> {
    let looked_at = line.get(..LOOKED_AT.min(line.len()))?;
    let named = format!("\"format\":\"{FORMAT}\"");
    let from = find(looked_at, named.as_bytes(), 0)? + named.len();
    let version = find(looked_at, b"\"v\":", from)? + 4;
    let digits = looked_at.get(version..)?.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let version = version..version + digits;
    let v = std::str::from_utf8(looked_at.get(version.clone())?).ok()?.parse().ok()?;
    let needs = words_of_need(looked_at, version.end);
    let need = needs.clone().and_then(|words| {
        let list = [b"[", looked_at.get(words)?, b"]"].concat();
        serde_json::from_slice(&list).ok()
    });
    let start = HeadStart { format: FORMAT.to_owned(), v, need: need.unwrap_or_default() };
    Some(Said { start, version, needs })
}

fn words_of_need(line: &[u8], from: usize) -> Option<Range<usize>> {
    const NEED: &[u8] = b",\"need\":[";
    let begins = from + NEED.len();
    line.get(from..)?.starts_with(NEED).then_some(())?;
    Some(begins..find(line, b"]", begins)?)
}

fn find(line: &[u8], what: &[u8], from: usize) -> Option<usize> {
    let places = line.get(from..)?.windows(what.len()).position(|window| window == what)?;
    Some(from + places)
}

/// Tells whether a line is one of this format in which nothing but the format or the needs was changed.
fn is_ours(line: &[u8]) -> bool {
    const HASH: usize = 32;
    const TAIL: usize = 6 + HASH + 2;
    let Some(Said { version, needs, .. }) = said_in(line) else { return false };
    let needs = needs.unwrap_or(version.end..version.end);
    let own = VERSION.to_string();
    // The comma behind it may have become a digit of it.
    [own.clone(), own + ","].iter().any(|own| {
        let parts = [
            line.get(..version.start),
            Some(own.as_bytes()),
            line.get(version.end..needs.start),
            line.get(needs.end..),
        ];
        let put_back = parts.into_iter().flatten().collect::<Vec<_>>().concat();
        let Some(at) = put_back.len().checked_sub(TAIL) else { return false };
        let (body, tail) = put_back.split_at(at);
        tail.get(6..6 + HASH) == Some(hex_of_sha256(body, 16).as_bytes())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::entry::Moment;

    fn head(v: &str, need: &str) -> String {
        let stamp = record::Stamp {
            at: Moment { unix_ms: 1_773_483_330_123, offset_min: 60 },
            run_ms: 0,
            run: 1,
        };
        let payload =
            format!("{{\"format\":\"{FORMAT}\",\"v\":{v},\"need\":[{need}],\"sid\":\"x\"}}");
        record::build(0, stamp, record::NO_HASH, "head", &payload).0
    }

    fn told(line: &str) -> String {
        match told_in(line.as_bytes()) {
            Some(Told::Newer(verdict)) => verdict.to_string(),
            Some(Told::Changed) => "changed".to_owned(),
            None => String::new(),
        }
    }

    #[test]
    fn a_newer_head_is_told_however_its_line_is_damaged_behind_what_it_says() {
        let newer = head("2", "\"keys\"");
        let words = "written by a newer version; needs format 2, keys";
        let from = newer.find("\"need\"").unwrap() + "\"need\":[\"keys\"]".len();
        let mut tried = 0;
        for cut in from..newer.len() {
            let said = told(&newer[..cut]);
            assert!(
                said.starts_with(words) && said.contains("damaged or cut off"),
                "{cut}: {said}"
            );
            tried += 1;
        }
        for place in from..newer.len() {
            let mut changed = newer.clone().into_bytes();
            changed[place] = b'~';
            let said = told(&String::from_utf8(changed).unwrap());
            assert!(said.starts_with(words) && said.contains("damaged"), "{place}: {said}");
            tried += 1;
        }
        assert!(tried > 100, "{tried}");
        // A newer program may end its lines in another way, and put its members in another order.
        let longer = newer.replace("\"}", "0123456789abcdef\"}");
        assert!(told(&longer).starts_with(words), "{}", told(&longer));
        let turned = newer.replace("\"v\":2,\"need\":[\"keys\"]", "\"need\":[\"keys\"],\"v\":2");
        assert!(told(&turned).starts_with(words), "{}", told(&turned));
    }

    #[test]
    fn a_damaged_head_of_this_format_is_never_taken_for_a_newer_one() {
        let own = head("1", "");
        assert_eq!(told(&own), "");
        let mut changed_formats = 0;
        for place in 0..own.len() {
            for byte in 0..=u8::MAX {
                let mut changed = own.clone().into_bytes();
                changed[place] = byte;
                let told = told_in(&changed);
                assert!(matches!(told, None | Some(Told::Changed)), "byte {place} made {byte}");
                changed_formats += usize::from(told.is_some());
            }
            let mut repeated = own.clone().into_bytes();
            repeated.insert(place, repeated[place]);
            let told = told_in(&repeated);
            assert!(matches!(told, None | Some(Told::Changed)), "byte {place} twice");
        }
        assert_eq!(changed_formats, 8 + 10, "2 to 9, and a digit for the comma behind it");
        assert_eq!(told("cylinder;valve"), "");
    }
}
