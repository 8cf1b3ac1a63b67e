//! How the entries from `begin` to `reading` are spelled; the table stands in the parent module.
//!
//! Each wire type names every member of its entry, so a member added to the domain does not compile
//! until it is spelled here.

use super::left_open::left_open_list;
use super::shared::*;
use crate::domain::entry::*;
use crate::domain::profile::Source;
use crate::domain::units::{Length, LengthUnit, Temperature};
use crate::domain::valve::{Cylinder, Kind, Valve};
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
#[serde(remote = "Begin")]
pub struct BeginWire {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    engine_id: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    engine: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    serial: Option<String>,
    #[serde(
        default,
        rename = "hours_hundredths",
        skip_serializing_if = "Option::is_none",
        with = "hours_option"
    )]
    hours: Option<Hours>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hours_why: Option<String>,
    #[serde(
        default,
        rename = "total_time_hundredths",
        skip_serializing_if = "Option::is_none",
        with = "hours_option"
    )]
    total_time: Option<Hours>,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "source_option")]
    known_source: Option<Source>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    known_worker: Option<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty", with = "known_part_list")]
    known_parts: Vec<KnownPart>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    scope: Option<Vec<Cylinder>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    scope_why: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "rounds_option")]
    rounds: Option<Rounds>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    change: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    from: Option<Cylinder>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    few_stops: Option<bool>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    less_walking: Option<bool>,
    #[serde(default, rename = "margin_degrees", skip_serializing_if = "Option::is_none")]
    margin: Option<f64>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    rest: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    corrects: Option<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty", with = "left_open_list")]
    left_open: Vec<LeftOpen>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Who")]
pub struct WhoWire {
    name: String,
    takes_over: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Asked", rename_all = "snake_case")]
pub enum AskedWire {
    Start,
    Back,
    Run,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Caution")]
pub struct CautionWire {
    id: String,
    asked: String,
    digit: u8,
    seen: String,
    safe: bool,
    #[serde(with = "AskedWire")]
    when: Asked,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    out_again: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Condition")]
pub struct ConditionWire {
    #[serde(
        default,
        rename = "head_milli_c",
        skip_serializing_if = "Option::is_none",
        with = "temperature_option"
    )]
    head: Option<Temperature>,
    typed: String,
    #[serde(
        default,
        rename = "air_milli_c",
        skip_serializing_if = "Option::is_none",
        with = "temperature_option"
    )]
    air: Option<Temperature>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    against_limit: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "SourceRead", rename_all = "snake_case")]
pub enum SourceReadWire {
    Named {
        #[serde(with = "SourceWire")]
        source: Source,
        practice: bool,
    },
    Figure {
        #[serde(with = "KindWire")]
        kind: Kind,
        #[serde(with = "FigureWire")]
        figure: Figure,
        typed: String,
        #[serde(rename = "value_nm", with = "nm")]
        value: Length,
    },
    Confirmed,
    Again,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "LeafSet")]
pub struct LeafSetWire {
    name: String,
    #[serde(with = "UnitWire")]
    unit: LengthUnit,
    #[serde(rename = "leaves_nm", with = "nm_list")]
    leaves: Vec<Length>,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "tolerance_option")]
    tolerance: Option<Tolerance>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Off")]
pub struct OffWire {
    bank: String,
    #[serde(with = "item_list")]
    items: Vec<(String, u32)>,
}

/// A list of what was counted: text and count.
mod item_list {
    use super::count;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    #[derive(Serialize)]
    struct Shown<'a>(&'a str, #[serde(with = "count")] &'a u32);
    #[derive(Deserialize)]
    struct Read(String, #[serde(with = "count")] u32);

    pub fn serialize<S: Serializer>(
        items: &[(String, u32)],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(items.iter().map(|(item, count)| Shown(item, count)))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Vec<(String, u32)>, D::Error> {
        let read = Vec::<Read>::deserialize(deserializer)?;
        Ok(read.into_iter().map(|Read(item, count)| (item, count)).collect())
    }
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "On", rename_all = "snake_case")]
pub enum OnWire {
    Count {
        bank: String,
        item: String,
        #[serde(with = "count")]
        count: u32,
    },
    Found {
        bank: String,
        item: String,
    },
    AccountedFor {
        bank: String,
        item: String,
        place: String,
        by: String,
    },
    Check {
        id: String,
        asked: String,
        digit: u8,
        seen: String,
        done: bool,
    },
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "At", rename_all = "snake_case")]
pub enum AtWire {
    Stop {
        #[serde(with = "place")]
        stop: usize,
        watch: Cylinder,
        then_turn: u16,
    },
    SeenOverlap(Cylinder),
    SeenLoose(Cylinder),
    Lost,
    #[serde(rename = "tape_half_hours")]
    Tape(u8),
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Proof")]
pub struct ProofWire {
    loose: u8,
    of: u8,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "rocked_option")]
    rocked: Option<Rocked>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    no_play: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Unload")]
pub struct UnloadWire {
    #[serde(with = "ValveWire")]
    valve: Valve,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Release")]
pub struct ReleaseWire {
    #[serde(with = "ValveWire")]
    valve: Valve,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Step", rename_all = "snake_case")]
pub enum StepWire {
    Found,
    Try,
    Left,
    Recheck,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Reading")]
pub struct ReadingWire {
    #[serde(with = "ValveWire")]
    valve: Valve,
    #[serde(with = "StepWire")]
    step: Step,
    round: u8,
    typed: String,
    #[serde(with = "ReadingUnitWire")]
    unit: ReadingUnit,
    #[serde(
        default,
        rename = "low_nm",
        skip_serializing_if = "Option::is_none",
        with = "nm_option"
    )]
    low: Option<Length>,
    #[serde(
        default,
        rename = "high_nm",
        skip_serializing_if = "Option::is_none",
        with = "nm_option"
    )]
    high: Option<Length>,
    #[serde(
        default,
        rename = "nominal_nm",
        skip_serializing_if = "Option::is_none",
        with = "nm_option"
    )]
    nominal: Option<Length>,
    single: bool,
    by: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    paper: Option<String>,
    #[serde(
        default,
        rename = "aimed_nm",
        skip_serializing_if = "Option::is_none",
        with = "nm_option"
    )]
    aimed: Option<Length>,
    #[serde(with = "tries")]
    tries: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    odd: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    against_plan: Option<String>,
    #[serde(default, rename = "turned_deg", skip_serializing_if = "Option::is_none")]
    turned: Option<u16>,
}

/// Makes a module that spells a choice which is a whole payload as `{"said": ...}`.
macro_rules! said {
    ($module:ident, $wire:literal, $domain:ty) => {
        pub mod $module {
            use super::*;
            use serde::{Deserializer, Serializer};

            #[derive(Serialize)]
            struct Shown<'a> {
                #[serde(with = $wire)]
                said: &'a $domain,
            }
            #[derive(Deserialize)]
            struct Read {
                #[serde(with = $wire)]
                said: $domain,
            }

            pub fn serialize<S: Serializer>(
                said: &$domain,
                serializer: S,
            ) -> Result<S::Ok, S::Error> {
                Shown { said }.serialize(serializer)
            }

            pub fn deserialize<'de, D: Deserializer<'de>>(
                deserializer: D,
            ) -> Result<$domain, D::Error> {
                Ok(Read::deserialize(deserializer)?.said)
            }
        }
    };
}

said!(said_source, "SourceReadWire", SourceRead);
said!(said_on, "OnWire", On);
said!(said_at, "AtWire", At);
