//! Back from a question: to the one before it, or to the list that it was asked from.

use super::app::{App, Effect};
use super::job::{Job, Stage};
use super::keymap::{Action, Place};
use super::screens::Note;
use super::update::Next;
use super::view::OF_ENGINE;

/// Tells whether a key leads to the list of engines, or of their kinds: back where no session is under
/// way, and Enter too where one is closed. What is typed of a new engine does not hinder that.
pub(super) fn to_engines<J: Job>(next: &App<J>, job: &J, action: &Action) -> bool {
    let stage = job.stage();
    let nothing_begun = next.forms.is_empty() && (next.entry.is_empty() || stage == Stage::Kind);
    nothing_begun
        && match stage {
            Stage::Kind | Stage::Before => *action == Action::Back,
            Stage::Open => false,
            Stage::Closed => true,
        }
}

/// Looks back at what was gauged before. Where no service is begun that is asked in the list.
pub(super) fn look_back<J: Job>(mut next: App<J>, job: &J, action: &Action) -> Next<J> {
    let effect = if *action == Action::Compare { Effect::Compare } else { Effect::History };
    // There letters search.
    let digit = 1 + OF_ENGINE.iter().take_while(|(other, _)| other != action).count();
    let why = match job.stage() {
        Stage::Open | Stage::Closed => return (next, Some(effect)),
        Stage::Before => {
            format!("no service is begun yet: Esc, then * and {digit} in the list of engines")
        }
        Stage::Kind => "a new engine has no past".into(),
    };
    next.note = Some(Note::warning(why));
    (next, None)
}

/// Leads to the list that a question was asked from. The name of a new engine stays, whatever kind it
/// will be of.
pub(super) fn to_its_list<J: Job>(mut next: App<J>, job: &J) -> Next<J> {
    let kinds = job.stage() == Stage::Kind;
    next.draft = if kinds { next.entry.clone() } else { String::new() };
    (next, Some(if kinds { Effect::Kinds } else { Effect::Shop }))
}

/// Back to the question before; what was typed is left only at the second time. Before there is a
/// session what was answered stands there again.
pub(super) fn step_back<J: Job>(next: &mut App<J>) {
    if !next.entry.is_empty() {
        next.entry.clear();
        let back = if next.forms.is_empty() { "" } else { "; Esc again goes back" };
        next.note = Some(Note::done(format!("the entry is emptied{back}")));
        return;
    }
    let left = next.forms.pop();
    if let (Some(left), Some(job)) = (left, &next.job)
        && matches!(job.stage(), Stage::Kind | Stage::Before)
        && Place::of(&job.prompt(next.form())) != Place::Choice
    {
        next.entry = job.last_typed(&left);
        // Another number begins anew, as after a refusal; a text is mended.
        next.stale = !next.entry.is_empty();
    }
}
