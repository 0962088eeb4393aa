//! How many cases a property test takes, and from which seed: the same ones on every run, so that what passes today passes tomorrow.
//!
//! `PROPTEST_CASES` and `PROPTEST_RNG_SEED` in the environment change both, for a long search by hand:
//! `PROPTEST_CASES=1000000 PROPTEST_RNG_SEED=1 cargo test --release --lib units`. What such a search finds is kept in a regressions file
//! beside the test and tried first ever after.

use proptest::test_runner::{Config, FileFailurePersistence, RngSeed};

/// The seed of every property test.
const SEED: u64 = 20_260_309;

/// A property test of `count` cases.
pub fn cases(count: u32) -> Config {
    // The default holds what the environment says.
    let mut config = Config::default();
    if std::env::var_os("PROPTEST_CASES").is_none() {
        config.cases = count;
    }
    if config.rng_seed == RngSeed::Random {
        config.rng_seed = RngSeed::Fixed(SEED);
    }
    config.failure_persistence = Some(Box::new(FileFailurePersistence::WithSource("regressions")));
    config
}
