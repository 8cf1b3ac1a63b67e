//! Pictures of a stop: that every mark lies where its number says, on dials and curves of every size.

use cowlside::domain::crank::{self, ASSUMED};
use cowlside::domain::picture::{Dial, Lifts, Picture, Stands, cycle_turn};
use cowlside::domain::plan::{self, PlanChoice};
use cowlside::domain::profile::{Bank, EngineProfile, Facts, Shape, Sign, Timing};
use cowlside::domain::valve::{Kind, Standing};
use cowlside::guide::picture::words;
use cowlside::guide::{Big, Field, Prompt, Typed};
use cowlside::store::profiles;
use cowlside::tui::screens::frame::Around;
use cowlside::tui::screens::picture::{self, PicturePage, Pictured};
use cowlside::tui::screens::session::{self, SessionView};
use cowlside::tui::theme::Theme;
use cowlside::tui::widgets::crank_dial::DialView;
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::widgets::engine::EngineView;
use cowlside::tui::widgets::lift_curves::LiftView;
use cowlside::tui::widgets::picture::{Extent, PictureView};
use proptest::prelude::*;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::Path;

const INKS: [Ink; 2] = [Ink::Blocks, Ink::Hash];

pub fn built_in(name: &str) -> EngineProfile {
    profiles::find(name, Path::new("no such folder")).unwrap().profile
}

/// The flat four with another timing, or with none.
fn flat_four(timing: Option<Timing>) -> EngineProfile {
    let mut facts = Facts::clone(&built_in("flat-four"));
    facts.timing = timing;
    EngineProfile::new(facts).unwrap()
}

/// Three cylinders in line: none has an opposite, and a stop comes one turn after its sign.
fn inline_three() -> EngineProfile {
    let mut facts = Facts::clone(&built_in("flat-four"));
    facts.firing_order = vec![1, 3, 2];
    facts.firing_intervals = vec![240.0; 3];
    facts.layout.shape = Shape::Inline;
    facts.layout.banks.truncate(1);
    for bank in &mut facts.layout.banks {
        *bank = Bank { cylinders: vec![1, 2, 3], side: None, valves_along: None, ..bank.clone() };
    }
    EngineProfile::new(facts).unwrap()
}

fn without_overlap() -> Timing {
    Timing {
        intake_opens_btdc: -15.0,
        intake_closes_abdc: 40.0,
        exhaust_opens_bbdc: 40.0,
        exhaust_closes_atdc: -15.0,
        ramp: 0.0,
    }
}

/// The picture of a stop of an engine's default plan, with the crank so many degrees before it.
fn picture(profile: &EngineProfile, stop: usize, before: Option<f64>) -> Picture {
    let stop = &plan::plan(profile, &PlanChoice::default()).unwrap().stops[stop];
    let stands = before.map_or(Stands::Unknown, |before| {
        Stands::Proven(crank::normal(stop.crank.unwrap() - before))
    });
    Picture::new(profile, stop, stands).unwrap()
}

/// What stands in the caption of a drawing; nothing of a radial.
pub fn shape(facts: &Facts) -> String {
    match (facts.layout.shape, facts.layout.angle) {
        (Shape::Vee, Some(angle)) => format!("vee {angle}°"),
        (Shape::Vee, None) => "vee".into(),
        (Shape::Opposed, _) => "opposed".into(),
        (Shape::Inline, _) => "inline".into(),
        (Shape::Radial, _) => String::new(),
    }
}

fn view(profile: &EngineProfile, picture: &Picture, ink: Ink) -> PictureView {
    PictureView::new(picture, words(profile, picture), ink)
}

pub fn cells<T>(w: u16, h: u16, paint: impl FnOnce(Rect, &mut Buffer) -> T) -> Vec<Vec<String>> {
    let area = Rect::new(0, 0, w, h);
    let mut buf = Buffer::empty(area);
    paint(area, &mut buf);
    let row = |y| (0..w).map(|x| buf[(x, y)].symbol().to_owned()).collect();
    (0..h).map(row).collect()
}

pub fn shown(cells: &[Vec<String>]) -> String {
    cells.iter().map(|row| format!("|{}|\n", row.concat())).collect()
}

