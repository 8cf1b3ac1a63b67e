//! See `tests/suite/fuzzed/bodies/reading.rs`.
#![no_main]

use cowlside_fuzz::bodies::reading;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(reading::check(bytes, reading::take)));
