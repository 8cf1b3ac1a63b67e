//! Drift and forecast: the contract's series, what must not change them, and engines with known wear.
#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

mod intervals;
pub mod made;
mod pages;
mod sequence;
pub mod sheets;
mod simulated;

use cowlside::domain::entry::Hours;
use cowlside::domain::trend::{Break, Drift, History, Limit, Sign, Since, ValvePast};
use cowlside::domain::units::LengthUnit;
use cowlside::domain::valve::{Kind, Valve};
use made::{Made, history, mm_engine};
use proptest::prelude::*;

const EXHAUST: Valve = Valve { cylinder: 1, kind: Kind::Exhaust, number: 1 };

fn of(history: &History, valve: Valve) -> &ValvePast {
    history.valves.iter().find(|past| past.valve == valve).unwrap()
}

/// The past of 1 exhaust, of services at hours, found and left in hundredths of a millimetre.
fn past(services: &[(i64, &str, &str)]) -> ValvePast {
    let made: Vec<Made> = services
        .iter()
        .map(|&(hours, found, left)| Made::at(hours).read(EXHAUST, found, left))
        .collect();
    of(&history(&made), EXHAUST).clone()
}

fn movements(past: &ValvePast) -> Vec<f64> {
    past.series.iter().map(|moved| moved.nm / 10_000.0).collect()
}

#[test]
fn movement_is_as_found_less_the_as_left_before_it_and_setting_is_none() {
    let past = past(&[(100, "30", "30"), (200, "28", "28"), (300, "26", "30"), (400, "29", "29")]);
    assert_eq!(movements(&past), [0.0, -2.0, -4.0, -5.0]);
    assert_eq!(past.adjusted_total.nm(), 40_000);
    let drift = past.drift.unwrap();
    assert_eq!((drift.sessions, past.forecast), (4, None), "a forecast wants five");
    // By hand: hours about their mean -150 -50 50 150, movement 0 -2 -4 -5 hundredths; the slope is
    // -850 / 50000 hundredths an hour, residuals -0.3 0 0... sum of squares 0.3.
    assert!((drift.per_100_h + 17_000.0).abs() < 1e-6, "{drift:?}");
    let error = (0.3_f64 / 2.0 / 50_000.0).sqrt() * 10_000.0 * 100.0;
    assert!((drift.high - drift.low - 2.0 * 4.302_652_729_911_275 * error).abs() < 1e-6);
    // Slopes of pairs: -2 -2 -5/3 -2 -1.5 -1.
    assert!((drift.robust + (2.0 + 5.0 / 3.0) / 2.0 * 10_000.0).abs() < 1e-6, "{drift:?}");
}

#[test]
fn under_three_services_there_are_points_only() {
    let two = past(&[(100, "30", "30"), (200, "28", "28")]);
    assert_eq!((two.drift, two.forecast, two.points.len()), (None, None, 2));
    let same_hours = past(&[(100, "30", "30"), (100, "28", "28"), (100, "29", "29")]);
    assert_eq!(same_hours.drift, None);
}

#[test]
fn a_missing_or_open_ended_figure_ends_the_series_and_the_next_with_both_begins_one() {
    for (found, left) in
        [("12/", "30"), ("/4", "30"), ("0", "30"), ("30", "12/"), ("", "30"), ("30", "")]
    {
        let broken = past(&[
            (100, "30", "30"),
            (200, "28", "28"),
            (300, "27", "27"),
            (400, found, left),
            (500, "26", "26"),
            (600, "25", "25"),
        ]);
        assert_eq!(movements(&broken), [0.0, -1.0], "{found} {left}");
        assert_eq!(broken.points[3].starts, Some(Break::NoFigure));
        assert_eq!(broken.points.len(), 6, "the point is shown all the same");
    }
    // Where it is the last one, the drift is that of the series that it ended; from where the
    // valve stands now nobody knows, so there is no forecast.
    let ended = past(&[
        (100, "30", "30"),
        (200, "28", "28"),
        (300, "26", "26"),
        (400, "24", "24"),
        (500, "22", "22"),
        (600, "20", "40/"),
    ]);
    assert_eq!((movements(&ended).len(), ended.forecast), (5, None));
    assert!(ended.drift.unwrap().high < 0.0);
}

