//! `verify`: what is whole in the data folder and what is not. It only reads.

use super::args;
use super::fail::Fail;
use super::profiles::print_json;
use super::unread::DAMAGED;
use super::workshop::{Workshop, parse};
use super::world::World;
use crate::domain::plain::plain;
use crate::report::WIDTH;
use crate::report::sheet::Sheet;
use crate::store::journal::numbered;
use crate::store::sessions::{self, Glance, Listing};
pub use crate::store::verify::word;
use crate::store::verify::{self, Checked, Gone, Other, Report};
use crate::store::{StoreError, shown};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use unicode_width::UnicodeWidthStr;

/// `verify`: exit code 1 where something was lost or changed, could not be checked, or a code does not
/// fit.
pub fn verify(world: &mut World<'_>, workshop: &Workshop, args: &args::Verify) -> Result<u8, Fail> {
    let is_file = args.session.as_deref().is_some_and(|named| Path::new(named).is_file());
    if let Some(absent) = workshop.folder().absent().filter(|_| args.all || !is_file) {
        return Err(absent.into());
    }
    let Some(named) = args.session.as_deref().filter(|_| !args.all) else {
        let report = verify::everything(workshop.folder(), &parse)?;
        if args.json {
            print_json(world, &verify::json(&report))?;
        } else {
            write!(world.out, "{}", all(&report).into_text())?;
        }
        return Ok(u8::from(!report.is_whole()));
    };
    super::backup::is_a_backup(Path::new(named))?;
    let report = of_session(workshop, named)?;
    let fits = code_fits(&report, args.code.as_deref())?;
    if args.json {
        let mut document = verify::json(&report);
        if let (Some(fits), Some(object)) = (fits, document.as_object_mut()) {
            object.insert("code_fits".into(), fits.into());
        }
        print_json(world, &document)?;
    } else {
        let mut sheet = Sheet::new(WIDTH);
        for checked in &report.sessions {
            sheet.blank();
            verify::told(checked).iter().for_each(|(label, words)| field(&mut sheet, label, words));
        }
        for (_, why) in &report.unreadable {
            sheet.blank();
            field(&mut sheet, "UNREADABLE", why);
        }
        for gone in &report.gone {
            sheet.blank();
            field(&mut sheet, gone.word(), &gone.to_string());
        }
        match fits {
            Some(true) => sheet.field("code kept elsewhere", "fits: nothing before it was changed"),
            Some(false) => sheet.field(
                "CODE DOES NOT FIT",
                "the file is not the one whose code was noted, or the code was noted wrong",
            ),
            None => {}
        }
        write!(world.out, "{}", sheet.into_text())?;
    }
    Ok(u8::from(!report.is_whole() || fits == Some(false)))
}

/// Writes a label and what stands beside it; a path is copied from here, and is never broken.
fn field(sheet: &mut Sheet, label: &str, words: &str) {
    const BESIDE: usize = WIDTH - 22;
    if words.split(' ').all(|word| word.width() <= BESIDE) {
        return sheet.field(label, words);
    }
    let mut line = String::new();
    let mut lines = Vec::new();
    for word in words.split(' ') {
        if !line.is_empty() && line.width() + 1 + word.width() > BESIDE {
            lines.push(std::mem::take(&mut line));
        }
        let gap = if line.is_empty() { "" } else { " " };
        line = format!("{line}{gap}{word}");
    }
    lines.push(line);
    for (n, line) in lines.iter().enumerate() {
        let label = if n == 0 { label } else { "" };
        sheet.drawn(&format!("  {label:<20}{}", plain(line)));
    }
}

/// Checks every file of the session named. One that cannot be read is no failure where others of it
/// can: it is told with them.
fn of_session(workshop: &Workshop, named: &str) -> Result<Report, Fail> {
    let mut report = Report::default();
    let mut first = None;
    let paths = match files(workshop, named) {
        Ok(paths) => paths,
        Err(fail) => {
            report.gone = verify::gone(workshop.folder())?;
            report.gone.retain(|gone| gone.is_meant_by(named));
            return if report.gone.is_empty() { Err(fail) } else { Ok(report) };
        }
    };
    for path in paths {
        match verify::file(workshop.folder(), &path, &parse) {
            Ok(checked) => report.sessions.push(checked),
            Err(error) => {
                report.unreadable.push((path, error.to_string()));
                first.get_or_insert(error);
            }
        }
    }
    match first {
        Some(error) if report.sessions.is_empty() => return Err(error.into()),
        Some(_) | None => {}
    }
    verify::relate(workshop.folder(), &mut report.sessions)?;
    Ok(report)
}

