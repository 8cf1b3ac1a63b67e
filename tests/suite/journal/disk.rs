//! A disk in memory: what the system shows, what is truly on the platter, and faults on demand.

use super::samples;
use cowlside::domain::entry::{Entry, Kept};
use cowlside::store::StoreError;
use cowlside::store::journal::{
    About, Journal, Opened, Shelf, Standing, Storage, Verdict, meaning, numbered, scan,
};
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock, Mutex, MutexGuard};

/// What goes wrong with a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The call does nothing: there is no room.
    Full,
    /// The call does nothing and gives an error.
    Broken,
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

/// One file: what the system shows, and what is truly there.
#[derive(Debug, Default)]
struct Inside {
    shown: Vec<u8>,
    synced: usize,
    lost: Vec<Range<usize>>,
    named: bool,
}

#[derive(Debug)]
struct Platter {
    files: BTreeMap<PathBuf, Inside>,
    calls: u64,
    fault: Option<(u64, Fault, Lasting)>,
    fired: bool,
    pages_lost: bool,
    honesty: Honesty,
    /// Files of which the program noted that it knows nothing any more; in the system's memory only.
    doubted: BTreeSet<PathBuf>,
}

/// A handle on a file of the disk; clones share it.
#[derive(Clone, Debug)]
pub struct Disk(Arc<Mutex<Platter>>, PathBuf);

impl Disk {
    pub fn new(honesty: Honesty) -> Disk {
        let path = PathBuf::from("sample.jsonl");
        let files = BTreeMap::from([(path.clone(), Inside::default())]);
        let (fault, doubted) = (None, BTreeSet::new());
        let platter =
            Platter { files, calls: 0, fault, fired: false, pages_lost: false, honesty, doubted };
        Disk(Arc::new(Mutex::new(platter)), path)
    }

    pub fn holding(bytes: &[u8]) -> Disk {
        let disk = Disk::new(Honesty::Honest);
        let file =
            Inside { shown: bytes.to_vec(), synced: bytes.len(), named: true, ..Inside::default() };
        disk.platter().files.insert(disk.1.clone(), file);
        disk
    }

    /// The `call`-th call from the beginning goes wrong.
    pub fn fail(&self, call: u64, fault: Fault, lasting: Lasting) {
        let mut platter = self.platter();
        platter.fired = false;
        platter.fault = Some((call, fault, lasting));
    }

    pub fn mend(&self) {
        self.platter().fault = None;
    }

    pub fn has_failed(&self) -> bool {
        self.platter().fired
    }

    /// Whether a sync ever lost pages.
    pub fn lost_pages(&self) -> bool {
        self.platter().pages_lost
    }

    pub fn calls(&self) -> u64 {
        self.platter().calls
    }

    /// Every file, as the system shows it.
    pub fn files(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let platter = self.platter();
        platter.files.iter().map(|(path, file)| (path.clone(), file.shown.clone())).collect()
    }

    /// The file that a listing shows of the session: the one with most entries, of equal ones the
    /// last.
    pub fn best(&self) -> Disk {
        let weight = |(path, bytes): &(PathBuf, Vec<u8>)| {
            (scan::scan(bytes).records.len(), numbered(path).1)
        };
        let best = self.files().into_iter().max_by_key(weight);
        Disk(Arc::clone(&self.0), best.map_or_else(|| self.1.clone(), |(path, _)| path))
    }

    /// Whether a file with a higher number lies beside this one.
    pub fn given_up(&self) -> bool {
        let number = numbered(&self.1).1;
        self.platter().files.keys().any(|path| numbered(path).1 > number)
    }

    /// How far an earlier life left the file.
    pub fn standing(&self) -> Standing {
        let doubted = self.platter().doubted.contains(&self.1);
        match (doubted, self.given_up()) {
            (true, _) => Standing::Doubted,
            (false, true) => Standing::GivenUp,
            (false, false) => Standing::Sound,
        }
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.platter().files.get(&self.1).map(|file| file.shown.clone()).unwrap_or_default()
    }

    /// Whole entries of the file that a power cut now would leave.
    pub fn after_a_power_cut(&self) -> usize {
        let platter = self.platter();
        let Some(file) = platter.files.get(&self.1) else { return 0 };
        read(&file.shown[..file.synced]).0.len()
    }

    /// Another program appends.
    pub fn append_behind(&self, bytes: &[u8]) {
        self.platter().file(&self.1).shown.extend_from_slice(bytes);
    }

    /// The power goes and comes back.
    pub fn cut_power(&self, fate: Fate) {
        let mut platter = self.platter();
        platter.doubted.clear();
        platter.files.retain(|_, file| file.named || fate != Fate::Absent);
        platter.files.values_mut().for_each(|file| file.cut_power(fate));
        platter.files.entry(self.1.clone()).or_default();
    }

    fn platter(&self) -> MutexGuard<'_, Platter> {
        self.0.lock().expect("no test panics while it holds the disk")
    }
}

impl Inside {
    fn cut_power(&mut self, fate: Fate) {
        let tail = self.shown.split_off(self.synced.min(self.shown.len()));
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
        self.shown.extend(left);
        for range in std::mem::take(&mut self.lost) {
            let end = range.end.min(self.shown.len());
            if let Some(pages) = self.shown.get_mut(range.start..end) {
                pages.fill(0);
            }
        }
        self.synced = self.shown.len();
        self.named = true;
    }
}

