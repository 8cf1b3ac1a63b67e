//! All tests of the built library and binary, one module a topic.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "clippy.toml frees test functions only; their helpers may stop a test too"
)]

mod advice;
mod plans;
mod readings;
mod session;
