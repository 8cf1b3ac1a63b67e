//! The hold-down torque of a cylinder that was worked on is owed until a wrench showed it; and work that was
//! told by mistake.

use super::engines::{exhaust, flat_four, intake, radial_table};
use super::harness::{Service, why};
use cowlside::domain::entry::{Begin, Entry, LeftItem, LeftOpen, Rounds, Seal, Sign, Work};
use cowlside::domain::session::{Due, HoldDown, Input, OpenItem, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Valve;
use cowlside::guide::{Answered, Command, Talk, hangar};
use cowlside::report::record::record;

fn work(cylinder: u8, what: &str) -> Input {
    Input::Work { cylinder, what: what.into(), text: String::new() }
}

fn torque(typed: &str) -> Input {
    Input::HoldDown(typed.into(), false)
}

/// Only cylinder 4 is gauged, and cylinder 3 was worked on.
fn worked(what: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![4]));
    service.tell(work(3, what));
    service
}

fn against(valve: Valve, typed: &str) -> Input {
    Input::GaugeAgainstPlan { valve, typed: typed.into(), why: why(), sure: true }
}

#[test]
fn a_torque_that_is_owed_is_open_and_asked_by_the_service_that_comes_after() {
    let mut service = worked("cylinder");
    let owed = OpenItem::HoldDown(3);
    assert!(service.open().contains(&owed), "{:?}", service.open());
    assert!(owed.bars_close_up() && owed.gravity().is_danger());
    service.tell(Input::CloseUnsigned { why: why() });
    let left = service.session.state.left_open("spring");
    let carried = LeftOpen { from: "spring".into(), item: LeftItem::HoldDown(3) };
    assert!(left.contains(&carried), "{left:?}");
    let mut next = Service::after(flat_four(), left);
    assert!(next.open().contains(&owed), "{:?}", next.open());
    next.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::Turn { .. }));
    assert_eq!(next.due(), Due::HoldDown(3), "before anything is turned");
    next.tell(torque("22 N·m"));
    assert!(!next.open().contains(&owed));
    next.sign();
}

#[test]
fn of_a_cylinder_outside_the_scope_it_is_asked_before_a_cover_goes_on() {
    let left = vec![LeftOpen { from: "spring".into(), item: LeftItem::HoldDown(3) }];
    let mut service = Service::after(flat_four(), left);
    service.calmly_while(|_, due| *due != Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(vec![4]));
    service.tell(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    service.calmly_while(|_, due| *due != Due::HoldDown(3)).tell(Input::HoldDownNotMeasured);
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::CountIn { .. }));
    assert_eq!(service.due(), Due::HoldDown(3));
    assert_eq!(service.refused(Input::HoldDownNotMeasured), Refusal::NotNow, "known already");
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.title.contains("no cover goes on"), "{ask:?}");
    assert!(!ask.ask.contains("0 ="), "{ask:?}");
    service.sign();
}

/// Where the crank stands for cylinder 4, seen while the turn to cylinder 3 is due.
fn at_four(rounds: Rounds) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(rounds, Some(vec![4]));
    service.tell(work(3, "valve or seat")).tell(Input::SeeLoose(4));
    assert!(matches!(service.due(), Due::Gauge(valve, _) if valve == intake(4)));
    service
}

#[test]
fn against_the_plan_nothing_is_gauged_before_it_is_answered_for() {
    let mut service = at_four(Rounds::SetThenRecheck);
    for valve in [intake(3), exhaust(3)] {
        let refused = service.refused(against(valve, "6"));
        let named = |item: &String| item.contains("HOLD-DOWN TORQUE NOT KNOWN: cylinder 3");
        assert!(matches!(&refused, Refusal::OpenItem(item) if named(item)), "{refused:?}");
    }
    service.sign();
}

