//! A data folder of its own for one case, in memory where the system has such a place, and the program
//! run in it with a clock that stands still.

use cowlside::cli::{Terminals, World, run};
use cowlside::domain::entry::Moment;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::io::Cursor;
use std::path::Path;
use tempfile::TempDir;

/// 2026-03-14 09:00 at an offset of one hour.
const MORNING: Moment = Moment { unix_ms: 1_773_475_200_000, offset_min: 60 };

/// A data folder, and a folder beside it for files that are handed in.
pub struct Place {
    folder: TempDir,
}

/// What a run of the program came to.
pub struct Ran {
    pub code: u8,
    pub out: String,
    pub err: String,
}

impl Place {
    pub fn new() -> Result<Place, String> {
        let memory = Path::new("/dev/shm");
        let made = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
        let folder = made.map_err(|error| format!("no folder for a case: {error}"))?;
        fs::create_dir(folder.path().join("data")).map_err(|error| error.to_string())?;
        Ok(Place { folder })
    }

    /// Writes a file beside the data and returns its path.
    pub fn file(&self, name: &str, bytes: &[u8]) -> Result<String, String> {
        let path = self.folder.path().join(name);
        fs::write(&path, bytes).map_err(|error| error.to_string())?;
        Ok(path.to_string_lossy().into_owned())
    }

    /// Reads a file beside the data.
    pub fn read(&self, name: &str) -> Result<Vec<u8>, String> {
        fs::read(self.folder.path().join(name)).map_err(|error| format!("{name}: {error}"))
    }

    /// Runs the program.
    pub fn run(&self, words: &[&str]) -> Ran {
        self.run_words(words.iter().map(OsString::from).collect())
    }

    /// Runs the program with whatever arguments a system may hand over.
    pub fn run_words(&self, words: Vec<OsString>) -> Ran {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let home = self.folder.path().join("data").into_os_string();
        let variable = |name: &str| (name == "COWLSIDE_HOME").then(|| home.clone());
        let mut world = World {
            ready: &|_| true,
            forget: &|| false,
            out: &mut out,
            err: &mut err,
            input: &mut Cursor::new(Vec::new()),
            now: &|| MORNING,
            run_ms: &|| 0,
            terminals: Terminals::default(),
            variable: &variable,
            ascii: false,
        };
        let words = std::iter::once(OsString::from("cowlside")).chain(words).collect();
        let code = run(words, &mut world);
        // The folder has another name each time.
        let folder = self.folder.path().to_string_lossy().into_owned();
        let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).replace(&folder, "FOLDER");
        Ran { code, out: text(out), err: text(err) }
    }

    /// Everything in the data folder that is kept: path and bytes.
    pub fn everything(&self) -> BTreeMap<String, Vec<u8>> {
        let data = self.folder.path().join("data");
        let mut all = BTreeMap::new();
        for inside in ["", "engines", "sessions", "profiles"] {
            let Ok(entries) = fs::read_dir(data.join(inside)) else { continue };
            for entry in entries.flatten().filter(|entry| entry.path().is_file()) {
                let name = format!("{inside}/{}", entry.file_name().to_string_lossy());
                all.insert(name, fs::read(entry.path()).unwrap_or_default());
            }
        }
        all
    }
}
