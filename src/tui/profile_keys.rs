//! The keys of a profile's form: one table, from which they are handled, shown and documented.

use super::keymap::Hint;
use super::profile_desk::{Asked, Key, ProfileDesk};
use super::widgets::text;
use crate::guide::profile_form::Page;
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

/// A key as the table names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pressed {
    Code(KeyCode),
    Ctrl(char),
    /// A letter that is no text where its row stands.
    Sign(char),
}

/// Where a row works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum At {
    /// Everywhere.
    Anywhere,
    /// In the fields, and on the row that writes.
    Fields,
    /// There, as long as nothing was typed.
    Unchanged,
    /// There, once something was typed.
    Changed,
    /// There, on a page that has a field.
    Among,
    /// In a field.
    Field,
    /// On the row that writes, where nothing is to be put right.
    Sound,
    /// There, as long as something is.
    Unsound,
    /// As long as something is to be put right elsewhere than in the field in hand.
    Left,
    /// Where there is a further page.
    Before,
    /// On the last page.
    Last,
    /// In a field of which something is proposed, beside what is chosen.
    Proposed,
    /// In the fields, where nothing is typed or the sign can be no part of what is.
    Aside,
    /// While the file's name is asked for.
    Name,
    /// There, where it has a letter.
    Named,
    /// Where a digit answers.
    Answer,
    /// Where it is asked whether to write, or to throw away.
    Leaving,
    /// Where it is asked whether a figure is right.
    Doubt,
    /// Where it is asked whether a profile may be replaced.
    Replace,
    /// Where a choice waits for Enter.
    Unit,
    /// There, before a digit is typed.
    NoUnit,
    /// There, once one is.
    SomeUnit,
    /// In the help.
    Help,
}

struct Row {
    at: At,
    pressed: Pressed,
    key: Key,
    /// As told at the foot and in the documentation; empty where another row tells the same.
    shown: &'static str,
    label: &'static str,
    /// Whether it is told at the foot.
    foot: bool,
}

#[rustfmt::skip]
const fn row(at: At, pressed: Pressed, key: Key, shown: &'static str, label: &'static str, foot: bool) -> Row {
    Row { at, pressed, key, shown, label, foot }
}

const fn also(at: At, pressed: Pressed, key: Key) -> Row {
    Row { at, pressed, key, shown: "", label: "", foot: false }
}

use At::{
    Among, Answer, Anywhere, Aside, Before, Changed, Doubt, Field, Fields, Help, Last, Leaving,
    Left,
};
use At::{Name, Named, NoUnit, Proposed, Replace, SomeUnit, Sound, Unchanged, Unit, Unsound};
use Pressed::{Code, Ctrl, Sign};

/// What is told of the key that leads to what is to be put right.
const TO_WHAT_IS_LEFT: &str = "to what is left";

/// What is told of the keys that move in the help.
pub const FURTHER: &str = "further";

