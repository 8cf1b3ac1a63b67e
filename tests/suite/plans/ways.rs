//! Few stops and less walking, judged by trying everything, and by a table over all sets of stops.
//!
//! Shares the model of crank and cams with the default plan's tests, and no code with the planner.

use super::engines::{bank, checked};
use super::model::Model;
use super::random::{cases, engines_of};
use cowlside::domain::plan::{Plan, PlanChoice, PlanRefusal, Rest, Stop, plan, plan_rest};
use cowlside::domain::profile::{EngineProfile, Facts};
use cowlside::domain::valve::{Cylinder, Valve};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Two angles or margins are equal within this many degrees (contract, section 3).
const EQUAL: f64 = 0.001;

fn forward(from: f64, to: f64) -> f64 {
    let on = (to - from).rem_euclid(720.0);
    if on > 720.0 - 1e-6 { 0.0 } else { on }
}

fn turned(angles: &[f64]) -> f64 {
    angles.windows(2).map(|pair| forward(pair[0], pair[1])).sum()
}

fn gauges(stop: &Stop, cylinder: Cylinder) -> bool {
    stop.gauge.iter().any(|gauge| gauge.valve.cylinder == cylinder)
}

/// What every plan of any choice has to be, however it was found.
fn sound(
    model: &Model,
    choice: &PlanChoice,
    rest: Option<&Rest>,
    plan: &Plan,
) -> Result<(), String> {
    let crank = rest.map(|rest| rest.crank);
    let mut gauged: Vec<Valve> =
        plan.stops.iter().flat_map(|stop| &stop.gauge).map(|gauge| gauge.valve).collect();
    gauged.sort();
    let mut all = model.valves().to_vec();
    all.sort();
    (gauged == all).then_some(()).ok_or("not every valve exactly once")?;
    let mut turns = 0.0;
    for (place, stop) in plan.stops.iter().enumerate() {
        let at = stop.crank.ok_or("no angle")?;
        let stands = forward(model.overlap_at(stop.watch) + f64::from(stop.then_turn), at);
        (stands.min(720.0 - stands) < 1e-6).then_some(()).ok_or("not where it says")?;
        for gauge in &stop.gauge {
            let margin = model.margin(gauge.valve, at);
            let told = gauge.margin.ok_or("no margin")?;
            ((margin - told).abs() < 1e-6).then_some(()).ok_or("not the margin")?;
            (margin > model.required(choice) - 0.0011).then_some(()).ok_or("too near")?;
        }
        let before = match place.checked_sub(1) {
            Some(before) => plan.stops[before].crank,
            None => crank,
        };
        let turn = before.map_or(0.0, |before| forward(before, at));
        ((turn - stop.turn.ok_or("no turn")?).abs() < 1e-6).then_some(()).ok_or("not the turn")?;
        turns += turn;
    }
    ((plan.turned.ok_or("no sum")? - turns).abs() < 1e-6).then_some(()).ok_or("not the sum")?;
    let to_first = rest.is_some_and(|rest| {
        plan.stops.first().is_some_and(|first| !model.same_side(rest.at, first.watch))
    });
    if plan.side_changes != model.side_changes(plan) + u32::from(to_first) {
        return Err(format!("{} changes of side?", plan.side_changes));
    }
    let begins = choice.from.is_none_or(|from| gauges(&plan.stops[0], from));
    begins.then_some(()).ok_or_else(|| "begins elsewhere".to_string())
}

/// Each valve stands where its margin is largest, on a tie at the earlier stop.
fn best_placed(model: &Model, plan: &Plan) -> Result<(), String> {
    for (place, stop) in plan.stops.iter().enumerate() {
        for gauge in &stop.gauge {
            let here = model.margin(gauge.valve, stop.crank.unwrap());
            for (other, elsewhere) in plan.stops.iter().enumerate() {
                let there = model.margin(gauge.valve, elsewhere.crank.unwrap());
                if there > here + EQUAL || (other < place && there > here - EQUAL / 2.0) {
                    return Err(format!(
                        "{} would stand better at stop {}",
                        gauge.valve,
                        other + 1
                    ));
                }
            }
        }
    }
    Ok(())
}

/// The best that any set of positions can be: stops, worst margin, degrees turned.
struct Best {
    stops: usize,
    worst: f64,
    turned: f64,
}

