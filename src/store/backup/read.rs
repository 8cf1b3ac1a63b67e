//! Reads a backup: every line, name, length and hash is checked before anybody believes it.

use super::{FILES_MAX, FIRST, FORMAT, Head, Kind, LINE_BESIDE, Line, VERSION, last_line};
use crate::domain::plain::quoted;
use crate::store::StoreError;
use crate::store::hash::{Running, hex_of_sha256};
use crate::store::journal::storage::open_ordinary;
use crate::store::progress::Progress;
use crate::store::words::json_words;
use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Read};
use std::path::Path;

/// One file as it stands in the backup.
pub(super) struct Item {
    /// What it is.
    pub kind: Kind,
    /// Its path in the data folder.
    pub path: String,
    /// What stands in it.
    pub bytes: Vec<u8>,
    /// The hash of that.
    pub sha256: String,
}

/// What a backup says of itself, and the hash of all of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whole {
    /// When it was made.
    pub at: String,
    /// The program that made it.
    pub program: String,
    /// How many files are in it.
    pub files: u64,
    /// How many bytes they have together.
    pub bytes: u64,
    /// Its hash, in hex.
    pub hash: String,
}

/// Reads the whole backup and hands over each file in turn; `told` is how far it is, and of what.
///
/// # Errors
/// Anything in it that is not as it must be, what `each` refuses, or what the system says.
pub(super) fn read(
    path: &Path,
    told: (&Progress, &'static str),
    each: &mut dyn FnMut(Item) -> Result<(), StoreError>,
) -> Result<Whole, StoreError> {
    let (file, _) = open_ordinary(OpenOptions::new().read(true), path)?;
    let mut reader = Reader {
        path,
        input: BufReader::new(file),
        hash: Running::default(),
        number: 0,
        version: 0,
    };
    let head = reader.head()?;
    reader.version = head.version;
    let mut names = BTreeSet::new();
    let mut bytes = 0;
    let all = usize::try_from(head.files).unwrap_or(usize::MAX);
    for done in 0..all {
        told.0.so_far(told.1, done, all);
        let item = reader.item()?;
        bytes += item.bytes.len() as u64;
        if !names.insert(item.path.clone()) {
            return Err(reader.wrong(format!("\"{}\" stands there twice", item.path)));
        }
        each(item)?;
    }
    if bytes != head.bytes {
        let must = head.bytes;
        return Err(reader.wrong(format!("the files have {bytes} bytes, and line 1 says {must}")));
    }
    let hash = reader.end()?;
    Ok(Whole { at: head.at, program: head.program, files: head.files, bytes, hash })
}

struct Reader<'a> {
    path: &'a Path,
    input: BufReader<File>,
    hash: Running,
    number: u64,
    version: u32,
}

