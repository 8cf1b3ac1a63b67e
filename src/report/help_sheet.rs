//! The help as text: one topic, a word of the glossary, or the list of all.

use super::wrapped;
use crate::guide::help::glossary::{TERMS, Term};
use crate::guide::help::{Found, Kit, Page, Piece, Topic, topics};

/// Writes a topic; for one engine, or for anybody.
pub fn topic_text(topic: &Topic, kit: Option<Kit>) -> String {
    page_text(&topic.page(kit))
}

fn page_text(page: &Page) -> String {
    let mut text = format!("{}\n", page.title);
    for piece in &page.pieces {
        match piece {
            Piece::Head(words) => text += &format!("\n{words}\n"),
            Piece::Say(words) => text += &wrapped("  ", words),
            Piece::Item(words) => text += &wrapped("  - ", words),
            Piece::Drawing(drawing) => {
                text += &format!("\n{}\n", drawing.title);
                for line in drawing.lines {
                    text += &format!("    {line}\n");
                }
            }
        }
    }
    text
}

/// Writes what a word leads to.
pub fn found_text(found: &Found) -> String {
    match found {
        Found::Topic(topic) => topic_text(topic, None),
        Found::Term(term) => term_text(term) + &where_drawn(term),
    }
}

/// Says which topic has a drawing of a word.
fn where_drawn(term: &Term) -> String {
    match term.drawn {
        "" => String::new(),
        topic => wrapped("    ", &format!("Drawn: cowlside help {topic}")),
    }
}

fn term_text(term: &Term) -> String {
    let also = match term.also {
        [] => String::new(),
        words => format!(" (also: {})", words.join(", ")),
    };
    wrapped("", &format!("{}{also}", term.term)) + &wrapped("    ", term.means)
}

/// Writes the whole glossary.
pub fn glossary_text() -> String {
    let terms: Vec<String> = TERMS.iter().map(term_text).collect();
    format!("Words of the trade, as they are used here\n\n{}", terms.join("\n"))
}

/// Lists the topics, and the commands with what they do.
pub fn list_text(commands: &[(String, String)]) -> String {
    let mut text = String::from("Topics: cowlside help TOPIC\n\n");
    for topic in topics() {
        text += &wrapped(&format!("  {:<16}", topic.name), topic.title);
    }
    text += "\nWords of the trade: cowlside help glossary, or cowlside help WORD\n";
    text += "Keys of all screens: cowlside help keys\n";
    text += "\nCommands: cowlside help COMMAND\n\n";
    for (name, about) in commands {
        text += &wrapped(&format!("  {name:<16}"), about);
    }
    text
}
