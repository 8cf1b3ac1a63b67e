//! Commands about engines and services: one function a command; each calls and prints.

use super::args;
use super::ascii_out::AsciiOut;
use super::asking::ask_all;
use super::attention::Attention;
use super::clock_now::{doubted_now, warn_of_days};
use super::demo;
use super::engine_hours;
use super::engine_profile;
use super::export::{all_of_it, many_left_out};
use super::fail::Fail;
use super::in_demo::{DemoOut, is_document};
use super::open_session::{GoneOn, OpenSession, Which};
use super::plain_session;
use super::profiles::print_json;
use super::progress;
use super::remade::{self, Added};
use super::screens;
use super::shop;
use super::unread::{Unread, engines_unread, many_not_here};
use super::versions::parted;
use super::watching;
use super::wondering;
use super::workshop::{Found, Workshop};
use super::world::World;
use crate::domain::compare;
use crate::domain::entry::{Hours, Moment};
use crate::domain::plain::plain;
use crate::domain::service::{self, NoPair, Service};
use crate::domain::session::Session;
use crate::guide::{Step, start};
use crate::report::{self, compare_sheet, dates, parts_sheet};
use crate::store::engines::Engine;
use crate::store::journal::{Opened, Verdict};
use crate::store::profiles;
use crate::store::sessions::Glance;
use crate::store::settings::Settings;
use crate::store::words::settings_unread;
use clap::Parser;
use serde_json::json;
use std::io::Write;

/// `demo`: the full screen, or another command, in the invented workshop.
pub fn demo(world: &mut World<'_>, workshop: &Workshop, args: args::Demo) -> Result<u8, Fail> {
    let place = workshop.folder().demo();
    let now = (world.now)();
    // It takes seconds on a busy machine, and there is no screen before it.
    progress::under(world, |_, told| demo::make(&place, args.fresh, now, &told))?;
    let invented = Workshop::invented(place);
    let words = std::iter::once("cowlside".to_string()).chain(args.rest);
    let (plain_out, mut err) = (&mut *world.out, DemoOut(world.err));
    let done = match args::Line::try_parse_from(words) {
        Ok(args::Line { command, ascii }) => {
            let mut out = DemoOut(plain_out);
            let document = command.as_ref().is_some_and(is_document);
            let out: &mut dyn Write = if document { out.0 } else { &mut out };
            let ascii = world.ascii | ascii;
            let mut within = World { out, err: &mut err, input: world.input, ascii, ..*world };
            match command {
                Some(command) => super::command_in(command, &mut within, &invented),
                None => screens::run(&mut within, &invented, None),
            }
        }
        Err(error) => {
            let mut within = World { out: plain_out, err: &mut err, input: world.input, ..*world };
            super::print_usage(&error, &mut within)
        }
    };
    done.map_err(Fail::in_demo)
}

/// No command: the full screen on the user's own engines.
pub fn screens(world: &mut World<'_>, workshop: &Workshop) -> Result<u8, Fail> {
    screens::run(world, workshop, None)
}

/// `engine`.
pub fn engine(world: &mut World<'_>, workshop: &Workshop, args: &args::Engine) -> Result<(), Fail> {
    let now = (world.now)();
    // What is kept of hours gets its day from the clock. Sessions that cannot be listed are told elsewhere.
    let doubt = || {
        let known = workshop.sessions().map_or_else(|_| Vec::new(), |found| found.things);
        doubted_now(now, &known)
    };
    match &args.what {
        args::EngineWhat::Add(add) => {
            let hours = add.hours.as_deref().map(read_hours).transpose()?;
            let doubt = doubt();
            let names = (add.name.as_str(), add.serial.as_str());
            let added = match (&add.of, &add.profile, hours) {
                (Some(of), profile, hours) => {
                    remade::add_of(workshop, (names, profile.as_deref(), hours), of, now)?
                }
                (None, Some(profile), Some(hours)) => {
                    add_engine(workshop, (names.0, names.1, profile), hours, now)?
                }
                (None, ..) => return Err(Fail::usage("no profile or no hours", "name both")),
            };
            let stands = hours.unwrap_or(added.engine.counter());
            writeln!(world.out, "added {} at {stands} h", plain(&add.name))
                .map_err(Fail::words_lost)?;
            added.told.iter().chain(&doubt).for_each(|words| world.warn(words));
        }
        args::EngineWhat::Hours(told) => {
            let engine = workshop.engine(&told.name)?;
            let hours = read_hours(&told.hours)?;
            let doubt = doubt();
            engine_hours::tell(workshop, &engine, (hours, told), now)?;
            writeln!(world.out, "{} stands at {hours} h", plain(&engine.name))
                .map_err(Fail::words_lost)?;
            // What was told by mistake is put right: by that no engine ran.
            let over = engine_hours::told_over(workshop, &engine, now).filter(|_| !told.correct);
            doubt.iter().chain(&over).for_each(|words| world.warn(words));
        }
        args::EngineWhat::Profile { name, profile } => {
            let engine = workshop.engine(name)?;
            let words = engine_profile::give(workshop, &engine.id, profile)?;
            writeln!(world.out, "{words}").map_err(Fail::words_lost)?;
        }
    }
    Ok(())
}

