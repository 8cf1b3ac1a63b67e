//! What was left open at an engine by a service that has ended, or by another version of this one:
//! a slack nut does not tighten because a session was closed.
//!
//! It stays open in the session that is begun or gone on with, and is closed there only by its own
//! answer: the nut locked and gauged, the valve let go, the part in, the pieces counted in. What has
//! no such answer is a remark that has to be answered before the engine runs.

use super::other_versions::{LeftThere, closed_since, counted_since, is_same};
use super::workshop::{Workshop, day_of};
use crate::domain::entry::{Begin, Entry, LeftItem, LeftOpen, Remark};
use crate::domain::plain::plain;
use crate::domain::session::{
    Gravity, HANDED_ON as LEFT_BY, LOOK_FOR as LOOK, OpenItem, Session, State, hand_on, handed_on,
    lies_about,
};
use crate::report::dates;
use crate::store::engines::Engine;
use crate::store::journal::{Opened, Verdict};
use crate::store::sessions::Glance;
use crate::store::verify::Gone;
use std::collections::BTreeMap;
use std::sync::atomic::Ordering;

/// What the last service of an engine left open.
#[derive(Default)]
pub(super) struct Left {
    /// What the new session has open, too.
    pub items: Vec<LeftOpen>,
    /// What else has to be answered before the engine runs.
    pub remarks: Vec<Entry>,
    /// The version that counts: what it closed since another one parted from it is not taken over from that.
    counts: Option<Session>,
}

/// What of it a session is that left something open.
#[derive(Clone, Copy)]
enum Of<'a> {
    /// A version of the last one, or of this one.
    Version,
    /// Of one before the last, or a version of it: of which no service was told is this.
    Earlier(&'a [OpenItem]),
}

impl Left {
    /// Adds what a session has open, as far as `state` does not know of it. What lies about is the same
    /// only in a `version` of the session before; what came off a bank is the same in each: what more is
    /// off by one of them is added.
    fn add(
        &mut self,
        (from, day): (&str, Option<&str>),
        open: &Session,
        state: &State,
        of: Of<'_>,
    ) {
        let version = matches!(of, Of::Version);
        // What another service has of the same stands on its own: only so is it known to be taken over.
        let merged_from = if version { 0 } else { self.remarks.len() };
        let mut there = uncounted(&self.items);
        let others = self.items.clone();
        let closed = self.closed_in(from, open, of);
        for mut left in open.state.left_open(from) {
            if closed.contains(&OpenItem::from(&left.item)) {
                continue;
            }
            if version
                && self.counts.as_ref().is_some_and(|own| counted_since(own, open, &left.item))
            {
                continue;
            }
            let mut here = others.iter().any(|other| other.item.is_same(&left.item));
            if let LeftItem::Pieces { bank, item, out, counted_in, .. } = &mut left.item {
                here &= version;
                let same = version || !lies_about(bank);
                let there = there.get_mut(&(bank.clone(), item.clone()));
                if let (Some(there), true, None) = (there, same, counted_in) {
                    let both = (*there).min(*out);
                    (*there, *out) = (*there - both, *out - both);
                    // Of a service it is kept all the same that its own were taken over.
                    here = version && *out == 0;
                }
            }
            if here || state.knows_of(&left.item) {
                continue;
            }
            if state.can_carry(&left.item) {
                self.items.push(left);
            } else {
                let text = hand_on(from, day, &words_of(&left, &open.state));
                self.remark(state, text, merged_from);
            }
        }
        for item in open.state.open_items() {
            if closed.contains(&item) {
                continue;
            }
            let text = match item {
                OpenItem::BeforeRunning { text, .. } => text,
                // They are among the pieces that are taken over.
                OpenItem::CoversOff if open.state.covers_uncounted() => continue,
                // All is counted in: nothing is left to count, and still they have to be put on.
                OpenItem::CoversOff
                | OpenItem::CoversNotTorqued
                | OpenItem::PlugsNotTorqued
                | OpenItem::TwoTurnsOwed
                | OpenItem::LeadsOff
                | OpenItem::ControlsNotBack
                | OpenItem::RunHandedOver => in_words(&item, &open.state),
                _ => continue,
            };
            // Handed on as it was said first.
            let told = text.starts_with(LEFT_BY);
            let text = if told { text } else { hand_on(from, day, &text) };
            self.remark(state, text, merged_from);
        }
    }

