//! Keys that count for nothing: bounced, held down, or pressed before what they would answer was read.

use super::app::App;
use super::job::Job;
use super::keymap::{Action, Place};
use super::screens::{Note, Tone};
use crate::domain::entry::{Back, Moment};
use crate::domain::session::asleep;

/// The same key again within this is one press that bounced; whatever confirms so soon after the
/// question changed confirms what nobody has read.
const BOUNCE_MS: i64 = 150;
/// The key that confirmed, once more within this, may be held down: terminals begin to repeat a held
/// key after a quarter of a second to two seconds, and do not tell. What follows it tells.
const HELD_MS: i64 = 2_000;
/// Another digit by habit follows one that chose within this (from memory, of typing on a number pad).
const BELONGS_MS: i64 = 400;
/// An Enter as the very next key behind a digit that chose is meant for that digit within this: nobody reads
/// a list and agrees to it so soon, and a greasy finger is slow.
const ENTER_BELONGS_MS: i64 = 1_500;

/// Said behind digits that are no part of an answer, because of when they came.
const SPILT: &str = " not taken: too soon behind the digit before";

/// Said of keys that came before what they would have answered was painted.
const BEFORE_SHOWN: &str = "keys typed before this was shown were not taken";

/// Said of the first key after a long while.
const ONLY_WOKE: &str = "it was a long while: that key only woke and answered nothing";

impl<J: Job> App<J> {
    /// Tells how long the mechanic was away, where the next key may only wake.
    pub(super) fn asleep(&self, at: Moment) -> Option<Back> {
        asleep(self.last_key?, at)
    }

    /// Says that keys were dropped for which nothing had been shown yet, behind what is said already.
    pub(super) fn told_dropped(mut self) -> App<J> {
        self.note = Some(Note::warning(BEFORE_SHOWN).behind(self.note.take()));
        self
    }

    /// Says of the key that only woke what it did, where the same is asked as before it: else the way
    /// back says so.
    pub(super) fn told_awake(&self, mut woken: App<J>) -> App<J> {
        let title = |app: &App<J>| app.prompt().map(|prompt| prompt.title);
        if title(self) == title(&woken) {
            woken.note = Some(Note::done(ONLY_WOKE).behind(woken.note.take()));
        }
        woken
    }

    /// Takes down when the screen came up after a wait that was told: nobody has read it yet, and what
    /// confirms at once confirms nothing. `asked_by` is the key that it was waited for.
    #[must_use]
    pub fn came_up(mut self, asked_by: Action, at: Moment) -> App<J> {
        self.last_answer = Some((asked_by, at));
        self
    }

    /// Tells whether this key is to be passed over: the one that answered last, bounced or held down,
    /// or any that confirms before the question it would answer can have been read.
    pub(super) fn passed_over(&self, action: &Action, at: Moment) -> bool {
        let counts = self.confirms(action);
        let soon = |last: &Action| counts || same_key(last, action);
        *action == Action::HeldDown || self.within(BOUNCE_MS, at, soon)
    }

    /// Tells whether a key counts for anything.
    pub(super) fn counts(&self, action: &Action, at: Moment) -> bool {
        !matches!(action, Action::Nothing | Action::NoUse(_)) && !self.passed_over(action, at)
    }

    /// Tells whether this key may be the last one held down, which only what follows it can tell: a
    /// finger that taps is never as fast as a key that repeats.
    pub fn may_be_held(&self, action: &Action, at: Moment) -> bool {
        // A digit that chose may be held down into the number that is asked next.
        let begins = matches!(action, Action::Type(_)) && self.entry.is_empty();
        (self.confirms(action) || begins && self.chosen_at.is_some())
            && self.within(HELD_MS, at, |last| same_key(last, action))
            && !self.passed_over(action, at)
    }

