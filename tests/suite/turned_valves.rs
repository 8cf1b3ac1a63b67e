//! A cylinder of a radial is turned round the crank and carries its valves with it: words and letters follow.
//!
//! The model is a turned vector, and knows nothing of the code: left of an upright cylinder is (-1, 0) as seen from
//! the rear, x to the right and y up.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use cowlside::domain::profile::{EngineProfile, Facts, Shape};
use cowlside::domain::valve::{Kind, Standing, Valve};
use cowlside::guide::valve_place::{
    said_from_where, seen_from_front, valve_words, where_it_stands,
};
use cowlside::store::profiles;
use cowlside::tui::look::Seen;
use cowlside::tui::theme::Theme;
use cowlside::tui::widgets::engine::{Detail, EngineView};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::Path;

/// Where a valve lies, of its cylinder's middle: to the right, and up.
#[derive(Clone, Copy, Debug)]
pub struct Lies {
    right: f64,
    up: f64,
}

const SLANT: f64 = std::f64::consts::FRAC_1_SQRT_2;
const WORDS: [(&str, f64, f64); 8] = [
    ("above", 0.0, 1.0),
    ("above right", SLANT, SLANT),
    ("right", 1.0, 0.0),
    ("below right", SLANT, -SLANT),
    ("below", 0.0, -1.0),
    ("below left", -SLANT, -SLANT),
    ("left", -1.0, 0.0),
    ("above left", -SLANT, SLANT),
];

impl Lies {
    /// The word whose direction is the nearest.
    pub fn word(self) -> &'static str {
        let near = |(_, right, up): &(&str, f64, f64)| right * self.right + up * self.up;
        WORDS.iter().max_by(|one, other| near(one).total_cmp(&near(other))).unwrap().0
    }
}

/// Degrees of a cylinder of a radial clockwise from the top, as it is seen.
pub fn angle(profile: &EngineProfile, cylinder: u8, seen: Seen) -> u32 {
    let degrees = degrees(profile, cylinder).rem_euclid(360.0);
    let degrees = if seen == Seen::Front { (360.0 - degrees) % 360.0 } else { degrees };
    degrees.round() as u32
}

fn degrees(profile: &EngineProfile, cylinder: u8) -> f64 {
    let bank = profile.layout.banks.iter().find(|bank| bank.cylinders.contains(&cylinder));
    let bank = bank.unwrap();
    let place = bank.cylinders.iter().position(|one| *one == cylinder).unwrap();
    bank.first_at + 360.0 * place as f64 / bank.cylinders.len() as f64
}

/// Turns the place that the profile tells by the angle of the cylinder.
pub fn lies(profile: &EngineProfile, valve: Valve, seen: Seen) -> Lies {
    let side = match profile.spec(valve.kind).position[usize::from(valve.number) - 1].as_str() {
        "left" => -1.0,
        "right" => 1.0,
        other => panic!("{other}"),
    };
    let (sin, cos) = degrees(profile, valve.cylinder).to_radians().sin_cos();
    let right = side * cos;
    Lies { right: if seen == Seen::Front { -right } else { right }, up: -side * sin }
}

fn nine() -> EngineProfile {
    let one_row = |profile: &EngineProfile| profile.layout.banks.len() == 1;
    let of_nine = |profile: &EngineProfile| profile.layout.banks[0].cylinders.len() == 9;
    radials().into_iter().find(|profile| one_row(profile) && of_nine(profile)).unwrap()
}

fn radials() -> Vec<EngineProfile> {
    let known = profiles::list(Path::new("/none")).known.into_iter();
    let all = known.map(|known| known.profile.profile.clone());
    all.filter(|profile| profile.layout.shape == Shape::Radial).collect()
}

const ENDS: [Seen; 2] = [Seen::Rear, Seen::Front];

/// The words as they stand on the screen of somebody who stands there.
fn told(profile: &EngineProfile, valve: Valve, seen: Seen) -> String {
    let mut words = where_it_stands(profile, valve);
    if seen == Seen::Front {
        seen_from_front(&mut words);
    }
    words
}

