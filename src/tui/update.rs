//! How a key changes what is shown: the next state, and what must be done before it counts.

use super::app::{App, Effect, List, Listed, Top};
use super::beside::{
    NO_PICTURE, ask_where, chosen_else, everything_else, has_way_out, looks, saving_elsewhere,
};
use super::entering::{AFTER_ENTRY, by_enter, first_this, typed_on};
use super::going_back::{look_back, step_back, to_engines, to_its_list};
use super::help;
use super::job::{Answer, Job, Offer, Reply};
use super::keeping::Saving;
use super::keymap::{Action, Place, Shortcut};
use super::looking::{first_picture, looking};
use super::paging;
use super::reading::{not_counted, reading, turning_pages, under_the_notice};
use super::screens::session::NO_ANSWERS;
use super::screens::{Note, Tone};
use super::slips::no_use;
use super::too_soon::is_meant;
use super::widgets::text;
use super::{meanwhile, silent, view};
use crate::domain::entry::{Back, Entry, Moment};
use crate::guide::kinds::NOT_FOUND;

/// Makes the next state of an action, and what must be done before it counts.
///
/// The bell rings for a refusal, for a key that only woke, where a reading is kept that is not believed,
/// and once for an entry that begins to wait until the rest is read; for nothing else.
pub fn update<J: Job>(app: &App<J>, action: &Action, at: Moment) -> (App<J>, Option<Effect>) {
    let action = &app.leafed(action, at);
    let (mut next, effect) = next(app, action, at);
    if effect.is_none() {
        next = silent::told(app, next, action);
    }
    let refused = next.note.as_ref().is_some_and(|note| note.tone == Tone::Warning);
    let keeps = |such: &dyn Fn(&Entry) -> bool| match &effect {
        Some(Effect::Keep(kept)) => kept.iter().any(such),
        Some(_) | None => false,
    };
    let read = keeps(&|entry| matches!(entry, Entry::Reading(_)));
    let not_believed = read && next.job.as_ref().is_some_and(Job::disbelieves);
    let only_woke = app.notice().is_none() && keeps(&|entry| matches!(entry, Entry::Back(_)));
    if next.scrolled > 0 && (next.top != app.top || next.prompt() != app.prompt()) {
        // Another page or question is read from its first line.
        next.scrolled = 0;
    }
    // Of an entry that still waits it was heard.
    let heard = !app.passed_over(action, at) && !app.waits_on(&next);
    next.after_number = app.number_before(&next);
    next.spilt = app.spilt_before(&next, action, at);
    next.overran = app.overran_before(&next, action);
    next.waits = app.still_waits(&mut next);
    next.was_whole = app.was_whole(&next);
    next.stale |= app.stays_stale(&next, action);
    next.slipped = app.has_slipped(&next, action, refused && effect.is_none());
    app.keep_half(&mut next, action, effect.as_ref());
    app.keep_broken_off(&mut next, effect.as_ref());
    next.rings = next.bell && (refused && effect.is_none() && heard || not_believed || only_woke);
    (next, effect)
}