/// Tries every set of positions with one stop, two, three ...; `None` where none serves.
fn by_trying(model: &Model, choice: &PlanChoice, crank: Option<f64>) -> Option<Best> {
    let mut places: Vec<f64> = Vec::new();
    for (_, _, at) in model.positions() {
        let same = |known: &f64| forward(*known, at).min(forward(at, *known)) < EQUAL;
        if !places.iter().any(same) {
            places.push(at);
        }
    }
    places.sort_by(f64::total_cmp);
    let required = model.required(choice);
    for size in 1..=places.len() {
        let mut found: Vec<(f64, f64)> = Vec::new();
        for set in subsets(places.len(), size) {
            let angles: Vec<f64> = set.iter().map(|&place| places[place]).collect();
            let best_of = |valve: &Valve| {
                angles.iter().map(|&at| model.margin(*valve, at)).fold(f64::MIN, f64::max)
            };
            let worst = model.valves().iter().map(best_of).fold(f64::MAX, f64::min);
            if worst < required - EQUAL {
                continue;
            }
            for start in 0..size {
                let mut way = angles.clone();
                way.rotate_left(start);
                let left_to_first = |valve: &&Valve| {
                    let here = model.margin(**valve, way[0]);
                    way.iter().all(|&there| model.margin(**valve, there) <= here + EQUAL)
                };
                let begins = choice.from.is_none_or(|from| {
                    model.valves().iter().filter(|v| v.cylinder == from).any(|v| left_to_first(&v))
                });
                if begins {
                    let to_first = crank.map_or(0.0, |crank| forward(crank, way[0]));
                    found.push((worst, to_first + turned(&way)));
                }
            }
        }
        let Some(worst) = found.iter().map(|(worst, _)| *worst).max_by(f64::total_cmp) else {
            continue;
        };
        let least = found.iter().filter(|(margin, _)| *margin > worst - EQUAL);
        let turned = least.map(|(_, turned)| *turned).fold(f64::MAX, f64::min);
        return Some(Best { stops: size, worst, turned });
    }
    None
}

fn subsets(of: usize, size: usize) -> Vec<Vec<usize>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    let mut sets = Vec::new();
    for last in size - 1..of {
        for mut set in subsets(last, size - 1) {
            set.push(last);
            sets.push(set);
        }
    }
    sets
}

fn judge_few(
    model: &Model,
    choice: &PlanChoice,
    rest: Option<&Rest>,
    answer: Result<Plan, PlanRefusal>,
) -> Result<(), String> {
    let best = by_trying(model, choice, rest.map(|rest| rest.crank));
    match (answer, best) {
        (Ok(plan), Some(best)) => {
            sound(model, choice, rest, &plan)?;
            best_placed(model, &plan)?;
            let worst = plan.stops.iter().filter_map(|stop| stop.margin).fold(f64::MAX, f64::min);
            let told = (plan.stops.len(), worst, plan.turned.unwrap());
            let Best { stops, worst, turned } = best;
            let same = told.0 == stops
                && (told.1 - worst).abs() < 0.0011
                && (told.2 - turned).abs() < 0.0011;
            same.then_some(()).ok_or_else(|| format!("{told:?}, but {:?}", (stops, worst, turned)))
        }
        (Err(PlanRefusal::BelowEverywhere { valve, margin, required }), None) => {
            let best = |valve: Valve| {
                let there = model.positions();
                there.iter().map(|(_, _, at)| model.margin(valve, *at)).fold(f64::MIN, f64::max)
            };
            let named = (best(valve) - margin).abs() < 1e-6 && margin < required;
            let worst = model.valves().iter().all(|&other| best(other) > margin - 1e-6);
            (named && worst).then_some(()).ok_or_else(|| format!("{valve}: {margin}"))
        }
        (answer, best) => Err(format!("{answer:?}, but {} is possible", best.is_some())),
    }
}

fn side(facts: &Facts, cylinder: Cylinder) -> usize {
    facts.layout.banks.iter().position(|bank| bank.cylinders.contains(&cylinder)).unwrap()
}

/// Sides on which each stop begins and ends.
fn sides(facts: &Facts, stop: &Stop) -> (usize, usize) {
    let mut walked = vec![side(facts, stop.watch)];
    for gauge in &stop.gauge {
        let side = side(facts, gauge.valve.cylinder);
        if !walked.contains(&side) {
            walked.push(side);
        }
    }
    (walked[0], *walked.last().unwrap())
}

