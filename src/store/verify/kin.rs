//! The files of one session side by side, also those of which the first entry cannot be read.

use super::Checked;
use crate::store::StoreError;
use crate::store::folder::Folder;
use crate::store::journal::{Verdict, numbered};
use crate::store::seen::begins_of;
use crate::store::sessions::{self, Kin, kin_of};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Another file of the same session.
#[derive(Clone, Debug)]
pub struct Other {
    /// Where it lies.
    pub path: PathBuf,
    /// How the file that it stands beside stands to it.
    pub kin: Kin,
    /// Whether it is damaged so that it cannot be gone on with.
    pub damaged: bool,
    /// The letter of its version, where several are shown.
    pub letter: Option<char>,
}

/// Sets the files of each session side by side.
///
/// # Errors
/// The folder cannot be listed.
pub fn relate(folder: &Folder, checked: &mut [Checked]) -> Result<(), StoreError> {
    let mut of_one: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (place, one) in checked.iter().enumerate() {
        if let Some(id) = one.id.clone().or_else(|| lost_identity(checked, one)) {
            of_one.entry(id).or_default().push(place);
        }
    }
    of_one.retain(|_, places| places.len() > 1);
    if of_one.is_empty() {
        return Ok(());
    }
    let listing = sessions::list(folder)?.sessions;
    for one in checked.iter_mut() {
        let listed = listing.iter().find(|listed| listed.path == one.path);
        one.letter = listed.and_then(sessions::Glance::letter);
    }
    of_one.into_values().for_each(|places| set_side_by_side(checked, &places));
    Ok(())
}

/// Finds the session of a file whose first entry cannot be read: by an entry that another file has, too,
/// else by its name.
fn lost_identity(checked: &[Checked], lost: &Checked) -> Option<String> {
    let own = &lost.hashes.own;
    if own.is_empty() {
        return None;
    }
    let known = || checked.iter().filter(|one| one.id.is_some());
    let shares =
        |one: &&Checked| one.hashes.own.iter().any(|(seq, hash)| own.get(seq) == Some(hash));
    let (begins, base) = (begins_of(&lost.path), numbered(&lost.path).0);
    let is_named_as = |one: &&Checked| {
        let by_id = one.id.as_ref().zip(begins.as_ref()).is_some_and(|(id, it)| id.starts_with(it));
        by_id || numbered(&one.path).0 == base
    };
    known().find(shares).or_else(|| known().find(is_named_as))?.id.clone()
}

fn set_side_by_side(checked: &mut [Checked], places: &[usize]) {
    for &place in places {
        let others = || places.iter().filter(|&&other| other != place).map(|&at| &checked[at]);
        let mine = &checked[place].hashes;
        let kin = others().map(|other| Other {
            path: other.path.clone(),
            kin: kin_of(mine, &other.hashes),
            damaged: is_broken(other),
            letter: other.letter,
        });
        let kin = kin.collect();
        let whole = |other: &&Checked| {
            let has = |(seq, hash): (&u64, &String)| other.hashes.own.get(seq) == Some(hash);
            other.verdict == Verdict::Clean && !other.is_damaged() && mine.own.iter().all(has)
        };
        let whole_in = others().find(whole).map(|other| other.path.clone());
        let sound_in = sound_beside(&checked[place], others());
        let one = &mut checked[place];
        one.kin = kin;
        if one.is_damaged() {
            (one.whole_in, one.sound_in) = (whole_in, sound_in);
        }
    }
}

fn is_broken(one: &Checked) -> bool {
    !one.verdict.may_append() && !one.is_unchecked()
}

/// Finds a sound file of a session beside a damaged one that cannot be gone on with, which has ended if
/// that one has: the one with most entries.
fn sound_beside<'a>(
    damaged: &Checked,
    others: impl Iterator<Item = &'a Checked>,
) -> Option<(PathBuf, usize)> {
    let sound = others.filter(|other| {
        other.verdict.may_append() && other.sealed.is_some() == damaged.sealed.is_some()
    });
    let most = sound.max_by_key(|other| other.good.len());
    let most = most.filter(|_| !damaged.verdict.may_append());
    most.map(|other| (other.path.clone(), other.good.len()))
}
