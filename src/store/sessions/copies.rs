//! Several files of one session: what a copied folder or a file sync leaves behind.
//!
//! A session's identity stands in its first entry, never in its file's name. Equal files are one
//! session; of two where one goes on from the other's end the longer one is shown; two that begin
//! alike and then differ are versions, and both are shown. So are a longer one that is damaged in the
//! middle and a sound one, which did not go different ways: which is gone on with is for the user to say,
//! and that one counts from then on. Nothing is merged and nothing removed.

use super::letters::in_order;
use super::{Apart, Glance, Listing, Stands, Version};
use crate::domain::plain::plain;
use crate::store::StoreError;
use crate::store::journal::record::Record;
use crate::store::journal::scan::scan;
use crate::store::journal::{JournalFile, Verdict, numbered, read_bytes};
use crate::store::shown;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::path::Path;

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
    /// They differ in none, and each has entries that the other lacks: something is damaged.
    Gapped,
}

/// The good entries of a session's file.
#[derive(Clone, Debug, Default)]
pub(in crate::store) struct Entries {
    /// The hash of each, by its place.
    pub own: BTreeMap<u64, String>,
    /// The hashes of those that are lacking, as far as the ones behind them tell.
    told: BTreeMap<u64, String>,
}

impl Entries {
    pub(in crate::store) fn of(records: &[Record]) -> Entries {
        let own: BTreeMap<u64, String> =
            records.iter().map(|record| (record.seq, record.hash.to_owned())).collect();
        let before = |record: &Record| {
            let seq = record.seq.checked_sub(1).filter(|seq| !own.contains_key(seq))?;
            Some((seq, record.previous.to_string()))
        };
        Entries { told: records.iter().filter_map(before).collect(), own }
    }

    fn hash(&self, seq: u64) -> Option<&String> {
        self.own.get(&seq).or_else(|| self.told.get(&seq))
    }
}

/// Tells how the bytes of one file of a session stand to another's.
pub fn kin(one: &[u8], other: &[u8]) -> Kin {
    kin_of(&Entries::of(&scan(one).records), &Entries::of(&scan(other).records))
}

/// Returns the hash of each good entry of a session's file, by its place.
///
/// # Errors
/// The file cannot be read.
pub fn hashes_of(path: &Path) -> Result<BTreeMap<u64, String>, StoreError> {
    let bytes = read_bytes(&mut JournalFile::read_only(path)?, path)?;
    Ok(Entries::of(&scan(&bytes).records).own)
}

/// Entries are set side by side by their places: one that is damaged in one file and good in the
/// other does not make two versions of them, unless the one behind it continues another.
pub(in crate::store) fn kin_of(one: &Entries, other: &Entries) -> Kin {
    let alone =
        |some: &Entries, others: &Entries| some.own.keys().any(|seq| !others.own.contains_key(seq));
    let differs =
        |(seq, hash): &(&u64, &String)| other.hash(**seq).is_some_and(|other| other != *hash);
    let parts = one.own.iter().chain(&one.told).filter(differs).map(|(seq, _)| *seq).min();
    match (parts, alone(one, other), alone(other, one)) {
        (Some(seq), ..) => Kin::Forked(usize::try_from(seq).unwrap_or(usize::MAX)),
        (None, false, false) => Kin::Same,
        (None, true, false) => Kin::Longer,
        (None, false, true) => Kin::Shorter,
        (None, true, true) => Kin::Gapped,
    }
}

/// Puts the files of one session together: copies that say no more are told apart from the list,
/// versions get their letters.
pub(super) fn group(listing: &mut Listing) -> Result<(), StoreError> {
    let ids = listing.sessions.iter().map(|glance| glance.id.as_str());
    let mut places: Vec<(&str, usize)> = ids.zip(0..).collect();
    places.sort_unstable();
    let several = places.chunk_by(|one, other| one.0 == other.0).filter(|one| one.len() > 1);
    let several: Vec<Vec<usize>> =
        several.map(|one| one.iter().map(|(_, place)| *place).collect()).collect();
    let mut covered: Vec<(usize, String)> = Vec::new();
    for of_one in several {
        let (whole, say_less) = versions(listing, of_one)?;
        covered.extend(told(listing, &whole, say_less));
    }
    covered.sort_unstable();
    for (place, why) in covered.into_iter().rev() {
        let glance = listing.sessions.remove(place);
        let Glance { path, id, .. } = glance;
        listing.apart.push(Apart { path, why, id, unopened: None });
    }
    Ok(())
}