#[test]
fn where_an_earlier_version_let_it_be_gauged_so_it_is_asked_before_the_count() {
    let mut service = at_four(Rounds::SurveyOnly);
    for (valve, typed) in [(intake(3), "6"), (exhaust(3), "12")] {
        let mut before = service.session.clone();
        before.state.work.clear();
        let entries = before.decide(&against(valve, typed)).unwrap();
        entries.into_iter().for_each(|entry| service.keep(entry));
    }
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::CountIn { .. }));
    assert_eq!(service.due(), Due::HoldDown(3));
    assert_eq!(service.left(exhaust(3)), Some("12"), "what was gauged stays");
    service.sign();
}

#[test]
fn it_is_a_torque_with_its_unit_and_nothing_else() {
    let mut service = worked("cylinder");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    for typed in ["not done, no wrench", "1", "0", "22", "22 mm", "", "22 N·m and fine"] {
        let refused = service.refused(torque(typed));
        assert!(
            matches!(&refused, Refusal::Unreadable(words) if words.contains("unit")),
            "{typed}"
        );
    }
    for typed in
        ["22 N·m", "195 lbf·in", "16 lbf·ft", "22 N·m, 35 N·m", "22 N·m,35 N·m", "22 Nm; 35 Nm"]
    {
        let mut service = service.clone();
        service.tell(torque(typed));
        assert!(!service.open().contains(&OpenItem::HoldDown(3)), "{typed}");
        let sheet = record(&service.session, &Earlier::default());
        assert!(sheet.contains(typed), "{typed}: {sheet}");
    }
}

#[test]
fn not_measured_stays_open_stands_in_the_record_and_no_cover_goes_on() {
    let mut service = worked("cylinder");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    kept(&mut service, &["0", "1"]);
    assert!(matches!(service.due(), Due::Turn { .. }), "the work goes on: {:?}", service.due());
    let owed = OpenItem::HoldDown(3);
    assert!(service.open().contains(&owed), "{:?}", service.open());
    let sheet = record(&service.session, &Earlier::default());
    let told = |sheet: &str| sheet.contains("hold-down torque not measured");
    assert!(told(&sheet), "{sheet}");
    service.tell(Input::Away(String::new()));
    let (lines, _) = hangar::lines(&service.session, &Earlier::default());
    assert!(lines.iter().any(|line| line.contains("HOLD-DOWN TORQUE NOT KNOWN")), "{lines:?}");
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::CountIn { .. }));
    assert_eq!(service.due(), Due::HoldDown(3));
    assert!(matches!(Talk::default().answer(&service.session, "0"), Answered::Refused(..)));
    // Closed so, the next service has it.
    let mut closed = service.clone();
    closed.tell(Input::CloseUnsigned { why: why() });
    assert!(
        closed.session.state.left_open("x").iter().any(|left| left.item == LeftItem::HoldDown(3))
    );
    service.tell(torque("22 N·m"));
    assert!(!service.open().contains(&owed));
    service.sign();
    let sheet = record(&service.session, &Earlier::default());
    assert!(told(&sheet) && sheet.contains("found 22 N·m"), "{sheet}");
}

#[test]
fn a_round_is_passed_over_with_it_and_more_work_owes_it_anew() {
    let mut service = worked("valve or seat");
    service.tell(Input::SkipRound { why: why() });
    service.calmly_while(|_, due| *due != Due::HoldDown(3)).tell(torque("22 N·m"));
    service.tell(work(3, "cylinder"));
    assert!(service.open().contains(&OpenItem::HoldDown(3)), "{:?}", service.open());
    service.sign();
}

#[test]
fn a_session_that_an_earlier_version_signed_so_has_nothing_open() {
    let mut service = worked("cylinder");
    let sign = Sign { signer: "Signer".into(), ..Sign::default() };
    let (by, why, chain) = ("Signer".into(), String::new(), String::new());
    let entries = service.session.kept.len() as u64 + 1;
    service.keep(Entry::Sign(sign));
    service.keep(Entry::Seal(Seal {
        entries,
        by,
        chain,
        signed: true,
        why,
        tells_not_put_back: None,
        tells_not_gauged: false,
    }));
    assert!(!service.open().iter().any(|item| matches!(item, OpenItem::HoldDown(_))));
}

/// Answers what is due with these keys.
fn kept(service: &mut Service, keys: &[&str]) {
    let mut answered = Answered::Next(Talk::default());
    for key in keys {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        answered = talk.answer(&service.session, key);
    }
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
}

