//! What locking the nut does to the setting on one engine, and what one mechanic's hand does.
//!
//! Tightening a lock nut can pull the screw up and add about a thousandth of an inch; where it is
//! consistent it can be allowed for (check-values 2.10, a mechanic's note). Learnt only from
//! tries that carry what was aimed at: set with the nut slack, then read with it locked. Nothing is
//! ever applied: it is shown, and once it is steady an aim is offered.

use super::entry::Step;
use super::profile::Figures;
use super::session::{Session, Taken};
use super::units::{Length, LengthUnit};
use super::valve::Valve;
use super::verdict::Band;

/// Fewer tries than this say nothing: two may agree by chance.
pub const TRIES_MIN: usize = 3;

/// A try of which it is known what was aimed at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Aimed {
    /// The valve.
    pub valve: Valve,
    /// Who did it.
    pub by: String,
    /// What the leaf was with the nut slack.
    pub aimed: Length,
    /// What it read then.
    pub got: Length,
    /// What it read before the screw was turned; `None` where that is open-ended or not known.
    pub before: Option<Length>,
    /// True where the nut was locked when it was read.
    pub locked: bool,
}

/// What tries have in common: the mean, and how far they spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shift {
    /// How many tries.
    pub tries: usize,
    /// Mean of found less aimed at, to the nearest nanometre.
    pub mean: Length,
    /// The smallest.
    pub least: Length,
    /// The largest.
    pub most: Length,
}

/// Collects the tries of a session that tell what was aimed at.
pub fn tries(session: &Session) -> Vec<Aimed> {
    let readings = &session.state.readings;
    let aimed = readings.iter().enumerate().filter_map(|(place, taken)| {
        let reading = &taken.reading;
        let (aimed, got) = (reading.aimed?, reading.nominal?);
        if reading.step != Step::Try || !taken.counts {
            return None;
        }
        let same = |earlier: &&Taken| earlier.reading.valve == reading.valve;
        let before = readings.iter().take(place).rev().find(same);
        Some(Aimed {
            valve: reading.valve,
            by: reading.by.clone(),
            aimed,
            got,
            before: before.and_then(|taken| taken.reading.nominal),
            locked: taken.locked,
        })
    });
    aimed.collect()
}

/// Returns what locking the nut did over these tries: found locked less set slack. `None` under
/// [`TRIES_MIN`] tries.
pub fn lock_shift<'a>(tries: impl IntoIterator<Item = &'a Aimed>) -> Option<Shift> {
    let locked = tries.into_iter().filter(|one| one.locked);
    shift(locked.map(|one| one.got - one.aimed).collect())
}

/// Returns by how far a mechanic went beyond his aim with the nut slack, in the direction in which
/// he turned; negative where he stopped short. `None` under [`TRIES_MIN`] tries.
pub fn overshoot<'a>(tries: impl IntoIterator<Item = &'a Aimed>, by: &str) -> Option<Shift> {
    let slack = tries.into_iter().filter(|one| !one.locked && one.by == by);
    let beyond = |one: &Aimed| {
        let before = one.before?;
        match one.aimed.cmp(&before) {
            std::cmp::Ordering::Greater => Some(one.got - one.aimed),
            std::cmp::Ordering::Less => Some(one.aimed - one.got),
            std::cmp::Ordering::Equal => None,
        }
    };
    shift(slack.filter_map(beyond).collect())
}

fn shift(apart: Vec<Length>) -> Option<Shift> {
    let (least, most) = (*apart.iter().min()?, *apart.iter().max()?);
    let tries = apart.len();
    let count = i64::try_from(tries).ok()?;
    let sum: i64 = apart.iter().map(|one| one.nm()).sum();
    // Half a nanometre more or less is nothing; the sign must not matter.
    let mean = Length::from_nm((2 * sum + count * sum.signum()) / (2 * count));
    (tries >= TRIES_MIN).then_some(Shift { tries, mean, least, most })
}

impl Shift {
    /// Tells whether it is steady enough to be aimed by: had the aim been used, each of the tries
    /// seen would have ended inside the set band. No other measure of steadiness is needed.
    pub fn is_steady(&self, figures: &Figures) -> bool {
        let band = Band::set(figures);
        [self.least, self.most].iter().all(|&one| band.contains(figures.target + one - self.mean))
    }

    /// Returns what to aim at with the nut slack, to lock near the target; `None` where it is not
    /// steady, or where there is nothing to allow for.
    pub fn aim(&self, figures: &Figures) -> Option<Length> {
        let aim = figures.target - self.mean;
        (self.mean != Length::ZERO && self.is_steady(figures) && aim > Length::ZERO).then_some(aim)
    }

    /// Says what locking the nut does, with the spread: "Locking the nut: opens 0.001 in, 0.0005 to
    /// 0.0015 in over 4 tries on this engine".
    pub fn lock_words(&self, unit: LengthUnit) -> String {
        let what = match self.mean.nm().signum() {
            1 => format!("opens {}", self.mean.both(unit)),
            -1 => format!("closes {}", (Length::ZERO - self.mean).both(unit)),
            _ => "changes nothing".into(),
        };
        format!("Locking the nut {what} on this engine: {}.", self.spread_words(unit))
    }

