//! Text in cells: its width, its lines, and what may be painted of it.

use crate::domain::plain::{is_joiner, is_printable_ascii, is_simple, is_unsafe, plain};
use crate::domain::unbroken;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Span;

/// What stands where text had to be cut.
pub const CUT: &str = "..";

/// Returns the columns that a text takes as it is painted: what may not be shown takes that of its mark.
pub fn columns(text: &str) -> u16 {
    if is_printable_ascii(text) {
        return u16::try_from(text.len()).unwrap_or(u16::MAX);
    }
    let wide = if is_simple(text) { text.chars().count() } else { Span::raw(plain(text)).width() };
    u16::try_from(wide).unwrap_or(u16::MAX)
}

/// Splits a text into what a reader sees as single characters.
fn characters(text: &str) -> Vec<String> {
    let span = Span::raw(text);
    span.styled_graphemes(Style::new()).map(|found| found.symbol.to_owned()).collect()
}

/// Takes away the last character as a reader sees it, with its accents.
pub fn without_last(text: &str) -> &str {
    let last = characters(text).last().map_or(0, String::len);
    text.get(..text.len().saturating_sub(last)).unwrap_or_default()
}

/// Tells whether a character may stand in a text that is typed or painted: no control character, and
/// none that turns, hides or joins others.
pub fn is_plain(letter: char) -> bool {
    !is_unsafe(letter) && !is_joiner(letter)
}

/// Breaks a text into lines of at most `width` columns, between words where that is possible; a
/// number stays with its unit.
pub fn wrap(text: &str, width: u16) -> Vec<String> {
    wrap_in(text, |_| width)
}

/// The same where each line has a width of its own.
pub fn wrap_in(text: &str, width: impl Fn(usize) -> u16) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut taken = 0;
    for word in unbroken::joined(text.split_whitespace()) {
        for piece in pieces(&word, width(lines.len())) {
            let wide = columns(&piece);
            if taken > 0 && wide.saturating_add(taken + 1) > width(lines.len()) {
                lines.push(std::mem::take(&mut line));
                taken = 0;
            }
            if taken > 0 {
                line.push(' ');
                taken += 1;
            }
            line.push_str(&piece);
            taken = taken.saturating_add(wide);
        }
    }
    if width(lines.len()) > 0 {
        lines.push(line);
    }
    lines
}

/// A word, or as many pieces of it as a narrow column needs.
fn pieces(word: &str, width: u16) -> Vec<String> {
    if columns(word) <= width {
        return vec![word.to_owned()];
    }
    if word.contains(' ') {
        return unbroken::apart(word).iter().flat_map(|part| pieces(part, width)).collect();
    }
    let mut pieces: Vec<String> = Vec::new();
    for character in characters(word) {
        match pieces.last_mut() {
            Some(piece) if columns(piece).saturating_add(columns(&character)) <= width => {
                piece.push_str(&character)
            }
            _ if columns(&character) <= width => pieces.push(character),
            _ => {}
        }
    }
    pieces
}

/// Sets items side by side, as many to a line as fit; no item is broken over two lines.
pub fn wrap_items(items: &[String], width: u16) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for item in items {
        match lines.last_mut() {
            Some(line)
                if columns(line).saturating_add(2).saturating_add(columns(item)) <= width =>
            {
                line.push_str("  ");
                line.push_str(item);
            }
            Some(_) | None => lines.push(item.clone()),
        }
    }
    lines
}

/// Breaks several texts, one after the other.
pub fn wrap_all<'a>(texts: impl IntoIterator<Item = &'a String>, width: u16) -> Vec<String> {
    texts.into_iter().flat_map(|text| wrap(text, width)).collect()
}

/// Says that so many are not shown for want of room, and which key shows them: in words, so that behind a
/// figure it is no part of it (25+6 is two leaves).
pub fn more(hidden: usize) -> String {
    format!("({hidden} more: ?)")
}

/// Cuts a text to a width and marks the cut.
pub fn cut(text: &str, width: u16) -> String {
    if columns(text) <= width {
        return text.to_owned();
    }
    let room = width.saturating_sub(columns(CUT));
    let mark = CUT.get(..usize::from(width.min(columns(CUT)))).unwrap_or_default();
    if is_printable_ascii(text) {
        return [text.get(..room.into()).unwrap_or_default(), mark].concat();
    }
    let mut kept = String::new();
    for character in characters(text) {
        if columns(&kept).saturating_add(columns(&character)) > room {
            break;
        }
        kept.push_str(&character);
    }
    kept.push_str(mark);
    kept
}

