//! Where nobody can read what an earlier service left open, the engine is looked at before anything turns; what
//! is found slack there is marked there.

use super::engines::{exhaust, flat_four, intake, radial_table, usual_timing, vee_twin};
use super::harness::Service;
use cowlside::domain::entry::{Entry, Remark, Rounds};
use cowlside::domain::session::{Due, Input, LOOK_FOR, OpenItem, Refusal, hand_on};
use cowlside::domain::trend::Earlier;
use cowlside::guide::place::in_the_job;
use cowlside::guide::{Answered, Beside, Command, Talk, commands};
use cowlside::report::record::record;

/// Nobody can read what another service left open: the engine is looked at before it turns.
pub fn look() -> Input {
    let text = hand_on("spring", None, &format!("its file is gone: {LOOK_FOR}"));
    Input::Remark(Remark { text, before_running: true, ..Remark::default() })
}

fn turns(due: &Due) -> bool {
    matches!(due, Due::Turn { .. } | Due::Rock { .. })
}

/// At the look, before the first turn.
fn at_the_look() -> Service {
    let mut service = Service::new(flat_four());
    service.tell(look());
    service.calmly_while(|_, due| !turns(due) && !matches!(due, Due::Look(..)));
    assert!(matches!(service.due(), Due::Look(..)), "{:?}", service.due());
    service
}

/// Answers with these keys what a talk begins to ask.
fn keys(service: &Service, begun: Answered, keys: &[&str]) -> Answered {
    keys.iter().fold(begun, |answered, key| {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        talk.answer(&service.session, key)
    })
}

fn answered(service: &Service, digits: &[&str]) -> Answered {
    keys(service, Answered::Next(Talk::default()), digits)
}

fn kept(service: &mut Service, answered: Answered) {
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
}

fn sheet(service: &Service) -> String {
    let text = record(&service.session, &Earlier::default()).replace('\u{a0}', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_radial_is_looked_at_before_it_is_pulled_through() {
    let pulled = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == "oil-lock");
    let mut service = Service::new(radial_table(Some(usual_timing())));
    service.calmly_while(|_, due| !pulled(due) && !turns(due));
    assert!(pulled(&service.due()), "negative control: {:?}", service.due());
    let mut service = Service::new(radial_table(Some(usual_timing())));
    service.tell(look());
    service.calmly_while(|_, due| !pulled(due) && !turns(due) && !matches!(due, Due::Look(..)));
    assert!(matches!(service.due(), Due::Look(..)), "{:?}", service.due());
    let looked = answered(&service, &["1", "1", "1"]);
    kept(&mut service, looked);
    assert!(pulled(&service.due()), "{:?}", service.due());
    service.sign();
}

#[test]
fn it_is_asked_before_the_crank_turns_in_its_own_words_and_not_in_those_of_the_run() {
    let mut service = at_the_look();
    let ask = Talk::default().prompt(&service.session);
    let place = "before the crank turns";
    assert!(ask.place.contains(place) && !ask.place.contains("run and leak"), "{ask:?}");
    assert_eq!(in_the_job(&service.session), place);
    assert_eq!(ask.title, "Nothing turns until it is looked at");
    assert_eq!(ask.big.as_ref().unwrap().text, "LOOK FIRST");
    let labels: Vec<&str> = ask.field.choices.iter().map(|one| one.label.as_str()).collect();
    let wanted = [
        "looked: say how, and by whom",
        "never so: say how seen, by whom",
        "not looked yet: nothing turns",
    ];
    assert_eq!(labels, wanted);
    assert!(!ask.lines.join(" ").contains("The run"), "{ask:?}");
    let not_yet = answered(&service, &["3"]);
    let stays = "it stays open: nothing turns until it is looked at";
    assert!(matches!(&not_yet, Answered::Refused(_, words) if words == stays), "{not_yet:?}");
    // What is seen at overlap was turned to.
    assert_eq!(service.refused(Input::SeeOverlap(1)), Refusal::NotNow);
    let found = answered(&service, &["1", "1", "1"]);
    kept(&mut service, found);
    let said = &service.session.state.remarks.last().unwrap().1.text;
    assert_eq!(said, "looked: on the engine, by First; all as it ought to be, nothing open");
    assert!(turns(&service.due()), "{:?}", service.due());
    service.sign();
}

#[test]
fn that_it_was_never_so_says_how_it_was_seen() {
    let mut service = at_the_look();
    let never = answered(&service, &["2", "9", "told by the owner, by me"]);
    kept(&mut service, never);
    let said = &service.session.state.remarks.last().unwrap().1.text;
    assert_eq!(said, "never so: told by the owner, by me");
    assert!(turns(&service.due()), "{:?}", service.due());
}

#[test]
fn nuts_that_are_slack_at_it_are_named_in_its_answer() {
    let mut service = at_the_look();
    let digits = ["1", "1", "2", "1", "1", "2", "3", "2"];
    let twice = answered(&service, &[&digits[..], &["2", "1", "1"]].concat());
    let already = "the nut of 1 intake counts as slack already";
    assert!(matches!(&twice, Answered::Refused(_, words) if words == already), "{twice:?}");
    let both = answered(&service, &[&digits[..], &["1"]].concat());
    kept(&mut service, both);
    let slack = [OpenItem::NutSlack(intake(1)), OpenItem::NutSlack(exhaust(3))];
    assert_eq!(service.open()[..2], slack);
    assert!(turns(&service.due()), "{:?}", service.due());
    let when = "at the look, before the crank turned";
    for name in ["1 intake", "3 exhaust"] {
        let told = format!("found slack {name}, {when} (");
        assert!(sheet(&service).contains(&told), "{}", sheet(&service));
    }
    service.sign();
    assert!(sheet(&service).contains("by First; nut slack: 1 intake, 3 exhaust"));
}

#[test]
fn a_nut_or_a_part_is_named_there_from_the_list_of_all_and_the_look_stays() {
    let mut service = at_the_look();
    let offers = commands::offers(&service.session, &Beside::default());
    let now = |command| offers.iter().find(|one| one.command == command).unwrap().not_now.is_none();
    assert!(now(Command::FoundSlack) && now(Command::PartOut));
    assert!(!now(Command::SeeOverlap) && !now(Command::SkipRound));
    let named = Talk::call(&service.session, Command::FoundSlack, Default::default());
    let named = keys(&service, named, &["3", "2", "1"]);
    kept(&mut service, named);
    assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(3)));
    assert!(matches!(service.due(), Due::Look(..)), "{:?}", service.due());
    let found = answered(&service, &["1", "1", "1"]);
    kept(&mut service, found);
    let said = &service.session.state.remarks.last().unwrap().1.text;
    assert_eq!(said, "looked: on the engine, by First; nothing else is open");
    service.sign();
}