    /// Lists what a session has open and nobody has to take over from it: what the version that counts closed,
    /// or what another service was told of.
    fn closed_in(&self, from: &str, open: &Session, of: Of<'_>) -> Vec<OpenItem> {
        let items = open.state.left_open(from).into_iter().map(|left| OpenItem::from(&left.item));
        let items = items.chain(open.state.open_items());
        match (of, &self.counts) {
            (Of::Version, Some(own)) => {
                items.filter(|item| closed_since(own, open, item)).collect()
            }
            (Of::Earlier(still), _) => {
                // Only of what the version itself calls open can others have taken over.
                let (own, is_in) =
                    (open.state.open_if_left(), |all: &[OpenItem], item: &OpenItem| {
                        all.iter().any(|one| is_same(one, item))
                    });
                items.filter(|item| is_in(&own, item) && !is_in(still, item)).collect()
            }
            (Of::Version, None) => Vec::new(),
        }
    }

    /// Adds a remark, unless it is known. Of two that say the same, from `merged_from` on, the one of the
    /// service that came last stands for both.
    fn remark(&mut self, state: &State, text: String, merged_from: usize) {
        // A remark that both have is settled in each on its own.
        let said = |other: &str| other == text || text.ends_with(&format!(": {other}"));
        let known = state.remarks.iter().any(|(_, remark)| said(&remark.text));
        let entry =
            Entry::Remark(Remark { text: text.clone(), before_running: true, ..Remark::default() });
        if known || self.remarks.contains(&entry) {
            return;
        }
        let of_it =
            |entry: &&mut Entry| matches!(entry, Entry::Remark(one) if same_item(&one.text, &text));
        match self.remarks.iter_mut().skip(merged_from).find(of_it) {
            Some(said) => *said = entry,
            None => self.remarks.push(entry),
        }
    }

    /// Adds what is to be looked for where `why` hides what a session has open.
    fn unread(&mut self, state: &State, (name, day): (&str, Option<&str>), why: &str) {
        let look = format!("{why}: {LOOK}");
        self.remark(state, hand_on(name, day, &look), self.remarks.len());
    }

    /// Adds what a file of a session has open; of one that is damaged that is not all.
    fn add_file(
        &mut self,
        named: (&str, Option<&str>),
        one: &Glance,
        open: Option<&Session>,
        state: &State,
    ) {
        match open {
            Some(session) => self.add(named, session, state, Of::Version),
            None => self.unread(state, named, NOT_READ),
        }
        if open.is_some() && may_lack_what_is_open(one) {
            self.unread(state, named, PARTLY_READ);
        }
    }

    /// Adds what other services than this or the last one, or versions of them, left open, as far as no service was
    /// told.
    fn add_earlier(
        &mut self,
        workshop: &Workshop,
        listed: &[Glance],
        last: &Glance,
        state: &State,
    ) {
        let left = workshop.left_in_earlier(listed, last);
        for of_one in left.chunk_by(|one, other| one.by.path == other.by.path) {
            let Some(LeftThere { by, from, .. }) = of_one.first() else { continue };
            let day = when_of(listed, by);
            let named = (from.as_str(), Some(day.as_str()));
            let still: Vec<OpenItem> = of_one.iter().filter_map(|one| one.item.clone()).collect();
            let open = workshop.session_in(by);
            if let Some(open) = open.as_ref().filter(|_| !still.is_empty()) {
                self.add(named, open, state, Of::Earlier(&still));
            }
            if of_one.iter().any(|one| one.item.is_none()) {
                self.unread(state, named, if open.is_some() { PARTLY_READ } else { NOT_READ });
            }
        }
    }