/// What is said of files that take nothing from a session.
const HARMLESS: &str = "nothing need be done";

/// Tells whether a note about the sessions is only of such files.
pub fn is_harmless(note: &str) -> bool {
    note.contains(HARMLESS)
}

/// Says of a damaged file whose session is whole in another one that it is needed no longer; `this` and
/// `it` are the words for it.
pub(in crate::store) fn moved_away(other: &str, (this, it): (&str, &str)) -> String {
    format!(
        "{other} is whole and has all that can be read here: once you have kept {this} as evidence \
         elsewhere, {it} may be moved out of the folder `sessions`"
    )
}

/// Says once of all files of a session that say no more than others of it where the whole of it is, and
/// what may be done; of the others there is nothing to say.
fn told(listing: &Listing, whole: &[usize], mut say_less: Vec<usize>) -> Vec<(usize, String)> {
    say_less.sort_unstable();
    let glances = |places: &[usize]| -> Vec<&Glance> {
        places.iter().filter_map(|&place| listing.sessions.get(place)).collect()
    };
    let words = several_words(&glances(whole), &glances(&say_less));
    let mut words = words.into_iter();
    say_less.into_iter().map(|place| (place, words.next().unwrap_or_default())).collect()
}

fn several_words(whole: &[&Glance], say_less: &[&Glance]) -> Option<String> {
    let file = |one: &Glance| shown(Path::new(one.path.file_name().unwrap_or_default()));
    let named = |all: &[&Glance]| all.iter().map(|one| file(one)).collect::<Vec<_>>().join(", ");
    let session = format!("session {} has several files", plain(&whole.first()?.name));
    let (it, moved) = match say_less {
        [_] => ("says no more", "it may be moved away"),
        _ => ("say no more", "they may be moved away"),
    };
    let (all, less) = (named(whole), named(say_less));
    let damaged: Vec<&&Glance> = say_less.iter().filter(|one| one.verdict.is_damage()).collect();
    Some(match whole {
        [most] if most.verdict.is_damage() => {
            let wrong = &most.verdict;
            format!("{session}: most of it is in {all}, which is not whole: {wrong}; {less} {it}")
        }
        [one] if one.verdict == Verdict::Clean && !damaged.is_empty() => {
            let also = if damaged.len() < say_less.len() {
                format!("{less} {it}; ")
            } else {
                String::new()
            };
            let wrong =
                damaged.iter().map(|one| format!("{} is damaged: {}", file(one), one.verdict));
            let wrong = wrong.collect::<Vec<_>>().join("; ");
            let they = if damaged.len() == 1 { ("it", "it") } else { ("those", "they") };
            format!("{session}: {also}{wrong}; {}", moved_away(&all, they))
        }
        [_] => format!("{session}: all of it is in {all}; {less} {it}: {HARMLESS}, {moved}"),
        _ => format!("{session}: its versions are in {all}; {less} {it}: {HARMLESS}, {moved}"),
    })
}

/// Gives letters to the versions among the files of one session, and returns those, the one that counts
/// first, or the one that is whole, and the files that say no more than another one.
fn versions(
    listing: &mut Listing,
    mut places: Vec<usize>,
) -> Result<(Vec<usize>, Vec<usize>), StoreError> {
    // Of two that say the same the later one counts: the one before it was given up after a fault. Of equal
    // ones it is the one under the name that the program gave it, not a copy that another program made.
    let weight = |glance: &Glance| {
        let sound = !glance.verdict.is_damage();
        let (base, number) = numbered(&glance.path);
        let is_own = base == glance.name;
        (glance.signed, glance.sealed, glance.entries, sound, number, is_own)
    };
    places.sort_by_key(|&place| listing.sessions.get(place).map(weight));
    places.reverse();
    let mut kept: Vec<File> = Vec::new();
    let mut covered = Vec::new();
    for place in places {
        let Some(glance) = listing.sessions.get(place) else { continue };
        let bytes = read_bytes(&mut JournalFile::read_only(&glance.path)?, &glance.path)?;
        let broken = glance.is_broken();
        let file = File { place, bytes, broken };
        // What cannot be gone on with stands for none that can, however much it says.
        let covers = |kept: &File| {
            let less = matches!(kin(&file.bytes, &kept.bytes), Kin::Same | Kin::Shorter);
            less && (file.broken || !kept.broken)
        };
        if kept.iter().any(covers) {
            covered.push(place);
            continue;
        }
        let is_less = |kept: &File| {
            kin(&file.bytes, &kept.bytes) == Kin::Longer && (kept.broken || !file.broken)
        };
        match kept.iter().position(is_less) {
            Some(at) => covered.push(std::mem::replace(&mut kept[at], file).place),
            None => kept.push(file),
        }
    }
    sound_first(listing, &mut kept);
    if kept.len() > 1 {
        give_letters(listing, &kept);
    }
    Ok((kept.into_iter().map(|file| file.place).collect(), covered))
}

