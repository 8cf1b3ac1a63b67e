//! See `tests/suite/fuzzed/bodies/profile.rs`.
#![no_main]

use cowlside_fuzz::bodies::profile;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(profile::check(bytes, profile::load)));
