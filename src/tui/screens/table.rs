//! A list or table to look through: engines, comparisons, what was kept, commands, help.

use super::drawn::{Drawn, in_free_room};
use super::frame::{self, Around, below, row};
use crate::report::WIDTH;
use crate::report::sheet::{Block, laid_out, told_by_heads};
use crate::tui::paging::Shown;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink};
use crate::tui::widgets::engine::EngineView;
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::sync::Arc;

/// Everything that such a screen says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TableView {
    /// Open items, status, note, keys.
    pub around: Around,
    /// What it is a list of.
    pub title: String,
    /// Lines under the title.
    pub lines: Vec<String>,
    /// Names of the columns; empty where they need none.
    pub head: Vec<String>,
    /// Rows, a text a column.
    pub rows: Vec<Vec<String>>,
    /// Whether rows are chosen, and so are numbered.
    pub choosing: Choosing,
    /// The number of each row; empty where they are numbered as they stand.
    pub numbers: Vec<usize>,
    /// The row that the cursor is on.
    pub cursor: usize,
    /// The drawing of that row; `None` where nothing is drawn.
    pub drawn: Option<Drawn>,
    /// The engine, in room that the rows leave.
    pub engine: Option<EngineView>,
    /// What is written large of that row where there is room, and the rows that it takes at most.
    pub large: Option<(String, u16)>,
    /// What large letters are drawn with.
    pub ink: Ink,
    /// The sheet whose lines the rows are; in a narrower window it is set anew.
    pub sheet: Option<Arc<[Block]>>,
}

/// Whether rows are chosen or only read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Choosing {
    /// Enter or its number chooses a row.
    Numbered,
    /// The rows are only read.
    #[default]
    ReadOnly,
}

const GAP: u16 = 2;
/// Lines that the rows keep at least, whatever is told above them.
const ROWS: u16 = 4;
/// Rows under which what is told above the rows gives way to them.
const LOW: u16 = 12;
/// Rows of a window from which on a row is written large.
const ROOMY: u16 = 40;
/// Columns that the widest column keeps at least, else rows are folded.
pub(super) const READABLE: u16 = 20;
/// The same beside a drawing, which tells more than the words.
const BESIDE_A_DRAWING: u16 = 12;

