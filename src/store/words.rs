//! What the system and the JSON reader say, in plain words: no numbers of errors, no words of a
//! parser.

use super::replace::is_of_the_file;
use super::{StoreError, profile_json, shown};
use crate::domain::plain::{plain, quoted};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Says why the system refused.
pub fn cause_words(cause: &io::Error) -> String {
    match cause.kind() {
        ErrorKind::NotFound => "there is no such file or folder".to_string(),
        ErrorKind::PermissionDenied => "its rights do not allow it".to_string(),
        ErrorKind::AlreadyExists => "something of that name is there already".to_string(),
        ErrorKind::StorageFull => "the disk is full".to_string(),
        ErrorKind::QuotaExceeded => "your share of the disk is used up".to_string(),
        ErrorKind::ReadOnlyFilesystem => "the disk can only be read".to_string(),
        ErrorKind::NotADirectory => "a part of the path is a file, no folder".to_string(),
        ErrorKind::IsADirectory => "it is a folder".to_string(),
        _ if is_a_link(cause) => "it is a link, and links are not followed".to_string(),
        ErrorKind::InvalidFilename => "the disk does not take such a name".to_string(),
        ErrorKind::WriteZero => "nothing more could be written".to_string(),
        _ => {
            let said = cause.to_string();
            match said.split_once(" (os error ") {
                Some((words, _)) => words.to_lowercase(),
                None => said,
            }
        }
    }
}

/// Tells whether the system refused to follow a link; its kind has no stable name.
fn is_a_link(cause: &io::Error) -> bool {
    #[cfg(unix)]
    return cause.raw_os_error() == Some(rustix::io::Errno::LOOP.raw_os_error());
    #[cfg(not(unix))]
    {
        let _ = cause;
        false
    }
}

/// Says what to do where the system refused; `doing` is what was tried.
pub fn hint(doing: &str, cause: &io::Error) -> &'static str {
    // What lies there is to be read: another place has it not.
    let reads = matches!(doing, "list" | "read" | "open" | "look at");
    match cause.kind() {
        _ if doing == "write to" && is_a_link(cause) => {
            "move it away: the program makes its own file there; nothing was changed"
        }
        ErrorKind::PermissionDenied if reads => {
            "have its owner give you the right to read it; nothing was changed"
        }
        // Its place is given: no other is asked for.
        ErrorKind::PermissionDenied if matches!(doing, "write to" | "create") => {
            "have its owner give you the right to write there; nothing was changed"
        }
        ErrorKind::NotADirectory if doing == "list" => {
            "move that file away, then do it again; nothing was changed"
        }
        ErrorKind::NotFound => {
            "look whether the name is spelled right, and whether the disk is there"
        }
        ErrorKind::AlreadyExists => "choose another name, or move away what is there",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => "make room, or take another disk",
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "choose a place that you may write to"
        }
        ErrorKind::NotADirectory | ErrorKind::IsADirectory | ErrorKind::InvalidFilename => {
            "name another place"
        }
        _ => "look whether the disk is there, has room and may be written to",
    }
}

/// Writes a path as it is typed in a command.
pub fn as_typed(path: &Path) -> String {
    let path = path.to_string_lossy();
    // It would be taken for an option.
    if path.starts_with('-') { word(&format!("./{path}")) } else { word(&path) }
}

/// Writes a name as the last word of a command, behind the mark that it is no option where it looks so.
pub fn last_word(name: &str) -> String {
    let mark = if name.starts_with('-') { "-- " } else { "" };
    format!("{mark}{}", word(name))
}

/// Writes a command with a name in it, words behind that and options: those stand before a name that looks
/// like one of them, and a mark between.
pub fn command(verb: &str, (name, behind): (&str, &str), options: &str) -> String {
    let gap = |words: &str| if words.is_empty() { String::new() } else { format!(" {words}") };
    let (typed, behind, options) = (word(name), gap(behind), gap(options));
    if name.starts_with('-') {
        format!("cowlside {verb}{options} -- {typed}{behind}")
    } else {
        format!("cowlside {verb} {typed}{behind}{options}")
    }
}

