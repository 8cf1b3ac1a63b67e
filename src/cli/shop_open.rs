//! What the list of engines says of what is open: of the session that is gone on with, of one that has
//! ended or is damaged, and of other versions of it.

use super::attention::Attention;
use super::file_words::is_cut_short;
use super::other_versions::{LeftThere, Told, others, told_of, was_closed_over};
use super::shop::{Row, last_ended};
use super::workshop::Workshop;
use crate::domain::plain::plain;
use crate::domain::session::{Gravity, OpenItem, gravest_first};
use crate::store::hash::hex_of_sha256;
use crate::store::journal::Verdict;
use crate::store::sessions::Glance;
use crate::store::still_open::StillOpen;
use crate::store::verify::Gone;
use std::collections::BTreeSet;
use std::fmt::Write;
use std::sync::atomic::Ordering;

/// Version of what is noted of what is open; what was noted by another is worked out anew.
const MEANING: u32 = 3;
/// What stands behind what is open where whole entries are missing at the end.
const MORE: &str = "more may be open: entries are missing at its end";

impl Row {
    /// Says what stands beside the last service: services that are gone or kept elsewhere, valves that were
    /// left out of their band, versions that are still open.
    pub fn beside(&self) -> Vec<String> {
        self.before_it().into_iter().chain(self.open_versions.iter().cloned()).collect()
    }

    /// Says of it what stands before what was left open; a version that is open comes behind that.
    pub(super) fn before_it(&self) -> Vec<String> {
        // Which they are stands above the list.
        let gone = match self.gone.len() {
            0 => None,
            1 => Some("GONE SERVICE".to_owned()),
            many => Some(format!("{many} GONE SERVICES")),
        };
        let elsewhere = match self.elsewhere.len() {
            0 => None,
            1 => Some("SERVICE KEPT ELSEWHERE".to_owned()),
            many => Some(format!("{many} SERVICES KEPT ELSEWHERE")),
        };
        gone.into_iter().chain(elsewhere).chain(self.left_out.iter().cloned()).collect()
    }

    /// Tells which versions of the last service that has ended are still open, until a later one ends.
    pub(super) fn tell_open_versions(&mut self, own: &Own<'_>, its: &[&Glance]) {
        let Some(last) = last_ended(its, true).filter(|last| last.version.is_some()) else {
            return;
        };
        let all = own.things();
        let open = others(&all, last).filter(|one| !one.sealed && one.verdict.may_append());
        let words = |one: &Glance| plain(&format!("{} IS STILL OPEN", one.full_name()));
        self.open_versions = open.map(words).collect();
    }

    /// Marks it as one of which these services are gone, or kept elsewhere.
    pub(super) fn tell_gone(&mut self, gone: &[&Gone]) {
        for one in gone {
            let list = match one.lies_elsewhere() {
                Some(_) => &mut self.elsewhere,
                None => &mut self.gone,
            };
            list.push(format!("{}: {}", one.word(), one.named()));
        }
        self.gone_open = gone.iter().any(|one| one.may_be_open().is_some());
    }
}

/// The sessions of an engine, and all other files of those of which there are several: whatever tells of one of
/// them looks nowhere else, and so not at the whole shop once more for each engine.
pub(super) struct Own<'a> {
    all: Vec<&'a Glance>,
    /// The place of its engine in the list, and how many there are: for whoever watches.
    place: (usize, usize),
}

