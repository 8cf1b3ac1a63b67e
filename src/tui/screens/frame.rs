//! What every screen has: a ground, open items at the top, a note and the keys at the foot; and what
//! is shown where the window is too small for it.

use crate::tui::keymap::Hint;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::{footer, text};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Columns that a screen needs.
pub const COLUMNS: u16 = 40;
/// Rows that a screen needs.
pub const ROWS: u16 = 12;
/// Rows under which the open items have one line.
const LOW: u16 = 18;
/// Columns that the engine's name keeps beside where in the job.
const NAME: u16 = 8;

/// A line said once: a refusal, or what became of a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// What is said.
    pub text: String,
    /// How.
    pub tone: Tone,
    /// The verdict for large letters, in several lengths, the longest first.
    pub large: Vec<String>,
}

/// How a note is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Something was done.
    Done,
    /// Something was refused, or needs attention.
    Warning,
}

impl Note {
    /// Makes a note that something was done.
    pub fn done(text: impl Into<String>) -> Note {
        Note { text: text.into(), tone: Tone::Done, large: Vec::new() }
    }

    /// Makes a note that something was refused or needs attention.
    pub fn warning(text: impl Into<String>) -> Note {
        Note { text: text.into(), tone: Tone::Warning, large: Vec::new() }
    }

    /// Says another one behind what was not seen yet: neither pushes the other out.
    pub fn and(self, more: Note) -> Note {
        if self.text.contains(&more.text) {
            return self;
        }
        let warns = [self.tone, more.tone].contains(&Tone::Warning);
        Note {
            text: format!("{}; {}", self.text, more.text),
            tone: if warns { Tone::Warning } else { Tone::Done },
            large: if self.large.is_empty() { more.large } else { self.large },
        }
    }

    /// As [`Note::and`], behind what may be nothing.
    pub fn behind(self, before: Option<Note>) -> Note {
        match before {
            Some(before) => before.and(self),
            None => self,
        }
    }
}

/// What stands around the middle of a screen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Around {
    /// What could not be saved, before everything else.
    pub alert: Option<String>,
    /// Open items: what must not be forgotten.
    pub open: Vec<String>,
    /// Left of the second line: the engine.
    pub status: String,
    /// Its running hours, behind it where there is room; empty where they are not known yet.
    pub hours: String,
    /// Right of the second line: where in the job and how much is left, the longest words first.
    pub places: Vec<String>,
    /// The note.
    pub note: Option<Note>,
    /// The keys that work now.
    pub hints: Vec<Hint>,
    /// Where something is typed: the keys that work all the while, and those that work before it.
    pub typing: Option<(Vec<Hint>, Vec<Hint>)>,
}

/// Paints the ground of a whole screen.
pub fn ground(theme: Theme, area: Rect, buf: &mut Buffer) {
    if theme.paints_ground() {
        buf.set_style(area.intersection(buf.area), theme.style(Role::Text));
    }
}

/// Tells whether a screen has the room it needs.
pub fn has_room(area: Rect) -> bool {
    area.width >= COLUMNS && area.height >= ROWS
}

/// Paints everything around the middle but the note, and returns the middle.
pub fn paint(around: &Around, theme: Theme, area: Rect, buf: &mut Buffer) -> Rect {
    ground(theme, area, buf);
    let area = area.intersection(buf.area);
    let mut top = 0_u16;
    let lines = if area.height < LOW { 1 } else { 2 };
    let alert = around.alert.iter().flat_map(|alert| text::wrap(alert, area.width));
    for line in alert.chain(open_lines(&around.open, area.width, lines)) {
        let row = row(area, top);
        buf.set_style(row, theme.style(Role::Open));
        text::put(&line, theme.style(Role::Open), row, buf);
        top += 1;
    }
    let status = row(area, top);
    let engine = (around.status.as_str(), around.hours.as_str());
    let place = place(&around.places, engine, status.width);
    let place_width = text::columns(&place).min(status.width);
    let left = Rect { width: (status.width - place_width).saturating_sub(1), ..status };
    text::put(&named(engine, left.width), theme.style(Role::Text), left, buf);
    let right = Rect { x: status.right() - place_width, width: place_width, ..status };
    text::put(&place, theme.style(Role::Text), right, buf);
    top += 1;
    // Where * lists all that can be done, or something is typed, one line of keys is enough in a low window.
    let told = |keys: &[&str]| around.hints.iter().any(|hint| keys.contains(&hint.key));
    // So it is under a table that is read and sorted, where there are no pages to turn.
    let sorted = told(&["."]) && !told(&["left right"]);
    let listed = sorted || told(&["*", "Backspace", "Ctrl-C"]);
    let most = if area.height < LOW && listed { 1 } else { footer::LINES };
    let typing = around.typing.as_ref().filter(|_| most == footer::LINES);
    let keys = typing
        .and_then(|(always, before)| footer::steady(always, before, area.width))
        .unwrap_or_else(|| footer::lines(&around.hints, area.width, most));
    let foot = u16::try_from(keys.len()).unwrap_or(0);
    footer::paint(&keys, theme, below(area, area.height.saturating_sub(foot)), buf);
    let height = area.height.saturating_sub(top).saturating_sub(foot);
    Rect { height, ..below(area, top) }
}

