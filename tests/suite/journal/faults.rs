//! Storage that fails: nothing acknowledged is lost, nothing lost is acknowledged.
//!
//! Small counts run with all tests; `COWLSIDE_FAULTS=1000000 cargo test --release --test suite
//! journal::faults -- --nocapture` plays that many random histories.

use super::disk::{self, Disk, Fate, Fault, Honesty, Lasting};
use super::samples;
use cowlside::domain::entry::{Entry, Kept};
use cowlside::store::StoreError;
use cowlside::store::journal::{About, Journal, Shelf, Standing, Storage, Verdict};
use std::io;
use std::path::Path;

/// How a life of the program ends.
#[derive(Clone, Copy, Debug)]
enum Death {
    Killed,
    PowerCut(Fate),
}

fn deaths() -> Vec<Death> {
    std::iter::once(Death::Killed).chain(Fate::ALL.map(Death::PowerCut)).collect()
}

/// What a history on a disk has told the mechanic.
#[derive(Default)]
struct Told {
    /// Told as saved.
    acknowledged: Vec<Kept>,
    /// Handed over and not saved yet, in this life.
    waiting: Vec<Kept>,
    /// Shown as kept by a later life of the program.
    shown: Vec<Kept>,
}

impl Told {
    /// Takes up a session in a later life and returns what it shows as kept: the entry that sets a broken
    /// end aside may still wait for the disk.
    fn go_on(&mut self, journal: &Journal, mut entries: Vec<Kept>) -> Vec<Kept> {
        self.waiting = entries.split_off(entries.len() - journal.unsaved());
        entries
    }

    /// Hands an entry over; whatever the disk has by then is told as saved.
    fn add(&mut self, journal: &mut Journal, entry: &Entry) {
        let seq = self.waiting.last().map(|kept| kept.seq + 1);
        match journal.append(std::slice::from_ref(entry), samples::moment(), 0) {
            Ok(kept) => self.waiting.extend(kept),
            Err(not_kept) => {
                assert!(not_kept.error.to_string().starts_with("NOT SAVED: "));
                // Only its place is not told; it follows from the one before.
                let last = self.acknowledged.iter().chain(&self.shown).map(|kept| kept.seq).max();
                let seq = seq.or(last.map(|last| last + 1)).unwrap();
                let at = samples::moment();
                self.waiting.push(Kept { seq, at, entry: entry.clone() });
            }
        }
        let saved = self.waiting.len() - journal.unsaved();
        self.acknowledged.extend(self.waiting.drain(..saved));
    }
}

/// How the program goes on with what is on the disk.
type Resume = fn(&Disk) -> Result<(Journal, Vec<Kept>), StoreError>;

fn soundly(disk: &Disk) -> Result<(Journal, Vec<Kept>), StoreError> {
    disk::resume(disk).map(|(journal, opened)| (journal, opened.entries))
}

/// A program that forgot which files it knew nothing of.
fn trustingly(disk: &Disk) -> Result<(Journal, Vec<Kept>), StoreError> {
    let standing = match disk.standing() {
        Standing::Doubted => Standing::Sound,
        standing @ (Standing::Sound | Standing::GivenUp) => standing,
    };
    disk::resume_as(disk, standing).map(|(journal, opened)| (journal, opened.entries))
}

/// Plays three lives of the program on a disk, the last one without faults.
fn play(disk: &Disk, death: Death, resume: Resume) -> Told {
    let entries = disk::middle();
    let mut told = Told::default();
    for life in 0..3 {
        if life == 2 {
            disk.mend();
        }
        let started = if life == 0 {
            disk::create(disk).map(|(journal, head)| {
                told.acknowledged.push(head);
                journal
            })
        } else {
            resume(&disk.best()).map(|(journal, entries)| {
                let kept = told.go_on(&journal, entries);
                told.shown.extend(kept);
                journal
            })
        };
        if let Ok(mut journal) = started {
            for entry in &entries[3 * life..3 * life + 3] {
                told.add(&mut journal, entry);
            }
        }
        told.waiting.clear();
        if let (Death::PowerCut(fate), true) = (death, life < 2) {
            disk.cut_power(fate);
        }
    }
    told
}

#[derive(Default, Debug)]
struct Count {
    histories: u32,
    acknowledged: usize,
    lost: usize,
    lost_pages: usize,
    shown_and_lost: usize,
    damaged: u32,
    holes: u32,
    new_files: usize,
}

