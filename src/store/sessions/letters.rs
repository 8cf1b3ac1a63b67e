//! Which version of a session is A: the one that went its own way first.
//!
//! A letter stands in notes, on records and in people's heads. It must not move because the other version
//! grew, was signed, or counts now; so it hangs on nothing that an entry more could change: only on the
//! first entry in which two versions differ. The one that was written earlier comes first, since that is how
//! people remember it, and of two of the same moment the one with the lesser hash.

use crate::store::journal::record::Record;
use crate::store::journal::scan::scan;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// The entries that a file had, also those that are damaged, by their places: when each was written, and its
/// hash. No hash is known of what nothing tells of any more.
type Chain = BTreeMap<u64, (i64, String)>;

/// Returns the places of these files of one session in the order of their letters.
pub(super) fn in_order(files: &[&[u8]]) -> Vec<usize> {
    let scans: Vec<_> = files.iter().map(|bytes| scan(bytes)).collect();
    let records = || scans.iter().flat_map(|scan| &scan.records);
    let before: BTreeMap<&str, &str> =
        records().map(|one| (one.hash, one.previous.as_ref())).collect();
    let times = times(records());
    let chain_of = |records: &[Record]| {
        let mut chain = Chain::new();
        for record in records {
            let (mut seq, mut hash) = (record.seq, record.hash);
            // What is damaged here may be whole in another file: each entry names the one before it.
            while !chain.contains_key(&seq) {
                let at = times.get(hash).copied().unwrap_or(record.stamp.at.unix_ms);
                chain.insert(seq, (at, hash.to_owned()));
                let Some(previous) = seq.checked_sub(1).zip(before.get(hash)) else { break };
                (seq, hash) = (previous.0, *previous.1);
            }
        }
        chain
    };
    let chains: Vec<Chain> = scans.iter().map(|scan| chain_of(&scan.records)).collect();
    let mut places: Vec<usize> = (0..files.len()).collect();
    places.sort_by(|&one, &other| compare(&chains[one], &chains[other]));
    places
}

/// Tells when each entry was written, by its hash; of one that is damaged everywhere, when the next one was.
fn times<'a>(records: impl Iterator<Item = &'a Record<'a>> + Clone) -> BTreeMap<&'a str, i64> {
    let mut times = BTreeMap::new();
    for record in records.clone() {
        let at = record.stamp.at.unix_ms;
        let least = times.entry(record.previous.as_ref()).or_insert(at);
        *least = at.min(*least);
    }
    times.extend(records.map(|record| (record.hash, record.stamp.at.unix_ms)));
    times
}

/// Compares two files by the first place where they differ. Of what is lost without a trace the time is that
/// of what comes next; one that ends there comes last: what is yet added to it will be later.
fn compare(one: &Chain, other: &Chain) -> Ordering {
    let at = |chain: &Chain, seq: u64| {
        let (found, (at, hash)) = chain.range(seq..).next()?;
        Some((*at, if *found == seq { hash.clone() } else { String::new() }))
    };
    // Between these places nothing changes in either.
    let places: BTreeSet<u64> = one
        .keys()
        .chain(other.keys())
        .flat_map(|seq| [*seq, seq.saturating_add(1)])
        .chain([0])
        .collect();
    let differs = |seq: u64| match (at(one, seq), at(other, seq)) {
        (Some(one), Some(other)) => one.cmp(&other),
        (one, other) => other.is_some().cmp(&one.is_some()),
    };
    places.into_iter().map(differs).find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
}
