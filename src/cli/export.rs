//! `export`: every reading of every engine as one flat table.

use super::args;
use super::fail::Fail;
use super::file_words::{cut_short, is_cut_short};
use super::unread::{NotHere, gone_words, many_not_here};
use super::versions::beyond;
use super::workshop::{Workshop, service_of};
use super::world::World;
use crate::domain::entry::Hours;
use crate::domain::flat::{self, Row};
use crate::domain::session::Session;
use crate::store::engines;
use crate::store::journal::Verdict;
use crate::store::sessions::{self, Glance};
use crate::store::table;
use std::sync::atomic::{AtomicUsize, Ordering};

/// `export`.
pub fn export(world: &mut World<'_>, workshop: &Workshop, args: &args::Export) -> Result<(), Fail> {
    if let Some(absent) = workshop.folder().absent() {
        return Err(absent.into());
    }
    let listing = engines::list(workshop.folder())?;
    let mut left_out = listing.broken.len();
    for broken in &listing.broken {
        world.warn(&format!("left out: {broken}"));
    }
    listing.copies.iter().for_each(|copy| world.warn(&copy.to_string()));
    let known = workshop.sessions()?;
    known.notes.iter().for_each(|note| world.warn(note));
    left_out += many_left_out(&known.notes);
    let gone = gone_words(workshop.folder(), &known.things);
    gone.iter().for_each(|words| world.warn(words));
    if !args.jsonl {
        write!(world.out, "{}", table::csv_head())?;
    }
    let watched = world.terminals.out;
    let (dealt, of_none) = sessions::by_engine(&known.things, &listing.engines);
    let work: Vec<(&engines::Engine, Vec<&Glance>)> = listing.engines.iter().zip(dealt).collect();
    let progress = workshop.folder().progress();
    let done = AtomicUsize::new(0);
    let unread = AtomicUsize::new(0);
    let not_whole = AtomicUsize::new(0);
    write_in_turn(world, &work, |(engine, its)| {
        progress.so_far("writing engines", done.fetch_add(1, Ordering::Relaxed), work.len());
        let (rows, mut notes) = rows_of(workshop, engine, its)?;
        let counting = its.iter().filter(|one| one.counts());
        notes.extend(counting.clone().flat_map(|one| beyond(workshop, &known.things, one)));
        notes.extend(counting.clone().filter_map(|one| cut_short(workshop.folder(), one)));
        let lost = counting.filter(|one| may_lack_readings(workshop, one)).count();
        not_whole.fetch_add(lost, Ordering::Relaxed);
        unread.fetch_add(many_left_out(&notes), Ordering::Relaxed);
        let spell = if args.jsonl { table::json_line } else { table::csv_for(watched) };
        Ok((rows.iter().map(spell).collect(), notes))
    })?;
    left_out += of_none.len() + unread.into_inner();
    for lost in of_none {
        world.warn(&format!("left out: session {} is of an engine that is not here", lost.name));
    }
    all_of_it(left_out, many_not_here(&gone), "table")?;
    match not_whole.into_inner() {
        0 => Ok(()),
        n => {
            let files =
                if n == 1 { "1 session's file is" } else { &format!("{n} sessions' files are") };
            let hint = "the warnings say which; what can be read of it is in the table";
            Err(Fail::work(format!("{files} not whole: readings may be missing"), hint))
        }
    }
}

/// Tells whether readings of a session that were saved may be missing: behind an end that was cut off nothing
/// was ever told as saved.
fn may_lack_readings(workshop: &Workshop, one: &Glance) -> bool {
    matches!(one.verdict, Verdict::Damaged(_) | Verdict::Faulty { .. })
        || is_cut_short(workshop.folder(), one)
}

/// Counts what these words say that it was left out.
pub fn many_left_out(notes: &[String]) -> usize {
    notes.iter().filter(|note| note.starts_with(LEFT_OUT)).count()
}

const LEFT_OUT: &str = "left out: ";

/// Ends in a failure where files were left out of a table or a list, or sessions are not here: what was written
/// is sound, and whoever takes it for all of it would be misled.
///
/// # Errors
/// Something was.
pub fn all_of_it(left_out: usize, not_here: NotHere, of: &str) -> Result<(), Fail> {
    let files = match left_out {
        0 => None,
        1 => Some(format!("1 file was left out of the {of}")),
        n => Some(format!("{n} files were left out of the {of}")),
    };
    // Nobody left out what is gone.
    let sessions = |many: usize, how: &str| match many {
        0 => None,
        1 => Some(format!("1 session is {how}, and not in the {of}")),
        n => Some(format!("{n} sessions are {how}, and not in the {of}")),
    };
    let NotHere { gone, elsewhere } = not_here;
    let sessions = [sessions(gone, "gone"), sessions(elsewhere, "kept elsewhere")];
    let error: Vec<String> = files.into_iter().chain(sessions.into_iter().flatten()).collect();
    let hint = "the warnings say which and why; all else is in it";
    if error.is_empty() { Ok(()) } else { Err(Fail::work(error.join("; "), hint)) }
}

/// The text of one engine, and what the user must be told beside it.
type Text = Result<(String, Vec<String>), Fail>;

/// Writes the text of each engine in order. Two threads take turns; each is at most one engine
/// ahead, so that memory grows with one engine and not with the shop.
fn write_in_turn<T: Sync>(
    world: &mut World<'_>,
    work: &[T],
    text: impl Fn(&T) -> Text + Sync,
) -> Result<(), Fail> {
    std::thread::scope(|scope| {
        let (ahead, behind) = std::sync::mpsc::sync_channel(0);
        let text = &text;
        scope.spawn(move || {
            let sent = |one| ahead.send(text(one)).is_ok();
            // Nobody takes it any more once writing has failed.
            let _ = work.iter().skip(1).step_by(2).all(sent);
        });
        for pair in work.chunks(2) {
            for (place, one) in pair.iter().enumerate() {
                let made = if place == 0 {
                    text(one)
                } else {
                    behind.recv().unwrap_or_else(|_| text(one))
                };
                let (text, notes) = made?;
                notes.iter().for_each(|note| world.warn(note));
                world.out.write_all(text.as_bytes())?;
            }
        }
        Ok(())
    })
}

/// Writes the sessions of an engine as rows: by hours, date and name, readings in journal order.
pub fn rows_of(
    workshop: &Workshop,
    engine: &engines::Engine,
    its: &[&Glance],
) -> Result<(Vec<Row>, Vec<String>), Fail> {
    let mut notes = Vec::new();
    let mut sessions: Vec<((Hours, i64, String), Vec<Row>)> = Vec::new();
    for listed in its.iter().filter(|one| one.version.is_none_or(|version| version.counts)) {
        let opened = match workshop.read(&listed.path) {
            Ok(opened) => opened,
            Err(fail) => {
                notes.push(format!("left out: {}", fail.words()));
                continue;
            }
        };
        if opened.verdict != Verdict::Clean {
            notes.push(format!("{}: {}", listed.name, opened.verdict));
        }
        let Some(session) = Session::replay(&opened.entries) else { continue };
        let service = service_of(engine, &session);
        let hours = service.hours.unwrap_or(Hours(i64::MAX));
        let began = service.began.map_or(i64::MAX, |began| began.unix_ms);
        let place = (hours, began, service.called().to_string());
        sessions.push((place, flat::rows(&session, &service, &engine.name)));
    }
    sessions.sort_by(|one, other| one.0.cmp(&other.0));
    Ok((sessions.into_iter().flat_map(|(_, rows)| rows).collect(), notes))
}