fn find(cells: &[Vec<String>], letter: &str) -> Option<(usize, usize)> {
    let found = |(y, row): (usize, &Vec<String>)| {
        row.iter().position(|cell| cell == letter).map(|x| (x, y))
    };
    cells.iter().enumerate().find_map(found)
}

fn keep(name: &str, picture: &str) {
    insta::with_settings!({
        snapshot_path => "../../snapshots",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        insta::assert_snapshot!(format!("picture_{name}"), picture);
    });
}

/// A page in three sizes and both inks.
fn keep_page(name: &str, profile: &EngineProfile, picture: &Picture) {
    for ink in INKS {
        let view = PicturePage {
            around: Around::default(),
            title: "The crank at this stop".into(),
            picture: Pictured::Stop(view(profile, picture, ink)),
        };
        let page = |(width, height)| {
            let paint =
                |area: Rect, buf: &mut Buffer| picture::paint(&view, Theme::plain(), area, buf);
            shown(&cells(width, height, paint))
        };
        let pages = [(80, 24), (60, 20), (40, 12)].map(page).join("\n");
        let drawn_with = match ink {
            Ink::Blocks => "blocks",
            Ink::Hash | Ink::Halves => "plain",
        };
        keep(&format!("{name}_{drawn_with}"), &pages);
    }
}

#[test]
fn a_stop_with_the_crank_half_a_turn_before_it() {
    keep_page(
        "flat_four",
        &built_in("flat-four"),
        &picture(&built_in("flat-four"), 1, Some(180.0)),
    );
}

#[test]
fn where_the_crank_is_not_known_no_hand_is_drawn() {
    let profile = flat_four(None);
    keep_page("unknown_and_assumed", &profile, &picture(&profile, 0, None));
}

#[test]
fn a_stop_one_turn_after_its_sign() {
    let profile = inline_three();
    let picture = picture(&profile, 1, Some(240.0));
    assert_eq!(picture.lifts.then_turn, 360);
    keep_page("one_turn_after", &profile, &picture);
}

#[test]
fn a_changeover_is_a_gap_and_is_never_called_an_overlap() {
    let profile = flat_four(Some(without_overlap()));
    let picture = picture(&profile, 1, Some(180.0));
    assert_eq!(picture.lifts.sign, Sign::Changeover);
    let said = words(&profile, &picture);
    let all = [said.dial, said.marks, said.lifts, vec![said.sign]].concat().join(" ");
    assert!(all.contains("changeover") && !all.contains("overlap"), "{all}");
    keep_page("changeover", &profile, &picture);
}

#[test]
fn an_engine_that_turns_counter_clockwise_is_drawn_so() {
    let mut facts = Facts::clone(&built_in("vee-twin-shims"));
    facts.rotation.as_mut().unwrap().clockwise = Some(false);
    let profile = EngineProfile::new(facts).unwrap();
    keep_page("counter_clockwise", &profile, &picture(&profile, 1, Some(90.0)));
}

#[test]
fn a_table_with_a_mark_without_an_angle_has_no_picture() {
    let profile = built_in("flat-four");
    let plan = plan::plan(&profile, &PlanChoice::default()).unwrap();
    let mut stop = plan.stops[0].clone();
    assert!(Picture::new(&profile, &stop, Stands::Unknown).is_some());
    stop.crank = None;
    assert_eq!(Picture::new(&profile, &stop, Stands::Unknown), None);
}

/// The question of a turn beside an engine, with its picture.
fn turn(profile: &EngineProfile, picture: &Picture) -> SessionView {
    let big = Big { text: "2 LEFT".into(), caption: "left bank".into(), ..Big::default() };
    let prompt = Prompt {
        title: "Turn on".into(),
        big: Some(Box::new(big)),
        lines: vec!["Clockwise from the rear, never back.".into(); 7],
        ask: "How many are loose?".into(),
        field: Field::typed(Typed::Count),
        ..Prompt::default()
    };
    let watched = Some(picture.lifts.watch);
    SessionView {
        around: Around::default(),
        prompt,
        was_said: None,
        entry: String::new(),
        taken_for: String::new(),
        engine: Some(EngineView::new(profile, |_| Standing::NotYet, watched, &[1]).into()),
        where_free: None,
        picture: Some(view(profile, picture, Ink::Blocks)),
        ink: Ink::Blocks,
        first: 0,
    }
}

