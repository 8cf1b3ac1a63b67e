//! What reading a journal found, in words.

use crate::domain::plain::plain;
use crate::store::shown;
use std::fmt;
use std::mem::discriminant;
use std::path::PathBuf;

/// How whole a journal is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Whole to the last byte.
    Clean,
    /// The last write did not get to its end; everything before it is whole.
    CutOff(Tail),
    /// Something was lost or changed in the middle; what is good is shown, nothing is added.
    Damaged(Damage),
    /// Another program re-ended the lines; the entries are whole.
    LineEndingsChanged,
    /// Not one whole entry: a session that never got its first line.
    EmptyStart,
    /// No session at all.
    NotASession(Option<Sign>),
    /// Written by a newer program in a way that this one must not read.
    Newer {
        /// The major version of the file.
        version: u32,
        /// What a reader must understand.
        needs: Vec<String>,
        /// Whether the entry that says so has the right hash.
        fits: bool,
    },
    /// A newer program wrote an entry that this one does not know.
    UnknownKind {
        /// The entry's place.
        seq: u64,
        /// Its kind.
        kind: String,
    },
    /// An entry that no sound program of this version writes.
    Faulty {
        /// The entry's place.
        seq: u64,
        /// What is wrong with it.
        why: String,
    },
}

/// The bytes after the last whole entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tail {
    /// Where they begin.
    pub at: u64,
    /// How many there are.
    pub len: u64,
    /// What can be read of them, safe to show.
    pub text: String,
    /// Whether they look like one complete line, which is more like damage than a cut.
    pub complete: bool,
    /// The file in which the session was saved, where that has the whole entry: there it counts.
    pub whole_in: Option<PathBuf>,
}

/// Damage before the end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// The first byte that does not fit.
    pub at: u64,
    /// Its line, from 1.
    pub line: u64,
    /// Places of entries that are gone.
    pub missing: Vec<u64>,
    /// What was seen.
    pub signs: Vec<Sign>,
}

/// What damage looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Bytes that are no record.
    Unreadable,
    /// A byte-order mark was put in front.
    ByteOrderMark,
    /// The file was turned into UTF-16.
    Utf16,
    /// Marks of a merge.
    ConflictMarks,
    /// A blank line was put in.
    BlankLine,
    /// A line was indented.
    Indented,
    /// The first line says another format than the one that its hash is of.
    FormatChanged,
    /// This entry stands there again.
    Repeated(u64),
    /// This entry stands in the wrong place.
    OutOfOrder(u64),
    /// This entry does not continue the one before it: lines are gone, or it is of another file.
    Foreign(u64),
    /// The bytes that this `recover` entry set aside were changed.
    SetAsideChanged(u64),
}

impl Tail {
    /// Says that the last entry did not get to its end, and what it was about as far as that can be
    /// read. Its figures are left out: one may be of the valve that is gauged next.
    pub fn told(&self) -> String {
        format!("its {}", self.words())
    }

    fn words(&self) -> String {
        let what = self.what();
        if let Some(file) = &self.whole_in {
            let (len, file) = (self.len, shown(file));
            return format!(
                "last entry is {what} here ({len} bytes); it is whole in {file}, and counts there"
            );
        }
        let was = self.was().map_or(String::new(), |was| format!("; it was {was}"));
        format!("last entry is {what} ({} bytes){was}: what it said does not count", self.len)
    }