/// Every key, the most needed first: that is the order of the foot.
#[rustfmt::skip]
static TABLE: [Row; 50] = [
    row(Help, Code(KeyCode::Esc), Key::Esc, "Esc", "back to the form", true),
    also(Help, Code(KeyCode::Enter), Key::Esc),
    also(Help, Sign('?'), Key::Esc),
    row(Answer, Sign('1'), Key::Letter('1'), "digit", "answer", true),
    also(Answer, Sign('2'), Key::Letter('2')),
    also(Answer, Sign('3'), Key::Letter('3')),
    row(Leaving, Code(KeyCode::Esc), Key::Esc, "Esc", "go on", true),
    row(Doubt, Code(KeyCode::Esc), Key::Esc, "Esc", "correct it", true),
    row(Replace, Code(KeyCode::Esc), Key::Esc, "Esc", "another name", true),
    row(Named, Code(KeyCode::Enter), Key::Enter, "Enter", "write", true),
    also(Name, Code(KeyCode::Enter), Key::Enter),
    row(Named, Code(KeyCode::Backspace), Key::Erase, "Backspace", "erase", true),
    also(Name, Code(KeyCode::Backspace), Key::Erase),
    row(Name, Code(KeyCode::Esc), Key::Esc, "Esc", "back to the form", true),
    row(Changed, Code(KeyCode::Esc), Key::Esc, "Esc", "write or leave", true),
    row(Unchanged, Code(KeyCode::Esc), Key::Esc, "Esc", "leave", true),
    row(Field, Code(KeyCode::Enter), Key::Enter, "Enter", "next", true),
    row(Sound, Code(KeyCode::Enter), Key::Enter, "Enter", "write", true),
    row(Unsound, Code(KeyCode::Enter), Key::Enter, "Enter", TO_WHAT_IS_LEFT, true),
    row(Aside, Sign('?'), Key::Help, "?", "help", true),
    row(Fields, Code(KeyCode::F(1)), Key::Help, "F1", "help, in a text too", false),
    row(Left, Code(KeyCode::Tab), Key::NextWrong, "Tab", TO_WHAT_IS_LEFT, true),
    also(Fields, Code(KeyCode::Tab), Key::NextWrong),
    also(Fields, Code(KeyCode::BackTab), Key::LastWrong),
    row(Before, Code(KeyCode::PageDown), Key::PageDown, "PageDown", "next page", true),
    also(Fields, Code(KeyCode::PageDown), Key::PageDown),
    row(Last, Code(KeyCode::PageUp), Key::PageUp, "PageUp", "page before", true),
    also(Fields, Code(KeyCode::PageUp), Key::PageUp),
    row(Proposed, Code(KeyCode::Right), Key::Right, "left right", "propose", true),
    also(Fields, Code(KeyCode::Right), Key::Right),
    also(Fields, Code(KeyCode::Left), Key::Left),
    row(Among, Code(KeyCode::Down), Key::Down, "up down", "move", true),
    also(Among, Code(KeyCode::Up), Key::Up),
    row(Fields, Code(KeyCode::Backspace), Key::Erase, "Backspace", "erase", false),
    also(Fields, Ctrl('h'), Key::Erase),
    also(Name, Ctrl('h'), Key::Erase),
    row(Help, Code(KeyCode::Down), Key::Down, "up down", FURTHER, true),
    also(Help, Code(KeyCode::Up), Key::Up),
    row(Help, Code(KeyCode::PageDown), Key::PageDown, "PageDown", "next part", false),
    also(Help, Code(KeyCode::PageUp), Key::PageUp),
    row(NoUnit, Sign('1'), Key::Letter('1'), "digit, Enter", "answer", true),
    also(Unit, Sign('1'), Key::Letter('1')),
    row(SomeUnit, Code(KeyCode::Enter), Key::Enter, "Enter", "answer", true),
    also(Unit, Code(KeyCode::Enter), Key::Enter),
    row(SomeUnit, Code(KeyCode::Backspace), Key::Erase, "Backspace", "erase", true),
    also(Unit, Code(KeyCode::Backspace), Key::Erase),
    also(Unit, Ctrl('h'), Key::Erase),
    row(Unit, Code(KeyCode::Esc), Key::Esc, "Esc", "back to the figure", true),
    row(Anywhere, Ctrl('c'), Key::Interrupt, "Ctrl-C", "ask whether to leave; again: leave", false),
    row(Anywhere, Ctrl('l'), Key::Redraw, "Ctrl-L", "paint everything anew", false),
];

