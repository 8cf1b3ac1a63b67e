//! When a warm engine will be cool enough: Newton's law of cooling from two temperatures and the air's.
//!
//! Always an estimate: an engine is not one lump, and wind and sun change. The clock comes in with
//! the readings; nothing here knows the time.

use super::entry::Moment;
use super::units::Temperature;

/// Two temperatures nearer together than this, minutes, tell nothing: a thermometer's own error of
/// a degree would be most of the difference.
pub const APART_MIN: f64 = 5.0;

/// Longest wait that is told, minutes: beyond a day the estimate is worth nothing.
const WAIT_MAX: f64 = 1440.0;

/// Linear expansion at room temperature, millionths per °C and per °F (check-values 8.1, a materials
/// textbook's table B.6).
pub const EXPANSION: [(&str, f64, f64); 10] = [
    ("steel 1020", 11.7, 6.5),
    ("steel 4140, 4340", 12.3, 6.8),
    ("stainless 304", 17.2, 9.6),
    ("gray iron", 11.4, 6.3),
    ("ductile iron, least", 10.6, 5.9),
    ("ductile iron, most", 11.2, 6.2),
    ("aluminium 356.0 cast", 21.5, 11.9),
    ("aluminium 2024", 22.9, 12.7),
    ("aluminium 6061", 23.6, 13.1),
    ("aluminium 7075", 23.4, 13.0),
];

/// Returns by how much 100 mm of aluminium (6061) outgrow 100 mm of steel (1020) over so many
/// degrees Celsius, millimetres: the size of what warmth does to a clearance, whichever its sign.
pub fn worth_mm(degrees: f64) -> f64 {
    const ALUMINIUM_LESS_STEEL: f64 = 23.6 - 11.7;
    100.0 * ALUMINIUM_LESS_STEEL * 1e-6 * degrees
}

/// A head temperature and when it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    /// When.
    pub at: Moment,
    /// How warm.
    pub head: Temperature,
}

/// An estimate of when the head is cool enough.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Part of the difference to the air that is lost, per minute.
    pub k: f64,
    /// Minutes after the second reading.
    pub minutes: f64,
    /// The clock time.
    pub at: Moment,
}

/// Why there is no estimate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoEstimate {
    /// The two readings are too near in time.
    TooSoon,
    /// It did not cool between them.
    NotCooling,
    /// The air is not cooler than the limit: it never gets there.
    AirTooWarm,
    /// It would take more than a day.
    TooLong,
}

impl NoEstimate {
    /// Says why.
    pub fn words(self) -> &'static str {
        match self {
            NoEstimate::TooSoon => "the two temperatures are less than 5 minutes apart",
            NoEstimate::NotCooling => "it did not get cooler between the two temperatures",
            NoEstimate::AirTooWarm => "the air is not cooler than the limit",
            NoEstimate::TooLong => "it would take more than a day",
        }
    }
}

fn degrees(temperature: Temperature) -> f64 {
    f64::from(temperature.0) / 1000.0
}

/// Returns the cooling rate, per minute, of something that went from one temperature to another in
/// so many minutes in air of a third, all in the same degrees: `ln((from - air)/(to - air)) / minutes`.
/// `None` where it did not cool towards the air.
pub fn rate(from: f64, to: f64, air: f64, minutes: f64) -> Option<f64> {
    let (before, after) = (from - air, to - air);
    (before > after && after > 0.0 && minutes > 0.0).then(|| libm::log(before / after) / minutes)
}

/// Returns the minutes that it takes from one temperature to another at a rate; `None` where it
/// never gets there.
pub fn minutes_to(from: f64, to: f64, air: f64, rate: f64) -> Option<f64> {
    (to > air && rate > 0.0).then(|| (libm::log((from - air) / (to - air)) / rate).max(0.0))
}

/// Estimates when the head is at the limit.
///
/// # Errors
/// Why nothing can be told.
pub fn estimate(
    first: Reading,
    second: Reading,
    air: Temperature,
    limit: Temperature,
) -> Result<Estimate, NoEstimate> {
    let between = (second.at.unix_ms - first.at.unix_ms) as f64 / 60_000.0;
    if between < APART_MIN {
        return Err(NoEstimate::TooSoon);
    }
    let (one, two, air) = (degrees(first.head), degrees(second.head), degrees(air));
    if air >= degrees(limit) {
        return Err(NoEstimate::AirTooWarm);
    }
    let k = rate(one, two, air, between).ok_or(NoEstimate::NotCooling)?;
    let minutes = minutes_to(two, degrees(limit), air, k).ok_or(NoEstimate::AirTooWarm)?;
    if minutes > WAIT_MAX {
        return Err(NoEstimate::TooLong);
    }
    let wait_ms = (minutes * 60_000.0).ceil() as i64;
    let at = Moment { unix_ms: second.at.unix_ms + wait_ms, ..second.at };
    Ok(Estimate { k, minutes, at })
}

