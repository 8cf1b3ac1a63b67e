//! `report`: the record of a session in each of its forms, and an empty worksheet.

use super::args::{self, Format};
use super::commands::warn_of;
use super::fail::Fail;
use super::file_words::missed;
use super::profiles::print_json;
use super::unread::is_gone;
use super::versions::{beyond, beyond_all};
use super::workshop::{Workshop, service_of};
use super::world::World;
use crate::domain::flat;
use crate::domain::plain::plain;
use crate::domain::plan::{self, PlanChoice};
use crate::domain::service::{Service, choose_last};
use crate::domain::session::{Session, State};
use crate::domain::trend::History;
use crate::domain::valve::{Cylinder, Valve};
use crate::report::chart::chart;
use crate::report::html::{self, Figure};
use crate::report::record::{Distrust, OfFile, sheet};
use crate::report::sheet::{Block, Sheet};
use crate::report::{history_sheet, markdown, record_json, svg, worksheet};
use crate::store::journal::{self, Opened};
use crate::store::sessions::{self, Glance};
use crate::store::shown;
use crate::store::table;
use crate::store::words::last_word;
use std::path::{Path, PathBuf};

/// `report`.
pub fn report(world: &mut World<'_>, workshop: &Workshop, args: &args::Report) -> Result<(), Fail> {
    if args.blank {
        return blank(world, workshop, args);
    }
    let is_file = Path::new(&args.of).is_file();
    if let Some(absent) = workshop.folder().absent().filter(|_| !is_file) {
        return Err(absent.into());
    }
    let known = sessions::list(workshop.folder())?;
    let path = match sessions::find_beside(&known.sessions, &known.unopened(), &args.of) {
        Ok(session) => session.path,
        // An engine's name means its latest service.
        Err(none) => match latest(world, workshop, &args.of)? {
            Some(path) => path,
            None => {
                let gone = is_gone(workshop.folder(), &known.sessions, &args.of);
                return Err(gone.unwrap_or_else(|| none.into()));
            }
        },
    };
    let opened = workshop.read(&path)?;
    let session = Session::replay(&opened.entries).ok_or_else(|| {
        let error =
            format!("{} has no beginning that can be read: {}", shown(&path), opened.verdict);
        Fail::work(plain(&error), opened.verdict.hint())
    })?;
    warn_of(&opened, world);
    let listed = known.sessions.iter().find(|one| one.path == path);
    let beyond = listed.map_or_else(Vec::new, |one| match args.of.contains('@') {
        // Whoever names a version knows of the others.
        true => beyond_all(workshop, &known.sessions, one).into_iter().collect(),
        false => beyond(workshop, &known.sessions, one),
    });
    beyond.iter().for_each(|words| world.warn(words));
    let engine = session.state.begin.engine_id.clone();
    let engine = engine.and_then(|id| workshop.engine(&id).ok());
    let earlier =
        engine.as_ref().map(|engine| workshop.earlier(engine, &session)).unwrap_or_default();
    let service = match &engine {
        Some(engine) => service_of(engine, &session),
        None => Service::of(&session),
    };
    let past = earlier.up_to(&Service::of(&session));
    let file = of_file_here(world, workshop, &opened, (&known.sessions, listed));
    let mut sheet = sheet(&session, &earlier, file.clone());
    if let Some(history) = past.as_ref().filter(|history| history.sessions > 1) {
        history_sheet::section(&mut sheet, history);
    }
    match args.format {
        Format::Text => write!(world.out, "{}", sheet.into_text())?,
        Format::Json => {
            let sheet = (sheet, &file);
            let document = record_json::record_json(&session, &service, &earlier, sheet);
            return print_json(world, &document);
        }
        Format::Csv => {
            let name = engine.as_ref().map_or(&service.engine, |engine| &engine.name);
            let rows = flat::rows(&session, &service, name);
            let table: String = rows.iter().map(table::csv_for(world.terminals.out)).collect();
            write!(world.out, "{}{table}", table::csv_head())?;
        }
        Format::Md => write!(world.out, "{}", markdown::markdown(&sheet.into_blocks()))?,
        Format::Html => {
            let figures = figures(&session, past.as_ref());
            write!(world.out, "{}", html::page(&sheet.into_blocks(), "Drawings", &figures))?;
        }
    }
    Ok(())
}

/// What a record has to know of the file that it is made from.
pub fn of_file(opened: &Opened) -> OfFile {
    let whole = match &opened.verdict {
        journal::Verdict::Clean => true,
        // What is broken behind the end is no part of what was signed.
        journal::Verdict::CutOff(_) => opened.seal_code.is_some(),
        _ => false,
    };
    let damage = (!whole).then(|| plain(&opened.verdict.to_string()));
    let distrust = match &opened.verdict {
        journal::Verdict::Newer { .. } | journal::Verdict::UnknownKind { .. } => Distrust::Newer,
        journal::Verdict::Faulty { .. } => Distrust::Faulty,
        _ => Distrust::NotWhole,
    };
    OfFile { seal_code: opened.seal_code.clone(), damage, distrust, ..OfFile::default() }
}

