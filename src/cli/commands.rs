//! Commands about engines and services: one function a command; each calls and prints.

use super::args;
use super::demo;
use super::fail::Fail;
use super::open_session::OpenSession;
use super::plain_session;
use super::profiles::print_json;
use super::screens;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::compare;
use crate::domain::entry::{Begin, Hours, Moment};
use crate::domain::plain::plain;
use crate::domain::service;
use crate::domain::session::Session;
use crate::guide::{Step, start, status};
use crate::report::{self, compare_sheet, dates, record};
use crate::store::engines::{self, Counter, Engine};
use crate::store::profiles;
use crate::store::sessions;
use clap::Parser;
use serde_json::json;
use std::path::Path;

/// `demo`: the full screen, or another command, in the invented workshop.
pub fn demo(world: &mut World<'_>, workshop: &Workshop, args: args::Demo) -> Result<u8, Fail> {
    let place = workshop.folder().demo();
    demo::make(&place, args.fresh, (world.now)())?;
    let invented = Workshop::at(place);
    if args.rest.is_empty() {
        return screens::run(world, &invented, None);
    }
    let words = std::iter::once("cowlside".to_string()).chain(args.rest);
    let line = args::Line::try_parse_from(words).map_err(|error| {
        Fail::usage(plain(&error.render().to_string()), "see `cowlside --help`")
    })?;
    match line.command {
        Some(command) => super::command_in(command, world, &invented),
        None => screens::run(world, &invented, None),
    }
}

/// No command: the full screen on the user's own engines.
pub fn screens(world: &mut World<'_>, workshop: &Workshop) -> Result<u8, Fail> {
    screens::run(world, workshop, None)
}

/// `engine`.
pub fn engine(world: &mut World<'_>, workshop: &Workshop, args: &args::Engine) -> Result<(), Fail> {
    match &args.what {
        args::EngineWhat::Add { name, profile, hours, serial } => {
            let hours = read_hours(hours)?;
            add_engine(workshop, (name, serial, profile), hours, (world.now)())?;
            writeln!(world.out, "added {} at {hours} h", plain(name))?;
        }
        args::EngineWhat::Hours { name, hours, counter_replaced } => {
            let engine = workshop.engine(name)?;
            let hours = read_hours(hours)?;
            let counter = if *counter_replaced { Counter::Replaced } else { Counter::Same };
            workshop.told_hours(&engine, hours, counter, (world.now)())?;
            writeln!(world.out, "{} stands at {hours} h", plain(&engine.name))?;
        }
    }
    Ok(())
}

fn read_hours(typed: &str) -> Result<Hours, Fail> {
    Hours::parse(typed)
        .map_err(|fault| Fail::work(format!("hours: {fault}"), "write running hours as in 412.6"))
}

/// Adds an engine; its profile must be there and sound.
pub fn add_engine(
    workshop: &Workshop,
    (name, serial, profile): (&str, &str, &str),
    hours: Hours,
    at: Moment,
) -> Result<Engine, Fail> {
    workshop.folder().prepare()?;
    let found = profiles::find(profile, workshop.root())?;
    // A profile by path is remembered by its whole path, wherever the program is started next.
    let known = if profiles::is_name(profile) && !Path::new(profile).exists() {
        found.name.clone()
    } else if profiles::is_name(profile) {
        profile.to_string()
    } else {
        std::path::absolute(profile)
            .map_or_else(|_| profile.to_string(), |path| path.to_string_lossy().into_owned())
    };
    let first = (dates::day(at), hours);
    let engine = Engine::new(name, serial, &known, (&first.0, first.1), at.unix_ms)?;
    engines::add(workshop.folder(), &engine)?;
    Ok(engine)
}

/// `engines`.
pub fn engines(world: &mut World<'_>, workshop: &Workshop, args: &args::Json) -> Result<(), Fail> {
    let listing = engines::list(workshop.folder())?;
    for broken in &listing.broken {
        // There is nowhere left to say that saying it failed.
        let _ = writeln!(world.err, "left out: {broken}");
    }
    if args.json {
        let rows: Vec<_> = listing
            .engines
            .iter()
            .map(|engine| {
                let hours = engine.counter().hours();
                json!({ "id": engine.id, "name": engine.name, "profile": engine.profile, "hours": hours })
            })
            .collect();
        return print_json(world, &json!({ "engines": rows }));
    }
    if listing.engines.is_empty() {
        writeln!(
            world.out,
            "No engine yet. Add one: cowlside engine add NAME --profile P --hours H"
        )?;
    }
    for engine in &listing.engines {
        let hours = engine.counter();
        let open = workshop.open_session(engine)?.map_or("", |_| "  a session is open");
        writeln!(
            world.out,
            "{:<28} {hours:>9} h  {}{open}",
            plain(&engine.name),
            plain(&engine.profile)
        )?;
    }
    Ok(())
}

