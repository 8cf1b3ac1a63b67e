//! `settings`: shows what is remembered of looks and sound, and changes it.

use super::args_own::{OnOff, SettingsArgs, SettingsWhat};
use super::fail::Fail;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::plain;
use crate::store::settings::Settings;
use crate::store::words::settings_unread;
use crate::tui::theme::ThemeName;

/// `settings`.
pub fn settings(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &SettingsArgs,
) -> Result<(), Fail> {
    let (settings, told) = match &args.what {
        None => {
            let (settings, fault) = Settings::load(workshop.folder());
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
    if let Some(told) = told {
        world.warn(&told);
    }
    let theme = settings.theme.as_deref().and_then(ThemeName::from_word).unwrap_or_default();
    let bell = if settings.rings() { "on" } else { "off" };
    let told = writeln!(world.out, "bell   {bell}\ntheme  {}", theme.word());
    told.map_err(|error| match args.what {
        None => Fail::from(error),
        Some(_) => Fail::words_lost(error),
    })
}
