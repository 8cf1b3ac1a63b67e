//! The help on what is on the screen: the guide's topic, the question or what stands above rows in full,
//! what is open, the keys.

use super::app::{App, Listed, Top};
use super::job::Job;
use super::keymap::Place;
use super::screens::help::{Kind, Line};
use super::view;
use super::widgets::digits::Ink;
use super::widgets::text;
use crate::domain::ascii::ascii;
use crate::guide::help::{self, Page, Piece, Topic, WIDTH};
use std::borrow::Cow;

/// The help, on top of what it is about.
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    /// What it is about.
    pub title: String,
    /// Its lines.
    pub lines: Vec<Line>,
    /// The line that is shown first.
    pub first: usize,
    /// What it lies on.
    pub beneath: Top,
}

/// Makes the help on what is on the screen.
pub fn help<J: Job>(app: &App<J>) -> Help {
    let page = page(app);
    let mut lines = Lines { ink: app.ink, ..Lines::default() };
    if let Some(prompt) = app.prompt().map(|prompt| app.seen.in_words(prompt)) {
        lines.head("This question in full");
        lines.say(&prompt.title);
        prompt.lines.iter().chain(&prompt.more).for_each(|line| lines.item(line));
        lines.say(&prompt.ask);
        for choice in &prompt.field.choices {
            lines.hung(&format!("{}  {}", choice.digit, choice.label), "");
        }
        if let Some(enter) = &prompt.field.enter {
            lines.hung(&format!("Enter: {enter}"), "");
        }
    }
    let above = app.list().map(|list| list.table.lines.clone()).unwrap_or_default();
    if !above.is_empty() {
        lines.head("Above the rows, in full");
        above.iter().for_each(|line| lines.item(line));
    }
    page.pieces.iter().for_each(|piece| lines.piece(piece));
    let open = app.job.as_ref().map(Job::open_items).unwrap_or_default();
    if !open.is_empty() {
        lines.head("Open");
        open.iter().for_each(|item| lines.item(item));
    }
    lines.head("Keys here");
    for (key, what) in view::keys_here(app) {
        lines.hung(&format!("{key}: {what}"), "");
    }
    if app.place() == Place::Text {
        lines.say("In a text every letter is text; then only these keys act.");
    }
    lines.say("(3 more: ?) on a screen: 3 more had no room there; they stand in this help.");
    lines.say("A terminal or a menu may take a key: * lists everything by number.");
    lines.say("Larger letters: the terminal's own, often Ctrl and +. A help fits 40x12.");
    lines.say(
        "All keys of all screens: cowlside help keys. Words of the trade: cowlside help glossary.",
    );
    Help { title: page.title, lines: lines.lines, first: 0, beneath: app.top.clone() }
}

/// Breaks a page into lines of a column's width.
pub fn lines(page: &Page) -> Vec<Line> {
    let mut lines = Lines::default();
    page.pieces.iter().for_each(|piece| lines.piece(piece));
    lines.lines
}

fn page<J: Job>(app: &App<J>) -> Page {
    let anywhere = |topic: &Topic| topic.page(None);
    match (&app.top, &app.job) {
        (Top::Help(help), _) => Page { title: help.title.clone(), pieces: Vec::new() },
        (Top::Leave, _) => anywhere(&help::LEAVING),
        (Top::Past(..), _) => anywhere(&help::PAST),
        (Top::Picture(_), _) => anywhere(&help::PICTURE),
        (Top::SaveTo, _) => anywhere(&help::SAVING),
        (Top::List(list), _) => anywhere(of_list(list.what)),
        (Top::Nothing, None) => {
            anywhere(of_list(app.list().map_or(app.shop.what, |list| list.what)))
        }
        (Top::Nothing, Some(job)) => job.help(app.form()),
    }
}

fn of_list(list: Listed) -> &'static Topic {
    match list {
        Listed::Shop | Listed::Engine => &help::ENGINES,
        Listed::Kinds => &help::KINDS,
        Listed::More | Listed::Meanwhile => &help::COMMAND_LIST,
        Listed::Kept => &help::READINGS,
        Listed::Compare => &help::COMPARISON,
        Listed::Record | Listed::Records => &help::RECORD,
        Listed::Watched => &help::WATCHING,
    }
}

/// Lines of one column's width.
#[derive(Default)]
struct Lines {
    lines: Vec<Line>,
    ink: Ink,
}

impl Lines {
    /// Spells words as they are shown, which may be longer, before they are set into lines.
    fn spelled<'a>(&self, words: &'a str) -> Cow<'a, str> {
        match self.ink {
            Ink::Blocks => words.into(),
            Ink::Hash | Ink::Halves => ascii(words).into(),
        }
    }

    fn put(&mut self, kind: Kind, text: String, keeps_next: bool) {
        self.lines.push(Line { kind, text, keeps_next });
    }

    fn head(&mut self, words: &str) {
        if !self.lines.is_empty() {
            self.put(Kind::Text, String::new(), false);
        }
        self.put(Kind::Head, words.to_string(), true);
    }

    fn hung(&mut self, words: &str, sign: &str) {
        const INDENT: u16 = 2;
        let wrapped = text::wrap(&self.spelled(words), WIDTH as u16 - INDENT);
        let count = wrapped.len();
        for (at, line) in wrapped.into_iter().enumerate() {
            let start = if at == 0 { sign } else { "  " };
            self.put(Kind::Text, format!("{start}{line}"), at + 1 < count);
        }
    }

    fn say(&mut self, words: &str) {
        for line in text::wrap(&self.spelled(words), WIDTH as u16) {
            self.put(Kind::Text, line, false);
        }
    }

    fn item(&mut self, words: &str) {
        self.hung(words, "- ");
    }

    fn piece(&mut self, piece: &Piece) {
        match piece {
            Piece::Head(words) => self.head(words),
            Piece::Say(words) => self.say(words),
            Piece::Item(words) => self.item(words),
            Piece::Drawing(drawing) => {
                self.head(drawing.title);
                let count = drawing.lines.len();
                for (at, line) in drawing.lines.iter().enumerate() {
                    self.put(Kind::Text, (*line).to_string(), at + 1 < count);
                }
            }
        }
    }
}