#[test]
fn the_words_of_a_radials_valve_are_those_of_where_it_lies() {
    let (mut cylinders, mut met) = (0, std::collections::BTreeSet::new());
    for profile in radials() {
        let plan = cowlside::domain::plan::plan(&profile, &Default::default()).unwrap();
        let plan = cowlside::report::plan_sheet::plan_text(&profile, &plan);
        let plan = plan.split_whitespace().collect::<Vec<_>>().join(" ");
        for valve in profile.valves() {
            for seen in ENDS {
                let (place, words) =
                    (lies(&profile, valve, seen).word(), told(&profile, valve, seen));
                // From where comes before all that is read from there, so that it is never cut before that.
                let view = format!("{} view: ", seen.word());
                let at_top = angle(&profile, valve.cylinder, seen) == 0;
                let sided = place.ends_with("left") || place.ends_with("right");
                let wanted = match sided || !at_top {
                    true => format!("{view}{}, {place} · ", valve.kind.word()),
                    false => format!("{}, {place} · ", valve.kind.word()),
                };
                assert!(words.starts_with(&wanted), "{} {valve:?} {seen:?}: {words}", profile.name);
                let degrees = format!(" {}° clockwise", angle(&profile, valve.cylinder, seen));
                assert!(at_top || words.contains(&degrees), "{seen:?}: {words}");
                assert_eq!(words.matches("view").count(), usize::from(sided || !at_top), "{words}");
                met.insert(place);
            }
            let place = lies(&profile, valve, Seen::Rear).word();
            let wanted = format!("{} {} ({place})", valve.cylinder, valve.kind.word());
            assert!(plan.contains(&wanted), "{}: {wanted}\n{plan}", profile.name);
            cylinders += 1;
        }
    }
    println!("{cylinders} valves, {met:?}");
    assert!(cylinders >= 2 * (5 + 7 + 9 + 9 + 14 + 18) && met.len() == 8, "{cylinders} {met:?}");
}

/// The letters of a cylinder in a drawing, without how the valves stand: "IE", "E/I".
fn letters(view: &EngineView, cylinder: u8, detail: Detail) -> String {
    let all = view.banks.iter().flat_map(|bank| &bank.cylinders);
    let mut its = all.filter(|one| one.valves[0].0.cylinder == cylinder);
    let pieces = its.next().unwrap().pieces(detail);
    let text: String = pieces[1..].iter().map(|(text, _)| text.as_str()).collect();
    text.chars().filter(|letter| matches!(letter, 'I' | 'E' | '/')).collect()
}

#[test]
fn the_letters_of_a_radials_cylinder_stand_as_its_valves_lie() {
    let mut stacked = 0;
    for profile in radials() {
        for seen in ENDS {
            let view = EngineView::new(&profile, |_| Standing::NotYet, None, &[]).seen_from(seen);
            for cylinder in profile.layout.banks.iter().flat_map(|bank| bank.cylinders.clone()) {
                let of = |kind| lies(&profile, Valve { cylinder, kind, number: 1 }, seen);
                let (intake, exhaust) = (of(Kind::Intake), of(Kind::Exhaust));
                let on_top = matches!(intake.word(), "above" | "below");
                let level = matches!(intake.word(), "left" | "right");
                let (from_left, from_top) = (intake.right < exhaust.right, intake.up > exhaust.up);
                let wanted = match (on_top, from_top, from_left) {
                    (true, true, _) => "I/E",
                    (true, false, _) => "E/I",
                    (false, _, true) => "IE",
                    (false, _, false) => "EI",
                };
                stacked += usize::from(on_top);
                for detail in [Detail::Signs, Detail::Marks] {
                    let drawn = letters(&view, cylinder, detail);
                    assert_eq!(drawn, wanted, "{} {cylinder} {seen:?} {detail:?}", profile.name);
                }
                let intake_first = if level { from_left } else { from_top };
                let wanted = if intake_first { "IE" } else { "EI" };
                let rows = letters(&view, cylinder, Detail::Boxes);
                assert_eq!(rows, wanted, "{} {cylinder} {seen:?} in a box", profile.name);
            }
        }
    }
    println!("{stacked} cylinders with one valve above the other");
    assert!(stacked >= 20, "{stacked}");
}