/// The least (changes of side between stops, degrees) of any order: the cheapest way through each
/// set of stops that ends at each of them.
fn by_table(
    facts: &Facts,
    stops: &[Stop],
    from: Option<Cylinder>,
    rest: Option<&Rest>,
) -> (u32, f64) {
    let n = stops.len();
    let ends: Vec<(usize, usize)> = stops.iter().map(|stop| sides(facts, stop)).collect();
    let at: Vec<f64> = stops.iter().map(|stop| stop.crank.unwrap()).collect();
    let mut table: Vec<Option<(u32, f64)>> = vec![None; (1 << n) * n];
    for first in 0..n {
        if from.is_none_or(|from| gauges(&stops[first], from)) {
            let here = rest.map(|rest| side(facts, rest.at));
            let changes = u32::from(here.is_some_and(|here| here != ends[first].0));
            let turned = rest.map_or(0.0, |rest| forward(rest.crank, at[first]));
            table[(1 << first) * n + first] = Some((changes, turned));
        }
    }
    for set in 1usize..1 << n {
        for last in 0..n {
            let Some((changes, turned)) = table[set * n + last] else { continue };
            for next in (0..n).filter(|next| set & (1 << next) == 0) {
                let cost = (
                    changes + u32::from(ends[last].1 != ends[next].0),
                    turned + forward(at[last], at[next]),
                );
                let known = &mut table[(set | 1 << next) * n + next];
                let better = known.is_none_or(|(changes, turned)| {
                    cost.0 < changes || (cost.0 == changes && cost.1 < turned - 1e-9)
                });
                if better {
                    *known = Some(cost);
                }
            }
        }
    }
    let whole = ((1 << n) - 1) * n;
    let ends = table[whole..whole + n].iter().flatten().copied();
    ends.min_by(|one, two| one.0.cmp(&two.0).then(one.1.total_cmp(&two.1))).unwrap()
}

fn judge_walk(
    model: &Model,
    choice: &PlanChoice,
    rest: Option<&Rest>,
    profile: &EngineProfile,
) -> Result<(), String> {
    let made = |choice: &PlanChoice| match rest {
        Some(rest) => plan_rest(profile, choice, rest),
        None => plan(profile, choice),
    };
    let running = made(&PlanChoice { less_walking: false, ..*choice });
    let (running, walked) = match (running, made(choice)) {
        (Ok(running), Ok(walked)) => (running, walked),
        (Err(_), Err(_)) => return Ok(()),
        (running, walked) => return Err(format!("{running:?}, but {walked:?}")),
    };
    sound(model, choice, rest, &walked)?;
    let place = |stop: &Stop| {
        (stop.watch, stop.then_turn, stop.gauge.iter().map(|g| g.valve).collect::<Vec<_>>())
    };
    let [mut before, mut after] =
        [&running, &walked].map(|plan| plan.stops.iter().map(place).collect::<Vec<_>>());
    before.sort();
    after.sort();
    (before == after).then_some(()).ok_or("other stops")?;
    let alone = |stop: &Stop| Plan { stops: vec![stop.clone()], ..running.clone() };
    let within: u32 = running.stops.iter().map(|stop| model.side_changes(&alone(stop))).sum();
    let (changes, turned) = by_table(profile, &running.stops, choice.from, rest);
    let told = (walked.side_changes - within, walked.turned.unwrap());
    let same = told.0 == changes && (told.1 - turned).abs() < 0.0011;
    same.then_some(()).ok_or_else(|| format!("{told:?}, but {:?}", (changes, turned)))
}

fn choices() -> impl Strategy<Value = (Option<prop::sample::Index>, Option<f64>)> {
    let from = prop::option::of(any::<prop::sample::Index>());
    (from, prop::option::of((0u8..140).prop_map(f64::from)))
}

