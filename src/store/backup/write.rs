//! Writes a backup: beside its place, read back, and only then under its name.

use super::read::{Item, read};
use super::{FIRST, FORMAT, Head, Kind, Line, VERSION, last_line};
use crate::store::folder::{Folder, read_whole, sync_folder};
use crate::store::hash::{Running, hex_of_sha256, new_id};
use crate::store::journal::storage::{for_one_user, open_ordinary};
use crate::store::replace::{carries_id, hold, is_on_its_way, sweep_unheld};
use crate::store::{StoreError, sessions, shown};
use std::ffi::OsStr;
use std::fs::{File, OpenOptions};
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

/// What a backup holds.
#[derive(Debug, Default)]
pub struct Made {
    /// The files: what each is, and its bytes.
    pub files: Vec<(Kind, u64)>,
    /// What is in it but not as it should be, and what had to be left out, a line each.
    pub notes: Vec<String>,
    /// How many files had to be left out.
    pub left_out: usize,
    /// The hash of all of it, in hex.
    pub hash: String,
}

/// A file that is to be kept, as it was found.
struct Seen {
    kind: Kind,
    name: String,
    path: PathBuf,
    bytes: u64,
    sha256: String,
}

/// Writes everything of the data folder into a new file; `at` and `program` go into its head.
///
/// # Errors
/// The place is taken or lies in the data folder, there is nothing to keep, a file was changed
/// meanwhile, or what the system says; nothing is at the place then.
pub fn write(folder: &Folder, to: &Path, at: &str, program: &str) -> Result<Made, StoreError> {
    let beside = place_beside(folder, to)?;
    let mut made = Made::default();
    let seen = look(folder, &mut made)?;
    if seen.is_empty() {
        return Err(StoreError::NothingToKeep { path: folder.root().to_owned() });
    }
    let has_aside = seen.iter().any(|one| one.kind == Kind::SetAside);
    let head = Head {
        format: FORMAT.into(),
        version: if has_aside { VERSION } else { FIRST },
        files: seen.len() as u64,
        bytes: seen.iter().map(|one| one.bytes).sum(),
        at: at.into(),
        program: program.into(),
    };
    clear_away(folder_of(to), &mut made.notes);
    let litter = Litter(&beside);
    let (held, hash) = fill(folder, (&beside, to), &head, &seen)?;
    made.hash = hash;
    read_back(folder, (&beside, to), &seen, &made.hash)?;
    name(&beside, to).map_err(StoreError::io("name", to))?;
    // Up to here no other backup takes it for one that was cut off.
    drop(held);
    drop(litter);
    made.files = seen.iter().map(|one| (one.kind, one.bytes)).collect();
    Ok(made)
}

/// Removes the file beside the place, whatever happened.
struct Litter<'a>(&'a Path);

impl Drop for Litter<'_> {
    fn drop(&mut self) {
        // It may have its name already.
        let _ = std::fs::remove_file(self.0);
    }
}

/// Removes what backups that were cut off left in the folder.
fn clear_away(folder: &Path, notes: &mut Vec<String>) {
    let swept = sweep_unheld(folder, is_begun);
    for path in &swept.removed {
        notes.push(format!("removed {}, the beginning of a backup that was cut off", shown(path)));
    }
    for path in &swept.unsure {
        let path = shown(path);
        notes.push(format!("{path} looks like the beginning of a backup that was cut off"));
    }
}

/// Tells whether a file is the beginning of a backup on its way to its place: by its name, and by
/// the first words in it, where there are any.
fn is_begun(path: &Path) -> bool {
    let is_empty = || path.metadata().is_ok_and(|about| about.len() == 0);
    carries_id(path, "part") && (begins_as_one(path).unwrap_or(false) || is_empty())
}

/// Tells whether a file is a backup, by the first words in it.
pub fn is_backup(path: &Path) -> bool {
    begins_as_one(path).unwrap_or(false)
}

fn begins_as_one(path: &Path) -> Result<bool, StoreError> {
    let head = format!("{{\"format\":\"{FORMAT}\",");
    let (mut file, _) = open_ordinary(OpenOptions::new().read(true), path)?;
    let mut first = vec![0; head.len()];
    Ok(file.read_exact(&mut first).is_ok() && first == head.as_bytes())
}