/// Writes an option with its value, joined where that looks like another option.
pub fn option(name: &str, value: &str) -> String {
    let joint = if value.starts_with('-') { '=' } else { ' ' };
    format!("{name}{joint}{}", word(value))
}

/// Writes a text as one word of a command line: in quotation marks where a shell would take it apart.
pub fn word(text: &str) -> String {
    let text = plain(text);
    let bare = |c: char| c.is_alphanumeric() || "-_./@:+,%".contains(c);
    if !text.is_empty() && text.chars().all(bare) {
        text
    } else if text.contains(['"', '$', '`', '\\', '!']) {
        format!("'{}'", text.replace('\'', "'\\''"))
    } else {
        format!("\"{text}\"")
    }
}

/// Names some files.
pub(super) fn paths(paths: &[PathBuf]) -> String {
    paths.iter().map(|path| shown(path)).collect::<Vec<_>>().join(", ")
}

/// Says where settings that could not be read are kept, and what is in use now.
pub(super) fn settings_aside(aside: &Path) -> String {
    format!(
        "the settings could not be read: new ones were begun, and the old ones are kept as {}; \
         names and leaf sets can be copied from there with an editor",
        shown(aside)
    )
}

/// Says of settings that cannot be read what becomes of them.
pub fn settings_unread(fault: &StoreError) -> String {
    let then = match fault {
        StoreError::Newer { .. } => ", and no change of a setting is kept: it is not overwritten",
        fault if is_of_the_file(fault) => {
            "; it is kept under another name when a setting is changed"
        }
        _ => "",
    };
    format!("{fault}; the settings of a new program are in use{then}")
}

/// Says why a small JSON file of the program's own making cannot be read: it is damaged, or a newer
/// program wrote it, whatever else is in it then.
pub(super) fn unread(error: &serde_json::Error, text: &str, path: &Path, known: u32) -> StoreError {
    newer(text, path, known).unwrap_or_else(|| {
        let why = json_words(error, text);
        StoreError::DamagedFile { path: path.to_owned(), why }
    })
}

/// Says of a format that is not the one known here whether it is a newer one.
pub(super) fn other_format(text: &str, path: &Path, known: u32) -> StoreError {
    newer(text, path, known).unwrap_or_else(|| {
        let why = format!("format must be {known}");
        StoreError::DamagedFile { path: path.to_owned(), why }
    })
}

fn newer(text: &str, path: &Path, known: u32) -> Option<StoreError> {
    #[derive(serde::Deserialize)]
    struct Any {
        format: u64,
    }
    let Any { format } = serde_json::from_str(text).ok()?;
    let path = path.to_owned();
    (format > u64::from(known)).then_some(StoreError::Newer { path, format })
}

/// Says what is wrong with a small JSON file of the program's own making, and where.
pub(super) fn json_words(error: &serde_json::Error, text: &str) -> String {
    if let Err(syntax) = profile_json::read(text) {
        return format!("{}: {}", syntax.place, syntax.found);
    }
    let what = member_words(error, text);
    format!("line {}, column {}: {what}", error.line().max(1), error.column().max(1))
}

/// Says what is wrong with an object that stands in one line, and at which of its members.
pub(super) fn line_words(error: &serde_json::Error, text: &str) -> String {
    match profile_json::read(text) {
        Err(syntax) => format!("column {}: {}", syntax.place.column, syntax.found),
        Ok(_) => member_words(error, text),
    }
}

