//! Slips of the point and the unit in the figures of a profile's form: none of the shipped profiles can be
//! made wrong by one without being refused or asked about.
//!
//! The slips are those that manuals print themselves (check-values 14): tenfold, and inches for
//! millimetres. `cargo test --test suite profile_slips:: -- --nocapture` prints the table.
#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::form_walk::known;
use cowlside::domain::units::{CLEARANCE, Length, LengthUnit};
use cowlside::guide::profile_form::Form;
use cowlside::store::profile_writer::{document_of, judge};
use cowlside::store::profiles::BUILT_IN;

/// What comes of a slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Came {
    Refused,
    Asked,
    Passed,
}

/// The figures of a form that hold a clearance: path, length, unit.
fn figures(form: &Form) -> Vec<(String, Length, LengthUnit)> {
    let fields = form.all_fields().into_iter();
    let of_valves = fields.filter(|field| field.path.starts_with("valves."));
    let figure = |path: &str| {
        let last = path.rsplit('.').next().unwrap();
        ["target", "least", "most", "set_least", "set_most"].contains(&last)
    };
    let all = of_valves.filter(|field| figure(&field.path)).filter_map(|field| {
        let (length, unit) =
            Length::parse_with_unit(form.text(&field.path).trim(), CLEARANCE).ok()?;
        Some((field.path, length, unit))
    });
    all.collect()
}

fn slipped(form: &mut Form, (path, length, unit): &(String, Length, LengthUnit), by: f64) {
    let size = Length::from_nm((length.nm() as f64 * by).round() as i64);
    form.set(path, format!("{} {}", size.digits(*unit), unit.word()));
}

fn came(form: &Form) -> Came {
    match (form.profile(), form.doubts().is_empty()) {
        (None, _) => Came::Refused,
        (Some(_), false) => Came::Asked,
        (Some(_), true) => Came::Passed,
    }
}

#[test]
fn no_slip_of_the_point_or_the_unit_in_a_shipped_profile_passes_unasked() {
    let mut passed = Vec::new();
    let mut counts = [0; 2];
    let known = known();
    for (name, text) in BUILT_IN {
        let sound = Form::of(&document_of(text).unwrap(), judge, known.clone()).unwrap();
        let figures = figures(&sound);
        assert!(figures.len() >= 6, "{name}: {figures:?}");
        for by in [10.0, 0.1, 25.4, 1.0 / 25.4] {
            let mut told = |what: &str, form: &Form| {
                let came = came(form);
                println!("{name} {what} times {by:.3}: {came:?}");
                match came {
                    Came::Refused => counts[0] += 1,
                    Came::Asked => counts[1] += 1,
                    Came::Passed => passed.push(format!("{name} {what} times {by:.3}")),
                }
            };
            for figure in &figures {
                let mut form = sound.clone();
                slipped(&mut form, figure, by);
                told(&figure.0, &form);
            }
            for kind in ["intake", "exhaust", ""] {
                let mut form = sound.clone();
                let of_kind = figures.iter().filter(|(path, ..)| path.contains(kind));
                of_kind.for_each(|figure| slipped(&mut form, figure, by));
                told(&format!("all of {kind}"), &form);
            }
        }
    }
    println!("{} refused, {} asked about, {} passed", counts[0], counts[1], passed.len());
    assert!(passed.is_empty(), "{} pass: {passed:#?}", passed.len());
    assert!(counts[0] > 0 && counts[1] > 0);
}
