//! `settings`: shows what is remembered of looks and sound, and changes it.

use super::args_own::{OnOff, SettingsArgs, SettingsWhat};
use super::fail::Fail;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::plain;
use crate::store::settings::Settings;
use crate::store::shown;
use crate::tui::theme::ThemeName;

/// `settings`.
pub fn settings(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &SettingsArgs,
) -> Result<(), Fail> {
    let (mut settings, damaged) = Settings::load(workshop.folder());
    if let Some(damaged) = damaged {
        world.warn(&damaged.to_string());
    }
    match &args.what {
        None => {}
        Some(SettingsWhat::Bell { bell }) => settings.ring(*bell == OnOff::On),
        Some(SettingsWhat::Theme { theme }) => {
            let Some(known) = ThemeName::from_word(&theme.to_lowercase()) else {
                let words: Vec<&str> = ThemeName::ALL.into_iter().map(ThemeName::word).collect();
                let error = format!("there is no theme \"{}\"", plain(theme));
                return Err(Fail::usage(error, format!("the themes are {}", words.join(", "))));
            };
            settings.theme = Some(known.word().into());
        }
    }
    if args.what.is_some() {
        workshop.folder().prepare()?;
        if let Some(aside) = settings.save(workshop.folder())? {
            world.warn(&format!("the damaged settings are kept as {}", shown(&aside)));
        }
    }
    let theme = settings.theme.as_deref().and_then(ThemeName::from_word).unwrap_or_default();
    writeln!(world.out, "bell   {}", if settings.rings() { "on" } else { "off" })?;
    writeln!(world.out, "theme  {}", theme.word())?;
    Ok(())
}
