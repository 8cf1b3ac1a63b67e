//! Whole screens. A view is what a screen says, already in words; painting chooses none.

pub mod drawn;
pub mod frame;
pub mod help;
pub mod notice;
pub mod past;
pub mod past_charts;
pub mod picture;
pub mod profile_form;
pub mod session;
pub mod table;

pub use frame::{Note, Tone};
