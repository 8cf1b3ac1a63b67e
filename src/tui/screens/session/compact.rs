//! What is shown where not everything fits as a whole: large words lose size, lines of how give way.

use super::fit::{Fit, large, rows, set_rows, verdict};
use super::more::{ENTRY, begun, how, is_routine, lines_of, mark, phrase, said, won_from_note};
use super::order::{BARE, FORMS, Form, Large, Room, Spread};
use super::typed::smallest;
use super::words::{asked, parts};
use super::{GAP, Line, SessionView};
use crate::domain::ascii::ascii;
use crate::guide::{Big, Choice, Typed};
use crate::tui::theme::Role;
use crate::tui::widgets::digits::{self, Ink, Set, Size};
use crate::tui::widgets::text;

impl Form {
    /// Tells whether what is large spares what was said, unless that is no more than that it was kept.
    pub(super) fn spares(&self, view: &SessionView) -> bool {
        self.note || !self.is_large() || is_routine(view)
    }

    /// The columns that title and lines have; `None` where the word beside them leaves too few.
    pub(super) fn wide(self, view: &SessionView, room: Room) -> Option<u16> {
        match self.large {
            Large::Beside => room.width.checked_sub(cap(view, room)?.1),
            Large::Above | Large::No => Some(room.width),
        }
    }
}

/// Columns of a reading as it is mostly typed, in small letters.
const READING: u16 = 5;
/// Columns that are left beside a large word at least.
const BESIDE_CAP: u16 = 22;
/// Rows of two large lines with one between them.
const TWO: u16 = 7;

/// The shortest of the large words, to stand beside title and lines, and the columns that it takes.
fn cap(view: &SessionView, room: Room) -> Option<(Set, u16)> {
    let short = view.prompt.big.as_deref().map(|big| big.short.as_str())?;
    let beside = room.beside(GAP + BESIDE_CAP).filter(|_| !short.is_empty())?;
    let size = smallest(short, beside.width, view.ink, room.least());
    let size = size.or_else(|| thin(short, beside, view.ink))?;
    Some((Set { size, lines: vec![short.to_owned()] }, size.columns(short) + GAP))
}

/// Thin letters, where a low window makes them wide enough and nothing else fits.
pub(super) fn thin(words: &str, room: Room, ink: Ink) -> Option<Size> {
    let fits = |size: &Size| {
        room.is_slim()
            && size.columns(words) <= room.width
            && size.rows() >= room.least()
            && size.can_be_drawn_in(ink)
    };
    Some(Size::THIN).filter(fits)
}

/// Thin letters over several lines, in no more than so many rows.
fn thin_lines(words: &str, width: u16, ink: Ink, most: u16) -> Option<Set> {
    let words: Vec<&str> = words.split_whitespace().collect();
    let lines = digits::break_words(&words, Size::THIN, width)?;
    let set = Set { size: Size::THIN, lines };
    Some(set).filter(|set| set.rows() <= most && Size::THIN.can_be_drawn_in(ink))
}

/// Nothing fits as a whole: lines of how give way, and the last one tells how many.
pub(super) fn compact(view: &SessionView, room: Room) -> Fit {
    // What is to be done next has a place of its own only where there is more room.
    let words = match view.prompt.big.as_ref().map(|big| big.then.as_str()) {
        None | Some("") => view.prompt.title.clone(),
        Some(then) => {
            let then = if view.ink.is_plain() { ascii(then) } else { then.to_owned() };
            format!("{then}: {}", view.prompt.title)
        }
    };
    let gauging = view.prompt.field.typed == Some(Typed::Reading);
    // A title that an answer says again gives way to lines of how.
    let says = |choice: &Choice| choice.label.eq_ignore_ascii_case(&view.prompt.title);
    let again = view.prompt.field.choices.iter().any(says);
    let spared = gauging && view.typed().is_none()
        || view.prompt.big.as_ref().is_some_and(|big| big.for_title);
    // What an answer was told is read before it is answered again: its title goes first.
    let forms = || FORMS.into_iter().filter(|form| form.note || is_routine(view));
    // The place of an entry is the same before it is begun, and while it grows.
    let behind = text::columns(&view.prompt.ask) + ENTRY + READING;
    let joined = gauging && room.is_low() && behind <= room.width;
    let fitted = |form: Form| {
        let wide = form.wide(view, room)?;
        let title = match (form.title || form.is_large() && !spared, gauging) {
            (false, _) => Vec::new(),
            (true, false) if again => Vec::new(),
            (true, false) => lines_of(&words, wide, Role::Title),
            // The valve stands at its beginning.
            (true, true) => vec![Line::Words(phrase(&words, wide), Role::Title)],
        };
        set_in(view, room, form, title, joined)
    };
    if let Some(fit) = way_back(view, room, forms().filter_map(&fitted)) {
        return fit;
    }
    let found = forms().find_map(fitted);
    let mut fit = found.unwrap_or_else(|| more_answers_than_rows(view, room));
    let wide = room.width - fit.cap_columns();
    let [_, caption, lines, _] = parts(view, wide, wide, Spread::SideBySide);
    // Where the large words are the title, what they are of comes first.
    let of_first = gauging || view.prompt.big.as_ref().is_some_and(|big| big.for_title);
    let told: Vec<Line> = if of_first {
        caption.into_iter().chain(lines).collect()
    } else {
        lines.into_iter().chain(caption).collect()
    };
    if !gauging && told.len() > usize::from(fit.spare) {
        fit = in_title(view, fit, room.width);
    }
    let mut free = usize::from(std::mem::take(&mut fit.spare));
    if free == 0 && !told.is_empty() {
        free = won_from_note(view, &mut fit.parts[3], room.width);
    }
    if free == 0 && !told.is_empty() {
        mark(&mut fit.parts, told.len(), wide);
    }
    let ends = paragraph_ends(view, of_first, wide).contains(&free);
    fit.parts[2] = how(&mut fit.parts, told, free, (wide, ends));
    fit
}

