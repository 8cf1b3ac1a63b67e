//! What is shown where not everything fits as a whole: large words lose size, lines of how give way.

use super::fit::{Fit, Place, Spread, asked, large, least_rows, parts, rows, set_rows, verdict};
use super::more::{ENTRY, begun, how, is_routine, lines_of, mark, phrase, said, won_from_note};
use super::typed::smallest;
use super::{GAP, Line, SessionView};
use crate::domain::ascii::ascii;
use crate::guide::{Big, Choice, Typed};
use crate::tui::theme::Role;
use crate::tui::widgets::digits::{self, Ink, Set, Size};
use crate::tui::widgets::text;

/// What is left out where not everything fits.
#[derive(Clone, Copy)]
pub(super) struct Cut {
    pub big: bool,
    /// The shortest of the large words, beside title and lines.
    pub cap: bool,
    pub verdict: bool,
    pub title: bool,
    pub note: bool,
}

/// Everything, and nothing of what can be left out.
const ALL: Cut = Cut { big: true, cap: false, verdict: true, title: true, note: true };
pub(super) const BARE: Cut =
    Cut { big: false, cap: false, verdict: false, title: false, note: false };

/// With something large, the most first. A large valve that is to be gauged says what the title says.
pub(super) const LARGE: [Cut; 9] = [
    ALL,
    Cut { title: false, ..ALL },
    Cut { verdict: false, ..ALL },
    Cut { big: false, cap: true, ..ALL },
    Cut { big: false, cap: true, verdict: false, ..ALL },
    Cut { verdict: false, note: false, ..ALL },
    Cut { verdict: false, title: false, note: false, ..ALL },
    Cut { cap: true, title: true, ..BARE },
    Cut { cap: true, ..BARE },
];
/// With nothing large.
pub(super) const SMALL: [Cut; 3] =
    [Cut { title: true, note: true, ..BARE }, Cut { note: true, ..BARE }, BARE];

impl Cut {
    /// Tells whether what is large spares what was said, unless that is no more than that it was kept.
    pub(super) fn spares(&self, view: &SessionView) -> bool {
        self.note || !(self.big || self.cap) || is_routine(view)
    }

    /// The columns that title and lines have; `None` where the word beside them leaves too few.
    pub(super) fn wide(self, view: &SessionView, width: u16, window: u16) -> Option<u16> {
        match self.cap {
            false => Some(width),
            true => width.checked_sub(cap(view, width, window)?.1),
        }
    }
}

/// Columns of a reading as it is mostly typed, in small letters.
const READING: u16 = 5;
/// Columns that are left beside a large word at least.
const BESIDE_CAP: u16 = 22;
/// Rows of two large lines with one between them.
const TWO: u16 = 7;
/// Rows of a window under which one column is as wide to the eye as two are elsewhere.
pub(super) const LOW: u16 = 18;

/// The shortest of the large words, to stand beside title and lines, and the columns that it takes.
fn cap(view: &SessionView, width: u16, window: u16) -> Option<(Set, u16)> {
    let short = view.prompt.big.as_deref().map(|big| big.short.as_str())?;
    let room = width.checked_sub(GAP + BESIDE_CAP).filter(|_| !short.is_empty())?;
    let size = smallest(short, room, view.ink, least_rows(window));
    let size = size.or_else(|| thin(short, room, view.ink, window))?;
    Some((Set { size, lines: vec![short.to_owned()] }, size.columns(short) + GAP))
}

/// Rows of a window under which thin letters are better than none.
pub(super) const SLIM: u16 = 21;

/// Thin letters, where a low window makes them wide enough and nothing else fits.
fn thin(words: &str, width: u16, ink: Ink, window: u16) -> Option<Size> {
    let fits = |size: &Size| {
        window < SLIM
            && size.columns(words) <= width
            && size.rows() >= least_rows(window)
            && size.can_be_drawn_in(ink)
    };
    Some(Size::THIN).filter(fits)
}

