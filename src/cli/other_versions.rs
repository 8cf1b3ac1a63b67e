//! What other versions of a session left open, in words: whoever reads of the version that counts must not
//! take the engine for ready.

use super::left_open::{in_words, may_lack_what_is_open, version_named};
use super::workshop::Workshop;
use crate::domain::entry::{Entry, LeftItem};
use crate::domain::plain::plain;
use crate::domain::session::{LOOK_FOR as LOOK, OpenItem, Session};
use crate::store::sessions::Glance;

/// Something open, in words, and whether it would hurt somebody who runs the engine.
pub(super) type Told = (String, bool);

/// Puts slack nuts first, then all else that is dangerous.
pub(super) fn gravest_first(told: &mut [Told]) {
    told.sort_by_key(|(words, is_danger)| (!words.starts_with("NUT SLACK"), !is_danger));
}

/// Lists the other versions of a session.
pub(super) fn others<'a>(all: &'a [Glance], shown: &'a Glance) -> impl Iterator<Item = &'a Glance> {
    all.iter().filter(|one| one.id == shown.id && one.path != shown.path && one.version.is_some())
}

impl Workshop {
    /// Says what other versions of a session left open that it does not know of, slack nuts first.
    pub(super) fn open_in_others(&self, all: &[Glance], shown: &Glance) -> Vec<Told> {
        if shown.version.is_none() {
            return Vec::new();
        }
        let own = self.session_in(shown);
        let mut told = Vec::new();
        for one in others(all, shown) {
            let from = version_named(one);
            let knows = |words: &str| own.as_ref().is_some_and(|own| was_told(own, words));
            let Some(other) = self.session_in(one) else {
                if !knows(LOOK) {
                    told.push((format!("{from} cannot be read: {LOOK}"), true));
                }
                continue;
            };
            if shown.sealed && own.as_ref().is_some_and(|own| was_only_looked_at(own, &other)) {
                continue;
            }
            for item in other.state.open_items() {
                let words = in_words(&item, &other.state);
                let known = own
                    .as_ref()
                    .is_some_and(|own| knows_of(own, &item) || closed_since(own, &other, &item));
                let known = known || knows(&words);
                if !known {
                    told.push((format!("{words}, by {from}"), item.is_danger()));
                }
            }
            if may_lack_what_is_open(one) && !knows(LOOK) {
                told.push((format!("part of {from} cannot be read: {LOOK}"), true));
            }
        }
        gravest_first(&mut told);
        told
    }

    /// Says the same without telling what is dangerous apart.
    pub(super) fn open_in_others_words(&self, all: &[Glance], shown: &Glance) -> Vec<String> {
        self.open_in_others(all, shown).into_iter().map(|(words, _)| words).collect()
    }
}

/// Tells whether a remark of a session ends in these words: it was handed on to it.
fn was_told(own: &Session, words: &str) -> bool {
    let end = format!(": {words}");
    own.state.remarks.iter().any(|(_, remark)| plain(&remark.text).ends_with(&end))
}

/// Tells whether a session has the same open, or took it over.
fn knows_of(own: &Session, item: &OpenItem) -> bool {
    let open = own.state.open_items();
    let taken: Vec<&LeftItem> = own.state.begin.left_open.iter().map(|left| &left.item).collect();
    match item {
        // What came off is counted by bank and item: how much is told by the session that has it in hand.
        OpenItem::NotCountedIn { .. } => {
            open.iter().any(|one| matches!(one, OpenItem::NotCountedIn { .. }))
                || taken.iter().any(|one| matches!(one, LeftItem::Pieces { .. }))
        }
        OpenItem::BeforeRunning { text, .. } => {
            let end = format!(": {text}");
            let is_it = |said: &str| said == text || said.ends_with(&end);
            own.state.remarks.iter().any(|(_, remark)| is_it(&remark.text))
        }
        item => open.contains(item) || taken.into_iter().any(|one| OpenItem::from(one) == *item),
    }
}

/// Tells whether something was open already where two versions parted, is closed in this one since, and was
/// not touched in the other one.
pub(super) fn closed_since(own: &Session, other: &Session, item: &OpenItem) -> bool {
    let common = own.kept.iter().zip(&other.kept).take_while(|(one, other)| one == other).count();
    let (before, since) = other.kept.split_at(common);
    let is_it = |one: &OpenItem| match (one, item) {
        (OpenItem::NotCountedIn { .. }, OpenItem::NotCountedIn { .. }) => true,
        (one, item) => one == item,
    };
    let open_in = |session: &Session| session.state.open_items().iter().any(is_it);
    Session::replay(before).is_some_and(|parted| open_in(&parted))
        && !open_in(own)
        && !since.iter().any(|kept| touches(&kept.entry, item))
}

/// Tells whether an entry may have to do with what is open.
fn touches(entry: &Entry, item: &OpenItem) -> bool {
    match (entry, item) {
        (Entry::Nut(nut), OpenItem::NutSlack(valve)) => nut.valve == *valve,
        (Entry::Nut(_) | Entry::Part(_), OpenItem::NotCountedIn { .. }) => false,
        (entry, _) => matches!(
            entry,
            Entry::Nut(_)
                | Entry::Part(_)
                | Entry::Off(_)
                | Entry::On(_)
                | Entry::Work(_)
                | Entry::Skip(_)
                | Entry::Caution(_)
                | Entry::Run(_)
                | Entry::Correct(_)
        ),
    }
}

/// Tells whether nothing was done in another version since it parted from this one.
fn was_only_looked_at(own: &Session, other: &Session) -> bool {
    let common = own.kept.iter().zip(&other.kept).take_while(|(one, other)| one == other).count();
    let idle = |entry: &Entry| matches!(entry, Entry::Back(_) | Entry::Away(_));
    other.kept.iter().skip(common).all(|kept| idle(&kept.entry))
}
