//! The called-away notice as the screen shows it: what is loose first, and everything countable.

use super::status::notice;
use crate::domain::plain::plain;
use crate::domain::session::{OpenItem, Session};

/// Returns the lines of the notice on the screen, each with the kind of what it tells, for counting:
/// what is loose comes before whose engine it is.
pub fn lines(session: &Session) -> (Vec<String>, Vec<&'static str>) {
    let mut items = session.state.open_items();
    let grave = items.iter().take_while(|item| item.bars_close_up()).count();
    let rest = items.split_off(grave);
    let told = |item: OpenItem| (plain(&item.to_string()), item.kind());
    let all = notice(session).into_iter();
    let known = items.len() + rest.len();
    // The engine and who left it; behind the open items whatever was said on leaving.
    let (engine, said): (Vec<_>, Vec<_>) =
        all.skip(1).enumerate().partition(|(at, _)| *at < ABOUT_THE_ENGINE);
    let said = said.into_iter().skip(known);
    let words = |(_, line): (usize, String)| (line, "more lines");
    items
        .into_iter()
        .map(told)
        .chain(engine.into_iter().map(words))
        .chain(rest.into_iter().map(told))
        .chain(said.map(words))
        .unzip()
}

/// Lines of the notice after its warning that tell the engine and who left it.
const ABOUT_THE_ENGINE: usize = 2;
