//! What must never be, asked after every key.

use super::super::want;
use super::hand::{Press, too_soon};
use super::{Pressed, Walk, asks_reading, is_empty, session, shared};
use cowlside::domain::entry::{Change, Correct, Entry, Kept, Reading};
use cowlside::domain::session::{Due, Session};
use cowlside::domain::units::Length;
use cowlside::domain::valve::Valve;
use cowlside::tui::app::{App, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::keymap::{Action, Place};
use cowlside::tui::screens::Tone;
use cowlside::tui::view;
use crossterm::event::KeyEventKind;
use std::sync::Arc;

/// What a press kept.
fn kept(pressed: &Pressed) -> &[Entry] {
    match &pressed.effect {
        Some(Effect::Keep(entries)) => entries,
        Some(_) | None => &[],
    }
}

fn readings(entries: &[Entry]) -> Vec<&Reading> {
    let mut readings = Vec::new();
    for entry in entries {
        if let Entry::Reading(reading) = entry {
            readings.push(reading);
        }
    }
    readings
}

/// Entries that only say that somebody is there again.
fn only_wakes(entries: &[Entry]) -> bool {
    entries.iter().all(|entry| matches!(entry, Entry::Back(_)))
}

impl Walk<'_> {
    pub(super) fn never(
        &mut self,
        press: &Press,
        before: Option<&Press>,
        action: &Action,
        pressed: &Pressed,
    ) -> Result<(), String> {
        self.only_what_was_kept(pressed)?;
        self.no_paste_and_no_held_key(press, before, pressed)?;
        self.readings_once(action, pressed)?;
        self.takes_back_the_last(action, pressed)?;
        self.notice_only_wakes(pressed)?;
        self.nothing_stale(pressed)?;
        self.unseen()
    }

    /// A bench that remembers what it was asked shows what one that was just laid out shows. On the
    /// same session it was asked before: every eighth press is enough.
    fn nothing_stale(&self, pressed: &Pressed) -> Result<(), String> {
        let Some(job) = &self.app.job else { return Ok(()) };
        if is_same(&pressed.was, &self.app) && !self.counts.presses.is_multiple_of(8) {
            return Ok(());
        }
        let mut fresh: App<Bench> = self.app.clone();
        fresh.job = Some(Bench::new(job.desk().clone(), self.app.ink));
        let same = view::view(&self.app) == view::view(&fresh);
        want(same, || "the screen shows what was true before".into())
    }

    /// What is on the screen is what was kept, and nothing that was kept has changed.
    fn only_what_was_kept(&mut self, pressed: &Pressed) -> Result<(), String> {
        let refused = self.app.note.as_ref().is_some_and(|note| note.tone == Tone::Warning);
        self.counts.refused += u64::from(refused);
        let now = session(&self.app);
        let Some(live) = now else { return Ok(()) };
        let Some(was) = session(&pressed.was) else { return Ok(()) };
        if is_same(&pressed.was, &self.app) {
            let none = kept(pressed).is_empty();
            return want(none, || "entries were kept, and the session is as it was".into());
        }
        let grown = live.kept.starts_with(&was.kept);
        want(grown, || "an entry that was kept has changed or gone".into())?;
        want(live.kept.len() == was.kept.len() + kept(pressed).len(), || {
            format!(
                "{} entries more, {} kept",
                live.kept.len() - was.kept.len(),
                kept(pressed).len()
            )
        })?;
        if kept(pressed).is_empty() {
            return want(live == was, || "nothing was kept, and the session has changed".into());
        }
        let same = self.hangar.session.as_ref() == Some(live);
        want(same, || "the screen shows another session than the one kept".into())?;
        if self.hangar.kept.len().is_multiple_of(16) {
            let again = Session::replay(&self.hangar.kept);
            want(again.as_ref() == Some(live), || "replay differs from the live session".into())?;
        }
        Ok(())
    }

    /// A paste, a key that a terminal repeats, one that bounced or is held down: none confirms.
    fn no_paste_and_no_held_key(
        &mut self,
        press: &Press,
        before: Option<&Press>,
        pressed: &Pressed,
    ) -> Result<(), String> {
        let silent = match press {
            Press::Paste(_) => {
                self.counts.pastes += 1;
                true
            }
            Press::Key(key) if key.kind == KeyEventKind::Repeat => true,
            Press::Key(_) if too_soon(press, before) => pressed.was.entry.is_empty(),
            Press::Key(_) | Press::Pause(_) => return Ok(()),
        };
        let cautious = matches!(pressed.was.place(), Place::Choice | Place::Enter);
        self.counts.held += u64::from(cautious && !matches!(press, Press::Paste(_)));
        let nothing = only_wakes(kept(pressed));
        want(nothing || !(silent || cautious), || format!("{press:?} kept {:?}", kept(pressed)))
    }

    /// A reading is kept once, by the Enter or digit that confirmed it, as it was typed.
    fn readings_once(&mut self, action: &Action, pressed: &Pressed) -> Result<(), String> {
        let kept = kept(pressed);
        let new = readings(kept);
        let in_journal: Vec<&Kept> = self.hangar.kept[pressed.kept_before..].iter().collect();
        let lines = in_journal.iter().filter(|kept| matches!(kept.entry, Entry::Reading(_)));
        want(lines.count() == new.len(), || {
            format!("{} readings confirmed, in the journal: {in_journal:?}", new.len())
        })?;
        self.counts.readings += new.len() as u64;
        let confirms = matches!(action, Action::Enter | Action::Digit(_));
        want(confirms || new.is_empty(), || format!("{action:?} kept a reading: {kept:?}"))?;
        let Some(due) = asks_reading(&pressed.was) else { return Ok(()) };
        let (Due::Gauge(valve, _) | Due::Again(valve, _) | Due::Trying(valve)) = due else {
            return Ok(());
        };
        if *action != Action::Enter || pressed.was.entry.trim().is_empty() {
            return Ok(());
        }
        let typed = pressed.was.entry.trim();
        match new[..] {
            [reading] => {
                let same = reading.typed == typed && reading.valve == valve;
                want(same, || format!("{typed} at {valve} is kept as {reading:?}"))
            }
            [] => {
                let told = self.app.note.is_some() || !self.app.forms.is_empty();
                let woken = !kept.is_empty() && only_wakes(kept);
                want(told || woken || self.app.entry == pressed.was.entry, || {
                    format!("{typed} was confirmed and is gone")
                })
            }
            // Tries after the fact are given several at once.
            _ => {
                let all = typed.split_whitespace().count() == new.len();
                want(all, || format!("{typed} is kept {} times", new.len()))
            }
        }
    }

    /// Taking back withdraws the last entry that can be, by an entry of its own, and nothing else.
    fn takes_back_the_last(&mut self, action: &Action, pressed: &Pressed) -> Result<(), String> {
        let minus = *action == Action::Enter && pressed.was.entry.trim() == "-";
        if !(*action == Action::TakeBack || minus) || kept(pressed).is_empty() {
            return Ok(());
        }
        if only_wakes(kept(pressed)) {
            return Ok(());
        }
        let Some(was) = session(&pressed.was) else { return Ok(()) };
        let [Entry::Correct(Correct { of, change: Change::Void, .. }), with @ ..] = kept(pressed)
        else {
            return Err(format!("taking back kept {:?}", kept(pressed)));
        };
        let last = last(&was.kept).ok_or("nothing was there to take back")?;
        want(*of == last.seq, || format!("{of} is taken back, the last is {last:?}"))?;
        // With a count goes the turn that was told by it.
        let is_turn = |entry: &Entry| {
            let of = withdrawn(entry).and_then(|of| was.kept.iter().find(|kept| kept.seq == of));
            of.is_some_and(|kept| matches!(kept.entry, Entry::At(_)) && kept.seq + 2 >= last.seq)
        };
        let of_a_turn = matches!(last.entry, Entry::Proof(_)) && with.iter().all(is_turn);
        want(with.is_empty() || of_a_turn, || format!("with it went {with:?}"))?;
        let in_journal = self.hangar.kept.last().map(|kept| &kept.entry);
        want(in_journal == kept(pressed).last(), || format!("the journal has {in_journal:?}"))?;
        self.counts.undos += 1;
        let Some(live) = session(&self.app) else { return Ok(()) };
        let (before, now) = (was.state.readings.len(), live.state.readings.len());
        let fewer = usize::from(matches!(last.entry, Entry::Reading(_) | Entry::Adopt(_)));
        want(before == now + fewer, || format!("{before} readings, then {now}: {:?}", last.entry))
    }

    /// Under the notice any key only wakes.
    fn notice_only_wakes(&mut self, pressed: &Pressed) -> Result<(), String> {
        let hung = pressed.was.notice().is_some();
        let wakes = only_wakes(kept(pressed));
        self.counts.woken += u64::from(wakes && !kept(pressed).is_empty());
        want(!hung || wakes, || format!("under the notice: {:?}", kept(pressed)))
    }

    /// Nothing of the valve that is due is on the screen: with other figures left by the service before,
    /// and with other readings of it in this one, it is the same to the letter.
    fn unseen(&mut self) -> Result<(), String> {
        let Some(Due::Gauge(valve, _) | Due::Again(valve, _)) = asks_reading(&self.app) else {
            return Ok(());
        };
        let paint = self.ways.paint;
        let shown = paint(&self.app);
        let Some(session_now) = shared(&self.app).cloned() else { return Ok(()) };
        let looked_at = self.looked_at.as_ref();
        if looked_at.is_some_and(|(of, at)| Arc::ptr_eq(of, &session_now) && *at == shown) {
            return Ok(());
        }
        self.looked_at = Some((Arc::clone(&session_now), shown.clone()));
        let with = |session: Arc<Session>, previous| {
            let desk = Desk::Session { session, previous, beside: Arc::default() };
            let mut app: App<Bench> = self.app.clone();
            app.job = app.job.map(|_| Bench::new(desk, app.ink));
            paint(&app)
        };
        if self.hangar.otherwise.is_some() {
            let otherwise = with(Arc::clone(&session_now), self.hangar.otherwise.clone());
            want(shown == otherwise, || {
                format!("the service before is on the screen of {valve}:\n{shown}{otherwise}")
            })?;
            self.counts.unseen += 1;
        }
        if !is_empty(&self.app) {
            return Ok(());
        }
        let Some(other) = otherwise(&session_now, valve) else { return Ok(()) };
        let otherwise = with(Arc::new(other), self.hangar.previous.clone());
        self.counts.unseen += 1;
        want(shown == otherwise, || {
            format!("an earlier reading is on the screen of {valve}:\n{shown}{otherwise}")
        })
    }
}

