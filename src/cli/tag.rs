//! `tag`: the notice to hang on an engine whose service is interrupted.

use super::args;
use super::commands::warn_of;
use super::fail::Fail;
use super::versions::{beyond, more_may_be_open};
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::{cut_short, plain};
use crate::domain::session::Session;
use crate::guide::status;
use crate::report::dates;
use crate::report::tag_sheet::Tag;
use crate::store::engines::Engine;
use crate::store::journal::{Opened, Verdict};
use crate::store::sessions::Glance;
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
    let Some(session) = Session::replay(&opened.entries) else {
        if open.signed {
            return Err(none());
        }
        gone.iter().chain(&beyond).for_each(|words| world.warn(words));
        return print(world, args, &of_unread(&engine, open, &opened, more));
    };
    // One that was closed with nothing open needs no tag.
    if open.sealed && session.state.open_items().is_empty() {
        return Err(none());
    }
    gone.iter().chain(&beyond).for_each(|words| world.warn(words));
    let file: Vec<String> = of_its_file(&opened, open.sealed).into_iter().chain(more).collect();
    let file = Some(file.join(" ")).filter(|file| !file.is_empty());
    let last = session.kept.last().map(|kept| dates::day_and_time(kept.at)).unwrap_or_default();
    let earlier = workshop.earlier(&engine, &session);
    let notice = status::notice(&session, &earlier);
    let all_of_it = format!("cowlside report {}", last_word(&open.full_name()));
    let short = |line: &String| cut_short(line, &all_of_it);
    // What stands above is not said twice.
    let mut way_back = status::way_back(&session, &earlier);
    way_back.retain(|line| !notice.contains(line));
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