/// Paints the note at the foot and returns what is left above it.
pub fn paint_note(around: &Around, theme: Theme, area: Rect, buf: &mut Buffer) -> Rect {
    let Some(note) = &around.note else { return area };
    let mut lines = note.lines(area.width);
    lines.truncate(usize::from(area.height / 3));
    let left = area.height.saturating_sub(u16::try_from(lines.len()).unwrap_or(u16::MAX));
    text::put_lines(&lines, theme.style(note.role()), below(area, left), buf);
    Rect { height: left, ..area }
}

/// What stands over a page that is leafed through: the note in place of the title, so that no line gives
/// way to it.
pub fn said_for_a_title(around: &Around, title: &str) -> (String, Role) {
    match &around.note {
        Some(note) => (note.lines(u16::MAX).concat(), note.role()),
        None => (title.to_owned(), Role::Title),
    }
}

impl Note {
    /// Returns the note in lines; a refusal is told by its sign too, not by colour alone.
    pub fn lines(&self, width: u16) -> Vec<String> {
        if self.text.is_empty() {
            return Vec::new();
        }
        let sign = match self.tone {
            Tone::Done => "·",
            Tone::Warning => "!",
        };
        text::wrap(&format!("{sign} {}", self.text), width)
    }

    /// Returns how it is painted.
    pub fn role(&self) -> Role {
        match self.tone {
            Tone::Done => Role::Good,
            Tone::Warning => Role::Warning,
        }
    }
}

/// The longest words beside which the engine's name is whole; else the shortest, or the longest that
/// leave room for its beginning and end. Where none do they are cut: of another engine they are wrong.
fn place(places: &[String], (engine, hours): (&str, &str), width: u16) -> String {
    let beside = |name: u16| {
        let fits = |place: &&String| text::columns(place).saturating_add(name + 1) <= width;
        places.iter().find(fits).cloned()
    };
    let name = text::columns(engine);
    beside(text::columns(&with_hours(engine, hours)))
        .or_else(|| beside(name.min(NAME)))
        .unwrap_or_else(|| {
            let shortest = places.last().map_or("", String::as_str);
            text::cut(shortest, width.saturating_sub(name.min(NAME) + 1))
        })
}

/// What stands between an engine's name and its hours.
const HOURS: &str = " · ";
/// Columns of a name's end that are shown where it is cut: what tells two engines apart stands at either.
const END: usize = 3;

fn with_hours(engine: &str, hours: &str) -> String {
    if hours.is_empty() { engine.into() } else { format!("{engine}{HOURS}{hours}") }
}

/// The engine in so many columns: its hours give way first, then the middle of its name.
fn named((name, hours): (&str, &str), width: u16) -> String {
    let whole = with_hours(name, hours);
    let end: String = name.chars().skip(name.chars().count().saturating_sub(END)).collect();
    let room = width.saturating_sub(text::columns(&end));
    match [whole.as_str(), name].into_iter().find(|words| text::columns(words) <= width) {
        Some(whole) => whole.to_owned(),
        None if width < NAME => text::cut(name, width),
        None => text::cut(name, room) + &end,
    }
}

/// Columns in which the gravest of several open items is told from others.
const NAMED: u16 = 26;

