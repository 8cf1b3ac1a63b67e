//! See `tests/suite/fuzzed/bodies/journal.rs`.
#![no_main]

use cowlside_fuzz::bodies::journal;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(journal::check(bytes, journal::load)));