#[test]
fn what_else_is_found_bars_the_run_and_the_look_stays() {
    let mut service = at_the_look();
    let found = answered(&service, &["1", "1", "3", "a rag in the box of 2"]);
    kept(&mut service, found);
    assert!(matches!(service.due(), Due::Look(..)), "{:?}", service.due());
    let is_it = |item: &OpenItem| {
        matches!(item, OpenItem::BeforeRunning { text, .. }
            if text == "found at the look: a rag in the box of 2")
    };
    assert!(service.open().iter().any(is_it), "{:?}", service.open());
    service.sign();
}

#[test]
fn one_that_comes_up_late_is_asked_before_the_two_turns_or_before_the_run() {
    let late = |wanted: &dyn Fn(&Due) -> bool| {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None);
        service.calmly_while(|_, due| !wanted(due));
        service.tell(look());
        service
    };
    let two_turns = |due: &Due| matches!(due, Due::Check(line) if line.id == "two-turns");
    let mut service = late(&two_turns);
    assert!(matches!(service.due(), Due::Look(..)), "{:?}", service.due());
    service.sign();
    let mut service = late(&|due| matches!(due, Due::RunCaution(_)));
    assert!(matches!(service.due(), Due::BeforeRunning(..)), "{:?}", service.due());
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.place.ends_with("run and leak check"), "{ask:?}");
    assert_eq!(ask.title, "The run waits until it is looked at");
    let found = answered(&service, &["1", "1", "1"]);
    kept(&mut service, found);
    service.sign();
}

#[test]
fn where_there_are_no_screws_no_nut_is_asked_about() {
    let mut service = Service::new(vee_twin());
    service.tell(look());
    service.calmly_while(|_, due| !turns(due) && !matches!(due, Due::Look(..)));
    assert!(matches!(service.due(), Due::Look(..)), "{:?}", service.due());
    let Answered::Next(talk) = answered(&service, &["1", "1"]) else { panic!() };
    let ask = talk.prompt(&service.session);
    assert!(!ask.field.offers(2) && ask.field.offers(1) && ask.field.offers(3), "{ask:?}");
    assert!(!Talk::default().prompt(&service.session).lines[1..].join(" ").contains("nut"));
}

#[test]
fn a_session_that_was_answered_by_an_earlier_version_is_looked_at() {
    let mut service = at_the_look();
    let Due::Look(seq, _) = service.due() else { unreachable!() };
    let text = "done: on the engine, by First".into();
    service.keep(Entry::Remark(Remark { text, settles: Some(seq), ..Remark::default() }));
    assert!(turns(&service.due()), "{:?}", service.due());
}
