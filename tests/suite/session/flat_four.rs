//! Service A: a flat four with screws, from the first key to the signature.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use super::mechanic::{self, remark};
use cowlside::domain::entry::{Back, Begin, Entry, PartKind, Rocked, Rounds, Step};
use cowlside::domain::session::{Again, Due, Input, OpenItem, Refusal, RoundKind};
use cowlside::domain::valve::Standing;
use cowlside::domain::verdict::Verdict;
use cowlside::guide::Talk;
use cowlside::guide::status::kept_words;

/// Prepared, at the first stop: cylinder 1 is gauged while its opposite, 2, is at overlap.
fn at_first_turn() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service
}

/// The intake of 1 is in limits, the exhaust of 1 is loose and its nut slack.
fn nut_slack() -> Service {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).gauge("6").gauge("16");
    assert!(matches!(service.due(), Due::Set(valve, Verdict::Loose) if valve == exhaust(1)));
    service.tell(Input::OpenSet(exhaust(1)));
    assert_eq!(service.due(), Due::Trying(exhaust(1)));
    service
}

fn stop_of(service: &Service, cylinder: u8) -> usize {
    service.session.state.stop_gauging(cylinder).unwrap()
}

#[test]
fn a_calm_service_comes_from_the_first_key_to_the_signature() {
    let mut service = Service::new(flat_four());
    assert_eq!(service.due(), Due::Who);
    service.prepare(Rounds::SetThenRecheck, None);
    let kinds = service.session.state.rounds();
    assert_eq!(kinds, [RoundKind::Setting, RoundKind::Recheck]);
    service.sign();
    for valve in service.session.state.valves() {
        assert_eq!(service.verdict(valve), Some(Verdict::InLimits));
    }
    let readings = |step: Step| {
        let kept = service.session.kept.iter();
        kept.filter(|kept| matches!(&kept.entry, Entry::Reading(one) if one.step == step)).count()
    };
    assert_eq!((readings(Step::Found), readings(Step::Recheck)), (8, 8));
}

#[test]
fn what_is_due_is_asked_in_the_order_of_the_work() {
    let mut service = Service::new(flat_four());
    let mut asked: Vec<String> = Vec::new();
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    for kept in &service.session.kept {
        let kind = match &kept.entry {
            Entry::Head(_) | Entry::Begin(_) => continue,
            Entry::Who(_) => "who",
            Entry::Source(_) => "source",
            Entry::Caution(_) => "cautions",
            Entry::Condition(_) => "temperature",
            Entry::Leaves(_) => "leaves",
            Entry::Off(_) => "counted out",
            Entry::At(_) => "turned",
            Entry::Proof(_) => "proven",
            _ => "something else",
        };
        if asked.last().is_none_or(|last| last != kind) {
            asked.push(kind.into());
        }
    }
    let wanted =
        ["who", "source", "cautions", "temperature", "leaves", "counted out", "turned", "proven"];
    assert_eq!(asked, wanted);
}

#[test]
fn the_telephone_rings_with_a_nut_slack_and_the_work_goes_on_next_morning() {
    let mut service = nut_slack();
    service.tell(Input::Away("telephone".into()));
    assert_eq!(service.due(), Due::Away);
    // Under the notice a key only wakes.
    assert_eq!(service.refused(Input::Tried { typed: "12".into(), sure: true }), Refusal::NotNow);
    assert_eq!(service.refused(remark(false)), Refusal::NotNow);
    assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(1)));
    let back = Back { after_min: Some(14 * 60), new_day: true, ..Back::default() };
    service.tell(Input::Back(back));
    assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(1)));
    assert_eq!(service.due(), Due::NewDay);
    service.tell(Input::NotRunSince);
    let mut cautions = 0;
    let mut warm = 0;
    while !matches!(service.due(), Due::Turn { .. }) {
        cautions += usize::from(matches!(service.due(), Due::Caution(..)));
        warm += usize::from(matches!(service.due(), Due::Temperature));
        let due = service.due();
        service.tell(super::mechanic::calm(&service.session.clone(), &due));
    }
    assert_eq!(cautions, 7, "on a new day all cautions are asked");
    assert_eq!(warm, 1, "and the temperature");
    // The crank is proven where it was, by rocking too, and then the nut comes first.
    let stop = stop_of(&service, 1);
    assert_eq!(service.due(), Due::Turn { stop, again: None, there: true, rock: true });
    service.tell(Input::Loose(1)).tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Trying(exhaust(1)));
    service
        .tell(Input::Tried { typed: "11 12".into(), sure: true })
        .tell(Input::NutLocked)
        .tell(Input::Threads(3));
    assert!(service.open().iter().all(|item| !item.bars_close_up()));
    assert_eq!((service.found(exhaust(1)), service.left(exhaust(1))), (Some("16"), Some("12")));
    service.sign();
}