    /// Says what a mechanic's hand does, with the spread.
    pub fn hand_words(&self, unit: LengthUnit) -> String {
        let what = match self.mean.nm().signum() {
            1 => format!("go {} beyond", self.mean.both(unit)),
            -1 => format!("stop {} short", (Length::ZERO - self.mean).both(unit)),
            _ => "stop just at the aim".into(),
        };
        format!("You {what} on the way: {}.", self.spread_words(unit))
    }

    fn spread_words(&self, unit: LengthUnit) -> String {
        let (least, most) = (self.least.digits(unit), self.most.text(unit));
        format!("{least} to {most} over {} tries", self.tries)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::valve::Kind;
    use proptest::prelude::*;

    fn um(um: i64) -> Length {
        Length::from_um(um)
    }

    fn figures(set_least: i64, target: i64, set_most: i64) -> Figures {
        Figures {
            target: um(target),
            least: um(set_least - 50),
            most: um(set_most + 50),
            set_least: um(set_least),
            set_most: um(set_most),
        }
    }

    fn locked(aimed: i64, got: i64) -> Aimed {
        Aimed {
            valve: Valve::new(1, Kind::Intake),
            by: "first".into(),
            aimed: um(aimed),
            got: um(got),
            before: None,
            locked: true,
        }
    }

    fn slack(before: i64, aimed: i64, got: i64, by: &str) -> Aimed {
        Aimed { before: Some(um(before)), locked: false, by: by.into(), ..locked(aimed, got) }
    }

    #[test]
    fn from_three_tries_on_the_shift_is_known_and_the_aim_allows_for_it() {
        let mut tries = vec![locked(150, 155), locked(150, 155)];
        assert_eq!(lock_shift(&tries), None, "two may agree by chance");
        tries.push(slack(100, 150, 190, "first"));
        assert_eq!(lock_shift(&tries), None, "a nut that was slack says nothing of locking");
        tries.push(locked(145, 150));
        let shift = lock_shift(&tries).unwrap();
        assert_eq!((shift.tries, shift.mean, shift.least, shift.most), (3, um(5), um(5), um(5)));
        assert_eq!(shift.aim(&figures(140, 150, 160)), Some(um(145)));
        assert_eq!(
            shift.lock_words(LengthUnit::Mm),
            "Locking the nut opens 0.005 mm (0.0002 in) on this engine: 0.005 to 0.005 mm over 3 \
             tries."
        );
    }

    #[test]
    fn it_is_steady_when_every_try_seen_would_have_ended_inside_the_set_band() {
        let tries = [locked(150, 150), locked(150, 160), locked(150, 170)];
        let shift = lock_shift(&tries).unwrap();
        assert_eq!(shift.mean, um(10));
        assert_eq!(shift.aim(&figures(140, 150, 160)), Some(um(140)), "just inside");
        assert_eq!(shift.aim(&figures(141, 150, 160)), None);
        assert_eq!(shift.aim(&figures(140, 150, 159)), None);
        let none = lock_shift(&[locked(150, 150), locked(150, 150), locked(150, 150)]).unwrap();
        assert_eq!(none.aim(&figures(140, 150, 160)), None, "there is nothing to allow for");
    }

    #[test]
    fn a_hand_is_judged_in_the_direction_in_which_it_turned_and_by_its_owner_only() {
        let tries = [
            slack(100, 150, 160, "first"),
            slack(200, 150, 130, "first"),
            slack(100, 150, 130, "second"),
            slack(100, 150, 150, "first"),
            slack(150, 150, 170, "first"),
            locked(150, 190),
        ];
        let shift = overshoot(&tries, "first").unwrap();
        assert_eq!((shift.tries, shift.mean, shift.least, shift.most), (3, um(10), um(0), um(20)));
        assert_eq!(overshoot(&tries, "second"), None);
        assert_eq!(
            shift.hand_words(LengthUnit::Mm),
            "You go 0.01 mm (0.0004 in) beyond on the way: 0.00 to 0.02 mm over 3 tries."
        );
    }

    proptest! {
        #[test]
        fn an_aim_that_is_offered_would_have_brought_every_try_into_the_set_band(
            shifts in prop::collection::vec(-40_i64..40, 3..12), below in 0_i64..40, above in 0_i64..40
        ) {
            let tries: Vec<Aimed> = shifts.iter().map(|by| locked(150, 150 + by)).collect();
            let figures = figures(150 - below, 150, 150 + above);
            let shift = lock_shift(&tries).unwrap();
            prop_assert!(shift.least <= shift.mean && shift.mean <= shift.most);
            if let Some(aim) = shift.aim(&figures) {
                for by in shifts {
                    prop_assert!(Band::set(&figures).contains(aim + um(by)));
                }
            }
        }
    }
}