impl<'a> Own<'a> {
    /// Lists those of an engine, in the order of `all`, of which `parted` are those with several files.
    pub(super) fn of(
        all: &'a [Glance],
        parted: &[&'a Glance],
        its: &[&'a Glance],
        place: (usize, usize),
    ) -> Own<'a> {
        let ids: BTreeSet<&str> =
            its.iter().filter(|one| one.version.is_some()).map(|one| one.id.as_str()).collect();
        let is_its = |one: &Glance| its.iter().any(|its| std::ptr::eq(*its, one));
        let is_kin = |one: &Glance| ids.contains(one.id.as_str());
        // A file may lack the entry that tells of which engine it is.
        if !parted.iter().any(|one| is_kin(one) && !is_its(one)) {
            return Own { all: its.to_vec(), place };
        }
        Own { all: all.iter().filter(|one| is_kin(one) || is_its(one)).collect(), place }
    }

    /// Returns them for whatever reads them.
    pub(super) fn things(&self) -> Vec<Glance> {
        self.all.iter().map(|one| (*one).clone()).collect()
    }

    /// Tells what was worked out from: every entry of every session. `None` where one is not whole: that is read
    /// each time.
    fn worked_out_from(&self, way: &str) -> Option<String> {
        // Writing into a text cannot fail.
        let mut text = format!("{MEANING} {way}");
        for one in &self.all {
            if one.verdict != Verdict::Clean {
                return None;
            }
            let version = one.version.map(|version| (version.letter, version.counts));
            let _ = write!(text, "|{:?} {} {version:?}", one.path.file_name(), one.last_hash);
        }
        Some(hex_of_sha256(text.as_bytes(), 16))
    }
}

/// Tells whether a session can have left nothing open that the list tells.
fn tells_nothing(one: &Glance) -> bool {
    let whole = one.signed && !one.partial && !one.practice;
    one.sealed && (whole || one.imported) && one.version.is_none()
}

/// Returns what is noted of an engine, else what `read` finds, which is noted where every session that was read
/// was so as it was listed.
fn noted(
    workshop: &Workshop,
    still: &mut StillOpen,
    (own, way): (&Own<'_>, &str),
    read: impl FnOnce(&[Glance]) -> Vec<Told>,
) -> Vec<Told> {
    if own.all.iter().all(|one| tells_nothing(one)) {
        return Vec::new();
    }
    let from = own.worked_out_from(way);
    if let Some(told) = from.as_ref().and_then(|from| still.get(from)) {
        return told;
    }
    let before = workshop.unlike.load(Ordering::Relaxed);
    let (done, of) = own.place;
    workshop.folder().progress().so_far("reading what is open", done, of);
    let told = read(&own.things());
    let from = from.filter(|_| workshop.unlike.load(Ordering::Relaxed) == before);
    from.into_iter().for_each(|from| still.set(from, &told));
    told
}

/// Puts into a row what a service left open that nobody can simply go on with: its file is damaged
/// and no later one has ended, or it was closed unsigned; and of one that is gone on with what is
/// dangerous. What other versions of it left open is among that.
pub(super) fn tell_what_is_open(
    workshop: &Workshop,
    still: &mut StillOpen,
    own: &Own<'_>,
    its: &[&Glance],
    row: &mut Row,
) {
    row.tell_open_versions(own, its);
    let ended = its.iter().rposition(|one| one.sealed && !one.imported);
    let since = its.iter().skip(ended.map_or(0, |ended| ended + 1));
    let damaged = since.rev().find(|one| !one.sealed && one.is_broken());
    // Of one that was closed unsigned what is missing may tell of a nut; one that was signed left nothing open.
    let last = ended.and_then(|ended| its.get(ended));
    let damaged = damaged.or_else(|| last.filter(|last| !last.signed && last.is_broken()));
    if let Some(damaged) = damaged {
        let (words, all) =
            (format!("session {} is damaged: {}", damaged.name, damaged.verdict), own.things());
        row.attention = Attention::Damaged;
        let told = open_in_it(workshop, &all, its, damaged);
        // More may be open than can be read.
        row.gravest = gravest_of(&told).min(Some(Gravity::Unread)).or(Some(Gravity::Unread));
        row.left_open = told.into_iter().map(|(words, _)| words).collect();
        row.all_open.clone_from(&row.left_open);
        row.damaged = Some(plain(&words));
        return;
    }
    if row.attention == Attention::Open {
        let open = its.iter().rev().find(|one| Some(&one.name) == row.open.as_ref());
        let Some(open) = open else { return };
        let read = |all: &[Glance]| open_in_it(workshop, all, its, open);
        let mut told = noted(workshop, still, (own, "open"), read);
        let cut_off = matches!(&open.verdict, Verdict::CutOff(tail) if tail.may_have_opened());
        if cut_off || is_cut_short(workshop.folder(), open) {
            told.push((MORE.to_owned(), Gravity::Unread));
            gravest_first(&mut told, |(_, gravity)| *gravity);
        }
        let words = |(words, _): &Told| words.clone();
        row.all_open = told.iter().map(words).collect();
        row.gravest = gravest_of(&told);
        row.left_open = told.iter().filter(|one| is_danger(one)).map(words).collect();
        return;
    }
    let unsigned = row.attention == Attention::Unsigned;
    let read = |all: &[Glance]| left_by_ended(workshop, all, its, unsigned);
    let told = noted(workshop, still, (own, if unsigned { "unsigned" } else { "ended" }), read);
    row.gravest = gravest_of(&told);
    row.left_open = told.into_iter().map(|(words, _)| words).collect();
    row.all_open.clone_from(&row.left_open);
    if !row.left_open.is_empty() {
        row.attention = Attention::LeftOpen;
    }
}

fn gravest_of(told: &[Told]) -> Option<Gravity> {
    told.iter().map(|(_, gravity)| *gravity).min()
}

fn is_danger((_, gravity): &Told) -> bool {
    gravity.is_danger()
}

/// Lists what a session that is gone on with has open, and what other versions of it and services before left.
fn open_in_it(workshop: &Workshop, all: &[Glance], its: &[&Glance], open: &Glance) -> Vec<Told> {
    let mut told = workshop.items_in(open);
    let mut others = workshop.open_in_others(all, open);
    others.extend(told_of(&in_earlier(workshop, all, its, open)));
    told.extend(others);
    gravest_first(&mut told, |(_, gravity)| *gravity);
    told
}

/// Lists what the last service that has ended left open, and what other versions of it and services before did.
fn left_by_ended(
    workshop: &Workshop,
    all: &[Glance],
    its: &[&Glance],
    unsigned: bool,
) -> Vec<Told> {
    // Something was passed over in it, or no run can be among that.
    let (last, served) = (last_ended(its, true), last_ended(its, false));
    let unsigned = served.filter(|_| unsigned);
    // A nut that was left slack in practice is as slack as any other.
    let practice = last.filter(|one| one.practice && !one.signed);
    let both: Vec<&Glance> = [unsigned, practice].into_iter().flatten().collect();
    let mut told: Vec<Told> = both.iter().flat_map(|one| workshop.items_in(one)).collect();
    let handed_over = |one: &Glance| {
        let signed = Some(one).filter(|one| one.signed && one.partial)?;
        let words = workshop.run_handed_over_in(signed)?;
        Some((words, OpenItem::RunHandedOver.gravity()))
    };
    told.extend(served.and_then(handed_over));
    // Its covers were off all the same: the engine is as little run as after any other.
    let practice = last.filter(|one| one.practice).and_then(handed_over);
    told.extend(practice.map(|(words, gravity)| (format!("{words}, for practice"), gravity)));
    told.extend(last.into_iter().flat_map(|one| workshop.open_in_others(all, one)));
    let mut earlier = last.map_or_else(Vec::new, |one| in_earlier(workshop, all, its, one));
    // What stands there by itself is not told once more by its service.
    earlier.retain(|left| both.iter().all(|one| one.path != left.by.path));
    told.extend(told_of(&earlier));
    gravest_first(&mut told, |(_, gravity)| *gravity);
    told
}

/// Lists what services before, or versions of them, left open.
fn in_earlier<'a>(
    workshop: &Workshop,
    all: &'a [Glance],
    its: &[&Glance],
    shown: &Glance,
) -> Vec<LeftThere<'a>> {
    // Hardly ever is there one: only then all are looked through.
    let may_tell =
        |one: &&Glance| one.id != shown.id && (one.version.is_some() || was_closed_over(one));
    if its.iter().any(may_tell) { workshop.left_in_earlier(all, shown) } else { Vec::new() }
}
