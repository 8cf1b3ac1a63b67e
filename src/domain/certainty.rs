//! How sure a verdict is: the uncertainty of a feeler reading, and the four answers it allows.
//!
//! Beside the contract's verdict, never instead of it. What is known of a reading is its interval
//! (uniform, so its standard uncertainty is width/√12) and, where it was told, the tolerance of the
//! leaves (uniform, plus or minus t: t/√3). Both are combined by root sum of squares and expanded by
//! k = 2, about 95 % (check-values 7, NIST/SEMATECH handbook 2.5.7).

use super::entry::LeafSet;
use super::reading::Meaning;
use super::units::{Length, LengthUnit};
use super::verdict::{Band, Interval};

/// A stack of two leaves is thicker than the steel by about this, for oil, dust and air in the
/// joint: ten leaves read 0.0025 in too much over nine joints (check-values 6.4, a US gauge maker).
pub const JOINT: Length = Length::from_nm(7_620);

/// Standard uncertainties in the expanded one: about 95 %.
const K: f64 = 2.0;

/// Writes a tolerance, which is finer than any leaf, to 0.00001 in or 0.0001 mm: "±0.00035 in".
pub fn tolerance_words(plus_minus: Length, unit: LengthUnit) -> String {
    let figure = match unit {
        LengthUnit::Inch => format!("{:.5}", plus_minus.in_unit(unit)),
        LengthUnit::Mm => format!("{:.4}", plus_minus.in_unit(unit)),
    };
    format!("±{} {}", figure.trim_end_matches('0').trim_end_matches('.'), unit.word())
}

/// One of the four answers of a non-binary rule, or none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surely {
    /// Inside the band by at least the uncertainty.
    Pass,
    /// Inside, but nearer to a limit than the uncertainty.
    ConditionalPass,
    /// Outside, but nearer to a limit than the uncertainty.
    ConditionalFail,
    /// Outside by more than the uncertainty.
    Fail,
    /// The uncertainty is more than half of the band: nothing could pass.
    CannotDecide,
}

impl Surely {
    /// Returns the words of the trade's guides.
    pub fn word(self) -> &'static str {
        match self {
            Surely::Pass => "pass",
            Surely::ConditionalPass => "conditional pass",
            Surely::ConditionalFail => "conditional fail",
            Surely::Fail => "fail",
            Surely::CannotDecide => "this set cannot decide",
        }
    }
}

/// A reading's figure with its uncertainty, judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Certainty {
    /// The nominal that is judged.
    pub nominal: Length,
    /// The limits it is judged by.
    pub band: Band,
    /// Standard uncertainty, nanometres.
    pub standard_nm: f64,
    /// True where a tolerance of the leaves is part of it.
    pub with_tolerance: bool,
    /// The answer.
    pub surely: Surely,
}

/// Returns the standard uncertainty of a uniform interval of this width, in the same unit.
pub fn of_width(width: f64) -> f64 {
    width / 12_f64.sqrt()
}

/// Returns what is not known of the size that a stack of leaves has, nanometres each way: the
/// tolerance of each leaf, and for each joint [`JOINT`].
pub fn of_stack(tolerance: Length, leaves: u32) -> Length {
    let joints = i64::from(leaves.saturating_sub(1));
    Length::from_nm(tolerance.nm() * i64::from(leaves) + JOINT.nm() * joints)
}

/// Judges a reading with its uncertainty; `None` where it is open-ended. `tolerance` is what is not
/// known of the leaves used, each way; `None` where no tolerance was told.
pub fn judge(reading: &Interval, band: Band, tolerance: Option<Length>) -> Option<Certainty> {
    let (nominal, low, high) = (reading.nominal?, reading.low?, reading.high?);
    let width = of_width((high - low).nm() as f64);
    let leaf = tolerance.map_or(0.0, |each_way| of_width(2.0 * each_way.nm() as f64));
    let standard_nm = libm::hypot(width, leaf);
    let surely = answer(nominal, band, standard_nm * K);
    Some(Certainty { nominal, band, standard_nm, with_tolerance: tolerance.is_some(), surely })
}

