//! The engine as a page: every valve stands on it in every window, in large words where they have room.

use crate::pictures::{cells, shape, shown};
use cowlside::domain::valve::{Kind, Standing};
use cowlside::store::profiles;
use cowlside::tui::screens::frame::Around;
use cowlside::tui::screens::picture::{self, PicturePage, Pictured};
use cowlside::tui::theme::Theme;
use cowlside::tui::widgets::digits::{self, Ink, Size};
use cowlside::tui::widgets::engine::{self, EngineView};
use cowlside::tui::widgets::engine_large::large_word;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use std::path::Path;

/// How often words stand on a screen in large letters, of whatever size.
fn large_words(screen: &[Vec<String>], words: &str) -> usize {
    let of_size = |size: Size| {
        let (width, height) = (size.columns(words), size.rows());
        let drawn = cells(width, height, |area: Rect, buf: &mut Buffer| {
            digits::paint(words, size, Ink::Blocks, Style::new(), area, buf);
        });
        let at = |x: usize, y: usize| {
            drawn.iter().zip(&screen[y..]).all(|(row, of)| of[x..].starts_with(row))
        };
        let down = (screen.len() + 1).saturating_sub(drawn.len());
        let across = (screen[0].len() + 1).saturating_sub(usize::from(width));
        (0..down).flat_map(|y| (0..across).map(move |x| (x, y))).filter(|(x, y)| at(*x, *y)).count()
    };
    Size::ALL.into_iter().map(of_size).sum()
}

#[test]
fn every_valve_of_every_engine_stands_on_the_page_of_the_engine_in_every_window() {
    let standings = [Standing::Tight, Standing::InLimits, Standing::Skipped];
    let mut in_words = 0;
    for known in profiles::list(Path::new("/none")).known {
        let profile = &known.profile.profile;
        let valves = profile.valves();
        let due = *valves.last().unwrap();
        let standing = |valve| {
            let place = valves.iter().position(|one| *one == valve).unwrap();
            if valve == due { Standing::DueNow } else { standings[place % standings.len()] }
        };
        let engine = EngineView::new(profile, standing, None, &[due.cylinder]);
        let page = PicturePage {
            around: Around { open: vec!["80 pieces off".into()], ..Around::default() },
            title: "The engine, seen from the rear".into(),
            picture: Pictured::Engine(engine, Ink::Blocks),
        };
        for (width, height) in [(40, 12), (60, 20), (80, 24), (160, 50)] {
            let page =
                |area: Rect, buf: &mut Buffer| picture::paint(&page, Theme::plain(), area, buf);
            let cells = cells(width, height, page);
            let shown = shown(&cells);
            let count = |one| {
                let large = large_words(&cells, &format!(" {}", large_word(one)));
                shown.matches(engine::word(one)).count() + large
            };
            assert_eq!(count(Standing::DueNow), 1, "{}\n{shown}", profile.name);
            let drawn = standings.map(count);
            let told =
                standings.map(|one| valves.iter().filter(|valve| standing(**valve) == one).count());
            if drawn == told {
                in_words += 1;
                continue;
            }
            // By signs, whose words stand beneath, or valve by valve behind their word.
            let marks: Vec<&str> =
                shown.split_whitespace().filter(|word| word.starts_with(['I', 'E'])).collect();
            let signs = [Standing::Tight, Standing::Skipped].map(|one| {
                marks.iter().map(|word| word.matches(engine::sign(one)).count()).sum::<usize>()
            });
            // A line may break between a cylinder's number and its valve.
            let words = shown.split(|letter: char| !letter.is_ascii_alphanumeric());
            let names =
                words.filter(|word| word.starts_with("IN") || word.starts_with("EX")).count();
            let wanted = [told[0], told[2]];
            assert!(signs == wanted || names >= valves.len(), "{}\n{shown}", profile.name);
        }
    }
    assert!(in_words > 0);
}

