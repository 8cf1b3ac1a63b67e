//! A page of plain text: headings, paragraphs and rows of a table, none wider than the page.
//!
//! Columns are counted as a terminal shows them. All text passes through `plain` here, so that
//! nobody who writes on a sheet has to think of it.

use crate::domain::plain::{is_unsafe, plain};
use crate::domain::unbroken;
use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// A blank at which no line is broken; it is written as an ordinary one.
pub const UNBROKEN: &str = "\u{a0}";

/// A page in the making.
#[derive(Clone, Debug)]
pub struct Sheet {
    width: usize,
    blocks: Vec<Block>,
}

/// A piece of a page. Other ways of writing the same page (Markdown, a web page) start from these,
/// so that none of them can say less.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// An empty line.
    Blank,
    /// A heading.
    Heading(String),
    /// A paragraph, and what its first line opens with.
    Line(String, String),
    /// A label and what stands beside it.
    Field(String, String),
    /// A row of a table, and the width of each column.
    Row(Vec<String>, Vec<usize>),
    /// A line of a drawing, its blanks too.
    Drawn(String),
    /// A rule across the page.
    Rule,
    /// The next page.
    Page,
}

impl Sheet {
    /// Makes an empty sheet of so many columns.
    pub fn new(width: usize) -> Sheet {
        Sheet { width, blocks: Vec::new() }
    }

    /// Returns what was written, piece by piece.
    pub fn into_blocks(self) -> Vec<Block> {
        self.blocks
    }

    /// Writes an empty line, unless one was just written or the sheet is empty.
    pub fn blank(&mut self) {
        self.blocks.push(Block::Blank);
    }

    /// Writes a heading with an empty line before it.
    pub fn heading(&mut self, heading: &str) {
        self.blocks.push(Block::Heading(heading.into()));
    }

    /// Writes a paragraph: the first line opens with `first`, the others with as many blanks.
    pub fn line(&mut self, first: &str, text: &str) {
        self.blocks.push(Block::Line(first.into(), text.into()));
    }

    /// Writes a line of a drawing as it is, its blanks too.
    pub fn drawn(&mut self, line: &str) {
        self.blocks.push(Block::Drawn(line.into()));
    }

    /// Writes a rule across the page.
    pub fn rule(&mut self) {
        self.blocks.push(Block::Rule);
    }

    /// Begins another page.
    pub fn page(&mut self) {
        self.blocks.push(Block::Page);
    }

    /// Writes a label and what stands beside it, two columns in.
    pub fn field(&mut self, label: &str, text: &str) {
        self.blocks.push(Block::Field(label.into(), text.into()));
    }

    /// Writes a row of a table: each cell in its column, the last one as wide as it likes. A row
    /// that does not fit is written as a paragraph, so that nothing is cut off.
    pub fn row(&mut self, cells: &[String], widths: &[usize]) {
        self.blocks.push(Block::Row(cells.to_vec(), widths.to_vec()));
    }

    /// Sets the page for so many columns.
    #[must_use]
    pub fn at(self, width: usize) -> Sheet {
        Sheet { width, ..self }
    }

    /// Returns the page as plain text.
    pub fn into_text(self) -> String {
        laid_out(&self.blocks, self.width).concat()
    }
}

/// Sets a page for so many columns: the text that each piece adds. A table whose heads do not fit is
/// folded, a paragraph a row, in which each cell is told by its head.
pub fn laid_out(blocks: &[Block], width: usize) -> Vec<String> {
    let mut text = String::new();
    let mut head: Option<(&[String], bool)> = None;
    let mut added = Vec::new();
    for block in blocks {
        let before = text.len();
        match block {
            Block::Blank => blank(&mut text),
            Block::Heading(heading) => {
                blank(&mut text);
                text += &wrapped(width, "", heading);
            }
            Block::Line(first, words) if is_note(first) && folds(head) => {
                text += &wrapped(width, NOTE, words);
            }
            Block::Line(first, words) => text += &wrapped(width, first, words),
            Block::Field(label, words) => {
                // A label that fills its column is told apart all the same.
                let gap = if label.chars().count() < 20 { "" } else { " " };
                text += &wrapped(width, &format!("  {label:<20}{gap}"), words);
            }
            Block::Row(cells, widths) => match head {
                None => {
                    let folds = !row_fits(cells, widths, width);
                    head = Some((cells, folds));
                    if !folds {
                        row(&mut text, width, cells, widths);
                    }
                }
                Some((heads, true)) => text += &folded_row(width, heads, cells),
                Some((_, false)) => row(&mut text, width, cells, widths),
            },
            Block::Drawn(line) => {
                text += &plain(line);
                text.push('\n');
            }
            Block::Rule => {
                text += &"-".repeat(width);
                text.push('\n');
            }
            Block::Page => {
                blank(&mut text);
                text += &"=".repeat(width);
                text.push('\n');
            }
        }
        // A table ends where anything but a remark on its row comes.
        let goes_on = match block {
            Block::Row(..) => true,
            Block::Line(first, _) => is_note(first),
            Block::Blank
            | Block::Heading(_)
            | Block::Field(..)
            | Block::Drawn(_)
            | Block::Rule
            | Block::Page => false,
        };
        head = head.filter(|_| goes_on);
        added.push(text.get(before..).unwrap_or_default().to_owned());
    }
    added
}

