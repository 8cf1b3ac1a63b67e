//! What goes out to turn one picture into the next, in few bytes.
//!
//! A terminal may sit at the end of a slow line. Only what differs is sent; and where a word or two
//! of what stays lies between, it is sent again if that is shorter than telling where to go on.

use super::widgets::text;
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// The terminal holds back what follows until the end of the frame.
const BEGIN_FRAME: &[u8] = b"\x1b[?2026h";
const END_FRAME: &[u8] = b"\x1b[?2026l";
const CLEAR: &[u8] = b"\x1b[0m\x1b[2J";

/// Returns one frame's bytes: nothing where nothing differs, and everything where it is not known
/// what stands on the screen.
pub fn frame(shown: Option<&Buffer>, next: &Buffer) -> Vec<u8> {
    let differing: Vec<Change> = match shown {
        Some(shown) => differing(shown, next),
        None => not_blank(next),
    };
    if shown.is_some() && differing.is_empty() {
        return Vec::new();
    }
    let mut bytes = BEGIN_FRAME.to_vec();
    if shown.is_none() {
        bytes.extend_from_slice(CLEAR);
    }
    let mut pen = Pen::new(bytes, next);
    let mut rest = differing.as_slice();
    while let Some((change, others)) = rest.split_first() {
        rest = match Erased::at(rest, next) {
            Some(erased) => {
                pen.erase(change, &erased);
                rest.get(erased.changes..).unwrap_or_default()
            }
            None => {
                pen.go(change);
                pen.put(change.2);
                others
            }
        };
    }
    pen.finish()
}

type Change<'a> = (u16, u16, &'a Cell);

/// Lists the cells that differ from what stands on the screen, row by row.
fn differing<'a>(shown: &Buffer, next: &'a Buffer) -> Vec<Change<'a>> {
    let wide = usize::from(next.area.width).max(1);
    let rows = shown.content().chunks(wide).zip(next.content().chunks(wide));
    let mut changes = Vec::new();
    for (y, (before, after)) in (next.area.y..).zip(rows) {
        // Cells up to here lie under a wide letter, or under what a change leaves of one.
        let (mut covered, mut left, mut sent) = (0, 0, false);
        for (at, (before, after)) in before.iter().zip(after).enumerate() {
            if at >= covered {
                let symbol = after.symbol();
                covered = at + columns(symbol);
                sent = at < left || style(before) != style(after) || !same(before.symbol(), symbol);
                if sent {
                    changes.extend(u16::try_from(at).map(|at| (next.area.x + at, y, after)));
                }
            }
            if sent {
                left = left.max(at + columns(before.symbol()));
            }
        }
    }
    changes
}

fn style(cell: &Cell) -> (Color, Color, Modifier) {
    (cell.fg, cell.bg, cell.modifier)
}

/// Tells whether two symbols are the same, sooner where they are of one byte, as most are.
fn same(one: &str, other: &str) -> bool {
    match (one.as_bytes(), other.as_bytes()) {
        ([one], [other]) => one == other,
        (one, other) => one == other,
    }
}

fn columns(symbol: &str) -> usize {
    if symbol.len() == 1 { 1 } else { text::columns(symbol).max(1).into() }
}

/// Lists the cells that differ from a screen that was cleared, row by row.
fn not_blank(next: &Buffer) -> Vec<Change<'_>> {
    let wide = usize::from(next.area.width).max(1);
    let mut changes = Vec::new();
    for (y, row) in (next.area.y..).zip(next.content().chunks(wide)) {
        let mut covered = 0;
        for (x, cell) in (next.area.x..).zip(row) {
            // What lies under the right half of a wide letter is not seen.
            if covered > 0 {
                covered -= 1;
            } else if !is_bare(cell) {
                covered = columns(cell.symbol()) - 1;
                changes.push((x, y, cell));
            }
        }
    }
    changes
}

/// Modifiers that are seen where no letter is.
const SEEN_ON_BLANK: Modifier = Modifier::REVERSED
    .union(Modifier::UNDERLINED)
    .union(Modifier::SLOW_BLINK)
    .union(Modifier::RAPID_BLINK)
    .union(Modifier::CROSSED_OUT);

/// Tells whether a cell looks as an erased one does, on every terminal.
fn is_bare(cell: &Cell) -> bool {
    cell.symbol() == " " && cell.bg == Color::Reset && !cell.modifier.intersects(SEEN_ON_BLANK)
}

/// Cells in a row that are erased together, because that is shorter than blanks.
struct Erased {
    columns: u16,
    /// To the end of the row.
    to_end: bool,
    /// How many of the changes that takes.
    changes: usize,
}

impl Erased {
    /// Columns that are worth being erased to the end of the row, and those worth it before that.
    const WORTH: (u16, u16) = (3, 10);