#[test]
fn every_engine_has_its_picture_beside_the_question_where_there_is_room() {
    for (listed, _) in profiles::BUILT_IN {
        let profile = built_in(listed);
        let picture = picture(&profile, 1, Some(40.0));
        let turn = turn(&profile, &picture);
        for ((width, height), wanted) in [
            ((160, 50), &["S stop", "Top:", "Ends by"][..]),
            ((120, 40), &["S stop", "Top:"]),
            ((60, 20), &[]),
        ] {
            let paint =
                |area: Rect, buf: &mut Buffer| session::paint(&turn, Theme::plain(), area, buf);
            let screen = shown(&cells(width, height, paint));
            // Nothing of the drawing lies under the picture: every valve is seen, in words or in signs.
            let count = |words: &str| screen.matches(words).count();
            let signs = [" I.", " E.", "/I.", "/E."].map(count).iter().sum();
            let valves = [count("not yet"), signs].contains(&profile.valves().len());
            assert!(valves || width == 60, "{listed} at {width}x{height}\n{screen}");
            // From above a vee is like a flat engine: it is said which it is.
            let shape = shape(&profile);
            let told = screen.contains(&format!(" {shape}, seen from the rear"))
                || screen.contains(&format!("{shape}, from "));
            assert!(
                if shape.is_empty() { !told } else { told || width == 60 },
                "{listed} {width}\n{screen}"
            );
            for wanted in wanted.iter().chain(&["> ", "How many are loose?"]) {
                assert!(
                    screen.contains(wanted),
                    "{listed}: {wanted} at {width}x{height}\n{screen}"
                );
            }
        }
    }
}

#[test]
fn figures_of_clearances_change_no_picture() {
    let profile = built_in("flat-four");
    let mut facts = Facts::clone(&profile);
    facts.intake.cold = facts.exhaust.cold;
    facts.leaves.clear();
    let other = EngineProfile::new(facts).unwrap();
    assert_ne!(profile, other);
    let of = |profile| view(profile, &picture(profile, 1, Some(180.0)), Ink::Blocks);
    assert_eq!(of(&profile), of(&other));
}

#[test]
fn no_size_breaks_a_picture() {
    let engines = [built_in("flat-four"), inline_three(), flat_four(Some(without_overlap()))];
    for (profile, ink) in engines.iter().zip([Ink::Blocks, Ink::Hash, Ink::Blocks]) {
        let view = view(profile, &picture(profile, 1, Some(180.0)), ink);
        let page = PicturePage {
            around: Around { open: vec!["80 pieces off".into()], ..Around::default() },
            title: "The crank at this stop".into(),
            picture: Pictured::Stop(view.clone()),
        };
        let sizes = (0..=60).flat_map(|width| (0..=30).map(move |height| (width, height)));
        for (width, height) in sizes.chain([(160, 50), (300, 100), (2000, 3), (3, 2000)]) {
            cells(width, height, |area, buf| picture::paint(&page, Theme::plain(), area, buf));
            cells(width, height, |area, buf| {
                view.lifts.paint(ink, Theme::plain(), area, buf);
                view.dial.paint(ink, Theme::plain(), area, buf);
                for extent in Extent::ALL {
                    let fits = view.fits(extent, width, height);
                    assert!(fits || height < view.needs(extent, width) || width < 21);
                    view.paint(extent, Theme::plain(), area, buf);
                }
            });
        }
    }
}

#[test]
fn the_page_of_a_small_window_still_has_the_dial() {
    let profile = built_in("flat-four");
    let page = PicturePage {
        around: Around { open: vec!["80 pieces off".into()], ..Around::default() },
        title: "The crank at this stop".into(),
        picture: Pictured::Stop(view(&profile, &picture(&profile, 1, Some(180.0)), Ink::Hash)),
    };
    for (width, height) in [(60, 20), (40, 12), (80, 24), (160, 50)] {
        let page = |area: Rect, buf: &mut Buffer| picture::paint(&page, Theme::plain(), area, buf);
        let cells = cells(width, height, page);
        let rim = cells.concat().iter().filter(|cell| *cell == "=").count();
        assert!(rim >= 7 && find(&cells, "C").is_some(), "{}", shown(&cells));
    }
}