impl Count {
    fn judge(&mut self, disk: &Disk, told: &Told) {
        let (found, verdict) = disk::read(&disk.best().bytes());
        let lost = |kept: &[Kept]| kept.iter().filter(|one| !found.contains(one)).count();
        self.histories += 1;
        self.acknowledged += told.acknowledged.len();
        match disk.lost_pages() {
            true => self.lost_pages += lost(&told.acknowledged),
            false => self.lost += lost(&told.acknowledged),
        }
        self.shown_and_lost += lost(&told.shown);
        let damaged = matches!(verdict, Verdict::Damaged(_));
        self.damaged += u32::from(damaged && !disk.lost_pages());
        self.holes += u32::from(damaged && disk.lost_pages());
        self.new_files += disk.files().len() - 1;
    }
}

/// Fails the n-th call for n = 1, 2, ... until a run comes through without a fault; at the end of
/// every history the power is cut.
fn every_call(fault: Fault, lasting: Lasting, honesty: Honesty, resume: Resume) -> Count {
    let mut count = Count::default();
    for death in deaths() {
        for call in 1.. {
            let disk = Disk::new(honesty);
            disk.fail(call, fault, lasting);
            let told = play(&disk, death, resume);
            disk.cut_power(match death {
                Death::Killed => Fate::Absent,
                Death::PowerCut(fate) => fate,
            });
            count.judge(&disk, &told);
            if !disk.has_failed() {
                break;
            }
        }
    }
    count
}

#[test]
fn no_acknowledged_entry_is_lost_whichever_call_to_the_storage_fails() {
    for fault in [Fault::Full, Fault::Broken, Fault::Short, Fault::Interrupted] {
        for lasting in [Lasting::Once, Lasting::FromThenOn] {
            let count = every_call(fault, lasting, Honesty::Honest, soundly);
            println!("{fault:?} {lasting:?}: {count:?}");
            assert!(count.histories > 100 && count.acknowledged > 500);
            assert_eq!((count.lost, count.shown_and_lost, count.damaged), (0, 0, 0));
            assert!(count.new_files > 0 || lasting == Lasting::FromThenOn, "none was made");
        }
    }
}

#[test]
fn a_sync_that_fails_once_and_then_lies_loses_nothing_that_was_acknowledged() {
    let count = every_call(Fault::SyncLosesPages, Lasting::Once, Honesty::Honest, soundly);
    println!("{count:?}");
    assert!(count.histories > 100 && count.acknowledged > 500);
    assert_eq!((count.lost, count.lost_pages, count.shown_and_lost), (0, 0, 0));
    assert_eq!((count.damaged, count.holes), (0, 0));
    assert!(count.new_files > 100, "the session goes on in a new file");
}

#[test]
fn a_disk_that_lies_about_syncing_is_found_out_by_these_tests() {
    let count = every_call(Fault::Broken, Lasting::Once, Honesty::Lying, soundly);
    println!("{count:?}");
    assert!(count.lost > 100);
}

/// A disk as it looks to a writer that tries a failed sync again and believes the second answer.
struct TriesSyncAgain(Disk);

impl Storage for TriesSyncAgain {
    fn about(&mut self) -> io::Result<About> {
        self.0.about()
    }
    fn read_all(&mut self) -> io::Result<Vec<u8>> {
        self.0.read_all()
    }
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }
    fn sync_data(&mut self) -> io::Result<()> {
        self.0.sync_data().or_else(|_| self.0.sync_data())
    }
    fn sync_all(&mut self) -> io::Result<()> {
        self.sync_data()
    }
    fn sync_folder(&mut self) -> io::Result<()> {
        self.0.sync_folder()
    }
}

impl Shelf for TriesSyncAgain {
    fn create(&mut self, path: &Path) -> io::Result<Box<dyn Storage>> {
        self.0.create(path)
    }
    fn doubt(&mut self, path: &Path) {
        self.0.doubt(path);
    }
    fn remove(&mut self, path: &Path) -> io::Result<()> {
        self.0.remove(path)
    }
}

