//! A session on the screen that is only looked at: another terminal has it in hand.

use super::Shell;
use crate::cli::fail::Fail;
use crate::cli::watching::Watch;
use crate::domain::entry::Moment;
use crate::tui::app::Carried;
use crate::tui::bench::Bench;

impl<'a> Shell<'a> {
    pub(super) fn watching(&mut self, watch: Watch<'a>) -> Carried<Bench> {
        let watched = watch.watched();
        self.watch = Some(watch);
        Carried::Watching(Box::new(watched))
    }

    pub(super) fn look_on(&mut self) -> Result<Carried<Bench>, Fail> {
        let Some(watch) = &mut self.watch else { return Ok(Carried::Done) };
        watch.look();
        Ok(Carried::Watching(Box::new(watch.watched())))
    }

    /// Goes on here with the session that is looked at, where nobody else has it in hand any more.
    pub(super) fn take_over(&mut self, at: Moment) -> Result<Carried<Bench>, Fail> {
        let Some(watch) = &self.watch else { return Ok(Carried::Done) };
        if watch.is_closed() {
            return Err(Fail::work("this session is closed", "Esc goes to the engines"));
        }
        let (engine, which) = watch.whose();
        let carried = self.go_on(&engine, which, at)?;
        Ok(match (&carried, &self.watch) {
            (Carried::Watching(_), Some(still)) => {
                Carried::Told(Box::new(carried), still.refusal())
            }
            _ => {
                self.watch = None;
                carried
            }
        })
    }
}
