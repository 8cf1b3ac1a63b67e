//! The entries of the session in hand on their way to the disk, in words that can be written down.

use super::in_demo;
use super::notebook::Notebook;
use super::workshop::Workshop;
use crate::domain::entry::{Amended, Entry, Kept, ProfileText};
use crate::domain::plain::plain;
use crate::domain::session::{Due, Session};
use crate::guide::{Talk, on_paper};
use crate::store::folder::Folder;
use crate::store::journal::{Moved, Progress, Watch, numbered, writer};
use crate::store::seen::{self, Seen};
use crate::store::words::{as_typed, last_word};
use crate::store::{StoreError, profiles, shown};
use crate::tui::keeping::{Keeping, Saving};
use crate::tui::screens::Note;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// How long a key waits for the disk before the screen says `saving...`: less than is felt.
pub const AT_ONCE: Duration = Duration::from_millis(20);

/// How long the end waits before it says what for.
pub const WONDERING: Duration = Duration::from_millis(700);

/// What looks after the session in hand.
pub struct Minder {
    watch: Watch,
    /// What is remembered beside the entries.
    notebook: Arc<Notebook>,
    /// The folder in which sessions lie here.
    home: PathBuf,
    /// The session as it was taken in hand.
    taken: Session,
    /// What each entry since then says, by its place.
    words: Mutex<BTreeMap<u64, String>>,
    /// What is asked since the last of them.
    asked: Mutex<Option<String>>,
    /// Says the commands that are named as they hold in this workshop.
    here: fn(&str) -> String,
    foreign: Mutex<Foreign>,
    handed: Mutex<Handed>,
}

/// Which entries were handed over.
struct Handed {
    /// The last one.
    last: Seen,
    /// The last one when all was to be saved in another folder, until one that came after it is noted.
    asked: Option<Seen>,
}

/// Whether another program has written to the session's file, and whether that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Foreign {
    /// It has not, or a key that counts has shown that it was read.
    No,
    /// It has; nobody saw it yet.
    Told,
    /// It stands on the screen since then.
    Shown(Instant),
}

/// A key sooner than this behind it was pressed by somebody who had not read it.
const READ: Duration = Duration::from_secs(1);

impl Minder {
    /// Looks after a session.
    pub fn of(watch: Watch, workshop: &Workshop, taken: Session, last_hash: &str) -> Minder {
        let notebook = Arc::clone(workshop.notebook());
        let here = in_demo::words_of(workshop);
        let seq = taken.kept.last().map(|kept| kept.seq).unwrap_or_default();
        let last = Seen { seq, hash: last_hash.to_owned() };
        let handed = Mutex::new(Handed { last, asked: None });
        let home = workshop.folder().sessions();
        let foreign = Mutex::new(Foreign::No);
        let (words, asked) = (Mutex::default(), Mutex::new(question(&taken)));
        Minder { watch, notebook, home, taken, words, asked, here, foreign, handed }
    }

    fn foreign(&self) -> MutexGuard<'_, Foreign> {
        self.foreign.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn words(&self) -> MutexGuard<'_, BTreeMap<u64, String>> {
        self.words.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn asked(&self) -> MutexGuard<'_, Option<String>> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn handed(&self) -> MutexGuard<'_, Handed> {
        self.handed.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Remembers in words what was handed over, and the hash of the last of it.
    pub fn heard(&self, session: &Session, kept: &[Kept], last_hash: &str) {
        if let Some(last) = kept.last() {
            self.handed().last = Seen { seq: last.seq, hash: last_hash.to_owned() };
        }
        *self.asked() = question(session);
        let mut all = self.words();
        let named = |profile: &ProfileText| plain(&profile.name);
        all.extend(kept.iter().map(|one| (one.seq, on_paper::words(session, &one.entry, &named))));
    }

    /// Waits until what was handed over was tried, `most` at the longest.
    pub fn wait(&self, most: Duration) -> Saving {
        saving(self.watch.wait(most))
    }

    /// Waits until what could not be saved was tried once more, `most` at the longest: there may be room
    /// since the last try.
    pub fn wait_once_more(&self, most: Duration) -> Saving {
        let since = Instant::now();
        let saving = self.wait(most);
        if saving == Saving::All {
            return saving;
        }
        self.watch.try_again();
        self.watch.await_look(most.saturating_sub(since.elapsed()));
        self.wait(Duration::ZERO)
    }

    /// Waits for that and for what is remembered beside it.
    pub fn wait_for_all(&self, most: Duration) -> Saving {
        let since = Instant::now();
        let entries = self.wait(most);
        let written = self.notebook.wait(most.saturating_sub(since.elapsed()));
        or_beside(entries, !written)
    }

    /// Writes the whole session into a new file in another folder and goes on there.
    ///
    /// # Errors
    /// Says why it cannot be written there.
    pub fn elsewhere(&self, folder: &Path) -> Result<PathBuf, String> {
        // What is told of it must lead there from any other folder, too.
        let folder = std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned());
        let last = self.handed().last.clone();
        self.handed().asked = Some(last.clone());
        let path = self.watch.elsewhere(&folder).map_err(|trouble| trouble.words)?;
        // Told at the end, where it cannot be noted then either.
        let _ = self.note_elsewhere(&path, last);
        Ok(path)
    }