#[test]
fn after_a_short_break_only_what_can_have_changed_is_asked() {
    let mut service = at_first_turn();
    service.tell(Input::Back(Back { after_min: Some(16), ..Back::default() }));
    let mut asked = Vec::new();
    while let Due::Caution(line, _) = service.due() {
        asked.push(line.id.clone());
        service.tell(Input::Answer(1));
    }
    assert_eq!(asked, ["ignition", "fuel", "arc", "hands"]);
    assert!(matches!(service.due(), Due::Turn { .. }), "no temperature under an hour");
    service.tell(Input::Back(Back { after_min: Some(60), ..Back::default() }));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    assert_eq!(service.due(), Due::Temperature);
}

#[test]
fn another_day_after_the_engine_ran_the_session_is_closed_unsigned() {
    let mut service = nut_slack();
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    let ran = Begin { hours: Some(cowlside::domain::entry::Hours(41_300)), ..Begin::default() };
    assert!(matches!(service.refused(Input::Begin(Box::new(ran))), Refusal::OtherEngine(_)));
    service.tell(Input::CloseUnsigned { why: "it ran".into() });
    assert_eq!((service.due(), service.session.state.sealed), (Due::Closed, Some(false)));
    assert_eq!(service.refused(Input::NotRunSince), Refusal::Closed);
}

#[test]
fn a_shifted_valve_is_found_by_the_recheck_and_set_within_that_round() {
    let mut service = at_first_turn();
    service.on_to_round(1);
    assert_eq!(service.session.state.standing(intake(1)), Standing::NotYet);
    service.on_to_gauge(intake(1));
    assert_eq!(service.session.state.standing(intake(1)), Standing::DueNow);
    service.gauge("8");
    assert_eq!(service.session.state.standing(intake(1)), Standing::DueNow, "not believed yet");
    service.gauge("8").tell(Input::Believe { why: why() });
    assert_eq!(service.session.state.standing(intake(1)), Standing::Loose);
    service.gauge("12").tell(Input::OpenSet(intake(1)));
    assert_eq!(service.session.state.round(), Some(1), "a nut opened in the recheck belongs to it");
    service.tell(Input::Tried { typed: "7 6".into(), sure: true }).tell(Input::NutLocked);
    let tried = service.session.state.readings.last().unwrap();
    assert_eq!((tried.reading.round, tried.reading.step), (2, Step::Try));
    assert_eq!(service.left(intake(1)), Some("6"));
    assert_eq!(service.session.state.verdict_found(intake(1)), Some(Verdict::InLimits));
    service.sign();
}

#[test]
fn the_recheck_turns_the_engine_before_it_gauges_a_stop_again() {
    let mut service = at_first_turn();
    service.on_to_round(1);
    service.on_to_turn();
    // The crank stands where the first round ended; the way round begins anew after it.
    let first = stop_of(&service, 1);
    assert_eq!(service.due(), Due::Turn { stop: first, again: None, there: false, rock: false });
    // With one cylinder in scope there is nowhere else to go: the same stop, found anew.
    let mut one = Service::new(flat_four());
    one.prepare(Rounds::SetThenRecheck, Some(vec![3]));
    one.on_to_round(1).on_to_turn();
    assert!(matches!(one.due(), Due::Turn { there: false, .. }));
    let turns = one.session.kept.iter().filter(|kept| matches!(kept.entry, Entry::At(_))).count();
    one.tell(Input::Loose(2));
    let after = one.session.kept.iter().filter(|kept| matches!(kept.entry, Entry::At(_))).count();
    assert_eq!(after, turns + 1);
    one.sign();
}

