//! See `tests/suite/fuzzed/bodies/backup.rs`.
#![no_main]

use cowlside_fuzz::bodies::backup;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(backup::check(bytes, backup::restore)));
