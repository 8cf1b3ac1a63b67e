//! A campaign: every seed of a target, then a counted number of changes to them, all through one
//! function; what it finds is made as small as it goes and told with its number.

use super::bodies::Checked;
use super::mutate::mutated;
use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::thread;

/// How often a case that fails is tried smaller.
const MOST_TRIES: u32 = 300;

/// What is tried, and how often where nobody says.
pub struct Campaign {
    pub target: &'static str,
    pub seeds: Vec<Vec<u8>>,
    pub usual: u64,
    /// Of a million that are asked for so many are tried: some cases take far longer than others.
    pub of_a_million: u64,
}

/// How often each outcome was met.
pub struct Tally(pub BTreeMap<&'static str, u64>);

impl Tally {
    pub fn cases(&self) -> u64 {
        self.0.values().sum()
    }

    /// At least so many of a thousand cases went this way: the campaign got that deep.
    #[track_caller]
    pub fn floor(&self, outcome: &str, per_mille: u64) {
        let met = self.0.get(outcome).copied().unwrap_or(0);
        let cases = self.cases();
        assert!(met > 0 && met * 1000 >= cases * per_mille, "{outcome}: {met} of {cases} cases");
    }
}

/// The seeds that are kept for a target.
pub fn seeds(target: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/seeds").join(target);
    let mut paths: Vec<_> =
        fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let seeds: Vec<Vec<u8>> = paths.iter().map(|path| fs::read(path).unwrap()).collect();
    assert!(!seeds.is_empty(), "{} has no seeds", folder.display());
    seeds
}

/// How many cases: `COWLSIDE_FUZZED` of a million, else the usual number.
pub fn cases(usual: u64, of_a_million: u64) -> u64 {
    let asked = std::env::var("COWLSIDE_FUZZED").ok().map(|text| text.parse::<u64>().unwrap());
    asked.map_or(usual, |asked| (asked * of_a_million / 1_000_000).max(usual))
}

/// Tries one case; a panic is an error like any other.
fn tried(bytes: &[u8], check: impl Fn(&[u8]) -> Checked) -> Checked {
    catch_unwind(AssertUnwindSafe(|| check(bytes)))
        .unwrap_or_else(|_| Err("it panics, as told above".into()))
}

/// Makes a case smaller as long as it still fails.
fn smaller(bytes: Vec<u8>, check: &impl Fn(&[u8]) -> Checked) -> Vec<u8> {
    let mut bytes = bytes;
    let mut piece = bytes.len() / 2;
    let mut tries = 0;
    while piece > 0 && tries < MOST_TRIES {
        let mut at = 0;
        while at < bytes.len() && tries < MOST_TRIES {
            let end = (at + piece).min(bytes.len());
            let less = [&bytes[..at], &bytes[end..]].concat();
            tries += 1;
            if tried(&less, check).is_err() {
                bytes = less;
            } else {
                at = end;
            }
        }
        piece /= 2;
    }
    bytes
}

impl Campaign {
    /// The case of a number: the seeds first, then what is made of them.
    fn case(&self, number: u64) -> Vec<u8> {
        let place = usize::try_from(number).unwrap();
        self.seeds.get(place).cloned().unwrap_or_else(|| mutated(&self.seeds, number))
    }

    /// Tries all of it on every processor, and returns what was met or the first thing that must
    /// never be.
    pub fn try_all(&self, check: impl Fn(&[u8]) -> Checked + Sync) -> Result<Tally, String> {
        let cases = self.seeds.len() as u64 + cases(self.usual, self.of_a_million);
        let threads = thread::available_parallelism().map_or(1, |count| count.get() as u64);
        let part = |first: u64| {
            let mut tally = BTreeMap::new();
            for number in (first..cases).step_by(usize::try_from(threads).unwrap()) {
                match tried(&self.case(number), &check) {
                    Ok(outcome) => *tally.entry(outcome).or_insert(0) += 1,
                    Err(_) => return Err(number),
                }
            }
            Ok(tally)
        };
        let part = &part;
        let parts: Vec<_> = thread::scope(|scope| {
            let running: Vec<_> =
                (0..threads).map(|first| scope.spawn(move || part(first))).collect();
            running.into_iter().map(|one| one.join().unwrap()).collect()
        });
        let mut tally = Tally(BTreeMap::new());
        for part in parts {
            let part = part.map_err(|number| {
                let small = smaller(self.case(number), &check);
                let wrong = tried(&small, &check).expect_err("it failed before");
                format!("{} case {number}: {wrong}\nbytes: {}", self.target, small.escape_ascii())
            })?;
            for (outcome, count) in part {
                *tally.0.entry(outcome).or_insert(0) += count;
            }
        }
        Ok(tally)
    }

    /// Tries all of it and tells the count.
    #[track_caller]
    pub fn run(&self, check: impl Fn(&[u8]) -> Checked + Sync) -> Tally {
        let tally = match self.try_all(check) {
            Ok(tally) => tally,
            Err(wrong) => panic!("{wrong}"),
        };
        let told: Vec<String> =
            tally.0.iter().map(|(outcome, count)| format!("{count} {outcome}")).collect();
        println!("{}: {} cases, {}", self.target, tally.cases(), told.join(", "));
        assert!(tally.cases() > 0, "no case was tried");
        tally
    }

    /// A faulty part is found by the same campaign, and by these words.
    #[track_caller]
    pub fn catches(&self, words: &str, check: impl Fn(&[u8]) -> Checked + Sync) {
        let wrong = self.try_all(check).err().expect("the faulty one was not found");
        assert!(wrong.contains(words), "found otherwise: {wrong}");
    }
}
