//! Commands about the program itself: help, completions of a shell, the manual page.

use super::args::Line;
use super::args_own as own;
use super::fail::Fail;
use super::misuse;
use super::world::World;
use crate::domain::plain::plain;
use crate::guide::help::{near, search};
use crate::report::{help_sheet, wrapped};
use crate::tui::keymap;
use clap::{Command, CommandFactory};

/// `help`: a command, a topic, a word of the trade, or the list of all.
pub fn help(world: &mut World<'_>, args: &own::Help) -> Result<(), Fail> {
    let asked = args.words.join(" ");
    if asked.is_empty() {
        write!(world.out, "{}", help_sheet::list_text(&commands()))?;
        return Ok(());
    }
    if let Some(text) = command_help(&args.words) {
        write!(world.out, "{text}")?;
        return Ok(());
    }
    if asked.trim().eq_ignore_ascii_case("glossary") {
        write!(world.out, "{}", help_sheet::glossary_text())?;
        return Ok(());
    }
    if asked.trim().eq_ignore_ascii_case("keys") {
        return print_keys(world, keymap::all());
    }
    if let Some(found) = search(&asked) {
        write!(world.out, "{}", help_sheet::found_text(&found))?;
        return Ok(());
    }
    let keys = keymap::of_word(&asked);
    if !keys.is_empty() {
        return print_keys(world, keys);
    }
    let mut beside: Vec<String> = commands().into_iter().map(|(name, _)| name).collect();
    beside.extend(["glossary", "keys"].map(str::to_owned));
    let like = near(&asked, &beside);
    let hint = match like.as_slice() {
        [] => "`cowlside help` lists all topics".to_string(),
        like => {
            format!("near to it: {}; `cowlside help` lists all topics", like.join(", "))
        }
    };
    Err(Fail::usage(format!("there is no help on \"{}\"", plain(&asked)), hint))
}

fn print_keys(world: &mut World<'_>, keys: Vec<(&str, String)>) -> Result<(), Fail> {
    for (key, what) in keys {
        write!(world.out, "{}", wrapped(&format!("  {key:<12}"), &what))?;
    }
    Ok(())
}

/// Lists the commands with what they do.
fn commands() -> Vec<(String, String)> {
    let line = Line::command();
    let about = |command: &Command| {
        let about = command.get_about().map(ToString::to_string).unwrap_or_default();
        (command.get_name().to_string(), about)
    };
    line.get_subcommands().map(about).collect()
}

/// Finds a command by its words ("profiles show").
fn named(words: &[String]) -> Option<Command> {
    let mut command = Line::command();
    // What it is called in its own usage line.
    command.build();
    for word in words {
        command = command.find_subcommand(word)?.clone();
    }
    Some(command)
}

fn command_help(words: &[String]) -> Option<String> {
    let mut command = named(words)?;
    Some(command.render_long_help().to_string())
}

/// `completions`.
pub fn completions(world: &mut World<'_>, args: &own::Completions) -> Result<(), Fail> {
    let mut text = Vec::new();
    clap_complete::generate(args.shell, &mut Line::command(), "cowlside", &mut text);
    world.out.write_all(&text)?;
    Ok(())
}

/// `man`: one page with every command, or the page of one.
pub fn man(world: &mut World<'_>, args: &own::ManPage) -> Result<(), Fail> {
    let Some(command) = named(&args.command) else {
        let asked = plain(&args.command.join(" "));
        let hint = match args.command.last() {
            Some(typed) => misuse::meant(typed, "cowlside"),
            None => "`cowlside help` lists the commands".to_owned(),
        };
        return Err(Fail::usage(format!("there is no command \"{asked}\""), hint));
    };
    let name = std::iter::once("cowlside".to_string()).chain(args.command.iter().cloned());
    let name = name.collect::<Vec<_>>().join("-");
    let mut page = Vec::new();
    let program = concat!("cowlside ", env!("CARGO_PKG_VERSION"));
    let man = clap_mangen::Man::new(command.clone().display_name(&name));
    let man = man.title(&name).source(program);
    man.render(&mut page)?;
    let mut text = String::from_utf8_lossy(&page).replace(".SH EXTRA", ".SH EXAMPLES");
    for part in below(&command) {
        // They stand on this same page.
        let page = format!("{name}\\-{}(1)", part.get_name());
        text = text.replace(&page, &format!("{name} {}", part.get_name()).replace('-', "\\-"));
        text += &section(&part)?;
    }
    write!(world.out, "{text}")?;
    Ok(())
}

/// Returns the commands below a command, each with its own ones after it.
fn below(command: &Command) -> Vec<Command> {
    command
        .get_subcommands()
        .filter(|part| !part.is_hide_set())
        .flat_map(|part| std::iter::once(part.clone()).chain(below(part)))
        .collect()
}

/// A command as a section of the page: its parts become sections within it.
fn section(command: &Command) -> Result<String, Fail> {
    let mut part = Vec::new();
    let man = clap_mangen::Man::new(command.clone());
    man.render_description_section(&mut part)?;
    man.render_synopsis_section(&mut part)?;
    man.render_options_section(&mut part)?;
    man.render_extra_section(&mut part)?;
    let text = String::from_utf8_lossy(&part)
        .replace(".SH EXTRA", ".SH EXAMPLES")
        .replace("\n.SH ", "\n.SS ");
    let text = text.strip_prefix(".SH ").map_or(text.clone(), |rest| format!(".SS {rest}"));
    let name = command.get_bin_name().unwrap_or_else(|| command.get_name()).to_string();
    Ok(format!(".SH \"{}\"\n{text}", name.to_uppercase()))
}
