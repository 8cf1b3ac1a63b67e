//! What the program shows: plain values, no terminal, no clock, no file.
//!
//! `update` makes the next state and at most one effect. The loop carries the effect out first and
//! keeps the next state only if that went well: what is on the screen was handed to the journal, and
//! is called saved only when the disk has confirmed it (`keeping`).

use super::broken_off::BrokenOff;
use super::doing::Doing;
pub use super::effect::{Carried, Effect};
use super::half::Half;
use super::help::Help;
use super::job::{Job, Stage, Table};
use super::keeping::Saving;
use super::keymap::{Action, Begun, Place};
use super::leaving;
pub use super::list::{List, Listed};
use super::look::{Look, Seen};
use super::paging::Shown;
use super::past::Past;
use super::profile_desk::ProfileDesk;
use super::screens::Note;
use super::screens::notice::NoticeView;
use super::screens::picture::Pictured;
use super::theme::{Colours, Theme, ThemeName};
use super::update::put;
use super::watching::{LOOK, Watched};
use super::widgets::digits::Ink;
use super::widgets::picture::PictureView;
use crate::domain::entry::Moment;
use crate::guide::Prompt;
use crate::guide::warmth::Wait;
use std::sync::Arc;

/// What lies on top of every question.
#[derive(Clone, Debug, PartialEq)]
pub enum Top {
    /// Nothing.
    Nothing,
    /// A list.
    List(List),
    /// An engine's past.
    Past(Past),
    /// A picture as a page.
    Picture(PictureOf),
    /// The help on what lies beneath it.
    Help(Box<Help>),
    /// The question whether to leave.
    Leave,
    /// The question in which other folder to save.
    SaveTo,
}

/// What a page is a picture of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureOf {
    /// The crank at this stop.
    Stop,
    /// The engine, with how each valve stands.
    Engine,
}

