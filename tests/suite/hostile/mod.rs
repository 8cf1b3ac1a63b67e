//! Hostile texts, files, arguments and environments: nothing of them acts, hides, changes the shape
//! of what is printed, takes memory, or is told in a parser's words.

mod environment;
mod fields;
mod files;
mod outputs;
mod profiles;
mod screens;
mod shop;
mod strings;

mod judge;

pub use judge::{acts, unsafe_line};
