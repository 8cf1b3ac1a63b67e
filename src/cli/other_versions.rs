//! What other versions of a session left open, in words: whoever reads of the version that counts must not
//! take the engine for ready.

use super::left_open::{in_words, may_lack_what_is_open, version_named};
use super::workshop::Workshop;
use crate::domain::entry::{Entry, LeftItem};
use crate::domain::plain::plain;
use crate::domain::session::{
    Gravity, LOOK_FOR as LOOK, OpenItem, Session, bank_alone, gravest_first, handed_on,
    is_handed_on,
};
use crate::store::sessions::Glance;
use std::collections::BTreeMap;
use std::path::Path;

/// Something open, in words, and how grave it is.
pub(super) type Told = (String, Gravity);

/// Lists the other versions of a session.
pub(super) fn others<'a>(all: &'a [Glance], shown: &'a Glance) -> impl Iterator<Item = &'a Glance> {
    all.iter().filter(|one| one.id == shown.id && one.path != shown.path && one.version.is_some())
}

/// Something that a version of a session, or a service, left open.
pub(super) struct LeftThere<'a> {
    /// The version, or service.
    pub by: &'a Glance,
    /// How whoever takes it over names that.
    pub from: String,
    /// What it is; nothing where nobody can read it.
    pub item: Option<OpenItem>,
    /// It in words.
    words: String,
}

impl LeftThere<'_> {
    /// Tells how grave it is; pieces are so as the covers that are among them.
    fn gravity(&self) -> Gravity {
        let Some(item) = &self.item else { return Gravity::Unread };
        let covers = self.words.starts_with(&OpenItem::CoversOff.to_string());
        if covers { OpenItem::CoversOff.gravity() } else { item.gravity() }
    }

    /// Says it, with the file of the version, or the service's name.
    fn told(&self) -> Told {
        let LeftThere { from, item, words, .. } = self;
        match item {
            Some(_) => (format!("{words}, by {}", plain(from)), self.gravity()),
            None => (words.replacen(THE_VERSION, from, 1), self.gravity()),
        }
    }
}

/// Stands for the name of a version in words about its file.
const THE_VERSION: &str = "the version";

impl Workshop {
    /// Lists what other versions of a session left open that it does not know of.
    fn left_in_others<'a>(&self, all: &'a [Glance], shown: &'a Glance) -> Vec<LeftThere<'a>> {
        if shown.version.is_none() {
            return Vec::new();
        }
        let own = self.session_in(shown);
        let mut left = Vec::new();
        for by in others(all, shown) {
            let knows = |words: &str| own.as_ref().is_some_and(|own| was_told(own, words));
            let unread = |what: &str| {
                let words = format!("{what} cannot be read: {LOOK}");
                let from = version_named(by);
                (!knows(LOOK)).then_some(LeftThere { by, from, item: None, words })
            };
            let Some(other) = self.session_in(by) else {
                left.extend(unread(THE_VERSION));
                continue;
            };
            if shown.sealed && own.as_ref().is_some_and(|own| was_only_looked_at(own, &other)) {
                continue;
            }
            for item in other.state.open_if_left() {
                let words = in_words(&item, &other.state);
                let known = own
                    .as_ref()
                    .is_some_and(|own| knows_of(own, &item) || closed_since(own, &other, &item));
                if !known && !knows(&words) {
                    let from = version_named(by);
                    left.push(LeftThere { by, from, item: Some(item), words });
                }
            }
            if may_lack_what_is_open(by) {
                left.extend(unread(&format!("part of {THE_VERSION}")));
            }
        }
        left
    }

    /// Says what other versions of a session left open that it does not know of, the gravest first.
    pub(super) fn open_in_others(&self, all: &[Glance], shown: &Glance) -> Vec<Told> {
        told_of(&self.left_in_others(all, shown))
    }

    /// Says the same without telling what is dangerous apart.
    pub(super) fn open_in_others_words(&self, all: &[Glance], shown: &Glance) -> Vec<String> {
        self.open_in_others(all, shown).into_iter().map(|(words, _)| words).collect()
    }

