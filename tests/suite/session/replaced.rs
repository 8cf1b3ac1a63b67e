//! Another profile: what was answered by the one before it stands only where it asks the very same.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, profile_text, why};
use cowlside::domain::entry::{Entry, Kept, Rounds};
use cowlside::domain::profile::{Adjuster, Facts, Screw};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal, Session};
use cowlside::domain::units::Torque;

fn replace(service: &mut Service, facts: Facts) {
    let profile = Box::new(profile_text(facts));
    service.tell(Input::AmendProfile { profile, source: "new issue".into(), why: why() });
}

fn with_cautions(texts: &[&str]) -> Facts {
    let cautions = texts.iter().map(|text| (*text).to_string()).collect();
    Facts { cautions, ..flat_four() }
}

fn with_screw(change: impl FnOnce(&mut Screw)) -> Facts {
    let mut facts = flat_four();
    let Adjuster::Screw(screw) = &mut facts.adjuster else { unreachable!() };
    change(screw);
    facts
}

fn torque(typed: &str) -> Option<Torque> {
    Some(Torque::parse(typed).unwrap())
}

/// The words of the cautions that are asked now, up to the next other question.
fn asked(service: &mut Service) -> Vec<String> {
    let mut asked = Vec::new();
    service.calmly_while(|_, due| matches!(due, Due::PageFigure(..) | Due::SourceName(_)));
    while let Due::Caution(line, _) = service.due() {
        asked.push(line.ask.clone());
        let due = service.due();
        service.calmly_while(|_, now| *now == due);
    }
    asked
}

const PUMP: &str = "Vacuum pump: coupling taken off before any turn";
const VALVE: &str = "Drain valve: open";

#[test]
fn the_cautions_of_another_manual_are_asked_and_those_in_the_same_words_are_not() {
    let mut service = Service::new(with_cautions(&[VALVE]));
    service.prepare(Rounds::SetThenRecheck, None);
    replace(&mut service, with_cautions(&[PUMP, VALVE]));
    assert_eq!(asked(&mut service), [PUMP]);
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
    // Back to the first: its one caution was answered, under another number.
    replace(&mut service, with_cautions(&[VALVE]));
    assert_eq!(asked(&mut service), [""; 0]);
    service.sign();
}

#[test]
fn cautions_in_other_words_are_asked_once_more() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let bench = Facts { rotation: None, ..flat_four() };
    replace(&mut service, bench);
    let words = asked(&mut service);
    assert!(words.iter().any(|words| words.starts_with("Ignition or starter")), "{words:?}");
    assert!(words.iter().any(|words| words.starts_with("Plugs or injectors")), "{words:?}");
    service.sign();
}

/// Set and gauged, with the next thing at close-up to answer.
fn closing_up(id: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == id));
    service
}

#[test]
fn nuts_at_the_torque_of_another_engine_are_locked_and_gauged_again() {
    for typed in [Some("30 N·m"), None] {
        let mut service = closing_up("plugs-in");
        replace(&mut service, with_screw(|screw| screw.lock_nut_torque = typed.and_then(torque)));
        assert_eq!(service.open()[0], OpenItem::NutSlack(intake(1)));
        let slack = |item: &OpenItem| matches!(item, OpenItem::NutSlack(_));
        assert_eq!(
            service.open().iter().filter(|item| slack(item)).count(),
            1,
            "only what was set"
        );
        let never = Input::NutNeverTouched { valve: intake(1), why: why() };
        assert_eq!(service.refused(never), Refusal::NotNow, "it was locked by it");
        let before = service.session.state.readings.len();
        service.calmly_while(|_, due| !matches!(due, Due::NutAnswer(..)));
        assert!(service.session.state.readings.len() > before, "gauged first");
        service.sign();
        assert!(service.left(intake(1)).is_some());
    }
    // The same torque in other words is the same.
    let mut service = closing_up("plugs-in");
    replace(&mut service, with_screw(|screw| screw.lock_nut_torque = torque("20.0 Nm")));
    assert!(!service.open().iter().any(|item| matches!(item, OpenItem::NutSlack(_))));
    service.sign();
}

