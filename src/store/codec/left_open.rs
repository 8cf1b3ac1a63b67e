//! How `left_open` of the kind `begin` is spelled; the table stands in the parent module.

use super::kinds_from_nut::PartKindWire;
use super::shared::*;
use crate::domain::entry::{LeftItem, LeftOpen, PartKind};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
#[serde(remote = "LeftOpen")]
pub struct LeftOpenWire {
    from: String,
    #[serde(with = "LeftItemWire")]
    item: LeftItem,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "LeftItem", rename_all = "snake_case")]
pub enum LeftItemWire {
    NutSlack(#[serde(with = "ValveWire")] Valve),
    Unloaded(#[serde(with = "ValveWire")] Valve),
    PartOut {
        #[serde(default, skip_serializing_if = "Option::is_none", with = "valve_option")]
        valve: Option<Valve>,
        #[serde(with = "PartKindWire")]
        part: PartKind,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        bank: Option<String>,
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
    },
    HeldOpen(#[serde(with = "ValveWire")] Valve),
    StopFelt {
        or_hiss: bool,
    },
    TurnsOwed,
    HoldDown(Cylinder),
    NutsNotTight(Cylinder),
    GaugeAfter {
        #[serde(with = "ValveWire")]
        valve: Valve,
        worked: bool,
    },
    Pieces {
        bank: String,
        item: String,
        #[serde(with = "count")]
        out: u32,
        #[serde(default, skip_serializing_if = "Option::is_none", with = "count_option")]
        counted_in: Option<u32>,
        whole: bool,
    },
}

list!(left_open_list, "LeftOpenWire", LeftOpen);
