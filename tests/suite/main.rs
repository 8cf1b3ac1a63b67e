//! All tests of the built library and binary, one module a topic.

mod engines;
mod keys;
mod screens;
mod stand_in;
mod terminal;