/// Paints the table; it scrolls by whole pages, so that a row stays where it is.
pub fn paint(view: &TableView, theme: Theme, area: Rect, buf: &mut Buffer) -> Option<Shown> {
    if !frame::has_room(area) {
        let shown = view.rows.get(view.cursor).map(|row| row.join("  ")).unwrap_or_default();
        let alert = view.around.alert.iter().map(|alert| (alert.clone(), Role::Open));
        let shown = [(shown, Role::Cursor), (view.title.clone(), Role::Title)];
        let wanted: Vec<(String, Role)> = alert.chain(shown).collect();
        frame::paint_cramped(&wanted, theme, area, buf);
        return None;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let middle = frame::paint_note(&view.around, theme, middle, buf);
    let mut at = text::put_lines(
        &text::wrap(&view.title, middle.width),
        theme.style(Role::Title),
        middle,
        buf,
    );
    let lines = above_rows(view, below(middle, at));
    at += text::put_lines(&lines, theme.style(Role::Text), below(middle, at), buf);
    let mut list = below(middle, at);
    if let Some(drawn) = &view.drawn {
        list = drawn.paint_beside(theme, list, buf);
    }
    if let Some(engine) = &view.engine {
        let taken = (total(&widths(&heading(view), &numbered(view))), view.rows.len());
        list = in_free_room(engine, taken, theme, list, buf);
    }
    if let Some(sheet) = view.sheet.as_ref().filter(|_| usize::from(list.width) < WIDTH) {
        let lines = narrow(sheet, usize::from(list.width), view.cursor);
        return Some(paint_folded(lines.0, &lines.1, false, theme, list, buf));
    }
    let numbered = numbered(view);
    let head = heading(view);
    let widths = widths(&head, &numbered);
    let fits = total(&widths) <= list.width;
    let readable = if view.drawn.is_some() { BESIDE_A_DRAWING } else { READABLE };
    let narrowed = if fits { None } else { narrowed(&widths, list.width, readable) };
    at = 0;
    if let (false, Some(widths)) =
        (view.head.is_empty(), narrowed.as_ref().or(fits.then_some(&widths)))
    {
        paint_row(&head, widths, theme, Role::Title, row(list, 0), buf);
        at = 1;
    }
    let list = below(list, at);
    if fits {
        paint_large(view, numbered.len(), theme, list, buf);
        return Some(paint_rows(view, &numbered, &widths, theme, list, buf));
    }
    let in_lines = |row: &Vec<String>| match &narrowed {
        Some(widths) => wrapped(row, widths),
        None => fold(&head, row, list.width),
    };
    let rows: Vec<Vec<String>> = numbered.iter().map(in_lines).collect();
    Some(paint_folded(view.cursor, &rows, !view.numbers.is_empty(), theme, list, buf))
}

/// A sheet set for a narrower window, a row a line, and the line in which the cursor's line now is.
fn narrow(sheet: &[Block], width: usize, cursor: usize) -> (usize, Vec<Vec<String>>) {
    let lines = |width| laid_out(sheet, width).into_iter().map(|piece| piece.lines().count());
    let (mut left, mut at) = (cursor, 0);
    for (wide, narrow) in lines(WIDTH).zip(lines(width)) {
        if left < wide {
            at += left * narrow / wide;
            break;
        }
        (left, at) = (left - wide, at + narrow);
    }
    let text = laid_out(sheet, width).concat();
    let text: Vec<Vec<String>> = text.lines().map(|line| vec![line.to_owned()]).collect();
    // The last line of all has the end, however many it is here.
    let is_last = cursor + 1 >= lines(WIDTH).sum();
    (if is_last { text.len().saturating_sub(1) } else { at }, text)
}

/// What is told above the rows; where it would leave no room for them its last line tells how much more
/// there is. In a low window it is read
/// beside the first row: further down only its beginning stays, and the rows have the room.
fn above_rows(view: &TableView, area: Rect) -> Vec<String> {
    let further = area.height < LOW && view.cursor > 0;
    let told = view.lines.iter().take(if further { 1 } else { view.lines.len() });
    let mut lines = text::wrap_all(told, area.width);
    let kept = if view.rows.is_empty() { 0 } else { ROWS.min(area.height / 2) };
    let most = usize::from(area.height - kept);
    if lines.len() > most {
        // As elsewhere: so many more, and the help has them.
        let more = format!(" {}", text::more(lines.len() - most));
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = text::cut(last, area.width.saturating_sub(text::columns(&more))) + &more;
        }
    }
    lines
}

/// Columns that a table takes.
pub(super) fn total(widths: &[u16]) -> u16 {
    let gaps =
        GAP.saturating_mul(u16::try_from(widths.len().saturating_sub(1)).unwrap_or(u16::MAX));
    widths.iter().fold(gaps, |sum, wide| sum.saturating_add(*wide))
}

/// The widths where the widest column gives way; `None` where that leaves it too narrow to read.
pub(super) fn narrowed(widths: &[u16], width: u16, readable: u16) -> Option<Vec<u16>> {
    let too_much = total(widths).saturating_sub(width);
    let mut widths = widths.to_vec();
    let widest = widths.iter_mut().max()?;
    *widest = widest.checked_sub(too_much).filter(|left| *left >= readable)?;
    Some(widths)
}

/// A row in columns, as many lines as its longest cell needs.
pub(super) fn wrapped(cells: &[String], widths: &[u16]) -> Vec<String> {
    let columns: Vec<Vec<String>> =
        cells.iter().zip(widths).map(|(cell, wide)| text::wrap(cell, *wide)).collect();
    let lines = columns.iter().map(Vec::len).max().unwrap_or(0);
    let line = |at: usize| {
        let padded = columns.iter().zip(widths).map(|(column, wide)| {
            let words = column.get(at).map_or("", String::as_str);
            let blanks = usize::from((wide + GAP).saturating_sub(text::columns(words)));
            format!("{words}{}", " ".repeat(blanks))
        });
        padded.collect::<String>().trim_end().to_owned()
    };
    (0..lines).map(line).collect()
}