fn painted(view: &EngineView, detail: Detail) -> String {
    let area = Rect::new(0, 0, 160, 50);
    let mut buf = Buffer::empty(area);
    view.paint(detail, Theme::plain(), area, &mut buf);
    let row = |y| (0..160).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..50).map(row).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_stroke_stands_between_what_lies_one_above_the_other_and_is_explained() {
    let nine = nine();
    for seen in ENDS {
        let view = EngineView::new(&nine, |_| Standing::NotYet, None, &[]).seen_from(seen);
        for detail in [Detail::Signs, Detail::Marks] {
            let drawn = painted(&view, detail);
            // Cylinder 3 at 80 degrees, cylinder 8 at 280.
            assert_eq!(drawn.matches("I./E.").count(), 1, "{drawn}");
            assert_eq!(drawn.matches("E./I.").count(), 1, "{drawn}");
            assert!(drawn.contains("/ above"), "{drawn}");
        }
        let boxes = painted(&view, Detail::Boxes);
        assert!(boxes.contains("the higher valve first, else the left"), "{boxes}");
    }
}

#[test]
fn other_words_of_a_place_and_other_engines_stay_as_they_are() {
    let mut nine: Facts = (*nine()).clone();
    let valve = |cylinder| Valve { cylinder, kind: Kind::Intake, number: 1 };
    for (told, upright, turned, from_front) in [
        ("front", "intake, front", "intake, front", "intake, front"),
        (
            "upper left",
            "intake, upper left",
            "intake, upper left, cylinder upright",
            "intake, upper right, cylinder upright",
        ),
        (
            "left front",
            "intake, left front",
            "intake, left front, cylinder upright",
            "intake, right front, cylinder upright",
        ),
        (
            "Right of the bolt",
            "intake, Right of the bolt",
            "intake, Right of the bolt, cylinder upright",
            "intake, Left of the bolt, cylinder upright",
        ),
        ("Left ", "intake, left", "intake, above", "intake, above"),
    ] {
        nine.intake.position = vec![told.into()];
        assert_eq!(valve_words(&nine, valve(1)), upright);
        assert_eq!(valve_words(&nine, valve(3)), turned);
        let mut words = where_it_stands(&nine, valve(3));
        assert!(words.starts_with(&format!("rear view: {turned} · 80° clockwise")), "{words}");
        seen_from_front(&mut words);
        assert!(words.starts_with(&format!("front view: {from_front} · 280° clock")), "{words}");
    }
    // What a valve is not, but was.
    let words = "the nut of 1 intake, left slack before: seen, it is locked";
    assert_eq!(said_from_where(words.into()), words);
    let in_several = "1 intake 2, right front · left bank".to_owned();
    assert_eq!(said_from_where(in_several.clone()), format!("rear view: {in_several}"));
    // Each word of a place, before its side or behind it, and none that is of something else.
    for word in ["above", "below", "upper", "lower", "front", "rear", "inner", "outer"] {
        for place in [format!("{word} left"), format!("left {word}")] {
            let words = format!("1 intake, {place}");
            assert_eq!(said_from_where(words.clone()), format!("rear view: {words}"));
        }
    }
    for other in ["1 intake, left slack", "1 intake, left as found · right bank"] {
        assert_eq!(said_from_where(other.into()), other);
    }
    for known in profiles::list(Path::new("/none")).known {
        let profile = &known.profile.profile;
        if profile.layout.shape == Shape::Radial {
            continue;
        }
        for valve in profile.valves() {
            let told = profile.spec(valve.kind).position.get(usize::from(valve.number) - 1);
            let words = valve_words(profile, valve);
            let wanted = told.is_none_or(|told| words.ends_with(&format!(", {told}")));
            assert!(wanted && words.contains(',') == told.is_some(), "{words}");
        }
    }
}
