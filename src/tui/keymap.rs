//! The one table of keys: where a key works, what it means, what it is called.
//!
//! The footer, the help screen and the handling of keys all read this table, so they cannot differ.
//! No key needs Ctrl, Alt or a function key; digits do a session's commands too, by the list on `*`.

pub use super::job::Shortcut;
pub use super::place::{Begun, Place};
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use std::borrow::Cow;

/// What a key means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Action {
    /// One character more in the entry.
    Type(char),
    /// Pasted text, into the entry only.
    Paste(String),
    /// One character less in the entry.
    Erase,
    /// The entry as it stands, or what Enter alone means.
    Enter,
    /// One of several answers, or a line of a list.
    Digit(u8),
    /// Out of what lies on top; nothing is lost.
    Back,
    /// To another line of a list.
    Move(Motion),
    /// A page up; from the first page back.
    Before,
    /// A page down; behind the last lines of one the next page.
    After,
    /// Another page of an engine's past.
    Turn(Turn),
    /// The last entry taken back.
    TakeBack,
    /// The list of everything else that can be done now.
    More,
    /// A command with a letter of its own.
    Command(Shortcut),
    /// The comparison with earlier sessions.
    Compare,
    /// The engine's past with its charts.
    History,
    /// The running hours of the engine under the cursor.
    Hours,
    /// The profile of the engine under the cursor; no key of its own.
    Profile,
    /// A search, before its first letter.
    Search,
    /// The next order of a table.
    Order,
    /// The picture of the stop, as a page.
    Picture,
    /// The list of what was kept.
    Kept,
    /// The record, line by line.
    Record,
    /// The help screen.
    Help,
    /// The session that is looked at, gone on with here.
    TakeOver,
    /// The next theme.
    Theme,
    /// The bell on or off.
    Bell,
    /// The engine from the next place round it.
    View,
    /// Blocks or plain ASCII.
    Ink,
    /// Leave the program.
    Leave,
    /// Ctrl-C: the question whether to leave, and leave when it is already asked.
    Interrupt,
    /// Paint everything anew.
    Redraw,
    /// Stop the program, to be taken up again by the shell.
    Suspend,
    /// The key that was heard last, which is held down: no press of its own.
    HeldDown,
    /// A key of the question that has no meaning while something is typed.
    AfterEntry(char),
    /// A character that is neither part of an answer nor a key where it is pressed.
    NoUse(char),
    /// A key without a meaning here; it only shows that somebody is there.
    Nothing,
}

/// Movements in a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Motion {
    /// A line up.
    Up,
    /// A line down.
    Down,
    /// A window up.
    PageUp,
    /// A window down.
    PageDown,
    /// The first line.
    First,
    /// The last line.
    Last,
}

/// To a neighbour among pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// To the one before.
    Back,
    /// To the next one.
    On,
}

/// A key as the table names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Key {
    Char(char),
    Digits,
    /// Told as a row of its own; what a letter means is decided by [`Place::takes`].
    Letters,
    Ctrl(char),
    Code(KeyCode),
    /// A minus that was typed, and then Enter: where a minus may begin an entry.
    MinusEnter,
}

/// Where a row works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum At {
    /// Everywhere.
    Anywhere,
    /// On a notice.
    Notice,
    /// Wherever letters are no text.
    NotText,
    /// Where letters are text.
    Text,
    /// Where letters are text, while nothing is typed.
    EmptyText,
    /// Questions whose letters are no text, while nothing is typed.
    Question,
    /// The same, and while something is typed of which the key can be no part; that is kept.
    Errand,
    /// As `Question`, but not where a minus may begin the entry.
    QuestionWithoutMinus,
    /// Questions where a minus may begin the entry.
    QuestionWithMinus,
    /// Where something stands in the entry.
    Begun,
    /// One digit answers.
    Choice,
    /// Lists to choose from.
    List,
    /// Lists in which letters search.
    Finder,
    /// Those, while nothing is searched.
    WholeFinder,
    /// Tables and lists in which letters search, while nothing is searched.
    WholeTable,
    /// The list of engines while nothing is searched.
    WholeShop,
    /// The kinds of engine, and tables to read, while nothing is searched.
    WholeKinds,
    WholeReview,
    /// Lists and pages without a search.
    Leafed,
    /// Tables to read.
    Review,
    /// Pages to read.
    Page,
    /// Reviews while something is searched in them.
    SearchedReview,
    /// Lists that one goes back from.
    Closing,
    /// All lists.
    AnyList,
    /// A session that is only looked at.
    Watching,
    /// Something is typed.
    Field,
    /// Enter alone answers.
    EnterAlone,
}