/// How far a remark on a folded row hangs in.
const NOTE: &str = "    ";

fn folds(head: Option<(&[String], bool)>) -> bool {
    head.is_some_and(|(_, folds)| folds)
}

/// Tells whether a paragraph below a row of a table belongs to that row: it hangs far in.
pub fn is_note(first: &str) -> bool {
    first.len() >= 8 && first.trim().is_empty()
}

fn blank(text: &mut String) {
    if !text.is_empty() && !text.ends_with("\n\n") {
        text.push('\n');
    }
}

/// Sets cells in their columns; `None` where one of them, or the line, is too wide.
fn in_columns(cells: &[String], widths: &[usize], width: usize) -> Option<String> {
    let mut line = String::new();
    let mut fits = true;
    for (place, (cell, &width)) in cells.iter().zip(widths).enumerate() {
        let last = place + 1 == cells.len();
        fits &= last || cell.width() < width;
        line += cell;
        line += &" ".repeat(width.saturating_sub(cell.width()));
    }
    let line = line.trim_end();
    (fits && line.width() <= width).then(|| format!("{line}\n"))
}

/// Tells whether the table under these heads keeps its columns; the last one has room for a word.
fn row_fits(heads: &[String], widths: &[usize], width: usize) -> bool {
    const WORD: usize = 9;
    let first = widths.split_last().map_or(0, |(_, widths)| widths.iter().sum());
    width >= super::WIDTH || first + WORD <= width && in_columns(heads, widths, width).is_some()
}

fn row(text: &mut String, width: usize, cells: &[String], widths: &[usize]) {
    let cells: Vec<String> = cells.iter().map(|cell| plain(cell)).collect();
    *text += &in_columns(&cells, widths, width).unwrap_or_else(|| {
        let full: Vec<&str> = cells.iter().map(|cell| cell.trim()).collect();
        wrapped(width, "  ", &full.join("  "))
    });
}

/// Writes a row of a folded table; one that goes on with the row above is set in like its rest.
fn folded_row(width: usize, heads: &[String], cells: &[String]) -> String {
    const IN: &str = "  ";
    let told = told_by_heads(heads, cells).join(", ");
    let goes_on = cells.first().is_none_or(|cell| cell.trim().is_empty());
    let told = if goes_on { told } else { told.replacen(", ", ": ", 1) };
    let lines = wrapped(width, IN, &told);
    let hang = if goes_on { Some(lines.as_str()) } else { lines.strip_prefix(IN) };
    hang.unwrap_or_default().to_owned()
}

/// Tells cells one by one, each with the head of its column, so that it says what it is without
/// standing under it. What names the row needs no head, and neither does a word (a verdict, which way
/// a valve went), unless it is a name that somebody gave.
pub fn told_by_heads(heads: &[String], cells: &[String]) -> Vec<String> {
    const GIVEN: [&str; 3] = ["session", "service", "profile"];
    let heads = heads.iter().map(|head| head.trim()).chain(std::iter::repeat(""));
    let mut named = false;
    let mut told = Vec::new();
    for (cell, head) in cells.iter().map(|cell| cell.trim()).zip(heads) {
        let names = !named && !head.is_empty() && cell.contains(char::is_alphabetic);
        named |= !head.is_empty();
        let is_word = cell.starts_with(char::is_alphabetic) && !GIVEN.contains(&head);
        match (cell, head.is_empty() || names || is_word) {
            ("", _) => {}
            (cell, true) => told.push(cell.to_owned()),
            (cell, false) => told.push(format!("{head} {cell}")),
        }
    }
    told
}

/// Tells whether a line may be broken here. A line separator is no blank: it is shown as the mark of
/// what cannot be shown.
fn breaks(c: char) -> bool {
    matches!(c, '\t' | '\n') || c.is_whitespace() && !is_unsafe(c) && !UNBROKEN.contains(c)
}

/// Breaks text into lines of at most `width` columns: the first opens with `first`, the others with
/// as many blanks. A word that no line can hold is broken.
pub fn wrapped(width: usize, first: &str, text: &str) -> String {
    let first = plain(first);
    if first.width() > width / 2 {
        // It leaves no room beside it: a line of its own, and the text beneath, further in.
        let margin = first.len() - first.trim_start().len();
        let margin = " ".repeat(margin.min(width / 4));
        let head = wrapped(width, &margin, &first);
        return head + &wrapped(width, &format!("{margin}{margin}"), text);
    }
    let indent = " ".repeat(first.width());
    let room = width.saturating_sub(indent.len()).max(1);
    let (mut lines, mut line, mut used) = (String::new(), first, 0);
    let words = text.split(breaks).filter(|word| !word.is_empty()).map(plain);
    for piece in unbroken::joined(words).iter().flat_map(|word| pieces(word, room)) {
        let gap = usize::from(used > 0);
        if used + gap + piece.width() > room {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line.clone_from(&indent);
            used = 0;
        }
        if used > 0 {
            line.push(' ');
            used += 1;
        }
        used += piece.width();
        line.push_str(&piece.replace(UNBROKEN, " "));
    }
    lines.push_str(line.trim_end());
    lines.push('\n');
    lines
}