fn read_hours(typed: &str) -> Result<Hours, Fail> {
    Hours::parse(typed)
        .map_err(|fault| Fail::work(format!("hours: {fault}"), "write running hours as in 412.6"))
}

/// Adds an engine, or makes one anew that has sessions here; its profile must be there and sound.
pub fn add_engine(
    workshop: &Workshop,
    (name, serial, profile): (&str, &str, &str),
    hours: Hours,
    at: Moment,
) -> Result<Added, Fail> {
    workshop.folder().prepare()?;
    let known = profiles::remembered(profile, workshop.root())?;
    let first = (dates::day(at), hours);
    let engine = Engine::new(name, serial, &known, (&first.0, first.1), at.unix_ms)?;
    remade::add(workshop, engine)
}

/// `engines`.
pub fn engines(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Engines,
) -> Result<(), Fail> {
    let (rows, notes) = shop::rows(workshop, (world.now)())?;
    if let Some(absent) = workshop.folder().absent() {
        world.warn(&format!("{absent} (yet): the first engine that is added makes it"));
    }
    notes.iter().for_each(|note| world.warn(note));
    list(world, workshop, args, rows)?;
    all_of_it(many_left_out(&notes), many_not_here(&notes), "list")
}

fn list(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Engines,
    rows: Vec<shop::Row>,
) -> Result<(), Fail> {
    let none = rows.is_empty();
    let rows = shop::matching(rows, args.word.as_deref().unwrap_or_default());
    if args.json {
        let rows: Vec<_> = rows.iter().map(engine_json).collect();
        return print_json(world, &json!({ "engines": rows }));
    }
    if none {
        let add = "No engine yet. Add one: cowlside engine add NAME --profile P --hours H";
        match engines_unread(workshop)? {
            Some(Unread { files, to_do }) => {
                writeln!(world.out, "No engine can be read: {files}. To do: {to_do}.")?;
            }
            None => writeln!(world.out, "{add}")?,
        }
    } else if rows.is_empty() {
        let word = plain(args.word.as_deref().unwrap_or_default());
        writeln!(world.out, "No engine has \"{word}\" in its name, serial number or profile.")?;
    }
    let today = dates::day((world.now)());
    // Whoever reads from a pipe has no help to look into.
    let cut = world.terminals.out;
    for row in &rows {
        let engine = &row.engine;
        let practice = if row.practice { ", PRACTICE" } else { "" };
        let open = match (row.attention, &row.open) {
            (Attention::Damaged, _) | (_, None) => String::new(),
            (Attention::Open, Some(_)) if !row.all_open.is_empty() => {
                let open = if cut { row.still_open() } else { row.all_still_open() };
                format!("  a session is open{practice}: {open}")
            }
            (_, Some(_)) => format!("  a session is open{practice}"),
        };
        let attention = match row.attention {
            Attention::Damaged
            | Attention::LeftOpen
            | Attention::Unsigned
            | Attention::Due
            | Attention::Never
            | Attention::Soon => format!("  {}", row.attention_words()),
            Attention::NotYet | Attention::Nothing if !row.beside().is_empty() => {
                format!("  {}", row.attention_words())
            }
            Attention::Open if !row.beside().is_empty() => {
                format!("  {}", row.beside().join("; "))
            }
            Attention::Open
            | Attention::Gone
            | Attention::LeftOut
            | Attention::NotYet
            | Attention::Nothing => String::new(),
        };
        let next = match row.next_words() {
            next if next.is_empty() => "no service yet".to_string(),
            next => format!("next {next}{}", which_counts(row, &today)),
        };
        let last = row.last_words().map_or(String::new(), |last| format!("last {last}  "));
        writeln!(
            world.out,
            "{:<28} {:>9} h  {:<17} {last}{next}{attention}{open}",
            plain(&engine.name),
            engine.counter().to_string(),
            plain(&engine.profile),
        )?;
    }
    Ok(())
}

/// Says of hours and a day which of them the next check follows: the one that has come, else the first.
fn which_counts(row: &shop::Row, today: &str) -> &'static str {
    let (Some(hours), Some(day)) = (row.next_hours, &row.next_day) else { return "" };
    match (hours <= row.engine.counter(), day.as_str() <= today) {
        _ if row.not_yet => "",
        (true, true) => ", both have come",
        (true, false) => ", the hours have come",
        (false, true) => ", the day has come",
        (false, false) => ", whichever comes first",
    }
}