/// Where a row is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    /// At the foot of the screen, in the help, in the documentation.
    Foot,
    /// As `Foot`, but only where it takes no line of its own.
    Spare,
    /// In the help and the documentation.
    Help,
    /// Nowhere: the same is told by another key.
    Nowhere,
}

struct Row {
    at: At,
    key: Key,
    action: Action,
    shown: &'static str,
    label: &'static str,
    told: Told,
}

const fn foot(at: At, key: Key, action: Action, shown: &'static str, label: &'static str) -> Row {
    Row { at, key, action, shown, label, told: Told::Foot }
}

const fn spare(at: At, key: Key, action: Action, shown: &'static str, label: &'static str) -> Row {
    Row { at, key, action, shown, label, told: Told::Spare }
}

const fn help(at: At, key: Key, action: Action, shown: &'static str, label: &'static str) -> Row {
    Row { at, key, action, shown, label, told: Told::Help }
}

const fn also(at: At, key: Key, action: Action) -> Row {
    Row { at, key, action, shown: "", label: "", told: Told::Nowhere }
}

/// What the key that takes back is called, where it is not said what it takes back.
pub const TAKE_BACK: &str = "take back";

/// Every key, the most needed first: that is the order of the footer.
#[rustfmt::skip]
static TABLE: [Row; 89] = [
    foot(At::Choice, Key::Digits, Action::Digit(0), "digit", "answer"),
    foot(At::List, Key::Digits, Action::Digit(0), "digit", "choose"),
    foot(At::WholeFinder, Key::Digits, Action::Digit(0), "digit", "choose"),
    spare(At::WholeTable, Key::Letters, Action::Search, "letters", "search"),
    foot(At::Field, Key::Code(KeyCode::Enter), Action::Enter, "Enter", "keep"),
    foot(At::EnterAlone, Key::Code(KeyCode::Enter), Action::Enter, "Enter", "go on"),
    also(At::Choice, Key::Code(KeyCode::Enter), Action::Enter),
    foot(At::Notice, Key::Code(KeyCode::Enter), Action::Enter, "Enter", "I am back"),
    foot(At::List, Key::Code(KeyCode::Enter), Action::Enter, "Enter", "open"),
    foot(At::Finder, Key::Code(KeyCode::Enter), Action::Enter, "Enter", "open"),
    also(At::Closing, Key::Code(KeyCode::Enter), Action::Enter),
    foot(At::SearchedReview, Key::Code(KeyCode::Backspace), Action::Erase, "Backspace", "erase"),
    foot(At::AnyList, Key::Code(KeyCode::Up), Action::Move(Motion::Up), "arrows", "move"),
    also(At::AnyList, Key::Code(KeyCode::Down), Action::Move(Motion::Down)),
    also(At::List, Key::Code(KeyCode::Left), Action::Move(Motion::Up)),
    also(At::List, Key::Code(KeyCode::Right), Action::Move(Motion::Down)),
    also(At::Finder, Key::Code(KeyCode::Left), Action::Move(Motion::Up)),
    also(At::Finder, Key::Code(KeyCode::Right), Action::Move(Motion::Down)),
    also(At::Watching, Key::Code(KeyCode::Left), Action::Move(Motion::Up)),
    also(At::Watching, Key::Code(KeyCode::Right), Action::Move(Motion::Down)),
    foot(At::Review, Key::Char('.'), Action::Order, ".", "sort"),
    also(At::Review, Key::Char(','), Action::Order),
    foot(At::Begun, Key::Code(KeyCode::Backspace), Action::Erase, "Backspace", "erase"),
    also(At::Begun, Key::Ctrl('h'), Action::Erase),
    foot(At::QuestionWithoutMinus, Key::Char('-'), Action::TakeBack, "-", TAKE_BACK),
    help(At::QuestionWithoutMinus, Key::Char('u'), Action::TakeBack, "u", TAKE_BACK),
    foot(At::QuestionWithMinus, Key::MinusEnter, Action::TakeBack, "- Enter", TAKE_BACK),
    help(At::QuestionWithMinus, Key::Char('u'), Action::TakeBack, "u", TAKE_BACK),
    foot(At::EmptyText, Key::MinusEnter, Action::TakeBack, "- Enter", TAKE_BACK),
    foot(At::WholeShop, Key::Char('+'), Action::Hours, "+", "hours"),
    foot(At::Leafed, Key::Char('+'), Action::Move(Motion::PageDown), "+ -", "page"),
    help(At::WholeKinds, Key::Char('+'), Action::Move(Motion::PageDown), "+ -", "page"),
    foot(At::Errand, Key::Char('*'), Action::More, "*", "more"),
    foot(At::EmptyText, Key::Char('*'), Action::More, "*", "more"),
    foot(At::WholeShop, Key::Char('*'), Action::More, "*", "more"),
    foot(At::Errand, Key::Char('s'), Action::Command(Shortcut::SeenOverlap), "s", "I see overlap"),
    foot(At::Errand, Key::Char('a'), Action::Command(Shortcut::Away), "a", "away"),
    spare(At::Errand, Key::Char('p'), Action::Picture, "p", "picture"),
    foot(At::Watching, Key::Char('g'), Action::TakeOver, "g", "go on here"),
    foot(At::Anywhere, Key::Code(KeyCode::Esc), Action::Back, "Esc", "back"),
    spare(At::WholeReview, Key::Char('+'), Action::After, "+ -", "page"),
    spare(At::WholeReview, Key::Code(KeyCode::Enter), Action::Enter, "Enter", "back"),
    foot(At::Review, Key::Code(KeyCode::Right), Action::Turn(Turn::On), "left right", "valves"),
    also(At::Review, Key::Code(KeyCode::Left), Action::Turn(Turn::Back)),
    also(At::Page, Key::Code(KeyCode::Right), Action::Turn(Turn::On)),
    also(At::Page, Key::Code(KeyCode::Left), Action::Turn(Turn::Back)),
    also(At::SearchedReview, Key::Ctrl('h'), Action::Erase),
    foot(At::NotText, Key::Char('?'), Action::Help, "?", "help"),
    foot(At::EmptyText, Key::Char('?'), Action::Help, "?", "help"),
    foot(At::Notice, Key::Char('?'), Action::Help, "?", "help"),
    help(At::Anywhere, Key::Code(KeyCode::F(1)), Action::Help, "F1", "help, while one types or searches too"),
    help(At::Errand, Key::Char('n'), Action::Command(Shortcut::Remark), "n", "remark"),
    help(At::Errand, Key::Char('k'), Action::Command(Shortcut::Skip), "k", "pass over a valve"),
    help(At::Errand, Key::Char('w'), Action::Command(Shortcut::Who), "w", "somebody takes over"),
    help(At::Errand, Key::Char('l'), Action::Kept, "l", "list of readings; correct one"),
    help(At::Errand, Key::Char('c'), Action::Compare, "c", "compare with earlier services"),
    help(At::Errand, Key::Char('h'), Action::History, "h", "history of each valve, with charts"),
    help(At::Errand, Key::Char('r'), Action::Record, "r", "read the record as it stands"),
    spare(At::WholeShop, Key::Char('.'), Action::Order, ".", "sort"),
    help(At::WholeShop, Key::Char('.'), Action::Order, ".", "sort: the next order"),
    also(At::WholeShop, Key::Char(','), Action::Order),
    help(At::WholeTable, Key::Char('/'), Action::Search, "/", "search, by digits too; once more: all again"),
    help(At::NotText, Key::Char('t'), Action::Theme, "t", "the next theme: terminal, daylight, dark"),
    help(At::Notice, Key::Char('t'), Action::Theme, "t", "the next theme: terminal, daylight, dark"),
    help(At::Anywhere, Key::Ctrl('t'), Action::Theme, "Ctrl-T", "the next theme, in a text too"),
    help(At::NotText, Key::Char('v'), Action::View, "v", "the engine from the next side: rear, left, front, right"),
    help(At::NotText, Key::Char('i'), Action::Ink, "i", "draw with blocks, or with plain ASCII"),
    help(At::NotText, Key::Char('b'), Action::Bell, "b", "the bell on or off"),
    foot(At::NotText, Key::Char('q'), Action::Leave, "q", "leave"),
    help(At::Errand, Key::Char('f'), Action::Command(Shortcut::ByLeaf), "f", "gauge leaf by leaf"),
    help(At::Leafed, Key::Char('+'), Action::Move(Motion::PageDown), "+ -", "the next page, the page before; from the first one back"),
    help(At::AnyList, Key::Code(KeyCode::PageUp), Action::Move(Motion::PageUp), "Page up", "further up"),
    help(At::AnyList, Key::Code(KeyCode::PageDown), Action::Move(Motion::PageDown), "Page down", "further down"),
    help(At::AnyList, Key::Code(KeyCode::Home), Action::Move(Motion::First), "Home", "the first line"),
    help(At::AnyList, Key::Code(KeyCode::End), Action::Move(Motion::Last), "End", "the last line"),
    also(At::Question, Key::Code(KeyCode::PageUp), Action::Move(Motion::PageUp)),
    also(At::Question, Key::Code(KeyCode::PageDown), Action::Move(Motion::PageDown)),
    also(At::EmptyText, Key::Code(KeyCode::PageUp), Action::Move(Motion::PageUp)),
    also(At::EmptyText, Key::Code(KeyCode::PageDown), Action::Move(Motion::PageDown)),
    also(At::Closing, Key::Char('*'), Action::Back),
    also(At::Review, Key::Char('*'), Action::Back),
    also(At::Closing, Key::Char('-'), Action::Before),
    also(At::WholeKinds, Key::Char('-'), Action::Before),
    also(At::Closing, Key::Char('p'), Action::Back),
    also(At::Closing, Key::Code(KeyCode::Backspace), Action::Back),
    spare(At::Text, Key::Ctrl('c'), Action::Interrupt, "Ctrl-C", "leave"),
    help(At::Anywhere, Key::Ctrl('c'), Action::Interrupt, "Ctrl-C", "ask whether to leave; again: leave"),
    help(At::Anywhere, Key::Ctrl('l'), Action::Redraw, "Ctrl-L", "paint everything anew"),
    help(At::Anywhere, Key::Ctrl('z'), Action::Suspend, "Ctrl-Z", "stop; the shell's fg goes on"),
];

