//! Which words of a screen stand out, and how: a snapshot of each theme's roles, and of the most needed
//! screens the runs of cells that are not ordinary text, with their roles. The text itself, and where it
//! stands, is in the plain snapshots of the same names.

use crate::walk::{TO_THE_FIRST_STOP, Walk, known};
use cowlside::tui::app::App;
use cowlside::tui::bench::Bench;
use cowlside::tui::profile_desk::ProfileDesk;
use cowlside::tui::screens::frame::ground;
use cowlside::tui::theme::{Colours, Role, Theme, ThemeName};
use cowlside::tui::{profile_view, view};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use std::collections::BTreeMap;
use std::fmt::Write;

const SIZES: [(u16, u16); 3] = [(40, 12), (80, 24), (160, 50)];
/// What fills a letter of large digits, and lines of drawings: their shape is in the plain snapshots.
const DRAWN: &str = "█▀▄─│┌┐└┘├┤┬┴┼━";

/// How a role looks on the ground of a theme.
fn style(theme: Theme, role: Role) -> Style {
    let area = Rect::new(0, 0, 1, 1);
    let mut buf = Buffer::empty(area);
    ground(theme, area, &mut buf);
    buf.set_style(area, theme.style(role));
    buf[(0, 0)].style()
}

/// Names the roles that look like this.
fn roles(theme: Theme, seen: Style) -> String {
    let alike = Role::ALL.into_iter().filter(|role| style(theme, *role) == seen);
    let names: Vec<String> = alike.map(|role| format!("{role:?}")).collect();
    if names.is_empty() { format!("{seen:?}") } else { names.join("/") }
}

/// A run of cells that look alike: its row, its columns, how it looks, what it says.
type Run = (u16, (u16, u16), String, String);

fn runs(theme: Theme, buf: &Buffer) -> Vec<Run> {
    let plain = style(theme, Role::Text);
    let mut runs: Vec<Run> = Vec::new();
    for y in 0..buf.area.height {
        let mut last = plain;
        for x in 0..buf.area.width {
            let (symbol, seen) = (buf[(x, y)].symbol(), buf[(x, y)].style());
            if seen == plain {
                last = plain;
                continue;
            }
            match runs.last_mut().filter(|_| seen == last) {
                Some((_, (_, to), _, text)) => {
                    *to = x;
                    text.push_str(symbol);
                }
                None => runs.push((y, (x, x), roles(theme, seen), symbol.into())),
            }
            last = seen;
        }
    }
    runs
}

/// The runs as text, those of large digits that stand one under the other in one line.
pub fn styled(app: &App<Bench>, width: u16, height: u16) -> String {
    let mut app = app.clone();
    (app.theme, app.colours) = (ThemeName::Dark, Colours::Allowed);
    styled_as(app.paints(), (width, height), |area, buf| view::paint(&app, area, buf))
}

/// The runs of anything painted in a theme.
fn styled_as(
    theme: Theme,
    (width, height): (u16, u16),
    paint: impl Fn(Rect, &mut Buffer),
) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    paint(area, &mut buf);
    let drawn = |text: &str| text.chars().any(|letter| DRAWN.contains(letter));
    let mut told = String::new();
    let mut large: BTreeMap<(u16, String), Vec<(u16, u16)>> = BTreeMap::new();
    for (y, (from, to), roles, text) in runs(theme, &buf) {
        if !drawn(&text) {
            writeln!(told, "{y:2} {from:3}-{to:<3} {roles} {:?}", text.trim_end()).unwrap();
            continue;
        }
        let block = large.keys().rfind(|(top, named)| *named == roles && *top <= y);
        let top = block.filter(|block| large[*block].iter().any(|(row, _)| row + 1 >= y));
        let key = top.cloned().unwrap_or((y, roles));
        large.entry(key).or_default().push((y, to));
    }
    for ((top, roles), cells) in large {
        let rows = cells.iter().map(|(row, _)| row).max().copied().unwrap_or(top);
        let right = cells.iter().map(|(_, to)| to).max().copied().unwrap_or(0);
        writeln!(told, "{top:2} to {rows}, up to column {right}: {roles}, drawn").unwrap();
    }
    told
}

/// Keeps how a screen looks in every size.
pub fn look(name: &str, app: &App<Bench>) {
    keep(name, |(width, height)| styled(app, width, height));
}

/// Keeps how the form of a profile looks in every size.
pub fn look_at_form(name: &str, desk: &ProfileDesk) {
    let mut desk = desk.clone();
    (desk.theme, desk.colours) = (ThemeName::Dark, Colours::Allowed);
    let theme = Theme::new(desk.theme, desk.colours);
    keep(name, |size| {
        styled_as(theme, size, |area, buf| {
            profile_view::paint(&desk, area, buf);
        })
    });
}

fn keep(name: &str, told: impl Fn((u16, u16)) -> String) {
    let in_size = |size: (u16, u16)| format!("{}x{}\n{}", size.0, size.1, told(size));
    let all: String = SIZES.into_iter().map(in_size).collect();
    insta::with_settings!({
        snapshot_path => "../../snapshots",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        insta::assert_snapshot!(format!("styled_{name}"), all);
    });
}

#[test]
fn every_role_of_every_theme_looks_as_it_did() {
    let mut told = String::new();
    for (name, colours) in ThemeName::ALL
        .map(|name| (name, Colours::Allowed))
        .into_iter()
        .chain([(ThemeName::Dark, Colours::Off)])
    {
        let theme = Theme::new(name, colours);
        writeln!(told, "{} {colours:?}", name.word()).unwrap();
        for role in Role::ALL {
            let seen = style(theme, role);
            let colour =
                |colour: Option<ratatui::style::Color>| colour.unwrap_or_default().to_string();
            let (fg, bg) = (colour(seen.fg), colour(seen.bg));
            writeln!(
                told,
                "  {:8} {fg:>5} on {bg:<5} {:?}",
                format!("{role:?}"),
                seen.add_modifier
            )
            .unwrap();
        }
    }
    insta::with_settings!({
        snapshot_path => "../../snapshots",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        insta::assert_snapshot!("styled_roles", told);
    });
}

#[test]
fn what_is_to_be_done_and_every_key_stand_out() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    for (width, height) in SIZES {
        let told = styled(walk.app(), width, height);
        let of = |role: &str| told.lines().filter(|line| line.contains(role)).count();
        assert!(of(" Key ") + of("/Key") >= 3 && of("Title") >= 1, "{told}");
    }
}