#[test]
fn threads_are_asked_before_the_crank_moves_on() {
    let mut service = nut_slack();
    service.tell(Input::Tried { typed: "12".into(), sure: true }).tell(Input::NutLocked);
    assert_eq!(service.due(), Due::Threads(exhaust(1), (2, 5)));
}

#[test]
fn a_try_in_the_check_band_but_not_in_the_set_band_is_set_again() {
    let mut service = nut_slack();
    service
        .tell(Input::Tried { typed: "14".into(), sure: true })
        .tell(Input::NutLocked)
        .tell(Input::Threads(3));
    assert_eq!(service.due(), Due::Set(exhaust(1), Verdict::Loose));
    // A count of tries before it, and a unit, may be typed too.
    service
        .tell(Input::OpenSet(exhaust(1)))
        .tell(Input::Tried { typed: "3x 12 thou".into(), sure: true });
    service.tell(Input::NutLocked).tell(Input::Threads(3));
    assert_eq!(service.left(exhaust(1)), Some("12thou"));
    assert_eq!(service.session.tries(exhaust(1)), 5);
}

#[test]
fn a_lock_withdrawn_leaves_the_nut_slack_and_tries_bar_the_word_never_touched() {
    let mut service = nut_slack();
    service.tell(Input::Tried { typed: "12".into(), sure: true });
    let never = Input::NutNeverTouched { valve: exhaust(1), why: why() };
    assert_eq!(service.refused(never.clone()), Refusal::NotNow);
    service.tell(Input::NutLocked).tell(Input::Threads(3));
    let of = service.last_reading();
    service.tell(Input::Void { of, why: why() });
    assert_eq!(service.due(), Due::Trying(exhaust(1)));
    assert!(service.open().contains(&OpenItem::NutSlack(exhaust(1))));
    assert_eq!(service.refused(never), Refusal::NotNow);
    service.tell(Input::Tried { typed: "12".into(), sure: true }).tell(Input::NutLocked);
    service.sign();
}

#[test]
fn a_try_made_before_the_rocker_came_off_does_not_lock_the_nut() {
    let mut service = nut_slack();
    service.tell(Input::Tried { typed: "12".into(), sure: true });
    service.tell(mechanic::part(true, exhaust(1), PartKind::Rocker, ""));
    service.tell(mechanic::part(false, exhaust(1), PartKind::Rocker, ""));
    assert_eq!(service.due(), Due::Trying(exhaust(1)));
}

#[test]
fn a_nut_said_slack_by_mistake_was_never_touched() {
    let mut service = nut_slack();
    assert!(matches!(service.refused(Input::TakeBack), Refusal::CannotTakeBack(_)));
    service.tell(Input::NutNeverTouched { valve: exhaust(1), why: why() });
    assert_eq!(service.due(), Due::Set(exhaust(1), Verdict::Loose));
    assert_eq!(service.left(exhaust(1)), Some("16"), "its as-found serves again");
    // Set in earnest, and slackened by mistake after that: it is locked as it was.
    service
        .tell(Input::OpenSet(exhaust(1)))
        .tell(Input::Tried { typed: "12".into(), sure: true })
        .tell(Input::NutLocked);
    service.tell(Input::Threads(3)).tell(Input::OpenSet(exhaust(1)));
    service.tell(Input::NutNeverTouched { valve: exhaust(1), why: why() });
    assert_eq!(service.left(exhaust(1)), Some("12"));
    assert!(service.session.state.touched.contains(&exhaust(1)));
}