/// Tells whether it is the very same session that is on both benches.
fn is_same(one: &App<Bench>, other: &App<Bench>) -> bool {
    shared(one).zip(shared(other)).is_some_and(|(one, other)| Arc::ptr_eq(one, other))
}

fn withdrawn(entry: &Entry) -> Option<u64> {
    let Entry::Correct(Correct { of, change: Change::Void, .. }) = entry else { return None };
    Some(*of)
}

/// The entry that taking back would withdraw, by an account of its own: the last that a mechanic made
/// and that was not withdrawn.
fn last(kept: &[Kept]) -> Option<&Kept> {
    let gone = |seq: u64| {
        kept.iter().any(|other| match &other.entry {
            Entry::Correct(Correct { of, change: Change::Void, .. }) => *of == seq,
            _ => false,
        })
    };
    kept.iter().rev().find(|one| {
        let own = match &one.entry {
            Entry::Head(_) | Entry::Away(_) | Entry::Back(_) | Entry::Recover(_) => false,
            Entry::Seal(_) => false,
            Entry::Correct(correct) => correct.change != Change::Void,
            Entry::Begin(begin) => begin.engine_id.is_none(),
            _ => true,
        };
        own && !gone(one.seq)
    })
}

/// The same session, but what was read of a valve was another leaf; `None` where that would lead on
/// to something else.
fn otherwise(live: &Session, valve: Valve) -> Option<Session> {
    let more = Length::from_nm(1_270);
    let mut changed = 0;
    let mut kept = live.kept.clone();
    for one in &mut kept {
        let Entry::Reading(reading) = &mut one.entry else { continue };
        if reading.valve != valve || !reading.single {
            continue;
        }
        changed += 1;
        reading.typed = format!("{}7", reading.typed);
        for end in [&mut reading.low, &mut reading.high, &mut reading.nominal] {
            *end = end.map(|end| end + more);
        }
    }
    let other = (changed > 0).then(|| Session::replay(&kept))??;
    let same = |one: &Session| (one.state.due(), one.state.standing(valve), one.state.open_items());
    (same(&other) == same(live)).then_some(other)
}
