//! A stop that was felt as the engine was turned by hand: nothing turns before its cause is put right.

use super::engines::{flat_four, intake, radial_table, vee_twin};
use super::harness::{Service, why};
use super::parts::cams_in;
use cowlside::domain::entry::{Back, Entry, On, Rounds};
use cowlside::domain::session::{Crank, Due, Input, OpenItem, Refusal, Stage};
use cowlside::domain::trend::Earlier;
use cowlside::guide::place::in_the_job;
use cowlside::guide::{Talk, status};
use cowlside::report::record::record;

const FELT: OpenItem = OpenItem::StopFelt { or_hiss: false };
const HEARD: OpenItem = OpenItem::StopFelt { or_hiss: true };

fn told(service: &mut Service, item: &OpenItem) {
    let words = item.to_string();
    let asked = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(asked.contains(&words), "{asked}");
    assert!(item.bars_close_up() && item.gravity().is_danger());
    // Nor is it taken back by the key alone.
    let refused = service.refused(Input::TakeBack);
    assert!(matches!(refused, Refusal::CannotTakeBack(_)), "{refused:?}");
    service.tell(Input::Away(String::new()));
    let notice = status::notice(&service.session, &Earlier::default()).join("\n");
    assert!(notice.contains(&words), "{notice}");
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    assert!(service.open().contains(item), "{:?}", service.open());
}

/// Cams in after a shim was changed, up to the two turns.
fn turned_through() -> Service {
    let mut service = Service::cams_out(vee_twin(), "left", (intake(1), "36"));
    service.calmly_while(|_, due| !matches!(due, Due::TurnThrough(_)));
    service
}

/// A flat four up to the two turns of closing up.
fn at_the_last_turns() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "two-turns"));
    service
}

fn asks(due: &Due) -> bool {
    matches!(due, Due::Felt(..))
}

fn turns(due: &Due) -> bool {
    matches!(due, Due::Turn { .. } | Due::Rock { .. } | Due::TurnThrough(_) | Due::LeakTest(..))
        || matches!(due, Due::Check(line) if line.id == "two-turns")
        || matches!(due, Due::Caution(line, _) if line.id == "oil-lock")
}

/// Calmly on to the question of what was found: nothing turns before it.
fn asked_first(service: &mut Service) {
    service.calmly_while(|_, due| !asks(due) && !turns(due));
    assert!(asks(&service.due()), "{:?}", service.due());
    let prompt = Talk::default().prompt(&service.session);
    assert_eq!(prompt.big.unwrap().text, "DO NOT TURN");
}

#[test]
fn at_the_two_turns_over_new_shims_nothing_turns_until_its_cause_is_put_right() {
    let mut service = turned_through();
    service.tell(Input::Answer(0));
    assert!(!service.open().contains(&FELT), "not turned is not felt");
    service.tell(Input::Answer(2));
    assert!(asks(&service.due()), "{:?}", service.due());
    told(&mut service, &FELT);
    asked_first(&mut service);
    service.tell(Input::Answer(0));
    assert!(service.open().contains(&FELT) && asks(&service.due()), "not found yet");
    for nothing_said in [Input::Answer(1), Input::CauseFound(" ".into())] {
        assert!(matches!(service.refused(nothing_said), Refusal::TextMissing(_)));
    }
    service.tell(Input::CauseFound("belt a tooth out, timed anew".into()));
    assert!(!service.open().contains(&FELT), "{:?}", service.open());
    assert!(matches!(service.due(), Due::TurnThrough(_)), "turned once more: {:?}", service.due());
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("put right: belt a tooth out, timed anew\n"), "{sheet}");
    // Said by mistake, it is open again.
    let mut back = service.clone();
    back.tell(Input::TakeBack);
    assert!(back.open().contains(&FELT) && asks(&back.due()), "{:?}", back.due());
    service.tell(Input::Answer(2));
    assert!(service.open().contains(&FELT) && asks(&service.due()), "felt again");
    service.sign();
}

#[test]
fn turned_freely_at_once_as_it_was_kept_before_it_is_closed() {
    let mut service = turned_through();
    service.tell(Input::Answer(2));
    let id = "turned-through".to_string();
    let (asked, seen) = ("Two turns".into(), "turned freely".into());
    service.keep(Entry::On(On::Check { id, asked, digit: 1, seen, done: true }));
    assert!(!service.open().contains(&FELT), "{:?}", service.open());
    service.sign();
}

#[test]
fn the_next_service_has_it_open_itself_and_asks_before_the_first_turn() {
    let mut first = turned_through();
    first.tell(Input::Answer(2));
    first.tell(Input::CloseUnsigned { why: why() });
    let mut next = Service::after(vee_twin(), first.session.state.left_open("spring"));
    assert!(next.open().contains(&FELT), "{:?}", next.open());
    asked_first(&mut next);
    let said = Talk::default().prompt(&next.session).lines.join(" ");
    assert!(said.contains("Felt before this service, handed on by spring."), "{said}");
    next.tell(Input::CauseFound("a follower tipped, set in again".into()));
    assert!(!next.open().contains(&FELT), "{:?}", next.open());
    next.sign();
    // And once more to the one after that.
    let mut first = at_the_last_turns();
    first.tell(Input::Answer(2));
    let mut next = Service::after(flat_four(), first.session.state.left_open("spring"));
    asked_first(&mut next);
    let third = Service::after(flat_four(), next.session.state.left_open("summer"));
    assert!(third.open().contains(&HEARD), "{:?}", third.open());
    // Pulling through for oil is a turn as well.
    let mut radial = Service::after(radial_table(None), first.session.state.left_open("spring"));
    asked_first(&mut radial);
    radial.sign();
}