/// The open items in so many lines at most; what does not fit is counted and stands in the help.
fn open_lines(open: &[String], width: u16, most: usize) -> Vec<String> {
    let Some((first, rest)) = open.split_first() else { return Vec::new() };
    let items: Vec<String> = std::iter::once(format!("OPEN: {first}"))
        .chain(rest.iter().map(|item| format!("· {item}")))
        .collect();
    for shown in (1..=items.len()).rev() {
        let mut items: Vec<String> = items.iter().take(shown).cloned().collect();
        if shown < open.len() {
            items.push(text::more(open.len() - shown));
        }
        let lines = text::wrap_items(&items, width);
        if lines.len() <= most {
            return lines;
        }
    }
    // The gravest is named, as far as it goes, before the others are counted.
    let others = format!("  {}", text::more(rest.len()));
    let room = width.saturating_sub(text::columns(&others));
    // That it is done before running gives way to what it is.
    let what = first.strip_prefix("before running: ");
    let long = text::columns(first) + text::columns("OPEN: ") > room;
    let gravest = format!("OPEN: {}", what.filter(|_| long).unwrap_or(first));
    if most > 0 && (room >= NAMED || text::columns(&gravest) <= room) {
        return vec![text::cut(&gravest, room) + &others];
    }
    vec![format!("OPEN: {} things: ? shows all", open.len())]
}

/// One row of an area; empty where the area has no such row.
pub fn row(area: Rect, at: u16) -> Rect {
    Rect { height: 1, ..below(area, at) }.intersection(area)
}

/// The area from a row on.
pub fn below(area: Rect, at: u16) -> Rect {
    let at = at.min(area.height);
    Rect { y: area.y + at, height: area.height - at, ..area }
}

/// Asks for more room; beneath, whatever of the question still fits.
pub fn paint_cramped(wanted: &[(String, Role)], theme: Theme, area: Rect, buf: &mut Buffer) {
    ground(theme, area, buf);
    let area = area.intersection(buf.area);
    let ask = format!("{COLUMNS}x{ROWS} needed, this is {}x{}", area.width, area.height);
    let ask = text::wrap(&ask, area.width);
    let mut at = text::put_lines(&ask, theme.style(Role::Warning), area, buf);
    for (line, role) in wanted {
        let lines = text::wrap(line, area.width);
        at += text::put_lines(&lines, theme.style(*role), below(area, at), buf);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn open_items_that_do_not_fit_are_counted_never_dropped() {
        let open: Vec<String> =
            (1..=9).map(|valve| format!("nut slack: {valve} exhaust")).collect();
        assert_eq!(
            open_lines(&open, 60, 2),
            [
                "OPEN: nut slack: 1 exhaust  · nut slack: 2 exhaust",
                "· nut slack: 3 exhaust  · nut slack: 4 exhaust  (5 more: ?)"
            ]
        );
        assert_eq!(open_lines(&open, 40, 1), ["OPEN: nut slack: 1 exhaust  (8 more: ?)"]);
        assert_eq!(open_lines(&open, 20, 1), ["OPEN: 9 things: ? shows all"]);
        // The gravest is named first, however long it is.
        let long =
            ["MISSING: 1 × cover screw, right bank, left open by spring".into(), open[0].clone()];
        assert_eq!(open_lines(&long, 40, 1), ["OPEN: MISSING: 1 × cover ..  (1 more: ?)"]);
        assert_eq!(open_lines(&open[..1], 60, 2), ["OPEN: nut slack: 1 exhaust"]);
        assert_eq!(open_lines(&[], 60, 2), Vec::<String>::new());
        for width in 0..200 {
            assert!(open_lines(&open, width, 2).len() <= 2);
            assert!(open_lines(&open, width, 1).len() <= 1);
        }
    }

    #[test]
    fn a_name_that_is_cut_keeps_its_beginning_and_its_end_and_its_hours_go_first() {
        let whole = ("Vee twin of the left wing", "412.6 h");
        assert_eq!(named(whole, 40), "Vee twin of the left wing · 412.6 h");
        assert_eq!(named(whole, 30), "Vee twin of the left wing");
        assert_eq!(named(whole, 12), "Vee twi..ing");
        assert_eq!(named(("Vee twin of the right wing", "1 h"), 8), "Vee..ing");
        let places = ["change shims · 0 to take out · 0 out".to_owned()];
        let shown = place(&places, whole, 40);
        assert!(text::columns(&shown) <= 31 && shown.ends_with(text::CUT), "{shown}");
        assert_eq!(place(&places, ("T", ""), 40), places[0]);
    }
}
