//! Seen from the other end the whole picture is mirrored: cylinders, the valves in each, and the words that tell
//! left from right; or the words say from where they are.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use crate::engines::{flat_six, inline_four, radial_eighteen, radial_nine, vee_twin};
use crate::turned_valves;
use crate::walk::{Walk, Workshop, known};
use cowlside::domain::profile::{EngineProfile, Facts, Shape};
use cowlside::domain::session::Due;
use cowlside::domain::valve::{Kind, Standing, Valve};
use cowlside::store::profiles;
use cowlside::tui::look::Seen;
use cowlside::tui::theme::Theme;
use cowlside::tui::widgets::engine::{Arrangement, Detail, EngineView, Lie};
use cowlside::tui::widgets::engine_strip::Strip;
use proptest::prelude::*;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::Path;

/// Those of the shipped profiles that say how their valves lie, and engines that do not.
fn engines() -> Vec<EngineProfile> {
    let named = [
        "radial-nine",
        "radial-seven",
        "radial-eighteen",
        "vee-twin-shims",
        "flat-four",
        "flat-six",
        "inline-four",
        "inline-four-report",
        "vee-eight-13726548",
    ];
    let found = |name: &&str| profiles::find(name, Path::new("no such folder")).unwrap().profile;
    let told = named.iter().map(found);
    let untold = [flat_six(), vee_twin(), inline_four(), radial_nine(), radial_eighteen()];
    told.chain(untold).collect()
}

fn drawn(profile: &EngineProfile, seen: Seen) -> EngineView {
    EngineView::new(profile, |_| Standing::NotYet, None, &[]).seen_from(seen)
}

/// Where each valve is: its bank and its cylinder's place from the left and from the top, then its own place in the
/// cylinder.
fn places(view: &EngineView) -> Vec<(Valve, usize, usize, usize)> {
    let banks = view.banks.iter().enumerate();
    banks
        .flat_map(|(bank, of)| {
            of.cylinders.iter().enumerate().flat_map(move |(place, one)| {
                let valves = one.valves.iter().enumerate();
                valves.map(move |(at, (valve, _))| (*valve, bank, place, at))
            })
        })
        .collect()
}

/// The side that a profile tells of a valve, or the end.
fn side(profile: &EngineProfile, valve: Valve) -> Option<&str> {
    let position = &profile.spec(valve.kind).position;
    position.get(usize::from(valve.number) - 1).map(String::as_str)
}

proptest! {
    #![proptest_config(crate::seeded::config(64))]
    #[test]
    fn a_valve_lies_mirrored_in_the_mirrored_picture(engine in 0_usize..14, pick in any::<prop::sample::Index>(), from in 0_usize..4, width in 40_u16..200) {
        let profile = &engines()[engine];
        let (rear, front) = (drawn(profile, Seen::Rear), drawn(profile, Seen::Front));
        a_row_says_from_where_it_is_seen(&rear, Seen::ALL[from], width)?;
        let all = places(&rear);
        let (valve, bank, place, at) = all[pick.index(all.len())];
        let (_, its_bank, its_place, its_at) =
            *places(&front).iter().find(|(other, ..)| *other == valve).unwrap();
        let count = rear.banks[bank].cylinders[place].valves.len();
        let told = side(profile, valve);
        match (&rear.arrangement, &front.arrangement) {
            (Arrangement::Rings(angles), Arrangement::Rings(mirrored)) => {
                prop_assert_eq!((bank, place), (its_bank, its_place));
                let sum = angles[bank][place] + mirrored[bank][place];
                prop_assert!((sum % 360.0).abs() < 1e-9, "{sum}");
                // What lies one above the other does so from both ends, and an order that tells nothing stays.
                let stays = told.is_none() || matches!(rear.banks[bank].cylinders[place].lie, Lie::Stacked(_));
                prop_assert_eq!(its_at, if stays { at } else { count - 1 - at });
            }
            _ => {
                prop_assert_eq!(its_bank, rear.banks.len() - 1 - bank);
                prop_assert_eq!(its_place, rear.banks[bank].cylinders.len() - 1 - place);
                let along = profile.layout.banks.iter().any(|bank| bank.valves_along.is_some());
                let same = rear.banks[bank].cylinders[place].valves.iter();
                let of_kind = same.filter(|(other, _)| other.kind == valve.kind).count();
                if along {
                    prop_assert_eq!(its_at, count - 1 - at);
                } else if matches!(told, Some("left" | "right" | "front" | "rear")) {
                    // Of two of a kind the one that was first is the second.
                    prop_assert_eq!(its_at % of_kind, of_kind - 1 - at % of_kind);
                } else {
                    prop_assert_eq!(its_at, at, "an order that tells nothing stays");
                }
            }
        }
    }
}

