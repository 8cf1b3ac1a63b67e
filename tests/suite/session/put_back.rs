//! What was taken off to make the engine safe is open, once covers go on, until its own check answers for it.

use super::engines::flat_four;
use super::harness::{Service, why};
use cowlside::domain::entry::{Back, Entry, Rounds};
use cowlside::domain::session::{Due, HAS_RUN, Input, LEAK_TEST_LATER, LEAK_TEST_NOW, OpenItem};
use cowlside::domain::trend::Earlier;
use cowlside::guide::{Talk, status};
use cowlside::report::record::record;

fn answer(service: &mut Service, id: &str, digit: u8) {
    service.calmly_while(|_, due| !at(due, id)).tell(Input::Answer(digit));
}

fn at(due: &Due, id: &str) -> bool {
    matches!(due, Due::Caution(line, _) | Due::Check(line) if line.id == id)
}

fn up_to(id: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !at(due, id));
    service
}

/// All that is not put back behind the covers, in the order of closing up.
const LEFT: [OpenItem; 4] = [
    OpenItem::PlugsNotTorqued,
    OpenItem::TwoTurnsOwed,
    OpenItem::LeadsOff,
    OpenItem::ControlsNotBack,
];

#[test]
fn behind_the_covers_plugs_turns_leads_and_controls_are_open_until_each_is_answered() {
    let mut service = up_to("plugs-in");
    assert_eq!(service.open(), LEFT);
    for (place, id) in ["plugs-in", "two-turns", "leads", "controls"].into_iter().enumerate() {
        assert_eq!(service.open(), LEFT[place..], "{id}");
        assert!(at(&service.due(), id), "{:?}", service.due());
        service.tell(Input::Answer(0));
        assert_eq!(service.open(), LEFT[place..], "not yet is no answer: {id}");
        service.tell(Input::Answer(1));
    }
    assert_eq!(service.open(), []);
    service.sign();
}

#[test]
fn whoever_comes_after_a_service_that_is_closed_unsigned_there_is_told() {
    let mut service = up_to("plugs-in");
    service.tell(Input::Away(String::new()));
    let notice = status::notice(&service.session, &Earlier::default()).join("\n");
    for item in &LEFT {
        assert!(notice.contains(&item.to_string()), "{item}: {notice}");
    }
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    assert_eq!(service.open(), LEFT, "a break puts nothing back");
    let asked = Talk::default().prompt(&service.session);
    // All of them; where they have no room in one row the gravest, and how many more there are.
    let told = |lines: &[String], words: &str| lines.iter().any(|line| line.contains(words));
    let all = LEFT.each_ref().map(ToString::to_string).join(" · ");
    assert!(told(&asked.lines, &format!("Open: {all}")), "{:?}", asked.lines);
    let rows: Vec<String> =
        asked.shorter.unwrap_or_default().texts().map(|row| row.clone()).collect();
    assert!(told(&rows, "Open: PLUGS NOT AT TORQUE YET"), "{rows:?}");
    assert!(told(&rows, " and 2 more"), "{rows:?}");
    service.tell(Input::CloseUnsigned { why: why() });
    assert_eq!(service.open(), LEFT);
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("PLUGS NOT AT TORQUE YET"), "{sheet}");
}

#[test]
fn nothing_is_said_to_be_off_that_was_never_taken_off() {
    let mut service = Service::new(flat_four());
    answer(&mut service, "ignition", 2);
    answer(&mut service, "plugs", 2);
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !at(due, "plugs-in"));
    assert_eq!(service.open(), [OpenItem::TwoTurnsOwed, OpenItem::ControlsNotBack]);
    let Due::Check(line) = service.due() else { unreachable!() };
    assert!(line.state(2).is_some(), "none were out: {line:?}");
    service.sign();
}

#[test]
fn leads_that_came_off_stay_off_whatever_makes_the_ignition_safe_after_a_break() {
    let mut service = up_to("look");
    assert_eq!(service.open()[0], OpenItem::CoversOff);
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    answer(&mut service, "ignition", 2);
    assert!(service.open().contains(&OpenItem::LeadsOff), "{:?}", service.open());
    service.calmly_while(|_, due| !at(due, "leads"));
    let Due::Check(line) = service.due() else { unreachable!() };
    assert!(line.state(2).is_none(), "none were off is not so: {line:?}");
    service.sign();
}

#[test]
fn after_a_fault_that_is_put_right_from_outside_leads_are_off_once_that_is_said() {
    let mut service = up_to("look");
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "leaks"));
    service.tell(Input::RunFault { digit: 2, text: "a drip".into() });
    assert_eq!(service.open(), []);
    service.tell(Input::RunAgain { covers: false });
    let open = service.open();
    assert!(!open.contains(&OpenItem::LeadsOff), "nobody said so yet: {open:?}");
    answer(&mut service, "ignition", 1);
    assert!(service.open().contains(&OpenItem::LeadsOff), "{:?}", service.open());
    assert!(!service.open().contains(&OpenItem::PlugsNotTorqued), "{:?}", service.open());
    service.sign();
}

