//! The thread that brings lines to the disk, on a disk whose syncs wait until the test lets each go.

use super::disk::{Disk, Fault, Honesty, Lasting, middle, on, read};
use super::samples;
use cowlside::domain::entry::Entry;
use cowlside::store::journal::{About, Journal, Progress, Shelf, Storage, Watch, Writer, writer};
use std::io;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

/// How a sync ends.
type Ends = io::Result<()>;

/// A disk of which each sync tells that it has begun and waits until it is told how it ends.
struct Slow {
    disk: Box<dyn Storage>,
    begun: Sender<()>,
    ends: Receiver<Ends>,
    /// For the negative control: says that all is on the disk before it is.
    hasty: bool,
}

impl Slow {
    fn sync(&mut self) -> io::Result<()> {
        // The test may have gone.
        let _ = self.begun.send(());
        if self.hasty {
            return Ok(());
        }
        self.ends.recv().unwrap_or(Ok(()))?;
        self.disk.sync_data()
    }
}

impl Storage for Slow {
    fn about(&mut self) -> io::Result<About> {
        self.disk.about()
    }

    fn read_all(&mut self) -> io::Result<Vec<u8>> {
        self.disk.read_all()
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.disk.write(bytes)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.sync()
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.sync()
    }

    fn sync_folder(&mut self) -> io::Result<()> {
        self.disk.sync_folder()
    }
}

/// A writer on such a disk, and what lets its syncs go.
struct Desk {
    disk: Disk,
    writer: Writer,
    begun: Receiver<()>,
    ends: Sender<Ends>,
    woken: Receiver<()>,
}

fn desk(hasty: bool) -> Desk {
    let disk = Disk::new(Honesty::Honest);
    let (storage, shelf): (Box<dyn Storage>, Box<dyn Shelf>) = on(&disk);
    let (begins, begun) = channel();
    let (ends, end) = channel();
    let slow = Slow { disk: storage, begun: begins, ends: end, hasty };
    // The head is waited for before there is a session.
    ends.send(Ok(())).unwrap();
    let on = (Box::new(slow) as Box<dyn Storage>, shelf);
    let path = Path::new("sample.jsonl");
    let (journal, _) = Journal::create_on(on, path, samples::head(), samples::moment(), 0).unwrap();
    begun.recv().unwrap();
    let (wakes, woken) = channel();
    let writer = Writer::start(journal, &[], move || wakes.send(()).unwrap_or(())).unwrap();
    Desk { disk, writer, begun, ends, woken }
}

impl Desk {
    fn hand(&mut self, entries: &[Entry]) {
        self.writer.hand(entries, samples::moment(), 0).unwrap();
    }

    fn watch(&self) -> &Watch {
        self.writer.watch()
    }

    /// Waits until a sync has begun; what was written by then is all that may be.
    fn await_sync(&self) {
        self.begun.recv_timeout(Duration::from_secs(60)).unwrap();
    }

