//! The command line: joins store, report, guide and screens. It calls and prints; it decides
//! nothing about valves.

pub mod args;
mod args_engine;
mod args_own;
mod ascii_out;
mod asking;
mod attention;
mod backup;
mod beforehand;
mod clock_now;
mod commands;
pub mod demo;
mod describing;
mod engine_hours;
mod engine_profile;
mod export;
mod fail;
mod file_words;
mod help;
mod history;
mod import;
mod in_demo;
mod keeping;
mod known_parts;
mod left_open;
mod left_out;
mod misuse;
mod note;
mod notebook;
mod open_session;
mod opening;
mod other_versions;
mod plain_profile;
mod plain_session;
pub mod profile_form;
mod profiles;
mod progress;
mod record;
mod remade;
mod screens;
mod sessions_listed;
mod settings;
mod shop;
mod shop_open;
mod tag;
mod take;
mod unread;
mod verify;
mod versions;
mod watching;
mod way_out;
mod wondering;
pub mod workshop;
pub mod world;

use crate::domain::plain::beginning;
use crate::store::backup::unfinished;
use crate::store::unfinished::{Command as Taking, cut_off};
use args::{Command, Line};
use ascii_out::AsciiOut;
use clap::Parser;
use fail::Fail;
use std::ffi::OsString;
use workshop::Workshop;
pub use world::{Terminals, World};

/// Runs the program with these arguments (the program's name first) and returns its exit code.
///
/// 0 done, 1 the work could not be done, 2 wrong usage or no terminal where one is needed.
pub fn run(arguments: Vec<OsString>, world: &mut World<'_>) -> u8 {
    // The screens are what is started most, and without a word there is nothing to understand.
    let parsed = match arguments.len() {
        0 | 1 => Ok(Line { command: None, ascii: false }),
        _ => Line::try_parse_from(arguments),
    };
    let done = match parsed {
        Ok(line) => carry_out(line, world),
        Err(error) => print_usage(&error, world),
    };
    match done {
        Ok(code) => code,
        Err(fail) => fail.print(world.err),
    }
}

/// Help and version go to standard output and are no mistake; the rest is.
fn print_usage(error: &clap::Error, world: &mut World<'_>) -> Result<u8, Fail> {
    if let Some(fail) = misuse::words(error) {
        return Err(fail);
    }
    let text = error.render().to_string();
    // An argument may be as long as the system lets it; help has long lines of its own.
    let most = if error.use_stderr() { 200 } else { usize::from(u16::MAX) };
    let safe: String = text.lines().map(|line| beginning(line, most) + "\n").collect();
    if error.use_stderr() {
        // There is nowhere left to say that saying it failed.
        let _ = write!(world.err, "{safe}");
        return Ok(2);
    }
    write!(world.out, "{safe}")?;
    Ok(0)
}

fn carry_out(line: Line, world: &mut World<'_>) -> Result<u8, Fail> {
    // What is printed of the program itself needs no data folder.
    match &line.command {
        Some(Command::Help(args)) => return help::help(world, args).map(|()| 0),
        Some(Command::Completions(args)) => return help::completions(world, args).map(|()| 0),
        Some(Command::Man(args)) => return help::man(world, args).map(|()| 0),
        Some(_) | None => {}
    }
    let workshop = Workshop::find(world)?;
    world.ascii = line.ascii;
    let Some(command) = line.command else { return commands::screens(world, &workshop) };
    // What a restore says at its end comes in place of that.
    if !matches!(command, Command::Restore(_))
        && let Some(words) = unfinished(workshop.folder())
    {
        world.warn(&words);
    }
    let finishing = if let Command::Import(args) = &command {
        Some((Taking::Import, args.file.as_path())).filter(|_| !args.dry_run)
    } else if let Command::Take(args) = &command {
        Some((Taking::Take, args.path.as_path())).filter(|_| !args.dry_run)
    } else {
        None
    };
    for words in cut_off(workshop.folder(), finishing) {
        world.warn(&words);
    }
    if let Command::Import(args::Import { file, .. })
    | Command::Take(args::Take { path: file, .. })
    | Command::Backup(args_own::Backup { file })
    | Command::Restore(args_own::Restore { file, .. }) = &command
        && file.as_os_str() == "-"
    {
        let none = "`-` names no file: here nothing goes through a pipe";
        return Err(Fail::usage(none, "name the file; one that is really called so is ./-"));
    }
    match command {
        Command::Demo(demo) => commands::demo(world, &workshop, demo),
        // What asks or fills the screen has it to itself.
        asks @ (Command::Session(_) | Command::Profiles(_)) => command_in(asks, world, &workshop),
        other => progress::under(world, |world, progress| {
            command_in(other, world, &workshop.watched(progress))
        }),
    }
}

/// Carries out any command but `demo` in a workshop.
fn command_in(command: Command, world: &mut World<'_>, workshop: &Workshop) -> Result<u8, Fail> {
    if world.ascii && command.is_read() {
        let mut out = match command.is_page() {
            true => AsciiOut::page(world.out),
            false => AsciiOut::new(world.out),
        };
        let mut narrow =
            World { out: &mut out, err: world.err, input: world.input, ascii: false, ..*world };
        return command_in(command, &mut narrow, workshop);
    }
    match command {
        Command::Demo(_) => return Err(Fail::usage("a demo has no demo", "leave one `demo` out")),
        Command::Profiles(profiles) => profiles::profiles(world, workshop, &profiles)?,
        Command::Plan(plan) => profiles::plan(world, workshop, &plan)?,
        Command::Advise(advise) => profiles::advise(world, workshop, &advise)?,
        Command::Leaves(leaves) => profiles::leaves(world, workshop, &leaves)?,
        Command::Engine(engine) => commands::engine(world, workshop, &engine)?,
        Command::Engines(args) => commands::engines(world, workshop, &args)?,
        Command::Session(args) => return commands::session(world, workshop, &args),
        Command::Sessions(args) => sessions_listed::sessions(world, workshop, &args)?,
        Command::Compare(args) => commands::compare(world, workshop, &args)?,
        Command::History(args) => history::history(world, workshop, &args)?,
        Command::Report(args) => record::report(world, workshop, &args)?,
        Command::Export(args) => export::export(world, workshop, &args)?,
        Command::Import(args) => import::import(world, workshop, &args)?,
        Command::Take(args) => take::take(world, workshop, &args)?,
        Command::Backup(args) => backup::backup(world, workshop, &args)?,
        Command::Restore(args) => backup::restore(world, workshop, &args)?,
        Command::Verify(args) => return verify::verify(world, workshop, &args),
        Command::Parts(args) => commands::parts(world, workshop, &args)?,
        Command::Tag(args) => tag::tag(world, workshop, &args)?,
        Command::Note(args) => note::note(world, workshop, &args)?,
        Command::Settings(args) => settings::settings(world, workshop, &args)?,
        Command::Help(args) => help::help(world, &args)?,
        Command::Completions(args) => help::completions(world, &args)?,
        Command::Man(args) => help::man(world, &args)?,
    }
    Ok(0)
}
