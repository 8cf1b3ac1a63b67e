//! JSON of which nothing is lost: members in order, duplicates and all, and where each one stands.
//!
//! serde_json reads the text; its plain value keeps the last of two equal members, so the tree is
//! our own. What the members mean is the business of `profile_facts`.

use super::profile_error::Place;
use super::profile_text::{hidden_in, piled_in, quoted};
use crate::domain::profile::ProfileFault;
use crate::domain::units::plain_number;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// A JSON value.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Json {
    /// `null`.
    Null,
    /// `true` or `false`.
    YesNo(bool),
    /// A number; whole numbers of a profile are far below 2^53.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Json>),
    /// An object's members in the order of the file.
    Object(Vec<(String, Json)>),
}

impl Json {
    /// Returns the value as it may be quoted in a message.
    pub(super) fn quoted(&self) -> String {
        match self {
            Json::Null => "null".to_string(),
            Json::YesNo(yes) => yes.to_string(),
            Json::Number(number) => plain_number(*number),
            Json::Text(text) => format!("\"{}\"", quoted(text)),
            Json::List(_) => "a list".to_string(),
            Json::Object(_) => "an object".to_string(),
        }
    }

    /// Goes through all texts and member names: none may hide a character or, with `no_piles`,
    /// make a letter of many signs; no member may stand twice.
    pub(super) fn check_members(&self, path: &str, no_piles: bool) -> Result<(), ProfileFault> {
        let fault = |field: &str, found: String, must: &str| {
            let field = if field.is_empty() { "(the whole file)" } else { field };
            Err(ProfileFault { field: field.to_string(), found, must: must.to_string() })
        };
        match self {
            Json::Null | Json::YesNo(_) | Json::Number(_) => Ok(()),
            Json::Text(text) => match (hidden_in(text), piled_in(text).filter(|_| no_piles)) {
                (Some(code), _) => {
                    fault(path, format!("a text with the hidden character {code}"), "be plain text")
                }
                (None, Some(count)) => fault(
                    path,
                    format!("a letter made of {count} signs"),
                    "have at most 8 a letter",
                ),
                (None, None) => Ok(()),
            },
            Json::List(items) => items
                .iter()
                .enumerate()
                .try_for_each(|(at, item)| item.check_members(&format!("{path}[{at}]"), no_piles)),
            Json::Object(members) => {
                members.iter().enumerate().try_for_each(|(at, (name, value))| {
                    if let Some(code) = hidden_in(name) {
                        let found =
                            format!("an object with the hidden character {code} in a field's name");
                        return fault(path, found, "have plain names");
                    }
                    let path = member_path(path, name);
                    if members[..at].iter().any(|(other, _)| other == name) {
                        return fault(&path, "given twice".to_string(), "be given once");
                    }
                    value.check_members(&path, no_piles)
                })
            }
        }
    }
}

/// Returns the path of an object's member.
pub(super) fn member_path(path: &str, name: &str) -> String {
    let name = quoted(name);
    if path.is_empty() { name } else { format!("{path}.{name}") }
}

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Json, D::Error> {
        deserializer.deserialize_any(Whole)
    }
}

struct Whole;

impl<'de> Visitor<'de> for Whole {
    type Value = Json;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_unit<E>(self) -> Result<Json, E> {
        Ok(Json::Null)
    }
    fn visit_bool<E>(self, yes: bool) -> Result<Json, E> {
        Ok(Json::YesNo(yes))
    }
    fn visit_u64<E>(self, number: u64) -> Result<Json, E> {
        Ok(Json::Number(number as f64))
    }
    fn visit_i64<E>(self, number: i64) -> Result<Json, E> {
        Ok(Json::Number(number as f64))
    }
    fn visit_f64<E>(self, number: f64) -> Result<Json, E> {
        Ok(Json::Number(number))
    }
    fn visit_str<E>(self, text: &str) -> Result<Json, E> {
        Ok(Json::Text(text.to_string()))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Json, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = list.next_element()? {
            items.push(item);
        }
        Ok(Json::List(items))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut object: A) -> Result<Json, A::Error> {
        let mut members = Vec::new();
        while let Some(member) = object.next_entry()? {
            members.push(member);
        }
        Ok(Json::Object(members))
    }
}