    /// Lists what the engine's other services were closed over, and what versions of them left open that those do
    /// not know of, as far as no service was told: a file may come to light when a later one was signed long ago.
    pub(super) fn left_in_earlier<'a>(
        &self,
        all: &'a [Glance],
        shown: &Glance,
    ) -> Vec<LeftThere<'a>> {
        let is_other = |one: &&Glance| one.counts() && one.id != shown.id && is_beside(one, shown);
        let parted = all.iter().filter(|one| one.version.is_some()).filter(is_other);
        let mut left: Vec<LeftThere<'_>> =
            parted.flat_map(|one| self.left_in_others(all, one)).collect();
        let closed = all.iter().filter(|one| was_closed_over(one)).filter(is_other);
        left.extend(closed.flat_map(|one| self.left_in_service(one)));
        self.untold(all, left)
    }

    /// Lists what a service was closed over.
    fn left_in_service<'a>(&self, by: &'a Glance) -> Vec<LeftThere<'a>> {
        let Some(Session { state, .. }) = self.session_in(by) else { return Vec::new() };
        // Those are among the pieces that are off, and are told with them.
        let open = state.open_if_left();
        let covers = state.covers_uncounted() && open.contains(&OpenItem::CoversOff);
        let items = open.into_iter().filter(|item| !covers || *item != OpenItem::CoversOff);
        let left = items.map(|item| {
            let mut words = in_words(&item, &state);
            if covers && matches!(item, OpenItem::NotCountedIn { .. }) {
                words = format!("{}, {words}", OpenItem::CoversOff);
            }
            LeftThere { by, from: by.full_name(), item: Some(item), words }
        });
        left.collect()
    }

    /// Keeps of what was left open that of which no other service was told.
    fn untold<'a>(&self, all: &[Glance], mut left: Vec<LeftThere<'a>>) -> Vec<LeftThere<'a>> {
        let Some(first) = left.first().map(|one| one.by) else { return left };
        let its: Vec<&Glance> = all.iter().filter(|one| is_beside(one, first)).collect();
        // Each is read once, however many of them left something.
        let mut read: BTreeMap<&Path, Option<Session>> = BTreeMap::new();
        left.retain(|left| {
            let others = its.iter().filter(|one| one.id != left.by.id);
            // Mostly it was the next one.
            let (since, before): (Vec<&Glance>, Vec<&Glance>) =
                others.partition(|one| one.started.unix_ms > left.by.started.unix_ms);
            !since.into_iter().chain(before).any(|one| {
                let taker = read.entry(&one.path).or_insert_with(|| self.session_in(one));
                taker.as_ref().is_some_and(|taker| was_told_of(taker, left))
            })
        });
        left
    }

    /// Says what a service was closed over, as far as no other one was told.
    pub(super) fn closed_over(&self, all: &[Glance], one: &Glance) -> Vec<Told> {
        let left = if was_closed_over(one) { self.left_in_service(one) } else { Vec::new() };
        let left = self.untold(all, left);
        let told = left.into_iter().map(|left| {
            let gravity = left.gravity();
            (left.words, gravity)
        });
        told.collect()
    }

    /// Says them, the gravest first.
    pub(super) fn open_in_earlier(&self, all: &[Glance], shown: &Glance) -> Vec<Told> {
        told_of(&self.left_in_earlier(all, shown))
    }
}