    /// Waits until the disk is behind by so many entries.
    fn await_unsaved(&self, wanted: usize) {
        let since = Instant::now();
        while self.watch().look().unsaved != wanted {
            assert!(since.elapsed() < Duration::from_secs(60), "{:?}", self.watch().look());
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    /// Entries that a power cut now would leave.
    fn on_the_platter(&self) -> usize {
        self.disk.after_a_power_cut()
    }
}

fn entries(count: usize) -> Vec<Entry> {
    middle().iter().take(count).cloned().collect()
}

/// Hands three entries over, one after the other, and lets none of their syncs go: the hand is never
/// held up, and what was told as saved is on the platter. Says what was not so.
fn while_it_hangs(desk: &mut Desk) -> Result<(), String> {
    for entry in entries(3) {
        desk.hand(&[entry]);
    }
    desk.await_sync();
    let Progress { unsaved, trouble } = desk.watch().wait(Duration::from_millis(50));
    let saved = 4 - unsaved;
    let there = desk.on_the_platter();
    if there < saved {
        return Err(format!("{saved} told as saved, {there} on the platter"));
    }
    match (unsaved, trouble) {
        (3, None) => Ok(()),
        other => Err(format!("{other:?}")),
    }
}

#[test]
fn nothing_is_told_as_saved_before_its_sync_has_ended_and_no_second_line_is_written_before() {
    let mut desk = desk(false);
    while_it_hangs(&mut desk).unwrap();
    // The head and the one line that is waited for.
    assert_eq!(read(&desk.disk.bytes()).0.len(), 2);
    for left in [2, 1, 0] {
        desk.ends.send(Ok(())).unwrap();
        if left > 0 {
            desk.await_sync();
        }
        desk.await_unsaved(left);
        assert_eq!(desk.on_the_platter(), 4 - left);
    }
    desk.woken.recv_timeout(Duration::from_secs(60)).unwrap();
    assert_eq!(desk.watch().unsaved(), []);
}

#[test]
fn a_disk_that_calls_everything_saved_at_once_is_found_out_by_the_same_check() {
    let told = while_it_hangs(&mut desk(true)).unwrap_err();
    assert!(told.contains(" told as saved, "), "{told}");
}

#[test]
fn the_end_does_not_wait_once_more_for_a_disk_that_was_waited_for_in_vain() {
    let mut desk = desk(false);
    desk.hand(&entries(1));
    desk.await_sync();
    let progress = desk.watch().wait(cowlside::store::journal::writer::PATIENCE);
    assert_eq!(progress, Progress { unsaved: 1, trouble: None });
    let Desk { writer, ends, .. } = desk;
    let watch = writer.watch().clone();
    let ended = std::thread::spawn(move || drop(writer));
    // Nothing lets the sync go: this ends by itself, or never.
    let since = Instant::now();
    while !ended.is_finished() {
        let most = cowlside::store::journal::writer::PATIENCE / 2;
        assert!(since.elapsed() < most, "it waits once more");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(watch.unsaved().len(), 1);
    drop(ends);
}

#[test]
fn a_sync_that_fails_after_a_long_wait_sends_the_session_into_a_new_file_that_is_waited_for() {
    let mut desk = desk(false);
    desk.hand(&entries(2));
    desk.await_sync();
    desk.ends.send(Err(io::Error::other("a fault of the disk"))).unwrap();
    // The new file is the disk's own, whose syncs do not wait.
    desk.await_unsaved(0);
    assert_eq!(desk.watch().path(), Path::new("sample.c2.jsonl"));
    assert_eq!(desk.disk.best().after_a_power_cut(), 3);
}

/// A folder that is gone, and the tries to make a file in it.
struct Gone(Arc<AtomicU32>);

impl Shelf for Gone {
    fn create(&mut self, _: &Path) -> io::Result<Box<dyn Storage>> {
        self.0.fetch_add(1, Ordering::SeqCst);
        Err(io::ErrorKind::NotFound.into())
    }

    fn doubt(&mut self, _: &Path) {}

    fn remove(&mut self, _: &Path) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }
}

#[test]
fn a_key_makes_one_try_and_no_more() {
    let (disk, tries) = (Disk::new(Honesty::Honest), Arc::new(AtomicU32::new(0)));
    let (storage, path) = (Box::new(disk.clone()), Path::new("sample.jsonl"));
    let on: (Box<dyn Storage>, Box<dyn Shelf>) = (storage, Box::new(Gone(Arc::clone(&tries))));
    let (journal, _) = Journal::create_on(on, path, samples::head(), samples::moment(), 0).unwrap();
    let since = Instant::now();
    let mut writer = Writer::start(journal, &[], || {}).unwrap();
    disk.fail(disk.calls() + 1, Fault::Broken, Lasting::Once);
    writer.hand(&entries(1), samples::moment(), 0).unwrap();
    let watch = writer.watch();
    assert_eq!(watch.wait(Duration::from_secs(60)).unsaved, 1);
    assert_eq!(tries.load(Ordering::SeqCst), 1);
    let keys = 5;
    for _ in 0..keys {
        watch.try_again();
        watch.await_look(Duration::from_secs(60));
    }
    // On a slow machine some were made by the clock.
    let by_clock = since.elapsed().as_secs() / writer::RETRY.as_secs();
    let made = u64::from(tries.load(Ordering::SeqCst));
    assert!((1 + keys..=1 + keys + by_clock).contains(&made), "{made} tries by {keys} keys");
}