/// The way back in few words, a row each where it has to be: what is large gives way to it, then the title.
fn way_back(view: &SessionView, room: Room, fits: impl Iterator<Item = Fit>) -> Option<Fit> {
    let told = &view.prompt.told;
    if told.is_empty() {
        return None;
    }
    let bare = Form { note: !is_routine(view), ..BARE };
    let bare = || set_in(view, room, bare, Vec::new(), true);
    let told_of = view.prompt.big.as_ref().is_some_and(|big| !big.for_title);
    // What was left open is named by these lines too.
    let named = |fit: Fit| match in_title(view, fit, room.width) {
        fit if told_of && fit.big.is_none() && !fit.in_title => {
            Fit { spare: fit.spare + 1, in_title: true, ..fit }
        }
        fit => fit,
    };
    let enough = |fit: &Fit| usize::from(fit.spare) >= told.len();
    let mut fit = fits.chain(bare()).map(named).find(enough)?;
    let (width, free) = (room.width - fit.cap_columns(), usize::from(fit.spare));
    let whole: Vec<Line> =
        told.iter().flat_map(|words| lines_of(words, width, Role::Text)).collect();
    fit.parts[2] = match whole.len() <= free {
        true => whole,
        false => {
            let row = |words: &String| Line::Words(phrase(words, width), Role::Text);
            told.iter().map(row).collect()
        }
    };
    fit.spare -= rows(fit.parts[2].len());
    Some(fit)
}

/// After how many lines each line of how, and what the large words are, ends.
fn paragraph_ends(view: &SessionView, of_first: bool, width: u16) -> Vec<usize> {
    let caption = view.prompt.big.iter().map(|big| big.caption.as_str());
    let told = view.prompt.lines.iter().map(String::as_str);
    let all: Vec<&str> =
        if of_first { caption.chain(told).collect() } else { told.chain(caption).collect() };
    let rows = |words: &&str| lines_of(words, width, Role::Text).len();
    all.iter()
        .scan(0, |end, words| {
            *end += rows(words);
            Some(*end)
        })
        .collect()
}

/// Each answer has all the rows that it needs while there are enough; those of which that leaves out the
/// least are cut to one. What was said last has its rows before them.
fn more_answers_than_rows(view: &SessionView, Room { width, height, .. }: Room) -> Fit {
    let mut answer = lines_of(&view.prompt.ask, width, Role::Due);
    let note = view.around.note.iter().flat_map(|note| {
        let lines = note.lines(width).into_iter();
        lines.map(|line| Line::Words(line, note.role()))
    });
    let mut note: Vec<Line> = note.collect();
    let choices = view.prompt.field.choices.iter();
    let whole: Vec<String> = choices.map(|one| format!("{} {}", one.digit, one.label)).collect();
    let mut set: Vec<Vec<String>> = whole.iter().map(|words| text::wrap(words, width)).collect();
    let room = usize::from(height).saturating_sub(answer.len() + note.len());
    while set.iter().map(Vec::len).sum::<usize>() > room {
        let longer = set.iter().zip(&whole).enumerate().filter(|(_, (lines, _))| lines.len() > 1);
        let least = longer.min_by_key(|(_, (_, words))| text::columns(words));
        let Some((at, (_, words))) = least else { break };
        let cut = text::cut(words, width);
        set.get_mut(at).into_iter().for_each(|lines| *lines = vec![cut.clone()]);
    }
    let set_in = set.iter().map(Vec::len).sum();
    let spare = room.saturating_sub(set_in);
    // Nothing is said in rows that there are not.
    note.truncate((room + note.len()).saturating_sub(set_in));
    answer.extend(set.into_iter().flatten().map(Line::Answers));
    answer.extend(note);
    Fit { spare: rows(spare), ..asked_only(answer) }
}

