//! A disk in memory: what the system shows, what is truly on the platter, and faults on demand.

use super::samples;
use cowlside::domain::entry::{Entry, Kept};
use cowlside::store::StoreError;
use cowlside::store::journal::{Journal, Opened, Storage, Verdict, meaning, scan};
use std::io;
use std::ops::Range;
use std::path::Path;
use std::sync::{Arc, LazyLock, Mutex, MutexGuard};

/// What goes wrong with a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The call does nothing and gives an error.
    Error,
    /// A write puts down half and the next call gives an error; any other call gives an error.
    Short,
    /// A write is interrupted and may be made again; any other call gives an error.
    Interrupted,
    /// A sync gives an error and what was written since the last one never reaches the platter,
    /// whatever later syncs say; any other call gives an error.
    SyncLosesPages,
}

/// Whether a fault goes away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lasting {
    Once,
    FromThenOn,
}

/// What a power cut leaves of bytes that were not synced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    Absent,
    All,
    Half,
    Nul,
    HalfThenNul,
    Garbage,
}

impl Fate {
    pub const ALL: [Fate; 6] =
        [Fate::Absent, Fate::All, Fate::Half, Fate::Nul, Fate::HalfThenNul, Fate::Garbage];
}

/// Whether a sync does anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Honesty {
    Honest,
    /// For negative controls: says yes and keeps nothing.
    Lying,
}

#[derive(Debug)]
struct Inside {
    shown: Vec<u8>,
    synced: usize,
    lost: Vec<Range<usize>>,
    calls: u64,
    fault: Option<(u64, Fault, Lasting)>,
    fired: bool,
    honesty: Honesty,
}

/// A handle on the disk; clones share it.
#[derive(Clone, Debug)]
pub struct Disk(Arc<Mutex<Inside>>);

impl Disk {
    pub fn new(honesty: Honesty) -> Disk {
        Disk(Arc::new(Mutex::new(Inside {
            shown: Vec::new(),
            synced: 0,
            lost: Vec::new(),
            calls: 0,
            fault: None,
            fired: false,
            honesty,
        })))
    }

    pub fn holding(bytes: &[u8]) -> Disk {
        let disk = Disk::new(Honesty::Honest);
        disk.inside().shown = bytes.to_vec();
        disk.inside().synced = bytes.len();
        disk
    }

    /// The `call`-th call from the beginning goes wrong.
    pub fn fail(&self, call: u64, fault: Fault, lasting: Lasting) {
        self.inside().fault = Some((call, fault, lasting));
    }

    pub fn mend(&self) {
        self.inside().fault = None;
    }

    pub fn has_failed(&self) -> bool {
        self.inside().fired
    }

    pub fn calls(&self) -> u64 {
        self.inside().calls
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.inside().shown.clone()
    }

    /// Another program appends.
    pub fn append_behind(&self, bytes: &[u8]) {
        self.inside().shown.extend_from_slice(bytes);
    }

    /// The power goes and comes back.
    pub fn cut_power(&self, fate: Fate) {
        let mut inside = self.inside();
        let synced = inside.synced;
        let tail = inside.shown.split_off(synced);
        let half = tail.len() / 2;
        let left = match fate {
            Fate::Absent => Vec::new(),
            Fate::All => tail,
            Fate::Half => tail[..half].to_vec(),
            Fate::Nul => vec![0; tail.len()],
            Fate::HalfThenNul => {
                let nuls = std::iter::repeat_n(0, tail.len() - half);
                tail[..half].iter().copied().chain(nuls).collect()
            }
            Fate::Garbage => tail.iter().map(|byte| byte.wrapping_mul(151) ^ 0xa5).collect(),
        };
        inside.shown.extend(left);
        for range in std::mem::take(&mut inside.lost) {
            let end = range.end.min(inside.shown.len());
            if let Some(pages) = inside.shown.get_mut(range.start..end) {
                pages.fill(0);
            }
        }
        inside.synced = inside.shown.len();
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.0.lock().expect("no test panics while it holds the disk")
    }
}

