//! Which part of a screen looks how: roles, and the styles that a theme gives them.
//!
//! Nothing is told by colour alone: words and shapes carry every meaning, so the plain theme loses
//! nothing. The fixed themes use the cube entries of the 256 colours, which no user's palette moves.

use ratatui::style::{Color, Modifier, Style};

/// Whether colours may be used at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colours {
    /// As the theme says.
    Allowed,
    /// `NO_COLOR` is set: none; bold and reverse stay.
    Off,
}

impl Colours {
    /// Reads the value of `NO_COLOR` as its convention says: any text that is not empty.
    pub fn from_no_color(value: Option<&str>) -> Colours {
        if value.is_some_and(|text| !text.is_empty()) { Colours::Off } else { Colours::Allowed }
    }
}

/// The themes to choose among.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ThemeName {
    /// The terminal's own two colours, bold and reverse.
    #[default]
    Terminal,
    /// Black on white, for daylight.
    Daylight,
    /// White on black.
    Dark,
}

impl ThemeName {
    /// All themes, in the order in which a key steps through them.
    pub const ALL: [ThemeName; 3] = [ThemeName::Terminal, ThemeName::Daylight, ThemeName::Dark];

    /// Returns the name as written in settings and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            ThemeName::Terminal => "terminal",
            ThemeName::Daylight => "daylight",
            ThemeName::Dark => "dark",
        }
    }

    /// Finds a theme by its word.
    pub fn from_word(word: &str) -> Option<ThemeName> {
        ThemeName::ALL.into_iter().find(|name| name.word() == word)
    }

    /// Returns the theme after this one.
    pub fn next(self) -> ThemeName {
        match self {
            ThemeName::Terminal => ThemeName::Daylight,
            ThemeName::Daylight => ThemeName::Dark,
            ThemeName::Dark => ThemeName::Terminal,
        }
    }
}

/// What a piece of a screen is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Ordinary text, and the ground of the whole screen.
    Text,
    /// What is to be done.
    Title,
    /// Large digits.
    Big,
    /// What must not be forgotten, in the top line.
    Open,
    /// A refusal or a warning.
    Warning,
    /// Something went well.
    Good,
    /// What is due now.
    Due,
    /// A key, before what it does.
    Key,
    /// The line that the cursor is on, and the entry's cursor.
    Cursor,
}

impl Role {
    /// All roles.
    pub const ALL: [Role; 9] = [
        Role::Text,
        Role::Title,
        Role::Big,
        Role::Open,
        Role::Warning,
        Role::Good,
        Role::Due,
        Role::Key,
        Role::Cursor,
    ];
}

/// A theme, ready to give styles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    paints: Option<Paints>,
}

/// Indices into the 256 colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Paints {
    text: u8,
    ground: u8,
    warning: u8,
    good: u8,
    accent: u8,
}

const BLACK: u8 = 16;
const WHITE: u8 = 231;
const DAYLIGHT: Paints = Paints { text: BLACK, ground: WHITE, warning: 88, good: 22, accent: 18 };
const DARK: Paints = Paints { text: WHITE, ground: BLACK, warning: 217, good: 120, accent: 159 };

impl Theme {
    /// Makes a theme; without colours every theme is the plain one.
    pub fn new(name: ThemeName, colours: Colours) -> Theme {
        let paints = match (colours, name) {
            (Colours::Off, _) | (Colours::Allowed, ThemeName::Terminal) => None,
            (Colours::Allowed, ThemeName::Daylight) => Some(DAYLIGHT),
            (Colours::Allowed, ThemeName::Dark) => Some(DARK),
        };
        Theme { paints }
    }

    /// Returns the theme without any colour.
    pub fn plain() -> Theme {
        Theme { paints: None }
    }

    /// Tells whether the ground has a colour of its own and must be painted.
    pub fn paints_ground(self) -> bool {
        self.paints.is_some()
    }

    /// Returns the style of a role.
    pub fn style(self, role: Role) -> Style {
        let Some(paints) = self.paints else { return plain(role) };
        let on_ground =
            |index: u8| Style::new().fg(Color::Indexed(index)).bg(Color::Indexed(paints.ground));
        let swapped =
            |index: u8| Style::new().fg(Color::Indexed(paints.ground)).bg(Color::Indexed(index));
        match role {
            Role::Text => on_ground(paints.text),
            Role::Title => on_ground(paints.accent).add_modifier(Modifier::BOLD),
            Role::Big => on_ground(paints.text).add_modifier(Modifier::BOLD),
            Role::Open => swapped(paints.warning).add_modifier(Modifier::BOLD),
            Role::Warning => on_ground(paints.warning).add_modifier(Modifier::BOLD),
            Role::Good => on_ground(paints.good).add_modifier(Modifier::BOLD),
            Role::Due => swapped(paints.accent).add_modifier(Modifier::BOLD),
            Role::Key => on_ground(paints.accent).add_modifier(Modifier::BOLD),
            Role::Cursor => swapped(paints.text),
        }
    }
}

