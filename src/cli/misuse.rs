//! What is wrong with a command line, in our own words instead of the parser's.

use super::args::Line;
use super::fail::Fail;
use crate::domain::plain::quoted;
use crate::domain::search::nearest;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Command, CommandFactory};
use std::error::Error;

/// Letters that a mistyped option may be apart from the one that was meant.
const APART_MAX: usize = 2;
/// Fewest letters that are taken for a command's beginning.
const BEGINNING: usize = 3;
/// Commands that are named.
const SHOWN_MAX: usize = 3;

/// Said where one of two services is named; no example has the names of anybody's services.
const BOTH: &str = "name both services, OLDER and NEWER, or none for the last two";

/// Said where the parser knows no better.
const LOOK: &str = "`--help` behind the command says what it takes";

/// Words an error; `None` for what is none, help and version, and for what the parser alone knows of.
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
                format!("put that right; {LOOK}"),
            ))
        }
        ErrorKind::InvalidSubcommand => {
            let typed = context(ContextKind::InvalidSubcommand)?;
            let home = asked_of(error).map_or_else(|| "cowlside".into(), |(command, _)| command);
            let whole = format!("{home} {}", quoted(&typed));
            let named = whole.strip_prefix("cowlside ").unwrap_or(&whole);
            Some(Fail::usage(format!("there is no command `{named}`"), meant(&typed, &home)))
        }
        ErrorKind::MissingRequiredArgument => {
            let Some(ContextValue::Strings(lacks)) = error.get(ContextKind::InvalidArg) else {
                return None;
            };
            let (command, example) = asked_of(error)?;
            let what = format!("`{command}` needs more: {}", lacks.join(", "));
            let hint = match lacks.as_slice() {
                [newer] if newer == "<NEWER>" => BOTH.to_owned(),
                _ => format!("as in: {example}"),
            };
            Some(Fail::usage(what, hint))
        }
        ErrorKind::MissingSubcommand => {
            let (command, example) = asked_of(error)?;
            let known = match error.get(ContextKind::ValidSubcommand) {
                Some(ContextValue::Strings(known)) => known.join(", "),
                _ => String::new(),
            };
            let what = format!("`{command}` needs one more word, of: {known}");
            Some(Fail::usage(what, format!("as in: {example}")))
        }
        ErrorKind::ArgumentConflict => {
            let one = context(ContextKind::InvalidArg)?;
            let what = match error.get(ContextKind::PriorArg) {
                Some(ContextValue::String(other)) if *other == one => {
                    format!("`{one}` stands there twice")
                }
                Some(ContextValue::String(other)) => format!("`{one}` does not go with `{other}`"),
                Some(ContextValue::Strings(others)) => {
                    format!("`{one}` does not go with {}", others.join(", "))
                }
                _ => return None,
            };
            Some(Fail::usage(what, format!("leave one out; {LOOK}")))
        }
        ErrorKind::UnknownArgument => unknown(error, &context(ContextKind::InvalidArg)?),
        _ => None,
    }
}

/// An option or a word that the command does not take.
fn unknown(error: &clap::Error, found: &str) -> Option<Fail> {
    let Some(option) = found.strip_prefix('-') else {
        let what = format!("\"{}\" is a word too many", quoted(found));
        let (_, example) = asked_of(error)?;
        let hint = format!("a name of several words goes in double quotes; as in: {example}");
        return Some(Fail::usage(what, hint));
    };
    let what = format!("`{}` is no option of this command", quoted(found));
    if option.starts_with(|one: char| one.is_ascii_digit()) {
        return Some(Fail::usage(
            what,
            "only --rod takes a number below zero, as in --rod=\"-0.5 mm\"; else leave the minus out",
        ));
    }
    let hint = match error.get(ContextKind::SuggestedArg) {
        Some(ContextValue::String(own)) => format!("did you mean {own}? {LOOK}"),
        _ => elsewhere(found).unwrap_or_else(|| LOOK.into()),
    };
    Some(Fail::usage(what, hint))
}

/// The command that was typed, and an example of it from its help; where that has none, how it is written.
fn asked_of(error: &clap::Error) -> Option<(String, String)> {
    let Some(ContextValue::StyledStr(usage)) = error.get(ContextKind::Usage) else { return None };
    let usage = usage.to_string();
    let line = usage.lines().find_map(|line| line.trim().strip_prefix("Usage: "))?.trim();
    let mut command = Line::command();
    let mut words = vec!["cowlside"];
    for word in line.split(' ').skip(1).take_while(|word| !word.starts_with(['<', '-', '['])) {
        command = command.find_subcommand(word)?.clone();
        words.push(word);
    }
    let name = words.join(" ");
    let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
    let example = help
        .lines()
        // What the example does stands behind it, far apart.
        .filter_map(|line| line.trim_start().split("  ").next())
        .find(|example| example.strip_prefix(&name).is_some_and(|more| more.starts_with(' ')));
    let example = example.unwrap_or(line).to_owned();
    Some((name, example))
}

/// Names the command that was meant: the nearest of all, at every depth; `home` is what it was looked for in.
pub(super) fn meant(typed: &str, home: &str) -> String {
    let line = Line::command();
    let mut commands: Vec<(String, String)> = Vec::new();
    named(&line, "cowlside", &mut commands);
    let near = nearest(typed, commands.iter().map(|(name, _)| name.as_str()));
    let meant = near.filter(|(name, apart)| *apart <= APART_MAX && *apart < name.len());
    // A beginning is meant as such: "hist" is further from "history" than a slip of the finger.
    let begins = |name: &str| typed.len() >= BEGINNING && name.starts_with(typed);
    let begun = commands.iter().any(|(name, _)| begins(name));
    let homes = commands.iter().filter(|(name, _)| match begun {
        true => begins(name),
        false => meant.is_some_and(|(near, _)| near == name),
    });
    let homes: Vec<String> = homes.take(SHOWN_MAX).map(|(_, whole)| format!("`{whole}`")).collect();
    match homes.as_slice() {
        [] => format!("`{home} --help` lists them all"),
        homes => format!("did you mean {}? `{home} --help` lists them all", homes.join(" or ")),
    }
}

/// Lists a command's commands, at every depth, by name and as they are written.
fn named(command: &Command, whole: &str, commands: &mut Vec<(String, String)>) {
    for inner in command.get_subcommands() {
        let whole = format!("{whole} {}", inner.get_name());
        commands.push((inner.get_name().to_owned(), whole.clone()));
        named(inner, &whole, commands);
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
    let more = homes.len().saturating_sub(SHOWN_MAX);
    homes.truncate(SHOWN_MAX);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    (apart <= APART_MAX && typed.len() > APART_MAX)
        .then(|| format!("--{meant} is an option of {}{more}", homes.join(", ")))
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