impl Platter {
    fn file(&mut self, path: &Path) -> &mut Inside {
        self.files.entry(path.to_owned()).or_default()
    }

    /// Counts a call and says what goes wrong with it.
    fn called(&mut self) -> Option<Fault> {
        self.calls += 1;
        let (call, fault, lasting) = self.fault?;
        let again = lasting == Lasting::FromThenOn && self.calls > call;
        let second_half = fault == Fault::Short && self.fired && self.calls == call + 1;
        let goes_wrong = self.calls == call || again || second_half;
        self.fired |= goes_wrong;
        goes_wrong.then_some(if self.calls > call && fault == Fault::Short {
            Fault::Full
        } else {
            fault
        })
    }

    fn sync(&mut self, path: &Path) -> io::Result<()> {
        let fault = self.called();
        let honest = self.honesty == Honesty::Honest;
        let file = self.file(path);
        match fault {
            None => {
                if honest {
                    file.synced = file.shown.len();
                }
                Ok(())
            }
            Some(Fault::SyncLosesPages) => {
                let pages = file.synced..file.shown.len();
                file.lost.push(pages);
                // The system believes these pages written.
                file.synced = file.shown.len();
                self.pages_lost = true;
                Err(Fault::SyncLosesPages.error())
            }
            Some(fault) => Err(fault.error()),
        }
    }
}

impl Fault {
    fn error(self) -> io::Error {
        match self {
            Fault::Full | Fault::Short => io::ErrorKind::StorageFull.into(),
            Fault::Interrupted | Fault::Broken | Fault::SyncLosesPages => {
                io::Error::other("a fault of the disk")
            }
        }
    }
}

impl Shelf for Disk {
    fn create(&mut self, path: &Path) -> io::Result<Box<dyn Storage>> {
        let mut platter = self.platter();
        if let Some(fault) = platter.called() {
            return Err(fault.error());
        }
        if platter.files.contains_key(path) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        platter.file(path);
        Ok(Box::new(Disk(Arc::clone(&self.0), path.to_owned())))
    }

    fn begun(&mut self, path: &Path) -> Option<Box<dyn Storage>> {
        let mut platter = self.platter();
        let is_there = platter.called().is_none() && platter.files.contains_key(path);
        let begun = Disk(Arc::clone(&self.0), path.to_owned());
        (is_there && !platter.doubted.contains(path)).then(|| Box::new(begun) as Box<dyn Storage>)
    }

    fn doubt(&mut self, path: &Path) {
        self.platter().doubted.insert(path.to_owned());
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        self.platter().files.remove(path).map(|_| ()).ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl Storage for Disk {
    fn about(&mut self) -> io::Result<About> {
        let mut platter = self.platter();
        match platter.called() {
            // To look at a file takes no room.
            None | Some(Fault::Full | Fault::Short) => Ok(About {
                length: platter.file(&self.1).shown.len() as u64,
                names: 1,
                there: true,
            }),
            Some(fault) => Err(fault.error()),
        }
    }

    fn read_all(&mut self) -> io::Result<Vec<u8>> {
        let mut platter = self.platter();
        match platter.called() {
            None | Some(Fault::Full | Fault::Short) => Ok(platter.file(&self.1).shown.clone()),
            Some(fault) => Err(fault.error()),
        }
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut platter = self.platter();
        let count = match platter.called() {
            None => bytes.len(),
            Some(Fault::Short) => bytes.len() / 2,
            Some(Fault::Interrupted) => {
                platter.fault = None;
                return Err(io::ErrorKind::Interrupted.into());
            }
            Some(fault) => return Err(fault.error()),
        };
        platter.file(&self.1).shown.extend_from_slice(&bytes[..count]);
        Ok(count)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        let path = self.1.clone();
        self.platter().sync(&path)
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.sync_data()
    }

    fn sync_folder(&mut self) -> io::Result<()> {
        let mut platter = self.platter();
        match platter.called() {
            None => {
                if platter.honesty == Honesty::Honest {
                    platter.file(&self.1).named = true;
                }
                Ok(())
            }
            Some(fault) => Err(fault.error()),
        }
    }
}

pub fn on(disk: &Disk) -> (Box<dyn Storage>, Box<dyn Shelf>) {
    (Box::new(disk.clone()), Box::new(disk.clone()))
}

/// Starts a sample session on a disk.
pub fn create(disk: &Disk) -> Result<(Journal, Kept), StoreError> {
    Journal::create_on(on(disk), &disk.1, samples::head(), samples::moment(), 0)
}

/// Goes on with the session on a disk.
pub fn resume(disk: &Disk) -> Result<(Journal, Opened), StoreError> {
    resume_as(disk, disk.standing())
}

/// The same, with the file taken for what is said.
pub fn resume_as(disk: &Disk, standing: Standing) -> Result<(Journal, Opened), StoreError> {
    let moment = (samples::moment(), 0);
    Journal::resume_on(on(disk), &disk.1, standing, &samples::parse, moment)
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