impl Inside {
    /// Counts a call and says what goes wrong with it.
    fn called(&mut self) -> Option<Fault> {
        self.calls += 1;
        let (call, fault, lasting) = self.fault?;
        let again = lasting == Lasting::FromThenOn && self.calls > call;
        let second_half = fault == Fault::Short && self.fired && self.calls == call + 1;
        let goes_wrong = self.calls == call || again || second_half;
        self.fired |= goes_wrong;
        goes_wrong.then_some(if self.calls > call && fault == Fault::Short {
            Fault::Error
        } else {
            fault
        })
    }

    fn sync(&mut self) -> io::Result<()> {
        match self.called() {
            None => {
                if self.honesty == Honesty::Honest {
                    self.synced = self.shown.len();
                }
                Ok(())
            }
            Some(Fault::SyncLosesPages) => {
                let pages = self.synced..self.shown.len();
                self.lost.push(pages);
                Err(broken())
            }
            Some(Fault::Error | Fault::Short | Fault::Interrupted) => Err(broken()),
        }
    }
}

fn broken() -> io::Error {
    io::Error::from(io::ErrorKind::StorageFull)
}

impl Storage for Disk {
    fn length(&mut self) -> io::Result<u64> {
        let mut inside = self.inside();
        match inside.called() {
            None => Ok(inside.shown.len() as u64),
            Some(_) => Err(broken()),
        }
    }

    fn read_all(&mut self) -> io::Result<Vec<u8>> {
        let mut inside = self.inside();
        match inside.called() {
            None => Ok(inside.shown.clone()),
            Some(_) => Err(broken()),
        }
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut inside = self.inside();
        let count = match inside.called() {
            None => bytes.len(),
            Some(Fault::Short) => bytes.len() / 2,
            Some(Fault::Interrupted) => {
                inside.fault = None;
                return Err(io::ErrorKind::Interrupted.into());
            }
            Some(Fault::Error | Fault::SyncLosesPages) => return Err(broken()),
        };
        inside.shown.extend_from_slice(&bytes[..count]);
        Ok(count)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.inside().sync()
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.inside().sync()
    }

    fn sync_folder(&mut self) -> io::Result<()> {
        match self.inside().called() {
            None => Ok(()),
            Some(_) => Err(broken()),
        }
    }
}

/// Starts a sample session on a disk.
pub fn create(disk: &Disk) -> Result<(Journal, Kept), StoreError> {
    let (path, at) = (Path::new("sample.jsonl"), samples::moment());
    Journal::create_on(Box::new(disk.clone()), path, samples::head(), at, 0)
}

/// Goes on with the session on a disk.
pub fn resume(disk: &Disk) -> Result<(Journal, Opened), StoreError> {
    let (path, at) = (Path::new("sample.jsonl"), samples::moment());
    Journal::resume_on(Box::new(disk.clone()), path, &samples::parse, at, 0)
}

/// Reads a session's bytes.
pub fn read(bytes: &[u8]) -> (Vec<Kept>, Verdict) {
    meaning::entries(&scan::scan(bytes), &samples::parse)
}

/// Short entries of every kind that may stand in the middle of a session.
pub fn middle() -> &'static [Entry] {
    static MIDDLE: LazyLock<Vec<Entry>> = LazyLock::new(|| {
        let apart = ["head", "seal", "recover", "adopt"];
        let kinds = samples::kinds().into_iter().filter(|kind| !apart.contains(kind));
        kinds.flat_map(samples::of_kind).collect()
    });
    &MIDDLE
}

/// The bytes of a whole session of `records` short records.
pub fn session(records: usize) -> Vec<u8> {
    let disk = Disk::new(Honesty::Honest);
    let (mut journal, _) = create(&disk).unwrap();
    let kinds = ["who", "away", "proof", "unload", "release", "back"];
    let short: Vec<Entry> = kinds.into_iter().flat_map(samples::of_kind).collect();
    let entries: Vec<Entry> = short.into_iter().cycle().take(records - 1).collect();
    let kept = journal.append(&entries, samples::moment(), 0).unwrap();
    assert_eq!(kept.len(), records - 1);
    disk.bytes()
}
