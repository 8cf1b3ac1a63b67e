//! The form of a profile on the screen: where the cursor is, what a key does, what is asked.
//!
//! A value like the rest of the screens: `press` makes the next one, and at most one wish that the
//! shell carries out. What the fields mean is the guide's business.

use super::app::Top;
use super::help::{self, Help};
use super::profile_keys;
use super::screens::Note;
use super::theme::{Colours, Theme, ThemeName};
use super::widgets::digits::Ink;
use super::widgets::text;
use crate::guide::help::Piece;
use crate::guide::profile_form::{Doubt, Fault, Field, Form, Grave, Kind, Page};

/// Most characters of a field; the loader has its own, lower, limits.
const LONGEST: usize = 2000;
/// Said of what goes past that.
const NO_ROOM: &str = "a field has at most 2000 characters: nothing of that was taken";

/// A key as the form knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Key {
    /// A character of a text.
    Letter(char),
    /// Pasted text.
    Paste(String),
    /// One character less.
    Erase,
    /// The field is done, or the answer is given.
    Enter,
    /// Out of here.
    Esc,
    /// A field up.
    Up,
    /// A field down.
    Down,
    /// The next field that is to be put right.
    NextWrong,
    /// The one before that is to be put right.
    LastWrong,
    /// The page before.
    PageUp,
    /// The page after.
    PageDown,
    /// The proposal before.
    Left,
    /// The next proposal.
    Right,
    /// The help on what is asked.
    Help,
    /// Ctrl-C.
    Interrupt,
    /// Paint everything anew.
    Redraw,
    /// Nothing here.
    Nothing,
}

/// What the shell is to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Write the profile under this name; replace the user's own where he said so.
    Write {
        /// The file's name without its ending.
        name: String,
        /// Whether his own profile of this name may be replaced.
        replace: bool,
    },
    /// Leave the form.
    Leave,
}

/// What became of a wish.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Done {
    /// It is written: here.
    Written(String),
    /// There is a profile of the user's own by this name: may it be replaced?
    Exists,
    /// It was refused; these are the words.
    Refused(String),
}

/// What is asked on top of the fields.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asked {
    /// Nothing.
    Nothing,
    /// Whether to write, go on or throw away.
    Leave,
    /// Whether all that was typed is to be thrown away.
    ThrowAway,
    /// Whether a figure is right as typed.
    Doubt(Doubt),
    /// Which unit a figure is in, of which nothing tells it.
    Unit,
    /// The name of the file.
    Name,
    /// Whether the user's own profile of this name may be replaced.
    Replace,
}

/// The form on the screen.
#[derive(Clone, Debug)]
pub struct ProfileDesk {
    /// The form.
    pub form: Form,
    /// What it is: "a new profile", "a copy of flat-four".
    pub title: String,
    /// The name that the file is to have.
    pub name: String,
    /// The page.
    pub page: Page,
    /// The row on the page; behind the last field is the row that writes.
    pub row: usize,
    /// Whether the field in hand was typed in since it was come to.
    pub typing: bool,
    /// What is asked on top.
    pub asked: Asked,
    /// What is typed where a choice waits for Enter, and whether it was refused: what comes next begins anew.
    pub answer: (String, bool),
    /// Whether a key was refused since: an Enter behind it agrees to nothing yet.
    pub slipped: bool,
    /// The help that lies on top.
    pub help: Option<Help>,
    /// Columns and rows of the window, as it was painted last.
    pub room: (u16, u16),
    /// Figures that were asked about and are right: paths and texts.
    pub sure: Vec<(String, String)>,
    /// What was said last.
    pub note: Option<Note>,
    /// The theme.
    pub theme: ThemeName,
    /// Whether colours may be used.
    pub colours: Colours,
    /// What everything is drawn with.
    pub ink: Ink,
}