/// Says which way a screw goes where no large letters set it apart from an intake, or from a verdict.
fn in_small_letters(next: &str) -> String {
    let of_screw = next.split(' ').next().is_some_and(|word| ["IN", "OUT"].contains(&word));
    if of_screw { format!("SCREW {next}") } else { next.to_owned() }
}

/// Thin letters over several lines, in no more than so many rows.
fn thin_lines(words: &str, width: u16, ink: Ink, most: u16) -> Option<Set> {
    let words: Vec<&str> = words.split_whitespace().collect();
    let lines = digits::break_words(&words, Size::THIN, width)?;
    let set = Set { size: Size::THIN, lines };
    Some(set).filter(|set| set.rows() <= most && Size::THIN.can_be_drawn_in(ink))
}

/// Nothing fits as a whole: lines of how give way, and the last one tells how many.
pub(super) fn compact(view: &SessionView, size: (u16, u16), window: u16) -> Fit {
    // What is to be done next has a place of its own only where there is more room.
    let words = match view.prompt.big.as_ref().map(|big| big.then.as_str()) {
        None | Some("") => view.prompt.title.clone(),
        Some(then) => {
            let then = in_small_letters(then);
            let then = if view.ink.is_plain() { ascii(&then) } else { then };
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
    let small = || SMALL.into_iter().filter(|cut| cut.note || is_routine(view));
    let cuts = || LARGE.into_iter().chain(small()).filter(|cut| cut.spares(view));
    // The place of an entry is the same before it is begun, and while it grows.
    let behind = text::columns(&view.prompt.ask) + ENTRY + READING;
    let joined = gauging && window < LOW && behind <= size.0;
    let fitted = |cut: Cut| {
        let large = cut.big || cut.cap;
        let wide = cut.wide(view, size.0, window)?;
        let title = match (cut.title || large && !spared, gauging) {
            (false, _) => Vec::new(),
            (true, false) if again => Vec::new(),
            (true, false) => lines_of(&words, wide, Role::Title),
            // The valve stands at its beginning.
            (true, true) => vec![Line::Words(phrase(&words, wide), Role::Title)],
        };
        cut_to(view, size, window, cut, title, joined)
    };
    if let Some(fit) = way_back(view, size, window, cuts().filter_map(&fitted)) {
        return fit;
    }
    let found = cuts().find_map(fitted);
    let mut fit = found.unwrap_or_else(|| more_answers_than_rows(view, size));
    let wide = size.0 - fit.cap.as_ref().map_or(0, |(_, columns)| *columns);
    let [_, caption, lines, _] = parts(view, wide, wide, Spread::SideBySide);
    // Where the large words are the title, what they are of comes first.
    let of_first = gauging || view.prompt.big.as_ref().is_some_and(|big| big.for_title);
    let told: Vec<Line> = if of_first {
        caption.into_iter().chain(lines).collect()
    } else {
        lines.into_iter().chain(caption).collect()
    };
    if !gauging && told.len() > usize::from(fit.spare) {
        fit = in_title(view, fit, size.0);
    }
    let mut room = usize::from(std::mem::take(&mut fit.spare));
    if room == 0 && !told.is_empty() {
        room = won_from_note(view, &mut fit.parts[3], size.0);
    }
    if room == 0 && !told.is_empty() {
        mark(&mut fit.parts, told.len(), wide);
    }
    let ends = paragraph_ends(view, of_first, wide).contains(&room);
    fit.parts[2] = how(&mut fit.parts, told, room, (wide, ends));
    fit
}

/// The way back in few words, a row each where it has to be: what is large gives way to it, then the title.
fn way_back(
    view: &SessionView,
    size: (u16, u16),
    window: u16,
    fits: impl Iterator<Item = Fit>,
) -> Option<Fit> {
    let told = &view.prompt.told;
    if told.is_empty() {
        return None;
    }
    let bare = || {
        let cut = Cut { note: !is_routine(view), ..BARE };
        cut_to(view, size, window, cut, Vec::new(), true)
    };
    let wide = |fit: &Fit| size.0 - fit.cap.as_ref().map_or(0, |(_, columns)| *columns);
    let told_of = view.prompt.big.as_ref().is_some_and(|big| !big.for_title);
    // What was left open is named by these lines too.
    let named = |fit: Fit| match in_title(view, fit, size.0) {
        fit if told_of && fit.big.is_none() && !fit.in_title => {
            Fit { spare: fit.spare + 1, in_title: true, ..fit }
        }
        fit => fit,
    };
    let enough = |fit: &Fit| usize::from(fit.spare) >= told.len();
    let mut fit = fits.chain(bare()).map(named).find(enough)?;
    let (width, room) = (wide(&fit), usize::from(fit.spare));
    let whole: Vec<Line> =
        told.iter().flat_map(|words| lines_of(words, width, Role::Text)).collect();
    fit.parts[2] = match whole.len() <= room {
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
fn more_answers_than_rows(view: &SessionView, (width, height): (u16, u16)) -> Fit {
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
    Fit { spare: rows(spare), ..bare_fit([Vec::new(), Vec::new(), Vec::new(), answer]) }
}

pub(super) fn cut_to(
    view: &SessionView,
    (width, height): (u16, u16),
    window: u16,
    cut: Cut,
    title: Vec<Line>,
    joined: bool,
) -> Option<Fit> {
    let verdict = verdict(view, width, window).filter(|_| cut.verdict);
    let mut answer = asked(view, width, Spread::SideBySide);
    if joined || verdict.is_some() && view.entry.is_empty() {
        behind_its_question(view, &mut answer, width);
    }
    answer.extend(said(view, width, cut.note));
    if !cut.note && (cut.big || cut.cap) {
        answer.extend(begun(view, width));
    }
    // In a low window two lines of large words would leave no line of how.
    let read_out = view.prompt.big.as_ref().is_some_and(|big| big.read_out);
    let most = least_rows(window).max(if window < LOW && !read_out { 5 } else { TWO });
    let thick = |words: &str| (3..=most).find_map(|rows| large(words, (width, rows), view.ink, 3));
    let slim = |words: &str| {
        let one = thin(words, width, view.ink, window);
        let one = one.map(|size| Set { size, lines: vec![words.to_owned()] });
        one.or_else(|| thin_lines(words, width, view.ink, most).filter(|_| read_out))
    };
    let all = || {
        let short = view.prompt.big.iter().map(|big| big.short.as_str());
        view.all_words().chain(short.filter(|short| !short.is_empty()))
    };
    let set = || all().find_map(thick).or_else(|| all().find_map(slim));
    let (big, cap, plain) = match view.words() {
        Some(_) if cut.big => (Some(set()?), None, 0),
        _ if cut.cap => (None, Some(cap(view, width, window)?), 0),
        // Small letters take a row.
        Some(_) | None => (None, None, u16::from(view.prompt.big.is_some())),
    };
    let head = rows(title.len()).max(cap.as_ref().map_or(0, |(set, _)| set.rows()));
    let others = rows(answer.len()) + set_rows(&big) + plain + set_rows(&verdict);
    height.checked_sub(head + others)?;
    let spare = height - rows(title.len()) - others;
    let least = least_rows(window);
    let in_title = cap.is_some();
    let parts = [title, Vec::new(), Vec::new(), answer];
    Some(Fit { big, cap, in_title, least, verdict, spare, ..bare_fit(parts) })
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

pub(super) fn bare_fit(parts: [Vec<Line>; 4]) -> Fit {
    Fit {
        side: 0,
        detail: None,
        drawn: (0, 0),
        place: Place::Whole,
        picture: None,
        big: None,
        cap: None,
        beside: None,
        in_title: false,
        then: None,
        typed: None,
        least: 0,
        verdict: None,
        parts,
        spare: 0,
        strip: None,
        shown: None,
    }
}

/// Says the large words in the title where they are not large: in a row less, wherever that is no longer.
pub(super) fn in_title(view: &SessionView, mut fit: Fit, width: u16) -> Fit {
    let none = fit.big.is_none() && fit.cap.is_none();
    let small = |big: &&Big| big.then.is_empty() && none && !fit.parts[0].is_empty();
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