#[test]
fn i_see_n_is_taken_with_a_nut_slack_but_the_nut_comes_first_there() {
    let mut service = nut_slack();
    // 1 is gauged with its opposite at overlap; seen 4 at overlap, 3 is gauged.
    service.tell(Input::SeeOverlap(4));
    let there = stop_of(&service, 3);
    assert_eq!(service.due(), Due::Turn { stop: there, again: None, there: true, rock: true });
    service.tell(Input::SeeOverlap(2)).tell(Input::Loose(1)).tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Trying(exhaust(1)));
    assert_eq!(service.refused(Input::SeeOverlap(9)), Refusal::NoCylinder(9));
}

#[test]
fn both_of_n_loose_and_steady_is_the_place_to_gauge_n() {
    let mut service = at_first_turn();
    service.tell(Input::SeeLoose(4));
    assert_eq!(service.due(), Due::Gauge(intake(4), Step::Found));
    service.gauge("6");
    assert_eq!(service.session.state.readings[0].crank, Some(540.0 - 1.0), "centre of overlap");
    // Going on from there, in the order of the plan.
    service.gauge("12");
    assert!(matches!(service.due(), Due::Turn { stop, .. } if stop == stop_of(&service, 1)));
    service.sign();
}

#[test]
fn some_loose_is_rocked_none_loose_is_a_full_turn() {
    let mut service = at_first_turn();
    let stop = stop_of(&service, 1);
    assert_eq!(service.refused(Input::Loose(3)), Refusal::TooMany { of: 2 });
    service.tell(Input::Loose(0));
    let wrong = Due::Turn { stop, again: Some(Again::WrongStroke), there: false, rock: true };
    assert_eq!(service.due(), wrong);
    service.tell(Input::Loose(1));
    assert_eq!(service.due(), Due::Rock { stop, loose: 1 });
    service.tell(Input::Rock(Rocked::Moved));
    assert!(matches!(service.due(), Due::Turn { again: Some(Again::Moved), .. }));
    service.tell(Input::Loose(1)).tell(Input::Rock(Rocked::Steady));
    // The tight one: nothing goes. The leak test comes before the screw.
    service.gauge("0");
    service.gauge("12");
    assert_eq!(service.due(), Due::LeakTest(1, intake(1)));
    assert_eq!(service.refused(Input::OpenSet(intake(1))), Refusal::NotNow);
    let nothing = Input::LeakTest { typed: String::new(), why_not: " ".into() };
    assert_eq!(service.refused(nothing), Refusal::WhyMissing);
    service.tell(Input::LeakTest { typed: "74 of 80".into(), why_not: String::new() });
    assert_eq!(service.session.state.leak_tested[&1].0, Some((74, 80)));
    // It turned the crank.
    assert_eq!(service.due(), Due::Turn { stop, again: None, there: true, rock: true });
    // What let nothing in is not loose: one is to be expected, and two are told so.
    let ask = Talk::default().prompt(&service.session).ask;
    assert_eq!(ask, "Rockers of 1: how many of 2 are loose? (1 expected, 1 tight)");
    let mut honest = service.clone();
    honest.tell(Input::Loose(1));
    assert_eq!(honest.due(), Due::Rock { stop, loose: 1 });
    let said = |service: &Service, loose: u8| {
        let entries = service.session.decide(&Input::Loose(loose)).unwrap();
        let mut after = service.clone();
        after.tell(Input::Loose(loose));
        kept_words(&after.session, &entries, &|_| None)
    };
    assert_eq!(said(&service, 1), "saved: 1 of 2 loose");
    assert!(said(&service, 2).contains("let nothing in"), "{}", said(&service, 2));
    service.tell(Input::Loose(2)).tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Set(intake(1), Verdict::Tight));
    service.sign();
}

#[test]
fn none_loose_on_either_stroke_is_rocked() {
    let mut service = at_first_turn();
    let stop = stop_of(&service, 1);
    service.tell(Input::Loose(0)).tell(Input::Loose(0));
    assert_eq!(service.due(), Due::Rock { stop, loose: 0 });
}

