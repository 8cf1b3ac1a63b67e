//! A sheet as Markdown: the same words, with headings, lists and tables. Foreign text is escaped,
//! so that nothing typed becomes markup.

use super::sheet::{Block, UNBROKEN, is_note};
use crate::domain::plain::plain;

/// Writes the pieces of a sheet as Markdown; the first paragraph is the title.
pub fn markdown(blocks: &[Block]) -> String {
    let mut text = String::new();
    let mut before: Option<&Block> = None;
    for block in blocks {
        let in_table = matches!(before, Some(Block::Row(..)));
        let in_list = matches!(before, Some(Block::Field(..)));
        match block {
            Block::Blank => {}
            Block::Heading(heading) => paragraph(&mut text, &format!("## {}", escaped(heading))),
            Block::Line(first, words) if in_table && is_note(first) => {
                text += &format!("| | {} |\n", escaped(words));
                continue;
            }
            Block::Line(first, words) => {
                let level = if before.is_none() { "# " } else { "" };
                let first = escaped(first.trim());
                let gap = if first.is_empty() { "" } else { " " };
                paragraph(&mut text, &format!("{level}{first}{gap}{}", escaped(words)));
            }
            Block::Field(label, words) => {
                if !in_list {
                    blank(&mut text);
                }
                let words = escaped(words);
                text += &match label.as_str() {
                    "" => format!("  {words}\n"),
                    label => format!("- **{}:** {words}\n", escaped(label)),
                };
            }
            Block::Row(cells, _) => {
                if !in_table {
                    blank(&mut text);
                }
                let cells: Vec<String> = cells.iter().map(|cell| escaped(cell.trim())).collect();
                text += &format!("| {} |\n", cells.join(" | "));
                if !in_table {
                    text += &format!("|{}\n", " --- |".repeat(cells.len()));
                }
            }
            Block::Drawn(line) => {
                if !matches!(before, Some(Block::Drawn(_))) {
                    blank(&mut text);
                }
                text += &format!("    {}\n", plain(line));
            }
            Block::Rule | Block::Page => paragraph(&mut text, "---"),
        }
        if *block != Block::Blank {
            before = Some(block);
        }
    }
    text
}

fn blank(text: &mut String) {
    if !text.is_empty() && !text.ends_with("\n\n") {
        text.push('\n');
    }
}

fn paragraph(text: &mut String, words: &str) {
    blank(text);
    *text += words;
    text.push('\n');
}

/// Makes text that Markdown shows as it is. Some signs are markup at the beginning of a line only:
/// as first of all, or behind digits.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    let mut number_only = true;
    for letter in plain(&text.replace(UNBROKEN, " ")).chars() {
        let begins = number_only && "-+#=.)".contains(letter);
        if begins || "\\`*_[]<>|~&".contains(letter) {
            out.push('\\');
        }
        number_only &= letter.is_ascii_digit();
        out.push(letter);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_is_shown_and_never_markup() {
        let blocks = [
            Block::Line(String::new(), "Title".into()),
            Block::Heading("<script>".into()),
            Block::Field("note".into(), "*a* [b](c) | d".into()),
            Block::Line(String::new(), "12. no list".into()),
            Block::Row(vec!["a|b".into(), "c".into()], vec![3, 3]),
            Block::Row(vec!["1".into(), "2".into()], vec![3, 3]),
        ];
        assert_eq!(
            markdown(&blocks),
            "# Title\n\n## \\<script\\>\n\n- **note:** \\*a\\* \\[b\\](c) \\| d\n\n12\\. no list\n\n\
             | a\\|b | c |\n| --- | --- |\n| 1 | 2 |\n"
        );
    }
}