impl Row {
    /// Tells whether the key is a character of the entry there.
    fn is_text(&self, place: Place, entry: Begun) -> bool {
        match self.key {
            Key::Char(letter) => place.takes(letter, entry),
            Key::Digits | Key::Letters | Key::Ctrl(_) | Key::Code(_) | Key::MinusEnter => false,
        }
    }

    fn works(&self, place: Place, entry: Begun) -> bool {
        let question = place.asks();
        let typed =
            place == Place::Text || question && !matches!(place, Place::Choice | Place::Enter);
        let finder = matches!(place, Place::Shop | Place::Kinds);
        let review = place == Place::Review;
        let whole = entry == Begun::No;
        match self.at {
            At::Anywhere => true,
            At::Notice => place == Place::Notice,
            At::NotText => place != Place::Notice && place != Place::Text,
            At::Text => place == Place::Text,
            At::EmptyText => place == Place::Text && entry == Begun::No,
            At::Question => question && entry == Begun::No,
            At::Errand => question,
            At::QuestionWithoutMinus => question && place != Place::Number && entry == Begun::No,
            At::QuestionWithMinus => place == Place::Number && entry == Begun::No,
            At::Begun => (typed || finder) && entry == Begun::Yes,
            At::Choice => place == Place::Choice,
            At::List => place == Place::List,
            At::Finder => finder,
            At::WholeFinder => finder && entry == Begun::No,
            At::WholeTable => (finder || review) && whole,
            At::WholeShop => place == Place::Shop && whole,
            At::WholeKinds => place == Place::Kinds && whole,
            At::WholeReview => review && whole,
            At::Leafed => matches!(place, Place::List | Place::Page),
            At::Review => review,
            At::Page => place == Place::Page,
            At::SearchedReview => review && !whole,
            At::Closing => matches!(place, Place::List | Place::Page) || review && whole,
            At::AnyList => {
                finder
                    || review
                    || matches!(place, Place::List | Place::Page | Place::Watching | Place::Notice)
            }
            At::Watching => place == Place::Watching,
            At::Field => typed,
            At::EnterAlone => place == Place::Enter,
        }
    }
}

