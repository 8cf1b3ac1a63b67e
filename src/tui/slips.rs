//! Keys that were refused: each is told, and an Enter behind one agrees to nothing. Whoever types letters
//! where none are taken means something else than what Enter alone stands for.

use super::app::{App, Top};
use super::job::Job;
use super::keymap::Action;
use super::screens::Note;
use crate::domain::entry::Moment;
use crate::guide::Prompt;

/// Whoever begins a number later than this has seen that digits before it were not taken.
const READ_MS: i64 = 1_000;

impl<J: Job> App<J> {
    /// Tells whether the question that is asked `next` has refused a key since it was asked last. What is
    /// typed after it, an Enter and another question make an end of that.
    pub(super) fn has_slipped(&self, next: &App<J>, action: &Action, refused: bool) -> bool {
        let may = (self.slipped || refused) && *action != Action::Enter && next.entry.is_empty();
        may && self.asks_the_same(next)
    }

    /// Tells of the question that is asked `next` when a number answered the one before it: that ends
    /// with the question, however one leaves it.
    pub(super) fn number_before(&self, next: &App<J>) -> Option<Moment> {
        let said_now = next.after_number != self.after_number;
        next.after_number.filter(|_| said_now || self.asks_the_same(next))
    }

    /// Tells of what is asked `next` which digits of its entry were not taken, until that is read: whoever
    /// begins to type much later, or anew, knows it.
    pub(super) fn spilt_before(
        &self,
        next: &App<J>,
        action: &Action,
        at: Moment,
    ) -> Option<(String, Moment)> {
        let (_, then) = next.spilt.as_ref()?;
        let begins = matches!(action, Action::Type(_) | Action::Paste(_)) && self.entry.is_empty();
        let read = begins && at.unix_ms - then.unix_ms >= READ_MS;
        let emptied = next.entry.is_empty() && !self.entry.is_empty();
        next.spilt.clone().filter(|_| !read && !emptied && self.asks_the_same(next))
    }

    /// Tells of what is asked `next` whether its entry lacks what had no room in it: whoever erases has seen that.
    pub(super) fn overran_before(&self, next: &App<J>, action: &Action) -> Option<Moment> {
        let seen = matches!(action, Action::Erase | Action::Back);
        next.overran.filter(|_| !seen && self.asks_the_same(next))
    }

    /// Tells whether the same is asked `next`, or a page lies on it.
    pub(super) fn asks_the_same(&self, next: &App<J>) -> bool {
        let asked = |app: &App<J>| (app.top == Top::Nothing).then(|| app.prompt()).flatten();
        asked(self).is_none_or(|prompt| asked(next).is_none_or(|now| now == prompt))
    }

    /// Tells whether a refused entry still stands there: what is typed or pasted next begins it anew.
    pub(super) fn stays_stale(&self, next: &App<J>, action: &Action) -> bool {
        let mended = match action {
            Action::Type(_) | Action::Erase => true,
            Action::Paste(_) => next.note.is_none(),
            _ => false,
        };
        self.stale && !mended && next.entry == self.entry && self.asks_the_same(next)
    }
}

/// Says of a character that it is no answer.
pub(super) fn no_use(letter: char, entry: &str) -> Note {
    let what = if letter == ' ' { "a blank".to_owned() } else { format!("\"{letter}\"") };
    Note::warning(match entry {
        "" => format!("{what} is no answer and no key here: nothing is typed"),
        _ => format!("{what} is no part of this answer: it was not taken"),
    })
}

/// Says of an Enter behind a refused key what it would mean alone.
pub(super) fn nothing_typed(prompt: &Prompt) -> String {
    let means = prompt.field.enter.as_deref().unwrap_or_default();
    format!("nothing is typed; Enter once more means: {means}")
}

/// Says of an Enter that what is typed may lack its first digits, and what a second one would keep.
pub(super) fn without_its_beginning(spilt: &str, typed: &str) -> String {
    format!(
        "{spilt} before it came too soon and was not taken: Enter once more keeps {typed}, Esc empties it"
    )
}
