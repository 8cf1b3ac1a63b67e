//! The keys of a profile's form: one table, from which they are handled, shown and documented.

use super::keymap::Hint;
use super::profile_desk::{Asked, Key, ProfileDesk};
use super::widgets::text;
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
    /// In the fields.
    Fields,
    /// In the fields, as long as something is to be put right.
    Unsound,
    /// In the fields, where nothing is typed or the sign can be no part of what is.
    Aside,
    /// While the file's name is asked for.
    Name,
    /// Where a digit answers.
    Answer,
    /// Where a choice waits for Enter.
    Unit,
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

use At::{Answer, Anywhere, Aside, Fields, Help, Name, Unit, Unsound};
use Pressed::{Code, Ctrl, Sign};

/// Every key, the most needed first: that is the order of the foot.
#[rustfmt::skip]
static TABLE: [Row; 37] = [
    row(Help, Code(KeyCode::Esc), Key::Esc, "Esc", "back to the form", true),
    also(Help, Code(KeyCode::Enter), Key::Esc),
    also(Help, Sign('?'), Key::Esc),
    row(Answer, Sign('1'), Key::Letter('1'), "digit", "answer", true),
    also(Answer, Sign('2'), Key::Letter('2')),
    also(Answer, Sign('3'), Key::Letter('3')),
    row(Answer, Code(KeyCode::Esc), Key::Esc, "Esc", "go on", true),
    row(Name, Code(KeyCode::Enter), Key::Enter, "Enter", "write", true),
    row(Name, Code(KeyCode::Backspace), Key::Erase, "Backspace", "erase", true),
    row(Name, Code(KeyCode::Esc), Key::Esc, "Esc", "go on", true),
    row(Fields, Code(KeyCode::Esc), Key::Esc, "Esc", "write or leave", true),
    row(Fields, Code(KeyCode::Enter), Key::Enter, "Enter", "next", true),
    row(Aside, Sign('?'), Key::Help, "?", "help", true),
    row(Fields, Code(KeyCode::F(1)), Key::Help, "F1", "help, in a text too", false),
    row(Unsound, Code(KeyCode::Tab), Key::NextWrong, "Tab", "to what is left", true),
    also(Fields, Code(KeyCode::Tab), Key::NextWrong),
    also(Fields, Code(KeyCode::BackTab), Key::LastWrong),
    row(Fields, Code(KeyCode::PageDown), Key::PageDown, "PageDown", "next page", true),
    row(Fields, Code(KeyCode::PageUp), Key::PageUp, "PageUp", "page before", false),
    row(Fields, Code(KeyCode::Right), Key::Right, "left right", "propose", true),
    also(Fields, Code(KeyCode::Left), Key::Left),
    row(Fields, Code(KeyCode::Down), Key::Down, "up down", "move", true),
    also(Fields, Code(KeyCode::Up), Key::Up),
    row(Fields, Code(KeyCode::Backspace), Key::Erase, "Backspace", "erase", false),
    also(Fields, Ctrl('h'), Key::Erase),
    also(Name, Ctrl('h'), Key::Erase),
    row(Help, Code(KeyCode::Down), Key::Down, "up down", "further", true),
    also(Help, Code(KeyCode::Up), Key::Up),
    row(Help, Code(KeyCode::PageDown), Key::PageDown, "PageDown", "next part", false),
    also(Help, Code(KeyCode::PageUp), Key::PageUp),
    row(Unit, Sign('1'), Key::Letter('1'), "digit", "answer", true),
    row(Unit, Code(KeyCode::Enter), Key::Enter, "Enter", "next", true),
    row(Unit, Code(KeyCode::Backspace), Key::Erase, "Backspace", "erase", true),
    also(Unit, Ctrl('h'), Key::Erase),
    row(Unit, Code(KeyCode::Esc), Key::Esc, "Esc", "go on", true),
    row(Anywhere, Ctrl('c'), Key::Interrupt, "Ctrl-C", "ask whether to leave; again: leave", false),
    row(Anywhere, Ctrl('l'), Key::Redraw, "Ctrl-L", "paint everything anew", false),
];

impl Row {
    fn works(&self, desk: &ProfileDesk) -> bool {
        let helped = desk.help.is_some();
        match self.at {
            At::Anywhere => true,
            At::Help => helped,
            At::Fields => !helped && desk.asked == Asked::Nothing,
            At::Unsound => {
                !helped && desk.asked == Asked::Nothing && !desk.form.faults().is_empty()
            }
            At::Aside => !helped && desk.asked == Asked::Nothing && !desk.types_signs(),
            At::Name => !helped && desk.asked == Asked::Name,
            At::Unit => !helped && desk.asked == Asked::Unit,
            At::Answer => {
                !helped
                    && match desk.asked {
                        Asked::Leave | Asked::ThrowAway | Asked::Replace | Asked::Doubt(_) => true,
                        Asked::Nothing | Asked::Name | Asked::Unit => false,
                    }
            }
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
