//! Nothing that can hurt somebody goes out of sight: by a narrower scope, by work after counting in,
//! by a clock that went back, by a reason that was given for less.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::doubt::Doubt;
use cowlside::domain::entry::{Back, Begin, Caution, Entry, Remark, Rounds};
use cowlside::domain::session::{Crank, Due, Input, OpenItem, Refusal};
use cowlside::domain::verdict::Verdict;
use cowlside::guide::refused_words;

fn at_first_turn() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service
}

fn scope(scope: &[u8]) -> Input {
    let scope = Some(scope.to_vec());
    Input::Begin(Box::new(Begin { scope, scope_why: Some(why()), ..Begin::default() }))
}

fn asked(service: &Service, id: &str) -> bool {
    matches!(service.due(), Due::Caution(line, _) | Due::Check(line) | Due::RunCaution(line) if line.id == id)
}

#[test]
fn a_cylinder_with_a_valve_that_was_touched_or_is_out_of_its_limits_stays_in_the_scope() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).gauge("9").gauge("12");
    // Found loose.
    let stays = |service: &mut Service, why: &str| {
        let refused = service.refused(scope(&[2, 3, 4]));
        assert_eq!(refused, Refusal::StaysInScope(intake(1)));
        let then = "cylinder 1 stays in the scope; gauge it, or close unsigned";
        assert_eq!(refused_words(&service.session, &refused), format!("{why}: {then}"));
    };
    stays(&mut service, "1 intake is outside its limits");
    service.calmly_while(|_, due| !matches!(due, Due::Trying(_)));
    stays(&mut service, "the nut of 1 intake is slack");
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    // Set, in limits: the recheck is still to come.
    assert_eq!(service.verdict(intake(1)), Some(Verdict::InLimits));
    stays(&mut service, "1 intake was set or opened in this service");
    // What was only gauged, and is in its limits, may be left out.
    service.on_to_gauge(intake(3)).gauge("6").gauge("12");
    service.tell(scope(&[1, 2, 4]));
    service.sign();
}

#[test]
fn work_after_counting_in_has_everything_counted_in_anew() {
    let mut service = at_first_turn();
    service.calmly_while(|_, due| !matches!(due, Due::Check(_)));
    assert_eq!(service.open()[0], OpenItem::CoversOff);
    let last = service.session.state.left(intake(1)).unwrap().seq;
    service.tell(Input::Void { of: last, why: why() });
    assert!(matches!(service.open()[..], [OpenItem::NotCountedIn { pieces: 30.. }]));
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    service.sign();
}

#[test]
fn a_clock_that_went_back_is_taken_for_another_day() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1));
    let back = Back { restart: true, clock_jumped: true, ..Back::default() };
    service.tell(Input::Back(back));
    assert_eq!(service.due(), Due::NewDay);
    service.tell(Input::NotRunSince);
    let cautions = service.session.state.cautions_due.len();
    assert!(cautions > 5, "{cautions} cautions");
    service.calmly_while(|_, due| *due != Due::Temperature);
    assert_eq!(service.due(), Due::Temperature);
    service.sign();
}

#[test]
fn a_cylinder_seen_at_overlap_is_nowhere_after_a_break() {
    let mut service = at_first_turn();
    service.tell(Input::SeeOverlap(3));
    assert_eq!(service.session.state.crank, Crank::Seen(3));
    service.tell(Input::Away(String::new()));
    let back = Back { after_min: Some(5), ..Back::default() };
    service.tell(Input::Back(back));
    assert_eq!(service.session.state.crank, Crank::Unknown);
    service.sign();
}

#[test]
fn both_valves_at_an_eighth_of_their_target_are_the_wrong_stroke_before_they_are_a_slip() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1));
    service.tell(Input::Gauge { typed: "1.5".into(), sure: true });
    assert_eq!(service.due(), Due::Gauge(exhaust(1), cowlside::domain::entry::Step::Found));
    service.tell(Input::Gauge { typed: "1.5".into(), sure: true });
    let odd = service.session.state.readings.last().unwrap().reading.odd.clone();
    assert_eq!(Doubt::of(odd.as_deref()), Some(Doubt::NearNothing));
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
}

#[test]
fn a_second_reading_that_leaves_both_valves_near_nothing_asks_for_the_proof_too() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).gauge("2");
    // A slip that hides it: ten times the target.
    service.tell(Input::Gauge { typed: "120".into(), sure: true });
    assert!(matches!(service.due(), Due::Again(..)), "{:?}", service.due());
    service.tell(Input::Gauge { typed: "2".into(), sure: true });
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
}

#[test]
fn a_reason_to_leave_a_valve_holds_for_that_figure_and_for_none_further_out() {
    for (recheck, holds) in [("4", true), ("4.5", true), ("3", false)] {
        let mut service = at_first_turn();
        service.on_to_gauge(intake(1)).gauge("4").gauge("12");
        assert_eq!(service.due(), Due::Set(intake(1), Verdict::Tight));
        service.tell(Input::LeaveAsIs { valve: intake(1), why: why() });
        service.on_to_round(1).on_to_gauge(intake(1));
        service.tell(Input::Gauge { typed: recheck.into(), sure: true });
        if matches!(service.due(), Due::Again(..)) {
            service.tell(Input::Gauge { typed: recheck.into(), sure: true });
            service.tell(Input::Believe { why: why() });
        }
        let reason = service.session.state.reason_to_leave(intake(1));
        assert_eq!(reason.is_some(), holds, "{recheck}");
    }
}