fn next<J: Job>(app: &App<J>, action: &Action, at: Moment) -> (App<J>, Option<Effect>) {
    let mut next = app.clone();
    next.clock = Some(at);
    next.rings = false;
    next.last_key = Some(at);
    (next.was_said, next.unread_before) = (app.said_before(action), app.unread_before(action));
    if let Action::Type(letter) = action
        && app.spills(*letter, at)
    {
        return (app.spilt(next, *letter, at), None);
    }
    let of_a_digit = app.belongs_to_a_digit(action, at);
    if of_a_digit || is_meant(action) {
        next.chosen_at = None;
    }
    let bounced = of_a_digit || app.passed_over(action, at);
    if bounced || matches!(action, Action::Enter | Action::Digit(_) | Action::TakeBack) {
        // An Enter that belongs to a digit may be held down itself.
        let again = app.last_answer.as_ref().filter(|_| bounced && !of_a_digit);
        let answer = again.map_or(action, |(last, _)| last);
        next.last_answer = Some((answer.clone(), at));
    } else {
        next.last_answer = None;
    }
    if bounced {
        let held = *action == Action::HeldDown;
        let key = next.last_answer.as_ref().filter(|_| held).map_or(action, |(last, _)| last);
        next.note = Some(not_counted(app.note.as_ref(), key));
        return (next, None);
    }
    next.note = None;
    next.stale = false;
    let away = app.job.as_ref().is_some_and(|job| job.notice().is_some());
    if away && !(app.notice().is_some() && *action == Action::Enter) {
        // A sleeve or a greasy hand wakes nobody: the notice stays until the key that it names.
        next.last_key = app.last_key;
        if app.notice().is_some() {
            return under_the_notice(next, action);
        }
    } else if let Some(job) = &app.job {
        if let Some(back) = app.asleep(at) {
            return woken(next, job.back(back, at));
        }
        if app.notice().is_some() {
            return settle(next, job.back(Back::default(), at));
        }
    }
    if matches!(action, Action::Paste(_)) && !app.place().types() {
        next.note = Some(Note::warning(AT_ONCE));
        return (next, None);
    }
    if paging::answers_unseen(app, action) {
        return (next.refused(NO_ANSWERS.into()), None);
    }
    if let Some(unread) = paging::unread(app, action) {
        return (paging::read_on(next, unread, action), None);
    }
    everywhere(next, action).unwrap_or_else(|next| match (app.list(), &app.top) {
        (Some(list), _) => in_list(*next, list, action, at),
        (None, Top::Leave) => leaving(*next, action, at),
        (None, Top::SaveTo) => saving_elsewhere(*next, action, at),
        (None, Top::Past(past)) => (turning_pages(*next, past, action), None),
        (None, Top::Help(help)) => (reading(*next, help, action), None),
        (None, Top::Picture(of)) if app.picture().is_some() => (looking(*next, *of, action), None),
        (None, Top::Nothing | Top::List(_) | Top::Picture(_)) => {
            in_question(*next, action, at, app.stale)
        }
    })
}

const AT_ONCE: &str = "keys that come all at once, like a paste, answer nothing here";

/// Said where there is no engine to search for.
const NONE_YET: &str = "there is no engine to search for yet; Enter makes one";
/// Said where an engine is made that is none yet.
const NO_ENGINE: &str =
    "that row makes a new engine, of which nothing is known yet: Enter makes it";
/// Longest text that is searched for.
const SEARCH_MAX: usize = 80;

/// Whoever is called away leaves whatever is asked, a command's own questions too.
pub(super) const AWAY: Action = Action::Command(Shortcut::Away);

pub(super) type Next<J> = (App<J>, Option<Effect>);

/// Actions that mean the same wherever they are pressed.
pub(super) fn everywhere<J: Job>(
    mut next: App<J>,
    action: &Action,
) -> Result<Next<J>, Box<App<J>>> {
    match action {
        Action::Bell => {
            next.bell = !next.bell;
            next.note = Some(Note::done(if next.bell { "bell on" } else { "bell off" }));
            let bell = next.bell;
            Ok((next, Some(Effect::Bell(bell))))
        }
        Action::Theme | Action::View | Action::Ink => Ok(looks(next, action)),
        Action::Interrupt if matches!(next.top, Top::Leave) => Ok((next, Some(Effect::Quit))),
        Action::Interrupt => {
            next.top = Top::Leave;
            Ok((next, None))
        }
        Action::Leave => {
            let half_typed = !next.entry.is_empty();
            let open = next.job.as_ref().is_some_and(|job| !job.open_items().is_empty());
            let unsaved = next.saving != Saving::All || next.busy.is_some();
            if half_typed || open || unsaved {
                next.top = Top::Leave;
                Ok((next, None))
            } else {
                Ok((next, Some(Effect::Quit)))
            }
        }
        Action::Help => {
            // A second time it is closed, as by any other key that closes a page.
            next.top = match next.top {
                Top::Help(help) => help.beneath,
                _ => Top::Help(Box::new(help::help(&next))),
            };
            Ok((next, None))
        }
        Action::Redraw | Action::Suspend | Action::Nothing => Ok((next, None)),
        _ => Err(Box::new(next)),
    }
}