/// Writes the clock time of a moment where it was read: "14:05", never earlier than it is.
pub fn clock(at: Moment) -> String {
    let minutes = (at.unix_ms + 59_999).div_euclid(60_000) + i64::from(at.offset_min);
    let of_day = minutes.rem_euclid(1440);
    format!("{:02}:{:02}", of_day / 60, of_day % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn celsius(degrees: i32) -> Temperature {
        Temperature(degrees * 1000)
    }

    fn reading(minute: i64, degrees: i32) -> Reading {
        let at = Moment { unix_ms: 36_000_000 + minute * 60_000, offset_min: 60 };
        Reading { at, head: celsius(degrees) }
    }

    #[test]
    fn published_examples_of_cooling_come_out() {
        // check-values 8.3: 95 to 61 °C in 30 min in 20 °C; the page prints 0.02, exact 0.02013.
        assert_eq!(format!("{:.5}", rate(95.0, 61.0, 20.0, 30.0).unwrap()), "0.02013");
        // The same: 90 to 60 °C in 1 min in 25 °C, on to 40 °C from the start 2.369 min (derived).
        let k = rate(90.0, 60.0, 25.0, 1.0).unwrap();
        assert_eq!(format!("{:.3}", minutes_to(90.0, 40.0, 25.0, k).unwrap()), "2.369");
    }

    #[test]
    fn an_engine_at_90_that_is_at_60_after_an_hour_is_below_35_after_165_minutes() {
        // check-values 8.5 (derived): air 20 °C, k = 0.00933 per minute, 165 min in all.
        let got = estimate(reading(0, 90), reading(60, 60), celsius(20), celsius(35)).unwrap();
        assert_eq!(format!("{:.5}", got.k), "0.00933");
        assert_eq!((60.0 + got.minutes).round(), 165.0);
        // The first was read at 11:00 local time.
        assert_eq!(clock(reading(0, 90).at), "11:00");
        // 165.3 minutes: a clock that shows whole minutes says the next one.
        assert_eq!(clock(got.at), "13:46");
    }

    #[test]
    fn what_tells_nothing_says_why() {
        let (air, limit) = (celsius(20), celsius(35));
        for (first, second, air, why) in [
            (reading(0, 90), reading(4, 85), air, NoEstimate::TooSoon),
            (reading(0, 90), reading(-60, 60), air, NoEstimate::TooSoon),
            (reading(0, 60), reading(30, 60), air, NoEstimate::NotCooling),
            (reading(0, 60), reading(30, 65), air, NoEstimate::NotCooling),
            (reading(0, 60), reading(30, 19), air, NoEstimate::NotCooling),
            (reading(0, 60), reading(30, 50), limit, NoEstimate::AirTooWarm),
            (reading(0, 3_000), reading(30, 2_999), air, NoEstimate::TooLong),
        ] {
            assert_eq!(estimate(first, second, air, limit), Err(why));
            assert!(!why.words().is_empty());
        }
        // Cool enough already: no wait.
        let now = estimate(reading(0, 60), reading(30, 30), air, limit).unwrap();
        assert_eq!(now.minutes, 0.0);
    }

    #[test]
    fn each_pair_of_expansions_is_one_figure_in_two_units() {
        for (metal, celsius, fahrenheit) in EXPANSION {
            let (low, high) = (1.8 * (fahrenheit - 0.05), 1.8 * (fahrenheit + 0.05));
            assert!((low - 0.05..=high + 0.05).contains(&celsius), "{metal}");
        }
    }

    #[test]
    fn ten_degrees_on_a_decimetre_of_aluminium_and_steel_are_a_hundredth() {
        // check-values 8.2 (derived): +0.0119 mm per 10 °C and +0.071 mm per 60 °C.
        assert_eq!(format!("{:.4}", worth_mm(10.0)), "0.0119");
        assert_eq!(format!("{:.3}", worth_mm(60.0)), "0.071");
    }
}
