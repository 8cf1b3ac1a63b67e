//! What each target tries: the same functions as `cargo test` runs (`tests/suite/fuzzed.rs`).

#[path = "../../tests/suite/fuzzed/bodies/mod.rs"]
pub mod bodies;

/// Stops the fuzzer where something is that must never be.
#[allow(clippy::panic, reason = "that is how a target tells the fuzzer")]
pub fn hold(checked: bodies::Checked) {
    if let Err(wrong) = checked {
        panic!("{wrong}");
    }
}