proptest! {
    #![proptest_config(crate::seeded::config(cases(600)))]

    #[test]
    fn few_stops_are_as_few_as_trying_every_set_finds(
        engine in engines_of(1..=5), (from, margin) in choices(),
    ) {
        let from = from.map(|index| *index.get(&engine.firing_order));
        let choice = PlanChoice { from, margin, few_stops: true, less_walking: false };
        let (model, profile) = (Model::of(&engine), checked(engine));
        let answer = plan(&profile, &choice);
        if let Err(wrong) = judge_few(&model, &choice, None, answer.clone()) {
            prop_assert!(false, "{wrong}\n{answer:#?}");
        }
    }

    #[test]
    fn the_rest_is_planned_as_well_from_where_the_crank_stands(
        engine in engines_of(1..=6), (at, margin) in choices(), crank in 0.0f64..720.0,
        left in any::<u64>(), few in any::<bool>(), walk in any::<bool>(),
    ) {
        let at = at.map_or(1, |index| *index.get(&engine.firing_order));
        let choice = PlanChoice { from: None, margin, few_stops: few, less_walking: walk };
        let (mut model, profile) = (Model::of(&engine), checked(engine));
        let kept = |valve: &Valve| {
            let place = profile.valves().iter().position(|known| known == valve).unwrap();
            left & (1 << (place % 64)) != 0
        };
        let valves: BTreeSet<Valve> = profile.valves().into_iter().filter(kept).collect();
        prop_assume!(!valves.is_empty());
        model.keep_only(|valve| valves.contains(&valve));
        let rest = Rest { valves, crank, at };
        let answer = plan_rest(&profile, &choice, &rest);
        let judged = match (walk, few, answer.clone()) {
            (true, ..) => judge_walk(&model, &choice, Some(&rest), &profile),
            (false, true, answer) if model.positions().len() <= 10 => {
                judge_few(&model, &choice, Some(&rest), answer)
            }
            (false, _, Ok(plan)) => sound(&model, &choice, Some(&rest), &plan),
            (false, _, Err(_)) => Ok(()),
        };
        if let Err(wrong) = judged {
            prop_assert!(false, "{wrong}\n{answer:#?}");
        }
    }

    #[test]
    fn less_walking_is_as_little_as_a_table_over_all_sets_finds(
        mut engine in engines_of(1..=9), (from, margin) in choices(), few in any::<bool>(),
        banks in prop::collection::vec(0usize..4, 9),
    ) {
        // Any cylinder in any of four banks: harder to walk round than an engine that was built.
        let names = ["left", "right", "third", "fourth"];
        let order = engine.firing_order.clone();
        let of = |which: usize| -> Vec<Cylinder> {
            order.iter().zip(&banks).filter(|(_, bank)| **bank == which).map(|(c, _)| *c).collect()
        };
        let rows = (0..4).map(|which| bank(names[which], None, &of(which)));
        engine.layout.banks = rows.filter(|bank| !bank.cylinders.is_empty()).collect();
        let from = from.map(|index| *index.get(&engine.firing_order));
        let choice = PlanChoice { from, margin, few_stops: few, less_walking: true };
        let (model, profile) = (Model::of(&engine), checked(engine));
        if let Err(wrong) = judge_walk(&model, &choice, None, &profile) {
            prop_assert!(false, "{wrong}\n{:#?}", plan(&profile, &choice));
        }
    }
}

proptest! {
    #![proptest_config(crate::seeded::config(cases(400)))]

    #[test]
    fn plans_of_large_engines_are_sound_in_every_mode(
        engine in engines_of(1..=28), (from, margin) in choices(), walk in any::<bool>(),
    ) {
        let from = from.map(|index| *index.get(&engine.firing_order));
        let choice = PlanChoice { from, margin, few_stops: true, less_walking: walk };
        let (model, profile) = (Model::of(&engine), checked(engine));
        if let Ok(plan) = plan(&profile, &choice) {
            let judged = sound(&model, &choice, None, &plan);
            prop_assert!(judged.is_ok(), "{judged:?}\n{plan:#?}");
        }
    }
}

#[test]
fn more_sides_than_any_engine_has_are_refused_and_never_gone_through_for_ever() {
    let order: Vec<Cylinder> = (1..=28).collect();
    let mut engine = super::engines::facts(&order, None, None);
    let rows = ["1", "2", "3", "4", "5"].iter().zip(order.chunks(6));
    engine.layout.banks = rows.map(|(name, row)| bank(name, None, row)).collect();
    let choice = PlanChoice { less_walking: true, ..PlanChoice::default() };
    let refusal = plan(&checked(engine), &choice).unwrap_err();
    assert_eq!(refusal, PlanRefusal::TooManySides { sides: 5, most: 4 });
    assert!(refusal.to_string().contains("up to 4 banks or rows"), "{refusal}");
}

#[test]
fn every_plan_of_every_shipped_profile_stands_before_the_model_in_every_mode() {
    let mut plans = 0;
    for (name, text) in cowlside::store::profiles::BUILT_IN {
        let profile = cowlside::store::profile_file::parse_profile(text, name).unwrap();
        if profile.stops.is_some() {
            continue;
        }
        let model = Model::of(&profile);
        let begins = profile.firing_order.iter().copied().map(Some).chain([None]);
        for (from, mode) in begins.flat_map(|from| (0..4).map(move |mode| (from, mode))) {
            let (few_stops, less_walking) = (mode & 1 != 0, mode & 2 != 0);
            let choice = PlanChoice { from, margin: None, few_stops, less_walking };
            let answer = plan(&profile, &choice);
            let judged = match (few_stops, less_walking) {
                (false, false) => model.judge(&choice, &answer),
                // Every set and every order of so few stops can be tried.
                (true, false) if profile.cylinders() <= 6 => {
                    judge_few(&model, &choice, None, answer)
                }
                (_, true) if profile.cylinders() <= 12 => {
                    judge_walk(&model, &choice, None, &profile)
                }
                _ => sound(&model, &choice, None, &answer.expect("a shipped profile has a plan")),
            };
            assert_eq!(judged, Ok(()), "{name} {choice:?}");
            plans += 1;
        }
    }
    println!("{plans} plans");
    assert!(plans >= 100, "{plans} plans judged");
}
