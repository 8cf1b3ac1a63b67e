//! Several files of one session: what a copied folder or a file sync leaves behind.
//!
//! A session's identity stands in its first entry, never in its file's name. Equal files are one
//! session; of two where one goes on from the other's end the longer one is shown; two that begin
//! alike and then differ are versions, and both are shown. Nothing is merged and nothing removed.

use super::{Apart, Glance, Listing, Version};
use crate::store::StoreError;
use crate::store::journal::record::Record;
use crate::store::journal::scan::scan;
use crate::store::journal::{JournalFile, read_bytes};
use std::collections::BTreeMap;

/// How two files of one session stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kin {
    /// The same entries.
    Same,
    /// The first goes on where the second ends.
    Longer,
    /// The second goes on where the first ends.
    Shorter,
    /// They differ after so many entries in common.
    Forked(usize),
}

/// Tells how the bytes of one file of a session stand to another's.
pub fn kin(one: &[u8], other: &[u8]) -> Kin {
    let (one, other) = (scan(one), scan(other));
    let same = |pair: &(&Record, &Record)| pair.0.hash == pair.1.hash;
    let common = one.records.iter().zip(&other.records).take_while(same).count();
    let (first, second) = (one.records.len(), other.records.len());
    match (common == first, common == second) {
        (true, true) => Kin::Same,
        (false, true) => Kin::Longer,
        (true, false) => Kin::Shorter,
        (false, false) => Kin::Forked(common),
    }
}

/// Puts the files of one session together: copies that say no more are told apart from the list,
/// versions get their letters.
pub(super) fn group(listing: &mut Listing) -> Result<(), StoreError> {
    let mut places: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (place, glance) in listing.sessions.iter().enumerate() {
        places.entry(glance.id.clone()).or_default().push(place);
    }
    let mut covered: Vec<usize> = Vec::new();
    for of_one in places.into_values().filter(|places| places.len() > 1) {
        covered.extend(versions(listing, of_one)?);
    }
    covered.sort_unstable();
    for place in covered.into_iter().rev() {
        let glance = listing.sessions.remove(place);
        let why =
            format!("{} is a copy that says no more than another file here", glance.path.display());
        listing.apart.push(Apart { path: glance.path, why });
    }
    Ok(())
}

/// Gives letters to the versions among the files of one session, and returns those that say no
/// more than another one.
fn versions(listing: &mut Listing, mut places: Vec<usize>) -> Result<Vec<usize>, StoreError> {
    let weight = |glance: &Glance| (glance.signed, glance.sealed, glance.entries);
    places.sort_by_key(|&place| listing.sessions.get(place).map(weight));
    places.reverse();
    let mut kept: Vec<(usize, Vec<u8>)> = Vec::new();
    let mut covered = Vec::new();
    let mut commons: Vec<usize> = Vec::new();
    for place in places {
        let Some(glance) = listing.sessions.get(place) else { continue };
        let bytes = read_bytes(&mut JournalFile::read_only(&glance.path)?, &glance.path)?;
        let kinship: Vec<Kin> = kept.iter().map(|(_, other)| kin(&bytes, other)).collect();
        if kinship.iter().any(|kin| matches!(kin, Kin::Same | Kin::Shorter)) {
            covered.push(place);
            continue;
        }
        let longer_than = kinship.iter().position(|kin| *kin == Kin::Longer);
        if let Some((old, _)) =
            longer_than.map(|at| std::mem::replace(&mut kept[at], (place, bytes.clone())))
        {
            covered.push(old);
            continue;
        }
        commons.push(match kinship.first() {
            Some(Kin::Forked(common)) => *common,
            Some(Kin::Same | Kin::Longer | Kin::Shorter) | None => 0,
        });
        kept.push((place, bytes));
    }
    if kept.len() > 1 {
        for ((at, (place, _)), letter) in kept.iter().enumerate().zip('A'..='Z') {
            if let Some(glance) = listing.sessions.get_mut(*place) {
                let common = commons.get(at).copied().unwrap_or(0);
                glance.version = Some(Version { letter, counts: at == 0, common });
            }
        }
    }
    Ok(covered)
}