/// A key and what it does, for the footer and the help screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// The key as written on screen.
    pub key: &'static str,
    /// What it does.
    pub label: Cow<'static, str>,
    /// The same in fewer letters, where it has them.
    pub brief: Option<String>,
    /// True where it is told only if that takes no line of its own.
    pub spare: bool,
}

/// Lists the keys for the foot of a screen, the most needed first: those of the place whose action
/// comes to something now.
pub fn hints(place: Place, entry: Begun, comes_to: impl Fn(&Action) -> bool) -> Vec<Hint> {
    TABLE
        .iter()
        .filter(|row| matches!(row.told, Told::Foot | Told::Spare) && row.works(place, entry))
        .filter(|row| !row.is_text(place, entry) && comes_to(&row.action))
        // Beside what is typed the foot tells only what is done with it.
        .filter(|row| row.at != At::Errand || entry == Begun::No)
        .map(|row| Hint {
            key: row.shown,
            label: row.label.into(),
            brief: None,
            spare: row.told == Told::Spare,
        })
        .collect()
}

/// Lists every key once with all that it does, for the documentation.
pub fn all() -> Vec<(&'static str, String)> {
    listed(|_| true)
}

/// Lists the keys of whose action a word tells, in the letters of the table.
pub fn of_word(word: &str) -> Vec<(&'static str, String)> {
    let word = word.trim().to_lowercase();
    let words = |label: &str| {
        label.to_lowercase().split(|l: char| !l.is_alphanumeric()).any(|one| one == word)
    };
    listed(|row| words(row.label))
}

