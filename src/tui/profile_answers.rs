//! Answers to what the form of a profile asks on top of its fields: leaving, a doubt, the file's name.

use super::profile_desk::{Asked, Key, ProfileDesk, Wish};
use super::screens::Note;
use super::widgets::text;
use crate::domain::units::LengthUnit;
use crate::guide::profile_form::Doubt;

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

    pub(super) fn with_unit(&mut self, key: &Key) {
        let unit = match key {
            Key::Letter('1') => LengthUnit::Mm,
            Key::Letter('2') => LengthUnit::Inch,
            Key::Esc => {
                // What is typed next begins the figure anew.
                (self.asked, self.typing) = (Asked::Nothing, false);
                return;
            }
            Key::Interrupt => return self.asked = Asked::Leave,
            _ => return self.note = Some(Note::warning("1 millimetres, 2 inches; Esc goes back")),
        };
        self.asked = Asked::Nothing;
        if let Some(field) = self.field() {
            self.form.put_unit(&field, unit);
        }
        self.go_to(self.row + 1);
    }

    pub(super) fn leaving(&mut self, key: &Key) -> Option<Wish> {
        match key {
            Key::Letter('1') => self.ask_name(),
            Key::Letter('2') | Key::Esc => self.asked = Asked::Nothing,
            Key::Letter('3') | Key::Interrupt => return Some(Wish::Leave),
            _ => self.note = Some(Note::warning("1, 2 or 3 answers; 2 and Esc go on")),
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