impl ProfileDesk {
    /// Puts a form on the screen.
    pub fn new(
        form: Form,
        title: String,
        name: String,
        theme: (ThemeName, Colours),
    ) -> ProfileDesk {
        ProfileDesk {
            form,
            title,
            name,
            page: Page::Needed,
            row: 0,
            typing: false,
            asked: Asked::Nothing,
            answer: Default::default(),
            slipped: false,
            help: None,
            room: (80, 24),
            sure: Vec::new(),
            note: None,
            theme: theme.0,
            colours: theme.1,
            ink: Ink::default(),
        }
    }

    /// Returns the theme, ready to paint.
    pub fn paints(&self) -> Theme {
        Theme::new(self.theme, self.colours)
    }

    /// Returns the fields of the page.
    pub fn fields(&self) -> Vec<Field> {
        self.form.fields(self.page)
    }

    /// Returns the field that the cursor is on; `None` on the row that writes.
    pub fn field(&self) -> Option<Field> {
        self.fields().into_iter().nth(self.row)
    }

    /// Returns what Enter takes for the field in hand while it is empty.
    pub fn taken_by_enter(&self, field: &Field) -> Option<String> {
        let asked_of_all = field.needed || field.page == Page::Needed;
        let empty = self.form.text(&field.path).trim().is_empty();
        if asked_of_all && empty { self.form.proposed(field) } else { None }
    }

    /// Makes the next state of a key, and what the shell is to do.
    #[must_use]
    pub fn press(&self, key: &Key) -> (ProfileDesk, Option<Wish>) {
        let mut next = self.clone();
        next.note = None;
        if let Some(help) = &self.help {
            return next.in_help(help, key);
        }
        let wish = match &self.asked {
            Asked::Nothing => next.in_fields(key),
            Asked::Leave => next.leaving(key),
            Asked::ThrowAway => next.throwing_away(key),
            Asked::Doubt(doubt) => {
                next.doubting(doubt, key);
                None
            }
            Asked::Unit => {
                next.with_unit(key);
                None
            }
            Asked::Name => next.naming(key),
            Asked::Replace => next.replacing(key),
        };
        (next, wish)
    }

    /// Takes in what became of a wish to write; true where the form is done with.
    pub fn with(&mut self, done: Done) -> bool {
        match done {
            Done::Written(_) => {
                self.form.written();
                return true;
            }
            Done::Exists => self.asked = Asked::Replace,
            Done::Refused(words) => {
                self.asked = Asked::Name;
                self.note = Some(Note::warning(words));
            }
        }
        false
    }

    /// Returns it as it is shown while it is being written.
    pub(super) fn saying(&self, words: String) -> ProfileDesk {
        ProfileDesk { note: Some(Note::done(words)), ..self.clone() }
    }

    fn in_fields(&mut self, key: &Key) -> Option<Wish> {
        let field = self.field();
        // Nobody agrees to what he typed blind.
        let slipped = std::mem::take(&mut self.slipped);
        if slipped && *key == Key::Enter {
            self.note = Some(Note::warning(self.once_more(field.as_ref())));
            return None;
        }
        match (key, &field) {
            (Key::Letter(letter), Some(field)) => self.letter(field, *letter, slipped),
            (Key::Paste(pasted), Some(field)) => self.typed(field, pasted),
            (Key::Erase, Some(field)) => {
                let left = text::without_last(self.form.text(&field.path)).to_owned();
                self.form.set(&field.path, left);
                self.typing = true;
            }
            (Key::Left | Key::Right, Some(field)) => self.propose(field, *key == Key::Right),
            (Key::Enter, Some(field)) => {
                if let Some(taken) = self.taken_by_enter(field) {
                    self.form.set(&field.path, taken);
                }
                // A number pad has no letters for it.
                if self.form.wants_unit(field) {
                    (self.asked, self.answer) = (Asked::Unit, Default::default());
                } else {
                    self.go_to(self.row + 1);
                }
            }
            (Key::Enter, None) => self.ask_name(),
            (Key::Help, _) => self.help = Some(self.help_now()),
            (Key::Up, _) => self.go_to(self.row.saturating_sub(1)),
            (Key::Down, _) => self.go_to(self.row + 1),
            (Key::NextWrong, _) => self.go_to_left(true),
            (Key::LastWrong, _) => self.go_to_left(false),
            (Key::PageUp, _) => self.turn(-1),
            (Key::PageDown, _) => self.turn(1),
            (Key::Esc | Key::Interrupt, _) => {
                if !self.form.changed() {
                    return Some(Wish::Leave);
                }
                self.asked = Asked::Leave;
            }
            (Key::Letter(_) | Key::Paste(_), None) => {
                self.slipped = true;
                self.note =
                    Some(Note::warning("nothing is typed here: that was taken into no field"));
            }
            (Key::Redraw | Key::Nothing, _) => self.slipped = slipped,
            (Key::Erase | Key::Left | Key::Right, None) => {}
        }
        None
    }

