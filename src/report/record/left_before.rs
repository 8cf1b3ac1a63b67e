//! What earlier services left outside its band and this one has not looked at. Until the signature it is
//! looked up in them; what is signed for is kept beside the signature, in the words of a remark: so the
//! record says the same when their files are gone, or are put right.

use crate::domain::entry::Entry;
use crate::domain::left_before::{LeftBefore, still_left};
use crate::domain::service::Ending;
use crate::domain::session::Session;
use crate::domain::trend::Earlier;
use crate::report::dates;

/// How the remark begins that stands before the signature.
const LEFT_SO: &str = "left so by an earlier service, not looked at in this one: ";

/// Says what is still as earlier services left it, each with the day of the one that did; `None` where
/// nothing is.
pub(super) fn left_before(session: &Session, earlier: &Earlier) -> Option<String> {
    let left = still_left(&session.state, &earlier.services).into_iter();
    let words: Vec<String> = left
        .map(|LeftBefore { verdict, outcome, by, since }| {
            let day = by.began.map(|began| dates::marked_day(began, by.day_doubtful));
            let table = (by.ending == Ending::Imported).then_some("by a table");
            let beside = table.into_iter().chain(since.map(|since| since.words()));
            let beside: Vec<String> = day.into_iter().chain(beside.map(String::from)).collect();
            let name = session.state.name_of(outcome.valve);
            format!("{name} {} ({})", verdict.word().to_uppercase(), beside.join("; "))
        })
        .collect();
    (!words.is_empty()).then(|| format!("{LEFT_SO}{}", words.join(", ")))
}

/// Returns what was kept of it beside the signature: directly before it. One that stands further up was cut
/// off from a signature that came to nothing.
pub(super) fn signed_beside(session: &Session) -> Option<&str> {
    let signed = session.kept.iter().position(|kept| matches!(kept.entry, Entry::Sign(_)))?;
    let Entry::Remark(remark) = &session.kept.get(signed.checked_sub(1)?)?.entry else {
        return None;
    };
    remark.text.starts_with(LEFT_SO).then_some(remark.text.as_str())
}
