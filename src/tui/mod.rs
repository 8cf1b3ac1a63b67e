//! The screens: keys in, pictures out.

pub mod keymap;
mod signals;
pub mod terminal;
pub mod theme;
pub mod widgets;