    /// Adds to what stands in a field; behind a word that was chosen, and in a figure that was come to,
    /// it begins anew.
    pub(super) fn typed(&mut self, field: &Field, more: &str) {
        let old = self.form.text(&field.path).to_owned();
        // What begins with a hyphen goes on with a list.
        let goes_on = is_list(field.kind) && more.starts_with(['-', ',', ';', ' ']);
        let replaces = self.replaces(field) && !goes_on;
        let stays = if replaces || self.form.has_chosen(field) { "" } else { old.as_str() };
        let more = more.replace("\r\n", " ").replace(['\n', '\r', '\t'], " ");
        let more: String = more.chars().filter(|letter| text::is_plain(*letter)).collect();
        let both = format!("{stays}{more}");
        if both.chars().nth(LONGEST).is_some() {
            self.note = Some(Note::warning(NO_ROOM));
            return;
        }
        if replaces {
            self.note = Some(Note::done(format!("typed anew; before it was {}", old.trim())));
        }
        self.form.set(&field.path, both.trim_start());
        self.typing = true;
    }

    /// Puts the next proposal into an empty field, or in the place of another proposal.
    fn propose(&mut self, field: &Field, forward: bool) {
        let proposals = self.form.proposals(field);
        let now = self.form.text(&field.path).trim().to_string();
        let place = proposals.iter().position(|proposal| *proposal == now);
        let last = proposals.len().saturating_sub(1);
        let next = match (place, forward) {
            (Some(place), true) => {
                if place == last {
                    0
                } else {
                    place + 1
                }
            }
            (Some(place), false) => place.checked_sub(1).unwrap_or(last),
            (None, true) if now.is_empty() => 0,
            (None, false) if now.is_empty() => last,
            (None, _) => {
                self.note = Some(Note::warning("erase what is typed, then the arrows propose"));
                return;
            }
        };
        match proposals.get(next) {
            Some(proposal) => self.form.set(&field.path, proposal.clone()),
            None => self.note = Some(Note::warning("nothing is proposed here: type it")),
        }
    }

    /// Tells whether an arrow would put another proposal into the field in hand.
    pub(super) fn is_proposed_another(&self) -> bool {
        let Some(field) = self.field() else { return false };
        let (now, proposals) = (self.form.text(&field.path).trim(), self.form.proposals(&field));
        let another = proposals.iter().any(|proposal| proposal != now);
        another && (now.is_empty() || proposals.iter().any(|proposal| proposal == now))
    }

    /// Returns the figures that are doubted and not yet told to be right.
    pub(super) fn doubted(&self) -> impl Iterator<Item = Doubt> {
        let told = |doubt: &Doubt| {
            self.sure.iter().any(|(path, text)| *path == doubt.path && *text == doubt.text)
        };
        self.form.doubts().into_iter().filter(move |doubt| !told(doubt))
    }

    /// Asks about the field in hand, where its figure is doubted and not yet told to be right.
    pub fn doubt_of(&self, field: &Field) -> Option<Doubt> {
        let doubt = self.form.doubt(field)?;
        let told = self.sure.contains(&(doubt.path.clone(), doubt.text.clone()));
        (!told).then_some(doubt)
    }

