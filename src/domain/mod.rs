//! The trade, and nothing else: no file, no clock, no terminal, no serde.
//!
//! *Clearance*: the play between a shut valve and what opens it. *Overlap*: the crank position at
//! which a cylinder's exhaust is nearly shut and its intake just opening. *Opposite*: the cylinder
//! one full turn (360°) away in the firing order; it is on its firing stroke when this one is at
//! overlap. *Stop*: one place where the crank is left standing while valves are gauged. *Found* and
//! *left*: the clearance before anything was touched, and the one the engine goes out with.
#![deny(clippy::wildcard_enum_match_arm)]

pub mod advice;
pub mod ascii;
pub mod cams;
pub mod certainty;
pub mod clock;
pub mod compare;
pub mod cooling;
pub mod crank;
pub mod document;
pub mod doubt;
pub mod entry;
pub mod fasteners;
pub mod flat;
pub mod leaf_search;
pub mod learning;
pub mod leaves;
pub mod left_before;
pub mod likely;
pub mod limits;
pub mod odd;
pub mod pace;
pub mod picture;
pub mod place;
pub mod plain;
pub mod plan;
pub mod profile;
pub mod provable;
pub mod reading;
pub mod search;
pub mod sequence;
pub mod service;
pub mod session;
pub mod shims;
pub mod statistics;
pub mod strange;
pub mod trend;
pub mod turn_words;
pub mod typed;
pub mod unbroken;
pub mod units;
pub mod unlikely;
pub mod valve;
pub mod verdict;
