//! Pictures that are looked at as a page: the crank at a stop, the engine.

use super::app::{App, PictureOf, Top};
use super::job::Job;
use super::keymap::Action;

/// A picture is only looked at; arrows go to the other one, and whatever closes a page closes it.
pub(super) fn looking<J: Job>(mut next: App<J>, of: PictureOf, action: &Action) -> App<J> {
    let other = match of {
        PictureOf::Stop => PictureOf::Engine,
        PictureOf::Engine => PictureOf::Stop,
    };
    match action {
        Action::Back => next.top = Top::Nothing,
        Action::Move(_) | Action::Turn(_) if next.pictured(other).is_some() => {
            next.top = Top::Picture(other)
        }
        _ => {}
    }
    next
}

/// The picture that a key shows first: of the crank while it is brought to a stop.
pub(super) fn first_picture<J: Job>(job: &J) -> Option<PictureOf> {
    match (job.picture(), job.drawing()) {
        (Some(_), _) => Some(PictureOf::Stop),
        (None, Some(_)) => Some(PictureOf::Engine),
        (None, None) => None,
    }
}