/// A row of signs ends with from where it is seen; seen from behind it takes no row for that.
fn a_row_says_from_where_it_is_seen(
    rear: &EngineView,
    seen: Seen,
    width: u16,
) -> Result<(), TestCaseError> {
    let engine = rear.clone().seen_from(seen);
    let from = engine.seen.rsplit(' ').next().unwrap().to_owned();
    let rows = |strip: Option<Strip>| strip.map_or(0, |strip| strip.rows());
    for make in [Strip::new, Strip::unnamed] {
        let strip = make(&engine, width).unwrap();
        let mut buf = Buffer::empty(Rect::new(0, 0, width, strip.rows()));
        strip.paint(Theme::plain(), buf.area, &mut buf);
        let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
        let all: Vec<String> = (0..strip.rows()).map(row).collect();
        let last = all.last().unwrap().trim_end();
        let ends = last.ends_with(&format!("{from} view")) || last.ends_with(&format!("  {from}"));
        let told = ends || all[0].contains(&format!("clockwise from the {from}"));
        prop_assert!(told || from == "rear", "{width}: {all:?}");
        // In two rows of a radial one of them is called so itself.
        let rings = matches!(&engine.arrangement, Arrangement::Rings(rows) if rows.len() > 1);
        prop_assert!(!rings || !last.ends_with(&format!("  {from}")), "{width}: {all:?}");
        prop_assert!(rows(make(rear, width)) <= strip.rows(), "{width}: {all:?}");
        prop_assert!(strip.rows() <= rows(make(rear, width)) + 1, "{width}: {all:?}");
    }
    Ok(())
}

/// What is painted of an engine, a row a line.
fn painted(view: &EngineView, detail: Detail) -> Vec<String> {
    let area = Rect::new(0, 0, 120, 40);
    let mut buf = Buffer::empty(area);
    view.paint(detail, Theme::plain(), area, &mut buf);
    (0..40).map(|y| (0..120).map(|x| buf[(x, y)].symbol()).collect::<String>()).collect()
}

#[test]
fn the_letters_of_a_radial_are_mirrored_in_every_degree_of_detail() {
    let profile = &engines()[0];
    for (detail, rear, front) in [
        (Detail::Marks, "I.E.", "E.I."),
        (Detail::Signs, "I. E.", "E. I."),
        (Detail::Boxes, "IN  not yet", "EX  not yet"),
    ] {
        for (seen, wanted, other) in [(Seen::Rear, rear, front), (Seen::Front, front, rear)] {
            let lines = painted(&drawn(profile, seen), detail);
            let first = lines.iter().find(|line| line.contains(wanted) || line.contains(other));
            let line = first.unwrap();
            let at = |words: &str| line.find(words).unwrap_or(usize::MAX);
            assert!(at(wanted) < at(other), "{seen:?} {detail:?}: {}", lines.join("\n"));
        }
    }
}

/// The end view on a picture: its title, and its rows from the title's column on.
fn end_view(picture: &[String]) -> Option<(String, Vec<Vec<char>>)> {
    let at = picture.iter().position(|line| line.contains("end view from the "))?;
    let from = picture[at].find("end view").map(|byte| picture[at][..byte].chars().count())?;
    let rows = picture[at + 1..].iter().map(|line| line.chars().skip(from).collect());
    Some((picture[at].trim().to_owned(), rows.collect()))
}