fn leaving<J: Job>(mut next: App<J>, action: &Action, at: Moment) -> Next<J> {
    if let Action::Digit(_) = action {
        next.chosen_at = Some(at);
    }
    match action {
        Action::Digit(1) => return (next, Some(Effect::Quit)),
        Action::Digit(2) | Action::Back => next.top = Top::Nothing,
        Action::Digit(3) if next.saving.alert().is_none() => {
            return (next, Some(Effect::Shop));
        }
        Action::Digit(4) if has_way_out(&next) => {
            ask_where(&mut next, true);
        }
        _ => next.note = Some(Note::warning(silent::leaving(has_way_out(&next)))),
    }
    (next, None)
}

fn in_list<J: Job>(mut next: App<J>, list: &List, action: &Action, at: Moment) -> Next<J> {
    let none_yet = list.what == Listed::Shop && list.table.rows.len() == 1;
    if none_yet && matches!(action, Action::Type(_) | Action::Paste(_) | Action::Search) {
        next.note = Some(Note::warning(NONE_YET));
        return (next, None);
    }
    let searches =
        matches!(list.what, Listed::Shop | Listed::Kinds | Listed::Compare | Listed::Record);
    if let Some(search) = searched(list.search.as_deref(), action).filter(|_| searches) {
        put(&mut next, list.searching(search));
        return (next, None);
    }
    let moved = match action {
        Action::Move(motion) => Some(paging::in_rows(&next, list, *motion)),
        Action::Digit(digit) => list.numbered(*digit),
        _ => None,
    };
    let of_engine =
        matches!(action, Action::More | Action::Compare | Action::History | Action::Hours);
    if of_engine && list.is_at_new_engine() {
        next.note = Some(Note::warning(NO_ENGINE));
        return (next, None);
    }
    match (action, moved) {
        (Action::Back, _) => {
            if let Top::List(list) = &next.top {
                next.top = list.closed();
            } else if next.watched.is_some() {
                return (next, Some(Effect::Shop));
            }
            (next, None)
        }
        (Action::Order, _) => {
            if let Some(list) = list.reordered() {
                put(&mut next, list);
            }
            (next, None)
        }
        (Action::TakeOver, _) if list.what == Listed::Watched => (next, Some(Effect::TakeOver)),
        (Action::Enter, _) => chosen(next, list, at),
        (Action::More, _) if list.what == Listed::Shop => {
            next.top = Top::List(List::new(Listed::Engine, view::of_engine(list)));
            (next, None)
        }
        (Action::Compare | Action::History | Action::Hours, _) if list.what == Listed::Shop => {
            let effect = list.row().and_then(|row| at_engine(action, row));
            (next, effect)
        }
        // One digit is enough where no number has two.
        (Action::Digit(_), Some(moved)) if list.table.rows.len() <= 9 => {
            next.chosen_at = Some(at);
            chosen(next, &moved, at)
        }
        (Action::Digit(_) | Action::Move(_), Some(moved)) => {
            if let Action::Digit(_) = action {
                (next.note, next.chosen_at) = (Some(silent::chosen_so_far(&moved)), None);
            }
            put(&mut next, moved);
            (next, None)
        }
        _ => (next, None),
    }
}

/// Puts a list back where it is shown.
pub(super) fn put<J: Job>(next: &mut App<J>, list: List) {
    match (&mut next.top, &mut next.watched) {
        (Top::List(shown), _) => *shown = list,
        (_, Some(watched)) => watched.list = list,
        (_, None) => next.shop = list,
    }
}

/// What an action does with the engine at a row of the shop's list.
fn at_engine(action: &Action, row: usize) -> Option<Effect> {
    match action {
        Action::Profile => Some(Effect::ProfileAt(row)),
        Action::Hours => Some(Effect::HoursAt(row)),
        Action::History => Some(Effect::HistoryAt(row)),
        Action::Compare => Some(Effect::CompareAt(row)),
        Action::Record => Some(Effect::RecordsAt(row)),
        _ => None,
    }
}