/// Sets a code that was kept elsewhere against the files; one that it fits is enough.
fn code_fits(report: &Report, code: Option<&str>) -> Result<Option<bool>, Fail> {
    let Some(code) = code else { return Ok(None) };
    let answers: Vec<bool> =
        report.sessions.iter().filter_map(|checked| checked.code_fits(code)).collect();
    if answers.is_empty() {
        return Err(Fail::work(
            "there is no seal code to set this one against: not ended, or damaged before its end",
            "run verify without --code to see which",
        ));
    }
    Ok(Some(answers.contains(&true)))
}

/// Finds the files meant: one by its path, or every file of the session named.
fn files(workshop: &Workshop, named: &str) -> Result<Vec<PathBuf>, Fail> {
    let path = Path::new(named);
    let has_folder = path.components().count() > 1;
    if path.is_file() && (has_folder || path.extension().is_some()) {
        return Ok(vec![path.to_owned()]);
    }
    let listing = sessions::list(workshop.folder())?;
    let found = match sessions::find_beside(&listing.sessions, &listing.unopened(), named) {
        Ok(found) if found.version.is_some() => return Ok(vec![found.path]),
        Ok(found) => vec![found],
        // What can be told of it is told as of any other file.
        Err(StoreError::Unopened(one)) => return Ok(beside(&listing, vec![one.path], &[])),
        Err(error) => versions(&listing.sessions, named).ok_or(error)?,
    };
    let ids: Vec<String> = found.iter().map(|glance| glance.id.clone()).collect();
    let paths = found.into_iter().map(|glance| glance.path).collect();
    Ok(beside(&listing, paths, &ids))
}

/// Adds to some files of a session the others of it: copies that say no more, and by their names
/// those that were given up, or followed, and cannot be read any more.
fn beside(listing: &Listing, mut paths: Vec<PathBuf>, ids: &[String]) -> Vec<PathBuf> {
    let bases: Vec<String> = paths.iter().map(|path| numbered(path).0).collect();
    let is_of_it = |path: &Path, id: &String| {
        bases.contains(&numbered(path).0) || !id.is_empty() && ids.contains(id)
    };
    let others = listing.sessions.iter().map(|glance| (&glance.path, &glance.id));
    let apart = listing.apart.iter().map(|apart| (&apart.path, &apart.id));
    for (path, _) in apart.chain(others).filter(|(path, id)| is_of_it(path, id)) {
        if !paths.contains(path) {
            paths.push(path.clone());
        }
    }
    paths
}

/// Returns the versions of one session where the name means all of them and nothing else; of files
/// that have its name in common, those too whose beginning is lost.
fn versions(sessions: &[Glance], named: &str) -> Option<Vec<Glance>> {
    let whole = |glance: &&Glance| glance.version.is_some_and(|version| version.counts);
    let counting: Vec<Glance> = sessions
        .iter()
        .filter(|glance| glance.version.is_none() || whole(glance))
        .cloned()
        .collect();
    if let Ok(Glance { id, .. }) = sessions::find(&counting, named) {
        return Some(sessions.iter().filter(|glance| glance.id == id).cloned().collect());
    }
    let named: Vec<Glance> =
        counting.into_iter().filter(|one| one.name.eq_ignore_ascii_case(named)).collect();
    let base = numbered(&named.first()?.path).0;
    named.iter().all(|one| numbered(&one.path).0 == base).then_some(named)
}

/// Writes a summary line for each thing, and what it comes to.
fn all(report: &Report) -> Sheet {
    let mut sheet = Sheet::new(WIDTH);
    for checked in &report.sessions {
        let engine = checked.engine.as_ref().map_or(String::new(), |name| format!(" ({name})"));
        let stem = checked.path.file_stem().unwrap_or_default();
        let file = if stem == checked.name.as_str() {
            String::new()
        } else {
            format!(" in {}", shown(Path::new(checked.path.file_name().unwrap_or(stem))))
        };
        let name = verify::full_name(checked);
        let words = format!("session {name}{engine}{file}: {}", verify::summary(checked));
        sheet.line(&format!("{:<11}", verify::word(checked)), &words);
    }
    for (_, why) in &report.unreadable {
        sheet.line(&format!("{:<11}", "UNREADABLE"), why);
    }
    for Other { kind, name, wrong, newer, unread, copy } in &report.others {
        if let Some(words) = copy {
            sheet.line(&format!("{:<11}", "copy"), &format!("{kind}: {words}"));
            continue;
        }
        let (word, words) = match wrong {
            None => ("whole", String::new()),
            Some(why) if *newer => ("newer", format!(": {why}")),
            Some(why) if *unread => ("UNREADABLE", format!(": {why}")),
            Some(why) if is_named(why, name) && *kind == "engine" => {
                ("DAMAGED", format!(": {why}; to do: {DAMAGED}"))
            }
            Some(why) => ("DAMAGED", format!(": {why}")),
        };
        // What is wrong names the file itself.
        let told = name.is_empty() || wrong.as_ref().is_some_and(|why| is_named(why, name));
        let name = if told { String::new() } else { format!(" {}", plain(name)) };
        sheet.line(&format!("{word:<11}"), &format!("{kind}{name}{words}"));
    }
    for gone in &report.gone {
        sheet.line(&format!("{:<11}", gone.word()), &gone.to_string());
    }
    sheet.blank();
    sheet.line("", &totals(report));
    sheet
}