/// `session`: goes on with the open session of an engine, or starts one.
pub fn session(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::SessionArgs,
) -> Result<u8, Fail> {
    let engine = workshop.engine(&args.engine)?;
    if !args.plain {
        return screens::run(world, workshop, Some(&engine));
    }
    let moment = ((world.now)(), (world.run_ms)());
    let desk = match workshop.open_session(&engine)? {
        Some(open) => OpenSession::resume(workshop, engine, &open.path, moment)?,
        None => {
            let Some(begin) = begin(world, &engine)? else { return Ok(0) };
            let started = workshop.start(&engine, begin, moment)?;
            OpenSession::new(workshop, engine, started)
        }
    };
    plain_session::run(world, desk)?;
    Ok(0)
}

/// Asks for the hours before there is a session; `None` at the end of the input.
fn begin(world: &mut World<'_>, engine: &Engine) -> Result<Option<Begin>, Fail> {
    let mut given: Vec<String> = Vec::new();
    loop {
        match start::begin(&engine.name, Some(engine.counter()), &given) {
            Step::Ask(prompt) => {
                plain_session::show_prompt(world, &[], &prompt)?;
                match world.line()? {
                    Some(line) if line.trim() == "q" => return Ok(None),
                    Some(line) => given.push(line.trim().to_string()),
                    None => return Ok(None),
                }
            }
            Step::Do(begin) => return Ok(Some(begin)),
            Step::Refused(words) => {
                writeln!(world.out, "! {}", plain(&words))?;
                given.pop();
            }
            Step::Again | Step::Switch(_) | Step::ReplaceProfile { .. } => given.clear(),
        }
    }
}

/// `sessions`.
pub fn sessions(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Sessions,
) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    for listed in workshop.sessions_of(&engine)? {
        let how = match (listed.signed, listed.sealed) {
            (true, _) => "signed",
            (false, true) => "closed unsigned",
            (false, false) => "open",
        };
        writeln!(world.out, "{:<36} {}  {how}", plain(&listed.name), dates::day(listed.started))?;
    }
    Ok(())
}

/// `compare`.
pub fn compare(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Compare,
) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    let services = workshop.services(&engine)?;
    let (older, newer) = service::choose(&services, args.older.as_deref(), args.newer.as_deref())
        .map_err(|no_pair| Fail::work(no_pair.to_string(), no_pair.hint()))?;
    let comparison = compare::compare(older, newer);
    if args.json {
        return print_json(world, &compare_sheet::compare_json(&comparison));
    }
    write!(world.out, "{}", compare_sheet::compare_text(&comparison, report::WIDTH))?;
    Ok(())
}

/// `report`.
pub fn report(world: &mut World<'_>, workshop: &Workshop, args: &args::Report) -> Result<(), Fail> {
    let known = sessions::list(workshop.folder())?.sessions;
    let path = sessions::find(&known, &args.session)?.path;
    let opened = workshop.read(&path)?;
    let session = Session::replay(&opened.entries).ok_or_else(|| {
        Fail::work(format!("{} holds no session", path.display()), opened.verdict.hint())
    })?;
    if opened.verdict.is_damage() {
        // There is nowhere left to say that saying it failed.
        let _ = writeln!(world.err, "warning: {}", opened.verdict);
    }
    let engine = session.state.begin.engine_id.clone();
    let previous = engine
        .and_then(|id| workshop.engine(&id).ok())
        .and_then(|engine| workshop.previous(&engine, &session));
    write!(world.out, "{}", record::record(&session, previous.as_ref()))?;
    Ok(())
}

/// `tag`.
pub fn tag(world: &mut World<'_>, workshop: &Workshop, args: &args::Tag) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    let Some(open) = workshop.open_session(&engine)? else {
        return Err(Fail::work(
            format!("no session of {} is open", plain(&engine.name)),
            "a tag belongs to an interrupted session",
        ));
    };
    let opened = workshop.read(&open.path)?;
    let session = Session::replay(&opened.entries)
        .ok_or_else(|| Fail::work("the session has no beginning", opened.verdict.hint()))?;
    let rule = "=".repeat(report::WIDTH);
    writeln!(world.out, "{rule}\n")?;
    for line in status::notice(&session) {
        writeln!(world.out, "    {line}\n")?;
    }
    for line in status::way_back(&session) {
        writeln!(world.out, "    {line}")?;
    }
    let last = session.kept.last().map(|kept| dates::day_and_time(kept.at)).unwrap_or_default();
    writeln!(world.out, "\n    last entry {last}\n{rule}")?;
    Ok(())
}
