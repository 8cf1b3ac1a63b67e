//! What is wrong with a value on the command line, in our own words instead of the parser's.

use super::args::Line;
use super::fail::Fail;
use crate::domain::plain::quoted;
use crate::domain::search::nearest;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Command, CommandFactory};
use std::error::Error;

/// Letters that a mistyped option may be apart from the one that was meant.
const APART_MAX: usize = 2;
/// Commands that are named.
const SHOWN_MAX: usize = 3;

/// Words an error about a value; `None` for the errors that the parser words well.
pub fn words(error: &clap::Error) -> Option<Fail> {
    let context = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        _ => None,
    };
    match error.kind() {
        ErrorKind::InvalidUtf8 => Some(Fail::usage(
            "an argument holds bytes that are not UTF-8 text",
            "type it anew; give a file with such a name another name first",
        )),
        ErrorKind::ValueValidation | ErrorKind::InvalidValue => {
            let flag = context(ContextKind::InvalidArg)?;
            let found = context(ContextKind::InvalidValue).unwrap_or_default();
            let must = match (error.source(), error.get(ContextKind::ValidValue)) {
                (Some(must), _) => must.to_string(),
                (None, Some(ContextValue::Strings(known))) if !known.is_empty() => {
                    format!("be one of: {}", known.join(", "))
                }
                (None, _) => "be given".to_string(),
            };
            Some(Fail::usage(
                format!("`{flag}` is \"{}\", but must {must}", quoted(&found)),
                "put that right; `--help` behind the command says what it takes",
            ))
        }
        ErrorKind::UnknownArgument => {
            let flag = context(ContextKind::InvalidArg)?;
            let what = format!("`{}` is no option of this command", quoted(&flag));
            if flag.strip_prefix('-')?.starts_with(|one: char| one.is_ascii_digit()) {
                return Some(Fail::usage(
                    what,
                    "only --rod takes a number below zero, as in --rod=\"-0.5 mm\"; else leave the minus out",
                ));
            }
            // One of this command is named by the parser.
            let hint = error.get(ContextKind::SuggestedArg).is_none().then(|| elsewhere(&flag));
            Some(Fail::usage(what, hint??))
        }
        _ => None,
    }
}

/// Names the option that was meant, where it is one of other commands, and up to three of those.
fn elsewhere(flag: &str) -> Option<String> {
    let typed = flag.strip_prefix("--")?;
    let mut options = Vec::new();
    of_commands(&Line::command(), "cowlside", &mut options);
    let (meant, apart) = nearest(typed, options.iter().map(|(name, _)| name.as_str()))?;
    let homes = options.iter().filter(|(name, _)| name == meant).map(|(_, home)| home.as_str());
    let mut homes: Vec<&str> = homes.collect();
    homes.sort_by_key(|home| home.split(' ').count());
    homes.truncate(SHOWN_MAX);
    (apart <= APART_MAX && typed.len() > APART_MAX)
        .then(|| format!("--{meant} is an option of {}", homes.join(", ")))
}

/// Lists the options of a command's commands, at every depth, each with its command.
fn of_commands(command: &Command, named: &str, options: &mut Vec<(String, String)>) {
    for inner in command.get_subcommands() {
        let named = format!("{named} {}", inner.get_name());
        let long = inner.get_arguments().filter_map(|argument| argument.get_long());
        options.extend(long.map(|long| (long.to_owned(), named.clone())));
        of_commands(inner, &named, options);
    }
}
