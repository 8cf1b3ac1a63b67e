//! What lists say of sessions whose files are not whole.

use crate::domain::plain::plain;
use crate::store::engines::Engine;
use crate::store::folder::Folder;
use crate::store::journal::{Tail, Verdict};
use crate::store::seen::{self, Missed};
use crate::store::sessions::Glance;
use crate::store::words::last_word;

/// Says of a session that can be gone on with that its last entry is cut off, and where it counts all the
/// same.
pub fn cut_off(folder: &Folder, engine: &Engine, session: &Glance) -> Option<String> {
    let Verdict::CutOff(tail) = &session.verdict else { return None };
    let whole_in = seen::whole_elsewhere(folder, &session.id, (&session.path, tail));
    let tail = Tail { whole_in, ..tail.clone() };
    let (name, of, typed) = (&session.name, &engine.name, last_word(&session.name));
    let words = format!("{of}: session {name}: {}; see cowlside verify {typed}", tail.told());
    (!session.sealed).then(|| plain(&words))
}

/// Tells whether whole entries of a session that can be gone on with were here and are not any more.
pub fn is_cut_short(folder: &Folder, session: &Glance) -> bool {
    missed(folder, session).is_some()
}

/// Says of such a session what is missed, and that more may be open.
pub fn cut_short(folder: &Folder, session: &Glance) -> Option<String> {
    let (missed, typed) = (missed(folder, session)?, last_word(&session.name));
    let of = session.engine.as_ref().map_or(String::new(), |engine| format!("{engine}: "));
    let name = &session.name;
    Some(plain(&format!(
        "{of}session {name}: {missed}: more than this may be open; see cowlside verify {typed}"
    )))
}

/// Finds what is missing at the end of a session, by the memo of what was seen here. A hole further up is the
/// file's own to tell, and one that has ended had nothing to open behind that.
pub fn missed(folder: &Folder, session: &Glance) -> Option<Missed> {
    let whole = session.verdict.may_append() && !session.sealed && session.counts();
    let missed = seen::fewer(folder, &session.id, session.entries).filter(|_| whole)?;
    let last = seen::of(folder, &session.id)?;
    // Another file here may have it: then nothing is lost.
    let is_elsewhere = seen::is_in_a_file_of(folder, &last);
    (!is_elsewhere).then_some(missed)
}

/// Tells whether a session is damaged where it says of which engine it is.
pub fn is_of_nobody_knows(session: &Glance) -> bool {
    session.engine_id.is_none() && session.engine.is_none() && session.verdict.is_damage()
}

/// Says of a session that has ended, or whose engine nobody can tell, that its file is damaged: what it
/// held may be missing wherever it is counted.
pub fn not_whole(session: &Glance) -> String {
    let name = &session.name;
    let of = if session.engine_id.is_some() || session.engine.is_some() {
        "what it held may be missing in lists, history and comparison"
    } else {
        "of which engine it is cannot be read"
    };
    plain(&format!(
        "session {name} is damaged, {of}: {}; see cowlside verify {}",
        session.verdict,
        last_word(name)
    ))
}
