//! What is offered beside the session's own commands: looks at it, changes of how it is drawn, and
//! another folder where the disk does not take it.

use super::app::{App, Effect, List, Listed, Top};
use super::entering::{typed_on, without_its_end};
use super::job::{Job, Offer, Shortcut, Stage, Table};
use super::keeping::Saving;
use super::keymap::{Action, Place};
use super::screens::Note;
use super::theme::Colours;
use super::update::{Next, everywhere, in_question, settle};
use super::widgets::engine::Arrangement;
use super::widgets::text;
use crate::domain::entry::Moment;
use crate::guide::{Field, Typed};

/// What is offered while something could not be saved.
pub(super) const SAVE_TO: &str = "save the session to another folder";

/// What stands in the list of everything else after the commands, so that digits reach all of it.
pub(super) const LOOKS: [(Action, &str); 10] = [
    (Action::Picture, "look at the crank at this stop, or at the engine"),
    (Action::Kept, "list of readings; correct one"),
    (Action::Compare, "compare with earlier services"),
    (Action::History, "history of each valve, with charts"),
    (Action::Theme, "the next theme: terminal, daylight, dark"),
    (Action::View, "the engine from the next side"),
    (Action::Ink, "draw with blocks, or with plain ASCII"),
    (Action::Help, "help"),
    (Action::Leave, "leave the program"),
    (Action::Record, "read the record as it stands"),
];

/// What stands before why something cannot be done now.
pub(super) const NOT_NOW: &str = "not now: ";
/// Why no picture is looked at.
pub(super) const NO_PICTURE: &str = "there are pictures only while valves are gauged";

/// Tells whether a row of that list says why it cannot be done now.
pub(super) fn is_not_now(row: &[String]) -> bool {
    row.iter().any(|words| words.contains(&format!("({NOT_NOW}")))
}

/// Lists everything else that can be done; what cannot be done now comes last and keeps its number.
pub(super) fn everything_else<J: Job>(job: &J, saving: &Saving) -> List {
    let not_saved = saving.alert().is_some();
    let commands = job.offers().into_iter().map(|offer| (offer.label, offer.not_now));
    let rest = LOOKS.iter().map(|(action, label)| {
        let none = *action == Action::Picture && job.picture().is_none() && job.drawing().is_none();
        ((*label).to_owned(), none.then_some(NO_PICTURE))
    });
    let save_to = [(SAVE_TO.to_owned(), (!not_saved).then(|| saving.no_way_out()))];
    let said = |(label, why): (String, Option<&str>)| match why {
        Some(why) => vec![format!("{label} ({NOT_NOW}{why})")],
        None => vec![label],
    };
    let rows = commands.chain(rest).chain(save_to).map(said).collect();
    let table = Table { title: "What else can be done".into(), rows, ..Table::default() };
    let last = table.rows.len().saturating_sub(1);
    let list = List::new(Listed::More, table);
    // What cannot be saved comes before everything else: the cursor stands on the way out.
    let way_out = list.shown().iter().position(|row| not_saved && *row == last);
    List { cursor: way_out.unwrap_or(0), ..list }
}

/// Tells whether a radial is in hand: it is drawn from its two ends.
pub(super) fn is_radial<J: Job>(app: &App<J>) -> bool {
    let drawn = app.job.as_ref().and_then(Job::drawing);
    drawn.is_some_and(|drawn| matches!(drawn.arrangement, Arrangement::Rings(_)))
}

/// Another look, remembered.
pub(super) fn looks<J: Job>(mut next: App<J>, action: &Action) -> Next<J> {
    let words = match action {
        Action::View => {
            next.seen =
                if is_radial(&next) { next.seen.next_of_radial() } else { next.seen.next() };
            format!("the engine as seen from: {}", next.seen.word())
        }
        Action::Ink => {
            next.ink = next.ink.other();
            next.ink.words().to_owned()
        }
        _ => {
            next.theme = next.theme.next();
            match next.colours {
                Colours::Allowed => format!("theme: {}", next.theme.word()),
                Colours::Off => {
                    format!("theme: {} (without colours: NO_COLOR is set)", next.theme.word())
                }
            }
        }
    };
    next.note = Some(Note::done(words));
    let look = next.look();
    (next, Some(Effect::Look(look)))
}