impl Row {
    fn works(&self, desk: &ProfileDesk) -> bool {
        if desk.help.is_some() {
            return matches!(self.at, At::Help | At::Anywhere);
        }
        let form = &desk.form;
        match (self.at, &desk.asked) {
            (At::Anywhere, _) | (At::Fields, Asked::Nothing) => true,
            (At::Changed, Asked::Nothing) => form.changed(),
            (At::Unchanged, Asked::Nothing) => !form.changed(),
            (At::Among, Asked::Nothing) => !desk.fields().is_empty(),
            (At::Field, Asked::Nothing) => desk.field().is_some(),
            (At::Sound, Asked::Nothing) => desk.field().is_none() && form.faults().is_empty(),
            (At::Unsound, Asked::Nothing) => desk.field().is_none() && !form.faults().is_empty(),
            (At::Left, Asked::Nothing) => {
                let here = desk.field().map(|field| field.path);
                form.faults().iter().any(|fault| Some(&fault.path) != here.as_ref())
            }
            (At::Before, Asked::Nothing) => Page::ALL.last() != Some(&desk.page),
            (At::Last, Asked::Nothing) => Page::ALL.last() == Some(&desk.page),
            (At::Proposed, Asked::Nothing) => desk.is_proposed_another(),
            (At::Aside, Asked::Nothing) => !desk.types_signs(),
            (At::Name, Asked::Name) | (At::Unit, Asked::Unit) => true,
            (At::Named, Asked::Name) => !desk.name.trim().is_empty(),
            (At::NoUnit, Asked::Unit) => desk.answer.0.is_empty(),
            (At::SomeUnit, Asked::Unit) => !desk.answer.0.is_empty(),
            (At::Answer | At::Leaving, Asked::Leave | Asked::ThrowAway)
            | (At::Answer | At::Doubt, Asked::Doubt(_))
            | (At::Answer | At::Replace, Asked::Replace) => true,
            _ => false,
        }
    }
}

/// Tells what a key means in the form; `None` for what is no press.
pub fn key(event: KeyEvent, desk: &ProfileDesk) -> Option<Key> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    let held = event.modifiers.difference(KeyModifiers::SHIFT);
    // A held Enter is no second Enter, as everywhere.
    if event.code == KeyCode::Enter && event.kind == KeyEventKind::Repeat {
        return Some(Key::Nothing);
    }
    let pressed = match (event.code, held) {
        (KeyCode::Char(letter), KeyModifiers::NONE) => Sign(letter),
        (KeyCode::Char(letter), KeyModifiers::CONTROL) => Ctrl(letter.to_ascii_lowercase()),
        (KeyCode::Char(_), _) => return Some(Key::Nothing),
        (code, _) => Code(code),
    };
    let row = TABLE.iter().find(|row| row.pressed == pressed && row.works(desk));
    Some(match (row, pressed) {
        (Some(row), _) => row.key.clone(),
        (None, Sign(letter)) if text::is_plain(letter) && desk.help.is_none() => {
            Key::Letter(letter)
        }
        (None, _) => Key::Nothing,
    })
}

/// Lists the keys for the foot, the most needed first.
pub fn hints(desk: &ProfileDesk) -> Vec<Hint> {
    let told = TABLE.iter().filter(|row| row.foot && row.works(desk));
    told.map(|row| Hint { key: row.shown, label: row.label.into(), brief: None, spare: false })
        .collect()
}

/// Returns all keys as a table for the documentation.
pub fn table_text() -> String {
    let rows = all().into_iter().map(|(key, what)| format!("| `{key}` | {what} |\n"));
    format!("| key | what it does |\n| --- | --- |\n{}", rows.collect::<String>())
}

/// Lists every key once with all that it does.
pub fn all() -> Vec<(&'static str, String)> {
    let mut keys: Vec<(&'static str, String)> = Vec::new();
    for row in TABLE.iter().filter(|row| !row.shown.is_empty()) {
        match keys.iter_mut().find(|(key, _)| *key == row.shown) {
            Some((_, labels)) if labels.contains(row.label) => {}
            Some((_, labels)) => *labels = format!("{labels}; {}", row.label),
            None => keys.push((row.shown, row.label.into())),
        }
    }
    keys
}