/// Measures an end view: the names from the left, and how many degrees each bank leans, at least and at most:
/// a stroke ends anywhere in its cell.
fn measured(rows: &[Vec<char>]) -> (Vec<String>, (f64, f64)) {
    let is_crank = |(at, row): (usize, &Vec<char>)| {
        let alone = |x: &usize| {
            let letter = |x: usize| row.get(x).is_some_and(|one| one.is_alphanumeric());
            !letter(x.wrapping_sub(1)) && !letter(x + 1)
        };
        let found = row.iter().enumerate().filter(|(_, one)| **one == 'o').map(|(x, _)| x);
        found.filter(alone).map(|x| (at, x)).next()
    };
    let (crank, middle) = rows.iter().enumerate().find_map(is_crank).unwrap();
    let top: String = rows[0].iter().collect();
    let words = top.split(|one: char| !one.is_alphanumeric());
    let names = words.filter(|word| word.starts_with(char::is_alphabetic) && *word != "o");
    let names: Vec<String> = names.map(str::to_owned).collect();
    let strokes: Vec<usize> =
        (0..rows[0].len()).filter(|x| matches!(rows[0][*x], '\\' | '/' | '|' | '-')).collect();
    let (first, last) = (strokes[0], strokes[strokes.len() - 1]);
    assert_eq!(middle - first, last - middle, "{top}");
    let (out, up) = ((middle - first) as f64, crank as f64);
    // A row is two columns high.
    let lean = |out: f64, up: f64| (out / 2.0).max(0.0).atan2(up.max(0.0)).to_degrees();
    (names, (lean(out - 1.0, up + 0.5), lean(out + 1.0, up - 0.5)))
}

#[test]
fn from_its_end_an_engine_stands_at_its_angle_with_each_bank_on_its_side() {
    let shipped = profiles::BUILT_IN.iter().map(|(name, _)| {
        let found = profiles::find(name, Path::new("no such folder")).unwrap();
        found.profile
    });
    let six = profiles::find("vee-six-60", Path::new("no such folder")).unwrap().profile;
    let at = |angle: f64| {
        let mut facts = Facts::clone(&six);
        facts.layout.angle = Some(angle);
        EngineProfile::new(facts).unwrap()
    };
    let angles = [15.0, 30.0, 45.0, 60.0, 72.5, 90.0, 105.0, 120.0, 150.0, 180.0];
    let (mut met, mut seen_of_angles) = (0, std::collections::BTreeSet::new());
    for (place, profile) in angles.map(at).into_iter().chain(shipped).enumerate() {
        for seen in Seen::ALL {
            let view = drawn(&profile, seen);
            let picture = painted(&view, Detail::Boxes);
            let all = picture.join("\n");
            let (shape, angle) = (profile.layout.shape, profile.layout.angle);
            let Some((title, rows)) = end_view(&picture) else {
                // It gives way to a drawing as high as the window, and is no wider than it.
                let (width, height) = view.size(Detail::Boxes, 120, 40).unwrap_or_default();
                let room = (28..=120).contains(&width) && height <= 30;
                let untold = shape == Shape::Vee && angle.is_none();
                assert!(shape == Shape::Radial || untold || !room, "{seen:?}\n{all}");
                continue;
            };
            met += 1;
            let end = if seen == Seen::Front { "front" } else { "rear" };
            assert_eq!(title, format!("end view from the {end}"), "{all}");
            let (names, (least, most)) = measured(&rows);
            let sides = if end == "rear" { ["left", "right"] } else { ["right", "left"] };
            let wanted = match shape {
                Shape::Inline => 0.0,
                Shape::Opposed => 90.0,
                Shape::Vee | Shape::Radial => angle.unwrap() / 2.0,
            };
            assert!((least..=most).contains(&wanted), "{wanted} {least} {most}\n{all}");
            assert!(shape == Shape::Inline || names == sides, "{names:?}\n{all}");
            if place < angles.len() && seen == Seen::Rear {
                let strokes = rows.concat().into_iter().filter(|one| !one.is_ascii_digit());
                seen_of_angles.insert(strokes.collect::<String>());
            }
        }
    }
    assert!(met >= 80, "{met}");
    assert_eq!(seen_of_angles.len(), angles.len(), "each angle has a picture of its own");
}