/// The angle of a cell as seen from the middle of a dial of so many rows, degrees clockwise from the top.
fn angle_of((x, y): (usize, usize), rows: u16) -> f64 {
    let beside = x as f64 + 0.5 - (f64::from(rows) - 0.5);
    let above = f64::from(rows) - (y as f64 * 2.0 + 1.0);
    beside.atan2(above).to_degrees().rem_euclid(360.0)
}

fn apart(one: f64, other: f64) -> f64 {
    (one - other).rem_euclid(360.0).min((other - one).rem_euclid(360.0))
}

/// The middle of a cell is half a column and one half row at most from what lies in it.
fn rounding(from_middle: f64) -> f64 {
    (0.5_f64.hypot(1.0) / from_middle).asin().to_degrees()
}

fn dial(rows: u16, view: &DialView) -> Vec<Vec<String>> {
    cells(DialView::columns(rows), rows, |area, buf| {
        view.paint(Ink::Hash, Theme::plain(), area, buf)
    })
}

fn odd_rows() -> impl Strategy<Value = u16> {
    (2_u16..=10).prop_map(|half| half * 2 + 1)
}

fn symmetric() -> impl Strategy<Value = Timing> {
    (3.0..60.0_f64, 20.0..80.0_f64, 0.0..15.0_f64).prop_map(|(inner, outer, ramp)| Timing {
        intake_opens_btdc: inner,
        intake_closes_abdc: outer,
        exhaust_opens_bbdc: outer,
        exhaust_closes_atdc: inner,
        ramp,
    })
}

