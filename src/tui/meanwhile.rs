//! The list on `*` in the middle of a command's own questions: what leaves them as they are. All other
//! commands wait until they are answered, or gone back from.

use super::app::{App, List, Listed, Top};
use super::beside::{NOT_NOW, done_at_once};
use super::job::{Job, Shortcut, Table};
use super::keymap::Action;
use super::update::{AWAY, Next};
use crate::domain::entry::Moment;
use crate::guide::Prompt;

/// Its rows, so few that one digit chooses.
const ROWS: [(Action, &str); 6] = [
    (AWAY, "called away"),
    (Action::TakeBack, "back a question"),
    (Action::Help, "help on this question"),
    (Action::Theme, "the next theme: terminal, daylight, dark"),
    (Action::Ink, "draw with blocks, or with plain ASCII"),
    (Action::Leave, "leave the program"),
];

const TITLE: &str = "In the middle of a question";
const OTHERS: &str = "Others wait until it is answered.";
/// Said behind being called away, where that is so.
const STAYS: &str = ": answers so far stay";
/// The same where it is not.
const ANEW: &str = ": this is asked anew";

/// Lists what can be done while that is asked.
pub(super) fn list<J: Job>(app: &App<J>, job: &J, prompt: &Prompt) -> List {
    let stays = app.form().is_some_and(|form| job.outlasts_a_break(form));
    let away = job.offers().into_iter().find(|offer| offer.shortcut == Some(Shortcut::Away));
    let why = away.map_or(Some("no service is under way"), |offer| offer.not_now);
    let row = |(action, label): &(Action, &str)| match (*action == AWAY, why) {
        (true, Some(why)) => vec![format!("{label} ({NOT_NOW}{why})")],
        (true, None) => vec![format!("{label}{}", if stays { STAYS } else { ANEW })],
        (false, _) => vec![(*label).to_owned()],
    };
    let rows = ROWS.iter().map(row).collect();
    let lines = vec![format!("Asked: {}", prompt.ask), OTHERS.to_owned()];
    List::new(Listed::Meanwhile, Table { title: TITLE.into(), lines, rows, ..Table::default() })
}

/// What a row of it leads to.
pub(super) fn chosen<J: Job>(mut next: App<J>, row: usize, at: Moment) -> Next<J> {
    next.top = Top::Nothing;
    match ROWS.get(row) {
        Some((action, _)) => done_at_once(next, action, at),
        None => (next, None),
    }
}
