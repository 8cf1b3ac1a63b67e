//! What the program shows and how a key changes it: plain values, no terminal, no clock, no file.
//!
//! `update` makes the next state and at most one effect. The loop carries the effect out first and
//! keeps the next state only if that went well, so what is on the screen is what is on disk.

use super::keymap::{Action, Begun, Motion, Place, Shortcut};
use super::screens::Note;
use super::screens::notice::NoticeView;
use super::theme::{Colours, Theme, ThemeName};
use super::widgets::digits::Ink;
use super::widgets::engine::EngineView;
use super::widgets::{field, text};
use crate::domain::entry::{Back, Entry, Moment};
use crate::guide::Prompt;

/// Longer than this since the last key: the next key only wakes.
const ASLEEP_MS: i64 = 15 * 60 * 1000;
/// A clock that is put right by less than this has not jumped.
const CLOCK_SLACK_MS: i64 = 1000;
/// The same key again within this is one press that bounced, or a key that sticks.
const BOUNCE_MS: i64 = 150;

/// What the screens need of a session; the guide's words stand behind it.
pub trait Job: Clone {
    /// A command on its way that asks more than one question.
    type Form: Clone;

    /// Returns the engine's name, for the line at the top.
    fn engine(&self) -> String;
    /// Returns what is asked: by the command on its way, else by the session.
    fn prompt(&self, form: Option<&Self::Form>) -> Prompt;
    /// Tells what an entry is taken for, or why it cannot be taken.
    fn taken_for(&self, form: Option<&Self::Form>, entry: &str) -> String;
    /// Answers what is asked.
    fn answer(&self, form: Option<&Self::Form>, answer: &Answer, at: Moment) -> Reply<Self>;
    /// Lists the commands that can be given now.
    fn offers(&self) -> Vec<Offer>;
    /// Begins the command at this place of [`Job::offers`].
    fn begin(&self, offer: usize, at: Moment) -> Reply<Self>;
    /// Takes the last entry back.
    fn take_back(&self, at: Moment) -> Reply<Self>;
    /// The mechanic is back; the key that told so is no answer.
    fn back(&self, back: Back, at: Moment) -> Reply<Self>;
    /// Lists what must not be forgotten.
    fn open_items(&self) -> Vec<String>;
    /// Returns the engine as it is to be drawn.
    fn drawing(&self) -> Option<EngineView>;
    /// Returns the notice that hangs while the mechanic is called away.
    fn notice(&self) -> Option<NoticeView>;
    /// Lists what was kept, the newest first.
    fn kept(&self) -> Table;
    /// Begins the correction of the entry at this row of [`Job::kept`].
    fn correct(&self, row: usize, at: Moment) -> Reply<Self>;
}

/// An answer to a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// One of the choices.
    Digit(u8),
    /// What was typed, as typed.
    Typed(String),
    /// Enter alone.
    Enter,
}

/// What a session makes of an answer.
#[derive(Clone, Debug)]
pub enum Reply<J: Job> {
    /// These entries, and the session as it is once they are on disk.
    Keep {
        /// The session with the entries.
        next: Box<J>,
        /// What is to be written.
        entries: Vec<Entry>,
        /// What to say when it is done; may be empty.
        said: String,
    },
    /// Another question first.
    Ask(Box<J::Form>),
    /// Nothing changed, for this reason.
    Refused(String),
}

/// A command that can be given now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What it does.
    pub label: String,
    /// Its letter, where it has one.
    pub shortcut: Option<Shortcut>,
}

/// A list or table to show.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// What it is a list of.
    pub title: String,
    /// Lines under the title.
    pub lines: Vec<String>,
    /// Names of the columns.
    pub head: Vec<String>,
    /// Rows, a text a column.
    pub rows: Vec<Vec<String>>,
}

/// What the shell is to do before the next state counts.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Write these entries to the journal.
    Keep(Vec<Entry>),
    /// Open the engine, or whatever else stands at this row of the shop's list.
    Open(usize),
    /// Make the comparison with earlier sessions.
    Compare,
    /// Remember the theme.
    Theme(ThemeName),
    /// End.
    Quit,
}