#[test]
fn nothing_turns_before_somebody_has_said_how_the_cylinder_is_held_down() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6");
    service.tell(work(3, "valve or seat"));
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::Turn { .. }));
    assert_eq!(service.due(), Due::HoldDown(3), "before the crank is brought on");
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.lines.iter().any(|line| line.contains("crank is not turned")), "{ask:?}");
    // Nobody looked at its nuts: it stays so.
    let Answered::Next(nuts) = Talk::default().answer(&service.session, "0") else { panic!() };
    let refused = nuts.clone().answer(&service.session, "0");
    assert!(matches!(&refused, Answered::Refused(_, words) if words.contains("do not turn")));
    kept(&mut service, &["0", "1"]);
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
    let ask = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(ask.contains("Hold-down torque of 3 NOT KNOWN: turn only with its nuts on"), "{ask}");
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("its nuts seen on and tight"), "{sheet}");
    service.sign();
}

#[test]
fn before_it_is_rocked_and_before_its_oil_is_pulled_through_it_is_asked_too() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Rock { .. }));
    service.tell(work(3, "cylinder"));
    assert_eq!(service.due(), Due::HoldDown(3));
    let mut service = Service::new(radial_table(None));
    service.prepare(Rounds::SetThenRecheck, None);
    service.tell(work(3, "cylinder")).tell(Input::Who("Second".into()));
    let oil = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == "oil-lock");
    service.calmly_while(|_, due| !oil(due) && !matches!(due, Due::HoldDown(_)));
    assert_eq!(service.due(), Due::HoldDown(3));
    service.tell(Input::HoldDownNotMeasured);
    service.calmly_while(|_, due| !oil(due) && !matches!(due, Due::Turn { .. }));
    assert!(oil(&service.due()), "{:?}", service.due());
    service.sign();
}

/// Takes back by the key, with these answers.
fn taken_back(service: &mut Service, keys: &[&str]) {
    let mut answered = Talk::call(&service.session, Command::TakeBack, Default::default());
    for key in keys {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        answered = talk.answer(&service.session, key);
    }
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
}

#[test]
fn work_that_was_told_by_mistake_is_taken_back_with_all_that_followed_from_it() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6");
    let before = service.session.state.clone();
    service.tell(work(3, "cylinder"));
    assert_eq!(
        service.open()[..2],
        [OpenItem::NutSlack(intake(3)), OpenItem::NutSlack(exhaust(3))]
    );
    let refused = service.refused(Input::TakeBack);
    assert!(matches!(refused, Refusal::CannotTakeBack(_)), "not by the key alone");
    taken_back(&mut service, &["1"]);
    assert_eq!(service.session.state, before);
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("cylinder: taken back, there was none"), "{sheet}");
    service.sign();
    assert!(service.found(intake(3)).is_some());
}

#[test]
fn work_on_another_cylinder_stays_told_of_that_one() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.tell(work(3, "cylinder"));
    let of = service.session.kept.last().unwrap().seq;
    let named = |cylinder| Input::WorkOfAnother(of, cylinder, why());
    assert_eq!(service.refused(named(9)), Refusal::NoCylinder(9));
    let same = "that is the cylinder it was told of";
    assert_eq!(service.refused(named(3)), Refusal::Unreadable(same.into()));
    taken_back(&mut service, &["2", "4"]);
    let open = service.open();
    assert_eq!(open[..2], [OpenItem::NutSlack(intake(4)), OpenItem::NutSlack(exhaust(4))]);
    assert!(open.contains(&OpenItem::HoldDown(4)) && !open.contains(&OpenItem::HoldDown(3)));
    assert_eq!(service.refused(Input::Void { of, why: why() }), Refusal::NoReading, "gone already");
    // Once something was kept behind it, it stands.
    let of = service.session.worked_last().map(|kept| kept.seq);
    service.on_to_turn();
    let due = service.due();
    service.calmly_while(|_, now| *now == due);
    if let Some(of) = of {
        assert_eq!(service.refused(Input::Void { of, why: why() }), Refusal::NoReading);
    }
    service.sign();
}

