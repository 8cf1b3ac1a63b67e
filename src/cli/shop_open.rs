//! What the list of engines says of what is open: of the session that is gone on with, of one that has
//! ended or is damaged, and of other versions of it.

use super::file_words::is_cut_short;
use super::other_versions::{LeftThere, Told, gravest_first, told_of, was_closed_over};
use super::shop::{Attention, Row, last_ended};
use super::workshop::Workshop;
use crate::domain::plain::plain;
use crate::store::sessions::Glance;
use crate::store::verify::Gone;

/// What stands behind what is open where whole entries are missing at the end.
const MORE: &str = "more may be open: entries are missing at its end";

impl Row {
    /// Says what stands beside the last service: services that are gone or kept elsewhere, valves that were
    /// left out of their band.
    pub fn beside(&self) -> Vec<String> {
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

/// Puts into a row what a service left open that nobody can simply go on with: its file is damaged
/// and no later one has ended, or it was closed unsigned; and of one that is gone on with what is
/// dangerous. What other versions of it left open is among that.
pub(super) fn tell_what_is_open(
    workshop: &Workshop,
    all: &[Glance],
    its: &[&Glance],
    row: &mut Row,
) {
    let ended = its.iter().rposition(|one| one.sealed && !one.imported);
    let since = its.iter().skip(ended.map_or(0, |ended| ended + 1));
    let damaged = since.rev().find(|one| !one.sealed && one.is_broken());
    if let Some(damaged) = damaged {
        let words = format!("session {} is damaged: {}", damaged.name, damaged.verdict);
        row.attention = Attention::Damaged;
        row.left_open = workshop.open_in(damaged);
        row.left_open.extend(workshop.open_in_others_words(all, damaged));
        row.left_open.extend(in_words(&in_earlier(workshop, all, its, damaged)));
        row.left_open.sort_by_key(|words| !words.starts_with("NUT SLACK"));
        row.all_open.clone_from(&row.left_open);
        row.damaged = Some(plain(&words));
        return;
    }
    if row.attention == Attention::Open {
        let open = its.iter().rev().find(|one| Some(&one.name) == row.open.as_ref());
        let Some(open) = open else { return };
        let mut told = workshop.items_in(open);
        let mut others = workshop.open_in_others(all, open);
        others.extend(told_of(&in_earlier(workshop, all, its, open)));
        let more = is_cut_short(workshop.folder(), open).then(|| (MORE.to_owned(), true));
        if !others.is_empty() || more.is_some() {
            told.extend(others);
            told.extend(more);
            gravest_first(&mut told);
        }
        let words = |(words, _): &Told| words.clone();
        row.all_open = told.iter().map(words).collect();
        row.left_open = told.iter().filter(|(_, is_danger)| *is_danger).map(words).collect();
        return;
    }
    let unsigned = last_ended(its, false).filter(|_| row.attention == Attention::Unsigned);
    // A nut that was left slack in practice is as slack as any other.
    let practice = last_ended(its, true).filter(|one| one.practice && !one.signed);
    let both: Vec<&Glance> = [unsigned, practice].into_iter().flatten().collect();
    row.left_open = both.iter().flat_map(|one| workshop.open_in(one)).collect();
    // Something was passed over in it, or no run can be among that.
    let (last, served) = (last_ended(its, true), last_ended(its, false));
    let handed_over = |one: &Glance| {
        let signed = Some(one).filter(|one| one.signed && one.partial)?;
        workshop.run_handed_over_in(signed)
    };
    row.left_open.extend(served.and_then(handed_over));
    // Its covers were off all the same: the engine is as little run as after any other.
    let practice = last.filter(|one| one.practice).and_then(handed_over);
    row.left_open.extend(practice.map(|words| format!("{words}, for practice")));
    row.left_open.extend(last.into_iter().flat_map(|one| workshop.open_in_others_words(all, one)));
    let mut earlier = last.map_or_else(Vec::new, |one| in_earlier(workshop, all, its, one));
    // What stands there by itself is not told once more by its service.
    earlier.retain(|left| both.iter().all(|one| one.path != left.by.path));
    row.left_open.extend(in_words(&earlier));
    row.left_open.sort_by_key(|words| !words.starts_with("NUT SLACK"));
    row.all_open.clone_from(&row.left_open);
    if !row.left_open.is_empty() {
        row.attention = Attention::LeftOpen;
    }
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

fn in_words(left: &[LeftThere<'_>]) -> impl Iterator<Item = String> {
    told_of(left).into_iter().map(|(words, _)| words)
}
