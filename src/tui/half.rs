//! What was typed when another errand was begun: it stands there again as soon as the same is asked.
//! Nothing is kept by that: it waits for its Enter. Whoever was called away types it anew: new digits behind
//! old ones, which nobody remembers, are another number.

use super::app::{App, Effect, Listed, Top};
use super::job::Job;
use super::keymap::Action;
use crate::domain::entry::Entry;
use crate::guide::Prompt;

/// A number that was typed and not kept, and what it was typed for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Half {
    title: String,
    ask: String,
    entry: String,
}

impl Half {
    fn of(prompt: Prompt, entry: &str) -> Half {
        Half { title: prompt.title, ask: prompt.ask, entry: entry.to_owned() }
    }

    fn is_of(&self, prompt: &Prompt) -> bool {
        (&self.title, &self.ask) == (&prompt.title, &prompt.ask) && prompt.field.is_number()
    }
}

impl<J: Job> App<J> {
    /// Takes down what was typed where this action begins another errand, and puts it back where the same
    /// is asked again. What is done in between may be asked on the way back, and nothing else.
    pub(super) fn keep_half(&self, next: &mut App<J>, action: &Action, effect: Option<&Effect>) {
        if !self.entry.is_empty() && next.entry.is_empty() && self.begins_an_errand(action) {
            let asked = App { top: Top::Nothing, ..self.clone() }.prompt();
            let number = asked.filter(|prompt| prompt.field.is_number());
            next.half = number.map(|prompt| Box::new(Half::of(prompt, &self.entry)));
        }
        next.half = next.half.take().filter(|_| on_the_way(effect, is_aside));
        next.put_half_back();
    }

    /// Puts what was half typed where its question is asked again.
    pub(super) fn put_half_back(&mut self) {
        let Some(half) = self.half.take() else { return };
        let again = || asks(self) && self.prompt().is_some_and(|prompt| half.is_of(&prompt));
        if self.entry.is_empty() && again() {
            self.entry = half.entry;
        } else {
            self.half = Some(half);
        }
    }

    /// Tells whether an action leaves the question of the session for a command.
    fn begins_an_errand(&self, action: &Action) -> bool {
        let from_the_list = matches!(&self.top, Top::List(list) if list.what == Listed::More);
        let by_its_key = self.top == Top::Nothing && matches!(action, Action::Command(_));
        let leaving = self.top == Top::Leave;
        self.forms.is_empty() && (by_its_key || from_the_list || leaving)
    }
}

/// Tells whether what an effect does may come before the same is asked again: entries of which that is true,
/// how it looks and sounds, where it is saved, and what is looked up.
pub(super) fn on_the_way(effect: Option<&Effect>, may: impl Fn(&Entry) -> bool) -> bool {
    match effect {
        None => true,
        Some(Effect::Keep(kept)) => kept.iter().all(may),
        Some(Effect::Bell(_) | Effect::Look(_) | Effect::SaveTo(_)) => true,
        Some(Effect::Compare | Effect::History) => true,
        Some(_) => false,
    }
}

/// Tells whether the session asks itself, with nothing before it.
pub(super) fn asks<J: Job>(app: &App<J>) -> bool {
    app.forms.is_empty() && app.top == Top::Nothing && app.notice().is_none()
}

/// Tells whether an entry changes nothing about what a number was typed for.
pub(super) fn is_aside(entry: &Entry) -> bool {
    matches!(
        entry,
        Entry::Caution(_)
            | Entry::Condition(_)
            | Entry::At(_)
            | Entry::Proof(_)
            | Entry::Remark(_)
            | Entry::Who(_)
    )
}
