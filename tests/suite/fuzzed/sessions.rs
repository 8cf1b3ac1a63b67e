//! Session files: as they were written, damaged, and whole ones that say anything at all.

use super::bodies::journal::{self, Loaded};
use super::campaign::{Campaign, seeds};
use cowlside::domain::entry::{Entry, Kept};
use cowlside::store::journal::Verdict;

fn sessions() -> Campaign {
    let mut seeds = seeds("journal");
    let released = include_bytes!("../../released/session-0.1.0.jsonl");
    seeds.extend([b"0", b"1"].map(|choice| [&choice[..], released].concat()));
    Campaign { target: "journal", seeds, usual: 1_500, of_a_million: 100_000 }
}

#[test]
fn no_entry_is_shown_beyond_a_break_and_healing_only_appends() {
    let tally = sessions().run(|bytes| journal::check(bytes, journal::load));
    for outcome in ["clean", "cut off", "damaged", "faulty"] {
        tally.floor(outcome, 20);
    }
    tally.floor("no session", 2);
}

#[test]
fn a_loader_that_ignores_the_chain_is_found() {
    // The lines are believed as they stand: whatever follows a break is taken for the next entry.
    sessions().catches("follows another one", |bytes| {
        journal::check(bytes, |file| {
            let mut loaded = journal::load(file);
            if let Verdict::Damaged(_) = loaded.verdict {
                loaded.verdict = Verdict::Clean;
                for (place, one) in (0..).zip(&mut loaded.chain) {
                    one.0 = place;
                }
                renumber(&mut loaded.entries);
            }
            loaded
        })
    });
    // A gap is passed over in silence.
    sessions().catches("missing []", |bytes| {
        journal::check(bytes, |file| {
            let mut loaded = journal::load(file);
            if let Verdict::Damaged(damage) = &mut loaded.verdict {
                damage.missing.clear();
            }
            loaded
        })
    });
}

fn renumber(entries: &mut [Kept]) {
    for (place, one) in (0..).zip(entries) {
        one.seq = place;
    }
}

#[test]
fn a_loader_that_invents_an_entry_or_misreads_one_is_found() {
    sessions().catches("no line with its hash", |bytes| {
        journal::check(bytes, |file| {
            let mut loaded = journal::load(file);
            if let Some(last) = loaded.chain.last().cloned() {
                loaded.chain.push((last.0 + 1, "0".repeat(32), last.1));
            }
            loaded
        })
    });
    sessions().catches("lost by healing", |bytes| {
        journal::check(bytes, |file| {
            let Loaded { chain, mut entries, verdict } = journal::load(file);
            // Of a file that is not whole the last entry is read otherwise.
            if let (Verdict::CutOff(_), Some(Kept { entry: Entry::Begin(begin), .. })) =
                (&verdict, entries.get_mut(1))
            {
                begin.engine = Some("another".into());
            }
            Loaded { chain, entries, verdict }
        })
    });
}