    /// Notes in the data folder where the session goes on, and the last entry that is there, so that its
    /// file here is not taken for all of it.
    fn note_elsewhere(&self, path: &Path, last: Seen) -> Result<(), StoreError> {
        let session = &self.taken.head.session;
        seen::note_elsewhere(&Folder::at(self.root()), session, (path, &last))
    }

    /// Notes once that the session went on elsewhere, now that all of it is there: all that was saved
    /// there first may stand in its file here, too, but not what came after it.
    pub fn note_went_on(&self, path: &Path) {
        let mut handed = self.handed();
        let last = handed.last.clone();
        if handed.asked.take_if(|asked| asked.seq < last.seq).is_some() {
            drop(handed);
            let _ = self.note_elsewhere(path, last);
        }
    }

    /// Returns where the session lies, where that is another folder than the one for sessions.
    pub fn lies_elsewhere(&self) -> Option<PathBuf> {
        Some(self.watch.path()).filter(|path| path.parent() != Some(&*self.home))
    }

    /// The data folder.
    fn root(&self) -> &Path {
        self.home.parent().unwrap_or(&self.home)
    }
}

impl Keeping for Minder {
    fn saving(&self) -> Saving {
        or_beside(saving(self.watch.look()), self.notebook.is_writing())
    }

    fn try_again(&self, counts: bool) {
        let mut foreign = self.foreign();
        if counts && matches!(*foreign, Foreign::Shown(since) if since.elapsed() >= READ) {
            *foreign = Foreign::No;
        }
        drop(foreign);
        self.watch.try_again();
    }

    fn told(&self) -> Option<Note> {
        let late = self.watch.late().map(|late| match late {
            Ok(path) => {
                let asked = self.handed().asked.clone();
                asked.map(|last| self.note_elsewhere(&path, last));
                Note::done((self.here)(&saved_in(&path)))
            }
            Err(trouble) => Note::warning(format!("not saved there: {}", trouble.words)),
        });
        let moved = self.watch.moved();
        if moved.as_ref().is_some_and(|moved| moved.foreign) {
            *self.foreign() = Foreign::Told;
        }
        let moved = moved.map(|moved| Note::warning((self.here)(&moved_to(&moved, &self.home))));
        moved.map(|moved| moved.behind(late.clone())).or(late)
    }

    fn alert(&self) -> Option<String> {
        let mut foreign = self.foreign();
        if *foreign == Foreign::Told {
            *foreign = Foreign::Shown(Instant::now());
        }
        (*foreign != Foreign::No).then(|| FOREIGN.to_owned())
    }

    fn give_up(&self) {
        self.watch.give_up();
        self.notebook.give_up();
    }