/// Says what was left open, and by whom, the gravest first.
pub(super) fn told_of(left: &[LeftThere<'_>]) -> Vec<Told> {
    let mut told: Vec<Told> = left.iter().map(LeftThere::told).collect();
    gravest_first(&mut told, |(_, gravity)| *gravity);
    told
}

/// Tells whether a service has ended with nobody signing for the engine.
pub(super) fn was_closed_over(one: &Glance) -> bool {
    one.sealed && !one.signed && !one.imported
}

/// Tells whether two sessions are of one engine.
fn is_beside(one: &Glance, other: &Glance) -> bool {
    match (&one.engine_id, &other.engine_id) {
        (Some(one), Some(other)) => one == other,
        _ => one.engine == other.engine,
    }
}

/// Tells whether a session was told of what another one, or a version of it, left open: it has it from that, or
/// it was begun after it and has the very same from somewhere else.
fn was_told_of(taker: &Session, left: &LeftThere<'_>) -> bool {
    let LeftThere { by, item, words, .. } = left;
    let names = [by.full_name(), version_named(by)];
    let from_it = |from: &str| names.iter().any(|name| name == from);
    let came_later = taker.began().is_some_and(|began| began.unix_ms > by.last.unix_ms);
    let mut remarks = taker.state.remarks.iter().map(|(_, remark)| remark.text.as_str());
    let Some(item) = item else {
        return remarks
            .filter_map(handed_on)
            .any(|told| from_it(told.from) && told.item.ends_with(LOOK));
    };
    let said = match item {
        OpenItem::BeforeRunning { text, .. } => text,
        _ => words,
    };
    let is_said = |text: &str| {
        // What was handed on to it, too, is handed on as it was said first.
        text == said && is_handed_on(text)
            || handed_on(text)
                .is_some_and(|told| told.item == said && (from_it(told.from) || came_later))
    };
    // How many pieces there are says nothing of which: what came off is known by whose it was.
    let counted = matches!(item, OpenItem::NotCountedIn { .. });
    // A service had another letter, or none, while there were other versions of it, or no other.
    let of_service = |from: &str| {
        let letter = from.strip_prefix(by.name.as_str());
        by.counts() && letter.is_some_and(|rest| rest.is_empty() || rest.starts_with('@'))
    };
    // Whoever was begun with any of it was told all that its program knew to be open; what is dangerous counts
    // by itself, and so does a remark of its own, which is handed on word for word.
    let is_own = matches!(item, OpenItem::BeforeRunning { text, .. } if !is_handed_on(text));
    let by_itself = item.gravity().is_danger() || is_own;
    let told = taker.state.remarks.iter().filter_map(|(_, remark)| handed_on(&remark.text));
    let mut told = told.filter(|told| from_it(told.from));
    let began_with_it = came_later && told.any(|told| !told.item.ends_with(LOOK));
    if began_with_it && !by_itself {
        return true;
    }
    let all_of_it = came_later && !by_itself;
    let mut taken = taker.state.begin.left_open.iter();
    taken.any(|taken| {
        (is_same(&OpenItem::from(&taken.item), item) || told_as_to_gauge(&taken.item, item))
            && (from_it(&taken.from) || came_later && (!counted || of_service(&taken.from)))
            || all_of_it && from_it(&taken.from)
    }) || remarks.any(is_said)
}

/// Tells whether two things that are open are the same, whatever their number of pieces.
pub(super) fn is_same(one: &OpenItem, other: &OpenItem) -> bool {
    match (one, other) {
        (OpenItem::NotCountedIn { .. }, OpenItem::NotCountedIn { .. }) => true,
        (
            OpenItem::Missing { bank, item, missing: count },
            OpenItem::Missing { bank: at, item: what, missing: there },
        )
        | (
            OpenItem::Surplus { bank, item, surplus: count },
            OpenItem::Surplus { bank: at, item: what, surplus: there },
        ) => bank_alone(bank) == bank_alone(at) && item == what && count == there,
        (one, other) => one == other,
    }
}

/// Tells whether what was taken over is all that an earlier program told of a valve that may be held open: that it
/// is to be gauged.
fn told_as_to_gauge(taken: &LeftItem, item: &OpenItem) -> bool {
    let LeftItem::GaugeAfter { valve, .. } = taken else { return false };
    *item == OpenItem::HeldOpen(*valve)
}

/// Tells whether a remark of a session ends in these words: it was handed on to it.
fn was_told(own: &Session, words: &str) -> bool {
    let end = format!(": {words}");
    own.state.remarks.iter().any(|(_, remark)| plain(&remark.text).ends_with(&end))
}

/// Tells whether a session has the same open, or took it over.
fn knows_of(own: &Session, item: &OpenItem) -> bool {
    let open = own.state.open_if_left();
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
        item => {
            let told = |one| OpenItem::from(one) == *item || told_as_to_gauge(one, item);
            open.contains(item) || taken.into_iter().any(told)
        }
    }
}

/// Tells whether something was open already where two versions parted, is closed in this one since, and was
/// not touched in the other one.
pub(super) fn closed_since(own: &Session, other: &Session, item: &OpenItem) -> bool {
    let common = own.kept.iter().zip(&other.kept).take_while(|(one, other)| one == other).count();
    let (before, since) = other.kept.split_at(common);
    let open_in =
        |session: &Session| session.state.open_if_left().iter().any(|one| is_same(one, item));
    Session::replay(before).is_some_and(|parted| open_in(&parted))
        && !open_in(own)
        && !since.iter().any(|kept| touches(&kept.entry, item))
}

/// Tells whether pieces that were off already where two versions parted are counted in in this one since, and
/// nothing was counted in the other one.
pub(super) fn counted_since(own: &Session, other: &Session, item: &LeftItem) -> bool {
    let LeftItem::Pieces { bank, item, counted_in: None, .. } = item else { return false };
    let common = own.kept.iter().zip(&other.kept).take_while(|(one, other)| one == other).count();
    let (before, since) = other.kept.split_at(common);
    let off = |session: &Session| session.state.off_already(bank, item);
    let counts = |entry: &Entry| matches!(entry, Entry::Off(_) | Entry::On(_) | Entry::Correct(_));
    Session::replay(before).is_some_and(|parted| off(&parted) > 0)
        && off(own) == 0
        && !since.iter().any(|kept| counts(&kept.entry))
}

/// Tells whether an entry may have to do with what is open.
fn touches(entry: &Entry, item: &OpenItem) -> bool {
    match (entry, item) {
        (Entry::Nut(nut), OpenItem::NutSlack(valve) | OpenItem::GaugeAfter(valve)) => {
            nut.valve == *valve
        }
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
