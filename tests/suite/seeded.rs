//! Random tests that say where they began: the seed stands in what a failed test has printed, and
//! `PROPTEST_RNG_SEED=` that number walks the same way once more.

use proptest::test_runner::{Config, RngSeed};
use std::hash::{BuildHasher, RandomState};

/// So many cases from a seed, which is printed; a test shows what it printed where it fails.
pub fn config(cases: u32) -> Config {
    let given = Config::default();
    let seed = match given.rng_seed {
        RngSeed::Fixed(seed) => seed,
        RngSeed::Random => RandomState::new().hash_one("seed"),
    };
    println!("to walk the same way once more: PROPTEST_RNG_SEED={seed}");
    // Whole services shrink slowly; the seed finds the fault again.
    let max_shrink_time = 60_000;
    let rng_seed = RngSeed::Fixed(seed);
    Config { cases, failure_persistence: None, max_shrink_time, rng_seed, ..given }
}

#[test]
fn the_same_seed_gives_the_same_cases_and_another_gives_others() {
    use proptest::prelude::*;
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let cases = |config: Config| {
        let mut runner = TestRunner::new(config);
        let any = proptest::collection::vec(any::<u64>(), 4);
        (0..4).map(|_| any.new_tree(&mut runner).unwrap().current()).collect::<Vec<_>>()
    };
    let (one, other) = (config(1), config(1));
    assert_eq!(cases(one.clone()), cases(one.clone()));
    if std::env::var_os("PROPTEST_RNG_SEED").is_none() {
        assert_ne!(cases(one), cases(other));
    }
}

/// No random test of the suite begins from a seed that nobody is told.
#[test]
fn every_random_test_of_the_suite_begins_here() {
    let mut met = 0;
    for (file, text) in crate::tidy::rust_files("tests/suite") {
        if file.ends_with("seeded.rs") {
            continue;
        }
        let begun = text.matches("seeded::config(").count();
        let macros = text.matches("\nproptest! {").count();
        let runners = text.matches("TestRunner::new(").count();
        assert_eq!(begun, macros + runners, "{file}");
        met += begun;
    }
    assert!(met > 15, "{met}");
}
