//! See `tests/suite/fuzzed/bodies/table.rs`.
#![no_main]

use cowlside_fuzz::bodies::table;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| cowlside_fuzz::hold(table::check(bytes, table::import)));
