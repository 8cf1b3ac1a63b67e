//! Crank angles and plans, against published values and against a model of the engine.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "a test may stop on what is not so")]

mod angles;
pub mod engines;
pub mod model;
mod published;
pub mod random;
mod two_stops;
mod ways;
mod words;