    fn last_words(&self, say: &mut dyn FnMut(String)) -> Vec<String> {
        self.watch.try_again();
        self.watch.await_look(WONDERING);
        if let Some(words) = self.wait_for_all(WONDERING).being_saved() {
            say(waiting_for(&words));
        }
        let since = Instant::now();
        let saving = saving(self.watch.wait(writer::PATIENCE));
        let beside = !self.notebook.wait(writer::PATIENCE.saturating_sub(since.elapsed()));
        let unsaved = self.watch.unsaved();
        let mut lines = Vec::new();
        if !unsaved.is_empty() {
            let unknown = || Saving::Busy(unsaved.len()).not_known();
            lines.extend(saving.not_known().or_else(unknown).iter().map(|alert| plain(alert)));
            lines.push("Write these down:".to_owned());
            let heard = self.words();
            lines.extend(unsaved.iter().map(|one| {
                // Where a profile lies is looked up now: the disk may have gone since.
                let words = heard.get(&one.seq).filter(|_| !has_profile(&one.entry)).cloned();
                let lies = |profile: &ProfileText| profile_words(self.root(), profile);
                let words =
                    words.unwrap_or_else(|| on_paper::words(&self.taken, &one.entry, &lies));
                format!("  {}", plain(&words))
            }));
            // The screen that asked it is gone by now, and the paper goes on from there.
            lines.extend(self.asked().iter().map(|asked| format!("Asked next: {asked}")));
        } else {
            lines.extend(saving.alert().iter().map(|alert| plain(alert)));
        }
        lines.extend(Saving::Beside.not_known().filter(|_| beside));
        lines.extend(self.notebook.take_warnings());
        if let Some(path) = self.lies_elsewhere().filter(|_| unsaved.is_empty()) {
            say((self.here)(&saved_in(&path)));
            if let Err(error) = self.note_elsewhere(&path, self.handed().last.clone()) {
                say(format!("write that path down, nothing else tells it: {error}"));
            }
        }
        if let Some(moved) = self.watch.moved() {
            let words = plain(&(self.here)(&moved_to(&moved, &self.home)));
            // Where all is saved in its new file nothing is amiss; somebody else who writes is.
            if moved.foreign { lines.push(words) } else { say(words) }
        }
        lines
    }
}

/// Says in one line what a session asks now; a closed one asks nothing.
fn question(session: &Session) -> Option<String> {
    let prompt = (session.state.due() != Due::Closed).then(|| Talk::default().prompt(session))?;
    let told =
        [&prompt.place, &prompt.title, &prompt.ask].into_iter().filter(|one| !one.is_empty());
    Some(plain(&told.cloned().collect::<Vec<_>>().join(": ")))
}

/// Says what an end waits for.
pub fn waiting_for(words: &str) -> String {
    format!("{words}: waiting for the disk, {} s at most", writer::PATIENCE.as_secs())
}

/// Says where a session was saved that was saved elsewhere.
pub fn saved_in(path: &Path) -> String {
    format!("all is saved in {}; later: cowlside take {}", shown(path), as_typed(path))
}

/// Says why and where a session is kept in another file from here on; `home` is the folder in which it
/// lay first.
pub(super) fn moved_to(moved: &Moved, home: &Path) -> String {
    let Moved { path, why, foreign } = moved;
    let here = format!("from here on it is kept in {}", shown(path));
    let then = if path.parent() == Some(home) {
        let (name, number) = numbered(path);
        let which = if has_older(home, &name, number) { "both" } else { "it" };
        format!("cowlside verify {} shows {which}", last_word(&name))
    } else {
        format!("later: cowlside take {}", as_typed(path))
    };
    if *foreign {
        format!(
            "another program has written to this session's file: {here}; use one terminal only; {then}"
        )
    } else {
        format!("this session has another file now ({why}): {here}; {then}")
    }
}

/// Tells whether a file that the session had before still lies in its folder.
fn has_older(home: &Path, name: &str, number: u32) -> bool {
    let first = home.join(format!("{name}.jsonl"));
    let older = (2..number).map(|older| home.join(format!("{name}.c{older}.jsonl")));
    std::iter::once(first).chain(older).any(|path| path.exists())
}

/// The same where there is room for little else.
const FOREIGN: &str = "ANOTHER PROGRAM WRITES TO THIS SESSION: use one terminal only";