/// Everything that is shown.
#[derive(Clone, Debug)]
pub struct App<J: Job> {
    /// The list of engines.
    pub shop: List,
    /// The session, once an engine is chosen.
    pub job: Option<J>,
    /// A session that is only looked at; then there is none.
    pub watched: Option<Box<Watched>>,
    /// A command's questions, the last of them asked now; empty where the session asks.
    pub forms: Vec<J::Form>,
    /// What lies on top of the questions.
    pub top: Top,
    /// The form of a profile that is to be filled in next.
    pub describing: Option<Box<ProfileDesk>>,
    /// What stands in the entry.
    pub entry: String,
    /// The name of a new engine while its kind is chosen anew, and the kinds as they were listed.
    pub(super) draft: String,
    pub(super) kinds: Option<List>,
    /// What was said last.
    pub note: Option<Note>,
    /// What was said before the entry was begun: its room stays free while it is typed.
    pub(super) was_said: Option<Note>,
    /// What of the question was not on the screen before the entry was begun.
    pub(super) unread_before: Option<Shown>,
    /// Whether all of the question was on the screen before something was said that took its room.
    pub(super) was_whole: bool,
    /// The entry that was kept while Enter reads on: the Enter behind the last page answers with it.
    pub(super) waits: Option<String>,
    /// How far the disk is.
    pub saving: Saving,
    /// Where going back from the question for another folder leads to: whether to leave.
    pub(super) saves_to_leave: bool,
    /// What stands over every screen where nothing is unsaved, until the next key that counts.
    pub alert: Option<String>,
    /// What is being waited for, and for how many seconds; then only leaving and help are keys.
    pub busy: Option<(Doing, u64)>,
    /// The theme.
    pub theme: ThemeName,
    /// Whether colours may be used.
    pub colours: Colours,
    /// What everything is drawn with.
    pub ink: Ink,
    /// From where the engine is seen.
    pub seen: Seen,
    /// The first line shown of the page on top.
    pub scrolled: usize,
    /// Columns and rows of the window, as it was painted last.
    pub room: (u16, u16),
    /// When the question before was answered by a number, while the one behind it is asked. Whoever
    /// types on without looking up types the next number: of that no digit may answer a choice.
    pub(super) after_number: Option<Moment>,
    /// When a digit answered a choice: an Enter close behind it belongs to it, and confirms nothing else.
    pub(super) chosen_at: Option<Moment>,
    /// Digits at the beginning of the entry that were not taken: they came too close behind one that chose.
    pub(super) spilt: Option<(String, Moment)>,
    /// When something was not taken last for which the entry has no room: an Enter behind it keeps nothing, and
    /// a paste close behind it may be its rest.
    pub(super) overran: Option<Moment>,
    /// Whether a key was refused since the question was asked: an Enter behind it agrees to nothing.
    pub(super) slipped: bool,
    /// Whether the entry was refused: the next character begins it anew.
    pub(super) stale: bool,
    /// What was typed when another errand was begun: it stands there again when the same is asked.
    pub(super) half: Option<Box<Half>>,
    /// The questions of a command in whose middle one was called away: they stand there again after the way back.
    pub(super) broken_off: Option<Box<BrokenOff<J::Form>>>,
    /// Whether the bell may ring.
    pub bell: bool,
    /// Whether it rings with the next frame.
    pub rings: bool,
    /// The time as it was told last: with a key, or while something is waited for.
    pub(super) clock: Option<Moment>,
    /// The end of a wait that was rung for.
    pub(super) rung: Option<Moment>,
    pub(super) last_key: Option<Moment>,
    pub(super) last_answer: Option<(Action, Moment)>,
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
            watched: None,
            forms: Vec::new(),
            top: Top::Nothing,
            describing: None,
            entry: String::new(),
            draft: String::new(),
            kinds: None,
            note: None,
            was_said: None,
            unread_before: None,
            was_whole: false,
            waits: None,
            saving: Saving::All,
            saves_to_leave: false,
            alert: None,
            busy: None,
            theme,
            colours,
            ink,
            seen: Seen::default(),
            scrolled: 0,
            room: (80, 24),
            after_number: None,
            chosen_at: None,
            spilt: None,
            overran: None,
            slipped: false,
            stale: false,
            half: None,
            broken_off: None,
            bell: true,
            rings: false,
            clock: None,
            rung: None,
            last_key: None,
            last_answer: None,
        }
    }

    /// Returns the looks as they are to be remembered.
    pub fn look(&self) -> Look {
        Look { theme: self.theme, ink: self.ink, seen: self.seen }
    }

    /// Returns the theme, ready to paint.
    pub fn paints(&self) -> Theme {
        Theme::new(self.theme, self.colours)
    }

    /// Returns what was said before the entry that this action goes on with.
    pub(super) fn said_before(&self, action: &Action) -> Option<Note> {
        let types = matches!(action, Action::Type(_) | Action::Paste(_) | Action::Erase);
        self.note.as_ref().or(self.was_said.as_ref()).filter(|_| types).cloned()
    }

    /// Returns the command's question that is asked now.
    pub fn form(&self) -> Option<&J::Form> {
        self.forms.last()
    }

    /// Returns the question on the screen, where there is one.
    pub fn prompt(&self) -> Option<Prompt> {
        match (&self.top, &self.job) {
            (Top::Leave, _) => Some(leaving::leave_prompt(self)),
            (Top::SaveTo, _) => Some(leaving::save_to_prompt(self)),
            (Top::List(_) | Top::Past(..) | Top::Help(_), _) | (_, None) => None,
            (Top::Picture(_), Some(_)) if self.picture().is_some() => None,
            (Top::Nothing | Top::Picture(_), Some(job)) => {
                let mut prompt = job.prompt(self.form());
                if self.after_number.is_some() {
                    prompt.field.wait_for_enter();
                }
                Some(prompt)
            }
        }
    }

    /// Returns the picture that lies on top as a page, where there is one.
    pub fn picture(&self) -> Option<Pictured> {
        match self.top {
            Top::Picture(of) => self.pictured(of),
            Top::Nothing
            | Top::List(_)
            | Top::Past(..)
            | Top::Help(_)
            | Top::Leave
            | Top::SaveTo => None,
        }
    }

    /// Returns this picture, where there is one now.
    pub fn pictured(&self, of: PictureOf) -> Option<Pictured> {
        let job = self.job.as_ref()?;
        Some(match of {
            PictureOf::Stop => Pictured::Stop(PictureView { ink: self.ink, ..job.picture()? }),
            PictureOf::Engine => Pictured::Engine(job.drawing()?.seen_from(self.seen), self.ink),
        })
    }

    /// Returns the notice on the screen, where there is one.
    pub fn notice(&self) -> Option<NoticeView> {
        match &self.top {
            Top::Nothing if self.forms.is_empty() => {
                let notice = self.job.as_ref().and_then(Job::notice)?;
                Some(NoticeView { ink: self.ink, first: self.scrolled, ..notice })
            }
            Top::Nothing
            | Top::List(_)
            | Top::Past(..)
            | Top::Picture(_)
            | Top::Help(_)
            | Top::Leave
            | Top::SaveTo => None,
        }
    }

    /// Returns the list on the screen, where there is one.
    pub fn list(&self) -> Option<&List> {
        match (&self.top, &self.job) {
            (Top::List(list), _) => Some(list),
            (Top::Leave | Top::SaveTo | Top::Past(..) | Top::Help(_), _)
            | (Top::Nothing | Top::Picture(_), Some(_)) => None,
            (Top::Nothing | Top::Picture(_), None) => {
                Some(self.watched.as_ref().map_or(&self.shop, |watched| &watched.list))
            }
        }
    }

    /// Tells which keys work.
    pub fn place(&self) -> Place {
        if self.notice().is_some() {
            Place::Notice
        } else if let Some(list) = self.list() {
            match list.what {
                Listed::Shop => Place::Shop,
                Listed::Kinds => Place::Kinds,
                Listed::Engine
                | Listed::More
                | Listed::Meanwhile
                | Listed::Kept
                | Listed::Records => Place::List,
                Listed::Compare | Listed::Record => Place::Review,
                Listed::Watched => Place::Watching,
            }
        } else if matches!(self.top, Top::Past(_)) {
            Place::Review
        } else if self.picture().is_some() || matches!(self.top, Top::Help(_)) {
            Place::Page
        } else {
            self.prompt().map_or(Place::Enter, |prompt| Place::of(&prompt))
        }
    }

    /// Tells whether something stands in the entry that keys go to.
    pub fn begun(&self) -> Begun {
        match self.top {
            Top::Nothing if self.job.is_none() && self.watched.is_none() => self.shop.begun(),
            Top::Nothing if self.job.is_none() => Begun::No,
            Top::Nothing | Top::SaveTo => Begun::of(&self.entry),
            Top::List(ref list) => list.begun(),
            Top::Past(ref past) => past.begun(),
            Top::Picture(_) | Top::Help(_) | Top::Leave => Begun::No,
        }
    }

    /// Takes in what an effect brought back.
    pub fn with(mut self, carried: Carried<J>) -> App<J> {
        match carried {
            // The form takes its own answers.
            Carried::Done | Carried::Written(_) => {}
            Carried::Describe(desk) => self.describing = Some(desk),
            Carried::Session(job) => {
                let draft = std::mem::take(&mut self.draft);
                self.entry = if job.stage() == Stage::Kind { draft } else { String::new() };
                self.job = Some(*job);
                self.watched = None;
                self.forms.clear();
                self.top = Top::Nothing;
                self.put_half_back();
            }
            Carried::Kept(job) => {
                // What was given or typed at another question is no answer to this one.
                if !self.is_asked_by(&job) {
                    self.forms.clear();
                    self.entry.clear();
                }
                self.job = Some(*job);
            }
            Carried::Instead(job, why) => {
                self = self.with(Carried::Session(job));
                self.note = Some(Note::warning(why));
            }
            Carried::Shop(table) => {
                self.shop = self.shop.renewed(table);
                self.job = None;
                self.watched = None;
                self.forms.clear();
                self.top = Top::Nothing;
                self.entry.clear();
            }
            Carried::Watching(watched) => self.watch(*watched),
            Carried::Kinds(table) => {
                let back = self.job.take().is_some_and(|job| job.stage() == Stage::Kind);
                self.forms.clear();
                self.entry.clear();
                // Back from one of them, they stand as they were searched.
                self.top = Top::List(match self.kinds.take().filter(|_| back) {
                    Some(kinds) => kinds.renewed(table),
                    None => List::new(Listed::Kinds, table),
                });
            }
            Carried::Past(pages) => {
                self.top = Top::Past(Past::new(pages));
                self.scrolled = 0;
            }
            Carried::Table(table) => self.top = Top::List(List::new(Listed::Compare, table)),
            Carried::Closed(job, table) => {
                self.job = Some(*job);
                self.top = Top::List(List::new(Listed::Compare, table));
            }
            Carried::Records(table) => self.top = Top::List(List::new(Listed::Records, table)),
            Carried::Record(table) => {
                let beneath = match self.top {
                    Top::List(list) if list.what == Listed::Records => Some(Arc::new(list)),
                    _ => None,
                };
                self.top = Top::List(List { beneath, ..List::new(Listed::Record, table) });
            }
            Carried::Said(carried, words) => {
                self = self.with(*carried);
                self.note = Some(Note::done(words).behind(self.note));
            }
            Carried::Told(carried, words) => {
                self = self.with(*carried);
                self.note = Some(Note::warning(words).behind(self.note));
            }
        }
        self
    }

    /// Takes in what came to light beside any key; what a key was answered with is still to be seen.
    pub fn told(mut self, beside: Option<Note>) -> App<J> {
        if let Some(beside) = beside {
            self.note = Some(beside.behind(self.note));
        }
        self
    }

    /// Says why an effect could not be carried out; everything else stays as it was.
    pub fn refused(mut self, why: String) -> App<J> {
        self.note = Some(Note::warning(why));
        self.stale = !self.entry.is_empty();
        self.rings = self.bell;
        self
    }

    /// Says why the effect of a key could not be carried out. When that key was pressed still counts:
    /// what comes close behind it belongs to it.
    pub fn failed(mut self, pressed: App<J>, why: String) -> App<J> {
        self.chosen_at = pressed.chosen_at;
        (self.last_key, self.last_answer) = (pressed.last_key, pressed.last_answer);
        self.clock = pressed.clock;
        // The cursor stands on the row that was refused: Enter opens no other one.
        let rows = self.list().filter(|list| list.table.rows.len() <= 9);
        let refused = match (&self.last_answer, rows) {
            (Some((Action::Digit(digit), _)), Some(list)) => list.numbered(*digit),
            _ => None,
        };
        if let Some(list) = refused {
            put(&mut self, List { number: String::new(), ..list });
        }
        self.refused(why)
    }

    /// Says something that is to be noted, and was no answer.
    pub(super) fn warned(mut self, why: String) -> App<J> {
        self.note = Some(Note::warning(why));
        self
    }

    /// Returns how long nothing will change by itself, milliseconds; `None` where only keys do that.
    pub fn changes_in_ms(&self) -> Option<u64> {
        if self.watched.is_some() {
            return u64::try_from(LOOK.as_millis()).ok();
        }
        Some(self.waiting()?.changes_in_ms(self.clock?))
    }

    /// Returns the wait that is on the screen.
    pub(super) fn waiting(&self) -> Option<Wait> {
        let asks = self.top == Top::Nothing && self.forms.is_empty();
        self.job.as_ref().filter(|_| asks).and_then(Job::wait)
    }

    /// Takes in the time while something is waited for; rings once where the wait is over.
    pub fn told_time(mut self, at: Moment) -> App<J> {
        self.clock = Some(at);
        self.rings = false;
        if let Some(wait) = self.waiting().filter(|wait| wait.is_over(at))
            && self.rung != wait.again
        {
            self.rung = wait.again;
            self.rings = self.bell;
        }
        self
    }
}
