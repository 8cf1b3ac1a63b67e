//! Which figures nobody read from the manual's page: they are the example profile's.

use super::{Page, listed};
use crate::domain::fasteners::of_covers;
use crate::domain::profile::Adjuster;
use crate::domain::service::is_practice;
use crate::domain::units::LengthUnit;
use crate::domain::valve::Kind;

/// Said of limits that stand neither in the profile nor on the manual's page.
pub(super) const WORKED_OUT: &str =
    "worked out by the program from the profile's set limits and the target as it is now";

/// Says a pitch as it is said in the unit of the record: threads an inch where that is inches.
fn pitch_words(pitch_mm: f64, unit: LengthUnit) -> String {
    let an_inch = 25.4 / pitch_mm;
    match unit {
        LengthUnit::Mm => format!("thread pitch {pitch_mm:.3} mm"),
        LengthUnit::Inch if (an_inch - an_inch.round()).abs() < 0.01 => {
            format!("thread {an_inch:.0} to the inch (pitch {pitch_mm:.3} mm)")
        }
        LengthUnit::Inch => format!("thread pitch {pitch_mm:.3} mm ({an_inch:.1} to the inch)"),
    }
}

impl Page<'_> {
    /// Lists the figures that were used as an example profile has them, though a manual is named:
    /// of its page only target and limits are asked.
    pub(super) fn by_profile(&mut self) {
        let facts = self.state.facts();
        let source = self.state.source.as_ref();
        let named = source.is_some_and(|(source, said)| !is_practice(source, *said));
        if !named || !is_practice(&facts.source, false) {
            return;
        }
        let unit = self.unit;
        let (mut words, mut worked_out) = (Vec::new(), Vec::new());
        for kind in Kind::BOTH {
            let of = self.state.figures(kind);
            if (of.set_least, of.set_most) != (of.least, of.most) {
                let (least, most) = (of.set_least.digits(unit), of.set_most.text(unit));
                let band = format!("{} once touched {least} to {most}", kind.word());
                let by_program = self.state.set_band_worked_out(kind);
                if by_program { &mut worked_out } else { &mut words }.push(band);
            }
        }
        if let Adjuster::Screw(screw) = &facts.adjuster {
            let torque = screw.lock_nut_torque.as_ref();
            words.extend(torque.map(|torque| format!("lock nut {}", torque.both(unit))));
            words.extend(screw.pitch_mm.map(|pitch| pitch_words(pitch, unit)));
            let threads = screw.threads_showing;
            words.extend(threads.map(|(least, most)| format!("threads showing {least} to {most}")));
        }
        let covers = facts.covers.torque.as_ref();
        words.extend(
            covers
                .map(|torque| format!("cover {} {}", of_covers(&facts.covers), torque.both(unit))),
        );
        let when = &facts.gauge_when;
        words.extend(when.no_warmer_than.map(|limit| format!("not warmer than {}", limit.both())));
        words.extend(when.no_cooler_than.map(|limit| format!("not cooler than {}", limit.both())));
        if !words.is_empty() {
            let words = format!("(by the profile, not the manual) {}", listed(words));
            self.sheet.field("not read from it", &words);
        }
        if !worked_out.is_empty() {
            let words = format!("({WORKED_OUT}) {}", listed(worked_out));
            self.sheet.field("not read from it", &words);
        }
    }
}