#[test]
fn the_page_of_the_engine_uses_the_room_that_there_is() {
    let (mut in_large_words, mut from_the_end) = (0, 0);
    for known in profiles::list(Path::new("/none")).known {
        let profile = &known.profile.profile;
        let due = profile.valves()[0];
        let standing = |valve| if valve == due { Standing::DueNow } else { Standing::NotYet };
        let page = page(EngineView::new(profile, standing, None, &[1]));
        let screen = cells(160, 50, |area: Rect, buf: &mut Buffer| {
            picture::paint(&page, Theme::plain(), area, buf);
        });
        let inked = |cell: &String| cell.as_str() != " ";
        let rows = screen.iter().filter(|row| row.iter().any(inked)).count();
        let columns = screen.iter().filter_map(|row| row.iter().rposition(inked)).max().unwrap();
        let low = shown(&cells(80, 24, |area: Rect, buf: &mut Buffer| {
            picture::paint(&page, Theme::plain(), area, buf);
        }));
        let shown = shown(&screen);
        assert!(rows >= 30 || columns >= 100, "{} {columns}x{rows}\n{shown}", profile.name);
        in_large_words += large_words(&screen, "DUE NOW");
        // What it is stands under it in every window, and how it looks from its end where there is room.
        let shape = shape(profile);
        from_the_end += shown.matches("end view from the rear").count();
        let ended = shown.contains("end view from the rear");
        assert!(!shape.is_empty() || !ended, "{}\n{shown}", profile.name);
        for shown in [&shown, &low] {
            let told = [format!("{shape}, seen from"), format!("{shape}, from ")];
            let told = told.iter().any(|told| shown.contains(told));
            assert!(shape.is_empty() || told || !shown.contains("seen from"), "{shape}\n{shown}");
        }
    }
    assert!(in_large_words >= 10, "{in_large_words}");
    assert!(from_the_end >= 25, "{from_the_end}");
}

#[test]
fn a_large_word_says_what_the_small_one_says() {
    for (one, word) in [
        (Standing::Undecided, "UNDECIDED"),
        (Standing::InLimits, "IN LIMITS"),
        (Standing::Setting, "BEING SET"),
    ] {
        let drawn = profiles::list(Path::new("/none")).known.into_iter().filter(|known| {
            let engine = EngineView::new(&known.profile.profile, |_| one, None, &[]);
            let page = page(engine);
            let screen = cells(200, 70, |area: Rect, buf: &mut Buffer| {
                picture::paint(&page, Theme::plain(), area, buf);
            });
            large_words(&screen, &format!(" {word}")) > 0
        });
        assert!(drawn.count() > 0, "{word}");
    }
}

fn page(engine: EngineView) -> PicturePage {
    PicturePage {
        around: Around::default(),
        title: "The engine, seen from the rear".into(),
        picture: Pictured::Engine(engine, Ink::Blocks),
    }
}

#[test]
fn where_one_valve_of_a_cylinder_is_gauged_its_letter_is_no_part_of_the_number() {
    let mut large = 0;
    for known in profiles::list(Path::new("/none")).known {
        let profile = &known.profile.profile;
        let valve = profile.valves()[0];
        let standing = |_| Standing::NotYet;
        let engine = || EngineView::new(profile, standing, None, &[valve.cylinder]);
        let drawn = engine().gauging(&[valve]);
        let bank = drawn.banks.iter().flat_map(|bank| &bank.cylinders);
        let one = bank.clone().find(|one| !one.only.is_empty()).unwrap();
        let name = one.name.clone();
        assert!(
            name.starts_with(&valve.cylinder.to_string()) && !name.contains(['I', 'E']),
            "{name}"
        );
        let screen = cells(200, 70, |area: Rect, buf: &mut Buffer| {
            picture::paint(&page(drawn.clone()), Theme::plain(), area, buf);
        });
        let shown = shown(&screen);
        let kind = ["IN", "EX"][usize::from(valve.kind == Kind::Exhaust)];
        if large_words(&screen, &name) > 0 && shown.contains("GAUGE") {
            assert!(shown.contains(&format!("GAUGE {kind}")), "{shown}");
            large += 1;
        } else {
            let letter = &kind[..1];
            assert!(shown.contains(&format!("[{name} {letter}")), "{name}\n{shown}");
        }
    }
    assert!(large > 0);
}
