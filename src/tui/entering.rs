//! What Enter makes of what stands in the entry, and what it says where it makes nothing of it.

use super::app::App;
use super::job::{Answer, Job, Reply};
use super::keymap::{Action, Place};
use super::reading::not_counted;
use super::screens::Note;
use super::slips::{nothing_typed, without_its_beginning};
use super::update::{Next, settle};
use super::widgets::field;
use crate::domain::entry::Moment;
use crate::guide::{Field, Prompt};

/// What comes so soon behind a paste that was not taken is the rest of it.
const REST_MS: i64 = 500;

/// Adds to what stands in the entry what is typed or pasted; for what there is no room that is said, and what
/// stands there stays.
pub(super) fn typed_on<J: Job>(
    next: &mut App<J>,
    begun: String,
    action: &Action,
    (asked, at): (&Field, Moment),
) {
    let place = Place::of_field(asked);
    let rest = |then: Moment| (0..REST_MS).contains(&(at.unix_ms - then.unix_ms));
    let taken = match action {
        Action::Type(letter) => field::with(&begun, *letter, place, asked),
        Action::Paste(_) if next.overran.is_some_and(rest) => {
            Err(field::STILL_THE_PASTE.to_owned())
        }
        Action::Paste(pasted) => field::pasted(&begun, pasted, place, asked),
        _ => Ok(begun),
    };
    match taken {
        Ok(entry) => {
            (next.entry, next.overran) = (entry, None);
            // A line end that came with a text, or at once behind it, is no key.
            if matches!(action, Action::Paste(text) if text.ends_with(['\n', '\r'])) {
                next.note = Some(not_counted(None, &Action::Enter));
            }
        }
        Err(why) => {
            let no_room = why.as_str() != field::NO_ANSWER;
            next.overran = no_room.then_some(at);
            next.note = Some(Note::warning(why));
        }
    }
}

/// Says of an Enter that what stands in the entry lacks what was not taken.
pub(super) fn without_its_end() -> String {
    "not all of it was taken: Enter once more keeps what stands here".to_owned()
}

/// Answers by Enter what is asked.
pub(super) fn by_enter<J: Job>(mut next: App<J>, job: &J, prompt: &Prompt, at: Moment) -> Next<J> {
    let Some(answer) = entered(prompt, &next.entry) else {
        return (next.warned(no_answer(prompt)), None);
    };
    if next.overran.take().is_some() && !next.entry.is_empty() {
        return (next.warned(without_its_end()), None);
    }
    if answer == Answer::Enter && next.slipped {
        return (next.warned(nothing_typed(prompt)), None);
    }
    let reply = job.answer(next.form(), &answer, at);
    let refused = matches!(reply, Reply::Refused(_));
    // What is no answer here is not offered to be kept, whatever came before it.
    if let (Answer::Typed(typed), Some((spilt, _)), false) = (&answer, next.spilt.take(), refused) {
        return (next.warned(without_its_beginning(&spilt, typed)), None);
    }
    if !refused {
        let number = prompt.field.is_number() && matches!(answer, Answer::Typed(_));
        next.after_number = number.then_some(at);
    }
    settle(next, reply)
}

/// What is said of a key that waits until nothing is typed.
pub(super) const AFTER_ENTRY: &str = " comes after this: Enter keeps what is typed, Esc empties it";

/// What Enter answers; `None` where it alone is no answer.
fn entered(prompt: &Prompt, entry: &str) -> Option<Answer> {
    match (entry.trim(), &prompt.field.enter) {
        ("", None) => None,
        ("", Some(_)) => Some(Answer::Enter),
        (typed, _) => Some(Answer::Typed(typed.to_owned())),
    }
}

/// Says why Enter alone does nothing, and what does.
fn no_answer(prompt: &Prompt) -> String {
    const NONE: &str = "Enter alone is no answer here";
    match prompt.field.choices.as_slice() {
        // Enter read on to here, and the row of Enter may say so again.
        [_, ..] if prompt.field.whole > 0 => {
            format!("read to its end: press {}", prompt.field.answered_by())
        }
        [] => format!("{NONE}: type {}", prompt.field.answered_by()),
        [..] => format!("{NONE}: press {}", prompt.field.answered_by()),
    }
}

/// Says of a key that waits for a command's own question what is asked, and which keys answer it.
pub(super) fn first_this(prompt: &Prompt, entry: &str) -> String {
    let keys = prompt.field.answered_by();
    // The keys of the number pad, where it has them.
    let back = match Place::of(prompt) {
        _ if !entry.is_empty() => "Esc goes back",
        Place::Number | Place::Text => "- Enter goes back, * calls away",
        _ => "- goes back, * calls away",
    };
    format!("answer this first: {} ({keys}); or {back}", prompt.ask)
}
