//! Answers to what the form of a profile asks on top of its fields: leaving, a doubt, the file's name; and to
//! its choices.

use super::profile_desk::{Asked, Key, ProfileDesk, Wish};
use super::screens::Note;
use super::widgets::text;
use crate::domain::units::LengthUnit;
use crate::guide::profile_form::{Doubt, Field, Kind, words_of};

/// So many fields are soon filled in again.
const FEW: usize = 2;

impl ProfileDesk {
    pub(super) fn doubting(&mut self, doubt: &Doubt, key: &Key) {
        match key {
            Key::Letter('1') => {
                self.sure.push((doubt.path.clone(), doubt.text.clone()));
                self.ask_name();
            }
            Key::Letter('2') | Key::Esc => self.asked = Asked::Nothing,
            Key::Interrupt => self.asked = Asked::Leave,
            _ => self.note = Some(Note::warning("1 it is right as typed, 2 corrects it")),
        }
    }

    /// Asks for the unit of the figure that was typed last. It follows a number, so that it waits for Enter:
    /// who types on without looking up answers nothing by it, and that is said.
    pub(super) fn with_unit(&mut self, key: &Key) {
        const ASKED: &str = "1 millimetres, 2 inches or thou, then Enter; Esc goes back";
        match key {
            Key::Letter(letter) if text::is_plain(*letter) => {
                let (typed, refused) = std::mem::take(&mut self.answer);
                let mut typed = if refused { String::new() } else { typed };
                typed.push(*letter);
                // More is refused in any case.
                self.answer = (typed.chars().take(12).collect(), false);
            }
            Key::Erase => {
                let left = text::without_last(&self.answer.0).to_owned();
                self.answer = (left, false);
            }
            Key::Enter => match self.answer.0.trim() {
                "1" => self.take_unit(LengthUnit::Mm),
                "2" => self.take_unit(LengthUnit::Inch),
                "" => self.note = Some(Note::warning(ASKED)),
                typed => {
                    let why = format!("\"{typed}\" is no unit and was taken into no field");
                    self.note = Some(Note::warning(format!("{why}: the unit first, then type it")));
                    self.answer.1 = true;
                }
            },
            // What is typed next begins the figure anew.
            Key::Esc => (self.asked, self.typing) = (Asked::Nothing, false),
            Key::Interrupt => self.asked = Asked::Leave,
            Key::Paste(_) => {
                self.note = Some(Note::warning(format!("pasted text answers nothing: {ASKED}")));
            }
            Key::Redraw | Key::Nothing => {}
            _ => self.note = Some(Note::warning(ASKED)),
        }
    }

    fn take_unit(&mut self, unit: LengthUnit) {
        self.asked = Asked::Nothing;
        if let Some(field) = self.field() {
            self.form.put_unit(&field, unit);
        }
        self.go_to(self.row + 1);
    }

    /// Takes a letter. In a choice a digit chooses; a number that is typed on into one chooses nothing unseen.
    pub(super) fn letter(&mut self, field: &Field, letter: char, slipped: bool) {
        let offered = words_of(field.kind);
        if offered.is_empty() {
            return self.typed(field, &letter.to_string());
        }
        let begun = !self.form.text(&field.path).is_empty() && !self.form.has_chosen(field);
        if letter.is_ascii_digit()
            && let Some(word) = self.form.chosen_by(field, letter)
        {
            // Behind a number two digits are another number.
            let again = self.typing && self.form.has_chosen(field);
            self.slipped = slipped || again && self.is_behind_a_number();
            self.form.set(&field.path, word);
            self.typing = true;
        } else if letter.is_alphabetic() || begun && !letter.is_ascii_digit() {
            self.typed(field, &letter.to_string());
        } else {
            self.slipped = true;
            self.note = Some(Note::warning(format!("1 to {} choose", offered.len())));
        }
    }

    /// Tells whether the field above the one in hand is filled in with digits.
    fn is_behind_a_number(&self) -> bool {
        let before = self.row.checked_sub(1).and_then(|row| self.fields().into_iter().nth(row));
        before.is_some_and(|field| match field.kind {
            Kind::Whole
            | Kind::Number
            | Kind::Order
            | Kind::Numbers
            | Kind::Threads
            | Kind::Length
            | Kind::Lengths
            | Kind::Angle(_) => true,
            Kind::Words
            | Kind::Caution
            | Kind::WordList
            | Kind::Labels
            | Kind::Hardware
            | Kind::Stop
            | Kind::Choice(_)
            | Kind::YesNo => false,
        })
    }

    /// Says of an Enter behind keys that were refused what a second one takes.
    pub(super) fn once_more(&self, field: Option<&Field>) -> String {
        match field.map(|field| (self.form.text(&field.path), self.taken_by_enter(field))) {
            None => "nothing was typed; Enter once more goes on to writing".into(),
            Some(("", None)) => "nothing is chosen; Enter once more leaves it empty".into(),
            Some(("", Some(taken))) => format!("nothing is chosen; Enter once more takes {taken}"),
            Some((word, _)) => format!("a number chooses nothing; Enter once more takes {word}"),
        }
    }

    pub(super) fn leaving(&mut self, key: &Key) -> Option<Wish> {
        match key {
            Key::Letter('1') => self.ask_name(),
            Key::Letter('2') | Key::Esc => self.asked = Asked::Nothing,
            Key::Letter('3') if self.form.filled_in() > FEW => self.asked = Asked::ThrowAway,
            Key::Letter('3') | Key::Interrupt => return Some(Wish::Leave),
            _ => self.note = Some(Note::warning("1, 2 or 3 answers; 2 and Esc go on")),
        }
        None
    }

    /// Asks once more before much is lost by one key.
    pub(super) fn throwing_away(&mut self, key: &Key) -> Option<Wish> {
        match key {
            Key::Letter('1') | Key::Esc => self.asked = Asked::Nothing,
            Key::Letter('2') | Key::Interrupt => return Some(Wish::Leave),
            _ => self.note = Some(Note::warning("1 goes on, nothing is lost; 2 throws it away")),
        }
        None
    }

    pub(super) fn naming(&mut self, key: &Key) -> Option<Wish> {
        match key {
            Key::Letter(letter) if self.name.chars().count() < 40 => {
                self.name.extend(letter.to_lowercase().filter(|letter| text::is_plain(*letter)));
            }
            Key::Erase => self.name = text::without_last(&self.name).to_owned(),
            Key::Enter => {
                return Some(Wish::Write { name: self.name.trim().to_string(), replace: false });
            }
            Key::Esc => self.asked = Asked::Nothing,
            Key::Interrupt => self.asked = Asked::Leave,
            _ => {}
        }
        None
    }

    pub(super) fn replacing(&mut self, key: &Key) -> Option<Wish> {
        match key {
            Key::Letter('1') => {
                return Some(Wish::Write { name: self.name.trim().to_string(), replace: true });
            }
            Key::Letter('2') | Key::Esc => self.asked = Asked::Name,
            _ => self.note = Some(Note::warning("1 replaces it, 2 gives another name")),
        }
        None
    }
}