#[test]
fn what_was_gauged_before_a_torque_that_comes_late_is_gauged_again() {
    let mut service = worked("valve or seat");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    service.tell(Input::HoldDownNotMeasured);
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::CountIn { .. }));
    assert_eq!(service.due(), Due::HoldDown(3));
    let three = [intake(3), exhaust(3)];
    assert!(three.iter().all(|&valve| service.left(valve).is_some()));
    let said = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(said.contains("gauged again"), "{said}");
    let four = service.session.state.left(exhaust(4)).map(|taken| taken.seq);
    service.tell(torque("22 N·m"));
    let found = service.session.kept.last().unwrap().seq;
    assert!(three.iter().all(|&valve| service.left(valve).is_none()), "under another torque");
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
    service.sign();
    for valve in three {
        assert!(service.session.state.left(valve).unwrap().seq > found, "{valve:?}");
    }
    assert_eq!(service.session.state.left(exhaust(4)).map(|taken| taken.seq), four);
}

#[test]
fn where_no_nut_moved_under_the_wrench_what_was_gauged_before_stands() {
    let mut service = worked("valve or seat");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    assert_eq!(service.refused(Input::HoldDown("22 N·m".into(), true)), Refusal::NotNow);
    service.tell(Input::HoldDownNotMeasured);
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::CountIn { .. }));
    let before: Vec<_> =
        [intake(3), exhaust(3)].map(|valve| service.session.state.left(valve).unwrap().seq).into();
    // What is no torque is told at once.
    let refused = Talk::default().answer(&service.session, "22 m");
    assert!(matches!(refused, Answered::Refused(..)), "{refused:?}");
    let mut moved = service.clone();
    kept(&mut moved, &["22 N·m", "2"]);
    assert!(matches!(moved.due(), Due::Turn { .. }), "{:?}", moved.due());
    kept(&mut service, &["22 N·m", "1"]);
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    let after: Vec<_> =
        [intake(3), exhaust(3)].map(|valve| service.session.state.left(valve).unwrap().seq).into();
    assert_eq!(before, after);
    service.sign();
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("no nut moved: the wrench clicked on each"), "{sheet}");
}

#[test]
fn a_torque_that_comes_in_time_leaves_what_it_finds() {
    // As a version before this one asked for it: read first, and torqued before anything is set.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.tell(work(3, "valve or seat"));
    service.on_to_gauge(intake(3)).gauge("6");
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(valve, _) if *valve == exhaust(3)));
    let (what, hold_down) = ("hold-down torque".into(), Some("22 N·m".into()));
    service.keep(Entry::Work(Work {
        cylinder: 3,
        what,
        text: String::new(),
        hold_down,
        asks_anew: false,
    }));
    assert_eq!(service.left(intake(3)), Some("6"));
    service.sign();
}

#[test]
fn once_it_is_closed_up_it_is_asked_before_the_signature() {
    let mut service = worked("cylinder");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    // An earlier version did not ask here.
    service.tell(torque("22 N·m")).on_to_sign();
    service.session.state.work.values_mut().for_each(|work| work.hold_down = HoldDown::Owed);
    assert_eq!(service.due(), Due::HoldDown(3));
    let title = Talk::default().prompt(&service.session).title;
    assert!(title.contains("not signed before") && !title.contains("cover"), "{title}");
}

