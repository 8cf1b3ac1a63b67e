//! Two programs on one session in random turns, a third that writes into its file without asking: one
//! of the two writes at a time, and whatever either was told is kept. `COWLSIDE_FAULTS=200` plays 200
//! histories.

use super::battery::records;
use super::disk::{self, Disk, Fault, Honesty, Lasting};
use super::files::{create, folder, resume};
use super::samples;
use cowlside::store::StoreError;
use cowlside::store::folder::Folder;
use cowlside::store::journal::{self, Journal, Progress, Verdict, Writer};
use cowlside::store::sessions;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::cell::RefCell;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::time::Duration;

#[derive(Debug, Default)]
struct Count {
    histories: usize,
    told: usize,
    refused: usize,
    taken_over: usize,
    strangers: usize,
    new_files: usize,
}

/// The session's file, as whoever goes on with it finds it.
fn newest(folder: &Folder) -> PathBuf {
    sessions::list(folder).unwrap().sessions.remove(0).path
}

/// What was told as kept and is not there.
fn missing(told: &[String], text: &str) -> usize {
    told.iter().filter(|hash| !text.contains(&format!("\"h\":\"{hash}\"}}"))).count()
}

/// Goes on with the session. What a test beside this one starts holds its locks for a moment, until it is another
/// program.
fn resumed(folder: &Folder, is_free: bool) -> Result<Journal, StoreError> {
    let mut tries = if is_free { 100 } else { 0 };
    loop {
        match resume(folder, &newest(folder)) {
            Err(StoreError::InUse { .. }) if tries > 0 => {
                tries -= 1;
                std::thread::sleep(Duration::from_millis(20));
            }
            answer => return answer,
        }
    }
}

fn history(steps: &[(usize, u8)], count: &mut Count) {
    let (_inside, folder) = folder();
    drop(create(&folder));
    let mut programs: [Option<Journal>; 2] = [None, None];
    let mut told = Vec::new();
    for &(who, what) in steps {
        match what {
            0 | 1 if programs[who].is_none() => {
                let other = &programs[1 - who];
                match (resumed(&folder, other.is_none()), other) {
                    (Ok(journal), None) => {
                        count.taken_over += 1;
                        programs[who] = Some(journal);
                    }
                    (Err(error), Some(_)) => {
                        assert!(
                            error.to_string().starts_with("open in another terminal"),
                            "{error}"
                        );
                        count.refused += 1;
                    }
                    (Ok(_), Some(_)) => panic!("two write"),
                    (Err(error), None) => panic!("nobody has it: {error}"),
                }
            }
            2..=5 => {
                if let Some(journal) = &mut programs[who] {
                    let away = samples::of_kind("away");
                    journal.append(&away, samples::moment(), 0).unwrap();
                    told.push(journal.last_hash().to_owned());
                }
            }
            6 => programs[who] = None,
            7 => {
                let file = std::fs::File::options().append(true).open(newest(&folder));
                file.unwrap().write_all(b"{\"seq\":").unwrap();
                count.strangers += 1;
            }
            _ => {}
        }
    }
    drop(programs);
    // Whatever a stranger left behind the last line is set aside by whoever goes on.
    drop(resume(&folder, &newest(&folder)).unwrap());
    let path = newest(&folder);
    let opened = journal::open(&path, &samples::parse).unwrap();
    let text = String::from_utf8(std::fs::read(&path).unwrap()).unwrap();
    assert_eq!((missing(&told, &text), opened.verdict), (0, Verdict::Clean));
    if let Some(last) = told.last() {
        // Negative control: a line that is not there is noticed.
        let without = text.replace(last.as_str(), "");
        assert_eq!(missing(&told, &without), 1);
    }
    count.histories += 1;
    count.told += told.len();
    count.new_files += std::fs::read_dir(folder.sessions()).unwrap().count() - 1;
}

fn append_a_foreign_line(path: &Path) {
    let file = std::fs::File::options().append(true).open(path);
    file.unwrap().write_all(b"{\"x\":1}\n").unwrap();
}