#[test]
fn work_on_the_cylinder_and_hot_after_cold_begin_a_new_series_with_that_service() {
    let services = |change: fn(Made) -> Made| {
        let made: Vec<Made> = (1..=6)
            .map(|n| Made::at(100 * n).read(EXHAUST, &(31 - n).to_string(), &(31 - n).to_string()))
            .enumerate()
            .map(|(n, made)| if n >= 3 { change(made) } else { made })
            .collect();
        of(&history(&made), EXHAUST).clone()
    };
    let hot = services(Made::hot);
    assert_eq!(
        (movements(&hot), hot.points[3].starts),
        (vec![0.0, -1.0, -2.0], Some(Break::HotCold))
    );
    // One gauged warm stands for itself: what comes after it begins anew, too.
    let mut made: Vec<Made> =
        (1..=5).map(|n| Made::at(100 * n).read(EXHAUST, "30", "30")).collect();
    made[2] = made[2].clone().warm();
    let warm = of(&history(&made), EXHAUST).clone();
    assert_eq!(warm.series.len(), 2);
    assert_eq!([2, 3, 4].map(|n: usize| warm.points[n].starts.is_some()), [true, true, false]);
    let mut made: Vec<Made> =
        (1..=5).map(|n| Made::at(100 * n).read(EXHAUST, "30", "30")).collect();
    made[2] = made[2].clone().worked(1, "valve and seat");
    let worked = of(&history(&made), EXHAUST).clone();
    assert_eq!((worked.series.len(), worked.points[2].starts), (3, Some(Break::Work)));
    made[2] = Made::at(300).read(EXHAUST, "30", "30").worked(2, "valve and seat");
    assert_eq!(of(&history(&made), EXHAUST).series.len(), 5, "another cylinder's work is none");
}

#[test]
fn a_service_that_did_not_concern_the_cylinder_or_has_not_come_to_it_leaves_the_series_whole() {
    let mut made: Vec<Made> =
        (1..=4).map(|n| Made::at(100 * n).read(EXHAUST, "30", "30")).collect();
    made.insert(2, Made::at(250).read(Valve { cylinder: 2, ..EXHAUST }, "30", "30").scope(&[2]));
    made.push(Made::at(450).read(Valve { cylinder: 2, ..EXHAUST }, "30", "30").open());
    let past = of(&history(&made), EXHAUST).clone();
    assert_eq!((past.points.len(), past.series.len()), (4, 4));
    // One that passed it over says so: there the figures end.
    made.push(Made::at(500).read(Valve { cylinder: 2, ..EXHAUST }, "30", "30"));
    let past = of(&history(&made), EXHAUST).clone();
    assert_eq!((past.points.len(), past.points[4].starts), (5, Some(Break::NoFigure)));
}

#[test]
fn the_forecast_counts_from_the_last_service_to_the_limit_that_the_valve_drifts_to() {
    // Exactly a hundredth in 100 h: the interval has no width.
    let closing: Vec<(i64, String)> = (0..5).map(|n| (100 * n, (30 - n).to_string())).collect();
    let read = |steps: &[(i64, String)]| {
        past(&steps.iter().map(|(h, f)| (*h, f.as_str(), f.as_str())).collect::<Vec<_>>())
    };
    let past_closing = read(&closing);
    let forecast = past_closing.forecast.unwrap();
    // Left at 0.26, least 0.20 (made engine): six hundredths.
    assert_eq!(forecast.limit, Limit::Least);
    assert!((forecast.likely - 600.0).abs() < 1e-6 && (forecast.soonest - 600.0).abs() < 1e-6);
    let opening: Vec<(i64, String)> = (0..5).map(|n| (100 * n, (30 + n).to_string())).collect();
    let forecast = read(&opening).forecast.unwrap();
    assert_eq!(forecast.limit, Limit::Most);
    assert!((forecast.likely - 600.0).abs() < 1e-6);
    // Beyond the limit already: now, not in the past.
    let beyond: Vec<(i64, String)> = (0..5).map(|n| (100 * n, (22 - n).to_string())).collect();
    let forecast = read(&beyond).forecast.unwrap();
    assert_eq!((forecast.likely, forecast.soonest), (0.0, 0.0));
    // One that may stand still has none.
    let still = past(&[
        (0, "30", "30"),
        (100, "31", "31"),
        (200, "30", "30"),
        (300, "31", "31"),
        (400, "30", "30"),
    ]);
    assert!(still.drift.unwrap().spans_nought() && still.forecast.is_none());
}

#[test]
fn the_cautious_end_comes_sooner_than_the_likely_one() {
    let past = past(&[
        (0, "30", "30"),
        (100, "29", "29"),
        (200, "27", "27"),
        (300, "27", "27"),
        (400, "25", "25"),
        (500, "25", "25"),
    ]);
    let (drift, forecast) = (past.drift.unwrap(), past.forecast.unwrap());
    assert!(forecast.soonest < forecast.likely && forecast.soonest > 0.0, "{forecast:?}");
    assert!((forecast.soonest * drift.low / 100.0 + 50_000.0).abs() < 1e-3, "0.25 down to 0.20");
}