#[test]
fn an_as_found_adjusted_away_is_lost_and_never_invented() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).tell(Input::AsFoundLost { why: "set before I read it".into() });
    assert_eq!(service.due(), Due::Trying(intake(1)), "its nut is slack until somebody answers");
    assert!(matches!(service.refused(Input::TakeBack), Refusal::CannotTakeBack(_)));
    service
        .tell(Input::Tried { typed: "6".into(), sure: true })
        .tell(Input::NutLocked)
        .tell(Input::Threads(3));
    assert_eq!((service.found(intake(1)), service.left(intake(1))), (None, Some("6")));
    service.sign();
    assert_eq!(service.found(intake(1)), None);
    // Said by mistake: the nut was never touched, and the as-found is asked again.
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).tell(Input::AsFoundLost { why: why() });
    service.tell(Input::NutNeverTouched { valve: intake(1), why: "a slip".into() });
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
}

#[test]
fn a_survey_first_touches_nothing() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveySetRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    assert!(matches!(service.due(), Due::Gauge(valve, _) if valve == exhaust(1)));
    assert_eq!(service.refused(Input::OpenSet(intake(1))), Refusal::NotNow);
    service.on_to_round(1).on_to_turn();
    assert_eq!(service.session.state.round_kind(), Some(RoundKind::Setting));
    // Only the stop with work in it is visited.
    assert!(matches!(service.due(), Due::Turn { stop, .. } if stop == stop_of(&service, 1)));
    service.tell(Input::Loose(2));
    assert_eq!(service.due(), Due::Set(intake(1), Verdict::Loose));
    service.sign();
    assert_eq!(service.found(intake(1)), Some("9"));
    assert_eq!(service.verdict(intake(1)), Some(Verdict::InLimits));
}

#[test]
fn a_skipped_valve_bars_the_signature_until_gauged_or_out_of_scope() {
    let skipped = || {
        let mut service = at_first_turn();
        service.on_to_gauge(exhaust(3)).tell(Input::SkipValve { valve: exhaust(3), why: why() });
        service.on_to_round(1).on_to_gauge(exhaust(3));
        service.tell(Input::SkipValve { valve: exhaust(3), why: why() });
        service.calmly_while(|service, _| service.session.state.round().is_some());
        assert_eq!(service.due(), Due::NoFigure(vec![exhaust(3)]));
        assert_eq!(service.refused(super::mechanic::sign()), Refusal::NotNow);
        service
    };
    let mut gauged = skipped();
    gauged.tell(Input::Unskip(exhaust(3)));
    gauged.sign();
    assert_eq!(gauged.left(exhaust(3)), Some("0.012 in"));
    let mut narrowed = skipped();
    let begin = Begin { scope: Some(vec![1, 2, 4]), ..Begin::default() };
    assert_eq!(narrowed.refused(Input::Begin(Box::new(begin.clone()))), Refusal::WhyMissing);
    let begin = Begin { scope_why: Some("no spanner".into()), ..begin };
    narrowed.tell(Input::Begin(Box::new(begin)));
    narrowed.sign();
}

#[test]
fn a_narrow_scope_counts_its_own_covers_and_those_it_looks_into() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin =
        Begin { rounds: Some(Rounds::SetThenRecheck), scope: Some(vec![1]), ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin)));
    // Cylinder 1, right; its opposite 2, left, is watched.
    let lists = service.session.state.count_lists();
    let covers = |bank: &str| {
        let (_, items) = lists.iter().find(|(name, _)| name == bank).unwrap();
        (items[0].1, items[1].1)
    };
    assert_eq!((covers("right"), covers("left")), ((1, 4), (1, 4)));
    service.on_to_turn();
    let wider = Begin { scope: Some(vec![1, 3]), scope_why: Some(why()), ..Begin::default() };
    service.tell(Input::Begin(Box::new(wider)));
    assert!(
        matches!(service.due(), Due::CountOut(bank, items) if bank == "right" && items[0].1 == 2)
    );
    service.sign();
    assert_eq!(service.session.state.standing(intake(2)), Standing::OutOfScope);
}

