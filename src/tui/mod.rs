//! The screens: keys in, pictures out.

mod signals;
pub mod terminal;
pub mod theme;
pub mod widgets;