proptest! {
    #![proptest_config(crate::seeded::config(256))]
    #[test]
    fn a_stop_is_drawn_at_its_angle(rows in odd_rows(), stop in 0.0..360.0_f64) {
        let view = DialView { stop, solid: None, hand: None, clockwise: None };
        let cells = dial(rows, &view);
        let found = find(&cells, "S").unwrap();
        let off = apart(angle_of(found, rows), stop);
        prop_assert!(off <= rounding(f64::from(rows) * 0.69), "{off} off\n{}", shown(&cells));
        prop_assert!(find(&cells, "?").is_some() && find(&cells, "*").is_none());
    }

    #[test]
    fn the_hand_points_where_the_crank_stands(rows in 3_u16..=10, hand in 0.0..360.0_f64) {
        let rows = rows * 2 + 1;
        let view = DialView { stop: hand, solid: None, hand: Some(hand), clockwise: Some(true) };
        let cells = dial(rows, &view);
        let places = (0..cells.len()).flat_map(|y| (0..cells[0].len()).map(move |x| (x, y)));
        let on_hand: Vec<_> = places.filter(|&(x, y)| cells[y][x] == "*").collect();
        prop_assert!(!on_hand.is_empty());
        let (mut beside, mut along) = (0.0, 0.0);
        for place in on_hand {
            let angle = angle_of(place, rows).to_radians();
            beside += angle.sin();
            along += angle.cos();
        }
        let off = apart(f64::atan2(beside, along).to_degrees(), hand);
        prop_assert!(off <= rounding(2.0), "{off} off\n{}", shown(&cells));
    }

    #[test]
    fn the_rim_is_solid_where_the_crank_may_stand_and_nowhere_else(
        rows in odd_rows(),
        first in 0.0..360.0_f64,
        sweep in 0.0..360.0_f64,
    ) {
        // The stop's disc lies over the beginning, so it hides no end that is looked at.
        let view = DialView { stop: first, solid: Some((first, sweep)), hand: None, clockwise: None };
        let cells = dial(rows, &view);
        let slack = rounding(f64::from(rows) * 0.5);
        for (y, row) in cells.iter().enumerate() {
            for (x, cell) in row.iter().enumerate() {
                let past = (angle_of((x, y), rows) - first).rem_euclid(360.0);
                if cell == "=" {
                    prop_assert!(past <= sweep + slack || past >= 360.0 - slack, "{}", shown(&cells));
                }
                if cell == "." {
                    prop_assert!(past >= sweep - slack || past <= slack, "{}", shown(&cells));
                }
            }
        }
    }

    #[test]
    fn symmetric_lifts_cross_at_the_centre_of_overlap(timing in symmetric(), wide in 21_u16..100, tall in 6_u16..20) {
        let profile = flat_four(Some(timing));
        let picture = picture(&profile, 0, None);
        let centre = crank::centre_of_overlap(&profile);
        prop_assert!((picture.lifts.sign_at - centre).abs() < 1e-6);
        let lift = |kind| picture.lifts.lift(kind, centre);
        prop_assert!((lift(Kind::Intake) - lift(Kind::Exhaust)).abs() < 1e-9 && lift(Kind::Intake) > 0.0);
        let view = LiftView { lifts: picture.lifts, sign: "overlap".into() };
        let cells = cells(wide, tall, |area, buf| view.paint(Ink::Hash, Theme::plain(), area, buf));
        let (middle, _) = find(&cells, "S").unwrap();
        let seat = usize::from(tall) - 2;
        for row in &cells[1..seat] {
            let mirrored = |x: usize| match row[x].as_str() {
                "E" => "I".to_owned(),
                "I" => "E".to_owned(),
                other => other.to_owned(),
            };
            for off in 0..=middle {
                prop_assert_eq!(&mirrored(middle - off), &row[middle + off], "{}", shown(&cells));
            }
        }
        // They meet in the middle column, and only near it.
        prop_assert!(cells.iter().any(|row| row[middle] == "X"), "{}", shown(&cells));
    }

    #[test]
    fn without_overlap_the_curves_leave_the_middle_free(shut in 1.0..60.0_f64, wide in 21_u16..100) {
        let timing = Timing { intake_opens_btdc: -shut, exhaust_closes_atdc: -shut, ..ASSUMED };
        let picture = picture(&flat_four(Some(timing)), 0, None);
        let view = LiftView { lifts: picture.lifts, sign: "changeover".into() };
        let cells = cells(wide, 12, |area, buf| view.paint(Ink::Hash, Theme::plain(), area, buf));
        let (middle, _) = find(&cells, "S").unwrap();
        prop_assert!(find(&cells, "X").is_none());
        for row in &cells[1..10] {
            prop_assert!(row[..=middle].iter().all(|cell| cell != "I"), "{}", shown(&cells));
            prop_assert!(row[middle..].iter().all(|cell| cell != "E"), "{}", shown(&cells));
        }
    }

    #[test]
    fn a_valve_lifts_between_its_ends_and_nowhere_else(timing in symmetric(), phase in -720.0..1440.0_f64) {
        let profile = flat_four(Some(timing));
        let picture = picture(&profile, 2, Some(10.0));
        for kind in Kind::BOTH {
            let lift = picture.lifts.lift(kind, phase);
            let open = picture.lifts.opening(kind).margin(crank::normal(phase)) < 0.0;
            prop_assert!((0.0..=1.0).contains(&lift));
            prop_assert_eq!(lift > 1e-9, open, "{:?} at {}: {}", kind, phase, lift);
        }
    }

    #[test]
    fn what_is_shown_of_the_phase_is_found_again(share in 0.0..1.0_f64, stop in 0_usize..4) {
        let lifts: Lifts = picture(&built_in("flat-four"), stop, None).lifts;
        let found = lifts.share_of(crank::normal(lifts.phase_at(share))).unwrap();
        prop_assert!((found - share).abs() < 1e-9);
        prop_assert_eq!(lifts.share_of(crank::normal(lifts.sign_at + 181.0)), None);
    }

    #[test]
    fn angles_one_turn_apart_are_one_place_in_two_turns(angle in 0.0..360.0_f64, clockwise: bool) {
        let dial = Dial {
            stop: angle,
            will_do: Some((30.0, 50.0)),
            crank: Stands::Unknown,
            turn: None,
            clockwise: Some(clockwise),
        };
        prop_assert!(apart(dial.place(angle), dial.place(angle + 360.0)) < 1e-9);
        prop_assert_eq!((cycle_turn(angle), cycle_turn(angle + 360.0)), (1, 2));
        let (first, sweep) = dial.arc().unwrap();
        let ends = if clockwise { (angle - 30.0, angle + 50.0) } else { (angle + 50.0, angle - 30.0) };
        prop_assert!(apart(first, dial.place(ends.0)) < 1e-9);
        prop_assert!(apart(first + sweep, dial.place(ends.1)) < 1e-9);
    }
}