#[test]
fn a_washer_short_at_the_count_bars_the_run_until_it_is_found() {
    let mut service = at_first_turn();
    service.calmly_while(
        |_, due| !matches!(due, Due::CountIn { item, .. } if item.starts_with("wedge-lock")),
    );
    let Due::CountIn { out, .. } = service.due() else { panic!("{:?}", service.due()) };
    service.tell(Input::CountIn(out - 1));
    assert!(matches!(service.due(), Due::Shortage { counted, .. } if counted == out - 1));
    assert!(service.open().iter().any(|item| matches!(item, OpenItem::Missing { missing: 1, .. })));
    let by = Input::ShortageAccounted { place: "in the tray".into(), by: String::new() };
    assert!(matches!(service.refused(by), Refusal::TextMissing(_)));
    assert!(matches!(service.refused(Input::Answer(1)), Refusal::NotNow));
    service.tell(Input::ShortageFound);
    service.sign();
}

#[test]
fn a_leak_at_the_run_leads_back_to_gauging_and_is_not_forgiven_twice() {
    let mut service = at_first_turn();
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "leaks"));
    assert!(matches!(service.refused(Input::Answer(2)), Refusal::TextMissing(_)));
    let leak = Input::RunFault { digit: 2, text: "oil at the cover of 3".into() };
    service.tell(leak.clone()).tell(Input::RunLeave { why: "a sweat only".into() });
    assert!(matches!(service.due(), Due::RunCheck(_)));
    service.tell(Input::TakeBack).tell(Input::RunBackToGauging);
    // Warm or cold, made safe, covers off, and the crank anywhere.
    assert!(matches!(service.due(), Due::Caution(..)));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    assert_eq!(service.due(), Due::Temperature);
    service.tell(Input::Temperature { head: "80 °C".into(), air: String::new() });
    assert_eq!(service.due(), Due::OutsideTemperature);
    service.tell(Input::Temperature { head: "30 °C".into(), air: String::new() });
    assert!(matches!(service.due(), Due::CountOut(..)));
    service.on_to_turn();
    assert!(matches!(service.due(), Due::Turn { there: false, rock: true, .. }));
    assert_eq!(service.session.state.round(), Some(2));
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "leaks"));
    service.tell(leak);
    assert!(matches!(service.due(), Due::RunFault(..)), "the same leak is a fault of this run too");
    service
        .tell(Input::RunAgain { covers: false })
        .calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    assert!(matches!(service.due(), Due::RunCaution(_)), "each run has its own cautions");
    service.sign();
}

#[test]
fn a_remark_before_running_is_an_open_item_until_it_is_settled() {
    let mut service = at_first_turn();
    service.tell(remark(true));
    service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..)));
    assert_eq!(service.refused(Input::SkipRun { why: why() }), Refusal::NotNow);
    let Due::BeforeRunning(seq, _) = service.due() else { unreachable!() };
    service.tell(Input::SettleRemark { seq, text: "new gasket".into() });
    service.sign();
}

#[test]
fn a_second_person_takes_over_with_all_cautions_and_a_proof() {
    let mut service = nut_slack();
    service.tell(Input::Who("Second".into()));
    assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(1)));
    assert!(matches!(service.due(), Due::Caution(..)));
    assert_eq!(service.session.state.cautions_due.len(), 7);
    service.on_to_turn();
    assert!(matches!(service.due(), Due::Turn { there: true, rock: true, .. }));
    service.sign();
    assert_eq!(service.session.state.workers, ["First", "Second"]);
    let by = &service.session.state.readings.last().unwrap().reading.by;
    assert_eq!(by, "Second");
}

#[test]
fn after_the_seal_a_remark_and_nothing_else() {
    let mut service = at_first_turn();
    service.sign();
    let of = service.last_reading();
    let correct = Input::CorrectValue { of, typed: "7".into(), why: why(), sure: true };
    for input in
        [correct, Input::TakeBack, Input::Void { of, why: why() }, Input::Away(String::new())]
    {
        assert_eq!(service.refused(input), Refusal::Closed);
    }
    service.tell(remark(false));
    assert_eq!(service.due(), Due::Closed);
}