    fn at(changes: &[Change], next: &Buffer) -> Option<Erased> {
        let &(from, row, _) = changes.first().filter(|(.., cell)| is_bare(cell))?;
        let bare = |x: &u16| next.cell((*x, row)).is_some_and(is_bare);
        let end = (from..next.area.right()).take_while(bare).last()? + 1;
        let inside = |change: &&Change| change.1 == row && change.0 < end;
        let taken = changes.iter().take_while(inside);
        let (changes, columns) = taken.map(|change| change.0 - from + 1).enumerate().last()?;
        let to_end = end == next.area.right();
        let worth = if to_end { Erased::WORTH.0 } else { Erased::WORTH.1 };
        (columns > worth).then_some(Erased { columns, to_end, changes: changes + 1 })
    }
}

/// Writes cells, and knows where and how the next one will stand.
struct Pen<'a> {
    bytes: Vec<u8>,
    next: &'a Buffer,
    /// Where the next cell will stand, as far as that is known.
    at: Option<(u16, u16)>,
    fg: Color,
    bg: Color,
    modifier: Modifier,
}

impl<'a> Pen<'a> {
    fn new(bytes: Vec<u8>, next: &'a Buffer) -> Pen<'a> {
        let (fg, bg, modifier) = (Color::Reset, Color::Reset, Modifier::empty());
        Pen { bytes, next, at: None, fg, bg, modifier }
    }

    /// Goes to a place; what lies between is sent again where that is shorter than a jump.
    fn go(&mut self, &(x, y, _): &Change) {
        let digits = |number: u16| number.checked_ilog10().map_or(1, |power| 1 + power as usize);
        let jump = 4 + digits(y + 1) + digits(x + 1);
        let begun = self.bytes.len();
        let there = match self.at {
            Some((column, row)) if row == y && column <= x => self.again(column..x, y, jump),
            Some((_, row)) if row + 1 == y => {
                self.bytes.extend(b"\r\n");
                self.again(0..x, y, jump - 2)
            }
            Some(_) | None => false,
        };
        if !there {
            self.bytes.truncate(begun);
            self.bytes.extend(b"\x1b[");
            self.number(y + 1);
            if x > 0 {
                self.bytes.push(b';');
                self.number(x + 1);
            }
            self.bytes.push(b'H');
        }
        self.at = Some((x, y));
    }

    /// Sends cells that stay as they are, as long as that takes fewer bytes than `most`.
    fn again(&mut self, columns: std::ops::Range<u16>, row: u16, most: usize) -> bool {
        let begun = self.bytes.len();
        columns.into_iter().all(|x| {
            let cell = self.next.cell((x, row));
            let same = |cell: &&Cell| self.is_as_now(cell) && text::columns(cell.symbol()) == 1;
            let Some(cell) = cell.filter(same) else { return false };
            self.bytes.extend_from_slice(cell.symbol().as_bytes());
            self.bytes.len() - begun < most
        })
    }

    /// Tells whether a cell is written without a change of style: a blank is its ground alone.
    fn is_as_now(&self, cell: &Cell) -> bool {
        if cell.symbol() == " " {
            let seen = |modifier: Modifier| modifier.intersection(SEEN_ON_BLANK);
            let (now, wanted) = (seen(self.modifier), seen(cell.modifier));
            return cell.bg == self.bg && now == wanted && (now.is_empty() || cell.fg == self.fg);
        }
        style(cell) == (self.fg, self.bg, self.modifier)
    }

    fn put(&mut self, cell: &Cell) {
        if !self.is_as_now(cell) {
            // What a blank does not show stays as it is.
            let unseen = if cell.symbol() == " " { !SEEN_ON_BLANK } else { Modifier::empty() };
            let modifier = cell.modifier & !unseen | self.modifier & unseen;
            self.style(cell.fg, cell.bg, modifier);
        }
        self.bytes.extend_from_slice(cell.symbol().as_bytes());
        // How far a wide letter goes is not the same on every terminal.
        let narrow = text::columns(cell.symbol()) == 1;
        self.at = self.at.filter(|_| narrow).map(|(x, y)| (x + 1, y));
    }

    fn erase(&mut self, change: &Change, erased: &Erased) {
        self.go(change);
        if self.bg != Color::Reset || self.modifier.intersects(SEEN_ON_BLANK) {
            self.style(Color::Reset, Color::Reset, Modifier::empty());
        }
        self.bytes.extend(b"\x1b[");
        if erased.to_end {
            self.bytes.push(b'K');
        } else {
            self.number(erased.columns);
            self.bytes.push(b'X');
        }
    }

    /// Changes the style by no more than differs.
    fn style(&mut self, fg: Color, bg: Color, modifier: Modifier) {
        let plain = fg == Color::Reset && bg == Color::Reset && modifier.is_empty();
        let mut codes = Vec::new();
        if !plain {
            codes.extend(modifier_codes(self.modifier, modifier));
            if fg != self.fg {
                codes.extend(colour_codes(fg, 30));
            }
            if bg != self.bg {
                codes.extend(colour_codes(bg, 40));
            }
        }
        self.bytes.extend(b"\x1b[");
        for (at, code) in codes.into_iter().enumerate() {
            if at > 0 {
                self.bytes.push(b';');
            }
            self.number(code);
        }
        self.bytes.push(b'm');
        (self.fg, self.bg, self.modifier) = (fg, bg, modifier);
    }

    fn number(&mut self, number: u16) {
        if number > 9 {
            self.number(number / 10);
        }
        self.bytes.extend(u8::try_from(number % 10).map(|digit| b'0' + digit));
    }

    fn finish(mut self) -> Vec<u8> {
        if !(self.fg == Color::Reset && self.bg == Color::Reset && self.modifier.is_empty()) {
            self.style(Color::Reset, Color::Reset, Modifier::empty());
        }
        self.bytes.extend_from_slice(END_FRAME);
        self.bytes
    }
}

/// What is set, and what ends it; two of them end two at once.
const MODIFIERS: [(Modifier, u16, u16); 9] = [
    (Modifier::BOLD, 1, 22),
    (Modifier::DIM, 2, 22),
    (Modifier::ITALIC, 3, 23),
    (Modifier::UNDERLINED, 4, 24),
    (Modifier::SLOW_BLINK, 5, 25),
    (Modifier::RAPID_BLINK, 6, 25),
    (Modifier::REVERSED, 7, 27),
    (Modifier::HIDDEN, 8, 28),
    (Modifier::CROSSED_OUT, 9, 29),
];

fn modifier_codes(from: Modifier, to: Modifier) -> Vec<u16> {
    let ends: Vec<u16> = MODIFIERS
        .iter()
        .filter(|(one, ..)| from.contains(*one) && !to.contains(*one))
        .map(|(.., end)| *end)
        .collect();
    let begins = MODIFIERS
        .iter()
        .filter(|(one, _, end)| to.contains(*one) && (!from.contains(*one) || ends.contains(end)));
    let begins: Vec<u16> = begins.map(|(_, begin, _)| *begin).collect();
    [ends, begins].concat()
}

/// The codes of a colour; `ground` is 30 for what is written and 40 for what lies under it.
fn colour_codes(colour: Color, ground: u16) -> Vec<u16> {
    let bright = ground + 60;
    match colour {
        Color::Reset => vec![ground + 9],
        Color::Black => vec![ground],
        Color::Red => vec![ground + 1],
        Color::Green => vec![ground + 2],
        Color::Yellow => vec![ground + 3],
        Color::Blue => vec![ground + 4],
        Color::Magenta => vec![ground + 5],
        Color::Cyan => vec![ground + 6],
        Color::Gray => vec![ground + 7],
        Color::DarkGray => vec![bright],
        Color::LightRed => vec![bright + 1],
        Color::LightGreen => vec![bright + 2],
        Color::LightYellow => vec![bright + 3],
        Color::LightBlue => vec![bright + 4],
        Color::LightMagenta => vec![bright + 5],
        Color::LightCyan => vec![bright + 6],
        Color::White => vec![bright + 7],
        Color::Indexed(index) => vec![ground + 8, 5, index.into()],
        Color::Rgb(red, green, blue) => {
            vec![ground + 8, 2, red.into(), green.into(), blue.into()]
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ratatui::layout::Rect;
    use ratatui::style::Style;

    /// Paints words, each in a style of three, from columns of a row.
    fn picture(words: &[(u16, u16, &str, usize)]) -> Buffer {
        let bold = Style::new().add_modifier(Modifier::BOLD);
        let styles = [
            Style::new(),
            bold,
            Style::new().fg(Color::Red).bg(Color::White),
            bold.add_modifier(Modifier::REVERSED),
            Style::new().fg(Color::Indexed(88)),
            Style::new()
                .fg(Color::Rgb(1, 20, 255))
                .bg(Color::Indexed(7))
                .add_modifier(Modifier::ITALIC),
        ];
        let mut buffer = Buffer::empty(Rect::new(0, 0, 30, 4));
        for (x, y, word, style) in words {
            buffer.set_string(*x, *y, word, styles[*style]);
        }
        buffer
    }

    type Shown = (String, [bool; 3], vt100::Color, vt100::Color);

    /// What a terminal shows after these frames, cell by cell.
    fn shown(frames: &[Vec<u8>]) -> Vec<Shown> {
        let size = |n| std::num::NonZero::new(n).unwrap();
        let mut terminal = vt100::Parser::new(size(4), size(30), 0);
        frames.iter().for_each(|frame| terminal.process(frame));
        let places = (0..4).flat_map(|row| (0..30).map(move |column| (row, column)));
        let cells = places.map(|(row, column)| terminal.screen().cell(row, column).unwrap());
        cells
            .map(|cell| match (cell.contents().trim(), cell.inverse()) {
                ("", false) => (String::new(), [false; 3], vt100::Color::Default, cell.bgcolor()),
                ("", true) => (String::new(), [false, false, true], cell.fgcolor(), cell.bgcolor()),
                (letter, inverse) => {
                    let how = [cell.bold(), cell.italic(), inverse];
                    (letter.to_owned(), how, cell.fgcolor(), cell.bgcolor())
                }
            })
            .collect()
    }

    /// The same as the terminal library paints it, every cell.
    fn by_the_library(picture: &Buffer) -> Vec<Shown> {
        use ratatui::backend::{Backend, CrosstermBackend};
        crossterm::style::force_color_output(true);
        let mut bytes = CLEAR.to_vec();
        let blank = Buffer::filled(picture.area, Cell::new("x"));
        CrosstermBackend::new(&mut bytes).draw(blank.diff_iter(picture)).unwrap();
        shown(&[bytes])
    }

    #[test]
    fn every_picture_arrives_whole_whatever_was_there_before() {
        let pictures = [
            picture(&[]),
            picture(&[(0, 0, "two words and more", 0), (3, 2, "1 intake", 1)]),
            picture(&[(0, 0, "two birds and more", 0), (3, 2, "1 intake", 2)]),
            picture(&[
                (0, 0, "a", 1),
                (2, 0, "b", 0),
                (4, 0, "c", 1),
                (6, 0, "\u{4e2d}x\u{4e2d}", 0),
            ]),
            picture(&[
                (0, 0, "b", 1),
                (2, 0, "\u{4e2d}", 0),
                (4, 0, "d", 1),
                (6, 0, "yy\u{4e2d}", 0),
            ]),
            picture(&[(0, 3, "Enter", 1), (6, 3, "keep", 0), (12, 3, "?", 1), (14, 3, "help", 0)]),
        ];
        let mut tried = 0;
        for before in &pictures {
            for after in &pictures {
                let first = frame(None, before);
                let ours = shown(&[first, frame(Some(before), after)]);
                assert_eq!(ours, shown(&[frame(None, after)]));
                assert!(ours.iter().any(|cell| !cell.0.is_empty()) || after == &pictures[0]);
                tried += 1;
            }
        }
        assert_eq!(tried, 36);
    }

    proptest::proptest! {
        #![proptest_config(proptest::test_runner::Config {
            failure_persistence: None,
            ..Default::default()
        })]
        #[test]
        fn any_picture_arrives_whole(
            before in proptest::collection::vec((0_u16..30, 0_u16..4, WORDS, 0_usize..6), 0..12),
            after in proptest::collection::vec((0_u16..30, 0_u16..4, WORDS, 0_usize..6), 0..12),
        ) {
            let [before, after] = [before, after].map(|words| {
                let words: Vec<_> =
                    words.iter().map(|(x, y, word, style)| (*x, *y, word.as_str(), *style)).collect();
                picture(&words)
            });
            let wanted = by_the_library(&after);
            proptest::prop_assert_eq!(shown(&[frame(None, &after)]), wanted.clone());
            let both = [frame(None, &before), frame(Some(&before), &after)];
            proptest::prop_assert_eq!(shown(&both), wanted);
        }
    }

    const WORDS: &str = "[ a\u{2588}\u{4e2d}]{1,24}";

    #[test]
    fn a_blank_between_words_is_sent_and_a_far_place_is_jumped_to() {
        let blank = picture(&[]);
        let words = frame(Some(&blank), &picture(&[(0, 0, "to be felt", 0)]));
        assert!(String::from_utf8(words).unwrap().contains("to be felt"));
        let far = frame(Some(&blank), &picture(&[(0, 0, "to", 0), (20, 0, "felt", 0)]));
        assert!(String::from_utf8(far).unwrap().contains("to\u{1b}[1;21Hfelt"));
        let styled = picture(&[(0, 0, "Enter", 1), (6, 0, "keep", 0)]);
        let styled = String::from_utf8(frame(Some(&blank), &styled)).unwrap();
        assert!(styled.contains("\u{1b}[1mEnter \u{1b}[mkeep"), "{styled:?}");
    }

    #[test]
    fn the_same_picture_costs_nothing() {
        let same = picture(&[(0, 0, "two words", 0)]);
        assert_eq!(frame(Some(&same), &same), b"");
    }
}