/// What is remembered beside the entries counts where those are saved.
pub fn or_beside(entries: Saving, writing: bool) -> Saving {
    match entries {
        Saving::All if writing => Saving::Beside,
        other => other,
    }
}

fn saving(progress: Progress) -> Saving {
    match (progress.unsaved, progress.trouble) {
        (0, None) => Saving::All,
        (entries, None) => Saving::Busy(entries),
        (entries, Some(trouble)) => Saving::Not { entries, why: trouble.words },
    }
}

/// Tells whether an entry carries a profile.
fn has_profile(entry: &Entry) -> bool {
    match entry {
        Entry::Head(_) => true,
        Entry::Amend(amend) => matches!(amend.what, Amended::Profile(_)),
        _ => false,
    }
}

/// Says where a profile lies outside of the session, else the whole of it.
fn profile_words(root: &Path, profile: &ProfileText) -> String {
    let ProfileText { name, text, .. } = profile;
    let is_it = |found: &ProfileText| found.text == *text;
    if profiles::BUILT_IN.contains(&(name.as_str(), text.as_str())) {
        return format!("{name}, which comes with this program");
    }
    if profiles::find(name, root).is_ok_and(|found| is_it(&found)) {
        let own = root.join("profiles").join(format!("{name}.json"));
        return format!("{name}, which lies in {}", shown(&own));
    }
    // Line ends and what stands before a line mean nothing in it.
    let text = text.lines().map(str::trim).collect::<Vec<_>>().join(" ");
    format!("{name}, which reads: {text}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_a_session_went_is_told_by_its_whole_path_with_a_command_for_that_place() {
        let told = |path: &str, home: &str, foreign| {
            let moved = Moved { path: path.into(), why: "a reason".into(), foreign };
            moved_to(&moved, Path::new(home))
        };
        let home = tempfile::tempdir().unwrap();
        let (home, old) = (home.path().to_str().unwrap(), home.path().join("a.jsonl"));
        for foreign in [true, false] {
            let here = || told(&format!("{home}/a.c3.jsonl"), home, foreign);
            std::fs::write(&old, "").unwrap();
            assert!(here().contains(&format!("kept in {home}/a.c3.jsonl; ")), "{}", here());
            assert!(here().ends_with("cowlside verify a shows both"), "{}", here());
            std::fs::remove_file(&old).unwrap();
            assert!(here().ends_with("cowlside verify a shows it"), "{}", here());
            let away = told("/media/my stick/a.c2.jsonl", "/data/sessions", foreign);
            assert!(away.contains("kept in /media/my stick/a.c2.jsonl; "), "{away}");
            assert!(
                away.ends_with("later: cowlside take \"/media/my stick/a.c2.jsonl\""),
                "{away}"
            );
            assert_eq!(away.contains("use one terminal only"), foreign);
            assert_eq!(away.contains("(a reason)"), !foreign);
            let hostile = told("/media/\u{202e}x/a.c2.jsonl", "/data/sessions", foreign);
            assert!(!hostile.contains('\u{202e}'), "{hostile}");
        }
    }

    #[test]
    fn a_profile_is_told_by_where_it_lies_else_by_the_whole_of_it() {
        let home = tempfile::tempdir().unwrap();
        let (name, text) = profiles::BUILT_IN[0];
        let built_in = profiles::find(name, home.path()).unwrap();
        let told = profile_words(home.path(), &built_in);
        assert_eq!(told, format!("{name}, which comes with this program"));
        let own = home.path().join("profiles/mine.json");
        std::fs::create_dir_all(own.parent().unwrap()).unwrap();
        std::fs::write(&own, text).unwrap();
        let mine = profiles::find("mine", home.path()).unwrap();
        let told = profile_words(home.path(), &mine);
        assert_eq!(told, format!("mine, which lies in {}", own.display()));
        // What lies there is another one by now, or nothing: in one line it reads the same.
        std::fs::write(&own, format!("{text}\n")).unwrap();
        let told = profile_words(home.path(), &mine);
        let whole = told.strip_prefix("mine, which reads: ").unwrap();
        let read = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap();
        assert!(!whole.contains('\n') && read(whole) == read(text), "{whole}");
    }
}