#[test]
fn nuts_that_are_not_tight_are_kept_and_nothing_turns_before_they_are_torqued() {
    let mut service = worked("cylinder");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    let not_looked = ["0", "0"];
    let mut talk = Talk::default();
    for key in not_looked {
        match talk.answer(&service.session, key) {
            Answered::Next(next) => talk = next,
            Answered::Refused(_, words) => assert!(words.contains("look at each nut"), "{words}"),
            other => panic!("{other:?}"),
        }
    }
    kept(&mut service, &["0", "2"]);
    let loose = OpenItem::NutsNotTight(3);
    assert_eq!(service.open().first(), Some(&loose), "{:?}", service.open());
    assert!(!service.open().contains(&OpenItem::HoldDown(3)));
    // Whatever is asked, the crank stands: and by the spanner it is not answered any more.
    assert_eq!(service.due(), Due::HoldDown(3));
    assert_eq!(service.refused(Input::HoldDownNotMeasured), Refusal::NotNow);
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.title.contains("HOLD-DOWN NUTS NOT TIGHT, do not turn"), "{ask:?}");
    assert!(!ask.ask.contains("0 ="), "{ask:?}");
    // Neither caution stands for the other.
    let lines = ask.lines.join(" ");
    assert!(
        lines.contains("the crank is not turned") && ask.lines[0].starts_with("No wrench here?"),
        "{ask:?}"
    );
    // More work makes them no tighter.
    let mut more = service.clone();
    more.tell(work(3, "valve or seat"));
    assert!(more.open().contains(&loose), "{:?}", more.open());
    // On the notice, on the way back, in the record.
    service.tell(Input::Away(String::new()));
    let words = "HOLD-DOWN NUTS NOT TIGHT: cylinder 3, DO NOT TURN";
    let (lines, _) = hangar::lines(&service.session, &Earlier::default());
    assert!(lines.iter().any(|line| line == words), "{lines:?}");
    assert_eq!(hangar::large(&service.session).as_deref(), Some("CYL 3 NUTS LOOSE"));
    let back = cowlside::guide::status::way_back(&service.session, &Earlier::default());
    assert!(back[0].contains(words), "{back:?}");
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("hold-down nuts not tight"), "{sheet}");
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::Turn { .. }));
    assert_eq!(service.due(), Due::HoldDown(3));
    // Closed so, the next service has it, and asks before anything turns.
    let mut closed = service.clone();
    closed.tell(Input::CloseUnsigned { why: why() });
    let left = closed.session.state.left_open("spring");
    assert!(left.iter().any(|left| left.item == LeftItem::NutsNotTight(3)), "{left:?}");
    let mut next = Service::after(flat_four(), left);
    assert!(next.open().contains(&loose), "{:?}", next.open());
    next.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::Turn { .. }));
    assert_eq!(next.due(), Due::HoldDown(3));
    assert_eq!(next.refused(Input::HoldDownNotMeasured), Refusal::NotNow);
    next.tell(torque("22 N·m"));
    assert!(!next.open().contains(&loose));
    next.sign();
    service.tell(torque("22 N·m"));
    assert!(!service.open().contains(&loose) && !matches!(service.due(), Due::HoldDown(_)));
    service.sign();
}

#[test]
fn a_torque_that_no_hold_down_nut_has_is_asked_once_more() {
    let mut service = worked("cylinder");
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    let unit = |service: &Service, unit: &str| {
        let Answered::Next(talk) = Talk::default().answer(&service.session, "2222") else {
            panic!("a unit is asked")
        };
        let choices = talk.prompt(&service.session).field.choices;
        choices.iter().find(|one| one.label.contains(unit)).unwrap().digit.to_string()
    };
    let inch = unit(&service, "lbf·in (");
    let talk = ["2222", &inch].iter().fold(Talk::default(), |talk, key| {
        match talk.answer(&service.session, key) {
            Answered::Next(talk) => talk,
            other => panic!("{key}: {other:?}"),
        }
    });
    let ask = talk.prompt(&service.session);
    assert!(ask.ask.starts_with("Look at the wrench once more"), "{ask:?}");
    assert!(ask.lines.iter().any(|line| line.contains("2222 lbf·in (")), "{ask:?}");
    // Typed again it is asked as at first.
    let Answered::Next(again) = talk.answer(&service.session, "2") else { panic!("once more") };
    assert!(!again.is_begun(), "{again:?}");
    kept(&mut service.clone(), &["2222", &inch, "1"]);
    kept(&mut service.clone(), &["222", &inch]);
    kept(&mut service, &["22+35", "1"]);
    let slip = ["22 N·m, 350 N·m"];
    let mut other = worked("cylinder");
    other.calmly_while(|_, due| *due != Due::HoldDown(3));
    assert!(matches!(Talk::default().answer(&other.session, slip[0]), Answered::Next(_)));
}