#[test]
fn a_writer_that_tries_a_failed_sync_again_is_found_out_by_these_tests() {
    let trying_again: Resume = |disk| {
        let again = || TriesSyncAgain(disk.clone());
        let on: (Box<dyn Storage>, Box<dyn Shelf>) = (Box::new(again()), Box::new(again()));
        let (path, moment) = (Path::new("sample.jsonl"), (samples::moment(), 0));
        let resumed = Journal::resume_on(on, path, Standing::Sound, &samples::parse, moment);
        resumed.map(|(journal, opened)| (journal, opened.entries))
    };
    let count = every_call(Fault::SyncLosesPages, Lasting::Once, Honesty::Honest, trying_again);
    println!("{count:?}");
    assert!(count.lost_pages > 5 && count.holes > 5, "{count:?}");
}

/// Numbers that look random, the same for the same seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % most
    }

    fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::try_from(self.below(of.len() as u64)).unwrap()]
    }
}

/// Plays eight lives with random entries, faults and deaths, then reads what is there.
fn random_history(seed: u64, honesty: Honesty, resume: Resume, count: &mut Count) {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let disk = Disk::new(honesty);
    let mut told = Told::default();
    for life in 0..8 {
        if dice.below(4) > 0 {
            let fault = dice.one_of(&[
                Fault::Full,
                Fault::Broken,
                Fault::Short,
                Fault::Interrupted,
                Fault::SyncLosesPages,
            ]);
            let lasting = dice.one_of(&[Lasting::Once, Lasting::Once, Lasting::FromThenOn]);
            disk.fail(disk.calls() + 1 + dice.below(24), fault, lasting);
        }
        let best = disk.best();
        let started = if life == 0 || best.bytes().is_empty() {
            let empty = best.bytes().is_empty() && !best.given_up();
            empty.then(|| disk::create(&best)).and_then(|created| {
                let (journal, head) = created.ok()?;
                told.acknowledged.push(head);
                Some(journal)
            })
        } else if disk::read(&best.bytes()).0.len() < 2 {
            // A head alone is of no engine: the program never goes on with it.
            None
        } else {
            resume(&best).ok().map(|(journal, entries)| {
                told.shown = told.go_on(&journal, entries);
                journal
            })
        };
        if let Some(mut journal) = started {
            for _ in 0..dice.below(6) {
                let entry = &disk::middle()[usize::try_from(dice.below(20)).unwrap()];
                told.add(&mut journal, entry);
                if dice.below(5) == 0 {
                    // The disk has room again, or is there again.
                    disk.mend();
                }
            }
        }
        told.waiting.clear();
        disk.mend();
        if dice.below(2) == 0 {
            disk.cut_power(dice.one_of(&Fate::ALL));
        }
    }
    disk.cut_power(Fate::Absent);
    count.judge(&disk, &told);
}

#[test]
fn no_acknowledged_entry_is_lost_in_random_histories_of_eight_lives() {
    let asked = std::env::var("COWLSIDE_FAULTS").ok().and_then(|count| count.parse().ok());
    let histories: u64 = asked.unwrap_or(2_000);
    let mut count = Count::default();
    for seed in 1..=histories {
        random_history(seed, Honesty::Honest, soundly, &mut count);
        assert_eq!((count.lost, count.lost_pages, count.shown_and_lost), (0, 0, 0), "seed {seed}");
        assert_eq!((count.damaged, count.holes), (0, 0), "seed {seed}");
    }
    println!("{count:?}");
    assert!(count.acknowledged > 1_000 && count.new_files > 100, "{count:?}");
    // Negative controls: with a disk whose syncs do nothing the same histories lose entries, and a
    // program that goes on with any file that is there shows some that are not on the disk.
    let mut lying = Count::default();
    (1..=200).for_each(|seed| random_history(seed, Honesty::Lying, soundly, &mut lying));
    println!("lying: {lying:?}");
    assert!(lying.lost + lying.lost_pages > 100, "{lying:?}");
    let mut trusting = Count::default();
    (1..=2_000).for_each(|seed| random_history(seed, Honesty::Honest, trustingly, &mut trusting));
    println!("trusting: {trusting:?}");
    assert!(trusting.shown_and_lost > 0 && trusting.holes > 0, "{trusting:?}");
}