/// Returns what is searched from now on, where an action changes that.
pub(super) fn searched(typed: Option<&str>, action: &Action) -> Option<Option<String>> {
    match action {
        Action::Search => Some(Some(String::new())),
        // The stroke of the number pad that begins a search ends it too, where nothing was typed.
        Action::Type('/') if typed == Some("") => Some(None),
        Action::Type(letter) => {
            let both = typed.unwrap_or_default().chars().chain([*letter]);
            Some(Some(both.take(SEARCH_MAX).collect()))
        }
        Action::Paste(pasted) => {
            let plain = pasted.chars().filter(|letter| text::is_plain(*letter));
            Some(Some(typed.unwrap_or_default().chars().chain(plain).take(SEARCH_MAX).collect()))
        }
        // What is erased past its first letter is no search any more.
        Action::Erase => {
            Some(typed.filter(|typed| !typed.is_empty()).map(text::without_last).map(str::to_owned))
        }
        Action::Back => typed.map(|_| None),
        _ => None,
    }
}

fn chosen<J: Job>(mut next: App<J>, list: &List, at: Moment) -> Next<J> {
    if list.is_no_number() {
        return (next.warned(silent::no_such_row(list)), None);
    }
    let Some(row) = list.row() else { return (next, None) };
    match (list.what, &next.job) {
        (Listed::Shop, _) => {
            // Whoever comes back from its service sees all engines.
            next.shop = list.searching(None);
            (next, Some(Effect::Open(row)))
        }
        (Listed::Kinds, _) if list.finds_nothing() => (next.refused(NOT_FOUND.into()), None),
        (Listed::Kinds, _) => {
            next.kinds = Some(list.clone());
            (next, Some(Effect::Kind(row)))
        }
        (Listed::Engine, _) => {
            next.top = Top::Nothing;
            let action = view::OF_ENGINE.get(row).map(|(action, _)| action);
            let effect = action.zip(next.shop.row()).and_then(|(action, at)| at_engine(action, at));
            (next, effect)
        }
        (Listed::More, Some(_)) => chosen_else(next, list, row, at),
        (Listed::Meanwhile, Some(_)) => meanwhile::chosen(next, row, at),
        (Listed::Kept, Some(job)) => {
            let reply = job.correct(list.cursor, at);
            next.top = Top::Nothing;
            settle(next, reply)
        }
        (Listed::Records, _) => (next, Some(Effect::Record(row))),
        (Listed::Compare | Listed::Record | Listed::Watched, _)
        | (Listed::More | Listed::Meanwhile | Listed::Kept, None) => (next, None),
    }
}