    /// Adds what is to be looked for because sessions that may have been open are gone, as far as no
    /// session was told of it.
    fn add_gone(&mut self, workshop: &Workshop, engine: &Engine, listed: &[Glance], state: &State) {
        let gone = workshop.those_gone(engine);
        let gone: Vec<(&str, &str)> =
            gone.iter().filter_map(|one| Some((one.may_be_open()?, why_unread(one)))).collect();
        if gone.is_empty() {
            return;
        }
        let sessions: Vec<Session> =
            listed.iter().filter_map(|one| workshop.session_in(one)).collect();
        for (name, why) in gone {
            let told = NOT_HERE.map(|why| format!("{LEFT_BY}{name}: {why}"));
            let tells = |text: &str| told.iter().any(|told| text.starts_with(told));
            let knows = |session: &Session| {
                session.state.remarks.iter().any(|(_, remark)| tells(&remark.text))
            };
            if !sessions.iter().any(knows) {
                self.unread(state, (name, None), why);
            }
        }
    }
}

/// Why nobody can read what a session has open, or not all of it.
const NOT_READ: &str = "its file cannot be read";
const PARTLY_READ: &str = "part of its file cannot be read";
/// Why nobody can read what a session has open of which no file is here.
const IS_GONE: &str = "its file is gone";
const IS_ELSEWHERE: &str = "its file is kept elsewhere";
const NOT_HERE: [&str; 2] = [IS_GONE, IS_ELSEWHERE];

/// Says why nobody can read what a session has open that is not here.
fn why_unread(gone: &Gone) -> &'static str {
    if gone.lies_elsewhere().is_some() { IS_ELSEWHERE } else { IS_GONE }
}

/// Tells whether a file may lack an entry that opened something: one that was signed had nothing open.
pub(super) fn may_lack_what_is_open(one: &Glance) -> bool {
    matches!(one.verdict, Verdict::Damaged(_) | Verdict::Faulty { .. }) && !one.signed
}

/// Names a version of a session by its file: its letter may be another one once one more comes.
pub(super) fn version_named(one: &Glance) -> String {
    let file = one.path.file_name().unwrap_or_default().to_string_lossy();
    format!("the version in {}", plain(&file))
}

/// Says when a session was: by its day, and where another one was on that day by its time, too.
fn when_of(listed: &[Glance], one: &Glance) -> String {
    let day = day_of(one);
    let of_that_day =
        |other: &Glance| other.id != one.id && !other.imported && day_of(other) == day;
    // What was put right by hand has no time that anybody can believe.
    if one.day.is_some() || !listed.iter().any(of_that_day) {
        return day;
    }
    dates::to_the_minute(one.started)
}

/// Tells whether two remarks that were handed on say the same.
fn same_item(one: &str, other: &str) -> bool {
    let item = |text| handed_on(text).map(|handed| handed.item);
    item(one).is_some() && item(one) == item(other)
}

/// Counts what is off and not counted in, by bank and item.
fn uncounted(items: &[LeftOpen]) -> BTreeMap<(String, String), u32> {
    let mut counts = BTreeMap::new();
    for LeftOpen { item, .. } in items {
        if let LeftItem::Pieces { bank, item, out, counted_in: None, .. } = item {
            let count: &mut u32 = counts.entry((bank.clone(), item.clone())).or_default();
            *count = count.saturating_add(*out);
        }
    }
    counts
}

/// Says in words what was left open.
fn words_of(left: &LeftOpen, state: &State) -> String {
    in_words(&OpenItem::from(&left.item), state)
}

/// Says an open item, its valve by its whole name.
pub(super) fn in_words(item: &OpenItem, state: &State) -> String {
    plain(&item.words(&|valve| state.name_of(valve)))
}

impl Workshop {
    /// Finds the last session of an engine that was made at it, not from a table: the version that
    /// counts, ended or damaged.
    pub(super) fn last_made(listed: &[Glance]) -> Option<&Glance> {
        listed.iter().rfind(|one| one.counts() && !one.imported)
    }

