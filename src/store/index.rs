//! What the files of a folder looked like when they were last read, so that a large shop is listed
//! at once: a file in `cache/`, which may go at any time.
//!
//! It is believed only while the folder's names are as they were, and of a file only while that has
//! the same length and times (on Unix also that of its last change, which no program sets back).
//! It has sections, so that what is asked of one engine does not read the whole shop; each fits its
//! own hash. It is put in place whole, and that it cannot be written harms nothing.

use super::folder::{Folder, make_folder};
use super::hash::{hex_of_sha256, new_id};
use super::journal::storage::{for_one_user, open_ordinary};
use super::replace::{hold, is_on_its_way, sweep_unheld};
use std::collections::BTreeMap;
use std::fs::{File, Metadata, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// The first words; an index of another version of the program is made anew.
const HEAD: &str = concat!("cowlside index 10 ", env!("CARGO_PKG_VERSION"));
/// Digits of the length of the part before the sections.
const DIGITS: usize = 10;
/// Most bytes of an index.
const FILE_MAX: usize = 256 * 1024 * 1024;
/// Most bytes that are made room for before they are there.
const READ_AT_ONCE: usize = 4 * 1024 * 1024;
/// Bytes of a hash that are kept.
const SUM: usize = 16;
/// A file changed so shortly before it was read may change again within the same tick of the
/// disk's clock (two seconds on the coarsest disks): it is read again next time.
const TICK_NS: i128 = 2_000_000_000;

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

    fn newest(&self) -> i128 {
        self.modified_ns.max(self.changed_ns)
    }

    /// Spells it in three parts.
    pub fn words(&self) -> String {
        format!("{}\t{}\t{}", self.length, self.modified_ns, self.changed_ns)
    }

    /// Reads its three parts.
    pub fn read(parts: &[&str]) -> Option<Stamp> {
        let [length, modified, changed] = parts else { return None };
        // All times until the year 2262 fit the smaller type, which is read much faster.
        let ns = |text: &str| text.parse::<i64>().map(i128::from).or_else(|_| text.parse()).ok();
        Some(Stamp {
            length: length.parse().ok()?,
            modified_ns: ns(modified)?,
            changed_ns: ns(changed)?,
        })
    }
}

/// An index whose beginning was read.
pub struct Index {
    file: File,
    taken_ns: i128,
    folder: Stamp,
    newest_ns: i128,
    sections: BTreeMap<String, (u64, usize, String)>,
}

impl Index {
    /// Reads the beginning of an index; `None` where there is none that can be believed.
    pub fn open(folder: &Folder, name: &str) -> Option<Index> {
        let path = folder.cache().join(name);
        let (mut file, _) = open_ordinary(OpenOptions::new().read(true), &path).ok()?;
        let first = read_some(&mut file, HEAD.len() + DIGITS + 2)?;
        let digits = first.strip_prefix(HEAD)?.strip_prefix('\t')?.strip_suffix('\n')?;
        let length: usize = digits.trim_start().parse().ok()?;
        let head = read_some(&mut file, length)?;
        let (body, sum) = head.split_at_checked(length.checked_sub(2 * SUM)?)?;
        if hex_of_sha256(body.as_bytes(), SUM) != sum {
            return None;
        }
        let begin = u64::try_from(first.len() + length).ok()?;
        let mut lines = body.lines();
        let parts: Vec<&str> = lines.next()?.split('\t').collect();
        let [taken, newest, stamp @ ..] = parts.as_slice() else { return None };
        let mut sections = BTreeMap::new();
        for line in lines {
            let mut parts = line.splitn(4, '\t');
            let mut next = || parts.next();
            let (at, length, sum) = (next()?.parse::<u64>().ok()?, next()?.parse().ok()?, next()?);
            sections.insert(next()?.to_owned(), (begin.checked_add(at)?, length, sum.to_owned()));
        }
        let (taken_ns, newest_ns) = (taken.parse().ok()?, newest.parse().ok()?);
        Some(Index { file, taken_ns, folder: Stamp::read(stamp)?, newest_ns, sections })
    }