/// The same of a file that lies among these sessions: what other versions left open, and what is missing at
/// its end.
fn of_file_here(
    world: &mut World<'_>,
    workshop: &Workshop,
    opened: &Opened,
    (all, listed): (&[Glance], Option<&Glance>),
) -> OfFile {
    let mut file = of_file(opened);
    let Some(listed) = listed else { return file };
    file.open_beside = workshop.open_in_others_words(all, listed);
    if let Some(missed) = missed(workshop.folder(), listed) {
        world.warn(&format!("session {}: {missed}", listed.name));
        file.damage = file.damage.or(Some(format!("{missed}: more than this may be open")));
    }
    file
}

/// The file of the latest service of an engine, of those made at it where there are; `None` where no engine is called so.
fn latest(
    world: &mut World<'_>,
    workshop: &Workshop,
    engine: &str,
) -> Result<Option<PathBuf>, Fail> {
    let Ok(engine) = workshop.engine(engine) else { return Ok(None) };
    workshop.gone(&engine).iter().for_each(|words| world.warn(words));
    let listed = workshop.sessions_of(&engine)?.things;
    // One from a table has a record too, where nothing better is there.
    let imported = || listed.iter().rfind(|one| one.counts());
    let Some(last) = Workshop::last_made(&listed).or_else(imported) else {
        let name = plain(&engine.name);
        let hint = format!("begin one: cowlside session {}", last_word(&engine.name));
        let none = Fail::work(format!("{name} has no service yet"), hint);
        return Err(workshop.beside_unopened(&engine, none));
    };
    workshop.unopened(&engine).iter().for_each(|one| world.warn(&one.to_string()));
    Ok(Some(last.path.clone()))
}

fn figures(session: &Session, past: Option<&History>) -> Vec<Figure> {
    let state = &session.state;
    let word = |cylinder| left_word(state, cylinder);
    let engine = Figure {
        caption: "The engine as it was left".into(),
        svg: svg::engine_svg(state.facts(), &word),
    };
    let mut figures = vec![engine];
    for past in past.iter().flat_map(|history| &history.valves) {
        let unit = state.facts().unit;
        let Some(chart) = chart(past) else { continue };
        let lines = history_sheet::valve_lines(past, unit).join("; ");
        let name = state.name_of(past.valve);
        let title = format!("{name} over running hours");
        let svg = svg::chart_svg(&chart, unit, &title);
        let caption = format!(
            "{name}: circles as found, crosses as left, bars what the readings allow, dashes the limits. {lines}"
        );
        figures.push(Figure { caption, svg });
    }
    figures
}

/// Says in a word how a cylinder was left: the gravest of its valves that this service answers for, and
/// whether it has others.
fn left_word(state: &State, cylinder: Cylinder) -> String {
    let all = state.facts().valves_of(cylinder);
    let valves: Vec<Valve> = all.iter().copied().filter(|&one| state.serviced(one)).collect();
    if valves.is_empty() {
        return "not looked at".into();
    }
    let left = state.left_outside();
    let word = match left.iter().find(|(_, valve)| valve.cylinder == cylinder) {
        Some((verdict, _)) => verdict.word(),
        None if valves.iter().any(|&valve| state.left(valve).is_none()) => "no figure",
        None => "in limits",
    };
    let part = if valves.len() < all.len() { "in part: " } else { "" };
    format!("{part}{word}")
}

/// `report --blank`: the worksheet of an engine.
fn blank(world: &mut World<'_>, workshop: &Workshop, args: &args::Report) -> Result<(), Fail> {
    let engine = workshop.engine(&args.of)?;
    let profile = workshop.profile(&engine)?;
    let plan = plan::plan(&profile.profile, &PlanChoice::default())
        .map_err(|refusal| Fail::work(refusal.to_string(), refusal.hint()))?;
    let services = workshop.services(&engine, workshop.sessions_of(&engine)?);
    services.notes.iter().for_each(|note| world.warn(note));
    let last = choose_last(&services.things);
    let sheet: Sheet = worksheet::worksheet(&engine.name, &profile.profile, &plan, last);
    let blocks: Vec<Block> = sheet.clone().into_blocks();
    match args.format {
        Format::Text => write!(world.out, "{}", sheet.into_text())?,
        Format::Md => write!(world.out, "{}", markdown::markdown(&blocks))?,
        Format::Html => {
            let engine = svg::engine_svg(&profile.profile, &|_| String::new());
            let figure = Figure { caption: "The engine".into(), svg: engine };
            write!(world.out, "{}", html::page(&blocks, "Drawing", &[figure]))?;
        }
        Format::Csv | Format::Json => {
            return Err(Fail::usage(
                "a worksheet is filled in by hand",
                "choose --format text, md or html",
            ));
        }
    }
    Ok(())
}
