//! See `tests/suite/fuzzed/bodies/arguments.rs`.
#![no_main]

use cowlside_fuzz::bodies::arguments;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(arguments::check(bytes, arguments::run)));