/// What an effect brought back.
#[derive(Clone, Debug)]
pub enum Carried<J> {
    /// Nothing that is shown.
    Done,
    /// A session, to go on with.
    Session(Box<J>),
    /// A table, to look at.
    Table(Table),
}

/// A list on top of everything else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct List {
    /// Which list.
    pub what: Listed,
    /// What it shows.
    pub table: Table,
    /// The row that the cursor is on.
    pub cursor: usize,
    /// The digits of a row's number typed so far.
    pub number: String,
}

/// Which list it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Listed {
    /// Engines and open sessions.
    Shop,
    /// What else can be done now.
    More,
    /// What was kept.
    Kept,
    /// The comparison with earlier sessions.
    Compare,
    /// Help.
    Help,
}

/// What lies on top of the session.
#[derive(Clone, Debug)]
pub enum Top<F> {
    /// Nothing.
    Nothing,
    /// A command's questions, answered up to the last one.
    Form {
        /// The questions, the last of them asked now.
        asked: Vec<F>,
        /// What stood in the session's own entry.
        under: String,
    },
    /// A list.
    List(List),
    /// The question whether to leave.
    Leave,
}

/// Everything that is shown.
#[derive(Clone, Debug)]
pub struct App<J: Job> {
    /// The list of engines.
    pub shop: List,
    /// The session, once an engine is chosen.
    pub job: Option<J>,
    /// What lies on top of it.
    pub top: Top<J::Form>,
    /// What stands in the entry.
    pub entry: String,
    /// What was said last.
    pub note: Option<Note>,
    /// The theme.
    pub theme: ThemeName,
    /// Whether colours may be used.
    pub colours: Colours,
    /// What large digits are drawn with.
    pub ink: Ink,
    last_key: Option<Moment>,
    last_confirm: Option<(Action, Moment)>,
}

impl<J: Job> App<J> {
    /// Starts with a list of engines; with `job` at once inside a session.
    pub fn new(
        shop: Table,
        job: Option<J>,
        theme: ThemeName,
        colours: Colours,
        ink: Ink,
    ) -> App<J> {
        App {
            shop: List::new(Listed::Shop, shop),
            job,
            top: Top::Nothing,
            entry: String::new(),
            note: None,
            theme,
            colours,
            ink,
            last_key: None,
            last_confirm: None,
        }
    }

    /// Returns the theme, ready to paint.
    pub fn paints(&self) -> Theme {
        Theme::new(self.theme, self.colours)
    }

    /// Returns the command's question that is asked now.
    pub fn form(&self) -> Option<&J::Form> {
        match &self.top {
            Top::Form { asked, .. } => asked.last(),
            Top::Nothing | Top::List(_) | Top::Leave => None,
        }
    }

    /// Returns the question on the screen, where there is one.
    pub fn prompt(&self) -> Option<Prompt> {
        match (&self.top, &self.job) {
            (Top::Leave, _) => Some(super::view::leave_prompt(self)),
            (Top::List(_), _) | (_, None) => None,
            (Top::Nothing | Top::Form { .. }, Some(job)) => Some(job.prompt(self.form())),
        }
    }

    /// Returns the notice on the screen, where there is one.
    pub fn notice(&self) -> Option<NoticeView> {
        match &self.top {
            Top::Nothing => self.job.as_ref().and_then(Job::notice),
            Top::Form { .. } | Top::List(_) | Top::Leave => None,
        }
    }

    /// Returns the list on the screen, where there is one.
    pub fn list(&self) -> Option<&List> {
        match (&self.top, &self.job) {
            (Top::List(list), _) => Some(list),
            (Top::Leave, _) | (Top::Nothing | Top::Form { .. }, Some(_)) => None,
            (Top::Nothing | Top::Form { .. }, None) => Some(&self.shop),
        }
    }

    /// Tells which keys work.
    pub fn place(&self) -> Place {
        if self.notice().is_some() {
            Place::Notice
        } else if self.list().is_some() {
            Place::List
        } else {
            self.prompt().map_or(Place::Enter, |prompt| Place::of(&prompt))
        }
    }

