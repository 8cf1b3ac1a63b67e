//! A question that is answered by what stands above it: which way to turn, what is counted, what is
//! signed. It is shown whole, or page by page, and then Enter turns the page before it answers anything.

use super::compact::{asked_only, in_title, set_in};
use super::fit::{Fit, rows};
use super::more::{is_routine, lines_of, shortened};
use super::order::{BARE, FORMS, Form, Large, ON_TITLED_PAGE, PAGES, Room};
use super::{Line, SessionView};
use crate::tui::paging::Shown;
use crate::tui::screens::frame::Tone;
use crate::tui::theme::Role;
use crate::tui::widgets::text;

/// Shows all those lines where what may give way leaves room for them, with as many of the others as
/// there is room for; else a page of them.
pub(super) fn read_whole(view: &SessionView, room: Room) -> Fit {
    let whole = usize::from(view.prompt.field.whole);
    let (whole, others) = view.prompt.lines.split_at(whole.min(view.prompt.lines.len()));
    // A turn without its title is none, and a refusal or a verdict is not pushed out by what it is about.
    let titled = view.prompt.field.of_any;
    let said = view.around.note.as_ref();
    let noted = said.is_some_and(|note| note.tone == Tone::Warning || !note.large.is_empty())
        || said.is_some() && !view.entry.is_empty();
    let may = |form: &Form| (form.title || !titled) && (form.note || !noted) && form.spares(view);
    // Before anything is left for another page, or loses its size, the entry moves up to its question,
    // and the lines go round the large word.
    let ways = FORMS.chunk_by(|one, next| one.is_large() == next.is_large()).flat_map(|forms| {
        [(false, false), (true, false), (true, true)].into_iter().flat_map(
            move |(joined, round)| {
                let forms = forms.iter().filter(move |form| form.large == Large::Beside || !round);
                forms.map(move |form| (*form, joined, round))
            },
        )
    });
    for (form, joined, round) in ways.filter(|(form, ..)| may(form)) {
        let Some(wide) = form.wide(view, room) else { continue };
        let Some(mut fit) = headed(view, room, form, joined) else { continue };
        let cap = fit.cap.as_ref().map_or(0, |(set, _)| usize::from(set.rows()));
        let beside = cap.saturating_sub(fit.parts[0].len());
        let lines = match round {
            true => folded_round(whole, beside, (wide, room.width)),
            false => folded(whole, wide),
        };
        let Some(free) = usize::from(fit.spare).checked_sub(lines.len()) else { continue };
        // In the last rows beside the large word nothing else stands.
        if round && lines.len() <= beside {
            continue;
        }
        fit.beside = round.then_some(beside);
        let around = if round { room.width } else { wide };
        let others = folded(others, around);
        let all = lines.len();
        fit.shown = Some(Shown { first: 0, end: all, all });
        let hidden = others.len();
        fit.parts[2] = lines;
        if free == 0 && hidden > 0 {
            mark(&mut fit, hidden, wide);
        }
        fit.parts[2].extend(shortened(others, free, around));
        fit.spare -= rows(fit.parts[2].len());
        if round {
            // Air would move the lines away from what they go round.
            fit.spare = 0;
        }
        return fit;
    }
    a_page(view, room, whole)
}

/// Tells how many other lines there are behind the title or the last line, where there is room for that:
/// what has to be read is not cut for it.
fn mark(fit: &mut Fit, hidden: usize, width: u16) {
    let more = format!(" {}", text::more(hidden));
    let room = width.saturating_sub(text::columns(&more));
    let [title, _, lines, _] = &mut fit.parts;
    let ends = [title.last_mut(), lines.last_mut()].into_iter().flatten();
    let mut words = ends.filter_map(|line| match line {
        Line::Words(words, _) if text::columns(words) <= room => Some(words),
        Line::Words(..)
        | Line::Choice { .. }
        | Line::Answers(_)
        | Line::Asked(..)
        | Line::Entry => None,
    });
    if let Some(words) = words.next() {
        words.push_str(&more);
    }
}