#[test]
fn a_full_disk_stops_nothing_and_the_torn_line_is_completed_when_there_is_room() {
    let disk = Disk::new(Honesty::Honest);
    let (mut journal, _) = disk::create(&disk).unwrap();
    let entries = disk::middle();
    disk.fail(disk.calls() + 2, Fault::Short, Lasting::FromThenOn);
    let not_kept = journal.append(&entries[..2], samples::moment(), 0).unwrap_err();
    assert_eq!(not_kept.kept, []);
    assert_eq!(not_kept.error.to_string(), "NOT SAVED: disk full on ");
    assert!(journal.append(&entries[2..3], samples::moment(), 0).is_err());
    assert_eq!(journal.unsaved(), 3);
    assert!(matches!(disk::read(&disk.bytes()).1, Verdict::CutOff(_)));
    disk.mend();
    journal.save().unwrap();
    assert_eq!(journal.unsaved(), 0);
    let (found, verdict) = disk::read(&disk.bytes());
    assert_eq!((found.len(), verdict, disk.files().len()), (4, Verdict::Clean, 1));
}

#[test]
fn bytes_that_another_program_appended_stop_the_writing_there() {
    let disk = Disk::new(Honesty::Honest);
    let (mut journal, _) = disk::create(&disk).unwrap();
    let entries = disk::middle();
    journal.append(&entries[..2], samples::moment(), 0).unwrap();
    disk.append_behind(b"x");
    let before = disk.bytes();
    journal.append(&entries[2..4], samples::moment(), 0).unwrap();
    assert_eq!(disk.bytes(), before);
    let (found, verdict) = disk::read(&disk.best().bytes());
    assert_eq!((found.len(), verdict, disk.files().len()), (5, Verdict::Clean, 2));
    assert_eq!(journal.path(), Path::new("sample.c2.jsonl"));
}

#[test]
fn entries_before_the_one_that_failed_are_told_as_kept() {
    let disk = Disk::new(Honesty::Honest);
    let (mut journal, _) = disk::create(&disk).unwrap();
    // Each entry takes three calls: length, write, sync. The third entry's sync fails.
    disk.fail(disk.calls() + 9, Fault::Full, Lasting::FromThenOn);
    let not_kept = journal.append(&disk::middle()[..5], samples::moment(), 0).unwrap_err();
    assert_eq!(not_kept.kept.iter().map(|kept| kept.seq).collect::<Vec<_>>(), [1, 2]);
    assert!(not_kept.error.to_string().starts_with("NOT SAVED: "));
}

#[test]
fn a_disk_whose_every_sync_fails_is_not_littered_with_files() {
    let disk = Disk::new(Honesty::Honest);
    let (mut journal, _) = disk::create(&disk).unwrap();
    journal.append(&disk::middle()[..1], samples::moment(), 0).unwrap();
    for _ in 0..40 {
        // The third call of a new file is its sync; of the old one, too.
        disk.fail(disk.calls() + 3, Fault::SyncLosesPages, Lasting::FromThenOn);
        let _ = journal.append(&disk::middle()[..1], samples::moment(), 0);
    }
    assert_eq!(journal.unsaved(), 40);
    assert!((2..=9).contains(&disk.files().len()), "{}", disk.files().len());
}

#[test]
fn an_entry_that_is_too_long_for_a_line_is_refused_and_the_journal_stays_open() {
    let disk = Disk::new(Honesty::Honest);
    let (mut journal, _) = disk::create(&disk).unwrap();
    let long = Entry::Away(cowlside::domain::entry::Away { text: "a".repeat(64 * 1024) });
    let refused = journal.append(&[long], samples::moment(), 0).unwrap_err();
    assert!(matches!(refused.error, StoreError::Unkeepable { kind: "away", .. }));
    assert_eq!(refused.error.hint(), "make the text shorter");
    journal.append(&disk::middle()[..1], samples::moment(), 0).unwrap();
}

#[test]
fn resuming_syncs_once_before_the_first_append_and_trusts_no_file_that_cannot_be_synced() {
    let disk = Disk::new(Honesty::Honest);
    drop(disk::create(&disk).unwrap());
    // Read, then sync: the second call of the resumed life.
    disk.fail(disk.calls() + 2, Fault::Broken, Lasting::Once);
    let (journal, _) = disk::resume(&disk).unwrap();
    assert_eq!(journal.path(), Path::new("sample.c2.jsonl"));
    assert_eq!(disk::read(&disk.best().bytes()).1, Verdict::Clean);
    disk.fail(disk.calls() + 2, Fault::Broken, Lasting::FromThenOn);
    // Nobody is barred by it: all of it waits.
    let (journal, _) = disk::resume(&disk.best()).unwrap();
    assert!(journal.unsaved() > 0);
}