    /// Tells whether the folder still has the names that it had, and nothing in it was changed when
    /// the index was made.
    pub fn is_of(&self, folder: &Path) -> bool {
        let same = Stamp::of(folder).is_some_and(|now| now == self.folder);
        same && self.is_settled(self.folder.newest().max(self.newest_ns))
    }

    /// Tells whether a file that had this stamp may be believed to be as it was read.
    pub fn believes(&self, then: &Stamp, now: &Stamp) -> bool {
        then == now && self.is_settled(then.newest())
    }

    fn is_settled(&self, newest_ns: i128) -> bool {
        newest_ns < self.taken_ns.saturating_sub(TICK_NS)
    }

    /// Reads the sections whose key is wanted; `None` where one does not fit its hash.
    pub fn lines(&mut self, wanted: impl Fn(&str) -> bool) -> Option<String> {
        let mut text = String::new();
        for (_, (at, length, sum)) in self.sections.iter().filter(|(key, _)| wanted(key)) {
            self.file.seek(SeekFrom::Start(*at)).ok()?;
            let section = read_some(&mut self.file, *length)?;
            if hex_of_sha256(section.as_bytes(), SUM) != *sum {
                return None;
            }
            text += &section;
        }
        Some(text)
    }
}

fn read_some(file: &mut File, length: usize) -> Option<String> {
    if length > FILE_MAX {
        return None;
    }
    let mut bytes = Vec::with_capacity(length.min(READ_AT_ONCE));
    file.take(u64::try_from(length).ok()?).read_to_end(&mut bytes).ok()?;
    String::from_utf8(bytes).ok().filter(|text| text.len() == length)
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
    /// Begins the index of a folder; `None` where none can be kept.
    pub fn begin(folder: &Folder, name: &str, of: &Path) -> Option<Making> {
        let cache = folder.cache();
        make_folder(&cache).ok()?;
        let beside = cache.join(format!("{name}.{}.new", new_id(0)));
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        for_one_user(&mut options);
        let file = options.open(&beside).ok()?;
        hold(&file);
        sweep_unheld(&cache, is_on_its_way);
        let taken_ns = file.metadata().ok().map(|about| Stamp::from(&about).modified_ns);
        let (Some(taken_ns), Some(stamp)) = (taken_ns, Stamp::of(of)) else {
            let _ = std::fs::remove_file(&beside);
            return None;
        };
        Some(Making { beside, place: cache.join(name), file, taken_ns, folder: stamp })
    }

    /// Puts the index in place of the old one. Nothing waits for the disk: one that was cut off does
    /// not fit its hashes, and is made again.
    pub fn finish(mut self, sections: &BTreeMap<String, String>, stamps: &[Stamp]) {
        let newest = stamps.iter().map(Stamp::newest).max().unwrap_or(i128::MIN);
        let mut head = format!("{}\t{newest}\t{}\n", self.taken_ns, self.folder.words());
        let mut at = 0;
        for (key, lines) in sections {
            let sum = hex_of_sha256(lines.as_bytes(), SUM);
            head += &format!("{at}\t{}\t{sum}\t{key}\n", lines.len());
            at += lines.len();
        }
        head += &hex_of_sha256(head.as_bytes(), SUM);
        let first = format!("{HEAD}\t{:>DIGITS$}\n", head.len());
        let parts = [&first, &head].into_iter().chain(sections.values());
        let whole: String = parts.map(String::as_str).collect();
        if whole.len() < FILE_MAX && self.file.write_all(whole.as_bytes()).is_ok() {
            // That it cannot be put in place harms nothing.
            let _ = std::fs::rename(&self.beside, &self.place);
        }
    }
}

impl Drop for Making {
    fn drop(&mut self) {
        // It has its name already where all went well.
        let _ = std::fs::remove_file(&self.beside);
    }
}

/// Tells whether a text can be a part of a line: a tab or line end would make several of it.
pub fn is_part(text: &str) -> bool {
    !text.contains(['\t', '\n', '\r'])
}
