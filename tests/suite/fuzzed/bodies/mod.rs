//! What the fuzzer and `cargo test` try alike: a function a target, which takes any bytes at all and
//! says what became of them, or what must never be.
//!
//! The package in `fuzz/` takes this folder in by its path, so it names nothing of the tests.

pub mod arguments;
pub mod backup;
pub mod journal;
pub mod keys;
pub mod place;
pub mod profile;
pub mod reading;
pub mod said;
pub mod table;

/// How a case went, in one word for the count; an error says what must never be.
pub type Checked = Result<&'static str, String>;

/// Holds, or says otherwise.
pub fn want(holds: bool, otherwise: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise()) }
}

/// The first bytes of a case choose, the rest is what is read; none there is nought.
pub fn chosen(bytes: &[u8]) -> (u8, &[u8]) {
    bytes.split_first().map_or((0, bytes), |(first, rest)| (*first, rest))
}