/// Tells whether what is wrong with a file names it.
fn is_named(why: &str, name: &str) -> bool {
    !name.is_empty() && why.contains(&format!("/{name} "))
}

/// What is said of files that a newer program wrote.
const NOT_CHECKED: &str = "of a newer version, not checked";

fn totals(report: &Report) -> String {
    let sessions = report.sessions.len() + report.unreadable.len();
    let bad = report.sessions.iter().filter(|one| one.is_damaged()).count();
    let is_newer = |one: &&Checked| one.is_unchecked() && !one.is_damaged();
    let newer = report.sessions.iter().filter(is_newer).count();
    let empty = report.sessions.iter().filter(|one| one.is_empty()).count();
    let whole = report.sessions.len() - bad - newer - empty;
    let of_sessions = [
        (whole, "whole"),
        (bad + report.unreadable.len(), "not"),
        (empty, "empty"),
        (newer, NOT_CHECKED),
    ];
    let mut pieces = vec![and_so_many(counted(sessions, "session file"), &of_sessions)];
    for (kind, name) in [("engine", "engine"), ("profile", "own profile")] {
        let all = report.others.iter().filter(|other| other.kind == kind);
        let copies = all.clone().filter(|other| other.copy.is_some()).count();
        let of = all.filter(|other| other.copy.is_none());
        let newer = of.clone().filter(|other| other.newer).count();
        let unread = of.clone().filter(|other| other.unread && !other.newer).count();
        let wrong = of.clone().filter(|other| other.wrong.is_some()).count() - newer - unread;
        let of_them = [(wrong, "damaged"), (unread, "not read"), (newer, NOT_CHECKED)];
        pieces.push(and_so_many(counted(of.count(), name), &of_them));
        match copies {
            0 => {}
            1 => pieces.push("1 copy of such a file".to_owned()),
            n => pieces.push(format!("{n} copies of such files")),
        }
    }
    let (elsewhere, gone): (Vec<&Gone>, Vec<&Gone>) =
        report.gone.iter().partition(|gone| gone.lies_elsewhere().is_some());
    if !gone.is_empty() {
        pieces.push(format!("{} gone", gone.len()));
    }
    let goes_on = report.sessions.iter().filter(|one| one.elsewhere.is_some());
    let goes_on: BTreeSet<&Option<String>> = goes_on.map(|one| &one.id).collect();
    let goes_on = match goes_on.len() + elsewhere.len() {
        0 => String::new(),
        1 => " 1 session goes on elsewhere.".to_owned(),
        n => format!(" {n} sessions go on elsewhere."),
    };
    let end = match (report.is_damaged(), report.is_whole()) {
        (true, _) => "Not everything is whole.",
        (false, true) if report.has_unknown() => {
            "What can be read is whole; of an empty file nobody knows what was in it."
        }
        (false, true) if goes_on.is_empty() && empty > 0 => "What is not empty is whole.",
        (false, true) if goes_on.is_empty() => "Everything is whole.",
        (false, true) => "What is here is whole, but it is not all:",
        (false, false) if report.has_other_words() => {
            "A copy says something that the engine's own file does not: look at it."
        }
        (false, false) => "What is of a newer version could not be checked; all else is whole.",
    };
    let healed = report.sessions.iter().filter(|one| !one.healed.is_empty()).count();
    let healed = match healed {
        0 => String::new(),
        1 => " Of 1 session an end that was cut off lies set aside.".to_owned(),
        n => format!(" Of {n} sessions an end that was cut off lies set aside."),
    };
    format!("{}. {end}{goes_on}{healed}", pieces.join("; "))
}

/// Writes "3 session files: 2 whole, 1 not", without what there is none of.
fn and_so_many(all: String, of_them: &[(usize, &str)]) -> String {
    let some = of_them.iter().filter(|(count, _)| *count > 0);
    let some: Vec<String> = some.map(|(count, what)| format!("{count} {what}")).collect();
    if some.is_empty() { all } else { format!("{all}: {}", some.join(", ")) }
}

fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// Says of a session that it is not as it was when it was last seen here, and that it goes on elsewhere.
pub fn missed(checked: &Checked) -> Vec<String> {
    let missed = checked.missed.as_ref().map(ToString::to_string);
    let elsewhere = checked.elsewhere.as_ref().map(|elsewhere| format!("this session {elsewhere}"));
    missed.into_iter().chain(elsewhere).collect()
}

/// Checks a session's file to the last byte.
pub fn checked(workshop: &Workshop, path: &Path) -> Result<Checked, StoreError> {
    verify::file(workshop.folder(), path, &parse)
}