#[test]
fn each_time_that_another_program_has_written_the_writer_tells_once_where_it_goes_on() {
    let (_inside, folder) = folder();
    let (wakes, woken) = channel();
    let journal = create(&folder);
    let first = journal.path().to_owned();
    let mut writer = Writer::start(journal, &[], move || {
        // The test may have gone.
        let _ = wakes.send(());
    })
    .unwrap();
    let watch = writer.watch().clone();
    let mut keep = || {
        writer.hand(&samples::of_kind("away"), samples::moment(), 0).unwrap();
        assert_eq!(watch.wait(Duration::from_secs(60)), Progress::default());
        let moved = watch.moved();
        assert!(moved.as_ref().is_none_or(|moved| moved.foreign && !moved.why.is_empty()));
        (moved.map(|moved| moved.path), woken.recv_timeout(Duration::from_millis(300)).is_ok())
    };
    let entries = |path: &Path| journal::open(path, &samples::parse).unwrap().entries.len();
    assert_eq!(keep(), (None, false), "nobody else wrote");
    for (before, after, kept) in [(None, "c2.jsonl", 3), (Some("c2.jsonl"), "c3.jsonl", 5)] {
        let before = before.map_or_else(|| first.clone(), |before| first.with_extension(before));
        let after = first.with_extension(after);
        append_a_foreign_line(&before);
        let foreign = std::fs::read(&before).unwrap();
        // Whoever shows it is woken for it, though all is saved.
        assert_eq!(keep(), (Some(after.clone()), true));
        assert_eq!(entries(&after), kept);
        assert_eq!(keep(), (None, false), "told once");
        assert_eq!(entries(&after), kept + 1);
        assert_eq!(std::fs::read(&before).unwrap(), foreign, "what is not ours is left alone");
    }
}

#[test]
fn of_two_programs_in_random_turns_one_writes_and_nothing_that_was_told_is_lost() {
    let count = RefCell::new(Count::default());
    let cases = u32::try_from(records(40)).unwrap();
    let mut runner = TestRunner::new(crate::seeded::config(cases));
    let steps = prop::collection::vec((0..2_usize, 0..9_u8), 40);
    let played = runner.run(&steps, |steps| {
        history(&steps, &mut count.borrow_mut());
        Ok(())
    });
    let count = count.into_inner();
    println!("{count:?}, 0 lost");
    played.unwrap();
    assert!(count.histories >= 40 && count.told > 200 && count.refused > 40, "{count:?}");
    assert!(count.strangers > 40 && count.new_files > 5 && count.taken_over > 40, "{count:?}");
}

#[test]
fn that_another_program_wrote_is_told_though_the_new_file_did_not_take_it_all() {
    for foreign in [true, false] {
        let disk = Disk::new(Honesty::Honest);
        let (journal, _) = disk::create(&disk).unwrap();
        let writer = Writer::start(journal, &[], || {});
        let (mut writer, away) = (writer.unwrap(), samples::of_kind("away"));
        let watch = writer.watch().clone();
        if foreign {
            disk.append_behind(b"{\"x\":1}\n");
            // A look, the new file, a look at that: what is written to it has no room.
            disk.fail(disk.calls() + 4, Fault::Full, Lasting::FromThenOn);
        } else {
            disk.fail(disk.calls() + 2, Fault::Full, Lasting::FromThenOn);
        }
        writer.hand(&away, samples::moment(), 0).unwrap();
        let progress = watch.wait(Duration::from_secs(60));
        assert!(progress.trouble.unwrap().words.starts_with("disk full on "));
        assert_eq!((disk.files().len() > 1, watch.moved()), (foreign, None));
        disk.mend();
        let path = watch.elsewhere(Path::new("/away")).unwrap();
        assert!(path.starts_with("/away"), "{path:?}");
        let told = watch.moved().map(|moved| (moved.path, moved.foreign));
        assert_eq!(told, foreign.then_some((path, true)));
        assert_eq!(watch.look(), Progress::default());
    }
}
