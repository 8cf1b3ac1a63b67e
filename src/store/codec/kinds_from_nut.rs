//! How the entries from `nut` to `redate` are spelled; the table stands in the parent module.

use super::kinds_to_reading::ReadingWire;
use super::shared::*;
use crate::domain::entry::*;
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
#[serde(remote = "NutSaid", rename_all = "snake_case")]
pub enum NutSaidWire {
    Slack,
    Locked { torque: String, gauged: u64 },
    NeverTouched { why: String },
    Threads(u8),
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Nut")]
pub struct NutWire {
    #[serde(with = "ValveWire")]
    valve: Valve,
    #[serde(with = "NutSaidWire")]
    said: NutSaid,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    found: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PartKind", rename_all = "snake_case")]
pub enum PartKindWire {
    Shim,
    Pushrod,
    Cam,
    Rocker,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Part")]
pub struct PartWire {
    #[serde(default, skip_serializing_if = "Option::is_none", with = "valve_option")]
    valve: Option<Valve>,
    #[serde(with = "PartKindWire")]
    part: PartKind,
    out: bool,
    #[serde(
        default,
        rename = "marked_nm",
        skip_serializing_if = "Option::is_none",
        with = "nm_option"
    )]
    marked: Option<Length>,
    #[serde(
        default,
        rename = "measured_nm",
        skip_serializing_if = "Option::is_none",
        with = "nm_option"
    )]
    measured: Option<Length>,
    typed: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bank: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    seen: Option<String>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    size_only: bool,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    undoes_less: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Work")]
pub struct WorkWire {
    cylinder: Cylinder,
    what: String,
    text: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hold_down: Option<String>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    asks_anew: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Remark")]
pub struct RemarkWire {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    cylinder: Option<Cylinder>,
    #[serde(with = "tick_list")]
    good: Vec<Tick>,
    #[serde(with = "tick_list")]
    bad: Vec<Tick>,
    text: String,
    before_running: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    settles: Option<u64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    by: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "LeakTest")]
pub struct LeakTestWire {
    cylinder: Cylinder,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    held: Option<(u16, u16)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    why_not: Option<String>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    turned: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Skipped", rename_all = "snake_case")]
pub enum SkippedWire {
    AsFound(#[serde(with = "ValveWire")] Valve),
    Gauging(#[serde(with = "ValveWire")] Valve, u8),
    Setting(#[serde(with = "ValveWire")] Valve),
    Round(u8),
    Check(String),
    Run,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Skip")]
pub struct SkipWire {
    #[serde(with = "SkippedWire")]
    what: Skipped,
    why: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    run_owed: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Change", rename_all = "snake_case")]
pub enum ChangeWire {
    Void,
    Value {
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
    },
    SwapWith(u64),
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Correct")]
pub struct CorrectWire {
    of: u64,
    #[serde(with = "ChangeWire")]
    change: Change,
    why: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    as_asked: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Away")]
pub struct AwayWire {
    text: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Back")]
pub struct BackWire {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    after_min: Option<u32>,
    restart: bool,
    new_day: bool,
    clock_jumped: bool,
    #[serde(
        default,
        rename = "counter_hundredths",
        skip_serializing_if = "Option::is_none",
        with = "counter_option"
    )]
    counter: Option<CounterTold>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Run")]
pub struct RunWire {
    id: String,
    asked: String,
    digit: u8,
    seen: String,
    good: bool,
    text: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Sign")]
pub struct SignWire {
    signer: String,
    certificate_kind: String,
    certificate_number: String,
    statement: String,
    owner_sentence: String,
    #[serde(
        default,
        rename = "next_check_hundredths",
        skip_serializing_if = "Option::is_none",
        with = "hours_option"
    )]
    next_check: Option<Hours>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Seal")]
pub struct SealWire {
    entries: u64,
    by: String,
    chain: String,
    signed: bool,
    why: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tells_not_put_back: Option<bool>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    tells_not_gauged: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Recover")]
pub struct RecoverWire {
    at: u64,
    len: u64,
    sha: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Adopt")]
pub struct AdoptWire {
    file: String,
    seq: u64,
    hash: String,
    #[serde(with = "ReadingWire")]
    reading: Reading,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Redate")]
pub struct RedateWire {
    day: String,
    why: String,
}
