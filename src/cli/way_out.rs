//! The way out of a plain session whose disk takes no more: all of it is saved to another folder, as the
//! screens offer it.

use super::fail::Fail;
use super::keeping::saved_in;
use super::open_session::OpenSession;
use super::plain_session::{open_lines, show_prompt};
use super::world::World;
use crate::domain::plain::plain;
use crate::guide::{Field, Prompt, Typed};
use crate::store::words::{as_typed, command};
use crate::tui::keeping::Keeping;
use crate::tui::signals;
use std::path::Path;

/// What is typed for it.
pub const WORD: &str = "save";
/// What it does, in the list of everything else.
pub const DOES: &str = "save the session to another folder";

/// Says that there is a way out, where something is not saved; in a text a colon makes it no answer.
pub fn offer(is_text: bool) -> String {
    let colon = if is_text { ":" } else { "" };
    format!("{colon}{WORD}  {DOES}")
}

/// Asks for a folder, where something is not saved; returns what was typed.
pub fn ask_folder(world: &mut World<'_>, desk: &OpenSession<'_>) -> Result<Option<String>, Fail> {
    let saving = desk.minder().saving();
    let Some(alert) = saving.alert() else {
        writeln!(world.out, "! not now: {}", saving.no_way_out())?;
        return Ok(None);
    };
    let prompt = Prompt {
        place: desk.engine().name.clone(),
        title: "Save the session to another folder".into(),
        lines: vec![
            alert,
            "The whole session is written there as a new file, and goes on there.".into(),
        ],
        ask: "Which folder? (as in /media/stick)".into(),
        field: Field::typed(Typed::Text).or_enter("go back, nothing is written"),
        ..Prompt::default()
    };
    show_prompt(world, &open_lines(desk), &prompt, None)?;
    // Nobody who asks the program to end waits for this line.
    world.line()
}

/// Writes the whole session into that folder; nothing is lost where it cannot be. Tells whether there is
/// nothing more to ask.
pub fn save_in(world: &mut World<'_>, desk: &OpenSession<'_>, typed: &str) -> Result<bool, Fail> {
    let folder = typed.trim();
    if folder.is_empty() || ["-", ":b", ":q"].contains(&folder) {
        return Ok(true);
    }
    match signals::while_working(|| desk.minder().elsewhere(Path::new(folder))) {
        Ok(path) => writeln!(world.out, "{}", plain(&saved_in(&path)))?,
        Err(why) => {
            writeln!(world.out, "! not saved there: {}", plain(&why))?;
            return Ok(false);
        }
    }
    Ok(true)
}

/// Says how to go on with a session that was left open.
pub fn go_on_words(desk: &OpenSession<'_>) -> String {
    let again = command("session", (&desk.engine().name, ""), "--plain");
    match desk.minder().lies_elsewhere() {
        Some(path) => format!(
            "The session stays open; go on with it: cowlside take {}, then {again}",
            as_typed(&path)
        ),
        None => format!("The session stays open; go on with it: {again}"),
    }
}
