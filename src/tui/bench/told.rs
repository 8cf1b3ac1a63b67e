//! What the screens ask of a bench, found out once: each frame asks the same many times, and on one
//! desk the answer never changes.

use super::{Bench, Desk, Job, Offer, shortcut};
use crate::domain::picture::Picture;
use crate::domain::session::Due;
use crate::domain::valve::{Cylinder, Standing};
use crate::guide::warmth::Wait;
use crate::guide::{Command, Prompt, Step, Talk, Task, Typed};
use crate::guide::{amending, commands, glance, hangar, picture, status, warmth};
use crate::tui::screens::notice::NoticeView;
use crate::tui::widgets::engine::EngineView;
use crate::tui::widgets::picture::PictureView;
use std::sync::{Mutex, OnceLock, PoisonError};

/// What is asked of the bench many times for each frame, and answered once.
#[derive(Debug, Default)]
pub(super) struct Told {
    pub(super) prompt: OnceLock<Prompt>,
    /// The question within a task, of the answers given last.
    asked: Mutex<Option<(Talk, Prompt)>>,
    pub(super) offers: OnceLock<Vec<Offer>>,
    pub(super) whereabouts: OnceLock<Vec<String>>,
    pub(super) undo: OnceLock<Option<String>>,
    pub(super) open: OnceLock<Vec<String>>,
    /// The engine, whatever is asked.
    pub(super) engine: OnceLock<Option<EngineView>>,
    pub(super) picture: OnceLock<Option<PictureView>>,
    pub(super) notice: OnceLock<Option<NoticeView>>,
    pub(super) wait: OnceLock<Option<Wait>>,
}

impl Told {
    /// Returns the question that these answers lead to, found out by `ask` where it is another than before.
    pub(super) fn asked(&self, talk: &Talk, ask: impl FnOnce() -> Prompt) -> Prompt {
        let mut last = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((known, prompt)) = &*last
            && (&known.task, &known.given) == (&talk.task, &talk.given)
        {
            return prompt.clone();
        }
        let prompt = ask();
        *last = Some((talk.clone(), prompt.clone()));
        prompt
    }
}

impl Bench {
    pub(super) fn prompt_now(&self, form: Option<&Talk>) -> Prompt {
        let talk = self.talk(form);
        if let Some(session) = self.session() {
            return talk.prompt(session);
        }
        match self.start(&talk.given).or_else(|| self.start(&[])) {
            Some(Step::Ask(prompt)) => prompt,
            _ => Prompt::default(),
        }
    }

    pub(super) fn offers_now(&self) -> Vec<Offer> {
        let Some(session) = self.session() else { return Vec::new() };
        commands::offers(session, &self.beside())
            .into_iter()
            .map(|offered| Offer {
                label: offered.label,
                shortcut: shortcut(offered.command),
                not_now: offered.not_now,
            })
            .collect()
    }

    pub(super) fn whereabouts_now(&self) -> Vec<String> {
        match &self.desk {
            Desk::Session { session, beside, .. } => glance::whereabouts(session, beside),
            Desk::NewEngine(_)
            | Desk::Beginning { .. }
            | Desk::Versions { .. }
            | Desk::Hours { .. } => Vec::new(),
        }
    }

    pub(super) fn taken_now(&self, prompt: &Prompt, entry: &str) -> String {
        let reading = prompt.field.typed == Some(Typed::Reading);
        match self.session() {
            Some(session) if reading => status::taken_for(session, entry),
            Some(_) | None => String::new(),
        }
    }

    pub(super) fn undo_now(&self) -> Option<String> {
        glance::undo(self.session()?)
    }

    pub(super) fn open_items_now(&self) -> Vec<String> {
        self.session().map(status::open_lines).unwrap_or_default()
    }

    pub(super) fn engine_now(&self) -> Option<EngineView> {
        if let Desk::Beginning { profile, .. } = &self.desk {
            let profile = profile.as_ref()?;
            return Some(EngineView::new(profile, |_| Standing::NotYet, None, &[]));
        }
        let session = self.session()?;
        let (watched, valves) = self.parts(session);
        let gauged: Vec<Cylinder> = valves.iter().map(|valve| valve.cylinder).collect();
        let standing = |valve| session.state.standing(valve);
        let profile = &session.state.profile.profile;
        Some(EngineView::new(profile, standing, watched, &gauged).gauging(&valves))
    }

    /// The engine beside the question of a command; the valve that is corrected shows only that it is asked about.
    /// `None` beside one that takes a reading of any valve: it may be one that shows what it read before.
    pub(super) fn engine_beside_a_command(&self, form: &Talk) -> Option<EngineView> {
        let Task::Command(command) = form.task else { return None };
        let reads = matches!(command, Command::AgainstPlan | Command::Paper | Command::Adopt);
        if reads {
            return None;
        }
        let corrects = command == Command::Correct;
        let of_it = self.session().filter(|_| corrects);
        let valve = of_it.and_then(|session| amending::corrected(session, &form.given));
        let engine = self.drawn_where_free()?;
        Some(match valve {
            Some(valve) => engine.with_due(valve),
            None => engine,
        })
    }

    pub(super) fn picture_now(&self) -> Option<PictureView> {
        let session = self.session()?;
        let numbers = Picture::due(&session.state)?;
        let words = picture::words(session.state.facts(), &numbers);
        Some(PictureView::new(&numbers, words, self.ink))
    }

    pub(super) fn notice_now(&self) -> Option<NoticeView> {
        let Desk::Session { session, beside, .. } = &self.desk else { return None };
        if session.state.due() != Due::Away {
            return None;
        }
        let words = status::notice(session, &beside.earlier).into_iter().next().unwrap_or_default();
        let (lines, kinds) = hangar::lines(session, &beside.earlier);
        let hint = "Enter: I am back, ?: help".into();
        let loose = hangar::large(session);
        Some(NoticeView { words, loose, lines, kinds, hint, first: 0, ink: self.ink })
    }

    pub(super) fn wait_now(&self) -> Option<Wait> {
        self.session().and_then(warmth::wait)
    }
}
