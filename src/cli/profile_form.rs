//! Profiles made, copied and changed in a form: what is opened, and how it comes to disk.

use super::fail::Fail;
use super::plain_profile;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::document::Node;
use crate::domain::plain::plain;
use crate::domain::profile::Facts;
use crate::guide::profile_form::{Form, SCHEMA};
use crate::store::profile_writer::{self, NotWritten, Over};
use crate::store::profiles::{self, Origin};
use crate::store::settings::Settings;
use crate::store::shown;
use crate::store::words::{cause_words, command, word};
use crate::tui::profile_desk::{Done, ProfileDesk, Wish, file_name};
use crate::tui::theme::{Colours, ThemeName};
use crate::tui::widgets::digits::Ink;
use crate::tui::{self, terminal};
use std::path::Path;

const PLAIN: &str = "use --plain: the same form as plain prompts, line by line";

/// What is to be opened in the form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// A new profile, with its name where that is known.
    New {
        /// The file's name.
        name: Option<String>,
    },
    /// A copy of another one.
    Copy {
        /// The other one's name or path.
        name: String,
        /// The copy's name, where that is known.
        to: Option<String>,
    },
    /// A profile of the user's own, to be written over itself.
    Change {
        /// Its name.
        name: String,
    },
}

/// A form, and how it comes to disk.
#[derive(Clone, Debug)]
pub struct Opened {
    /// The form.
    pub form: Form,
    /// What it is, in words.
    pub title: String,
    /// The name that the file is to have; may be empty.
    pub name: String,
    /// The name and text of the user's own file that was opened to be changed.
    pub own: Option<(String, String)>,
}

/// Opens a form.
///
/// # Errors
/// The profile cannot be found or read, is built in where it is to be changed, or holds what the
/// form has not.
pub fn form(workshop: &Workshop, wanted: &Wanted) -> Result<Opened, Fail> {
    let known: Vec<Facts> = profiles::list(workshop.root())
        .known
        .into_iter()
        .filter(|known| known.origin == Origin::BuiltIn)
        .map(|known| (*known.profile.profile).clone())
        .collect();
    let (source, to) = match wanted {
        Wanted::New { name } => {
            return Ok(Opened {
                form: Form::new(profile_writer::judge, known),
                title: "A new profile".into(),
                name: name.clone().unwrap_or_default(),
                own: None,
            });
        }
        Wanted::Copy { name, to } => (name, Some(to.clone().unwrap_or_default())),
        Wanted::Change { name } => (name, None),
    };
    let found = profiles::find(source, workshop.root())?;
    let own = profile_writer::own_file(workshop.folder(), source).is_some();
    if to.is_none() && !own {
        return Err(Fail::work(
            format!("`{}` is no profile of your own: it is never changed", plain(source)),
            format!("make a copy: {}", command("profiles copy", (source, ""), "")),
        ));
    }
    let mut document = profile_writer::document_of(&found.text)
        .ok_or_else(|| Fail::work("the profile holds a `null`", "take it out with an editor"))?;
    if to.is_some() {
        document.put("$schema", Node::Text(SCHEMA.into()));
    }
    let form = Form::of(&document, profile_writer::judge, known).map_err(|why| {
        let error = format!("`{}` cannot be opened in the form: {why}", plain(source));
        Fail::work(
            error,
            "change its file with an editor; `cowlside profiles check FILE` looks at it",
        )
    })?;
    let name = match &to {
        Some(to) if to.is_empty() => file_name(&format!("my-{}", found.name)),
        Some(to) => to.clone(),
        None => found.name.clone(),
    };
    let title = match &to {
        Some(_) => format!("A copy of {}", plain(&found.name)),
        None => format!("Your profile {}", plain(&found.name)),
    };
    Ok(Opened { form, title, name, own: to.is_none().then_some((found.name, found.text)) })
}

/// `profiles new`, `profiles copy`, `profiles change`.
pub fn open(
    world: &mut World<'_>,
    workshop: &Workshop,
    wanted: &Wanted,
    as_prompts: bool,
) -> Result<(), Fail> {
    let opened = form(workshop, wanted)?;
    if as_prompts {
        return plain_profile::run(world, workshop, opened);
    }
    let own = opened.own.is_some();
    match on_screen(world, workshop, opened)? {
        Some(place) => write!(world.out, "{}", written(&place, own))?,
        None => writeln!(world.out, "left; nothing was written")?,
    }
    Ok(())
}

/// Says where a profile was written and what comes next.
pub fn written(place: &str, own: bool) -> String {
    let name = word(&name_of(place));
    let next = if own {
        "Engines that have it go by it from their next service on.".to_string()
    } else {
        format!(
            "For a new engine: cowlside engine add NAME --profile {name} --hours H\n\
             For one that is here: cowlside engine profile ENGINE {name}"
        )
    };
    format!("written: {}\n{next}\n", plain(place))
}

/// Returns the name of a profile that was written here.
pub fn name_of(place: &str) -> String {
    Path::new(place).file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default()
}

/// Shows the form until it is written or left; returns where it was written.
pub fn on_screen(
    world: &mut World<'_>,
    workshop: &Workshop,
    opened: Opened,
) -> Result<Option<String>, Fail> {
    terminal::usable().map_err(|no| Fail::usage(no.to_string(), PLAIN))?;
    let (settings, _) = Settings::load(workshop.folder());
    let theme = settings.theme.as_deref().and_then(ThemeName::from_word).unwrap_or_default();
    let no_color = (world.variable)("NO_COLOR").map(|value| value.to_string_lossy().into_owned());
    let colours = Colours::from_no_color(no_color.as_deref());
    let Opened { form, title, name, own } = opened;
    let mut desk = ProfileDesk::new(form, title, name, (theme, colours));
    desk.ink = if settings.ascii || world.ascii { Ink::Hash } else { Ink::Blocks };
    tui::run_form(desk, |desk, wish| match wish {
        Wish::Write { name, replace } => {
            write(workshop, &desk.form.document(), name, *replace, own.as_ref())
        }
        Wish::Leave => Done::Refused(String::new()),
    })
    .map_err(|error| Fail::work(format!("the terminal: {}", cause_words(&error)), PLAIN))
}

/// Writes a profile that the form made.
pub fn write(
    workshop: &Workshop,
    document: &Node,
    name: &str,
    replace: bool,
    own: Option<&(String, String)>,
) -> Done {
    let over = match (replace, own) {
        (false, _) => Over::Nothing,
        (true, Some((read, text))) if read == name => Over::OwnAsRead(text.clone()),
        (true, _) => Over::Own,
    };
    let mut document = document.clone();
    // What an editor reads is named only where it lies beside; a file of his own stays as he has it.
    if own.is_none() && !workshop.folder().profiles().join(SCHEMA).exists() {
        document.remove("$schema");
    }
    match profile_writer::write_own(workshop.folder(), name, &document, &over) {
        Ok(path) => Done::Written(shown(&path)),
        Err(NotWritten::Exists(_)) => Done::Exists,
        Err(error) => Done::Refused(plain(&format!("{error}: {}", error.hint()))),
    }
}