    /// Returns what the last service of an engine left open, in any of its versions, as a new session
    /// in this state takes it over; and what an earlier one did that no later one took over, as where
    /// the clock stood wrong, or its file came to light late.
    pub(super) fn left_open(&self, engine: &Engine, state: &State) -> Left {
        // What cannot be listed is told where it is listed.
        let listed = self.sessions_of(engine).map_or_else(|_| Vec::new(), |found| found.things);
        let mut left = Left::default();
        left.add_gone(self, engine, &listed, state);
        let Some(last) = Workshop::last_made(&listed) else { return left };
        let counts = self.session_in(last);
        let named = last.full_name();
        left.add_file((&named, Some(&when_of(&listed, last))), last, counts.as_ref(), state);
        left.counts.clone_from(&counts);
        for one in listed.iter().filter(|one| one.id == last.id && one.path != last.path) {
            let other = self.session_in(one);
            let begins_so = |other: &Session| {
                counts.as_ref().is_some_and(|it| it.kept.starts_with(&other.kept))
            };
            if !other.as_ref().is_some_and(begins_so) {
                let named = one.full_name();
                left.add_file((&named, Some(&when_of(&listed, one))), one, other.as_ref(), state);
            }
        }
        left.add_earlier(self, &listed, last, state);
        left
    }

    /// Returns what other versions of a session have open and this one does not know of, as entries; and what
    /// is to be looked for where a session is gone.
    pub(super) fn open_elsewhere(&self, engine: &Engine, session: &Session) -> Vec<Entry> {
        let listed = self.sessions_of(engine).map_or_else(|_| Vec::new(), |found| found.things);
        let mut left = Left { counts: Some(session.clone()), ..Left::default() };
        for one in listed.iter().filter(|one| one.id == session.head.session) {
            if one.version.is_none() {
                continue;
            }
            let other = self.session_in(one);
            if !other.as_ref().is_some_and(|other| session.kept.starts_with(&other.kept)) {
                left.add_file((&version_named(one), None), one, other.as_ref(), &session.state);
            }
        }
        if let Some(own) = listed.iter().find(|one| one.id == session.head.session) {
            left.add_earlier(self, &listed, own, &session.state);
        }
        left.add_gone(self, engine, &listed, &session.state);
        let begin = Begin { left_open: left.items, ..Begin::default() };
        let items = (!begin.left_open.is_empty()).then_some(Entry::Begin(begin));
        items.into_iter().chain(left.remarks).collect()
    }

    /// Says what a session has open, an item each; nothing where it cannot be read.
    pub(super) fn open_in(&self, one: &Glance) -> Vec<String> {
        self.items_in(one).into_iter().map(|(words, _)| words).collect()
    }

    /// Says that the run of a service that is signed was handed over, and nobody has answered for it.
    pub(super) fn run_handed_over_in(&self, one: &Glance) -> Option<String> {
        let Session { state, .. } = self.session_in(one)?;
        state.run_to_answer().map(|_| in_words(&OpenItem::RunHandedOver, &state))
    }

    /// Says each thing that a session has open, and how grave it is.
    pub(super) fn items_in(&self, one: &Glance) -> Vec<(String, Gravity)> {
        let Some(Session { state, .. }) = self.session_in(one) else { return Vec::new() };
        let words = |item: OpenItem| (in_words(&item, &state), item.gravity());
        state.open_items().into_iter().map(words).collect()
    }

    pub(super) fn session_in(&self, one: &Glance) -> Option<Session> {
        let opened = self.read(&one.path).ok();
        let as_listed = |opened: &Opened| opened.last_hash.as_ref() == Some(&one.last_hash);
        if !opened.as_ref().is_some_and(as_listed) {
            self.unlike.fetch_add(1, Ordering::Relaxed);
        }
        Session::replay(&opened?.entries)
    }
}
