//! What the sessions looked like when they were last read, so that a large shop is listed at once.
//!
//! A file in `cache/` that may go at any time. It is believed of a session only while the folder's
//! names are as they were and the session's file has the same length and the same times (on Unix
//! also that of its last change, which no program can set back); else the files are read again.
//! Only whole sessions are noted: one with anything the matter is read each time. An opened session
//! is never taken from here.

use super::Glance;
use crate::domain::entry::{Hours, Moment};
use crate::store::folder::{Folder, make_folder};
use crate::store::hash::{hex_of_sha256, new_id};
use crate::store::journal::Verdict;
use crate::store::journal::storage::{for_one_user, open_ordinary};
use std::collections::BTreeMap;
use std::fs::{File, Metadata, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// Its name in `cache/`.
const NAME: &str = "sessions-index";
/// The first line; an index of another version is made anew.
const HEAD: &str = concat!("cowlside sessions 1 ", env!("CARGO_PKG_VERSION"));
/// Most bytes that are looked at.
const FILE_MAX: u64 = 256 * 1024 * 1024;
/// Hex digits of the hash at its end.
const SUM: usize = 32;
/// A file changed so shortly before it was read may change again within the same tick of the
/// disk's clock (two seconds on the coarsest disks): it is read again next time.
const TICK_NS: i128 = 2_000_000_000;
/// Parts of a session's line.
const PARTS: usize = 17;

/// Length and times of a file or folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    length: u64,
    modified_ns: i128,
    changed_ns: i128,
}

impl Stamp {
    /// Reads it; links are not followed.
    pub fn of(path: &Path) -> Option<Stamp> {
        std::fs::symlink_metadata(path).ok().map(|about| Stamp::from(&about))
    }

    #[cfg(unix)]
    fn from(about: &Metadata) -> Stamp {
        use std::os::unix::fs::MetadataExt;
        let ns = |s: i64, ns: i64| i128::from(s) * 1_000_000_000 + i128::from(ns);
        Stamp {
            length: about.size(),
            modified_ns: ns(about.mtime(), about.mtime_nsec()),
            changed_ns: ns(about.ctime(), about.ctime_nsec()),
        }
    }

    #[cfg(not(unix))]
    fn from(about: &Metadata) -> Stamp {
        use std::time::UNIX_EPOCH;
        let since = about.modified().ok().and_then(|time| time.duration_since(UNIX_EPOCH).ok());
        let ns = since.and_then(|since| i128::try_from(since.as_nanos()).ok()).unwrap_or(i128::MAX);
        Stamp { length: about.len(), modified_ns: ns, changed_ns: ns }
    }

    /// Tells whether it may be believed when it was taken at this time of the same disk.
    fn settled(&self, taken_ns: i128) -> bool {
        self.modified_ns.max(self.changed_ns) < taken_ns.saturating_sub(TICK_NS)
    }

    fn words(&self) -> String {
        format!("{}\t{}\t{}", self.length, self.modified_ns, self.changed_ns)
    }

    fn read(parts: &[&str]) -> Option<Stamp> {
        let [length, modified, changed] = parts else { return None };
        Some(Stamp {
            length: length.parse().ok()?,
            modified_ns: modified.parse().ok()?,
            changed_ns: changed.parse().ok()?,
        })
    }
}

/// An index as it was read; its lines are understood only where they are asked for.
pub struct Index {
    text: String,
    taken_ns: i128,
    folder: Stamp,
}

/// A line of an index.
#[derive(Clone, Copy)]
pub struct Row<'a> {
    /// The file's name.
    pub file: &'a str,
    /// The session's id; empty for a file that is read each time.
    pub id: &'a str,
    /// The engine's id; may be empty.
    pub engine_id: &'a str,
    /// The engine's name; may be empty.
    pub engine: &'a str,
    line: &'a str,
}

impl Index {
    /// Reads the index of a data folder; `None` where there is none that can be believed.
    pub fn read(folder: &Folder) -> Option<Index> {
        let path = folder.cache().join(NAME);
        let (file, about) = open_ordinary(OpenOptions::new().read(true), &path).ok()?;
        let mut bytes = Vec::with_capacity(usize::try_from(about.len().min(FILE_MAX)).ok()? + 1);
        file.take(FILE_MAX).read_to_end(&mut bytes).ok()?;
        let (body, sum) = bytes.split_at_checked(bytes.len().checked_sub(SUM)?)?;
        if hex_of_sha256(body, SUM / 2).as_bytes() != sum {
            return None;
        }
        let length = body.len();
        bytes.truncate(length);
        let text = String::from_utf8(bytes).ok()?;
        let mut lines = text.lines();
        if lines.next()? != HEAD {
            return None;
        }
        let parts: Vec<&str> = lines.next()?.split('\t').collect();
        let (taken, stamp) = parts.split_first()?;
        let (taken_ns, folder) = (taken.parse().ok()?, Stamp::read(stamp)?);
        Some(Index { text, taken_ns, folder })
    }

    /// Tells whether the folder of sessions has the same names as then.
    pub fn has_names_of(&self, sessions: &Path) -> bool {
        Stamp::of(sessions).is_some_and(|now| now == self.folder) && self.is_settled(&self.folder)
    }

    fn is_settled(&self, stamp: &Stamp) -> bool {
        stamp.settled(self.taken_ns)
    }