#[test]
fn a_figure_from_paper_is_not_taken_for_a_valve_that_was_touched() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).gauge("9").gauge("12").on_to_turn();
    let paper = |typed: &str, valve| Input::GaugeFromPaper {
        readings: vec![(valve, typed.into())],
        time: "06:00".into(),
        sure: true,
    };
    let refused = service.refused(paper("6", intake(1)));
    assert_eq!(refused, Refusal::PaperAfterSetting(intake(1)));
    service.tell(paper("6", intake(3)));
    service.sign();
}

#[test]
fn what_is_taken_out_or_off_again_to_make_safe_is_asked_about_before_the_run() {
    let mut service = at_first_turn();
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    service.tell(Input::Who("Second".into()));
    // With the plugs out again nobody asks whether it was run meanwhile: it is to be run anew.
    for id in ["plugs-in", "leads", "controls"] {
        service.calmly_while(|service, _| !asked(service, id));
        assert!(asked(&service, id), "{id}: {:?}", service.due());
    }
    // The fire bottle and the seat were the first man's answers.
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_) | Due::RunCheck(_)));
    assert!(matches!(service.due(), Due::RunCaution(_)), "{:?}", service.due());
    service.sign();
}

#[test]
fn plugs_that_come_out_later_are_counted() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|service, _| !asked(service, "plugs"));
    service.tell(Input::Answer(2));
    service.prepare(Rounds::SetThenRecheck, None);
    let plugs = |service: &Service| {
        let mut out = service.session.state.out.iter();
        out.find(|line| line.item == "plug").map_or(0, |line| line.out)
    };
    assert_eq!(plugs(&service), 0);
    service.tell(Input::Who("Second".into()));
    service.calmly_while(|service, _| !asked(service, "plugs"));
    service.tell(Input::Answer(1));
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    service.on_to_turn();
    assert_eq!(plugs(&service), 4);
    service.sign();
}

/// On another day, with the plugs said to be as this digit has it; then calmly on to the signature: what is asked
/// of closing up.
fn asked_after_plugs(service: &Service, digit: u8) -> Vec<String> {
    let mut service = service.clone();
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    service.calmly_while(|service, _| !asked(service, "plugs"));
    service.tell(Input::Answer(digit));
    let mut checks = Vec::new();
    while service.due() != Due::Sign {
        if let Due::Check(line) = service.due() {
            checks.push(line.id);
        }
        let due = service.due();
        service.calmly_while(|_, now| *now == due);
    }
    checks
}

#[test]
fn plugs_that_come_out_again_behind_the_covers_undo_what_was_seen_with_them_in() {
    let mut service = at_first_turn();
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_) | Due::RunCheck(_)));
    let undone = ["plugs-in", "two-turns", "leads", "controls", "second-look"];
    assert_eq!(asked_after_plugs(&service, 1), undone);
    // They stayed in: what was put back to make it safe is asked, and no turn.
    assert_eq!(asked_after_plugs(&service, 2), ["plugs-in", "leads", "controls"]);
    // As a version kept it that did not say so.
    let mut before = service.clone();
    before.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    before.calmly_while(|service, _| !asked(service, "plugs"));
    let entries = before.session.decide(&Input::Answer(1)).unwrap();
    for entry in entries {
        let Entry::Caution(caution) = entry else { panic!("{entry:?}") };
        assert!(caution.out_again, "{caution:?}");
        before.keep(Entry::Caution(Caution { out_again: false, ..caution }));
    }
    assert!(before.session.state.checks.contains_key("two-turns"));
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    service.calmly_while(|service, _| !asked(service, "plugs"));
    service.tell(Input::Answer(1));
    let turns = OpenItem::TwoTurnsOwed;
    assert!(service.open().contains(&turns), "{:?}", service.open());
    service.sign();
}

#[test]
fn a_remark_marked_before_running_is_answered_and_not_taken_back() {
    let mut service = at_first_turn();
    let remark = Remark { text: "oil line".into(), before_running: true, ..Remark::default() };
    service.tell(Input::Remark(remark));
    assert!(matches!(service.refused(Input::TakeBack), Refusal::CannotTakeBack(_)));
    service.sign();
}

#[test]
fn work_on_a_cylinder_begins_a_new_series_and_asks_its_hold_down_torque() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(3)).gauge("6").gauge("12");
    service.tell(Input::Work { cylinder: 1, what: "cylinder".into(), text: String::new() });
    service.calmly_while(|_, due| *due != Due::HoldDown(1));
    assert_eq!(service.refused(Input::OpenSet(intake(1))), Refusal::NotNow);
    assert_eq!(
        service.refused(Input::Gauge { typed: "9".into(), sure: true }),
        Refusal::NotNow,
        "the cylinder's own torque comes before a figure"
    );
    service.tell(Input::HoldDown("30 N·m".into(), false));
    assert_eq!(service.found(intake(1)), Some("0.006 in"), "the old as-found stays as evidence");
    service.calmly_while(|_, due| !matches!(due, Due::Trying(_) | Due::HoldDown(_)));
    assert_eq!(service.due(), Due::Trying(intake(1)), "its screws came along: nobody locked them");
    for typed in ["9", "12"] {
        service.tell(Input::Tried { typed: typed.into(), sure: true });
        service.tell(Input::NutLocked).tell(Input::Threads(3));
    }
    assert_eq!(service.due(), Due::Set(intake(1), Verdict::Loose));
    service.sign();
}
