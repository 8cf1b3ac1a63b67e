//! Sizes of a shim that contradict each other: its mark and the micrometer.

use super::Step;
use super::rounds::sure_prompt;
use crate::domain::profile::Adjuster;
use crate::domain::session::Session;
use crate::domain::units::Length;
use crate::domain::valve::Valve;

/// How far mark and micrometer may be apart where the profile lists no sizes; common practice, no
/// source: a slip of the micrometer, or a worn face.
const APART: Length = Length::from_nm(20_000);

/// Asks once about a size by the micrometer that is not what the mark says, in either direction: a
/// worn shim is thinner, and none is thicker by more than a slip in measuring.
pub(super) fn as_marked(
    session: &Session,
    place: &str,
    valve: Valve,
    sizes: (Option<Length>, Option<Length>),
    given: &[String],
    then: impl FnOnce() -> Step,
) -> Step {
    let (Some(marked), Some(measured)) = sizes else { return then() };
    let apart = (marked.nm() - measured.nm()).abs();
    if apart <= allowed(session).nm() {
        return then();
    }
    let unit = session.state.facts().unit;
    let typed = measured.digits(unit);
    let question = format!("Marked {}, measured {typed}: is that right?", marked.digits(unit));
    sure_prompt(place, (valve, &typed), question, given, |_, _| then())
}

/// Half of the smallest step between the profile's sizes.
fn allowed(session: &Session) -> Length {
    let Adjuster::Shim { sizes } = &session.state.facts().adjuster else { return APART };
    let mut sizes: Vec<i64> = sizes.iter().map(|size| size.nm()).collect();
    sizes.sort_unstable();
    let steps = sizes.iter().zip(sizes.iter().skip(1)).map(|(one, next)| next - one);
    steps.filter(|step| *step > 0).min().map_or(APART, |step| Length::from_nm(step / 2))
}