/// Breaks a word into pieces of at most `room` columns.
fn pieces(word: &str, room: usize) -> Vec<String> {
    if word.width() <= room {
        return vec![word.to_string()];
    }
    let parts = unbroken::apart(word);
    if parts.len() > 1 {
        return parts.iter().flat_map(|part| pieces(part, room)).collect();
    }
    let mut pieces = vec![String::new()];
    let mut used = 0;
    // What is seen as one sign is not torn apart.
    for letter in word.graphemes(true) {
        let wide = letter.width();
        if used + wide > room {
            pieces.push(String::new());
            used = 0;
        }
        used += wide;
        if let Some(piece) = pieces.last_mut() {
            piece.push_str(letter);
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn text_is_broken_between_words_and_hangs_under_its_head() {
        let text = wrapped(20, "  note  ", "one two three four five");
        assert_eq!(text, "  note  one two\n        three four\n        five\n");
        assert_eq!(wrapped(12, "", "see 3\u{a0}exhaust"), "see\n3 exhaust\n");
        assert_eq!(
            wrapped(12, "", "at 45 ± 5 lbf·in (5.08 ± 0.56 N·m)"),
            "at 45 ±\n5 lbf·in\n(5.08 ±\n0.56 N·m)\n"
        );
    }

    #[test]
    fn a_line_separator_is_no_blank_and_is_shown_as_what_cannot_be_shown() {
        assert_eq!(wrapped(6, "", "a\u{2028}b c\nd"), "a\u{fffd}b c\nd\n");
    }

    #[test]
    fn a_word_that_no_line_holds_is_broken_and_wide_letters_count_twice() {
        assert_eq!(wrapped(6, "", "abcdefgh"), "abcdef\ngh\n");
        assert_eq!(wrapped(6, "", "点火順序"), "点火順\n序\n");
    }

    #[test]
    fn a_row_that_does_not_fit_is_written_out_in_full() {
        let mut sheet = Sheet::new(20);
        let cell = |text: &str| text.to_string();
        sheet.row(&[cell("a"), cell("b")], &[6, 6]);
        sheet.row(&[cell("longer than it"), cell("b")], &[6, 6]);
        assert_eq!(sheet.into_text(), "a     b\n  longer than it  b\n".replace("it  b", "it b"));
    }

    #[test]
    fn a_table_whose_heads_do_not_fit_is_told_row_by_row_with_its_heads() {
        let row =
            |cells: [&str; 4]| Block::Row(cells.map(String::from).into(), vec![13, 7, 12, 10]);
        let blocks = [
            row(["valve", "", "typed", "verdict"]),
            row(["1 intake", "found", "6 thou", "in limits"]),
            Block::Line(" ".repeat(15), "gauged warm".into()),
            row(["", "left", "5.5 thou", ""]),
            row(["", "left", "as found, not touched", ""]),
            Block::Heading("Work".into()),
        ];
        let folded = [
            "",
            "1 intake: found, typed 6 thou,\n  in limits\n",
            "    gauged warm\n",
            "  left, typed 5.5 thou\n",
            "  left, as found, not touched\n",
            "\nWork\n",
        ];
        assert_eq!(laid_out(&blocks, 32), folded);
        // Where the heads fit it stays a table.
        let wide = laid_out(&blocks, 80).concat();
        assert!(
            wide.starts_with("valve               typed       verdict\n1 intake     found"),
            "{wide}"
        );
        let told = |heads: &[&str], cells: &[&str]| {
            let [heads, cells] =
                [heads, cells].map(|texts| texts.iter().map(|text| text.to_string()));
            told_by_heads(&heads.collect::<Vec<_>>(), &cells.collect::<Vec<_>>()).join("; ")
        };
        assert_eq!(
            told(
                &["hours", "date", "found", "left", "", "session"],
                &["  400.0", "2026-04-23", "0.28", "-", "tight", "in limits"]
            ),
            "hours 400.0; date 2026-04-23; found 0.28; left -; tight; session in limits"
        );
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_the_page_and_no_word_is_lost(text in "(\\PC|[ \t\n]|点){0,200}") {
            let page = wrapped(24, "  head  ", &text);
            prop_assert!(page.lines().all(|line| line.width() <= 24), "{page}");
            let letters = |text: &str| text.chars().filter(|c| !c.is_whitespace()).count();
            let shown: usize = text.split(breaks).map(|word| letters(&plain(word))).sum();
            prop_assert_eq!(letters(&page), shown + 4);
        }
    }
}
