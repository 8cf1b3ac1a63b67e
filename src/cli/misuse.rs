//! What is wrong with a value on the command line, in our own words instead of the parser's.

use super::fail::Fail;
use crate::domain::plain::quoted;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::error::Error;

/// Words an error about a value; `None` for the errors that the parser words well.
pub fn words(error: &clap::Error) -> Option<Fail> {
    let context = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        _ => None,
    };
    match error.kind() {
        ErrorKind::InvalidUtf8 => Some(Fail::usage(
            "an argument holds bytes that are not UTF-8 text",
            "type it anew; give a file with such a name another name first",
        )),
        ErrorKind::ValueValidation | ErrorKind::InvalidValue => {
            let flag = context(ContextKind::InvalidArg)?;
            let found = context(ContextKind::InvalidValue).unwrap_or_default();
            let must = match (error.source(), error.get(ContextKind::ValidValue)) {
                (Some(must), _) => must.to_string(),
                (None, Some(ContextValue::Strings(known))) if !known.is_empty() => {
                    format!("be one of: {}", known.join(", "))
                }
                (None, _) => "be given".to_string(),
            };
            Some(Fail::usage(
                format!("`{flag}` is \"{}\", but must {must}", quoted(&found)),
                "put that right; `--help` behind the command says what it takes",
            ))
        }
        ErrorKind::UnknownArgument => {
            let flag = context(ContextKind::InvalidArg)?;
            let number = flag.strip_prefix('-')?.starts_with(|one: char| one.is_ascii_digit());
            number.then(|| {
                Fail::usage(
                    format!("`{}` is no option of this command", quoted(&flag)),
                    "only --rod takes a number below zero, as in --rod=\"-0.5 mm\"; else leave the minus out",
                )
            })
        }
        _ => None,
    }
}
