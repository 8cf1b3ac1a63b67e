//! Crank angles and plans, against published values and against a model of the engine.

mod angles;
mod engines;
mod model;
mod random;