    fn what(&self) -> &'static str {
        if self.complete { "damaged or cut off" } else { "cut off" }
    }

    /// Tells whether it was the end of the session: then nothing is left that could be gone on with.
    pub fn is_end(&self) -> bool {
        self.member("k") == Some("seal")
    }

    /// Tells whether what it said may have opened something at the engine, above all a nut: of what cannot be
    /// read nobody knows.
    pub fn may_have_opened(&self) -> bool {
        const OPEN: [&str; 6] = ["nut", "skip", "part", "unload", "work", "correct"];
        self.member("k").is_none_or(|kind| OPEN.contains(&kind))
    }

    fn was(&self) -> Option<String> {
        let kind = self.member("k")?;
        let words = match kind {
            "reading" => "a reading",
            "nut" => "about the nut",
            "part" => "about a part",
            "unload" => "about unloading",
            "release" => "about letting go",
            "correct" => "a correction",
            "remark" => "a remark",
            "caution" => "a caution's answer",
            "work" => "other work",
            "off" => "about covers taken off",
            "on" => "about covers put on",
            "proof" | "at" => "about where the crank is",
            "sign" => "the signature",
            "seal" => "the end of the session",
            other => return Some(format!("of the kind {}", plain(other))),
        };
        let valve = || Some(format!("{} {}", self.member("cylinder")?, self.member("kind")?));
        Some(valve().map_or(words.to_owned(), |valve| format!("{words} of {}", plain(&valve))))
    }

    /// Reads a member that is there to its end.
    fn member(&self, name: &str) -> Option<&str> {
        let (_, rest) = self.text.split_once(&format!("\"{name}\":"))?;
        let rest = rest.strip_prefix('"').unwrap_or(rest);
        rest.split_once(['"', ',', '}']).map(|(value, _)| value)
    }
}

impl Verdict {
    /// Tells whether entries may be added to the journal.
    pub fn may_append(&self) -> bool {
        match self {
            Verdict::Clean | Verdict::CutOff(_) => true,
            Verdict::Damaged(_)
            | Verdict::LineEndingsChanged
            | Verdict::EmptyStart
            | Verdict::NotASession(_)
            | Verdict::Newer { .. }
            | Verdict::UnknownKind { .. }
            | Verdict::Faulty { .. } => false,
        }
    }

    /// Tells whether something of the file was lost or changed (`verify` then exits 1).
    pub fn is_damage(&self) -> bool {
        match self {
            Verdict::Damaged(_)
            | Verdict::LineEndingsChanged
            | Verdict::EmptyStart
            | Verdict::NotASession(_)
            | Verdict::CutOff(_)
            | Verdict::Faulty { .. }
            | Verdict::Newer { fits: false, .. } => true,
            Verdict::Clean | Verdict::Newer { fits: true, .. } | Verdict::UnknownKind { .. } => {
                false
            }
        }
    }

    /// Tells whether only a newer program can say whether the file is whole.
    pub fn is_of_a_newer_program(&self) -> bool {
        matches!(self, Verdict::Newer { .. } | Verdict::UnknownKind { .. })
    }

    /// Tells whether nothing of the file can be shown here.
    pub fn hides_all(&self) -> bool {
        matches!(self, Verdict::EmptyStart | Verdict::NotASession(_) | Verdict::Newer { .. })
    }

    /// Says it with all that can be read of a broken end, its figures too: for `verify` alone, which is
    /// asked for that.
    pub fn in_full(&self) -> String {
        let Verdict::CutOff(tail) = self else { return self.to_string() };
        let Tail { at, len, text, whole_in, .. } = tail;
        let readable = if text.is_empty() { String::new() } else { format!(": {text}") };
        let counts = whole_in.as_ref().map_or_else(String::new, |file| {
            format!("; it is whole in {}, and counts there", shown(file))
        });
        format!("the last entry is {}: {len} bytes at byte {at}{readable}{counts}", tail.what())
    }