    /// Tells whether something stands in the entry that keys go to.
    pub fn begun(&self) -> Begun {
        match self.top {
            Top::Nothing | Top::Form { .. } => Begun::of(&self.entry),
            Top::List(_) | Top::Leave => Begun::No,
        }
    }

    /// Takes in what an effect brought back.
    pub fn with(mut self, carried: Carried<J>) -> App<J> {
        match carried {
            Carried::Done => {}
            Carried::Session(job) => {
                self.job = Some(*job);
                self.top = Top::Nothing;
                self.entry.clear();
            }
            Carried::Table(table) => self.top = Top::List(List::new(Listed::Compare, table)),
        }
        self
    }

    /// Says why an effect could not be carried out; everything else stays as it was.
    pub fn refused(mut self, why: String) -> App<J> {
        self.note = Some(Note::warning(why));
        self
    }

    /// Tells how long the mechanic was away, where the next key may only wake.
    fn asleep(&self, at: Moment) -> Option<Back> {
        let last = self.last_key?;
        let passed = at.unix_ms - last.unix_ms;
        let clock_jumped = passed < -CLOCK_SLACK_MS;
        let away = Back {
            after_min: (!clock_jumped).then(|| u32::try_from(passed / 60_000).unwrap_or(0)),
            restart: false,
            new_day: day(at) != day(last),
            clock_jumped,
        };
        (clock_jumped || passed > ASLEEP_MS).then_some(away)
    }

    /// Tells whether this is the last confirmation once more, from a bounce or a stuck key.
    fn bounced(&self, action: &Action, at: Moment) -> bool {
        self.last_confirm.as_ref().is_some_and(|(last, then)| {
            last == action && (0..BOUNCE_MS).contains(&(at.unix_ms - then.unix_ms))
        })
    }
}

/// The local day, counted from 1970.
fn day(at: Moment) -> i64 {
    (at.unix_ms + i64::from(at.offset_min) * 60_000).div_euclid(86_400_000)
}

impl List {
    /// Shows a table from its first row on.
    pub fn new(what: Listed, table: Table) -> List {
        List { what, table, cursor: 0, number: String::new() }
    }

    fn moved(&self, motion: Motion) -> List {
        let last = self.table.rows.len().saturating_sub(1);
        let cursor = match motion {
            Motion::Up => self.cursor.saturating_sub(1),
            Motion::Down => self.cursor + 1,
            Motion::PageUp => self.cursor.saturating_sub(10),
            Motion::PageDown => self.cursor + 10,
            Motion::First => 0,
            Motion::Last => last,
        };
        List { cursor: cursor.min(last), number: String::new(), ..self.clone() }
    }

    /// Puts the cursor on a row by its number; a digit more makes a longer number.
    fn numbered(&self, digit: u8) -> Option<List> {
        let row = |number: &str| {
            let row = number.parse::<usize>().ok()?.checked_sub(1)?;
            (row < self.table.rows.len()).then_some(row)
        };
        let longer = format!("{}{digit}", self.number);
        let number = if row(&longer).is_some() { longer } else { digit.to_string() };
        row(&number).map(|cursor| List { cursor, number, ..self.clone() })
    }
}

/// Makes the next state of an action, and what must be done before it counts.
pub fn update<J: Job>(app: &App<J>, action: &Action, at: Moment) -> (App<J>, Option<Effect>) {
    let mut next = app.clone();
    next.last_key = Some(at);
    if confirms(app, action) {
        next.last_confirm = Some((action.clone(), at));
        if app.bounced(action, at) {
            return (next, None);
        }
    } else {
        next.last_confirm = None;
    }
    next.note = None;
    if let Some(job) = &app.job {
        if let Some(back) = app.asleep(at) {
            return woken(next, job.back(back, at));
        }
        if app.notice().is_some() {
            return settle(next, job.back(Back::default(), at));
        }
    }
    everywhere(next, action).unwrap_or_else(|next| match (app.list(), &app.top) {
        (Some(list), _) => in_list(*next, list, action, at),
        (None, Top::Leave) => leaving(*next, action),
        (None, Top::Nothing | Top::Form { .. } | Top::List(_)) => in_question(*next, action, at),
    })
}

