//! `cowlside`: the guided valve-clearance service.

#[macro_use]
extern crate uom;

pub mod cli;
pub mod domain;
pub mod guide;
pub mod report;
pub mod store;
pub mod tui;
