//! In what a file of the backup differs from the one here, field by field, in words.
//!
//! Small files only: engines, profiles, settings. All of them are JSON, so nothing that differs can be
//! left out; what is no JSON is said to be unreadable.

use super::Kind;
use crate::domain::entry::Hours;
use crate::domain::plain::beginning;
use serde_json::{Map, Value};

/// Most characters of a value that are shown.
const VALUE_MAX: usize = 200;

/// Where the other file is, for [`words`], that is one of a backup.
pub(super) const BACKUP: &str = "in the backup";

/// Says in what two files of a kind differ, the one here and the other, with where that is.
pub(in crate::store) fn words(
    kind: Kind,
    here: &[u8],
    (there, place): (&[u8], &'static str),
) -> String {
    let read = |bytes: &[u8]| serde_json::from_slice::<Value>(bytes).ok();
    let (here, there) = match (read(here), read(there)) {
        (Some(here), Some(there)) => (here, there),
        (None, Some(_)) => return "the one here cannot be read".to_owned(),
        (Some(_), None) => return format!("the one {place} cannot be read"),
        (None, None) => return "neither of them can be read".to_owned(),
    };
    let mut look = Look { kind, place, found: Vec::new() };
    look.at("", Some(&here), Some(&there));
    match look.found.as_slice() {
        [] => "only in how it is written: each field is the same".to_owned(),
        found => found.join("; "),
    }
}

struct Look {
    kind: Kind,
    place: &'static str,
    found: Vec<String>,
}

impl Look {
    fn at(&mut self, name: &str, here: Option<&Value>, there: Option<&Value>) {
        match (here, there) {
            _ if here == there => {}
            (Some(Value::Object(here)), Some(Value::Object(there))) => {
                self.in_fields(name, here, there);
            }
            (Some(Value::Array(here)), Some(Value::Array(there)))
                if self.kind == Kind::Engine && name == "hours" =>
            {
                self.in_hours(here, there);
            }
            (Some(Value::Array(here)), Some(Value::Array(there)))
                if here.iter().chain(there).any(Value::is_object) =>
            {
                for place in 0..here.len().max(there.len()) {
                    let name = inside(name, &(place + 1).to_string());
                    self.at(&name, here.get(place), there.get(place));
                }
            }
            (here, there) => {
                let (here, there) = (self.shown(name, here), self.shown(name, there));
                let name = if name.is_empty() { "all of it" } else { name };
                self.found.push(format!("{name}: {here} here, {there} {}", self.place));
            }
        }
    }

    fn in_fields(&mut self, name: &str, here: &Map<String, Value>, there: &Map<String, Value>) {
        let only_there = there.keys().filter(|key| !here.contains_key(*key));
        for key in here.keys().chain(only_there) {
            self.at(&inside(name, key), here.get(key), there.get(key));
        }
    }

    /// What a counter was told to show stands in the order of time: it is told which are missing where.
    fn in_hours(&mut self, here: &[Value], there: &[Value]) {
        let without = |some: &[Value], others: &[Value]| {
            let mut left = others.to_vec();
            let mut alone = some.to_vec();
            alone.retain(|one| match left.iter().position(|other| other == one) {
                Some(place) => {
                    left.remove(place);
                    false
                }
                None => true,
            });
            alone.iter().map(told).collect::<Vec<_>>().join(", ")
        };
        for (alone, place) in [(without(here, there), "here"), (without(there, here), self.place)] {
            if !alone.is_empty() {
                self.found.push(format!("hours told only {place}: {alone}"));
            }
        }
    }

    fn shown(&self, name: &str, value: Option<&Value>) -> String {
        let word = match (self.kind, name, value) {
            (Kind::Settings, "bell", None | Some(Value::Bool(true)))
            | (Kind::Settings, "ascii", Some(Value::Bool(true))) => Some("on"),
            (Kind::Settings, "bell", Some(Value::Bool(false)))
            | (Kind::Settings, "ascii", None | Some(Value::Bool(false))) => Some("off"),
            (_, _, None | Some(Value::Null)) => Some("nothing"),
            _ => None,
        };
        word.map_or_else(
            || beginning(&text(value.unwrap_or(&Value::Null), name.ends_with(" nm")), VALUE_MAX),
            str::to_owned,
        )
    }
}

/// Names a field of a field as it is called in the trade: "intake target", "firing order".
fn inside(name: &str, key: &str) -> String {
    let key = key.replace('_', " ");
    if name.is_empty() || name == "valves" { key } else { format!("{name} {key}") }
}

fn text(value: &Value, is_nm: bool) -> String {
    match value {
        Value::Number(nm) if is_nm => match nm.as_i64() {
            Some(nm) => {
                let (sign, nm) = (if nm < 0 { "-" } else { "" }, nm.unsigned_abs());
                let mm = format!("{sign}{}.{:06}", nm / 1_000_000, nm % 1_000_000);
                format!("{} mm", mm.trim_end_matches('0').trim_end_matches('.'))
            }
            None => nm.to_string(),
        },
        Value::String(text) if text.is_empty() => "nothing".to_owned(),
        Value::String(text) => text.clone(),
        Value::Array(all) => all.iter().map(|one| text(one, is_nm)).collect::<Vec<_>>().join(" "),
        Value::Object(fields) => {
            let field = |(key, value): (&String, &Value)| {
                let name = inside("", key);
                let label = name.strip_suffix(" nm").unwrap_or(&name);
                format!("{label} {}", text(value, label != name))
            };
            fields.iter().map(field).collect::<Vec<_>>().join(", ")
        }
        other => other.to_string(),
    }
}

/// Says what a counter was told to show.
fn told(entry: &Value) -> String {
    let hours = |key| entry.get(key).and_then(Value::as_i64).map(Hours);
    let said = |key| entry.get(key).and_then(Value::as_str).unwrap_or_default();
    let Some(shown) = hours("hours") else { return text(entry, false) };
    let mut beside: Vec<String> = Vec::new();
    beside.extend(Some(said("why").to_owned()).filter(|why| !why.is_empty()));
    beside.extend(hours("offset").map(|before| format!("{before} h on the counters before")));
    let beside =
        if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
    format!("{shown} h on {}{beside}", said("date"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn said(kind: Kind, here: &Value, there: &Value) -> String {
        words(kind, here.to_string().as_bytes(), (there.to_string().as_bytes(), BACKUP))
    }

    #[test]
    fn clearances_firing_order_and_whatever_else_differs_are_told_field_by_field() {
        let here = json!({
            "format": 1, "firing_order": [1, 3, 2, 4],
            "valves": { "intake": { "target": "0.006 in", "least": "0.005 in" } },
            "layout": { "banks": [ { "name": "right", "cylinders": [1, 3] } ] },
        });
        let mut there = here.clone();
        there["firing_order"] = json!([1, 2, 3, 4]);
        there["valves"]["intake"]["target"] = "0.010 in".into();
        there["layout"]["banks"][0]["side"] = "left".into();
        there["interval_hours"] = 50.into();
        let told = said(Kind::Profile, &here, &there);
        for words in [
            "firing order: 1 3 2 4 here, 1 2 3 4 in the backup",
            "intake target: 0.006 in here, 0.010 in in the backup",
            "layout banks 1 side: nothing here, left in the backup",
            "interval hours: nothing here, 50 in the backup",
        ] {
            assert!(told.contains(words), "{words}: {told}");
        }
        assert_eq!(told.matches(" in the backup").count(), 4, "{told}");
        assert_eq!(
            said(Kind::Profile, &here, &here),
            "only in how it is written: each field is the same"
        );
        assert_eq!(words(Kind::Profile, b"{", (b"{}", BACKUP)), "the one here cannot be read");
    }

    #[test]
    fn hours_that_are_missing_on_either_side_are_told_with_their_days() {
        let told = |hours: i64, date: &str| json!({ "date": date, "hours": hours });
        let here =
            json!({ "name": "One", "hours": [told(100, "2026-01-01"), told(250, "2026-02-01")] });
        let there = json!({ "name": "Two", "hours": [
            told(100, "2026-01-01"),
            { "date": "2026-03-01", "hours": 5, "why": "counter replaced", "offset": 240 },
        ] });
        assert_eq!(
            said(Kind::Engine, &here, &there),
            "hours told only here: 2.5 h on 2026-02-01; \
             hours told only in the backup: 0.05 h on 2026-03-01 (counter replaced; 2.4 h on the \
             counters before); name: One here, Two in the backup"
        );
    }

    #[test]
    fn settings_are_told_as_they_are_set_and_leaves_in_millimetres() {
        let here = json!({ "format": 1, "bell": false });
        let there = json!({
            "format": 1, "theme": "dark", "ascii": true,
            "leaves": { "name": "mine", "unit": "mm", "leaves_nm": [50_000, 1_250_000] },
        });
        assert_eq!(
            said(Kind::Settings, &here, &there),
            "bell: off here, on in the backup; ascii: off here, on in the backup; leaves: nothing here, \
             leaves 0.05 mm 1.25 mm, name mine, unit mm in the backup; theme: nothing here, dark in the \
             backup"
        );
    }
}