/// Judges a reading as typed with a set: the tolerance is the set's, for two leaves together that of
/// both and of the joint between them.
pub fn judge_typed(meaning: &Meaning, band: Band, set: &LeafSet) -> Option<Certainty> {
    judge(&meaning.interval(), band, of_reading(&meaning.typed, set))
}

/// Returns what is not known of the leaves of a reading, each way; of a pair the worse side.
pub fn of_reading(typed: &str, set: &LeafSet) -> Option<Length> {
    let tolerance = set.tolerance.as_ref()?.plus_minus;
    let stacked = typed.contains('+');
    Some(of_stack(tolerance, if stacked { 2 } else { 1 }))
}

fn answer(nominal: Length, band: Band, expanded_nm: f64) -> Surely {
    // Beyond the nearer limit, nanometres: negative inside.
    let beyond = (band.least - nominal).max(nominal - band.most).nm() as f64;
    let half = (band.most - band.least).nm() as f64 / 2.0;
    if beyond > expanded_nm {
        Surely::Fail
    } else if expanded_nm > half {
        Surely::CannotDecide
    } else if beyond > 0.0 {
        Surely::ConditionalFail
    } else if beyond > -expanded_nm {
        Surely::ConditionalPass
    } else {
        Surely::Pass
    }
}

impl Certainty {
    /// Returns the expanded uncertainty, nanometres.
    pub fn expanded_nm(&self) -> f64 {
        self.standard_nm * K
    }

    /// Returns the expanded uncertainty to a whole nanometre, for showing.
    pub fn expanded(&self) -> Length {
        Length::from_nm(self.expanded_nm().round() as i64)
    }

