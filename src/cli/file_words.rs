//! What lists say of sessions whose files are not whole.

use crate::domain::plain::plain;
use crate::store::engines::Engine;
use crate::store::journal::Verdict;
use crate::store::sessions::Glance;
use crate::store::words::last_word;

/// Says of a session that can be gone on with that its last entry is cut off.
pub fn cut_off(engine: &Engine, session: &Glance) -> Option<String> {
    let Verdict::CutOff(tail) = &session.verdict else { return None };
    let (name, of, typed) = (&session.name, &engine.name, last_word(&session.name));
    let words = format!("{of}: session {name}: {}; see cowlside verify {typed}", tail.told());
    (!session.sealed).then(|| plain(&words))
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
