//! All tests of the built library and binary, one module a topic.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "clippy.toml frees test functions only; their helpers may stop a test, campaigns count"
)]

mod advice;
mod journal;
mod plans;
mod profile_faults;
mod profile_rules;
mod profile_sheets;
mod profiles;
mod profiles_on_disk;
mod readings;
mod screens;
