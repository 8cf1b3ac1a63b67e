//! One line of a journal: how it is built, and how it is checked by itself.
//!
//! ```text
//! {"seq":17,"t":"2026-03-14T10:15:30.123Z","z":60,"m":834112,"r":2,"p":"<32 hex>","k":"reading","d":{...},"h":"<32 hex>"}
//! ```
//!
//! `seq` place from 0; `t` wall clock in UTC; `z` minutes that local time is ahead; `m` milliseconds
//! since this run of the program began; `r` number of the run; `p` the hash of the line before (32
//! zeros in the first); `k` kind; `d` payload; `h` the first 16 bytes of the SHA-256 of the line's
//! bytes before `,"h":`. A newer program may add members, and marks a kind that an older one may
//! pass over with `"opt":true`.

use crate::domain::clock::in_calendar;
use crate::domain::entry::Moment;
use crate::store::hash::hex_of_sha256;
use crate::store::words::line_words;
use chrono::DateTime;
use serde::Deserialize;
use serde_json::value::RawValue;
use std::borrow::Cow;

/// What stands in `p` of the first line.
pub const NO_HASH: &str = "00000000000000000000000000000000";

/// Most bytes of the first line, which carries a whole profile.
pub const HEAD_LINE_MAX: usize = 512 * 1024;

/// Most bytes of any other line.
pub const LINE_MAX: usize = 64 * 1024;

/// Most records of a journal.
pub const RECORDS_MAX: u64 = 100_000;

/// Bytes of `,"h":"` with the hash and `"}` after it.
const TAIL: usize = 6 + 32 + 2;

/// When and in which run of the program a line is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The wall clock.
    pub at: Moment,
    /// Milliseconds since this run of the program began.
    pub run_ms: u64,
    /// Number of the run, from 1.
    pub run: u32,
}

/// A line whose own hash is right and whose members can be read.
#[derive(Clone, Debug)]
pub struct Record<'a> {
    /// Its place.
    pub seq: u64,
    /// When it was written.
    pub stamp: Stamp,
    /// The hash of the line before.
    pub previous: Cow<'a, str>,
    /// Its kind.
    pub kind: Cow<'a, str>,
    /// Whether a program that does not know the kind may pass it over.
    pub optional: bool,
    /// Its payload, as written.
    pub payload: &'a str,
    /// Its own hash.
    pub hash: &'a str,
}

/// What a line is by itself.
#[derive(Clone, Debug)]
pub enum Line<'a> {
    /// Its hash is not right: cut off, damaged, or no record at all.
    Bad,
    /// Its hash is right but its members are not those of a record; says why.
    Strange(String),
    /// A record.
    Good(Record<'a>),
}

#[derive(Deserialize)]
struct Members<'a> {
    seq: u64,
    #[serde(borrow)]
    t: Cow<'a, str>,
    z: i16,
    m: u64,
    r: u32,
    #[serde(borrow)]
    p: Cow<'a, str>,
    #[serde(borrow)]
    k: Cow<'a, str>,
    #[serde(default)]
    opt: bool,
    #[serde(borrow)]
    d: &'a RawValue,
}

/// Builds a line, without its `\n`, and returns it with its hash.
pub fn build(
    seq: u64,
    stamp: Stamp,
    previous: &str,
    kind: &str,
    payload: &str,
) -> (String, String) {
    let Stamp { at, run_ms, run } = stamp;
    let (time, ahead) = (utc(at.unix_ms), at.offset_min);
    let mut line = format!(
        "{{\"seq\":{seq},\"t\":\"{time}\",\"z\":{ahead},\"m\":{run_ms},\"r\":{run},\
         \"p\":\"{previous}\",\"k\":\"{kind}\",\"d\":{payload}"
    );
    let hash = hex_of_sha256(line.as_bytes(), 16);
    line.push_str(&format!(",\"h\":\"{hash}\"}}"));
    (line, hash)
}

/// Checks a line (without its `\n`) by itself and reads its members.
pub fn read(line: &[u8]) -> Line<'_> {
    let Some(hash) = own_hash(line) else { return Line::Bad };
    let text = match std::str::from_utf8(line) {
        Ok(text) => text,
        Err(_) => return Line::Strange("bytes that are no UTF-8 text".to_owned()),
    };
    let members: Members = match serde_json::from_str(text) {
        Ok(members) => members,
        Err(error) => return Line::Strange(line_words(&error, text)),
    };
    let Some(unix_ms) = unix_ms(&members.t) else {
        return Line::Strange("member t is no time in UTC".to_owned());
    };
    if members.seq >= RECORDS_MAX {
        return Line::Strange(format!("member seq is over {RECORDS_MAX}"));
    }
    if members.seq > 0 && line.len() > LINE_MAX {
        return Line::Strange(format!("the line is over {LINE_MAX} bytes"));
    }
    Line::Good(Record {
        seq: members.seq,
        stamp: Stamp {
            at: Moment { unix_ms, offset_min: members.z },
            run_ms: members.m,
            run: members.r,
        },
        previous: members.p,
        kind: members.k,
        optional: members.opt,
        payload: members.d.get(),
        hash,
    })
}

