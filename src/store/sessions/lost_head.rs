//! Files of which the first entry, and with it the session's identity, cannot be read: whose they are is
//! told by the entries that another file has, too, else by their names.

use super::{Glance, hashes_of};
use crate::store::folder::Folder;
use crate::store::journal::numbered;
use crate::store::journal::scan::scan;
use crate::store::seen::{begins_of, of_those};
use std::collections::BTreeSet;

/// Gives each file whose first entry cannot be read the identity of its session, where that is known by
/// another file here or by the memo of what was here.
pub(super) fn join(folder: &Folder, sessions: &mut [Glance]) {
    for place in 0..sessions.len() {
        let Some(lost) = sessions.get(place).filter(|one| one.id.is_empty()) else { continue };
        let own = hashes_of(&lost.path).unwrap_or_default().into_iter().collect();
        let known = of_known(sessions, lost, &own).or_else(|| of_memo(folder, lost));
        if let (Some(id), Some(lost)) = (known, sessions.get_mut(place)) {
            lost.id = id;
        }
    }
}

/// Finds among the sessions here the one that the bytes of a file belong to whose first entry cannot be
/// read.
pub(in crate::store) fn session_of(
    known: &[Glance],
    lost: &Glance,
    bytes: &[u8],
) -> Option<String> {
    let records = scan(bytes).records.into_iter();
    let own = records.map(|record| (record.seq, record.hash.to_owned())).collect();
    of_known(known, lost, &own)
}

fn of_known(known: &[Glance], lost: &Glance, own: &BTreeSet<(u64, String)>) -> Option<String> {
    let (named, others): (Vec<&Glance>, Vec<&Glance>) =
        known.iter().filter(|one| !one.id.is_empty()).partition(|one| is_named_as(lost, one));
    let of_its_time = others.into_iter().filter(|one| is_of_its_time(lost, one));
    let shares = |one: &&&Glance| {
        let theirs = hashes_of(&one.path).unwrap_or_default();
        theirs.into_iter().any(|entry| own.contains(&entry))
    };
    // An entry has the hash of the one before it in it: no two sessions have one in common.
    let of_its_time: Vec<&Glance> = of_its_time.collect();
    let found = named.iter().chain(&of_its_time).find(shares).copied();
    let only = || named.first().filter(|one| named.iter().all(|other| other.id == one.id)).copied();
    found.or_else(only).map(|one| one.id.clone())
}

/// Tells whether the file of a session has the name of the one whose first entry is lost, or that one is
/// named by the session's identity.
fn is_named_as(lost: &Glance, one: &Glance) -> bool {
    let begins = begins_of(&lost.path);
    numbered(&one.path).0 == numbered(&lost.path).0
        || begins.is_some_and(|begins| one.id.starts_with(&begins))
}

/// Tells whether a session may be the one of the file whose first entry is lost: no other file is read for
/// it.
fn is_of_its_time(lost: &Glance, one: &Glance) -> bool {
    let of_it = lost.engine_id.is_none() || lost.engine_id == one.engine_id;
    of_it && one.started.unix_ms <= lost.last.unix_ms && lost.started.unix_ms <= one.last.unix_ms
}

fn of_memo(folder: &Folder, lost: &Glance) -> Option<String> {
    let begins = begins_of(&lost.path)?;
    match of_those(folder, |id| id.starts_with(&begins)).as_slice() {
        [one] => Some(one.session.clone()),
        _ => None,
    }
}