/// Nothing but what is asked.
pub(super) fn asked_only(answer: Vec<Line>) -> Fit {
    Fit { parts: [Vec::new(), Vec::new(), Vec::new(), answer], ..Fit::default() }
}

/// What stands around the lines of how in this form, and the rows that are left for these; `None` where it has
/// no room. With the entry `joined` to its question, where both have room in one row.
pub(super) fn set_in(
    view: &SessionView,
    room: Room,
    form: Form,
    title: Vec<Line>,
    joined: bool,
) -> Option<Fit> {
    let width = room.width;
    let verdict = verdict(view, room).filter(|_| form.verdict);
    let mut answer = asked(view, width, Spread::SideBySide);
    if joined || verdict.is_some() && view.entry.is_empty() {
        behind_its_question(view, &mut answer, width);
    }
    answer.extend(said(view, width, form.note));
    if !form.note && form.is_large() {
        answer.extend(begun(view, width));
    }
    let (big, cap, plain) = match (form.large, view.words()) {
        (Large::Above, Some(_)) => (Some(smallest_set(view, room)?), None, 0),
        (Large::Beside, _) => (None, Some(cap(view, room)?), 0),
        // Small letters take a row.
        (Large::Above | Large::No, _) => (None, None, u16::from(view.prompt.big.is_some())),
    };
    let head = rows(title.len()).max(cap.as_ref().map_or(0, |(set, _)| set.rows()));
    let others = rows(answer.len()) + set_rows(&big) + plain + set_rows(&verdict);
    room.above(head + others)?;
    let spare = room.height - rows(title.len()) - others;
    let in_title = cap.is_some();
    let parts = [title, Vec::new(), Vec::new(), answer];
    Some(Fit { big, cap, in_title, verdict, parts, spare, ..Fit::default() })
}

/// The large words in as few rows as they may have, thin where nothing else fits.
fn smallest_set(view: &SessionView, room: Room) -> Option<Set> {
    // In a low window two lines of large words would leave no line of how.
    let read_out = view.prompt.big.as_ref().is_some_and(|big| big.read_out);
    let most = room.least().max(if room.is_low() && !read_out { 5 } else { TWO });
    let thick =
        |words: &str| (3..=most).find_map(|rows| large(words, (room.width, rows), view.ink, 3));
    let slim = |words: &str| {
        let one = thin(words, room, view.ink);
        let one = one.map(|size| Set { size, lines: vec![words.to_owned()] });
        one.or_else(|| thin_lines(words, room.width, view.ink, most).filter(|_| read_out))
    };
    let all = || {
        let short = view.prompt.big.iter().map(|big| big.short.as_str());
        view.all_words().chain(short.filter(|short| !short.is_empty()))
    };
    all().find_map(thick).or_else(|| all().find_map(slim))
}

/// Puts the entry behind its question, where both have room in one row.
fn behind_its_question(view: &SessionView, answer: &mut Vec<Line>, width: u16) {
    let alone = view.prompt.field.choices.is_empty();
    if let [.., Line::Words(ask, role), Line::Entry] = answer.as_slice()
        && alone
        && text::columns(ask) + ENTRY + text::columns(&view.entry) <= width
    {
        let asked = Line::Asked(ask.clone(), *role);
        answer.truncate(answer.len() - 2);
        answer.push(asked);
    }
}

/// Says the large words in the title where they are not large: in a row less, wherever that is no longer.
pub(super) fn in_title(view: &SessionView, mut fit: Fit, width: u16) -> Fit {
    let small = |big: &&Big| big.then.is_empty() && !fit.is_large() && !fit.parts[0].is_empty();
    let big = view.prompt.big.as_deref().filter(small);
    let Some(big) = big else { return fit };
    let text = if view.ink.is_plain() { ascii(&big.text) } else { big.text.clone() };
    let both = lines_of(&format!("{text}: {}", view.prompt.title), width, Role::Title);
    if both.len() <= fit.parts[0].len() {
        fit.parts[0] = both;
        fit.in_title = true;
        fit.spare += 1;
    }
    fit
}