    /// Lists its lines, by the files' names.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.text.lines().skip(2).filter_map(|line| {
            let mut parts = line.splitn(5, '\t');
            let mut next = || parts.next();
            Some(Row { file: next()?, id: next()?, engine_id: next()?, engine: next()?, line })
        })
    }

    /// Returns what a line says of a session, if it could be believed of a file with this stamp.
    pub fn glance(&self, row: &Row, path: PathBuf, now: Stamp) -> Option<Glance> {
        let parts: Vec<&str> = row.line.split('\t').collect();
        let stamp = Stamp::read(parts.get(4..7)?)?;
        if parts.len() != PARTS || stamp != now || !self.is_settled(&stamp) {
            return None;
        }
        glance_of(&parts, path)
    }

    /// Tells whether a line may be believed later, as far as the disk's clock goes.
    pub fn may_be_believed(&self, row: &Row) -> bool {
        let parts: Vec<&str> = row.line.splitn(8, '\t').collect();
        let stamp = parts.get(4..7).and_then(Stamp::read);
        row.id.is_empty() || stamp.is_some_and(|stamp| self.is_settled(&stamp))
    }
}

fn glance_of(parts: &[&str], path: PathBuf) -> Option<Glance> {
    let text = |at: usize| parts.get(at).copied().unwrap_or_default();
    let some = |at: usize| Some(text(at).to_owned()).filter(|text| !text.is_empty());
    let hours = |at: usize| match text(at) {
        "" => Some(None),
        digits => digits.parse().ok().map(|hundredths| Some(Hours(hundredths))),
    };
    let moment = |at: usize| {
        Some(Moment { unix_ms: text(at).parse().ok()?, offset_min: text(at + 1).parse().ok()? })
    };
    let flags: u8 = text(16).parse().ok()?;
    Some(Glance {
        path,
        id: text(1).to_owned(),
        name: text(7).to_owned(),
        engine_id: some(2),
        engine: some(3),
        hours: hours(8)?,
        started: moment(9)?,
        last: moment(11)?,
        day: some(13),
        entries: text(14).parse().ok()?,
        next_check: hours(15)?,
        signed: flags & 1 > 0,
        sealed: flags & 2 > 0,
        imported: flags & 4 > 0,
        verdict: Verdict::Clean,
        version: None,
    })
}

/// Spells what was seen of a session; `None` where it is to be read each time.
fn line_of(file: &str, glance: &Glance, stamp: Stamp) -> Option<String> {
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let hours = |hours: Option<Hours>| hours.map_or(String::new(), |hours| hours.0.to_string());
    let moment = |at: Moment| format!("{}\t{}", at.unix_ms, at.offset_min);
    let flags =
        u8::from(glance.signed) + 2 * u8::from(glance.sealed) + 4 * u8::from(glance.imported);
    let line = [
        file.to_owned(),
        glance.id.clone(),
        text(&glance.engine_id),
        text(&glance.engine),
        stamp.words(),
        glance.name.clone(),
        hours(glance.hours),
        moment(glance.started),
        moment(glance.last),
        text(&glance.day),
        glance.entries.to_string(),
        hours(glance.next_check),
        flags.to_string(),
    ]
    .join("\t");
    let sound = glance.verdict == Verdict::Clean && !glance.id.is_empty();
    // A tab or line end inside a text would make other parts of it; an empty text none at all.
    let whole = line.matches('\t').count() + 1 == PARTS && !line.contains(['\n', '\r']);
    let texts = [&glance.engine_id, &glance.engine, &glance.day];
    let told = texts.into_iter().flatten().all(|text| !text.is_empty());
    (sound && whole && told).then_some(line)
}

/// An index on its way; it is begun before the files are read, so that the disk's own clock tells
/// what was changed while they were.
pub struct Making {
    beside: PathBuf,
    place: PathBuf,
    file: File,
    taken_ns: i128,
    folder: Stamp,
}

impl Making {
    /// Begins an index; `None` where none can be kept: that harms nothing.
    pub fn begin(folder: &Folder) -> Option<Making> {
        let cache = folder.cache();
        make_folder(&cache).ok()?;
        let place = cache.join(NAME);
        let beside = cache.join(format!("{NAME}.{}.new", new_id(0)));
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        for_one_user(&mut options);
        let file = options.open(&beside).ok()?;
        let taken_ns = file.metadata().ok().map(|about| Stamp::from(&about).modified_ns);
        let stamp = Stamp::of(&folder.sessions());
        let (Some(taken_ns), Some(stamp)) = (taken_ns, stamp) else {
            let _ = std::fs::remove_file(&beside);
            return None;
        };
        Some(Making { beside, place, file, taken_ns, folder: stamp })
    }

    /// Puts the index in place of the old one, whole. Nothing waits for the disk: one that was cut
    /// off does not fit its hash, and is made again.
    pub fn finish(mut self, seen: &BTreeMap<PathBuf, Option<(Glance, Stamp)>>) {
        let mut text = format!("{HEAD}\n{}\t{}\n", self.taken_ns, self.folder.words());
        for (path, found) in seen {
            let Some(file) = path.file_name().and_then(|name| name.to_str()) else { return };
            if file.contains(['\t', '\n', '\r']) {
                return;
            }
            let line = found.as_ref().and_then(|(glance, stamp)| line_of(file, glance, *stamp));
            text += &line.unwrap_or_else(|| format!("{file}\t\t\t"));
            text.push('\n');
        }
        let sum = hex_of_sha256(text.as_bytes(), SUM / 2);
        text += &sum;
        if self.file.write_all(text.as_bytes()).is_ok() {
            // That it cannot be put in place harms nothing.
            let _ = std::fs::rename(&self.beside, &self.place);
        }
    }
}

impl Drop for Making {
    fn drop(&mut self) {
        // Not there any more where all went well.
        let _ = std::fs::remove_file(&self.beside);
    }
}
