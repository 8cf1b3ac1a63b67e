//! `settings`: shows what is remembered of looks and sound, and changes it.

use super::args_own::{OnOff, SettingsArgs, SettingsWhat};
use super::fail::Fail;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::{plain, quoted};
use crate::store::settings::Settings;
use crate::store::shown;
use crate::store::words::settings_unread;
use crate::tui::look::{Look, Seen};

use crate::tui::theme::ThemeName;
use crate::tui::widgets::digits::Ink;

/// `settings`.
pub fn settings(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &SettingsArgs,
) -> Result<(), Fail> {
    let (settings, told) = match &args.what {
        None => {
            let (settings, fault) = Settings::load(workshop.folder());
            let absent = workshop.folder().absent();
            absent.iter().for_each(|absent| world.warn(&absent.to_string()));
            (settings, fault.map(|fault| settings_unread(&fault)))
        }
        Some(SettingsWhat::Bell { bell }) => {
            Settings::update(workshop.folder(), |now| now.ring(*bell == OnOff::On))?
        }
        Some(SettingsWhat::Theme { theme }) => {
            let Some(known) = ThemeName::from_word(&theme.to_lowercase()) else {
                let words: Vec<&str> = ThemeName::ALL.into_iter().map(ThemeName::word).collect();
                let error = format!("there is no theme \"{}\"", plain(theme));
                return Err(Fail::usage(error, format!("the themes are {}", words.join(", "))));
            };
            Settings::update(workshop.folder(), |now| now.theme = Some(known.word().into()))?
        }
    };
    told.into_iter().chain(unknown_values(&settings, workshop)).for_each(|told| world.warn(&told));
    let theme = settings.theme.as_deref().and_then(ThemeName::from_word).unwrap_or_default();
    let bell = if settings.rings() { "on" } else { "off" };
    let told = writeln!(world.out, "bell   {bell}\ntheme  {}", theme.word());
    told.map_err(|error| match args.what {
        None => Fail::from(error),
        Some(_) => Fail::words_lost(error),
    })
}

/// Says which looks in the settings are none that this program knows: the file, what it knows, and what it
/// takes instead.
pub(super) fn unknown_values(settings: &Settings, workshop: &Workshop) -> Vec<String> {
    let file = shown(&workshop.folder().settings());
    let told = |member: &str, found: &str, known: Vec<&str>, used: &str| {
        format!(
            "{file}: `{member}` is \"{}\", and must be one of: {}; {used} is used, and the file is left as \
             it is until another is chosen",
            quoted(found),
            known.join(", ")
        )
    };
    let theme = settings.theme.as_deref().filter(|word| ThemeName::from_word(word).is_none());
    let theme = theme.map(|found| {
        let known = ThemeName::ALL.into_iter().map(ThemeName::word).collect();
        told("theme", found, known, ThemeName::default().word())
    });
    let seen = settings.seen_from.as_deref().filter(|word| Seen::from_word(word).is_none());
    let seen = seen.map(|found| {
        let known = Seen::ALL.into_iter().map(Seen::word).collect();
        told("seen_from", found, known, Seen::default().word())
    });
    theme.into_iter().chain(seen).collect()
}

/// Remembers a look. What only a newer program may know stays, unless something else was chosen than
/// what is used in its place.
pub(super) fn remember_look(settings: &mut Settings, look: Look) {
    let replaces =
        |kept: Option<&str>, known: bool, chosen: bool| kept.is_none() || known || chosen;
    let kept = settings.theme.as_deref();
    let known = kept.and_then(ThemeName::from_word).is_some();
    if replaces(kept, known, look.theme != ThemeName::default()) {
        settings.theme = Some(look.theme.word().into());
    }
    let kept = settings.seen_from.as_deref();
    let known = kept.and_then(Seen::from_word).is_some();
    if replaces(kept, known, look.seen != Seen::default()) {
        settings.seen_from = Some(look.seen.word().into());
    }
    settings.ascii = look.ink == Ink::Hash;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_look_loses_no_value_that_only_a_newer_program_knows() {
        let mut settings = Settings::default();
        settings.theme = Some("purple".into());
        settings.seen_from = Some("above".into());
        let used = Look { theme: ThemeName::default(), ink: Ink::Hash, seen: Seen::default() };
        remember_look(&mut settings, used);
        assert!(settings.ascii);
        assert_eq!(
            (settings.theme.as_deref(), settings.seen_from.as_deref()),
            (Some("purple"), Some("above"))
        );
        // What was chosen takes its place.
        remember_look(&mut settings, Look { theme: ThemeName::Dark, ..used });
        assert_eq!(
            (settings.theme.as_deref(), settings.seen_from.as_deref()),
            (Some("dark"), Some("above"))
        );
        remember_look(&mut settings, Look { seen: Seen::Front, ..used });
        assert_eq!(settings.theme.as_deref(), Some(ThemeName::default().word()));
        assert_eq!(settings.seen_from.as_deref(), Some(Seen::Front.word()));
    }
}