/// Gives each version its letter, says which of them counts, and how each stands to that one.
fn give_letters(listing: &mut Listing, kept: &[File]) {
    // The first is as it is itself; how it stands to the next one says more.
    let first = &kept[0].bytes;
    let mut all: Vec<Stands> = kept.iter().map(|one| stands(&one.bytes, first)).collect();
    all[0] = stands(first, &kept[1].bytes);
    // However many there are, the one that counts has a letter.
    let lettered = &kept[..kept.len().min(LETTERS)];
    let files: Vec<&[u8]> = lettered.iter().map(|file| file.bytes.as_slice()).collect();
    for (at, letter) in in_order(&files).into_iter().zip('A'..='Z') {
        if let Some(glance) = listing.sessions.get_mut(kept[at].place) {
            glance.version = Some(Version { letter, counts: at == 0, stands: all[at] });
        }
    }
}

/// Most versions of a session that have a letter.
const LETTERS: usize = 26;

/// A file of a session of which there are several.
struct File {
    place: usize,
    bytes: Vec<u8>,
    /// It is damaged so that it cannot be gone on with.
    broken: bool,
}

/// Puts a sound one before the damaged one that would count: of two that have ended the same way; of two
/// that are open once it was gone on with, which makes it another than the damaged one, or where the
/// damaged one does not tell of which engine it is.
fn sound_first(listing: &Listing, kept: &mut [File]) {
    let of = |file: &File| listing.sessions.get(file.place);
    let Some((first, others)) = kept.split_first().filter(|(first, _)| first.broken) else {
        return;
    };
    let Some(damaged) = of(first) else { return };
    let ended = |one: &Glance| (one.signed, one.sealed);
    let nobodys = damaged.engine_id.is_none() && damaged.engine.is_none();
    let comes_first = |file: &File| {
        let alike = of(file).is_some_and(|one| ended(one) == ended(damaged));
        let chosen = damaged.sealed || nobodys || has_parted(&file.bytes, &first.bytes);
        alike && !file.broken && chosen
    };
    if let Some(at) = others.iter().position(comes_first) {
        kept[..=at + 1].rotate_right(1);
    }
}

/// Tells whether two files have different entries in one place.
fn has_parted(one: &[u8], other: &[u8]) -> bool {
    matches!(kin(one, other), Kin::Forked(_))
}

/// Tells how a file stands to another one of its session; of one that is damaged within, how far it goes.
fn stands(one: &[u8], other: &[u8]) -> Stands {
    if let Kin::Forked(common) = kin(one, other) {
        return Stands::Parted(common);
    }
    let last = |bytes: &[u8]| scan(bytes).records.last().map(|record| record.seq);
    match last(one).cmp(&last(other)) {
        Ordering::Greater => Stands::Longer,
        Ordering::Less => Stands::Shorter,
        Ordering::Equal => Stands::Alike,
    }
}

impl Glance {
    /// Says of a version how it stands to the others: "parts at entry 69", "a damaged copy, longer".
    pub fn stands_words(&self) -> Option<String> {
        let copy = if self.is_broken() { "a damaged copy" } else { "a copy" };
        Some(match self.version?.stands {
            Stands::Parted(common) => format!("parts at entry {common}"),
            Stands::Longer => format!("{copy}, longer"),
            Stands::Shorter => format!("{copy}, shorter"),
            Stands::Alike => format!("{copy}, as long"),
        })
    }
}
