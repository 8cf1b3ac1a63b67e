//! What is said of a session when it is begun, gone on with or ended.

use super::workshop::{Started, Workshop};
use crate::domain::entry::{Entry, Remark, Seal};
use crate::domain::plain::plain;
use crate::domain::session::cut_off_here;
use crate::report::dates;
use crate::store::journal::{Opened, Tail, Verdict};
use crate::store::seen::Elsewhere;
use crate::store::words::{as_typed, last_word};
use std::path::Path;

/// Says that another session of this engine can be gone on with: whoever begins one has been shown
/// none, so that it was begun in another terminal since.
pub(super) fn begun_beside(workshop: &Workshop, started: &Started) -> Option<String> {
    let open = workshop.open_sessions(&started.engine, None).ok()?.things;
    let own = &started.session.head.session;
    let other = open.iter().find(|one| one.id != *own && one.verdict.may_append())?;
    let (name, begun) = (&other.name, dates::day_and_time(other.started));
    Some(format!(
        "another session of this engine, begun {begun}, is open in another terminal or was left \
         open there: {name}; work in one of them only"
    ))
}

/// Says of a session that is gone on with what was set aside of its end.
pub(super) fn set_aside(name: &str, verdict: &Verdict) -> Option<String> {
    let Verdict::CutOff(tail) = verdict else { return None };
    Some(format!(
        "session {name}: {}; what is still to be done is asked again. The broken end is set aside, kept as \
         it is: cowlside verify {} shows what can be read of it",
        tail.told(),
        last_word(name)
    ))
}

/// Keeps open what an entry that was cut off may have opened, until somebody answers for the look at it. Of one
/// that was set aside before, with nothing kept behind it, nobody knows what it said.
pub(super) fn to_look_for(opened: &Opened) -> Option<Entry> {
    let set_aside =
        matches!(opened.entries.last().map(|kept| &kept.entry), Some(Entry::Recover(_)));
    let known = |tail: &Tail| !tail.may_have_opened();
    let harmless = matches!(&opened.verdict, Verdict::CutOff(tail) if known(tail));
    let text = cut_off_here();
    (set_aside && !harmless)
        .then(|| Entry::Remark(Remark { text, before_running: true, ..Remark::default() }))
}

/// Says the code of a session's end, from its file.
pub(super) fn seal_code(workshop: &Workshop, path: &Path) -> Option<String> {
    let code = workshop.read(path).ok()?.seal_code?;
    Some(format!("Seal code {code}: note it on the job sheet. It is {}.", Seal::CODE_IS))
}

/// Fewest bytes that a service should find free: it takes some 40 KiB, and disks have other users.
const ROOM: u64 = 1024 * 1024;

/// Says that there is little room on the disk, where the system tells how much there is.
pub(super) fn little_room(root: &Path) -> Option<String> {
    #[cfg(unix)]
    let free = rustix::fs::statvfs(root).ok().map(|about| about.f_bavail * about.f_frsize);
    #[cfg(not(unix))]
    let free: Option<u64> = None;
    let free = free.filter(|free| *free < ROOM)?;
    Some(format!("only {} KiB are free on the disk: make room before it is full", free / 1024))
}

/// Names the copy that is known of in what is said of a damaged session.
pub(super) fn with_the_copy(told: Vec<String>, name: &str, copy: Option<Elsewhere>) -> Vec<String> {
    let Some(copy) = copy else { return told };
    if !copy.may_be_there() {
        return told.into_iter().chain([plain(&format!("Session {name} {copy}."))]).collect();
    }
    let take = plain(&format!("cowlside take {}", as_typed(&copy.path)));
    let told = told.into_iter().map(|line| line.replace("cowlside take COPY", &take));
    told.chain([plain(&format!("Session {name} {copy}."))]).collect()
}