    /// Says what can be done.
    pub fn hint(&self) -> &'static str {
        match self {
            Verdict::Clean => "nothing needs doing",
            Verdict::CutOff(tail) if tail.is_end() => {
                "the session had ended and its last line is broken: look for a sound copy of it (cowlside \
                 take COPY); going on with it sets the broken line aside, kept as it is"
            }
            Verdict::CutOff(_) => {
                "go on with the session: the broken end is set aside, kept as it is"
            }
            Verdict::Damaged(_) => {
                "keep the file as it is and look for another copy of it; what is good can be read"
            }
            Verdict::LineEndingsChanged => {
                "look for a copy that was not sent through a text tool; this one can be read"
            }
            Verdict::EmptyStart => {
                "where entries were in it, look for a sound copy of it (cowlside take COPY), or cowlside \
                 restore BACKUP; else a start failed here, nothing is lost, and the file may be removed"
            }
            Verdict::NotASession(_) => "name a session file",
            Verdict::Newer { fits: false, .. } => {
                "look for a sound copy of it, and use the newer version of the program for that"
            }
            Verdict::Newer { fits: true, .. } | Verdict::UnknownKind { .. } => {
                "use the newer version of the program for this session"
            }
            Verdict::Faulty { .. } => "keep the file as it is; start a new session to go on",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Verdict::Clean => write!(f, "whole"),
            Verdict::CutOff(tail) => write!(f, "the {}", tail.words()),
            Verdict::Damaged(damage) => write!(f, "{damage}"),
            Verdict::LineEndingsChanged => {
                write!(f, "the line endings were changed by another program")
            }
            Verdict::EmptyStart => write!(f, "empty start: the session has no whole entry"),
            Verdict::NotASession(None) => write!(f, "this is no session file"),
            Verdict::NotASession(Some(sign)) => write!(f, "this is no session file: {sign}"),
            Verdict::Newer { version, needs, fits } => {
                write!(f, "written by a newer version; needs format {version}")?;
                needs.iter().try_for_each(|need| write!(f, ", {}", plain(need)))?;
                let damaged = "; and its first entry is damaged or cut off: it has not the hash that it \
                               must have";
                if *fits { Ok(()) } else { f.write_str(damaged) }
            }
            Verdict::UnknownKind { seq, kind } => {
                write!(
                    f,
                    "entry {seq} is of a kind that only a newer version knows: {}",
                    plain(kind)
                )
            }
            Verdict::Faulty { seq, why } => {
                write!(f, "entry {seq} was written by a faulty or newer program: {}", plain(why))
            }
        }
    }
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "damaged at line {} (byte {}): ", self.line, self.at)?;
        match self.missing.as_slice() {
            [] => write!(f, "no entry is missing")?,
            [one] => write!(f, "entry {one} is missing")?,
            many => write!(f, "entries {} are missing", spans(many))?,
        }
        let mut told: Vec<Sign> = Vec::new();
        for &sign in &self.signs {
            let alike = |other: &Sign| discriminant(other) == discriminant(&sign);
            if told.iter().any(alike) {
                continue;
            }
            told.push(sign);
            let mut entries: Vec<u64> =
                self.signs.iter().filter(|other| alike(other)).filter_map(Sign::entry).collect();
            entries.sort_unstable();
            match entries.as_slice() {
                [] | [_] => write!(f, "; {sign}")?,
                many => write!(f, "; entries {} {}", spans(many), sign.of_many())?,
            }
        }
        Ok(())
    }
}

impl Sign {
    /// The entry that it is about.
    fn entry(&self) -> Option<u64> {
        match self {
            Sign::Repeated(seq)
            | Sign::OutOfOrder(seq)
            | Sign::Foreign(seq)
            | Sign::SetAsideChanged(seq) => Some(*seq),
            Sign::Unreadable
            | Sign::ByteOrderMark
            | Sign::Utf16
            | Sign::ConflictMarks
            | Sign::BlankLine
            | Sign::Indented
            | Sign::FormatChanged => None,
        }
    }

    /// What is the matter with several entries, after their numbers.
    fn of_many(self) -> &'static str {
        match self {
            Sign::Repeated(_) => "stand there again",
            Sign::OutOfOrder(_) => "stand in the wrong place",
            Sign::Foreign(_) => "do not continue those before them",
            Sign::SetAsideChanged(_) => "had set bytes aside that were changed",
            Sign::Unreadable
            | Sign::ByteOrderMark
            | Sign::Utf16
            | Sign::ConflictMarks
            | Sign::BlankLine
            | Sign::Indented
            | Sign::FormatChanged => "",
        }
    }
}