/// A text that is not JSON: where, what stands there, what to do.
pub(super) struct Syntax {
    pub(super) place: Place,
    pub(super) found: String,
    pub(super) hint: String,
}

/// What serde_json says, and what we say; the first that fits counts.
const WORDS: [(&str, &str, &str); 13] = [
    (
        "EOF",
        "it ends too early",
        "Close every text, list and object, or fetch the whole file again.",
    ),
    ("trailing comma", "a comma before the closing bracket", "Take out the last comma."),
    ("trailing characters", "something after the end", "Take out what follows the last `}`."),
    (
        "control character",
        "a line break or control character inside a text",
        "Keep each text on one line; close it with a double quote.",
    ),
    ("invalid escape", "an unknown sign after a backslash", "Write a backslash as `\\\\`."),
    (
        "lone leading surrogate",
        "half of a `\\u` pair",
        "Write the character itself instead of `\\u` codes.",
    ),
    (
        "unexpected end of hex escape",
        "half of a `\\u` pair",
        "Write the character itself instead of `\\u` codes.",
    ),
    (
        "invalid unicode code point",
        "half of a `\\u` pair",
        "Write the character itself instead of `\\u` codes.",
    ),
    ("number out of range", "a number too large to be meant", "Correct the number."),
    (
        "recursion limit",
        "lists or objects nested too deeply",
        "Compare the file with a built-in profile: `cowlside profiles show flat-four`.",
    ),
    (
        "key must be a string",
        "a field's name without double quotes",
        "Put the field's name in double quotes.",
    ),
    (
        "invalid number",
        "a number that JSON does not know",
        "Write numbers as 0.5 or 12: no plus sign, no leading zero, a digit on both sides of the point.",
    ),
    ("expected `:`", "no colon after a field's name", "Write a field as `\"name\": value`."),
];

/// Reads a text.
pub(super) fn read(text: &str) -> Result<Json, Syntax> {
    serde_json::from_str(text).map_err(|error| {
        let place = place_of(&error, text);
        let said = error.to_string();
        let sign = sign_at(text, place);
        if said.starts_with("key must be") && sign.is_some_and(|sign| sign.is_ascii_digit()) {
            let found = "a digit where a field's name must stand".to_string();
            let hint = "Write decimal numbers with a point: 0.5, not 0,5.".to_string();
            return Syntax { place: in_characters(text, place), found, hint };
        }
        let known = WORDS.iter().find(|(theirs, ..)| said.starts_with(theirs));
        let (found, hint) = known.map_or_else(
            || stray(sign),
            |(_, found, hint)| ((*found).to_string(), (*hint).to_string()),
        );
        Syntax { place: in_characters(text, place), found, hint }
    })
}

/// Returns the place of an error, its column counted in bytes; a line break belongs to the line it ends.
fn place_of(error: &serde_json::Error, text: &str) -> Place {
    let (line, column) = (error.line().max(1), error.column());
    if column > 0 || line == 1 {
        return Place { line, column: column.max(1) };
    }
    let ended = text.split('\n').nth(line - 2).unwrap_or_default();
    Place { line: line - 1, column: ended.len() + 1 }
}

/// Returns the sign at a place whose column counts bytes, as serde_json's does.
fn sign_at(text: &str, place: Place) -> Option<char> {
    let line = text.split('\n').nth(place.line.saturating_sub(1))?;
    line.get(place.column.saturating_sub(1)..)?.chars().next()
}

/// Counts the column in characters instead of bytes.
fn in_characters(text: &str, place: Place) -> Place {
    let line = text.split('\n').nth(place.line.saturating_sub(1));
    let before = line.and_then(|line| line.get(..place.column.saturating_sub(1)));
    before.map_or(place, |before| Place { column: before.chars().count() + 1, ..place })
}