/// What stands around the lines, with the title or without it; where the large words are not large the
/// title says them.
fn headed(view: &SessionView, room: Room, form: Form, joined: bool) -> Option<Fit> {
    let wide = form.wide(view, room)?;
    let title = match form.title {
        true => lines_of(&view.prompt.title, wide, Role::Title),
        false => Vec::new(),
    };
    set_in(view, room, form, title, joined).map(|fit| in_title(view, fit, room.width))
}

/// The columns of lines that are shown page by page: whatever else is on a page, they are broken alike, so
/// that none of them is left out between two pages.
pub(super) fn page_width(view: &SessionView, room: Room) -> u16 {
    Form { large: Large::Beside, ..BARE }.wide(view, room).unwrap_or(room.width)
}

fn a_page(view: &SessionView, room: Room, whole: &[String]) -> Fit {
    let lines = folded(whole, page_width(view, room));
    let all = lines.len();
    let page = |seen: usize, form: Form| {
        let mut view = view.clone();
        let left = all.saturating_sub(seen);
        let words = if left == 1 { "line" } else { "lines" };
        view.prompt.field.enter = match left {
            0 => view.prompt.field.enter,
            left => Some(format!("the rest, {left} more {words} to read")),
        };
        headed(&view, room, form, true).filter(|fit| fit.spare > 0)
    };
    let first = view.first.min(all.saturating_sub(1));
    // That something was kept is worth no line of what has to be read.
    let told = view.around.note.is_some() && is_routine(view) && view.entry.is_empty();
    let spares = |form: &Form| form.spares(view) && !(form.is_large() && form.note && told);
    let fit = PAGES.into_iter().filter(spares).find_map(|form| {
        // All the rest, with what Enter means then.
        if let Some(fit) = page(all, form).filter(|fit| usize::from(fit.spare) >= all - first) {
            return Some((fit, all));
        }
        let end = (first + usize::from(page(first, form)?.spare)).min(all);
        // What Enter means at the end may take more room than that there is more.
        let fit = page(end, form)?;
        let end = end.min(first + usize::from(fit.spare));
        // A title is worth no page of a single line.
        let least = ON_TITLED_PAGE[usize::from(first > 0)];
        let few = form.title && end < all && end - first < least;
        match end < all {
            _ if few => None,
            true => page(end, form).map(|fit| (fit, end)),
            false => Some((fit, end)),
        }
    });
    let Some((mut fit, end)) = fit else {
        // Not one line fits: nothing is agreed to unread.
        let shown = Some(Shown { first, end: first, all });
        return Fit { shown, ..asked_only(lines_of(&view.prompt.ask, room.width, Role::Due)) };
    };
    fit.spare -= rows(end - first);
    fit.shown = Some(Shown { first, end, all });
    fit.parts[2] = lines.into_iter().skip(first).take(end - first).collect();
    // Before anything is typed the row of Enter tells it.
    if end < all && !view.entry.is_empty() {
        mark(&mut fit, all - end, room.width);
    }
    fit
}

/// After how many lines each of those that have to be read ends.
pub(super) fn ends(view: &SessionView, width: u16) -> Vec<usize> {
    let whole = usize::from(view.prompt.field.whole).min(view.prompt.lines.len());
    let lines = view.prompt.lines.get(..whole).unwrap_or_default();
    (1..=whole).filter_map(|end| Some(folded(lines.get(..end)?, width).len())).collect()
}

/// The lines, the first rows of them as narrow as beside a large word, the others as wide as there is room.
fn folded_round(lines: &[String], beside: usize, (narrow, wide): (u16, u16)) -> Vec<Line> {
    let mut folded: Vec<String> = Vec::new();
    for line in lines {
        let from = folded.len();
        folded.extend(text::wrap_in(line, |at| if from + at < beside { narrow } else { wide }));
    }
    folded.into_iter().map(|line| Line::Words(line, Role::Text)).collect()
}

/// The lines, short ones side by side.
fn folded(lines: &[String], width: u16) -> Vec<Line> {
    let short = |line: &String| text::columns(line) <= width / 2;
    let runs = lines.chunk_by(|one, next| short(one) == short(next));
    let set = |run: &[String]| match run.first() {
        Some(first) if short(first) => text::wrap_items(run, width),
        Some(_) | None => text::wrap_all(run, width),
    };
    runs.flat_map(set).map(|line| Line::Words(line, Role::Text)).collect()
}