#[test]
fn corrections_the_same_way_are_counted_and_one_the_other_way_ends_the_row() {
    let same_way = |services: &[(i64, &str, &str)]| {
        past(services).signs.into_iter().find_map(|sign| match sign {
            Sign::SameWay { times, total } => Some((times, total.nm() / 10_000)),
            Sign::ClosingExhaust | Sign::Early(_) | Sign::Step { .. } | Sign::Odd(_) => None,
        })
    };
    let twice = [(400, "27", "30"), (500, "30", "30"), (600, "26", "30")];
    assert_eq!(same_way(&twice), Some((2, 7)));
    assert_eq!(same_way(&twice[..2]), None);
    let turned = [(300, "27", "30"), (400, "33", "30"), (600, "26", "30"), (700, "27", "30")];
    assert_eq!(same_way(&turned), Some((2, 7)));
}

#[test]
fn early_movement_is_told_from_the_steady_trend_after_it() {
    let early = |services: &[(i64, &str, &str)]| {
        past(services).signs.into_iter().find_map(|sign| match sign {
            Sign::Early(early) => Some(early),
            Sign::ClosingExhaust | Sign::SameWay { .. } | Sign::Step { .. } | Sign::Odd(_) => None,
        })
    };
    let bedding = [
        (10, "40", "40"),
        (60, "35", "35"),
        (110, "30", "30"),
        (210, "30", "30"),
        (310, "29", "29"),
        (410, "29", "29"),
    ];
    let found = early(&bedding).unwrap();
    assert_eq!((found.since, found.until, found.over), (Since::New, 125.0, 100.0));
    assert!(found.settled() && (found.moved + 100_000.0).abs() < 1e-6, "{found:?}");
    assert_eq!(early(&bedding[..3]).unwrap().rest, None);
    let steady = [
        (10, "30", "30"),
        (110, "29", "29"),
        (210, "28", "28"),
        (310, "27", "27"),
        (410, "26", "26"),
    ];
    assert!(!early(&steady).unwrap().settled());
    assert_eq!(early(&steady[2..]), None, "an engine that was run in long ago");
}

#[test]
fn a_sudden_step_stands_out_and_what_the_readings_allow_does_not() {
    let stepped = |last: &str| {
        let mut services = vec![
            (100, "30", "30"),
            (200, "29", "29"),
            (300, "29", "29"),
            (400, "28", "28"),
            (500, "28", "28"),
        ];
        services.push((600, last, last));
        past(&services).signs.iter().any(|sign| matches!(sign, Sign::Step { .. }))
    };
    assert!(stepped("20") && stepped("36"));
    assert!(!stepped("27") && !stepped("28"));
}

#[test]
fn from_five_services_on_the_one_unlike_its_siblings_is_named() {
    let engine = |services: i64, odd: &[u8]| -> Vec<Made> {
        (0..services)
            .map(|n| {
                mm_engine().valves().into_iter().fold(Made::at(100 * n), |made, valve| {
                    let step =
                        if odd.contains(&valve.cylinder) { 3 } else { i64::from(n % 2 == 0) };
                    let figure = (40 - if odd.contains(&valve.cylinder) { step * n } else { step })
                        .to_string();
                    made.read(valve, &figure, &figure)
                })
            })
            .collect()
    };
    let odd = |history: &History| {
        let mut odd: Vec<String> = Vec::new();
        for past in &history.valves {
            let is_odd = past.signs.iter().any(|sign| matches!(sign, Sign::Odd(_)));
            odd.extend(is_odd.then(|| past.valve.to_string()));
        }
        odd
    };
    let six = history(&engine(6, &[2]));
    assert_eq!(odd(&six), ["2 intake", "2 exhaust"]);
    assert_eq!(six.odd_cylinders.iter().map(|odd| odd.which).collect::<Vec<_>>(), [2]);
    assert_eq!(odd(&history(&engine(4, &[2]))), Vec::<String>::new(), "four services tell nothing");
    let even = history(&engine(6, &[]));
    assert_eq!((odd(&even), even.odd_cylinders.len()), (vec![], 0));
}

#[test]
fn scatter_is_what_two_readings_differ_by_with_nothing_touched_between() {
    let made = [Made::at(100).read(EXHAUST, "30", "30").again(EXHAUST, &[10_000, -10_000])];
    let scatter = of(&history(&made), EXHAUST).scatter.unwrap();
    assert_eq!((scatter.pairs, scatter.widest.nm()), (2, 10_000));
    // Two readings in each difference: 0.01 / √2.
    assert!((scatter.deviation - 10_000.0 / 2.0_f64.sqrt()).abs() < 1e-9);
}