#[test]
fn with_a_nut_slack_after_all_it_is_asked_before_the_rounds_turn_and_they_may_be_passed_over() {
    let mut service = at_the_last_turns();
    service.tell(Input::Answer(2)).tell(Input::NutFoundSlack(intake(1)));
    asked_first(&mut service);
    assert!(service.open().contains(&HEARD), "{:?}", service.open());
    assert!(matches!(service.refused(Input::SeeOverlap(1)), Refusal::OpenItem(_)));
    let mut gauged = service.clone();
    gauged.tell(Input::CauseFound("a plug".into())).sign();
    // The nut is locked; what is left of the round need not be turned to.
    let mut service = at_the_last_turns();
    service.tell(Input::Answer(2));
    service.tell(Input::Work { cylinder: 1, what: "valve or seat".into(), text: String::new() });
    asked_first(&mut service);
    let passed = service.give(&Input::SkipRound { why: why() });
    assert_eq!(passed, Ok(()), "{:?}", service.open());
}

#[test]
fn with_the_cams_out_once_more_nothing_is_felt() {
    let mut service = turned_through();
    service.tell(Input::Answer(2)).tell(Input::CamsOut { bank: Some("left".into()) });
    assert!(!service.open().contains(&FELT), "{:?}", service.open());
    service.sign();
}

#[test]
fn at_the_two_turns_of_closing_up_so_is_a_hiss() {
    let mut service = at_the_last_turns();
    service.tell(Input::Answer(2));
    told(&mut service, &HEARD);
    let mut closed = service.clone();
    closed.tell(Input::CloseUnsigned { why: why() });
    assert!(closed.open().contains(&HEARD), "{:?}", closed.open());
    service.sign();
}

fn cams_out(bank: &str) -> Input {
    Input::CamsOut { bank: Some(bank.into()) }
}

/// The cams of both banks in after shims were changed, and a stop felt.
fn felt_over_both() -> Service {
    let mut service = Service::cams_out(vee_twin(), "left", (intake(1), "36"));
    service.tell(cams_out("right"));
    service.calmly_while(|_, due| !matches!(due, Due::TurnThrough(_))).tell(Input::Answer(2));
    service
}

#[test]
fn with_the_cams_of_one_bank_out_it_may_be_the_others() {
    let mut service = felt_over_both();
    let mut before = service.clone();
    service.tell(cams_out("left"));
    assert!(service.open().contains(&FELT), "{:?}", service.open());
    service.tell(cams_in("left", 1));
    assert!(asks(&service.due()), "its cause is asked: {:?}", service.due());
    service.tell(cams_out("right"));
    assert!(service.open().contains(&FELT), "the left ones are in again");
    service.tell(cams_out("left"));
    assert!(!service.open().contains(&FELT), "all are out: {:?}", service.open());
    service.sign();
    // By a version before this one it was gone with any of them.
    for mut entry in before.session.decide(&cams_out("left")).unwrap() {
        let Entry::Part(part) = &mut entry else { panic!("{entry:?}") };
        assert!(std::mem::take(&mut part.undoes_less));
        before.keep(entry);
    }
    assert!(!before.open().contains(&FELT), "{:?}", before.open());
}

#[test]
fn of_one_that_was_felt_before_this_service_nobody_knows_under_which_cams() {
    let mut first = turned_through();
    first.tell(Input::Answer(2));
    let mut next = Service::after(vee_twin(), first.session.state.left_open("spring"));
    asked_first(&mut next);
    next.tell(cams_out("right"));
    assert!(next.open().contains(&FELT), "{:?}", next.open());
    next.tell(cams_out("left"));
    assert!(!next.open().contains(&FELT), "{:?}", next.open());
    // A hiss is no matter of cams.
    let mut first = at_the_last_turns();
    first.tell(Input::Answer(2));
    let mut next = Service::after(vee_twin(), first.session.state.left_open("spring"));
    asked_first(&mut next);
    next.tell(Input::CamsOut { bank: None });
    assert!(next.open().contains(&HEARD), "{:?}", next.open());
    next.sign();
}

#[test]
fn with_what_is_left_of_the_round_passed_over_it_is_asked_before_a_cover_goes_on() {
    let mut service = at_the_last_turns();
    service.tell(Input::Answer(2));
    let of = service.last_reading();
    service.tell(Input::Void { of, why: why() });
    asked_first(&mut service);
    // Where the crank is may be told as not known: nothing turns by that.
    let mut lost = service.clone();
    lost.tell(Input::Lost);
    assert_eq!((lost.session.state.crank, asks(&lost.due())), (Crank::Unknown, true));
    service.tell(Input::SkipRound { why: why() });
    service.calmly_while(|_, due| !asks(due) && !matches!(due, Due::CountIn { .. }));
    assert!(asks(&service.due()), "before a piece is counted in: {:?}", service.due());
    assert_eq!(service.due().stage(), Stage::BeforeClosing);
    assert_eq!(in_the_job(&service.session), "before closing up");
    service.sign();
}

#[test]
fn the_place_of_a_torque_that_is_asked_with_the_engine_apart_is_so_named() {
    let mut service = turned_through();
    service.tell(Input::Work { cylinder: 1, what: "cylinder".into(), text: String::new() });
    assert_eq!(service.due(), Due::HoldDown(1));
    let place = in_the_job(&service.session);
    assert!(place.starts_with("change shims"), "{place}");
    service.sign();
}
