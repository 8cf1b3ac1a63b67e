//! What the interval counts from: each valve's last service that was signed or imported.

use super::made::{EXHAUST_1, Made, history, mm_engine};
use cowlside::domain::entry::Moment;
use cowlside::domain::service::{Due, Ending, Service};
use cowlside::domain::trend::{Because, History, NextCheck};

const PROFILE: Due = Due {
    interval_hours: Some(100.0),
    interval_months: Some(12),
    first_interval_hours: Some(25.0),
    chosen: None,
};

fn service(hours: i64) -> Made {
    let mut made = Made::at(hours);
    made.service.due = PROFILE;
    made
}

/// A service of all valves.
fn full(hours: i64) -> Made {
    let valves = mm_engine().valves();
    valves.into_iter().fold(service(hours), |made, valve| made.read(valve, "30", "30"))
}

/// A service of one cylinder, of which one valve is gauged.
fn of_one(hours: i64) -> Made {
    service(hours).scope(&[1]).read(EXHAUST_1, "30", "30")
}

fn unsigned(mut made: Made) -> Made {
    made.service.ending = Ending::Unsigned("called away".into());
    made
}

fn next(made: &[Made]) -> NextCheck {
    history(made).next.unwrap()
}

fn told(made: &[Made]) -> (f64, Because) {
    let next = next(made);
    (next.hours.unwrap(), next.because)
}

#[test]
fn a_service_of_one_valve_moves_nothing_for_the_others() {
    assert_eq!(told(&[full(100), of_one(150)]), (200.0, Because::Interval));
    let months = next(&[full(100), of_one(150)]).months.unwrap();
    assert_eq!(Some(months.0), full(100).service.began);
    assert_eq!(told(&[full(100), of_one(150), full(180)]), (280.0, Because::Interval));
    // Two halves make a whole, which counts from the older one.
    let valves = mm_engine().valves();
    let half = |hours, cylinders: &[u8]| {
        let of = valves.iter().filter(|valve| cylinders.contains(&valve.cylinder));
        of.fold(service(hours).scope(cylinders), |made, &valve| made.read(valve, "30", "30"))
    };
    assert_eq!(
        told(&[full(100), half(150, &[1, 2]), half(160, &[3, 4])]),
        (250.0, Because::Interval)
    );
}

#[test]
fn a_session_closed_unsigned_or_still_open_moves_nothing() {
    let some = |hours| service(hours).read(EXHAUST_1, "30", "30");
    assert_eq!(told(&[full(100), unsigned(some(150))]), (200.0, Because::Interval));
    assert_eq!(told(&[full(100), unsigned(full(150))]), (200.0, Because::Interval));
    assert_eq!(told(&[full(100), full(150).open()]), (200.0, Because::Interval));
    let months = next(&[full(100), unsigned(full(150))]).months.unwrap();
    assert_eq!(Some(months.0), full(100).service.began);
    // What an unsigned one chose was chosen by nobody.
    let mut chosen = unsigned(full(150));
    chosen.service.due.chosen = Some(cowlside::domain::entry::Hours(90_000));
    assert_eq!(told(&[full(100), chosen]), (200.0, Because::Interval));
}

#[test]
fn a_valve_that_was_never_gauged_is_due_by_the_first_interval_and_never_before_now() {
    assert_eq!(told(&[of_one(10)]), (25.0, Because::NeverGauged));
    assert_eq!(told(&[of_one(150)]), (150.0, Because::NeverGauged));
    assert_eq!(told(&[unsigned(full(150))]), (150.0, Because::NeverGauged));
    // Passed over with a reason, or left out of a table: it counts from that service.
    assert_eq!(told(&[service(150).read(EXHAUST_1, "30", "30")]), (250.0, Because::Interval));
}

#[test]
fn an_earlier_choice_holds_for_the_valves_that_were_not_gauged_since() {
    let mut first = full(100);
    first.service.due.chosen = Some(cowlside::domain::entry::Hours(16_000));
    assert_eq!(told(&[first.clone(), of_one(150)]), (160.0, Because::Mechanic));
    assert_eq!(told(&[first, full(150)]), (250.0, Because::Interval));
}

#[test]
fn the_next_check_is_never_later_than_the_soonest_that_the_sheet_tells() {
    let figures = [("30", "30"), ("28", "28"), ("27", "30"), ("28", "28"), ("26", "26")];
    let made: Vec<Made> = (1_i64..)
        .zip(figures)
        .map(|(number, (found, left))| {
            let mut made = full(50 * number).read(EXHAUST_1, found, left);
            made.service.due.interval_hours = Some(2_000.0);
            made
        })
        .collect();
    let services: Vec<Service> = made.iter().map(|made| made.service.clone()).collect();
    let history = History::of(&services, Default::default()).unwrap();
    let past = history.valves.iter().find(|past| past.valve == EXHAUST_1).unwrap();
    let forecasts = (past.forecast.unwrap().soonest, past.cautious.unwrap().soonest);
    assert!(forecasts.1 < forecasts.0 - 1.0, "the cautious one is to be sooner: {forecasts:?}");
    let next = history.next.unwrap();
    assert_eq!(next.because, Because::Forecast(EXHAUST_1));
    assert!((next.hours.unwrap() - (250.0 + forecasts.1)).abs() < 1e-9, "{next:?} {forecasts:?}");
}

#[test]
fn months_are_counted_from_days_that_are_believed() {
    let doubted = |mut made: Made, unix_ms| {
        made.service.day_doubtful = true;
        made.service.began = made.service.began.map(|began| Moment { unix_ms, ..began });
        made
    };
    let day = |made: &[Made]| next(made).months.map(|(began, months)| (began.unix_ms, months));
    let good = |hours| full(hours).service.began.unwrap().unix_ms;
    // A service of one cylinder by a clock that lies takes the others' months from nobody.
    assert_eq!(day(&[full(100), doubted(of_one(150), 0)]), Some((good(100), 12)));
    // One of all whose day nobody knows counts from no day, until all were gauged since.
    assert_eq!(day(&[doubted(full(100), 0), full(180)]), Some((good(180), 12)));
    assert_eq!(day(&[doubted(full(100), 0), of_one(180)]), None);
    assert_eq!(day(&[doubted(full(100), 0)]), None);
}