fn engine_json(row: &shop::Row) -> serde_json::Value {
    let engine = &row.engine;
    let attention = match row.foremost() {
        Attention::Damaged | Attention::Gone | Attention::Open => Some("open"),
        Attention::LeftOpen | Attention::Unsigned | Attention::Due | Attention::Never => {
            Some("due")
        }
        Attention::LeftOut => Some("left out"),
        Attention::Soon => Some("soon"),
        Attention::NotYet | Attention::Nothing => None,
    };
    // What was due before a new counter was fitted is due since that began.
    let next = row.next_hours.map(|hours| hours.max(Hours(0)).hours());
    let gone = row.gone.iter().chain(&row.elsewhere).filter(|_| row.gone_open);
    let damaged = row.damaged.iter();
    let left_open: Vec<&String> =
        damaged.chain(gone).chain(&row.all_open).chain(&row.open_versions).collect();
    json!({
        "id": engine.id, "name": engine.name, "serial": engine.serial,
        "profile": engine.profile, "hours": engine.counter().hours(),
        "open_session": row.open, "last_service": row.last,
        "next_due": { "hours": next, "date": row.next_day, "hours_by": "counter" },
        "attention": attention, "left_open": left_open, "left_out": row.left_out,
    })
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
    let (settings, fault) = Settings::load(workshop.folder());
    if let Some(fault) = fault {
        world.warn(&settings_unread(&fault));
    }
    if world.ascii || settings.ascii {
        let mut out = AsciiOut::new(world.out);
        let mut narrow = World { out: &mut out, err: world.err, input: world.input, ..*world };
        return plain_prompts(&mut narrow, workshop, &engine);
    }
    plain_prompts(world, workshop, &engine)
}

/// The session as plain prompts.
fn plain_prompts(world: &mut World<'_>, workshop: &Workshop, engine: &Engine) -> Result<u8, Fail> {
    let Some(version) = which_version(world, workshop, engine)? else { return Ok(0) };
    let which = Which { version, here: false };
    let moment = ((world.now)(), (world.run_ms)());
    let opening = || OpenSession::go_on(workshop, engine, which, moment);
    let (gone_on, notes) = wondering::under("opening the session", opening)?;
    notes.iter().for_each(|note| world.warn(note));
    run_plain(world, workshop, engine, gone_on)
}

/// Goes on in plain prompts with what going on came to: the session, a new one, or looking on.
pub(super) fn run_plain(
    world: &mut World<'_>,
    workshop: &Workshop,
    engine: &Engine,
    gone_on: GoneOn<'_>,
) -> Result<u8, Fail> {
    let desk = match gone_on {
        GoneOn::Open(open) => *open,
        GoneOn::Watching(watch) => return watching::run(world, *watch),
        GoneOn::Nothing(damaged) => {
            damaged.warnings.iter().for_each(|warning| world.warn(warning));
            let Some(desk) = begun(world, workshop, engine, damaged.page)? else { return Ok(0) };
            desk
        }
    };
    plain_session::run(world, desk)
}

/// Asks with which version of the open session to go on, where there are several; the outer `None`
/// at the end of the input.
fn which_version(
    world: &mut World<'_>,
    workshop: &Workshop,
    engine: &Engine,
) -> Result<Option<Option<char>>, Fail> {
    let forks = workshop.forks(engine)?;
    let Some(first) = forks.first() else { return Ok(Some(None)) };
    let common = parted(&forks);
    let versions: Vec<(char, String)> =
        forks.iter().filter_map(|fork| workshop.version_words(fork)).collect();
    let ask = |given: &[String]| start::which_version(&first.name, common, &versions, given);
    Ok(ask_all(world, ask)?.map(Some))
}

/// Asks for the hours, and where nothing may be written here for a folder, until the session is begun; `None`
/// at the end of the input.
fn begun<'a>(
    world: &mut World<'_>,
    workshop: &'a Workshop,
    engine: &Engine,
    mut told: Vec<String>,
) -> Result<Option<OpenSession<'a>>, Fail> {
    let only_read = workshop.can_begin(engine)?;
    // Who wants all of it in another folder is told how.
    only_read.iter().for_each(|fail| world.warn(&fail.words()));
    let asks_folder = only_read.is_some();
    told.extend(asks_folder.then(|| start::ONLY_READ.to_owned()));
    let last = engine_hours::last(engine, (world.now)());
    let name = &engine.name;
    let ask = |given: &[String]| start::begin(name, (&told, asks_folder), Some(&last), given);
    let Some((begin, mut folder)) = ask_all(world, ask)? else { return Ok(None) };
    loop {
        let (begin, moment) = (begin.clone(), ((world.now)(), (world.run_ms)()));
        let start = || {
            OpenSession::new(workshop, workshop.start(engine, (begin, folder.as_deref()), moment)?)
        };
        match wondering::under("beginning the session", start) {
            Err(fail) if asks_folder => writeln!(world.out, "! {}", plain(&fail.words()))?,
            begun => return begun.map(Some),
        }
        let ask = |given: &[String]| start::folder(name, given, |typed| Step::Do(typed.to_owned()));
        let Some(other) = ask_all(world, ask)? else { return Ok(None) };
        folder = Some(other);
    }
}