#[test]
fn for_a_late_leak_test_nothing_is_off_before_it_is_said_to_be() {
    let mut service = Service::very_tight();
    let no_test = |why: &str| Input::LeakTest { typed: String::new(), why_not: why.into() };
    service.tell(no_test(LEAK_TEST_LATER));
    for why_not in [LEAK_TEST_LATER, LEAK_TEST_NOW] {
        service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
        service.tell(no_test(why_not));
    }
    // The engine is closed up still, with its leads on: nobody is told otherwise while it is made safe.
    let told = |service: &Service| service.open().iter().any(|item| LEFT.contains(item));
    assert!(at(&service.due(), "ignition"), "{:?}", service.due());
    assert!(!told(&service), "{:?}", service.open());
    service.tell(Input::Answer(1));
    assert!(service.open().contains(&OpenItem::LeadsOff), "{:?}", service.open());
    assert!(!service.open().contains(&OpenItem::PlugsNotTorqued), "{:?}", service.open());
    service.calmly_while(|_, due| !at(due, "plugs-in"));
    assert_eq!(service.open(), LEFT);
    service.sign();
}

#[test]
fn closed_unsigned_in_the_rounds_all_that_is_off_is_told_and_handed_on() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(super::engines::intake(1)).gauge("6");
    let at_work = service.open();
    assert!(!at_work.iter().any(|item| LEFT.contains(item)), "it is as it has to be: {at_work:?}");
    let left = service.session.state.open_if_closed("");
    for item in LEFT.iter().chain([&OpenItem::CoversOff]) {
        assert!(left.contains(item), "{item}: {left:?}");
    }
    let call = |answers: &[&str]| {
        let beside = cowlside::guide::Beside::default();
        let command = cowlside::guide::Command::CloseUnsigned;
        let call = cowlside::guide::Talk::call(&service.session, command, beside.into());
        answers.iter().fold(call, |talk, typed| match talk {
            cowlside::guide::Answered::Next(next) => next.answer(&service.session, typed),
            other => panic!("{other:?}"),
        })
    };
    let cowlside::guide::Answered::Next(asked) = call(&[]) else { panic!() };
    let asked = asked.prompt(&service.session).lines;
    assert!(asked.iter().any(|line| line == "LEADS OFF"), "{asked:?}");
    let closed = call(&["1", "1"]);
    let cowlside::guide::Answered::Keep(entries) = closed else { panic!("{closed:?}") };
    let [Entry::Seal(seal)] = &*entries else { panic!("{entries:?}") };
    assert!(seal.why.contains("CONTROLS NOT PUT BACK YET"), "{}", seal.why);
    service.tell(Input::CloseUnsigned { why: seal.why.clone() });
    assert_eq!(service.open(), left);
    let notice = status::notice(&service.session, &Earlier::default()).join("\n");
    assert!(notice.contains("LEADS OFF") && notice.contains("COVERS OFF"), "{notice}");
}

/// In the rounds with its covers off, and behind them with only what was made safe to be put back.
fn closed(at_work: bool, why: &str, tells: Option<bool>) -> Vec<OpenItem> {
    let mut service = up_to("plugs-in");
    if at_work {
        service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(super::engines::intake(1));
    }
    let input = Input::CloseUnsigned { why: why.into() };
    let mut made = service.session.decide(&input).unwrap();
    let [Entry::Seal(seal)] = made.as_mut_slice() else { panic!("{made:?}") };
    if tells.is_none() {
        // As a version before this one kept it.
        seal.tells_not_put_back = None;
    }
    assert_eq!(seal.tells_not_put_back, tells, "{why}");
    made.into_iter().for_each(|entry| service.keep(entry));
    service.open()
}

#[test]
fn what_is_not_put_back_is_told_of_by_a_seal_that_says_so_and_of_none_that_has_run() {
    let told = |open: &[OpenItem]| LEFT.iter().filter(|item| open.contains(item)).count();
    for (at_work, why, tells, all) in [
        (true, "no time", Some(true), 4),
        (true, "no time", None, 0),
        (true, HAS_RUN, Some(false), 0),
        (false, "no time", Some(true), 4),
        (false, "no time", None, 4),
        (false, HAS_RUN, Some(false), 0),
    ] {
        let open = closed(at_work, why, tells);
        assert_eq!(told(&open), all, "at work {at_work}, {why}, {tells:?}: {open:?}");
        let covers = open.contains(&OpenItem::CoversOff);
        assert_eq!(covers, at_work && tells == Some(true), "{why}: {open:?}");
        // Pieces that are off lie about whatever was said.
        let pieces = open.iter().any(|item| matches!(item, OpenItem::NotCountedIn { .. }));
        assert_eq!(pieces, at_work, "{why}: {open:?}");
    }
}

#[test]
fn where_it_has_run_nobody_is_told_in_the_seal_that_it_is_apart() {
    let mut service = up_to("plugs-in");
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    let answered = Talk::default().answer(&service.session, "2");
    let cowlside::guide::Answered::Keep(made) = answered else { panic!("{answered:?}") };
    let [Entry::Seal(seal)] = &*made else { panic!("{made:?}") };
    assert_eq!((seal.why.as_str(), seal.tells_not_put_back), (HAS_RUN, Some(false)));
}