/// Whether a key would confirm: Enter on an empty entry, or a digit that answers at once.
fn confirms<J: Job>(app: &App<J>, action: &Action) -> bool {
    match action {
        Action::Enter => app.begun() == Begun::No,
        Action::Digit(_) => app.place() == Place::Choice,
        _ => false,
    }
}

type Next<J> = (App<J>, Option<Effect>);

/// Actions that mean the same wherever they are pressed.
fn everywhere<J: Job>(mut next: App<J>, action: &Action) -> Result<Next<J>, Box<App<J>>> {
    match action {
        Action::Theme => {
            next.theme = next.theme.next();
            let words = match next.colours {
                Colours::Allowed => format!("theme: {}", next.theme.word()),
                Colours::Off => {
                    format!("theme: {} (without colours: NO_COLOR is set)", next.theme.word())
                }
            };
            next.note = Some(Note::done(words));
            let theme = next.theme;
            Ok((next, Some(Effect::Theme(theme))))
        }
        Action::Interrupt if matches!(next.top, Top::Leave) => Ok((next, Some(Effect::Quit))),
        Action::Interrupt => {
            next.top = Top::Leave;
            Ok((next, None))
        }
        Action::Leave => {
            let half_typed = !next.entry.is_empty();
            let open = next.job.as_ref().is_some_and(|job| !job.open_items().is_empty());
            if half_typed || open {
                next.top = Top::Leave;
                Ok((next, None))
            } else {
                Ok((next, Some(Effect::Quit)))
            }
        }
        Action::Help => {
            let table = super::view::help(&next);
            next.top = Top::List(List::new(Listed::Help, table));
            Ok((next, None))
        }
        Action::Redraw | Action::Suspend | Action::Nothing => Ok((next, None)),
        _ => Err(Box::new(next)),
    }
}

fn leaving<J: Job>(mut next: App<J>, action: &Action) -> Next<J> {
    match action {
        Action::Digit(1) => return (next, Some(Effect::Quit)),
        Action::Digit(2) | Action::Back => next.top = Top::Nothing,
        _ => next.note = Some(Note::warning("1 leaves, 2 stays")),
    }
    (next, None)
}

fn in_list<J: Job>(mut next: App<J>, list: &List, action: &Action, at: Moment) -> Next<J> {
    let moved = match action {
        Action::Move(motion) => Some(list.moved(*motion)),
        Action::Digit(digit) => list.numbered(*digit),
        _ => None,
    };
    match (action, moved) {
        (Action::Back, _) => {
            if let Top::List(_) = next.top {
                next.top = Top::Nothing;
            }
            (next, None)
        }
        (Action::Enter, _) => chosen(next, list, at),
        // One digit is enough where no number has two.
        (Action::Digit(_), Some(moved)) if list.table.rows.len() <= 9 => chosen(next, &moved, at),
        (Action::Digit(_) | Action::Move(_), Some(moved)) => {
            match &mut next.top {
                Top::List(shown) => *shown = moved,
                Top::Nothing | Top::Form { .. } | Top::Leave => next.shop = moved,
            }
            (next, None)
        }
        _ => (next, None),
    }
}

fn chosen<J: Job>(mut next: App<J>, list: &List, at: Moment) -> Next<J> {
    if list.cursor >= list.table.rows.len() {
        return (next, None);
    }
    match (list.what, &next.job) {
        (Listed::Shop, _) => {
            next.shop = list.clone();
            (next, Some(Effect::Open(list.cursor)))
        }
        (Listed::More, Some(job)) => {
            let reply = job.begin(list.cursor, at);
            next.top = Top::Nothing;
            settle(next, reply)
        }
        (Listed::Kept, Some(job)) => {
            let reply = job.correct(list.cursor, at);
            next.top = Top::Nothing;
            settle(next, reply)
        }
        (Listed::Compare | Listed::Help | Listed::More | Listed::Kept, _) => {
            next.top = Top::Nothing;
            (next, None)
        }
    }
}