    /// Tells whether the next digit takes the place of what stands in a field: of a figure, or of numbers in
    /// a row, that was come to and not yet touched. A text is gone on with.
    pub fn replaces(&self, field: &Field) -> bool {
        let figure = match field.kind {
            Kind::Whole
            | Kind::Number
            | Kind::Threads
            | Kind::Length
            | Kind::Angle(_)
            | Kind::Order
            | Kind::Numbers => true,
            Kind::Words
            | Kind::Caution
            | Kind::WordList
            | Kind::Labels
            | Kind::Hardware
            | Kind::Stop
            | Kind::Choice(_)
            | Kind::YesNo
            | Kind::Lengths => false,
        };
        figure && !self.typing && !self.form.text(&field.path).is_empty()
    }

    /// Tells whether a sign such as `?` may be a part of what is typed in the field in hand.
    pub fn types_signs(&self) -> bool {
        let Some(field) = self.field() else { return false };
        let typed = !self.form.text(&field.path).is_empty();
        typed
            && match field.kind {
                Kind::Words
                | Kind::Caution
                | Kind::WordList
                | Kind::Labels
                | Kind::Hardware
                | Kind::Stop => true,
                Kind::Choice(_)
                | Kind::YesNo
                | Kind::Whole
                | Kind::Number
                | Kind::Order
                | Kind::Numbers
                | Kind::Threads
                | Kind::Length
                | Kind::Lengths
                | Kind::Angle(_) => false,
            }
    }

    /// Makes the help on the field in hand, or on writing, with all keys.
    fn help_now(&self) -> Help {
        let mut page = match self.field() {
            Some(field) => self.form.help(&field),
            None => crate::guide::profile_form::help_on_writing(),
        };
        page.pieces.push(Piece::Head("Keys".into()));
        let keys = profile_keys::all().into_iter();
        page.pieces.extend(keys.map(|(key, what)| Piece::Item(format!("{key}: {what}"))));
        Help { lines: help::lines(&page), title: page.title, first: 0, beneath: Top::Nothing }
    }
}

/// Tells whether numbers in a row are typed.
fn is_list(kind: Kind) -> bool {
    matches!(kind, Kind::Order | Kind::Numbers)
}

/// Makes a file's name of a kind in words: small letters, digits, hyphens.
pub fn file_name(words: &str) -> String {
    let mut name = String::new();
    for letter in words.to_lowercase().chars() {
        if letter.is_ascii_alphanumeric() {
            name.push(letter);
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    name.chars().take(40).collect::<String>().trim_matches('-').to_string()
}

/// What is wrong or missing, as it is shown.
pub struct Judged {
    /// All of it; what the field in hand may still become while it is typed is not wrong yet, but to be
    /// filled in.
    pub left: Vec<Fault>,
    /// The same beside the fields: of the field in hand only what cannot become right.
    pub signs: Vec<Fault>,
}

/// Judges what is typed, the field in hand by what it may still become.
pub fn judged(desk: &ProfileDesk) -> Judged {
    let mut left = desk.form.faults();
    let mut signs = left.clone();
    if let Some(field) = desk.field().filter(|_| desk.typing)
        && desk.form.may_become(&field)
    {
        let half = |fault: &Fault| fault.path == field.path && fault.grave == Grave::Wrong;
        signs.retain(|fault| !half(fault));
        left.iter_mut().filter(|fault| half(fault)).for_each(|fault| fault.grave = Grave::Missing);
    }
    Judged { left, signs }
}

/// Tells which of two faults of a field is to be shown: what is wrong before what is missing.
pub fn graver(faults: &[Fault], path: &str) -> Option<Fault> {
    let of = |grave| faults.iter().find(|fault| fault.path == path && fault.grave == grave);
    of(Grave::Wrong).or_else(|| of(Grave::Missing)).cloned()
}
