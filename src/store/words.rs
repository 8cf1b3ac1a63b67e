//! What the system and the JSON reader say, in plain words: no numbers of errors, no words of a
//! parser.

use super::profile_json;
use std::io::{self, ErrorKind};

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

/// Says what is wrong with a small JSON file of the program's own making, and where.
pub(super) fn json_words(error: &serde_json::Error, text: &str) -> String {
    if let Err(syntax) = profile_json::read(text) {
        return format!("{}: {}", syntax.place, syntax.found);
    }
    let said = error.to_string();
    let field = said.split('`').nth(1).unwrap_or_default();
    let what = if said.starts_with("missing field") {
        format!("`{field}` is missing")
    } else if said.starts_with("unknown field") {
        format!("`{field}` is no field that is known here")
    } else if said.starts_with("duplicate field") {
        format!("`{field}` is given twice")
    } else {
        "a value of another kind than must stand there".to_string()
    };
    format!("line {}, column {}: {what}", error.line().max(1), error.column().max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

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
