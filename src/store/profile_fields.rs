//! Takes values out of a profile's JSON, one field at a time, and says where each one stood.
//!
//! Knows types and units; what the fields mean together is the business of `profile_facts`.

use super::profile_json::{Json, member_path};
use super::profile_text::quoted;
use crate::domain::profile::ProfileFault;
use crate::domain::search::nearest;
use crate::domain::units::{Length, LengthUnit, Misread, Temperature, Torque};
use std::ops::RangeInclusive;

/// Most characters of a name or of a few words.
pub(super) const WORDS_MAX: usize = 80;
/// Most characters of a longer text.
pub(super) const TEXT_MAX: usize = 2000;

/// What a field gives, or why it cannot.
pub(super) type Taken<T> = Result<T, ProfileFault>;

/// A value and the path where it stands.
#[derive(Clone)]
pub(super) struct Field<'a> {
    json: &'a Json,
    pub(super) path: String,
}

/// An object, all of whose fields are known.
pub(super) struct Fields<'a> {
    members: &'a [(String, Json)],
    path: String,
}

impl<'a> Fields<'a> {
    /// Returns the field, where it is given.
    pub(super) fn get(&self, name: &str) -> Option<Field<'a>> {
        let (_, json) = self.members.iter().find(|(member, _)| member == name)?;
        Some(Field { json, path: member_path(&self.path, name) })
    }

    /// Returns a field that must be given; `must` says what it must be.
    pub(super) fn required(&self, name: &str, must: &str) -> Taken<Field<'a>> {
        self.get(name).ok_or_else(|| fault(member_path(&self.path, name), "missing", must))
    }

    /// Reads a field where it is given.
    pub(super) fn maybe<T>(
        &self,
        name: &str,
        read: impl FnOnce(&Field<'a>) -> Taken<T>,
    ) -> Taken<Option<T>> {
        self.get(name).map(|field| read(&field)).transpose()
    }

    /// Returns a few words, or none where the field is not given.
    pub(super) fn words(&self, name: &str) -> Taken<Option<String>> {
        self.maybe(name, |field| field.text(WORDS_MAX))
    }

    /// Returns the names of all fields given.
    pub(super) fn names(&self) -> impl Iterator<Item = &'a str> + use<'a> {
        self.members.iter().map(|(name, _)| name.as_str())
    }
}

impl<'a> Field<'a> {
    /// The whole of a file.
    pub(super) fn root(json: &'a Json) -> Field<'a> {
        Field { json, path: String::new() }
    }

    /// Makes a fault about this field.
    pub(super) fn wrong<T>(&self, must: impl Into<String>) -> Taken<T> {
        Err(fault(self.path.clone(), self.json.quoted(), must))
    }

    /// Returns an object whose fields are all among `known`.
    pub(super) fn object(&self, known: &[&str]) -> Taken<Fields<'a>> {
        let fields = self.any_object()?;
        for name in fields.names() {
            if !known.contains(&name) {
                let near = nearest(name, known.iter().copied());
                let must = near.map_or("be left out".to_string(), |(near, _)| {
                    format!("be left out or spelled as the nearest one, `{near}`")
                });
                return Err(fault(
                    member_path(&self.path, name),
                    "no field that is known here",
                    must,
                ));
            }
        }
        Ok(fields)
    }

