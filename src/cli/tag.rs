//! `tag`: the notice to hang on an engine whose service is interrupted.

use super::args;
use super::commands::warn_of;
use super::fail::Fail;
use super::file_words::missed;
use super::other_versions::Told;
use super::versions::{beyond, more_may_be_open};
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::{cut_short, plain};
use crate::domain::session::{OpenItem, Session, State, gravest_first};
use crate::guide::status;
use crate::report::dates;
use crate::report::tag_sheet::Tag;
use crate::store::engines::Engine;
use crate::store::journal::{Opened, Verdict};
use crate::store::sessions::Glance;
use crate::store::verify::Gone;
use crate::store::words::last_word;

/// `tag`.
pub fn tag(world: &mut World<'_>, workshop: &Workshop, args: &args::Tag) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    let found = workshop.open_sessions(&engine, None)?;
    found.notes.iter().for_each(|note| world.warn(note));
    let all = workshop.sessions_of(&engine)?.things;
    let ended = Workshop::last_made(&all).filter(|one| one.sealed);
    let gone = workshop.gone(&engine);
    let none = || {
        if !gone.is_empty() {
            let hint = "a tag belongs to an interrupted session: bring it back first";
            return Fail::work(gone.join("; "), hint);
        }
        let why = format!("no session of {} is open", plain(&engine.name));
        let none = Fail::work(why, "a tag belongs to an interrupted session");
        workshop.beside_unopened(&engine, none)
    };
    let open = found.things.first().or(ended).ok_or_else(none)?;
    let opened = workshop.read(&open.path)?;
    warn_of(&opened, world);
    let (beyond, more) = (beyond(workshop, &all, open), more_may_be_open(workshop, &all, open));
    let mut others = workshop.open_in_others(&all, open);
    others.extend(workshop.open_in_earlier(&all, open));
    let Some(session) = Session::replay(&opened.entries) else {
        if open.signed {
            return Err(none());
        }
        gone.iter().chain(&beyond).for_each(|words| world.warn(words));
        return print(world, args, &of_unread(&engine, open, &opened, more));
    };
    // One that was closed with nothing open needs no tag.
    if open.sealed && session.state.open_items().is_empty() && others.is_empty() {
        return Err(none());
    }
    gone.iter().chain(&beyond).for_each(|words| world.warn(words));
    let missed = missed(workshop.folder(), open);
    missed.iter().for_each(|missed| world.warn(&format!("session {}: {missed}", open.name)));
    let missed = missed.map(|it| format!("The session's file: {it}. More than this may be open."));
    let its_file = of_its_file(&opened, open.sealed).into_iter().chain(missed).chain(more);
    let file: Vec<String> = its_file.chain(those_gone(workshop, &engine)).collect();
    let file = Some(file.join(" ")).filter(|file| !file.is_empty());
    let last = session.kept.last().map(|kept| dates::day_and_time(kept.at)).unwrap_or_default();
    let earlier = workshop.earlier(&engine, &session);
    let notice = with_others(&session.state, status::notice(&session, &earlier), others);
    let all_of_it = format!("cowlside report {}", last_word(&open.full_name()));
    let short = |line: &String| cut_short(line, &all_of_it);
    // What stands above is not said twice.
    let mut way_back = status::way_back(&session, &earlier);
    way_back.retain(|line| !notice.contains(line));
    if opened.verdict.is_damage() && !opened.verdict.may_append() {
        let prove = way_back.iter_mut().filter(|line| line.starts_with(PROVE));
        // What was proven stands on entries that are missing.
        prove.for_each(|line| *line = format!("{PROVE}the crank, anew: entries are missing"));
    }
    let tag = Tag {
        notice: notice.iter().map(short).collect(),
        file,
        // What is open stands above, line by line.
        way_back: way_back.iter().skip(1).map(short).map(|line| status::for_paper(&line)).collect(),
        last,
    };
    print(world, args, &tag)
}

/// Makes the tag of a session of which the first entry is lost, and with it what it left open.
fn of_unread(engine: &Engine, open: &Glance, opened: &Opened, more: Vec<String>) -> Tag {
    let file: Vec<String> = of_its_file(opened, open.sealed).into_iter().chain(more).collect();
    Tag {
        notice: status::notice_unread(&engine.name, open.sealed),
        file: Some(file.join(" ")).filter(|file| !file.is_empty()),
        way_back: vec![
            "To go on: look for a sound copy of the file (cowlside take COPY).".to_owned(),
        ],
        last: dates::day_and_time(open.last),
    }
}

fn print(world: &mut World<'_>, args: &args::Tag, tag: &Tag) -> Result<(), Fail> {
    let text = match args.format {
        args::TagFormat::Text => tag.text(),
        args::TagFormat::Html => tag.html(),
    };
    write!(world.out, "{text}")?;
    Ok(())
}

/// How the line begins that says what is to be proven.
const PROVE: &str = "To be proven next: ";

/// Puts what other versions left open into the notice, among what is open here, the gravest first.
fn with_others(state: &State, mut notice: Vec<String>, others: Vec<Told>) -> Vec<String> {
    if others.is_empty() {
        return notice;
    }
    if let Some(first) = notice.first_mut() {
        *first = "DO NOT TURN".to_owned();
    }
    // Behind the warning, whose engine it is, and who left it.
    let own = state.open_items();
    let from = 3.min(notice.len());
    let to = (from + own.len()).min(notice.len());
    let lines: Vec<String> = notice.drain(from..to).collect();
    let mut told: Vec<Told> = lines.into_iter().zip(own.iter().map(OpenItem::gravity)).collect();
    told.extend(others);
    gravest_first(&mut told, |(_, gravity)| *gravity);
    notice.splice(from..from, told.into_iter().map(|(words, _)| words));
    notice
}

/// Says of sessions that are not here and may have been open that more may be open than stands here.
fn those_gone(workshop: &Workshop, engine: &Engine) -> Vec<String> {
    let gone = workshop.those_gone(engine);
    let words = |one: &Gone| {
        let name = one.may_be_open()?;
        Some(plain(&match one.lies_elsewhere() {
            Some(_) => format!("Session {name} goes on in another folder: more may be open."),
            None => format!("The file of session {name} is gone: more may be open."),
        }))
    };
    gone.iter().filter_map(words).collect()
}

/// Says of the file of a session what whoever reads its tag must know.
fn of_its_file(opened: &Opened, sealed: bool) -> Option<String> {
    match &opened.verdict {
        // What stands behind a sound end was never told as saved.
        Verdict::CutOff(_) if sealed => None,
        Verdict::CutOff(tail) => {
            Some(format!("The session's file: {}. More than this may be open.", tail.told()))
        }
        other if other.may_append() => None,
        _ => Some("The session's file is damaged: more than this may be open.".to_owned()),
    }
}