/// The caption of the valve that is due, in the words of the screen.
fn caption(walk: &Walk) -> String {
    match cowlside::tui::view::view(walk.app()) {
        Some(cowlside::tui::view::View::Question(view)) => view.prompt.big.unwrap().caption,
        other => panic!("{other:?}"),
    }
}

/// Goes on to so many readings and returns how their valves are told from each side.
fn told(profile: &'static str, target: &'static str, count: usize) -> Vec<(Valve, [String; 4])> {
    let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
    walk.press("1 460.5 enter enter");
    let mut met = Vec::new();
    for _ in 0..90 {
        if met.len() == count {
            return met;
        }
        let due = walk.session().state.due();
        if let Due::Gauge(valve, _) = due {
            let mut told: [String; 4] = Default::default();
            for _ in 0..4 {
                let at = Seen::ALL.iter().position(|seen| *seen == walk.app().seen).unwrap();
                told[at] = caption(&walk);
                // What is read from one end stands behind the words for it, however short the row is.
                let small = walk.in_window((40, 12));
                walk.in_window((80, 24));
                let from = small.find(&format!("{} view: ", walk.app().seen.word()));
                let angle = small.find("° clockwise").or_else(|| small.find("°.."));
                assert!(angle.is_none_or(|angle| from.is_some_and(|at| at < angle)), "{small}");
                walk.press("v");
            }
            met.push((valve, told));
        }
        let keys = crate::walk_parts::keys(&walk, &due, &|_| target);
        walk.press(&keys);
    }
    panic!("nothing is gauged:\n{}", walk.screen());
}

#[test]
fn the_words_of_a_radials_valve_are_mirrored_with_its_letters() {
    let profile = &engines()[0];
    let mut turned = 0;
    for (valve, [rear, _, front, _]) in told("radial-nine", "0.25", 6) {
        for (seen, words) in [(Seen::Rear, &rear), (Seen::Front, &front)] {
            let place = turned_valves::lies(profile, valve, seen).word();
            let kind = valve.kind.word();
            let wanted = format!("{} view: {kind}, {place} · ", seen.word());
            assert!(words.starts_with(&wanted), "{words}");
            let angle = turned_valves::angle(profile, valve.cylinder, seen);
            let wanted = if angle == 0 { "at the top".into() } else { format!(" {angle}° clock") };
            assert!(words.contains(&wanted), "{words}");
            let upright = (valve.kind == Kind::Intake) == (seen == Seen::Rear);
            let upright = if upright { "; when upright: left" } else { "; when upright: right" };
            assert_eq!(words.ends_with(upright), valve.cylinder != 1, "{words}");
            turned += usize::from(valve.cylinder != 1);
        }
    }
    assert!(turned >= 4, "{turned}");
}

#[test]
fn what_is_the_engines_own_left_says_so_from_every_other_place() {
    let mut looked_at = 0;
    for (_, told) in told("vee-twin-shims", "18", 4) {
        for (seen, words) in Seen::ALL.iter().zip(told) {
            let qualified = words.starts_with("rear view: ");
            assert_eq!(qualified, *seen != Seen::Rear, "{seen:?}: {words}");
            looked_at += 1;
        }
    }
    assert!(looked_at >= 16);
    // Upper and lower are so from everywhere.
    for (_, told) in told("flat-six", "20", 1) {
        assert!(told.iter().all(|words| *words == told[0]), "{told:?}");
    }
}