fn folder_of(to: &Path) -> &Path {
    to.parent().filter(|above| !above.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Returns where the file is written until it is whole.
fn place_beside(folder: &Folder, to: &Path) -> Result<PathBuf, StoreError> {
    if to.symlink_metadata().is_ok() {
        return Err(StoreError::io("make", to)(io::ErrorKind::AlreadyExists.into()));
    }
    let above = folder_of(to);
    let real = above.canonicalize().map_err(StoreError::io("write into", above))?;
    if folder.root().canonicalize().is_ok_and(|root| real.starts_with(root)) {
        return Err(StoreError::InsideData { path: to.to_owned() });
    }
    let name = to.file_name().and_then(OsStr::to_str).unwrap_or("backup");
    Ok(real.join(format!("{name}.{}.part", new_id(0))))
}

/// Looks at every file of the data folder, in order.
fn look(folder: &Folder, made: &mut Made) -> Result<Vec<Seen>, StoreError> {
    let mut paths = Vec::new();
    for (name, inside) in [
        ("engines/", folder.engines()),
        ("profiles/", folder.profiles()),
        ("sessions/", folder.sessions()),
    ] {
        let entries = match std::fs::read_dir(&inside) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => continue,
            Err(error) => return Err(StoreError::io("list", &inside)(error)),
        };
        for entry in entries {
            let entry = entry.map_err(StoreError::io("list", &inside))?;
            if is_on_its_way(&entry.path()) {
                // Never said to be saved: the next run that writes there clears it away.
                continue;
            }
            paths.push((format!("{name}{}", entry.file_name().to_string_lossy()), entry.path()));
        }
    }
    if folder.settings().symlink_metadata().is_ok() {
        paths.push(("settings.json".into(), folder.settings()));
    }
    // Settings are set aside beside themselves. A folder that cannot be listed was told above.
    let beside = std::fs::read_dir(folder.root()).into_iter().flatten().flatten();
    let named = beside.map(|one| (one.file_name().to_string_lossy().into_owned(), one.path()));
    paths.extend(named.filter(|(name, _)| Kind::of(name) == Some(Kind::SetAside)));
    paths.sort();
    let mut seen = Vec::new();
    let all = paths.len();
    let copies = crate::store::engines::list(folder).map_or_else(|_| Vec::new(), |all| all.copies);
    let spare = |path: &Path| copies.iter().find(|copy| copy.path() == Some(path));
    for (done, (name, path)) in paths.into_iter().enumerate() {
        folder.progress().so_far("reading files", done, all);
        if let Some(copy) = spare(&path) {
            made.notes.push(format!("not in the backup: {copy}"));
            continue;
        }
        let one = match Kind::of(&name) {
            Some(kind) => {
                look_at(folder, kind, name, path, &mut made.notes).map_err(|e| e.to_string())
            }
            None => Err(format!("{} has no name of this program's files", shown(&path))),
        };
        match one {
            Ok(one) => seen.push(one),
            Err(why) => {
                made.left_out += 1;
                made.notes.push(format!("left out: {why}"));
            }
        }
    }
    Ok(seen)
}

fn look_at(
    folder: &Folder,
    kind: Kind,
    name: String,
    path: PathBuf,
    notes: &mut Vec<String>,
) -> Result<Seen, StoreError> {
    let mut bytes = read_whole(&path, kind.most())?;
    if kind == Kind::Session {
        match sessions::glance_at(&path, &bytes) {
            Ok(glance) if folder.is_locked(&glance.id) => {
                let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
                bytes.truncate(whole);
                // What stood behind the last line end may be an entry, too.
                let entries = sessions::glance_at(&path, &bytes).map_or(0, |kept| kept.entries);
                notes.push(format!(
                    "{} is open in another terminal: kept with the {entries} entries that it has so \
                     far",
                    shown(&path)
                ));
            }
            Ok(_) => {}
            Err(error) => notes.push(format!("kept as it is: {error}")),
        }
    }
    Ok(Seen { kind, name, path, bytes: bytes.len() as u64, sha256: hex_of_sha256(&bytes, 32) })
}

/// Writes the file and waits for it to be on the disk; returns it, held for as long as it is open, and
/// its hash.
fn fill(
    folder: &Folder,
    (beside, to): (&Path, &Path),
    head: &Head,
    seen: &[Seen],
) -> Result<(File, String), StoreError> {
    let written = || StoreError::io("write", to);
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    for_one_user(&mut options);
    let file = options.open(beside).map_err(written())?;
    hold(&file);
    let mut out = BufWriter::new(file);
    let mut hash = Running::default();
    let mut put = |out: &mut BufWriter<File>, line: serde_json::Result<String>| {
        let line = line.map_err(io::Error::from).map_err(written())? + "\n";
        hash.add(line.as_bytes());
        out.write_all(line.as_bytes()).map_err(written())
    };
    put(&mut out, serde_json::to_string(head))?;
    for (done, one) in seen.iter().enumerate() {
        folder.progress().so_far("writing files", done, seen.len());
        let mut bytes = read_whole(&one.path, one.kind.most())?;
        // A session that is open elsewhere may have grown since.
        if one.kind == Kind::Session {
            bytes.truncate(usize::try_from(one.bytes).unwrap_or(usize::MAX));
        }
        if hex_of_sha256(&bytes, 32) != one.sha256 {
            return Err(StoreError::ChangedMeanwhile { path: one.path.clone() });
        }
        put(&mut out, line_of(one, bytes))?;
    }
    let hash = hash.hex();
    out.write_all(last_line(&hash).as_bytes()).map_err(written())?;
    let file = out.into_inner().map_err(|error| written()(error.into_error()))?;
    file.sync_all().map_err(written())?;
    Ok((file, hash))
}

fn line_of(one: &Seen, bytes: Vec<u8>) -> serde_json::Result<String> {
    let line = |text, hex| {
        let (path, sha256) = (one.name.clone(), one.sha256.clone());
        serde_json::to_string(&Line { path, bytes: one.bytes, sha256, text, hex })
    };
    let as_hex = |bytes: &[u8]| bytes.iter().map(|byte| format!("{byte:02x}")).collect::<String>();
    match String::from_utf8(bytes) {
        Err(error) => line(None, Some(as_hex(error.as_bytes()))),
        Ok(text) => {
            // A text of control characters would be longer than any reader has to take.
            let odd = text.bytes().filter(|byte| *byte < b' ' && *byte != b'\n').count();
            if odd * 5 + text.bytes().filter(|byte| b"\n\"\\".contains(byte)).count() > text.len() {
                line(None, Some(as_hex(text.as_bytes())))
            } else {
                line(Some(text), None)
            }
        }
    }
}

/// Reads the file again and sets it against what was found in the data folder.
fn read_back(
    folder: &Folder,
    (beside, to): (&Path, &Path),
    seen: &[Seen],
    hash: &str,
) -> Result<(), StoreError> {
    let other = || StoreError::BadBackup {
        path: to.to_owned(),
        why: "what was written does not read back as it was".into(),
        newer: false,
    };
    let mut waited = seen.iter();
    let told = (folder.progress(), "reading back files");
    let whole = read(beside, told, &mut |item: Item| match waited.next() {
        Some(one) if one.name == item.path && one.sha256 == item.sha256 => Ok(()),
        Some(_) | None => Err(other()),
    })?;
    if whole.hash == hash && waited.next().is_none() { Ok(()) } else { Err(other()) }
}

/// Gives the file its name; nothing that is there is replaced.
fn name(beside: &Path, to: &Path) -> io::Result<()> {
    match std::fs::hard_link(beside, to) {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(error),
        Err(_) => {
            // Some disks have no second names: an empty file of our own takes the place first.
            let mut options = OpenOptions::new();
            options.write(true).create_new(true);
            for_one_user(&mut options);
            options.open(to)?;
            if let Err(error) = std::fs::rename(beside, to) {
                let _ = std::fs::remove_file(to);
                return Err(error);
            }
        }
    }
    let _ = std::fs::remove_file(beside);
    sync_folder(folder_of(to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::progress::{Progress, Watcher};
    use std::sync::{Arc, Mutex};

    /// Another backup into the same folder, begun at each step of this one.
    struct Other(PathBuf, Mutex<Vec<(&'static str, usize, Vec<String>)>>);

    impl Watcher for Other {
        fn so_far(&self, what: &'static str, _: usize, _: usize) {
            let mut notes = Vec::new();
            clear_away(&self.0, &mut notes);
            let parts = std::fs::read_dir(&self.0).unwrap().count();
            self.1.lock().unwrap().push((what, parts, notes));
        }
    }

    #[test]
    fn no_other_backup_takes_one_for_cut_off_before_it_has_its_name() {
        let (here, outside) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        std::fs::write(here.path().join("settings.json"), "{\"format\":1}\n").unwrap();
        let other = Arc::new(Other(outside.path().to_owned(), Mutex::default()));
        let progress = Progress::to(Arc::<Other>::clone(&other));
        let folder = Folder::at(here.path()).watched(progress);
        write(&folder, &outside.path().join("a.backup"), "", "").unwrap();
        let seen = other.1.lock().unwrap();
        let of = |doing| seen.iter().find(|step| step.0 == doing).unwrap();
        for doing in ["writing files", "reading back files"] {
            assert_eq!(*of(doing), (doing, 1, Vec::new()));
        }
        // What is left of one that was cut off goes.
        let left = outside.path().join(format!("b.backup.{}.part", new_id(0)));
        std::fs::write(&left, "").unwrap();
        let mut notes = Vec::new();
        clear_away(outside.path(), &mut notes);
        assert!(notes.len() == 1 && !left.exists());
    }
}