/// Paints one line, cut to its area with a mark; returns the column after it.
pub fn put(text: &str, style: Style, area: Rect, buf: &mut Buffer) -> u16 {
    let area = area.intersection(buf.area);
    if area.is_empty() {
        return area.x;
    }
    if is_simple(text) && columns(text) <= area.width {
        let mut last = area.x;
        for (x, letter) in (area.x..).zip(text.chars()) {
            if let Some(cell) = buf.cell_mut((x, area.y)) {
                cell.set_char(letter).set_style(style);
            }
            last = x + 1;
        }
        return last;
    }
    // The last gate before the terminal, whatever came this far.
    let text = cut(&plain(text), area.width);
    buf.set_stringn(area.x, area.y, text, usize::from(area.width), style).0
}

/// Paints lines from the top of an area; returns how many rows they took.
pub fn put_lines(lines: &[String], style: Style, area: Rect, buf: &mut Buffer) -> u16 {
    let mut rows = 0;
    for (line, row) in lines.iter().zip(area.rows()) {
        put(line, style, row, buf);
        rows += 1;
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_between_words_and_inside_a_word_that_is_too_long() {
        let cases: [(&str, u16, &[&str]); 9] = [
            ("at 90 ± 10 lbf·in (10.2 ± 1 N·m)", 16, &["at", "90 ± 10 lbf·in", "(10.2 ± 1 N·m)"]),
            ("at 90 ± 10 lbf·in", 8, &["at 90 ±", "10", "lbf·in"]),
            ("at (5.08 ± 0.56 N·m)", 12, &["at (5.08 ±", "0.56 N·m)"]),
            ("turn on past the mark", 9, &["turn on", "past the", "mark"]),
            ("exactly9", 8, &["exactly9"]),
            ("counterclockwise", 6, &["counte", "rclock", "wise"]),
            ("a counterclockwise", 6, &["a", "counte", "rclock", "wise"]),
            ("", 5, &[""]),
            ("x", 0, &[]),
        ];
        for (text, width, lines) in cases {
            assert_eq!(wrap(text, width), lines, "{text} at {width}");
        }
    }

    #[test]
    fn a_figure_in_hundredths_is_whole_in_every_width_that_has_room_for_it() {
        for figure in ["25 /100 mm", "12/13 hundredths", "0.25 mm", "15 thou"] {
            let told = format!("stop 1 of 4; last: 1 intake, try: {figure}, in limits");
            let room = columns(figure) + 1;
            for width in room..=90 {
                let lines = wrap(&told, width);
                assert!(lines.iter().any(|line| line.contains(figure)), "{width}: {lines:?}");
            }
        }
    }

    #[test]
    fn a_cut_is_marked_and_never_wider_than_its_place() {
        assert_eq!(cut("overlap", 7), "overlap");
        assert_eq!(cut("overlap", 6), "over..");
        assert_eq!(cut("overlap", 1), ".");
        assert_eq!(cut("overlap", 0), "");
        assert_eq!(cut("日本語", 5), "日..");
    }

    #[test]
    fn the_last_character_goes_with_its_accents() {
        assert_eq!(without_last("0,15"), "0,1");
        assert_eq!(without_last("cafe\u{301}"), "caf");
        assert_eq!(without_last(""), "");
    }

    #[test]
    fn simple_signs_take_one_column_join_no_other_and_are_painted_as_they_are() {
        let simple: Vec<String> =
            ('\0'..=char::MAX).map(String::from).filter(|sign| is_simple(sign)).collect();
        assert_eq!(simple.len(), 95 + 94 + 160);
        for sign in &simple {
            assert!(sign.chars().all(is_plain), "{sign:?}");
            assert_eq!(Span::raw(sign).width(), 1, "{sign:?}");
            assert_eq!(characters(&format!("{sign}{sign}a{sign}")).len(), 4, "{sign:?}");
        }
        let all = simple.concat();
        let row = Rect::new(0, 0, columns(&all), 1);
        let (mut ours, mut theirs) = (Buffer::empty(row), Buffer::empty(row));
        put(&all, Style::new(), row, &mut ours);
        theirs.set_string(0, 0, &all, Style::new());
        assert_eq!(ours, theirs);
    }

    #[test]
    fn characters_that_turn_or_hide_others_are_not_plain() {
        for letter in
            ['\u{1b}', '\u{7}', '\u{202e}', '\u{200b}', '\u{2066}', '\u{ad}', '\u{9b}', '\n']
        {
            assert!(!is_plain(letter), "{letter:?}");
        }
        for letter in ['a', 'é', '°', 'µ', '·', '日', '-', ' '] {
            assert!(is_plain(letter), "{letter:?}");
        }
    }
}