fn plain(role: Role) -> Style {
    match role {
        Role::Text => Style::new(),
        Role::Title | Role::Big | Role::Warning | Role::Good | Role::Key => {
            Style::new().add_modifier(Modifier::BOLD)
        }
        Role::Open | Role::Due => Style::new().add_modifier(Modifier::BOLD | Modifier::REVERSED),
        Role::Cursor => Style::new().add_modifier(Modifier::REVERSED),
    }
}

/// Returns the contrast of two colours, 1 to 21 (WCAG 2.2, relative luminance).
pub fn contrast(one: [u8; 3], other: [u8; 3]) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

fn luminance([red, green, blue]: [u8; 3]) -> f64 {
    let linear = |channel: u8| {
        let share = f64::from(channel) / 255.0;
        if share <= 0.04045 { share / 12.92 } else { libm::pow((share + 0.055) / 1.055, 2.4) }
    };
    0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue)
}

/// Returns the red, green and blue of an entry of the 6×6×6 cube (16 to 231).
pub fn cube_colour(index: u8) -> Option<[u8; 3]> {
    const LEVELS: [u8; 6] = [0, 95, 135, 175, 215, 255];
    let place = usize::from(index.checked_sub(16)?);
    Some([*LEVELS.get(place / 36)?, LEVELS[place / 6 % 6], LEVELS[place % 6]])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, published: f64) -> bool {
        (found - published).abs() < 0.006
    }

    #[test]
    fn contrast_agrees_with_published_pairs() {
        // check-values 12.3: [S129], published pairs; the last two are derived there.
        let white = [255; 3];
        assert!(near(contrast([0x76; 3], white), 4.542));
        assert!(near(contrast([0x77; 3], white), 4.478));
        assert!(near(contrast([0, 0, 255], white), 8.59));
        assert!(near(contrast([0, 0, 255], [255, 0, 0]), 2.15));
        assert!(near(contrast([255, 255, 0], white), 1.07));
        assert!(near(contrast([0; 3], white), 21.0));
        assert!(near(contrast([0xCD, 0, 0], [0; 3]), 3.60));
        assert!(near(contrast([0, 0, 255], [0; 3]), 2.44));
    }

    #[test]
    fn every_role_of_the_fixed_themes_has_a_contrast_of_seven_or_more() {
        for name in [ThemeName::Daylight, ThemeName::Dark] {
            for role in Role::ALL {
                let style = Theme::new(name, Colours::Allowed).style(role);
                let index = |colour: Option<Color>| match colour {
                    Some(Color::Indexed(index)) => cube_colour(index).unwrap(),
                    other => panic!("{name:?} {role:?} has {other:?}"),
                };
                let ratio = contrast(index(style.fg), index(style.bg));
                assert!(ratio >= 7.0, "{name:?} {role:?} has {ratio:.2}");
            }
        }
    }

    #[test]
    fn no_colour_leaves_no_theme_a_colour_and_keeps_bold_and_reverse() {
        for name in ThemeName::ALL {
            for role in Role::ALL {
                let style = Theme::new(name, Colours::Off).style(role);
                assert_eq!((style.fg, style.bg), (None, None));
            }
        }
        let due = Theme::new(ThemeName::Dark, Colours::Off).style(Role::Due);
        assert!(due.add_modifier.contains(Modifier::REVERSED | Modifier::BOLD));
    }

    #[test]
    fn no_color_counts_only_where_it_is_not_empty() {
        assert_eq!(Colours::from_no_color(None), Colours::Allowed);
        assert_eq!(Colours::from_no_color(Some("")), Colours::Allowed);
        assert_eq!(Colours::from_no_color(Some("0")), Colours::Off);
    }

    #[test]
    fn stepping_through_the_themes_comes_round_to_the_first() {
        let round = ThemeName::ALL.iter().fold(ThemeName::Terminal, |name, _| name.next());
        assert_eq!(round, ThemeName::Terminal);
        for name in ThemeName::ALL {
            assert_eq!(ThemeName::from_word(name.word()), Some(name));
        }
    }
}