/// Rows with their numbers before them, where they are chosen.
fn numbered(view: &TableView) -> Vec<Vec<String>> {
    match view.choosing {
        Choosing::ReadOnly => view.rows.clone(),
        Choosing::Numbered => {
            let number = |(at, row): (usize, &Vec<String>)| {
                let number = view.numbers.get(at).copied().unwrap_or(at + 1);
                std::iter::once(number.to_string()).chain(row.iter().cloned()).collect()
            };
            view.rows.iter().enumerate().map(number).collect()
        }
    }
}

fn heading(view: &TableView) -> Vec<String> {
    match view.choosing {
        Choosing::ReadOnly => view.head.clone(),
        Choosing::Numbered => {
            std::iter::once(String::new()).chain(view.head.iter().cloned()).collect()
        }
    }
}

/// Column widths.
fn widths(head: &[String], rows: &[Vec<String>]) -> Vec<u16> {
    let count = rows.iter().map(Vec::len).max().unwrap_or(head.len());
    (0..count)
        .map(|column| {
            let cells =
                rows.iter().filter_map(|row| row.get(column)).map(|cell| text::columns(cell));
            let name = head.get(column);
            cells.max().unwrap_or(0).max(name.map_or(0, |name| text::columns(name)))
        })
        .collect()
}

/// A row that is wider than the window in several lines, each cell told by its head; what comes after
/// the first is set in. A last column without a head, which says what is the matter with the row,
/// stands beside its name: of a row that is cut it is still seen.
pub fn fold(heads: &[String], cells: &[String], width: u16) -> Vec<String> {
    const IN: &str = "   ";
    let name = heads.iter().position(|head| !head.trim().is_empty());
    let (mut heads, mut cells) = (heads.to_vec(), cells.to_vec());
    if let (Some(name), Some(true)) = (name, heads.last().map(|head| head.is_empty())) {
        heads.get_mut(name + 1..).into_iter().for_each(|heads| heads.rotate_right(1));
        if heads.len() == cells.len() {
            cells.get_mut(name + 1..).into_iter().for_each(|cells| cells.rotate_right(1));
        }
    }
    let cells = told_by_heads(&heads, &cells);
    let narrow = width.saturating_sub(text::columns(IN));
    let mut lines = Vec::new();
    for cell in cells {
        // The first line is not set in.
        let room = if lines.len() > 1 { narrow } else { width };
        let alone = if lines.is_empty() { width } else { narrow };
        let before: Option<String> = lines.pop();
        let beside = before.as_ref().map_or(cell.clone(), |line| format!("{line}  {cell}"));
        match (text::columns(&beside) <= room, text::columns(&cell) <= alone) {
            (true, _) => lines.push(beside),
            // Words go on where they are too many for a line anyway; anything else stays whole.
            (false, false) => lines.extend(text::wrap(&beside, narrow)),
            (false, true) => lines.extend(before.into_iter().chain([cell])),
        }
    }
    // A line left blank on purpose.
    if lines.is_empty() {
        lines.push(String::new());
    }
    let set_in = |(at, line): (usize, String)| if at == 0 { line } else { format!("{IN}{line}") };
    lines.into_iter().enumerate().map(set_in).collect()
}

