//! Moving about in the form of a profile and in its help. A field that is left is judged, and what is wrong with it is said.

use super::help::Help;
use super::keymap::Motion;
use super::profile_desk::{Asked, Key, ProfileDesk, Wish, file_name, graver};
use super::screens::Note;
use super::{paging, profile_view};
use crate::guide::profile_form::{Field, Grave, Page};

impl ProfileDesk {
    /// Goes to a row of the page.
    pub(super) fn go_to(&mut self, row: usize) {
        self.leave();
        self.row = row.min(self.fields().len());
    }

    /// Completes the field in hand and judges it: what is wrong is said, with what to do.
    fn leave(&mut self) {
        self.typing = false;
        let Some(field) = self.field() else { return };
        self.form.complete(&field);
        let fault = graver(&self.form.faults(), &field.path);
        let wrong = fault.filter(|fault| fault.grave == Grave::Wrong).map(|fault| fault.words);
        let doubt = self.doubt_of(&field).map(|doubt| doubt.words);
        if let Some(words) = wrong.or(doubt) {
            self.note = Some(Note::warning(words));
        }
    }

    /// Goes to the next field that is to be put right, on whatever page, or to the one before; where
    /// nothing is, to the row that writes.
    pub(super) fn go_to_left(&mut self, forward: bool) {
        self.leave();
        self.note = None;
        let faults = self.form.faults();
        let fields = self.form.all_fields();
        let of = |field: &Field| faults.iter().any(|fault| fault.path == field.path);
        let mut ordered: Vec<&Field> = fields.iter().collect();
        ordered.sort_by_key(|field| field.page);
        let here = self.field().map(|field| field.path);
        let at = ordered.iter().position(|field| Some(&field.path) == here.as_ref());
        // From the row that writes on it is the next page.
        let on_page = |field: &&Field| field.page <= self.page;
        let (before, after) = match at {
            Some(at) => (at, at + 1),
            None => {
                let end = ordered.iter().filter(|field| on_page(field)).count();
                (end, end)
            }
        };
        let around = ordered.iter().skip(after).chain(ordered.iter().take(before));
        let next = match forward {
            true => around.copied().find(|field| of(field)),
            false => around.copied().rfind(|field| of(field)),
        };
        let path = next.map(|field| field.path.clone());
        match path.or(here.filter(|here| faults.iter().any(|fault| fault.path == *here))) {
            Some(path) => self.show(&path),
            None => self.row = self.fields().len(),
        }
    }

    /// Turns to another page.
    pub(super) fn turn(&mut self, by: isize) {
        self.leave();
        let pages = Page::ALL;
        let at = pages.iter().position(|page| *page == self.page).unwrap_or(0);
        let to = at.saturating_add_signed(by).min(pages.len() - 1);
        self.page = pages.get(to).copied().unwrap_or(Page::Needed);
        self.row = 0;
    }

    /// Asks for the file's name; where something is wrong, shows it instead.
    pub(super) fn ask_name(&mut self) {
        self.leave();
        self.note = None;
        let faults = self.form.faults();
        let Some(fault) = faults.first() else {
            self.form.tidy();
            let doubt = self.doubted().next();
            if let Some(doubt) = doubt {
                self.show(&doubt.path);
                self.asked = Asked::Doubt(doubt);
                return;
            }
            if self.name.is_empty() {
                self.name = file_name(self.form.text("name"));
            }
            self.asked = Asked::Name;
            return;
        };
        self.asked = Asked::Nothing;
        self.show(&fault.path);
        self.note = Some(Note::warning(fault.words.clone()));
    }

    /// Shows a field on its page.
    pub(super) fn show(&mut self, path: &str) {
        let home = self.form.all_fields().into_iter().find(|field| field.path == path);
        if let Some(home) = home {
            self.page = home.page;
            let row = self.fields().iter().position(|field| field.path == home.path);
            self.row = row.unwrap_or(0);
        }
    }

    /// Moves about in the help, or back from it.
    pub(super) fn in_help(mut self, help: &Help, key: &Key) -> (ProfileDesk, Option<Wish>) {
        let motion = match key {
            Key::Up => Some(Motion::Up),
            Key::Down => Some(Motion::Down),
            Key::PageUp => Some(Motion::PageUp),
            Key::PageDown => Some(Motion::PageDown),
            Key::Interrupt | Key::Esc | Key::Enter | Key::Help => None,
            Key::Letter(_)
            | Key::Paste(_)
            | Key::Erase
            | Key::Left
            | Key::Right
            | Key::NextWrong
            | Key::LastWrong
            | Key::Redraw
            | Key::Nothing => return (self, None),
        };
        let paint = |help: &Help, area, buf: &mut _| {
            let desk = ProfileDesk { help: Some(help.clone()), ..self.clone() };
            profile_view::paint(&desk, area, buf)
        };
        self.help = motion.map(|motion| paging::in_help(help, motion, self.room, paint));
        (self, None)
    }
}
