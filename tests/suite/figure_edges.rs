//! Edges of readings and of what is advised: where a comparison the other way round, a tie or a rounding
//! would go unseen.

use cowlside::domain::advice::{moved_by, rods};
use cowlside::domain::entry::LeafSet;
use cowlside::domain::leaves;
use cowlside::domain::profile::{Figures, Screw};
use cowlside::domain::reading::{ReadingFault, parse};
use cowlside::domain::units::{Length, LengthUnit};

fn um(um: i64) -> Length {
    Length::from_um(um)
}

#[test]
fn the_leaf_that_goes_is_thinner_than_the_one_that_will_not() {
    let set = leaves::usual().swap_remove(0);
    for typed in ["6/6", "7/6", "3+3/6"] {
        let refused = parse(typed, &set).unwrap_err();
        assert!(matches!(refused, ReadingFault::GoNotBelowNoGo(_)), "{typed}: {refused:?}");
    }
    assert!(parse("6/7", &set).is_ok());
}

#[test]
fn of_each_thickness_a_set_has_one_leaf() {
    let set = leaves::usual().swap_remove(0);
    for (typed, is_in_set) in [("6+5", true), ("6+6", false), ("5+5/12", false)] {
        assert_eq!(!parse(typed, &set).unwrap().not_a_leaf, is_in_set, "{typed}");
    }
}

#[test]
fn twenty_five_millimetres_are_a_reading_and_no_more() {
    let set = LeafSet::new("", LengthUnit::Mm, Vec::new());
    for typed in ["25 mm", "12.5+12.5 mm"] {
        assert!(parse(typed, &set).is_ok(), "{typed}: {:?}", parse(typed, &set));
    }
    for typed in ["25.001 mm", "12.5+12.501 mm"] {
        let refused = parse(typed, &set).unwrap_err();
        assert!(matches!(refused, ReadingFault::TooThick(_)), "{typed}: {refused:?}");
    }
}

#[test]
fn a_rod_that_comes_exactly_to_a_limit_is_inside_and_of_two_alike_the_shorter_is_taken() {
    let [least, target, most] = [100, 150, 200].map(um);
    let figures = Figures { target, least, most, set_least: least, set_most: most };
    // 0.30 mm is there, and a longer rod takes off what it is longer.
    let fit = |lengths: &[i64]| {
        let lengths: Vec<Length> = lengths.iter().copied().map(um).collect();
        rods(&lengths, 1.0, Length::ZERO, Some(um(300)), &figures).1
    };
    assert_eq!(fit(&[100]), Some(um(100)));
    assert_eq!(fit(&[200]), Some(um(200)));
    assert_eq!((fit(&[99]), fit(&[201])), (None, None));
    assert_eq!(fit(&[180, 120]), Some(um(120)));
    assert_eq!(fit(&[120, 180]), Some(um(120)));
}

#[test]
fn what_a_turn_of_a_screw_moves_is_rounded_to_the_nanometre_and_not_cut() {
    let screw = Screw {
        pitch_mm: Some(1.0),
        at_valve_end: true,
        rocker_ratio: 1.4,
        lock_nut: None,
        lock_nut_torque: None,
        screw_drive: None,
        threads_showing: None,
    };
    // A degree of a pitch of 1 mm is 2777.8 nm.
    assert_eq!(moved_by(&screw, 1), Some(Length::from_nm(2_778)));
    assert_eq!(moved_by(&screw, 90), Some(um(250)));
    let at_the_rod = Screw { at_valve_end: false, ..screw };
    assert_eq!(moved_by(&at_the_rod, 90), Some(um(350)));
}