/// Words a sign that stands where none of its kind may.
fn stray(sign: Option<char>) -> (String, String) {
    let hint = match sign {
        Some('\'' | '“' | '”' | '„' | '‘' | '’') => {
            "Put texts in straight double quotes."
        }
        Some('/' | '#') => "Take out the comment: JSON has none.",
        Some('+' | '.') => {
            "Write numbers as 0.5 or 12: no plus sign, a digit on both sides of the point."
        }
        Some('N' | 'I' | 'T' | 'F') => "Write `true`, `false` or a number.",
        Some('"' | '{' | '[') => "Put a comma between the fields.",
        Some('0'..='9') => "Write a decimal number with a point, and a comma between fields.",
        _ => "Look for a missing quote, comma or bracket there or just before.",
    };
    let found = match sign {
        Some(sign) => format!("`{}` cannot stand here", quoted(&sign.to_string())),
        None => "something is missing here".to_string(),
    };
    (found, hint.to_string())
}

/// Finds where a path such as `layout.banks[0].name` stands in a text that is JSON: the last
/// member so named, or the nearest object around a missing one.
pub(super) fn locate(text: &str, path: &str) -> Option<Place> {
    let mut scan = Scan { text, at: 0 };
    scan.blanks();
    let mut found = scan.at;
    for step in path.split('.').flat_map(|part| {
        let (name, indexes) = part.split_once('[').unwrap_or((part, ""));
        let indexes =
            indexes.split('[').filter_map(|index| index.trim_end_matches(']').parse().ok());
        std::iter::once(Step::Member(name)).chain(indexes.map(Step::Item))
    }) {
        let Some((shown_at, value_at)) = scan.child(step) else { break };
        found = shown_at;
        scan.at = value_at;
    }
    let before = text.get(..found)?;
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let line = before.matches('\n').count() + 1;
    Some(Place { line, column: before[line_start..].chars().count() + 1 })
}

enum Step<'a> {
    Member(&'a str),
    Item(usize),
}

/// A walk through a text that is known to be JSON.
struct Scan<'a> {
    text: &'a str,
    at: usize,
}

impl Scan<'_> {
    fn byte(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn blanks(&mut self) {
        while self.byte().is_some_and(|byte| byte.is_ascii_whitespace()) {
            self.at += 1;
        }
    }

    /// Returns where a child of the value here is to be shown, and where its value begins.
    fn child(&mut self, step: Step<'_>) -> Option<(usize, usize)> {
        let wanted = match step {
            Step::Member(_) => b'{',
            Step::Item(_) => b'[',
        };
        if self.byte()? != wanted {
            return None;
        }
        self.at += 1;
        let mut found = None;
        let mut count = 0;
        loop {
            self.blanks();
            let start = self.at;
            if matches!(self.byte()?, b'}' | b']') {
                return found;
            }
            let here = match step {
                Step::Member(name) => {
                    self.value();
                    let key =
                        serde_json::from_str::<String>(self.text.get(start..self.at)?).ok()?;
                    self.blanks();
                    self.at += 1;
                    self.blanks();
                    quoted(&key) == name
                }
                Step::Item(index) => count == index,
            };
            if here {
                found = Some((start, self.at));
            }
            count += 1;
            self.value();
            self.blanks();
            if self.byte()? == b',' {
                self.at += 1;
            }
        }
    }

    /// Steps over a value.
    fn value(&mut self) {
        let mut depth = 0_usize;
        while let Some(byte) = self.byte() {
            match byte {
                b'"' => self.string(),
                b'{' | b'[' => depth += 1,
                b'}' | b']' if depth == 0 => return,
                b'}' | b']' => depth -= 1,
                b',' | b':' if depth == 0 => return,
                _ => {}
            }
            if byte != b'"' {
                self.at += 1;
            }
            if depth == 0 && matches!(byte, b'"' | b'}' | b']') {
                return;
            }
        }
    }

    /// Steps over a text in quotes.
    fn string(&mut self) {
        self.at += 1;
        while let Some(byte) = self.byte() {
            self.at += if byte == b'\\' { 2 } else { 1 };
            if byte == b'"' {
                return;
            }
        }
    }
}