/// `compare`.
pub fn compare(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Compare,
) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    workshop.gone(&engine).iter().for_each(|words| world.warn(words));
    let known = workshop.sessions_of(&engine)?;
    let services = match (&args.older, &args.newer) {
        (Some(one), Some(other)) => two_services(workshop, &engine, &known.things, [one, other])?,
        (None, _) | (_, None) => workshop.services(&engine, known),
    };
    services.notes.iter().for_each(|note| world.warn(note));
    let pair = match (&args.newer, services.things.as_slice()) {
        (Some(_), [one, other]) => service::in_order(one, other),
        _ => service::choose(&services.things, None, None),
    };
    let (older, newer): (&Service, &Service) = pair.map_err(|no_pair| {
        let none = Fail::work(no_pair.to_string(), no_pair.hint());
        workshop.beside_unopened(&engine, none)
    })?;
    let mut comparison = compare::compare(older, newer);
    for service in [older, newer] {
        let mut cylinders: Vec<_> = service.valves.iter().map(|one| one.valve.cylinder).collect();
        cylinders.dedup();
        let other = engine_profile::of_other_cylinders(workshop, &engine, cylinders.len());
        let told = other.map(|words| format!("{}: {words}", plain(service.called())));
        comparison.conditions.extend(told);
    }
    let comparison = match args.by {
        args::By::Cylinder => comparison,
        args::By::Moved => comparison.by_moved(),
    };
    if args.json {
        let sides = [&comparison.older, &comparison.newer];
        let days = sides.map(|side| (side.session.as_str(), side.began, side.day_doubtful));
        warn_of_days(world, days.into_iter());
        return print_json(world, &compare_sheet::compare_json(&comparison));
    }
    write!(world.out, "{}", compare_sheet::compare_text(&comparison, report::WIDTH))?;
    Ok(())
}

/// Reads the two sessions named, which may be two versions of one.
fn two_services(
    workshop: &Workshop,
    engine: &Engine,
    known: &[Glance],
    named: [&String; 2],
) -> Result<Found<Service>, Fail> {
    let mut both = Found { things: Vec::new(), notes: Vec::new() };
    let mut first: Option<Glance> = None;
    for text in named {
        let listed = workshop.session_of(engine, known, text)?;
        if first.as_ref().is_some_and(|first| first.path == listed.path) {
            let same = NoPair::Same(listed.full_name());
            return Err(Fail::work(same.to_string(), same.hint()));
        }
        let service = workshop.service(engine, &listed)?;
        both.things.extend(service.things);
        both.notes.extend(service.notes);
        first = Some(listed);
    }
    Ok(both)
}

/// Says where more was written than could be read.
pub fn warn_of(opened: &Opened, world: &mut World<'_>) {
    if opened.verdict != Verdict::Clean {
        world.warn(&opened.verdict.to_string());
    }
}

/// `parts`.
pub fn parts(world: &mut World<'_>, workshop: &Workshop, args: &args::Parts) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    let found = workshop.sessions_of(&engine)?;
    found.notes.iter().for_each(|note| world.warn(note));
    // The open one, else the last.
    let newest = found.things.iter().rev().find(|session| !session.sealed);
    let Some(newest) = newest.or(found.things.last()) else {
        let none = Fail::work(
            format!("no service of {} is known", plain(&engine.name)),
            "a parts list follows from readings: start a session",
        );
        return Err(workshop.beside_unopened(&engine, none));
    };
    let opened = workshop.read(&newest.path)?;
    warn_of(&opened, world);
    let session = Session::replay(&opened.entries)
        .ok_or_else(|| Fail::work("the session has no beginning", opened.verdict.hint()))?;
    if !session.state.has_parts() {
        return Err(Fail::work(
            format!("{} is not set by shims or push rods", plain(&engine.name)),
            "what to turn on a screw is told by the session, and by `cowlside advise`",
        ));
    }
    if args.json {
        return print_json(world, &parts_sheet::parts_json(&session));
    }
    write!(world.out, "{}", parts_sheet::parts_text(&session, report::WIDTH))?;
    Ok(())
}