    /// Tells whether an Enter comes so close behind a digit that answered by itself that it belongs to it.
    pub(super) fn belongs_to_a_digit(&self, action: &Action, at: Moment) -> bool {
        // A notice says that Enter leaves it, and agrees to nothing.
        let within = if self.notice().is_some() { BELONGS_MS } else { ENTER_BELONGS_MS };
        let soon = |then: Moment| (0..within).contains(&(at.unix_ms - then.unix_ms));
        // In a list it only opens: there behind a digit whose row was refused, so that no other one is.
        let refused = self.note.as_ref().is_some_and(|note| note.tone == Tone::Warning);
        let answers = self.confirms(action) || self.is_read() || self.list().is_some() && refused;
        *action == Action::Enter && answers && self.chosen_at.is_some_and(soon)
    }

    /// Tells whether a table or page lies open that is only read: Enter goes back from it.
    pub(super) fn is_read(&self) -> bool {
        matches!(self.place(), Place::Page | Place::Review)
    }

    /// Tells whether a digit would begin an entry so close behind one that chose that it may be the same
    /// press once more, or was meant for the question that chose.
    pub(super) fn spills(&self, letter: char, at: Moment) -> bool {
        let soon = |then: Moment| (0..BELONGS_MS).contains(&(at.unix_ms - then.unix_ms));
        let digit = letter.is_ascii_digit() && self.entry.is_empty();
        digit && self.chosen_at.is_some_and(soon) && self.prompt().is_some()
    }

    /// Passes such a digit over, and tells it. What comes as close behind that one spills too: a number
    /// is taken whole or not at all.
    pub(super) fn spilt(&self, mut next: App<J>, letter: char, at: Moment) -> App<J> {
        let mut digits = self.spilt.as_ref().map_or_else(String::new, |(digits, _)| digits.clone());
        let said = self.note.as_ref().map(|note| {
            let whole = note.text.as_str();
            let told = format!("{digits}{SPILT}");
            let text = whole.strip_suffix(&told).unwrap_or(whole).trim_end_matches("; ").to_owned();
            Note { text, ..note.clone() }
        });
        let repeats = digits.ends_with(letter) && self.passed_over(&Action::Type(letter), at);
        if !repeats {
            digits.push(letter);
        }
        let told = format!("{digits}{SPILT}");
        next.note = Some(match said {
            Some(said) if !said.text.is_empty() => {
                Note { text: format!("{}; {told}", said.text), tone: Tone::Warning, ..said }
            }
            Some(_) | None => Note::warning(told),
        });
        next.chosen_at = Some(at);
        next.last_answer = next.last_answer.map(|(last, _)| (last, at));
        next.spilt = Some((digits, at));
        next
    }

    /// Tells whether such a key was heard so short a time ago, whether it counted or not.
    fn within(&self, ms: i64, at: Moment, is_such: impl Fn(&Action) -> bool) -> bool {
        self.last_answer.as_ref().is_some_and(|(last, then)| {
            is_such(last) && (0..ms).contains(&(at.unix_ms - then.unix_ms))
        })
    }

    /// Tells whether a key answers a question, or takes an answer back, by itself, with nothing typed.
    fn confirms(&self, action: &Action) -> bool {
        match action {
            Action::Digit(_) => self.place() == Place::Choice,
            Action::Enter => {
                (self.entry.is_empty() || self.waits.is_some())
                    && !matches!(
                        self.place(),
                        Place::List | Place::Page | Place::Review | Place::Watching
                    )
            }
            // Held down it would take back one entry after the other.
            Action::TakeBack => true,
            _ => false,
        }
    }
}

/// Tells whether what follows such a key is meant, however soon.
pub(super) fn is_meant(action: &Action) -> bool {
    use Action::{Digit, Enter, HeldDown, NoUse, Nothing, Redraw, TakeBack};
    !matches!(action, Enter | Digit(_) | TakeBack | HeldDown | Nothing | NoUse(_) | Redraw)
}

fn same_key(last: &Action, now: &Action) -> bool {
    match (last, now) {
        (Action::Digit(last), Action::Type(now)) => now.to_digit(10) == Some(u32::from(*last)),
        (last, now) => last == now,
    }
}
