//! Power cuts, and a disk whose sync fails for real, on the built program.
//!
//! They need root, Linux and a loop device; elsewhere they say loudly that they were skipped. A few
//! run with all tests; `COWLSIDE_CUTS=500 cargo test --test suite power_cuts:: -- --nocapture` cuts
//! the power that often. A power cut is an ext4 that is aborted: from then on nothing more reaches
//! the disk, and mounting it again plays its journal back, as after a real one.

use crate::plain_seat::Plain;
use crate::real::{holds_all, kept, words_of};
use cowlside::cli::workshop::parse;
use cowlside::store::journal::{self, Verdict};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

pub fn run(program: &str, words: &[&str]) -> bool {
    let mut command = Command::new(program);
    command.args(words).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().is_ok_and(|status| status.success())
}

pub fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// An ext4 in a file, on a loop device.
pub struct Disk {
    inside: TempDir,
    image: PathBuf,
}

impl Disk {
    /// Makes one of so many MiB in a folder; nothing where this machine does not allow it.
    pub fn make(folder: &Path, mib: u64) -> Option<Disk> {
        let image = folder.join("image");
        std::fs::File::create(&image).unwrap().set_len(mib * 1024 * 1024).unwrap();
        let disk = Disk { inside: tempfile::tempdir().unwrap(), image };
        let made = run("mkfs.ext4", &["-q", "-F", text(&disk.image)]) && disk.mount();
        if !made {
            println!(
                "SKIPPED: no power was cut. This needs Linux, root, mkfs.ext4 and a loop device."
            );
        }
        made.then_some(disk)
    }

    pub fn path(&self) -> &Path {
        self.inside.path()
    }

    fn mount(&self) -> bool {
        run("mount", &["-o", "loop", text(&self.image), text(self.path())])
    }

    fn cut_power(&self) {
        assert!(run("mount", &["-o", "remount,abort", text(self.path())]));
    }

    /// The power is back: what was only in memory is gone.
    fn power_is_back(&self) {
        assert!(run("umount", &[text(self.path())]) && self.mount());
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        run("umount", &["-l", text(self.path())]);
    }
}

#[derive(Debug, Default)]
struct Count {
    cuts: u32,
    told: usize,
    lost: usize,
    cut_off: u32,
    damaged: u32,
}

/// Cuts the power so often, each time while an answer is on its way to the disk.
fn cut(disk: &Disk, cuts: u32, environment: &[(&str, &Path)]) -> Count {
    let mut count = Count::default();
    for cut in 0..cuts {
        let mut plain = Plain::begin(disk.path(), environment);
        let wanted = 1 + usize::try_from(cut * 7 % 40).unwrap();
        while plain.saved().len() < wanted {
            plain.answer();
        }
        plain.answer_into_the_dark();
        std::thread::sleep(Duration::from_micros(u64::from(cut) * 137 % 3_000));
        disk.cut_power();
        plain.kill();
        disk.power_is_back();
        count.cuts += 1;
        count.told += plain.saved().len();
        let Some(path) = plain.journal() else {
            count.lost += plain.saved().len();
            continue;
        };
        match journal::open(&path, &parse).unwrap().verdict {
            Verdict::Clean => {}
            Verdict::CutOff(_) => count.cut_off += 1,
            _ => count.damaged += 1,
        }
        let words = words_of(&kept(&path));
        let mut words = words.iter();
        let said = plain.saved();
        let there = said.iter().take_while(|line| words.any(|word| word == *line)).count();
        count.lost += said.len() - there;
    }
    count
}

/// A library that makes every sync do nothing, for the negative control.
fn without_syncs(folder: &Path) -> PathBuf {
    let (source, library) = (folder.join("nosync.c"), folder.join("nosync.so"));
    let code =
        "int fsync(int f) { (void)f; return 0; } int fdatasync(int f) { (void)f; return 0; }";
    std::fs::write(&source, code).unwrap();
    assert!(run("cc", &["-shared", "-fPIC", "-o", text(&library), text(&source)]));
    library
}

#[test]
fn what_was_told_as_saved_is_there_after_a_power_cut() {
    let asked = std::env::var("COWLSIDE_CUTS").ok().and_then(|count| count.parse().ok());
    let folder = tempfile::tempdir().unwrap();
    let Some(disk) = Disk::make(folder.path(), 256) else { return };
    let count = cut(&disk, asked.unwrap_or(6), &[]);
    println!("{count:?}");
    assert!(count.cuts > 0 && count.told > count.lost);
    assert_eq!((count.lost, count.damaged), (0, 0));
    let engines = std::fs::read_dir(disk.path().join("engines")).unwrap().count();
    assert!(engines >= usize::try_from(count.cuts).unwrap(), "{engines} engines of {}", count.cuts);
    // Negative control: the same program without a single sync loses what it told.
    let library = without_syncs(folder.path());
    let careless = cut(&disk, 4, &[("LD_PRELOAD", &library)]);
    println!("without syncs: {careless:?}");
    assert!(careless.lost > 10, "{careless:?}");
}

#[test]
fn a_sync_that_fails_for_real_is_told_and_nothing_told_as_saved_is_lost_with_the_memory() {
    // The disk's own file lies on a memory disk that is too small: writing into new blocks fails
    // when the system brings them there, and the sync after that one says that all is well.
    let small = tempfile::tempdir().unwrap();
    if !run("mount", &["-t", "tmpfs", "-o", "size=12m", "tmpfs", text(small.path())]) {
        println!("SKIPPED: no sync failed for real. This needs Linux, root and a loop device.");
        return;
    }
    let Some(disk) = Disk::make(small.path(), 64) else { return };
    let mut plain = Plain::begin(disk.path(), &[]);
    while plain.saved().len() < 10 {
        plain.answer();
    }
    // All room is used up.
    let filler = small.path().join("filler");
    let _ = std::fs::write(&filler, vec![1; 16 * 1024 * 1024]);
    let mut told_at = None;
    for answer in 0..60 {
        if plain.answer().contains("NOT SAVED: ") {
            told_at.get_or_insert(answer);
            break;
        }
    }
    assert!(told_at.is_some(), "{}", plain.seen);
    // There is room again; whatever is called saved now has to be true, too.
    std::fs::remove_file(&filler).unwrap();
    (0..5).for_each(|_| drop(plain.answer()));
    let said = plain.saved();
    println!("told after {told_at:?} answers; {} told as saved", said.len());
    plain.kill();
    disk.power_is_back();
    let words = words_of(&kept(&plain.journal().unwrap()));
    assert!(said.len() >= 10 && holds_all(&said, &words), "{said:#?}\n{words:#?}");
    drop(disk);
    run("umount", &["-l", text(small.path())]);
}
