//! See `tests/suite/fuzzed/bodies/keys.rs`.
#![no_main]

use cowlside_fuzz::bodies::keys;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(keys::check(bytes, keys::walk)));
