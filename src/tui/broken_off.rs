//! Questions of a command in whose middle one was called away, or the program slept: they stand there again
//! as soon as the session asks what it asked then, and only where each of them is asked as it was. What
//! speaks of the crank, a nut or a valve is asked anew. Nothing is kept by that.

use super::app::{App, Effect};
use super::half::{asks, is_aside, on_the_way};
use super::job::Job;
use super::screens::Note;
use crate::domain::entry::Entry;
use crate::guide::{Field, Prompt};

/// Said where they stand again.
const GOES_ON: &str = "this was begun before you were called away";

/// What was asked before the break.
#[derive(Clone, Debug, PartialEq)]
pub struct BrokenOff<F> {
    /// By the session.
    due: Asked,
    /// By the command, one question after the other.
    forms: Vec<(F, Asked)>,
}

/// A question, as far as its answer depends on it.
#[derive(Clone, Debug, PartialEq)]
struct Asked {
    title: String,
    ask: String,
    field: Field,
}

impl Asked {
    fn of(prompt: Prompt) -> Asked {
        Asked { title: prompt.title, ask: prompt.ask, field: prompt.field }
    }
}

impl<J: Job> App<J> {
    /// Takes them down where this key breaks off, and puts them back where that can be.
    pub(super) fn keep_broken_off(&self, next: &mut App<J>, effect: Option<&Effect>) {
        if breaks(effect) && next.forms.is_empty() {
            let taken_down = self.taken_down();
            next.broken_off = taken_down.or_else(|| next.broken_off.take());
        }
        let may = |entry: &Entry| is_aside(entry) || is_break(entry);
        next.broken_off = next.broken_off.take().filter(|_| on_the_way(effect, may));
        let (Some(broken_off), Some(job)) = (next.broken_off.as_deref(), &next.job) else { return };
        if !asks(next) || Asked::of(job.prompt(None)) != broken_off.due {
            return;
        }
        let as_asked =
            |(form, asked): &(J::Form, Asked)| Asked::of(job.prompt(Some(form))) == *asked;
        let again = broken_off.forms.iter().all(as_asked);
        let forms = broken_off.forms.iter().map(|(form, _)| form.clone()).collect();
        next.broken_off = None;
        // A number that was begun meanwhile is what is answered now.
        if again && next.entry.is_empty() {
            next.forms = forms;
            next.note = Some(Note::done(GOES_ON).behind(next.note.take()));
        }
    }

    /// Tells whether a job asks what is asked now, by the questions on their way too: what was given so far is
    /// no answer to another question.
    pub(super) fn is_asked_by(&self, job: &J) -> bool {
        let Some(before) = &self.job else { return false };
        let due = |job: &J| job.prompt(None);
        let of_due = self.forms.is_empty() || self.forms.iter().any(|form| job.answers_due(form));
        let asked = |job: &J, form: &J::Form| Asked::of(job.prompt(Some(form)));
        (!of_due || due(before) == due(job))
            && self.forms.iter().all(|form| asked(before, form) == asked(job, form))
    }

    fn taken_down(&self) -> Option<Box<BrokenOff<J::Form>>> {
        let job = self.job.as_ref()?;
        let lasts = self.form().is_some_and(|form| job.outlasts_a_break(form));
        let asked = |form: &J::Form| (form.clone(), Asked::of(job.prompt(Some(form))));
        lasts.then(|| {
            let forms = self.forms.iter().map(asked).collect();
            Box::new(BrokenOff { due: Asked::of(job.prompt(None)), forms })
        })
    }
}

fn breaks(effect: Option<&Effect>) -> bool {
    matches!(effect, Some(Effect::Keep(kept)) if kept.iter().any(is_break))
}

fn is_break(entry: &Entry) -> bool {
    matches!(entry, Entry::Away(_) | Entry::Back(_))
}