/// Says in our own words what the reader of JSON means by a fault of a member.
fn member_words(error: &serde_json::Error, text: &str) -> String {
    let said = error.to_string();
    // It has its place behind it.
    let said = said.rsplit_once(" at line ").map_or(said.as_str(), |(said, _)| said);
    let named = said.split('`').nth(1).map(quoted).unwrap_or_default();
    let member = member_before(error, text).map(quoted);
    let at = member.map_or(String::new(), |member| format!("`{member}`: "));
    let begins = |words: &str| said.starts_with(words);
    if begins("missing field") {
        format!("`{named}` is missing")
    } else if begins("unknown field") {
        format!("`{named}` is no field that is known here")
    } else if begins("duplicate field") {
        format!("`{named}` is given twice")
    } else if begins("unknown variant") {
        format!("{at}\"{named}\" is no word that is known here")
    } else if begins("a length is over") {
        format!("{at}{said}")
    } else if begins("invalid value: integer") || begins("number out of range") {
        format!("{at}a number that is too great or too small")
    } else if begins("invalid length") {
        format!("{at}a list that is too short or too long")
    } else {
        let wanted = said.rsplit_once(", expected ").map_or("", |(_, wanted)| wanted);
        let found = said.strip_prefix("invalid type: ").unwrap_or_default();
        format!("{at}{} stands where {} must", kind_found(found), kind_wanted(wanted))
    }
}

/// The kind of thing that was met.
fn kind_found(said: &str) -> &'static str {
    let kinds = [
        ("string", "a text"),
        ("integer", "a whole number"),
        ("floating", "a number with decimals"),
        ("boolean", "true or false"),
        ("null", "nothing"),
        ("sequence", "a list"),
        ("map", "an object"),
    ];
    let known = kinds.iter().find(|(theirs, _)| said.starts_with(theirs));
    known.map_or("something else", |(_, ours)| ours)
}

/// The kind of thing that must stand there.
fn kind_wanted(said: &str) -> &'static str {
    let kinds: [(&[&str], &str); 5] = [
        (&["a string", "a borrowed string"], "a text"),
        (&["i8", "i16", "i32", "i64", "u8", "u16", "u32", "u64", "usize"], "a whole number"),
        (&["a boolean"], "true or false"),
        (&["a sequence", "a tuple", "an array"], "a list"),
        (&["struct", "a map", "map"], "an object"),
    ];
    let is = |names: &[&str]| names.iter().any(|name| said.starts_with(name));
    kinds.iter().find(|(names, _)| is(names)).map_or("another kind of value", |(_, ours)| ours)
}

/// Returns the name of the last member before the place of an error.
fn member_before<'a>(error: &serde_json::Error, text: &'a str) -> Option<&'a str> {
    let line = text.split('\n').nth(error.line().checked_sub(1)?)?;
    let before = line.get(..error.column().min(line.len()))?;
    // Within a text a quotation mark stands behind a backslash.
    let ends = before.match_indices("\":").map(|(end, _)| end);
    let end = ends.filter(|&end| !before.get(..end).is_some_and(|b| b.ends_with('\\'))).last()?;
    let name = before.get(..end)?;
    name.get(name.rfind('"')? + 1..)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_looks_like_an_option_stands_behind_all_options_and_a_mark() {
        let hours = |name| command("engine hours", (name, "HOURS"), "--correct");
        assert_eq!(hours("Red tug"), "cowlside engine hours \"Red tug\" HOURS --correct");
        assert_eq!(hours("-odd"), "cowlside engine hours --correct -- -odd HOURS");
        assert_eq!(command("session", ("-odd", ""), ""), "cowlside session -- -odd");
        assert_eq!(
            (option("--of", "a b"), option("--of", "-a")),
            ("--of \"a b\"".into(), "--of=-a".into())
        );
    }

    #[test]
    fn a_refusal_of_the_system_has_words_and_no_number() {
        let mut tried = 0;
        for number in 1..=133 {
            let words = cause_words(&io::Error::from_raw_os_error(number));
            assert!(!words.is_empty() && !words.contains("os error"), "{number}: {words}");
            tried += 1;
        }
        assert_eq!(tried, 133);
        // Without the change of words the number is there: the check can fail.
        assert!(io::Error::from_raw_os_error(5).to_string().contains("os error"));
    }
}