/// Figures of one valve at rising hours: as found, and what it was set to where it was set.
fn any_past() -> impl Strategy<Value = Vec<(i64, i64, Option<i64>)>> {
    proptest::collection::vec((1..30_000_i64, 10..60_i64, proptest::option::of(10..60_i64)), 3..12)
        .prop_map(|mut steps| {
            let mut hours = 0;
            for step in &mut steps {
                hours += step.0;
                step.0 = hours;
            }
            steps
        })
}

fn from_steps(steps: &[(i64, i64, Option<i64>)], more_hours: i64) -> Vec<Made> {
    let one = |&(hours, found, set): &(i64, i64, Option<i64>)| {
        let left = set.unwrap_or(found).to_string();
        let made = Made::at_hundredths(hours + more_hours).read(EXHAUST, &found.to_string(), &left);
        if set.is_some() { made.touched(EXHAUST) } else { made }
    };
    steps.iter().map(one).collect()
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-9 * one.abs().max(other.abs()) + 1e-3
}

fn same(one: Option<Drift>, other: Option<Drift>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => {
            near(one.per_100_h, other.per_100_h)
                && near(one.low, other.low)
                && near(one.high, other.high)
                && near(one.robust, other.robust)
        }
        (one, other) => one == other,
    }
}

proptest! {
    #![proptest_config(crate::seeded::config(256))]

    #[test]
    fn a_constant_added_to_all_hours_changes_no_drift(steps in any_past(), more in 0..90_000_000_i64) {
        let (one, other) = (history(&from_steps(&steps, 0)), history(&from_steps(&steps, more)));
        prop_assert!(same(of(&one, EXHAUST).drift, of(&other, EXHAUST).drift));
    }

    #[test]
    fn an_adjustment_that_changed_nothing_splits_nothing(steps in any_past(), at in any::<prop::sample::Index>()) {
        let mut split = from_steps(&steps, 0);
        let at = at.index(split.len());
        split[at] = split[at].clone().touched(EXHAUST);
        let (one, other) = (history(&from_steps(&steps, 0)), history(&split));
        prop_assert_eq!(of(&one, EXHAUST).drift, of(&other, EXHAUST).drift);
        prop_assert_eq!(of(&one, EXHAUST).adjusted_total, of(&other, EXHAUST).adjusted_total);
    }

    #[test]
    fn the_unit_that_is_shown_changes_no_drift(steps in any_past()) {
        let made = from_steps(&steps, 0);
        let inches: Vec<Made> = made.iter().cloned().map(|made| made.unit(LengthUnit::Inch)).collect();
        let documents = [history(&made), history(&inches)].map(|h| cowlside::report::history_json::history_json(&h));
        let figure = |n: usize, name: &str| documents[n]["valves"][1]["drift"][name].as_f64().unwrap();
        for name in ["per_100_h", "low", "high", "robust_per_100_h"] {
            let (mm, inch) = (figure(0, name), figure(1, name) * 25.4);
            prop_assert!((mm - inch).abs() <= 1e-9 * mm.abs().max(1e-6), "{name}: {mm} {inch}");
        }
    }

    #[test]
    fn the_forecast_is_never_in_the_past_and_its_cautious_end_never_later(steps in any_past()) {
        let past = of(&history(&from_steps(&steps, 0)), EXHAUST).clone();
        if let Some(forecast) = past.forecast {
            prop_assert!(forecast.soonest >= 0.0 && forecast.soonest <= forecast.likely);
        }
        prop_assert!(past.drift.is_none_or(|d| d.low <= d.per_100_h && d.per_100_h <= d.high));
    }

    #[test]
    fn services_are_put_in_order_whatever_the_order_they_come_in(steps in any_past()) {
        let made = from_steps(&steps, 0);
        let mut turned = made.clone();
        turned.reverse();
        prop_assert_eq!(history(&made), history(&turned));
    }
}

#[test]
fn hours_now_are_the_engines_or_those_of_its_last_service() {
    let made = [Made::at(100).read(EXHAUST, "30", "30")];
    let services: Vec<_> = made.iter().map(|made| made.service.clone()).collect();
    let hours = |now| History::of(&services, Hours(now)).unwrap().hours;
    assert_eq!((hours(0), hours(20_000)), (Hours(10_000), Hours(20_000)));
    assert_eq!(History::of(&[], Hours(5)), None);
}