/// Returns the hash at the end of a line if it is that of the bytes before it.
fn own_hash(line: &[u8]) -> Option<&str> {
    if line.len() > HEAD_LINE_MAX {
        return None;
    }
    let (body, tail) = line.split_at_checked(line.len().checked_sub(TAIL)?)?;
    let hash = tail.strip_prefix(b",\"h\":\"")?.strip_suffix(b"\"}")?;
    (hex_of_sha256(body, 16).as_bytes() == hash).then(|| std::str::from_utf8(hash).ok())?
}

/// Spells a moment in UTC; a clock beyond the years 1 to 9999 is written as the nearest of them.
pub(in crate::store) fn utc(unix_ms: i64) -> String {
    DateTime::from_timestamp_millis(in_calendar(unix_ms))
        .unwrap_or_default()
        .format("%Y-%m-%dT%H:%M:%S%.3fZ")
        .to_string()
}

fn unix_ms(utc: &str) -> Option<i64> {
    let whole = utc.ends_with('Z');
    DateTime::parse_from_rfc3339(utc).ok().filter(|_| whole).map(|time| time.timestamp_millis())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(unix_ms: i64) -> Stamp {
        Stamp { at: Moment { unix_ms, offset_min: 60 }, run_ms: 834_112, run: 2 }
    }

    #[test]
    fn a_line_is_spelled_member_by_member_as_the_design_says() {
        let (line, hash) = build(17, stamp(1_773_483_330_123), NO_HASH, "away", "{\"text\":\"\"}");
        let body = format!(
            "{{\"seq\":17,\"t\":\"2026-03-14T10:15:30.123Z\",\"z\":60,\"m\":834112,\"r\":2,\
             \"p\":\"{NO_HASH}\",\"k\":\"away\",\"d\":{{\"text\":\"\"}}"
        );
        assert_eq!(hash, hex_of_sha256(body.as_bytes(), 16));
        assert_eq!(line, format!("{body},\"h\":\"{hash}\"}}"));
        let Line::Good(record) = read(line.as_bytes()) else { panic!("not read") };
        assert_eq!((record.seq, record.stamp), (17, stamp(1_773_483_330_123)));
        assert_eq!((record.kind.as_ref(), record.payload), ("away", "{\"text\":\"\"}"));
    }

    #[test]
    fn a_clock_that_is_wrong_by_any_amount_still_gives_a_line_that_can_be_read() {
        // Before 1970, after 2038, after 2106, the year 9999, and the ends of the number itself.
        for (unix_ms, kept) in [
            (-1, -1),
            (2_147_483_648_000, 2_147_483_648_000),
            (4_294_967_296_000, 4_294_967_296_000),
            (253_402_300_799_999, 253_402_300_799_999),
            (i64::MIN, -62_135_596_800_000),
            (i64::MAX, 253_402_300_799_999),
        ] {
            let (line, _) = build(0, stamp(unix_ms), NO_HASH, "away", "{}");
            let Line::Good(record) = read(line.as_bytes()) else { panic!("{line}") };
            assert_eq!(record.stamp.at.unix_ms, kept);
        }
    }

    #[test]
    fn a_line_with_a_right_hash_and_wrong_members_is_strange_not_bad() {
        let signed = |body: &str| {
            format!("{body},\"h\":\"{}\"}}", hex_of_sha256(body.as_bytes(), 16)).into_bytes()
        };
        let good = build(3, stamp(0), NO_HASH, "away", "{}").0;
        let body = &good[..good.len() - TAIL];
        assert!(matches!(read(&signed(body)), Line::Good(_)));
        for (from, to) in [
            ("\"seq\":3", "\"seq\":\"3\""),
            ("\"seq\":3", "\"seq\":3,\"seq\":4"),
            ("\"seq\":3", "\"seq\":100000"),
            ("\"seq\":3", "\"seq\":-1"),
            ("\"z\":60", "\"z\":1e9"),
            ("\"t\":\"1970", "\"t\":\"70"),
            ("00.000Z", "00.000+01:00"),
            (",\"k\":\"away\"", ""),
            (",\"d\":{}", ",\"d\":"),
        ] {
            let changed = body.replace(from, to);
            assert_ne!(changed, body, "{from}");
            assert!(matches!(read(&signed(&changed)), Line::Strange(_)), "{to}");
        }
        assert!(matches!(read(&signed("{\"seq\":3")), Line::Strange(_)));
        let more = body.replace("\"k\"", "\"more\":[1,{}],\"opt\":true,\"k\"");
        assert!(matches!(read(&signed(&more)), Line::Good(Record { optional: true, .. })));
    }

    #[test]
    fn every_changed_byte_of_a_line_is_noticed_even_the_case_of_a_hex_digit() {
        let line = build(3, stamp(0), NO_HASH, "away", "{}").0.into_bytes();
        for place in 0..line.len() {
            for bit in 0..8 {
                let mut changed = line.clone();
                changed[place] ^= 1 << bit;
                assert!(matches!(read(&changed), Line::Bad), "byte {place} bit {bit}");
            }
        }
    }
}
