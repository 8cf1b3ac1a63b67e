//! A session small enough to see through, for tests of keys and of the terminal: three questions in
//! turn (a choice, a reading, Enter alone), and a remark that asks two things.

#![allow(clippy::panic, reason = "one command panics on purpose")]

use cowlside::domain::entry::{Away, Back, Entry, Moment, Remark};
use cowlside::guide::help::{self, Page};
use cowlside::guide::warmth::Wait;
use cowlside::guide::{Choice, Field, Prompt, Typed};
use cowlside::tui::app::App;
use cowlside::tui::job::{Answer, Job, Offer, Reply, Stage, Table};
use cowlside::tui::keymap::Shortcut;
use cowlside::tui::screens::notice::NoticeView;
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::widgets::engine::EngineView;
use cowlside::tui::widgets::picture::PictureView;

/// Keeps every answer as a remark, so that it can be read in the effects.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StandIn {
    pub kept: Vec<String>,
    pub open: Vec<String>,
    pub away: bool,
    pub wait: Option<Wait>,
}

/// What the remark's first question was answered with.
#[derive(Clone, Debug, PartialEq)]
pub struct Asking(pub Option<String>);

pub fn remark(text: &str) -> Entry {
    Entry::Remark(Remark { text: text.to_owned(), ..Remark::default() })
}

pub fn at(ms: i64) -> Moment {
    Moment { unix_ms: ms, offset_min: 0 }
}

pub fn app(job: Option<StandIn>) -> App<StandIn> {
    let engines = Table {
        title: "Which engine?".into(),
        rows: (1..=12).map(|engine| vec![format!("engine {engine}")]).collect(),
        ..Table::default()
    };
    App::new(engines, job, ThemeName::Terminal, Colours::Allowed, Ink::Blocks)
}

impl StandIn {
    fn keep(&self, text: &str) -> Reply<StandIn> {
        let mut next = self.clone();
        next.kept.push(text.to_owned());
        Reply::Keep {
            next: Box::new(next),
            entries: vec![remark(text)],
            said: format!("kept: {text}"),
            verdict: vec![],
        }
    }
}

fn asked(ask: &str, typed: Option<Typed>, choices: &[u8], enter: Option<&str>) -> Prompt {
    let choice = |digit: &u8| Choice { digit: *digit, label: format!("answer {digit}") };
    Prompt {
        place: "stop 1 of 1".into(),
        title: ask.to_owned(),
        ask: ask.to_owned(),
        field: Field {
            choices: choices.iter().map(choice).collect(),
            typed,
            enter: enter.map(str::to_owned),
            ..Field::default()
        },
        ..Prompt::default()
    }
}

impl Job for StandIn {
    fn stage(&self) -> Stage {
        Stage::Open
    }

    type Form = Asking;

    fn engine(&self) -> String {
        "stand-in".into()
    }

    fn prompt(&self, form: Option<&Asking>) -> Prompt {
        match form {
            Some(Asking(None)) => asked("Remark on what?", Some(Typed::Text), &[], None),
            Some(Asking(Some(_))) => asked("Before it runs?", None, &[1, 2], None),
            None => match self.kept.len() % 3 {
                0 => asked("How many are loose?", None, &[0, 1, 2], None),
                1 => asked("Which leaf drags?", Some(Typed::Reading), &[], None),
                _ => asked("Nut locked?", None, &[], Some("it is locked")),
            },
        }
    }

    fn taken_for(&self, _form: Option<&Asking>, entry: &str) -> String {
        format!("taken for {entry}")
    }

    fn answer(&self, form: Option<&Asking>, answer: &Answer, _at: Moment) -> Reply<StandIn> {
        match (form, answer) {
            (Some(Asking(None)), Answer::Typed(text)) => {
                Reply::Ask(Box::new(Asking(Some(text.clone()))))
            }
            (Some(Asking(Some(text))), Answer::Digit(digit)) => {
                self.keep(&format!("remark {text} {digit}"))
            }
            (Some(Asking(_)), _) => Reply::Refused("no such answer".into()),
            (None, Answer::Typed(text)) if text == "99" => {
                Reply::Refused("99 is no leaf of the set".into())
            }
            (None, Answer::Typed(text)) => self.keep(text),
            (None, Answer::Digit(digit)) => self.keep(&digit.to_string()),
            (None, Answer::Enter) => self.keep("Enter"),
        }
    }

    fn offers(&self) -> Vec<Offer> {
        [("remark", Some(Shortcut::Remark)), ("called away", Some(Shortcut::Away)), ("panic", None)]
            .map(|(label, shortcut)| Offer { label: label.into(), shortcut, not_now: None })
            .to_vec()
    }

    fn begin(&self, offer: usize, _at: Moment) -> Reply<StandIn> {
        match offer {
            0 => Reply::Ask(Box::new(Asking(None))),
            1 => {
                let next = StandIn { away: true, ..self.clone() };
                let entries = vec![Entry::Away(Away::default())];
                Reply::Keep { next: Box::new(next), entries, said: String::new(), verdict: vec![] }
            }
            _ => panic!("on purpose"),
        }
    }

    fn take_back(&self, _at: Moment) -> Reply<StandIn> {
        let mut next = self.clone();
        match next.kept.pop() {
            Some(text) => Reply::Keep {
                next: Box::new(next),
                entries: vec![remark(&format!("back: {text}"))],
                said: format!("taken back: {text}"),
                verdict: vec![],
            },
            None => Reply::Refused("nothing to take back".into()),
        }
    }

    fn back(&self, back: Back, _at: Moment) -> Reply<StandIn> {
        let next = StandIn { away: false, ..self.clone() };
        Reply::Keep {
            next: Box::new(next),
            entries: vec![Entry::Back(back)],
            said: "back".into(),
            verdict: vec![],
        }
    }

    fn open_items(&self) -> Vec<String> {
        self.open.clone()
    }

    fn drawing(&self) -> Option<EngineView> {
        None
    }

    fn picture(&self) -> Option<PictureView> {
        None
    }

    fn undo(&self) -> Option<String> {
        self.kept.last().cloned()
    }

    fn notice(&self) -> Option<NoticeView> {
        let words = "DO NOT TURN".into();
        self.away.then(|| NoticeView { words, hint: "Enter: back".into(), ..NoticeView::default() })
    }

    fn help(&self, _form: Option<&Asking>) -> Page {
        help::topics().next().map(|topic| topic.page(None)).unwrap_or_default()
    }

    fn wait(&self) -> Option<Wait> {
        self.wait
    }

    fn disbelieves(&self) -> bool {
        self.kept.last().is_some_and(|text| text == "77")
    }

    fn kept(&self) -> Table {
        let rows = self.kept.iter().rev().map(|text| vec![text.clone()]).collect();
        Table { title: "Kept".into(), rows, ..Table::default() }
    }

    fn correct(&self, row: usize, _at: Moment) -> Reply<StandIn> {
        Reply::Refused(format!("row {row} stands"))
    }
}