    /// Gives the reason in one sentence.
    pub fn why(&self, unit: LengthUnit) -> String {
        let figure = format!("{} ± {}", self.nominal.digits(unit), self.expanded().text(unit));
        let Band { least, most } = self.band;
        let limits = format!("{} to {}", least.digits(unit), most.text(unit));
        match self.surely {
            Surely::Pass => format!("{figure} lies wholly inside {limits}."),
            Surely::ConditionalPass => {
                format!("{figure} lies inside {limits}, but reaches beyond a limit.")
            }
            Surely::ConditionalFail => {
                format!("{figure} lies outside {limits}, but reaches back inside.")
            }
            Surely::Fail => format!("{figure} lies wholly outside {limits}."),
            Surely::CannotDecide => {
                format!("{figure} is less sure than half of {limits}: finer leaves are needed.")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::entry::Tolerance;
    use crate::domain::leaves;
    use crate::domain::reading::parse;
    use proptest::prelude::*;

    fn tenths(tenths: i64) -> Length {
        Length::from_tenths_thou(tenths)
    }

    /// A US gauge maker's tolerance of a 0.010 in leaf: ±0.00035 in (check-values 6.3).
    fn tolerance() -> Length {
        Length::from_nm(8_890)
    }

    fn thousandths(nm: f64) -> f64 {
        nm / 25_400.0
    }

    #[test]
    fn a_uniform_interval_has_its_width_over_the_root_of_twelve() {
        // check-values 7.1: semi-range 1.5 gives 0.87 (guide to uncertainty, appendix E.1).
        assert_eq!(format!("{:.2}", of_width(3.0)), "0.87");
        // Derived there: steps of 0.001 in, 0.01 mm, 0.05 mm.
        assert_eq!(format!("{:.6}", of_width(0.001)), "0.000289");
        assert_eq!(format!("{:.5}", of_width(0.01)), "0.00289");
        assert_eq!(format!("{:.4}", of_width(0.05)), "0.0144");
        // check-values 7.2: a leaf of ±0.00035 in, uniform.
        assert_eq!(format!("{:.6}", of_width(0.0007)), "0.000202");
    }

    #[test]
    fn a_thousandth_step_and_the_tolerance_of_a_leaf_make_seven_tenths() {
        // check-values 7.2 (derived): u = 0.000352 in, U = 0.0007 in.
        let set = LeafSet {
            tolerance: Some(Tolerance { plus_minus: tolerance(), source: "maker".into() }),
            ..leaves::usual().swap_remove(0)
        };
        let band = Band { least: tenths(60), most: tenths(100) };
        let sure = judge_typed(&parse("8", &set).unwrap(), band, &set).unwrap();
        assert_eq!(format!("{:.6}", thousandths(sure.standard_nm) / 1000.0), "0.000352");
        assert_eq!(sure.expanded().text(LengthUnit::Inch), "0.0007 in");
        assert!(sure.with_tolerance);
    }

    #[test]
    fn the_worked_test_of_five_readings_has_its_four_answers() {
        // check-values 7, worked test (derived): limits 0.006 to 0.010 in, U = 0.0007.
        let band = Band { least: tenths(60), most: tenths(100) };
        for (nominal, word) in [
            (80, "pass"),
            (95, "conditional pass"),
            (103, "conditional fail"),
            (108, "fail"),
            (65, "conditional pass"),
            // Both ends of each answer, and the other side.
            (67, "pass"),
            (93, "pass"),
            (60, "conditional pass"),
            (100, "conditional pass"),
            (53, "conditional fail"),
            (52, "fail"),
        ] {
            let got = answer(tenths(nominal), band, 7.0 * 2_540.0);
            assert_eq!(got.word(), word, "{nominal}");
        }
    }

    #[test]
    fn more_uncertainty_than_half_the_band_decides_nothing_but_a_clear_fail() {
        // check-values 7.8: the acceptance zone is empty.
        let band = Band { least: tenths(60), most: tenths(70) };
        let five = 5.0 * 2_540.0;
        assert_eq!(answer(tenths(65), band, five), Surely::Pass, "exactly half is enough");
        assert_eq!(answer(tenths(65), band, five + 1.0), Surely::CannotDecide);
        assert_eq!(answer(tenths(71), band, five + 1.0), Surely::CannotDecide);
        assert_eq!(answer(tenths(90), band, five + 1.0), Surely::Fail);
    }

    #[test]
    fn each_more_leaf_adds_its_tolerance_and_a_joint() {
        // check-values 6.4: ten leaves of 0.010 in read 0.106, then 0.105 in; the steel's worst case
        // is 0.1035, so the nine joints make up to 0.0025 in, about 0.0003 each.
        let ten = of_stack(tolerance(), 10);
        let steel = Length::from_nm(tolerance().nm() * 10);
        assert_eq!(tenths(1_000) + steel, tenths(1_035));
        assert_eq!(ten - steel, tenths(27));
        let joint = thousandths((tenths(1_060) - tenths(1_035)).nm() as f64) / 9.0;
        assert_eq!(format!("{joint:.1}"), "0.3");
        assert_eq!(of_stack(tolerance(), 1), tolerance());
        assert_eq!(of_stack(tolerance(), 2), tolerance() + tolerance() + JOINT);
    }

    #[test]
    fn an_open_reading_has_no_uncertainty_and_a_set_without_tolerance_says_so() {
        let set = leaves::usual().swap_remove(0);
        let band = Band { least: tenths(60), most: tenths(100) };
        for typed in ["/4", "12/", "0"] {
            assert_eq!(judge_typed(&parse(typed, &set).unwrap(), band, &set), None, "{typed}");
        }
        let sure = judge_typed(&parse("8/9", &set).unwrap(), band, &set).unwrap();
        assert!(!sure.with_tolerance);
        assert_eq!(
            sure.why(LengthUnit::Inch),
            "0.0085 ± 0.0006 in lies wholly inside 0.006 to 0.010 in."
        );
    }

    proptest! {
        #[test]
        fn the_answer_agrees_with_the_nominal_verdict_and_grows_surer_with_less_uncertainty(
            nominal in 0_i64..1000, least in 1_i64..400, width in 1_i64..400, wide in 0_i64..200
        ) {
            let um = Length::from_um;
            let band = Band { least: um(least), most: um(least + width) };
            let expanded = wide as f64 * 1000.0;
            let inside = band.contains(um(nominal));
            match answer(um(nominal), band, expanded) {
                Surely::Pass | Surely::ConditionalPass => prop_assert!(inside),
                Surely::ConditionalFail | Surely::Fail => prop_assert!(!inside),
                Surely::CannotDecide => prop_assert!(2 * wide > width),
            }
            let sure = answer(um(nominal), band, 0.0);
            prop_assert_eq!(sure, if inside { Surely::Pass } else { Surely::Fail });
        }
    }
}
