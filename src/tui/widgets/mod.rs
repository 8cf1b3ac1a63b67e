//! Parts that screens are put together from; each paints into a `Buffer` and knows no screen.

pub mod canvas;
pub mod crank_dial;
pub mod digits;
pub mod drawing;
pub mod engine;
mod engine_end;
pub mod engine_large;
mod engine_lie;
mod engine_plan;
mod engine_seen;
pub mod engine_strip;
mod engine_told;
pub mod field;
pub mod footer;
mod glyphs;
mod glyphs_thin;
pub mod lift_curves;
pub mod picture;
mod standing;
pub mod text;