pub(super) fn in_question<J: Job>(
    mut next: App<J>,
    action: &Action,
    at: Moment,
    stale: bool,
) -> Next<J> {
    let (Some(job), Some(prompt)) = (next.job.clone(), next.prompt()) else { return (next, None) };
    let place = Place::of(&prompt);
    // A refused number stands there to be read; a text is mended where it is wrong.
    let anew = stale && place != Place::Text;
    let begun = if anew { String::new() } else { next.entry.clone() };
    match action {
        Action::Type(_) | Action::Paste(_) => {
            typed_on(&mut next, begun, action, (&prompt.field, at))
        }
        Action::Erase => next.entry = text::without_last(&next.entry).to_owned(),
        Action::Back | Action::Enter if to_engines(&next, &job, action) => {
            return to_its_list(next, &job);
        }
        Action::Back => step_back(&mut next),
        Action::Move(motion) if prompt.field.whole > 0 => {
            return (paging::in_past(next, *motion), None);
        }
        Action::Digit(digit) if prompt.field.offers(*digit) => {
            (next.after_number, next.chosen_at) = (None, Some(at));
            let reply = job.answer(next.form(), &Answer::Digit(*digit), at);
            return settle(next, reply);
        }
        Action::Digit(digit) => next = next.warned(format!("{digit} is none of the answers")),
        // Where a minus may begin an entry, it takes back with the Enter that follows.
        Action::Enter if next.entry.trim() == "-" => {
            next.entry.clear();
            return in_question(next, &Action::TakeBack, at, stale);
        }
        Action::Enter => return by_enter(next, &job, &prompt, at),
        Action::TakeBack if next.forms.is_empty() => return settle(next, job.take_back(at)),
        Action::TakeBack => step_back(&mut next),
        Action::More if !next.forms.is_empty() => {
            next.top = Top::List(meanwhile::list(&next, &job, &prompt));
        }
        Action::Command(_) | Action::Kept | Action::Compare | Action::History | Action::Picture
            if !next.forms.is_empty() && *action != AWAY =>
        {
            next.note = Some(Note::warning(first_this(&prompt, &next.entry)));
        }
        Action::Command(shortcut) => {
            let called = |offer: &Offer| offer.shortcut == Some(*shortcut);
            match job.offers().iter().position(called) {
                Some(offer) => return settle(next, job.begin(offer, at)),
                None => next.note = Some(Note::warning("not possible now; * lists what is")),
            }
        }
        Action::NoUse(letter) => next.note = Some(no_use(*letter, &next.entry)),
        Action::AfterEntry(key) => next.note = Some(Note::warning(format!("{key}{AFTER_ENTRY}"))),
        Action::More => {
            next.top = Top::List(everything_else(&job, &next.saving));
        }
        Action::Picture => match first_picture(&job) {
            Some(of) => next.top = Top::Picture(of),
            None => next.note = Some(Note::warning(NO_PICTURE)),
        },
        Action::Kept => next.top = Top::List(List::new(Listed::Kept, job.kept())),
        Action::Record => show_record(&mut next, &job),
        Action::Compare | Action::History => return look_back(next, &job, action),
        _ => {}
    }
    (next, None)
}

fn show_record<J: Job>(next: &mut App<J>, job: &J) {
    match job.record() {
        Ok(table) => next.top = Top::List(List::new(Listed::Record, table)),
        Err(why) => next.note = Some(Note::warning(why)),
    }
}

/// A key that only wakes leaves what was typed as it was, as far as it is still asked. Of a
/// command's questions only a half-written text stays: the way back is shown before any other.
fn woken<J: Job>(next: App<J>, reply: Reply<J>) -> Next<J> {
    let before = next.clone();
    let (mut woken, effect) = settle(next, reply);
    let form = before.form().zip(before.job.as_ref()).map(|(form, job)| job.prompt(Some(form)));
    let stays = form.is_none_or(|prompt| Place::of(&prompt) == Place::Text);
    if stays && woken.job.as_ref().is_some_and(|job| before.is_asked_by(job)) {
        woken.forms.clone_from(&before.forms);
        woken.entry.clone_from(&before.entry);
    }
    (before.told_awake(woken), effect)
}

pub(super) fn settle<J: Job>(mut next: App<J>, reply: Reply<J>) -> Next<J> {
    match reply {
        Reply::Keep { next: job, entries, said, verdict } => {
            next.job = Some(*job);
            next.forms.clear();
            next.top = Top::Nothing;
            next.entry.clear();
            next.scrolled = 0;
            next.note = (!said.is_empty()).then(|| Note { large: verdict, ..Note::done(said) });
            (next, Some(Effect::Keep(entries)))
        }
        Reply::Ask(form) => {
            // A question that is asked again is no further one: back from it is what was before it.
            if let Some(job) = next.job.clone() {
                next.forms.retain(|earlier| job.answered_before(earlier, &form));
            }
            next.forms.push(*form);
            next.entry.clear();
            (next, None)
        }
        Reply::Read(table) => {
            next.top = Top::List(List::new(Listed::Record, table));
            (next, None)
        }
        Reply::Back => {
            next.forms.clear();
            next.entry.clear();
            (next, None)
        }
        Reply::Do(request) => (next, Some(Effect::Do(request))),
        Reply::Refused(why) => (next.refused(why), None),
    }
}