impl Reader<'_> {
    fn wrong(&self, what: impl std::fmt::Display) -> StoreError {
        let why = format!("line {}: {what}", self.number);
        StoreError::BadBackup { path: self.path.to_owned(), why, newer: false }
    }

    /// Reads a line with its end, `most` bytes at most.
    fn line(&mut self, most: u64) -> Result<Vec<u8>, StoreError> {
        self.number += 1;
        let mut line = Vec::new();
        let read = (&mut self.input).take(most + 1).read_until(b'\n', &mut line);
        read.map_err(StoreError::io("read", self.path))?;
        match line.last() {
            _ if line.len() as u64 > most => {
                Err(self.wrong(format!("it is longer than {most} bytes")))
            }
            Some(b'\n') => Ok(line),
            Some(_) => Err(self.wrong("the file ends within it: it was cut off")),
            None => Err(self.wrong("it is missing: the file was cut off")),
        }
    }

    fn parsed<T: serde::de::DeserializeOwned>(&self, line: &[u8]) -> Result<T, StoreError> {
        let text = std::str::from_utf8(line).map_err(|_| self.wrong("it is no UTF-8 text"))?;
        // Which line of the file it is, is said already.
        let words = |error| json_words(&error, text).trim_start_matches("line 1, ").to_owned();
        serde_json::from_str(text).map_err(|error| self.wrong(words(error)))
    }

    fn head(&mut self) -> Result<Head, StoreError> {
        #[derive(serde::Deserialize)]
        struct Named {
            format: String,
            version: u64,
        }
        let line = self.line(LINE_BESIDE)?;
        if line.first().is_some_and(|first| first.is_ascii() && *first != b'{') {
            return Err(self.wrong("no backup begins so"));
        }
        let named: Named = self.parsed(&line)?;
        if named.format != FORMAT {
            return Err(
                self.wrong(format!("format is \"{}\", no \"{FORMAT}\"", quoted(&named.format)))
            );
        }
        if named.version > u64::from(VERSION) {
            let why = format!("version is {}, and {VERSION} is the newest known", named.version);
            return Err(StoreError::BadBackup { path: self.path.to_owned(), why, newer: true });
        }
        let head: Head = self.parsed(&line)?;
        if head.version < FIRST {
            let what = format!("version is {}, and must be {FIRST} or {VERSION}", head.version);
            return Err(self.wrong(what));
        }
        if head.files > FILES_MAX {
            return Err(self.wrong(format!("{} files, over {FILES_MAX}", head.files)));
        }
        self.hash.add(&line);
        Ok(head)
    }

    fn item(&mut self) -> Result<Item, StoreError> {
        // The longest of all is a session; what its kind may have at most is asked below.
        let line = self.line(LINE_BESIDE + 2 * Kind::Session.most())?;
        if line.starts_with(b"{\"sha256\":") {
            return Err(self.wrong("the end stands here, and line 1 says that more files follow"));
        }
        let Line { path, bytes, sha256, text, hex } = self.parsed(&line)?;
        let is_known = |kind: &Kind| *kind != Kind::SetAside || self.version >= VERSION;
        let Some(kind) = Kind::of(&path).filter(is_known) else {
            return Err(
                self.wrong(format!("\"{}\" is no name of a file of this program", quoted(&path)))
            );
        };
        if bytes > kind.most() {
            let most = kind.most();
            return Err(self.wrong(format!("\"{path}\" has {bytes} bytes, over {most}")));
        }
        let found = match (text, hex) {
            (Some(text), None) => text.into_bytes(),
            (None, Some(hex)) => {
                bytes_of(&hex).ok_or_else(|| self.wrong(format!("\"{path}\": hex is no hex")))?
            }
            (Some(_), Some(_)) | (None, None) => {
                return Err(self.wrong(format!("\"{path}\" must have text or hex, one of them")));
            }
        };
        if found.len() as u64 != bytes {
            let long = found.len();
            return Err(self.wrong(format!("\"{path}\" is {long} bytes long, no {bytes}")));
        }
        if hex_of_sha256(&found, 32) != sha256 {
            return Err(self.wrong(format!("\"{path}\" does not fit its sha256: it was changed")));
        }
        self.hash.add(&line);
        Ok(Item { kind, path, bytes: found, sha256 })
    }

    /// Reads the last line, and that nothing follows; returns the hash of all before it.
    fn end(&mut self) -> Result<String, StoreError> {
        let hash = std::mem::take(&mut self.hash).hex();
        let line = self.line(LINE_BESIDE + 2 * Kind::Session.most())?;
        if !line.starts_with(b"{\"sha256\":") {
            return Err(self.wrong("the end must stand here: line 1 says that no file follows"));
        }
        if line != last_line(&hash).as_bytes() {
            return Err(self.wrong(format!("the lines before it have sha256 {hash}: not the same")));
        }
        let mut more = [0];
        let read = self.input.read(&mut more).map_err(StoreError::io("read", self.path))?;
        self.number += 1;
        if read > 0 { Err(self.wrong("something follows the end")) } else { Ok(hash) }
    }
}

/// Reads lower-case hex.
fn bytes_of(hex: &str) -> Option<Vec<u8>> {
    let half = |digit: u8| match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    };
    let (pairs, rest) = hex.as_bytes().as_chunks::<2>();
    let bytes = pairs.iter().map(|[high, low]| Some(half(*high)? << 4 | half(*low)?));
    if rest.is_empty() { bytes.collect() } else { None }
}