fn in_question<J: Job>(mut next: App<J>, action: &Action, at: Moment) -> Next<J> {
    let (Some(job), Some(prompt)) = (next.job.clone(), next.prompt()) else { return (next, None) };
    let place = Place::of(&prompt);
    match action {
        Action::Type(letter) => next.entry = field::with(&next.entry, *letter, place),
        Action::Paste(pasted) => next.entry = field::with_pasted(&next.entry, pasted, place),
        Action::Erase => next.entry = text::without_last(&next.entry).to_owned(),
        Action::Back => step_back(&mut next),
        Action::Digit(digit) => {
            if prompt.field.choices.iter().any(|choice| choice.digit == *digit) {
                let reply = job.answer(next.form(), &Answer::Digit(*digit), at);
                return settle(next, reply);
            }
            next.note = Some(Note::warning(format!("{digit} is none of the answers")));
        }
        Action::Enter => {
            let answer = match (next.entry.trim(), &prompt.field.enter) {
                ("", None) => {
                    next.note = Some(Note::warning("Enter alone is no answer here"));
                    return (next, None);
                }
                ("", Some(_)) => Answer::Enter,
                (typed, _) => Answer::Typed(typed.to_owned()),
            };
            let reply = job.answer(next.form(), &answer, at);
            return settle(next, reply);
        }
        Action::TakeBack => return settle(next, job.take_back(at)),
        Action::Command(shortcut) => {
            let offer = job.offers().iter().position(|offer| offer.shortcut == Some(*shortcut));
            match offer {
                Some(offer) => return settle(next, job.begin(offer, at)),
                None => next.note = Some(Note::warning("not possible now; * lists what is")),
            }
        }
        Action::More => {
            let rows = job.offers().into_iter().map(|offer| vec![offer.label]).collect();
            let table =
                Table { title: "What else can be done now".into(), rows, ..Table::default() };
            next.top = Top::List(List::new(Listed::More, table));
        }
        Action::Kept => next.top = Top::List(List::new(Listed::Kept, job.kept())),
        Action::Compare => return (next, Some(Effect::Compare)),
        _ => {}
    }
    (next, None)
}

/// Back to the question before; a text that was begun is left only at the second time.
fn step_back<J: Job>(next: &mut App<J>) {
    let Top::Form { asked, under } = &mut next.top else { return };
    if !next.entry.is_empty() {
        next.entry.clear();
        next.note = Some(Note::done("the entry is emptied; Esc again goes back"));
        return;
    }
    asked.pop();
    if asked.is_empty() {
        next.entry = std::mem::take(under);
        next.top = Top::Nothing;
    }
}

/// A key that only wakes leaves what was typed and asked as it was, as far as it is still asked.
fn woken<J: Job>(next: App<J>, reply: Reply<J>) -> Next<J> {
    let (before, entry) = (next.job.as_ref().map(|job| job.prompt(None)), next.entry.clone());
    let on_top = !matches!(next.top, Top::Nothing);
    let (mut woken, effect) = settle(next, reply);
    let after = woken.job.as_ref().map(|job| job.prompt(None));
    if before == after && !on_top {
        woken.entry = entry;
    }
    (woken, effect)
}

fn settle<J: Job>(mut next: App<J>, reply: Reply<J>) -> Next<J> {
    match reply {
        Reply::Keep { next: job, entries, said } => {
            next.job = Some(*job);
            next.top = Top::Nothing;
            next.entry.clear();
            next.note = (!said.is_empty()).then(|| Note::done(said));
            (next, Some(Effect::Keep(entries)))
        }
        Reply::Ask(form) => {
            let entry = std::mem::take(&mut next.entry);
            match &mut next.top {
                Top::Form { asked, .. } => asked.push(*form),
                Top::Nothing | Top::List(_) | Top::Leave => {
                    next.top = Top::Form { asked: vec![*form], under: entry };
                }
            }
            (next, None)
        }
        Reply::Refused(why) => {
            next.note = Some(Note::warning(why));
            (next, None)
        }
    }
}