#[test]
fn threads_that_were_left_by_other_bounds_are_asked_about_anew() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service.tell(Input::Threads(9)).tell(Input::LeaveThreads { why: why() });
    replace(&mut service, with_screw(|screw| screw.threads_showing = Some((3, 4))));
    service.calmly_while(|_, due| !matches!(due, Due::ThreadsOutside(..)));
    assert_eq!(service.due(), Due::ThreadsOutside(intake(1), 9, (3, 4)));
    service.sign();
}

#[test]
fn covers_at_the_torque_of_another_engine_are_torqued_once_more_and_run_again() {
    let other = || {
        let mut facts = flat_four();
        facts.covers.torque = torque("9 N·m");
        facts
    };
    let at_torque = |due: &Due| matches!(due, Due::Check(line) if line.id == "torque");
    let mut service = closing_up("plugs-in");
    replace(&mut service, other());
    assert!(service.open().contains(&OpenItem::CoversNotTorqued), "{:?}", service.open());
    service.calmly_while(|_, due| !at_torque(due) && !matches!(due, Due::RunCaution(_)));
    assert!(at_torque(&service.due()), "{:?}", service.due());
    service.sign();
    // After the run.
    let mut service = closing_up("plugs-in");
    service.on_to_sign();
    replace(&mut service, other());
    assert!(!service.session.state.has_run(), "that run was of covers at another torque");
    service.calmly_while(|_, due| !at_torque(due) && *due != Due::Sign);
    assert!(at_torque(&service.due()), "{:?}", service.due());
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    assert!(matches!(service.due(), Due::RunCheck(_)), "{:?}", service.due());
    service.sign();
    assert!(service.left(exhaust(3)).is_some());
}

/// What a version before this one would have kept: it left standing what another profile asks otherwise.
fn replaced_before(service: &mut Service, facts: Facts) {
    let profile = Box::new(profile_text(facts));
    let input = Input::AmendProfile { profile, source: "new issue".into(), why: why() };
    for mut entry in service.session.decide(&input).unwrap() {
        let Entry::Amend(amend) = &mut entry else { panic!("{entry:?}") };
        assert!(std::mem::take(&mut amend.asks_anew), "kept with what is asked anew");
        service.keep(entry);
    }
}

fn all_at_another_torque() -> Facts {
    let mut facts = with_screw(|screw| screw.lock_nut_torque = torque("9 N·m"));
    facts.covers.torque = torque("9 N·m");
    facts
}

#[test]
fn what_a_version_before_this_one_closed_up_and_signed_reads_as_it_was() {
    let mut service = closing_up("leads");
    let (checks, out) = (service.session.state.checks.clone(), service.session.state.out.clone());
    replaced_before(&mut service, all_at_another_torque());
    assert_eq!(service.session.state.checks, checks, "answered as it was");
    assert_eq!(service.session.state.out, out);
    assert!(service.session.state.nuts.values().all(|nut| nut.locked_by.is_some()));
    service.sign();
    assert_eq!(service.open(), []);
    assert!(service.left(intake(1)).is_some());
    assert_eq!(service.session.state.left_open("next"), []);
    let kept: Vec<Kept> = service.session.kept.clone();
    assert!(Session::replay(&kept).unwrap() == service.session);
    let sheet = cowlside::report::record::record(&service.session, &Default::default());
    assert!(!sheet.contains("STILL OPEN") && !sheet.contains("NUT SLACK"), "{sheet}");
}

#[test]
fn cautions_that_a_version_before_this_one_had_no_answer_to_are_still_asked() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    replaced_before(&mut service, with_cautions(&[PUMP]));
    assert_eq!(asked(&mut service), [PUMP]);
    service.sign();
}
