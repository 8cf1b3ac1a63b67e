//! All tests of the built library and binary, one module a topic.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "clippy.toml frees test functions only; helpers may stop a test too, campaigns print counts"
)]

mod advice;
mod cams;
mod cli;
mod compare;
mod engines;
mod inputs;
mod journal;
mod keys;
mod kinds;
mod pictures;
mod plain;
mod plain_parts;
mod plans;
mod profile_faults;
mod profile_rules;
mod profile_sheets;
mod profiles;
mod profiles_on_disk;
mod readings;
mod real;
mod record;
mod record_forms;
mod screens;
mod services;
mod session;
mod shims;
mod shipped;
mod stand_in;
mod terminal;
mod tidy;
mod trend;
mod unlikely;
mod walk;
mod walk_parts;
