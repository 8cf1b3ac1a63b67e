//! What each piece of a sheet is found by: its own words under its heading. A heading is found with any
//! piece beneath it, and the heads of a table with any of its rows, so that what is found can be read.

use super::orders::found;
use super::sheet::Block;

/// Returns the words by which each piece is found, a line for each way of finding it.
pub fn words(blocks: &[Block]) -> Vec<String> {
    let (mut words, mut title) = (Vec::new(), String::new());
    for block in blocks {
        let own = plain_words(block);
        if matches!(block, Block::Heading(_)) {
            title = own;
            words.push(title.clone());
        } else if own.is_empty() {
            words.push(own);
        } else {
            words.push(format!("{title} {own}"));
        }
    }
    let all = words.clone();
    for (at, block) in blocks.iter().enumerate() {
        let is_head = !matches!(blocks.get(at.wrapping_sub(1)), Some(Block::Row(..)));
        let beneath = match block {
            Block::Heading(_) => run(blocks, at + 1, |block| !matches!(block, Block::Heading(_))),
            Block::Row(..) if is_head => {
                run(blocks, at + 1, |block| matches!(block, Block::Row(..)))
            }
            _ => continue,
        };
        let own = words.get_mut(at).into_iter();
        let found: Vec<&str> = all.iter().skip(at).take(beneath + 1).map(String::as_str).collect();
        own.for_each(|own| *own = found.join("\n"));
    }
    words
}

/// How many pieces from one on are such.
fn run(blocks: &[Block], from: usize, is_such: impl Fn(&Block) -> bool) -> usize {
    blocks.iter().skip(from).take_while(|block| is_such(block)).count()
}

/// Tells whether what is searched stands in one of the lines of words.
pub fn finds(searched: &str, words: &str) -> bool {
    words.lines().any(|line| found(searched, line))
}

/// Returns the pieces of a sheet in which something is found.
pub fn sifted(blocks: &[Block], searched: &str) -> Vec<Block> {
    let found = blocks.iter().zip(words(blocks)).filter(|(_, words)| finds(searched, words));
    found.map(|(block, _)| block.clone()).collect()
}

fn plain_words(block: &Block) -> String {
    let text = match block {
        Block::Blank | Block::Rule | Block::Page => return String::new(),
        Block::Heading(words) | Block::Drawn(words) => words.clone(),
        Block::Line(first, words) | Block::Field(first, words) => format!("{first} {words}"),
        Block::Row(cells, _) => cells.join(" "),
    };
    let kept = |letter: char| letter.is_alphanumeric() || "-/:+.".contains(letter);
    let lower = text.to_lowercase();
    let blanked: String =
        lower.chars().map(|letter| if kept(letter) { letter } else { ' ' }).collect();
    blanked.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_found_keeps_its_heading_and_the_heads_of_its_table() {
        let row = |cells: [&str; 2]| Block::Row(cells.map(str::to_owned).to_vec(), vec![10, 10]);
        let blocks = [
            Block::Heading("Valves".into()),
            row(["valve", "found"]),
            row(["3 exhaust", "0.20"]),
            row(["13 exhaust", "0.25"]),
            Block::Blank,
            Block::Heading("Remarks".into()),
            Block::Line("- ".into(), "Oil weeps at the lower tube.".into()),
        ];
        let shown = |searched: &str| sifted(&blocks, searched);
        assert_eq!(shown("3 exhaust"), blocks[..3], "not 13");
        assert_eq!(shown("oil tube"), blocks[5..]);
        assert_eq!(shown("remark"), blocks[5..], "a heading finds what stands beneath it");
        assert_eq!(shown("exhaust oil"), [], "in one piece, not in several");
    }
}