impl fmt::Display for Sign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Sign::Unreadable => write!(f, "bytes that are no entry"),
            Sign::ByteOrderMark => {
                write!(f, "a byte-order mark was put in front by another program")
            }
            Sign::Utf16 => write!(f, "it was turned into UTF-16 by another program"),
            Sign::ConflictMarks => write!(f, "marks of a merge were put in by another program"),
            Sign::BlankLine => write!(f, "a blank line was put in"),
            Sign::Indented => write!(f, "a line was indented by another program"),
            Sign::FormatChanged => write!(
                f,
                "what its first line says of its format was changed: by its hash it is of this one"
            ),
            Sign::Repeated(seq) => write!(f, "entry {seq} stands there again"),
            Sign::OutOfOrder(seq) => write!(f, "entry {seq} stands in the wrong place"),
            Sign::Foreign(seq) => write!(f, "entry {seq} does not continue the one before it"),
            Sign::SetAsideChanged(seq) => {
                write!(f, "the bytes that entry {seq} had set aside were changed")
            }
        }
    }
}

/// Spells ascending numbers as "3-5, 9".
pub(in crate::store) fn spans(numbers: &[u64]) -> String {
    let together = |a: &u64, b: &u64| a.checked_add(1) == Some(*b);
    let spelled = numbers.chunk_by(together).map(|run| match run {
        [first, .., last] => format!("{first}-{last}"),
        _ => run.iter().map(u64::to_string).collect(),
    });
    spelled.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn damage_is_told_with_the_exact_numbers_that_are_missing() {
        let damage = Damage {
            at: 812,
            line: 4,
            missing: vec![3, 4, 5, 9],
            signs: vec![Sign::Unreadable, Sign::Repeated(7)],
        };
        assert_eq!(
            Verdict::Damaged(damage).to_string(),
            "damaged at line 4 (byte 812): entries 3-5, 9 are missing; \
             bytes that are no entry; entry 7 stands there again"
        );
    }

    #[test]
    fn the_figures_of_a_broken_end_are_for_verify_alone() {
        let text =
            r#"{"seq":9,"k":"reading","d":{"cylinder":3,"kind":"exhaust","as":"0.15"#.to_owned();
        let cut = Verdict::CutOff(Tail {
            at: 812,
            len: 70,
            text: text.clone(),
            complete: false,
            whole_in: None,
        });
        assert_eq!(
            cut.to_string(),
            "the last entry is cut off (70 bytes); it was a reading of 3 exhaust: what it said does \
             not count"
        );
        assert_eq!(
            cut.in_full(),
            format!("the last entry is cut off: 70 bytes at byte 812: {text}")
        );
    }

    #[test]
    fn many_entries_with_the_same_fault_are_told_in_one_breath() {
        let signs = (3..60).map(Sign::OutOfOrder).chain([Sign::Foreign(70), Sign::Repeated(2)]);
        let damage = Damage { at: 0, line: 1, missing: vec![], signs: signs.collect() };
        assert_eq!(
            damage.to_string(),
            "damaged at line 1 (byte 0): no entry is missing; entries 3-59 stand in the wrong place; \
             entry 70 does not continue the one before it; entry 2 stands there again"
        );
    }

    #[test]
    fn words_of_a_newer_program_are_shown_but_cannot_steer_the_terminal() {
        let newer =
            Verdict::Newer { version: 2, needs: vec!["sealed\u{1b}[2J".to_owned()], fits: true };
        assert_eq!(
            newer.to_string(),
            "written by a newer version; needs format 2, sealed\u{fffd}[2J"
        );
    }
}
