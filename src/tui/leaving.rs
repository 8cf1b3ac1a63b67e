//! The questions on the way out: whether to leave, and where else to save.

use super::app::App;
use super::beside::{self, SAVE_TO};
use super::job::Job;
use super::view::in_session;
use crate::guide::{Choice, Field, Prompt, Typed};

/// The question whether to leave.
pub fn leave_prompt<J: Job>(app: &App<J>) -> Prompt {
    let waited_for = app.busy.map(|(doing, seconds)| doing.waited_for(seconds));
    let mut lines: Vec<String> = waited_for.into_iter().collect();
    if let Some(alert) = app.saving.alert() {
        lines.push(alert);
        lines.push("What is not saved is told after leaving, to be written down.".to_owned());
    } else if let Some(words) = app.saving.being_saved() {
        lines.push(words);
        let told = "What the disk does not confirm is told after leaving, to be written down.";
        lines.push(told.to_owned());
    } else if let Some((doing, _)) = app.busy {
        let told = "What the disk does not confirm is told after leaving.";
        lines.extend(doing.not_known().map(|_| told.to_owned()));
    } else if app.job.as_ref().is_some_and(|job| in_session(job.stage())) {
        lines.push("Everything kept is on disk; the work goes on where it was.".to_owned());
    }
    if !app.entry.is_empty() {
        lines.push(format!("Half typed and not kept: {}", app.entry));
    }
    if let Some(job) = &app.job {
        lines.extend(job.open_items().into_iter().map(|item| format!("Open: {item}")));
    }
    let choice = |digit, label: &str| Choice { digit, label: label.to_owned() };
    let mut choices = vec![choice(1, "leave"), choice(2, "stay")];
    if app.busy.is_none() {
        // A session of which something is not saved is not put away: what is refused is not offered.
        let is_saved = app.saving.alert().is_none();
        choices.extend(is_saved.then(|| choice(3, "go to the list of engines")));
        choices.extend(beside::has_way_out(app).then(|| choice(4, SAVE_TO)));
    }
    Prompt {
        title: "Leaving".into(),
        lines,
        ask: "Leave the program?".into(),
        field: Field { choices, ..Field::default() },
        ..Prompt::default()
    }
}

/// The question in which other folder to save.
pub fn save_to_prompt<J: Job>(app: &App<J>) -> Prompt {
    let mut lines = app.saving.alert().into_iter().collect::<Vec<String>>();
    lines.push("The whole session is written there as a new file, and goes on there.".to_owned());
    Prompt {
        title: "Save the session to another folder".into(),
        lines,
        ask: "Which folder? (as in /media/stick)".into(),
        field: Field::typed(Typed::Text),
        ..Prompt::default()
    }
}
