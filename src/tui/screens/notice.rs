//! A notice for everybody who walks past: what must not be done, readable across the hangar.

use super::frame::{self, below};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Everything that a notice says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NoticeView {
    /// The warning, a few capital words: "DO NOT TURN".
    pub words: String,
    /// The gravest open item in a few capital words: "3 INT SLACK".
    pub loose: Option<String>,
    /// What is loose, what is out, who is away since when.
    pub lines: Vec<String>,
    /// What kind of thing each line tells, for counting those that there is no room for.
    pub kinds: Vec<&'static str>,
    /// The line that is shown first.
    pub first: usize,
    /// How to leave it.
    pub hint: String,
    /// What the words are drawn with.
    pub ink: Ink,
}

/// Paints a notice; the words are broken into lines so that they come out as large as they can.
pub fn paint(view: &NoticeView, theme: Theme, area: Rect, buf: &mut Buffer) {
    frame::ground(theme, area, buf);
    let area = area.intersection(buf.area);
    let hint = text::wrap(&view.hint, area.width);
    let lines = lines(view, area.width);
    let needed = u16::try_from(lines.len() + hint.len()).unwrap_or(u16::MAX);
    // With air under the words, else without, else with fewer lines: the words are large first.
    let rooms = [needed.saturating_add(1), needed, area.height / 3];
    let free = |taken| area.height.saturating_sub(taken);
    let both = rooms.into_iter().find_map(|taken| {
        let loose = view.loose.as_ref()?;
        digits::set_two(&view.words, loose, (area.width, free(taken)), view.ink)
    });
    // Half rows are better than none in plain characters too.
    let alone = || {
        let set = |ink, taken| digits::set(&view.words, area.width, free(taken), ink);
        let of = |ink| rooms.into_iter().find_map(|taken| set(ink, taken));
        of(view.ink).or_else(|| of(Ink::Blocks)).map(|words| (words, None))
    };
    let at = match both.map(|(words, loose)| (words, Some(loose))).or_else(alone) {
        Some((words, loose)) => {
            words.paint(view.ink, theme.style(Role::Big), area, buf);
            let mut rows = words.rows();
            if let Some(loose) = loose {
                let under = below(area, rows + digits::BETWEEN);
                loose.paint(view.ink, theme.style(Role::Big), under, buf);
                rows += digits::BETWEEN + loose.rows();
            }
            rows + u16::from(area.height > rows.saturating_add(needed))
        }
        None => {
            let words = text::wrap(&view.words, area.width);
            text::put_lines(&words, theme.style(Role::Open), area, buf)
        }
    };
    let room = usize::from(area.height.saturating_sub(at)).saturating_sub(hint.len());
    let shown: Vec<String> =
        fitting(view, &lines, room, area.width).into_iter().chain(hint).collect();
    text::put_lines(&shown, theme.style(Role::Title), below(area, at), buf);
}

/// The lines broken to a width, each with its place in the notice.
fn lines(view: &NoticeView, width: u16) -> Vec<(usize, String)> {
    let lines = view.lines.iter().enumerate();
    lines
        .flat_map(|(at, line)| text::wrap(line, width).into_iter().map(move |line| (at, line)))
        .collect()
}

/// The lines that there is room for, from the first one wanted on; where not all have room, the last
/// says how many of which kind are left off, and how to see them.
fn fitting(view: &NoticeView, lines: &[(usize, String)], room: usize, width: u16) -> Vec<String> {
    let words = |lines: &[(usize, String)]| lines.iter().map(|(_, line)| line.clone()).collect();
    if lines.len() <= room || room == 0 {
        return words(lines.get(..room.min(lines.len())).unwrap_or_default());
    }
    let room = room - 1;
    let first = view.first.min(lines.len() - room);
    let end = first + room;
    let shown: Vec<usize> =
        lines.get(first..end).unwrap_or_default().iter().map(|one| one.0).collect();
    // A line that is cut is not shown.
    let cut = lines.get(end).map(|next| next.0);
    let whole = |at: &usize| shown.contains(at) && cut != Some(*at);
    let mut counted: Vec<(&str, usize)> = Vec::new();
    for at in (0..view.lines.len()).filter(|at| !whole(at)) {
        let kind = view.kinds.get(at).copied().unwrap_or("more lines");
        match counted.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, count)) => *count += 1,
            None => counted.push((kind, 1)),
        }
    }
    // One alone has no number: it would be read as so many pieces.
    let of = |(kind, count): &(&str, usize)| match count {
        1 => (*kind).to_owned(),
        _ => format!("{count} {kind}"),
    };
    let left: Vec<String> = counted.iter().map(of).collect();
    let mut shown: Vec<String> = words(lines.get(first..end).unwrap_or_default());
    let all = format!("arrows: {}", left.join(", "));
    shown.push(text::cut(&all, width));
    shown
}
