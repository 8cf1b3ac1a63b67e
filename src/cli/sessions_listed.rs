//! The command that lists the sessions of an engine, each with how it ended and whether its file is whole.

use super::args;
use super::export::all_of_it;
use super::fail::Fail;
use super::file_words;
use super::unread::{Unread, many_not_here, unopened_words};
use super::verify;
use super::workshop::{Workshop, day_of};
use super::world::World;
use crate::domain::plain::plain;
use crate::report::WIDTH;
use crate::report::sheet::wrapped;
use crate::store::journal::Verdict;
use unicode_width::UnicodeWidthStr;

/// Columns of a session's name.
const NAME: usize = 36;

/// `sessions`.
pub fn sessions(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Sessions,
) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    let found = workshop.sessions_of(&engine)?;
    found.notes.iter().for_each(|note| world.warn(note));
    let all = workshop.sessions()?.things;
    let may_be_its = all.iter().filter(|one| file_words::is_of_nobody_knows(one));
    may_be_its.for_each(|one| world.warn(&file_words::not_whole(one)));
    let gone = workshop.gone(&engine);
    gone.iter().for_each(|words| world.warn(words));
    if found.things.is_empty() {
        match unopened_words(&workshop.unopened(&engine)) {
            Some(Unread { files, to_do }) => {
                writeln!(world.out, "No session can be read: {files}. To do: {to_do}.")?;
            }
            None => writeln!(world.out, "No session yet. Start one: cowlside session ENGINE")?,
        }
    }
    for listed in &found.things {
        let checked = verify::checked(workshop, &listed.path)?;
        let whole = checked.verdict == Verdict::Clean;
        let how = match (listed.signed, listed.sealed) {
            (true, _) | (_, true) if !whole && checked.sealed.is_none() => "end not whole",
            (true, _) => "signed",
            (false, true) if listed.imported => "imported",
            (false, true) => "closed unsigned",
            (false, false) => "open",
        };
        let version = listed.version.map_or(String::new(), |version| {
            let counts = if version.counts { ", the one that counts" } else { "" };
            let file = listed.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let (letter, stands) = (version.letter, listed.stands_words().unwrap_or_default());
            format!(", version {letter} in {file}, {stands}{counts}")
        });
        // Where verify has no code, or says that it proves nothing, none is to be noted.
        let proved = listed.seal_code.as_ref().filter(|code| checked.code_fits(code) == Some(true));
        let code = proved.map_or(String::new(), |code| format!(", seal {code}"));
        let word = || format!(", {}", verify::word(&checked).to_lowercase());
        let damaged = if whole { String::new() } else { word() };
        let clock = match (listed.clock_doubtful, &listed.day) {
            (_, Some(_)) => ", day corrected",
            (true, None) => ", clock doubtful",
            (false, None) => "",
        };
        // It never counts as a service of the engine.
        let practice = if listed.practice { ", PRACTICE" } else { "" };
        let mut name = plain(&listed.name);
        if name.width() > NAME {
            // What is longer than its column stands above the rest, and is folded like all text.
            write!(world.out, "{}", wrapped(WIDTH, "", &name))?;
            name.clear();
        }
        let gap = " ".repeat(NAME.saturating_sub(name.width()));
        writeln!(
            world.out,
            "{name}{gap} {}  {how}{practice}{code}{version}{damaged}{clock}",
            day_of(listed)
        )?;
        for missed in verify::missed(&checked).iter().filter(|_| listed.counts()) {
            world.warn(&format!("{}: {missed}", listed.full_name()));
        }
    }
    all_of_it(0, many_not_here(&gone), "list")
}