    /// Returns an object whose fields are still to be looked at.
    pub(super) fn any_object(&self) -> Taken<Fields<'a>> {
        match self.json {
            Json::Object(members) => Ok(Fields { members, path: self.path.clone() }),
            Json::Null | Json::YesNo(_) | Json::Number(_) | Json::Text(_) | Json::List(_) => {
                let path = if self.path.is_empty() { "(the whole file)" } else { &self.path };
                Err(fault(path, self.json.quoted(), "be an object in curly brackets"))
            }
        }
    }

    /// Returns a list's items.
    pub(super) fn list(&self) -> Taken<Vec<Field<'a>>> {
        let Json::List(items) = self.json else {
            return self.wrong("be a list in square brackets");
        };
        let path = &self.path;
        Ok(items
            .iter()
            .enumerate()
            .map(|(at, json)| Field { json, path: format!("{path}[{at}]") })
            .collect())
    }

    /// Reads each item of a list.
    pub(super) fn each<T>(&self, read: impl Fn(&Field<'a>) -> Taken<T>) -> Taken<Vec<T>> {
        self.list()?.iter().map(read).collect()
    }

    /// Tells whether the field is a text.
    pub(super) fn is_text(&self) -> bool {
        matches!(self.json, Json::Text(_))
    }

    /// Returns a text of at most `most` characters.
    pub(super) fn text(&self, most: usize) -> Taken<String> {
        let text = self.raw_text("be a text in double quotes")?;
        let length = text.chars().count();
        if length > most {
            let found = format!("a text of {length} characters");
            return Err(fault(self.path.clone(), found, format!("have at most {most}")));
        }
        Ok(text.to_string())
    }

    fn raw_text(&self, must: &str) -> Taken<&'a str> {
        match self.json {
            Json::Text(text) => Ok(text),
            Json::Null | Json::YesNo(_) | Json::Number(_) | Json::List(_) | Json::Object(_) => {
                self.wrong(must)
            }
        }
    }

    /// Returns `true` or `false`.
    pub(super) fn yes_or_no(&self) -> Taken<bool> {
        match self.json {
            Json::YesNo(yes) => Ok(*yes),
            Json::Null | Json::Number(_) | Json::Text(_) | Json::List(_) | Json::Object(_) => {
                self.wrong("be true or false, without quotes")
            }
        }
    }

    /// Returns a number.
    pub(super) fn number(&self) -> Taken<f64> {
        match self.json {
            Json::Number(number) => Ok(*number),
            Json::Null | Json::YesNo(_) | Json::Text(_) | Json::List(_) | Json::Object(_) => {
                self.wrong("be a number, without quotes")
            }
        }
    }

    /// Returns a whole number in a range.
    pub(super) fn whole(&self, range: RangeInclusive<u32>) -> Taken<u32> {
        let must = format!("be a whole number from {} to {}", range.start(), range.end());
        match self.json {
            Json::Number(number)
                if number.fract() == 0.0
                    && (f64::from(*range.start())..=f64::from(*range.end())).contains(number) =>
            {
                // Whole and inside the range of u32: nothing is cut off.
                Ok(*number as u32)
            }
            _ => self.wrong(must),
        }
    }

    /// Returns a whole number, however large, from `least` on.
    pub(super) fn whole_from(&self, least: f64) -> Taken<f64> {
        match self.json {
            Json::Number(number) if number.fract() == 0.0 && *number >= least => Ok(*number),
            _ => self.wrong(format!("be a whole number from {least} on")),
        }
    }

    /// Returns a whole number in a range that fits a byte.
    pub(super) fn small(&self, range: RangeInclusive<u8>) -> Taken<u8> {
        let (least, most) = (*range.start(), *range.end());
        self.whole(u32::from(least)..=u32::from(most))
            .map(|whole| u8::try_from(whole).unwrap_or(most))
    }

    /// Returns what one of several words stands for.
    pub(super) fn word<T: Copy>(&self, words: &[(&str, T)]) -> Taken<T> {
        let known: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
        let must = match known.as_slice() {
            [only] => format!("be {only}"),
            [first @ .., last] => format!("be {} or {last}", first.join(", ")),
            [] => String::new(),
        };
        let text = self.raw_text(&must)?;
        match words.iter().find(|(word, _)| *word == text) {
            Some((_, value)) => Ok(*value),
            None => self.wrong(must),
        }
    }

    /// Returns a length in a range, and the unit that it was written in.
    pub(super) fn length_and_unit(
        &self,
        allowed: RangeInclusive<Length>,
    ) -> Taken<(Length, LengthUnit)> {
        let text =
            self.raw_text("be a length with its unit, such as \"0.15 mm\" or \"0.006 in\"")?;
        Length::parse_with_unit(text, allowed).map_err(|misread| self.misread(misread))
    }

    /// Returns a length in a range.
    pub(super) fn length(&self, allowed: RangeInclusive<Length>) -> Taken<Length> {
        self.length_and_unit(allowed).map(|(length, _)| length)
    }

    /// Returns a thread pitch in millimetres.
    pub(super) fn pitch_mm(&self) -> Taken<f64> {
        let text =
            self.raw_text("be a length with its unit, such as \"1.0 mm\" or \"0.0357 in\"")?;
        Length::parse_pitch_mm(text).map_err(|misread| self.misread(misread))
    }

    /// Returns a torque.
    pub(super) fn torque(&self) -> Taken<Torque> {
        let text =
            self.raw_text("be a torque with its unit, such as \"20 N·m\" or \"175 lbf·in\"")?;
        Torque::parse(text).map_err(|misread| self.misread(misread))
    }

    /// Returns a temperature.
    pub(super) fn temperature(&self) -> Taken<Temperature> {
        let text =
            self.raw_text("be a temperature with its unit, such as \"35 °C\" or \"95 °F\"")?;
        Temperature::parse(text).map_err(|misread| self.misread(misread))
    }

    fn misread(&self, misread: Misread) -> ProfileFault {
        fault(
            self.path.clone(),
            format!("\"{}\"", quoted(&misread.found)),
            shown_must(&misread.must),
        )
    }
}

/// A message may repeat a second figure of the file, which may be long.
fn shown_must(must: &str) -> String {
    if must.chars().count() > 240 {
        "be a figure with its unit".to_string()
    } else {
        must.to_string()
    }
}

/// Makes a fault.
pub(super) fn fault(
    field: impl Into<String>,
    found: impl Into<String>,
    must: impl Into<String>,
) -> ProfileFault {
    ProfileFault { field: field.into(), found: found.into(), must: must.into() }
}