/// Lists the keys of a place with what they do there, before something stands in the entry and after;
/// those whose action comes to something now.
pub fn here(place: Place, comes_to: impl Fn(&Action) -> bool) -> Vec<(&'static str, String)> {
    listed(|row| {
        let works = |entry| row.works(place, entry) && !row.is_text(place, entry);
        (works(Begun::No) || works(Begun::Yes)) && comes_to(&row.action)
    })
}

fn listed(wanted: impl Fn(&Row) -> bool) -> Vec<(&'static str, String)> {
    let mut keys: Vec<(&'static str, String)> = Vec::new();
    for row in TABLE.iter().filter(|row| row.told != Told::Nowhere && wanted(row)) {
        match keys.iter_mut().find(|(key, _)| *key == row.shown) {
            Some((_, labels)) if labels.contains(row.label) => {}
            Some((_, labels)) if row.label.contains(labels.as_str()) => *labels = row.label.into(),
            Some((_, labels)) => *labels = format!("{labels}; {}", row.label),
            None => keys.push((row.shown, row.label.into())),
        }
    }
    keys
}

/// Returns all keys as a table for the documentation.
pub fn table_text() -> String {
    let rows = all().into_iter().map(|(key, what)| format!("| `{key}` | {what} |\n"));
    format!("| key | what it does |\n| --- | --- |\n{}", rows.collect::<String>())
}

/// Tells what a key means here; `None` for what is no press of a key.
pub fn action(key: KeyEvent, place: Place, entry: Begun) -> Option<Action> {
    let pressed = match key.kind {
        KeyEventKind::Press => true,
        KeyEventKind::Repeat => {
            use KeyCode::{Backspace, Down, Left, Right, Up};
            matches!(key.code, Up | Down | Left | Right | Backspace)
        }
        KeyEventKind::Release => false,
    };
    if !pressed {
        return None;
    }
    let held = key.modifiers.difference(KeyModifiers::SHIFT);
    Some(meaning(key.code, held, place, entry))
}

fn meaning(code: KeyCode, held: KeyModifiers, place: Place, entry: Begun) -> Action {
    let key = match (code, held) {
        (KeyCode::Char(letter), KeyModifiers::NONE) if place.takes(letter, entry) => {
            return Action::Type(letter);
        }
        (KeyCode::Char(digit), KeyModifiers::NONE) if digit.is_ascii_digit() => Key::Digits,
        (KeyCode::Char(letter), KeyModifiers::NONE) => Key::Char(letter),
        (KeyCode::Char(letter), KeyModifiers::CONTROL) => Key::Ctrl(letter.to_ascii_lowercase()),
        (KeyCode::Char(_), _) => return Action::Nothing,
        (code, _) => Key::Code(code),
    };
    let works = |entry| TABLE.iter().find(|row| row.key == key && row.works(place, entry));
    let row = match (works(entry), code) {
        (Some(row), _) => row,
        (None, KeyCode::Char(letter)) if works(Begun::No).is_some() => {
            return Action::AfterEntry(letter);
        }
        (None, KeyCode::Char(letter)) if held.is_empty() => return Action::NoUse(letter),
        (None, _) => return Action::Nothing,
    };
    match (&row.action, code) {
        (Action::Digit(_), KeyCode::Char(digit)) => {
            Action::Digit(u8::try_from(digit.to_digit(10).unwrap_or(0)).unwrap_or(0))
        }
        (action, _) => action.clone(),
    }
}

#[cfg(test)]
mod tests;
