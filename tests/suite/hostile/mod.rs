//! Hostile texts, files, arguments and environments: nothing of them acts, hides, changes the shape
//! of what is printed, takes memory, or is told in a parser's words.

mod environment;
mod fields;
mod files;
mod outputs;
mod profiles;
mod screens;
mod shop;
mod strings;

use cowlside::domain::plain::plain;

/// Returns the first line that is not safe to show as it stands.
fn unsafe_line(text: &str) -> Option<String> {
    let bad = text.split('\n').find(|line| plain(line) != *line)?;
    Some(format!("{:?}", bad.chars().take(300).collect::<String>()))
}