fn paint_rows(
    view: &TableView,
    numbered: &[Vec<String>],
    widths: &[u16],
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) -> Shown {
    let fits = usize::from(area.height);
    let all = numbered.len();
    let page = fits.saturating_sub(usize::from(all > fits)).max(1);
    let first = view.cursor.min(all.saturating_sub(1)) / page * page;
    for (at, row) in numbered.iter().enumerate().skip(first).take(page) {
        let place = frame::row(area, u16::try_from(at - first).unwrap_or(u16::MAX));
        let role = if at == view.cursor { Role::Cursor } else { Role::Text };
        if role == Role::Cursor {
            buf.set_style(place, theme.style(role));
        }
        paint_row(row, widths, theme, role, place, buf);
    }
    if all > page {
        let foot = row(area, area.height.saturating_sub(1));
        let last = (first + page).min(all);
        let words = match view.numbers.as_slice() {
            [] => count(first + 1, last, all),
            _ => page_of(first / page + 1, all.div_ceil(page)),
        };
        text::put(&words, theme.style(Role::Text), foot, buf);
    }
    Shown { first, end: (first + page).min(all), all }
}

/// Writes the row of the cursor large beneath the rows of a roomy window.
fn paint_large(view: &TableView, rows: usize, theme: Theme, area: Rect, buf: &mut Buffer) {
    let rows = u16::try_from(rows).unwrap_or(u16::MAX).saturating_add(1);
    let Some((words, most)) = &view.large else { return };
    let room = area.height.saturating_sub(rows).min(*most);
    let roomy = buf.area.height >= ROOMY && digits::can_write(words);
    let set = digits::set(words, area.width, room, view.ink).filter(|_| roomy);
    if let Some(set) = set {
        set.paint(view.ink, theme.style(Role::Big), below(area, rows), buf);
    }
}

fn count(first: usize, last: usize, all: usize) -> String {
    format!("{first} to {last} of {all}")
}

/// Rows that keep their own numbers are not counted by others.
fn page_of(page: usize, pages: usize) -> String {
    format!("page {page} of {pages}")
}

/// The row with which each page of folded rows begins.
fn begins(rows: &[Vec<String>], room: usize) -> Vec<usize> {
    let (mut begins, mut taken) = (vec![0], 0);
    for (at, row) in rows.iter().enumerate() {
        if taken + row.len() > room && taken > 0 {
            begins.push(at);
            taken = 0;
        }
        taken += row.len();
    }
    begins
}

/// Paints the page of folded rows on which the cursor is; a row longer than a page is cut at its end.
fn paint_folded(
    cursor: usize,
    rows: &[Vec<String>],
    own_numbers: bool,
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) -> Shown {
    let all: usize = rows.iter().map(Vec::len).sum();
    let paged = all > usize::from(area.height);
    let room = usize::from(area.height).saturating_sub(usize::from(paged)).max(1);
    let cursor = cursor.min(rows.len().saturating_sub(1));
    let begins = begins(rows, room);
    let page = begins.partition_point(|first| *first <= cursor).max(1);
    let first = begins.get(page - 1).copied().unwrap_or(0);
    let (mut at, mut last) = (0, first);
    for (place, lines) in rows.iter().enumerate().skip(first) {
        if at > 0 && at + lines.len() > room {
            break;
        }
        let role = if place == cursor { Role::Cursor } else { Role::Text };
        for line in lines.iter().take(room - at.min(room)) {
            let place = row(area, u16::try_from(at).unwrap_or(u16::MAX));
            if role == Role::Cursor {
                buf.set_style(place, theme.style(role));
            }
            text::put(line, theme.style(role), place, buf);
            at += 1;
        }
        last = place + 1;
    }
    if paged {
        let foot = row(area, area.height.saturating_sub(1));
        let words = match own_numbers {
            true => page_of(page, begins.len()),
            false => count(first + 1, last, rows.len()),
        };
        text::put(&words, theme.style(Role::Text), foot, buf);
    }
    Shown { first, end: last, all: rows.len() }
}

fn paint_row(
    cells: &[String],
    widths: &[u16],
    theme: Theme,
    role: Role,
    area: Rect,
    buf: &mut Buffer,
) {
    let mut x = area.x;
    for (cell, wide) in cells.iter().zip(widths) {
        let place = Rect { x, width: *wide, ..area }.intersection(area);
        text::put(cell, theme.style(role), place, buf);
        x = x.saturating_add(*wide).saturating_add(GAP);
    }
}
