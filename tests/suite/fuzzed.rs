//! Bytes that nobody would type, into everything that reads: profiles, sessions, readings, tables,
//! backups, arguments, keys. The fuzzer in `fuzz/` tries the same functions.
//!
//! `COWLSIDE_FUZZED=1000000 cargo test --release --test suite fuzzed:: -- --nocapture` tries a million
//! of each, of those that take a folder of their own a hundredth, of walks a five-hundredth.

mod bodies;
mod campaign;
mod files;
mod mutate;
mod sessions;
mod typed;
mod walks;