/// Tells whether the session in hand can be saved in another folder: only where something is not saved.
pub(super) fn has_way_out<J: Job>(app: &App<J>) -> bool {
    let in_session = |job: &J| matches!(job.stage(), Stage::Open | Stage::Closed);
    app.saving.alert().is_some() && app.busy.is_none() && app.job.as_ref().is_some_and(in_session)
}

/// Names the way out besides, where the disk does not take what was kept: by the keys that lead to it
/// from this screen.
pub(super) fn with_way_out<J: Job>(app: &App<J>, alert: String) -> String {
    let not_saved = matches!(app.saving, Saving::Not { entries: 1.., .. });
    let keys = match &app.top {
        _ if !not_saved || !has_way_out(app) => return alert,
        Top::SaveTo => return alert,
        Top::Leave => "4",
        // Where letters are text it is a letter, and a command's own questions are answered first.
        Top::Nothing if app.forms.is_empty() && app.place().asks() => match app.place() {
            Place::Text => LEAVING_FIRST,
            _ => "*",
        },
        _ => LEAVING_FIRST,
    };
    format!("{alert}; {keys} saves all to another folder")
}

/// The keys that lead there from everywhere.
const LEAVING_FIRST: &str = "Ctrl-C 4";

/// Asks for the folder to save to, from the question whether to leave or elsewhere.
pub(super) fn ask_where<J: Job>(next: &mut App<J>, leaving: bool) {
    next.top = Top::SaveTo;
    next.saves_to_leave = leaving;
    next.entry.clear();
}

/// A folder is typed; whatever is on its way to the old place keeps waiting meanwhile.
pub(super) fn saving_elsewhere<J: Job>(mut next: App<J>, action: &Action, at: Moment) -> Next<J> {
    let asked = Field::typed(Typed::Text);
    match action {
        Action::Type(_) | Action::Paste(_) => {
            let begun = next.entry.clone();
            typed_on(&mut next, begun, action, (&asked, at));
        }
        Action::Erase => next.entry = text::without_last(&next.entry).to_owned(),
        Action::Back => {
            // A step back is to where it was asked for.
            next.top = match (next.saves_to_leave, &next.job) {
                (true, _) => Top::Leave,
                (false, Some(job)) => Top::List(everything_else(job, &next.saving)),
                (false, None) => Top::Nothing,
            };
            next.entry.clear();
        }
        Action::Enter if !next.entry.trim().is_empty() => {
            if next.overran.take().is_some() {
                return (next.warned(without_its_end()), None);
            }
            let folder = next.entry.trim().to_owned();
            return (next, Some(Effect::SaveTo(folder)));
        }
        _ => {}
    }
    (next, None)
}

/// What a row of that list leads to.
pub(super) fn chosen_else<J: Job>(
    mut next: App<J>,
    list: &List,
    row: usize,
    at: Moment,
) -> Next<J> {
    let Some(job) = next.job.clone() else { return (next, None) };
    if is_row(list, SAVE_TO) && next.saving.alert().is_some() {
        ask_where(&mut next, false);
        return (next, None);
    }
    next.top = Top::Nothing;
    if let Some(look) = row.checked_sub(job.offers().len()) {
        return match LOOKS.get(look) {
            Some((action, _)) => done_at_once(next, action, at),
            None => {
                let why = next.saving.no_way_out();
                (next.refused(format!("{NOT_NOW}{why}")), None)
            }
        };
    }
    if is_correcting(&job, row) {
        next.top = Top::List(List::new(Listed::Kept, job.kept()));
        return (next, None);
    }
    settle(next, job.begin(row, at))
}

/// Does what a row of a list says, as its key would.
pub(super) fn done_at_once<J: Job>(next: App<J>, action: &Action, at: Moment) -> Next<J> {
    match everywhere(next, action) {
        Ok(done) => done,
        Err(next) => in_question(*next, action, at, false),
    }
}

/// A reading to be put right is chosen in the list of all of them.
fn is_correcting<J: Job>(job: &J, offer: usize) -> bool {
    let offers = job.offers();
    let corrects =
        |offer: &Offer| offer.not_now.is_none() && offer.shortcut == Some(Shortcut::Correct);
    offers.get(offer).is_some_and(corrects)
}

fn is_row(list: &List, words: &str) -> bool {
    list.row()
        .and_then(|row| list.table.rows.get(row))
        .is_some_and(|row| row.first().is_some_and(|row| row.starts_with(words)))
}
