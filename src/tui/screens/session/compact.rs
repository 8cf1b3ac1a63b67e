//! What is shown where not everything fits as a whole: large words lose size, lines of how give way.

use super::fit::{Fit, Place, Spread, asked, large, least_rows, parts, rows, set_rows, verdict};
use super::more::{ENTRY, lines_of, mark, phrase, said, shortened, won_from_note};
use super::{Line, SessionView};
use crate::domain::ascii::ascii;
use crate::guide::{Big, Choice, Typed};
use crate::tui::theme::Role;
use crate::tui::widgets::digits::Ink;
use crate::tui::widgets::text;

/// What is left out where not everything fits.
#[derive(Clone, Copy)]
pub(super) struct Cut {
    pub big: bool,
    pub verdict: bool,
    pub title: bool,
    pub note: bool,
}

/// The most that fits is shown. A large valve that is to be gauged says what the title says.
pub(super) const CUTS: [Cut; 6] = [
    Cut { big: true, verdict: true, title: true, note: true },
    Cut { big: true, verdict: true, title: false, note: true },
    Cut { big: true, verdict: false, title: true, note: true },
    Cut { big: false, verdict: false, title: true, note: true },
    Cut { big: false, verdict: false, title: false, note: true },
    Cut { big: false, verdict: false, title: false, note: false },
];

/// Nothing fits as a whole: lines of how give way, and the last one tells how many.
pub(super) fn compact(view: &SessionView, size: (u16, u16), window: u16) -> Fit {
    let [title, caption, lines, _] = parts(view, size.0, size.0, Spread::SideBySide);
    // What is to be done next has a place of its own only where there is more room.
    let (words, title) = match view.prompt.big.as_ref().map(|big| big.then.as_str()) {
        None | Some("") => (view.prompt.title.clone(), title),
        Some(then) => {
            let words = format!("{then}: {}", view.prompt.title);
            let title = lines_of(&words, size.0, Role::Title);
            (words, title)
        }
    };
    let gauging = view.prompt.field.typed == Some(Typed::Reading);
    let how: Vec<Line> = if gauging {
        caption.into_iter().chain(lines).collect()
    } else {
        lines.into_iter().chain(caption).collect()
    };
    // A title that an answer says again gives way to lines of how.
    let says = |choice: &Choice| choice.label.eq_ignore_ascii_case(&view.prompt.title);
    let again = view.prompt.field.choices.iter().any(says);
    let title = if again { Vec::new() } else { title };
    let found = CUTS.into_iter().find_map(|cut| {
        let droppable = gauging && view.typed().is_none() || !cut.big;
        let title = match (cut.title || !droppable, gauging) {
            (false, _) => Vec::new(),
            (true, false) => title.clone(),
            // The valve stands at its beginning.
            (true, true) => vec![Line::Words(phrase(&words, size.0), Role::Title)],
        };
        cut_to(view, size, window, cut, title, false)
    });
    let mut fit = found.unwrap_or_else(|| more_answers_than_rows(view, size));
    if !gauging && how.len() > usize::from(fit.spare) {
        fit = in_title(view, fit, size.0);
    }
    let mut room = usize::from(std::mem::take(&mut fit.spare));
    if room == 0 && !how.is_empty() {
        room = won_from_note(view, &mut fit.parts[3], size.0);
    }
    if room == 0 && !how.is_empty() {
        mark(&mut fit.parts, how.len(), size.0);
    }
    fit.parts[2] = shortened(how, room, size.0);
    fit
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
    let most = least_rows(window).max(5);
    let smallest =
        |words: &str| (3..=most).find_map(|rows| large(words, (width, rows), view.ink, 3));
    let (big, plain) = match view.words() {
        Some(_) if cut.big => (Some(view.all_words().find_map(smallest)?), 0),
        // Small letters take a row.
        Some(_) | None => (None, u16::from(view.prompt.big.is_some())),
    };
    let taken = rows(title.len() + answer.len()) + set_rows(&big) + plain + set_rows(&verdict);
    let spare = height.checked_sub(taken)?;
    let least = least_rows(window);
    Some(Fit { big, least, verdict, spare, ..bare_fit([title, Vec::new(), Vec::new(), answer]) })
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
        place: Place::Whole,
        picture: None,
        big: None,
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
    let small = |big: &&Big| big.then.is_empty() && fit.big.is_none() && !fit.parts[0].is_empty();
    let big = view.prompt.big.as_deref().filter(small);
    let Some(big) = big else { return fit };
    let text = match view.ink {
        Ink::Blocks => big.text.clone(),
        Ink::Hash => ascii(&big.text),
    };
    let both = lines_of(&format!("{text}: {}", view.prompt.title), width, Role::Title);
    if both.len() <= fit.parts[0].len() {
        fit.parts[0] = both;
        fit.in_title = true;
        fit.spare += 1;
    }
    fit
}
