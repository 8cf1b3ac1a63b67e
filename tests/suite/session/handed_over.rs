//! What was handed over, or left by others, is answered for: the run of a service that is signed, and what
//! another session left open; and what a nut was locked at before another profile was taken.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, profile_text, why};
use super::parts::{begun, survey};
use cowlside::domain::entry::{Entry, Hours, Remark, Rounds, Skip, Skipped};
use cowlside::domain::profile::Adjuster;
use cowlside::domain::session::{
    Due, Input, OpenItem, OwedRun, RUN_HANDED_OVER, Refusal, hand_on, handed_on, is_handed_on,
};
use cowlside::domain::trend::Earlier;
use cowlside::domain::units::Torque;
use cowlside::guide::status::{self, notice};
use cowlside::guide::{Answered, Command, Talk, glance};
use cowlside::report::parts_sheet::parts_text;
use cowlside::report::record::record;

/// Answers with these keys what a talk begins to ask.
fn keys(service: &Service, begun: Answered, keys: &[&str]) -> Answered {
    keys.iter().fold(begun, |answered, key| {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        talk.answer(&service.session, key)
    })
}

fn kept(service: &mut Service, answered: Answered) {
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
}

/// Signed with the run left to somebody else, by this answer of its question.
fn not_run(digit: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    let answered = keys(&service, Answered::Next(Talk::default()), &["9", digit]);
    kept(&mut service, answered);
    assert_eq!(service.open(), [], "it bars no signature");
    service.sign();
    service
}

#[test]
fn a_run_that_is_handed_over_stays_open_until_somebody_says_what_was_seen() {
    let mut service = not_run("1");
    assert_eq!(service.session.state.run_skipped.as_deref(), Some(RUN_HANDED_OVER));
    assert_eq!(service.open(), [OpenItem::RunHandedOver]);
    let told = notice(&service.session, &Earlier::default());
    assert_eq!(told[0], "DO NOT RELEASE", "it may be turned, and run");
    let told = told.join(" ");
    assert!(told.contains("NOT RUN AND LEAK-CHECKED YET: do not release"), "{told}");
    let sheet = record(&service.session, &Earlier::default());
    assert!(
        sheet.contains("still open") && sheet.contains("NOT RUN AND LEAK-CHECKED YET"),
        "{sheet}"
    );
    // Nothing else is taken once it is signed.
    let seq = service.session.state.run_to_answer().unwrap();
    let other = Input::SettleRemark { seq: seq + 1, text: "dry".into() };
    assert_eq!(service.refused(other), Refusal::Closed);
    let asks = Talk::call(&service.session, Command::Remark, Default::default());
    let answered = keys(&service, asks, &["1", "9", "run up by the owner, all dry"]);
    kept(&mut service, answered);
    assert_eq!(service.open(), []);
    assert_eq!(service.refused(Input::SettleRemark { seq, text: "dry".into() }), Refusal::Closed);
}

#[test]
fn so_does_one_that_is_put_off_for_another_reason_but_not_as_earlier_versions_kept_it() {
    let service = not_run("2");
    assert_eq!(service.open(), [OpenItem::RunHandedOver]);
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    let why = "weather or place does not allow it".into();
    service.keep(Entry::Skip(Skip { what: Skipped::Run, why, run_owed: false }));
    assert_eq!(service.sign().open(), []);
}

fn remark(text: &str) -> Input {
    Input::Remark(Remark { text: text.into(), before_running: true, ..Remark::default() })
}

#[test]
fn what_others_left_comes_behind_what_was_found_today_and_wants_an_answer_that_fits() {
    let left = "left open by spring: COVERS NOT AT TORQUE YET";
    assert!(is_handed_on(left) && !is_handed_on("baffle left open by me"));
    let short = |text: &str| cowlside::domain::session::remark_in_short(text);
    assert_eq!(short(left), "COVERS NOT AT TORQUE YET, left open by spring");
    let dated = hand_on("spring", Some("2026-03-14"), "LEADS OFF");
    assert_eq!(short(&dated), "LEADS OFF, left open 2026-03-14");
    assert_eq!(handed_on(&dated).unwrap().from, "spring");
    // Of one of two on that day the time stands beside it.
    let timed = hand_on("spring", Some("2026-03-14 09:05"), "LEADS OFF");
    assert_eq!(short(&timed), "LEADS OFF, left open 2026-03-14 09:05");
    assert_eq!(handed_on(&timed).unwrap().from, "spring");
    assert_eq!(short("LEADS OFF"), "LEADS OFF");
    let mut service = Service::new(flat_four());
    service.tell(remark(left)).tell(remark("baffle cracked"));
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..)));
    let due = |service: &Service| match service.due() {
        Due::BeforeRunning(_, text) => text,
        due => panic!("{due:?}"),
    };
    assert_eq!(due(&service), "baffle cracked");
    let answered = keys(&service, Answered::Next(Talk::default()), &["9", "stop drilled"]);
    kept(&mut service, answered);
    assert_eq!(due(&service), left);
    // Words alone are no answer; nor is it settled by not having been done.
    let words = keys(&service, Answered::Next(Talk::default()), &["ok"]);
    assert!(matches!(words, Answered::Refused(..)), "{words:?}");
    let not_done = keys(&service, Answered::Next(Talk::default()), &["3"]);
    assert!(matches!(&not_done, Answered::Refused(_, words) if words.contains("stays open")));
    let answered = keys(
        &service,
        Answered::Next(Talk::default()),
        &["1", "9", "each traced to its plug, by me"],
    );
    kept(&mut service, answered);
    let said = &service.session.state.remarks.last().unwrap().1;
    assert_eq!(said.text, "done: each traced to its plug, by me");
    service.sign();
}

#[test]
fn a_nut_that_another_profile_made_slack_says_what_it_was_locked_at() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9").on_to_round(1);
    let mut facts = flat_four();
    let Adjuster::Screw(screw) = &mut facts.adjuster else { unreachable!() };
    screw.lock_nut_torque = Some(Torque::parse("30 N·m").unwrap());
    let profile = Box::new(profile_text(facts));
    service.tell(Input::AmendProfile { profile, source: "new issue".into(), why: why() });
    let before = service.session.locked_before();
    assert_eq!(before.iter().map(|one| one.valve).collect::<Vec<_>>(), [intake(1)]);
    service.calmly_while(|_, due| !matches!(due, Due::Trying(valve) if *valve == intake(1)));
    let lines = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(lines.contains("It was locked at 177 lbf·in (20 N·m)"), "{lines}");
    assert!(lines.contains("asks for 266 lbf·in (30 N·m)"), "{lines}");
    // Slackened by hand it is slack for another reason.
    let mut other = service.clone();
    other.calmly_while(|_, due| !matches!(due, Due::Threads(..) | Due::Turn { .. }));
    other.tell(Input::NutFoundSlack(exhaust(1)));
    other.calmly_while(|_, due| !matches!(due, Due::Trying(valve) if *valve == exhaust(1)));
    let lines = Talk::default().prompt(&other.session).lines.join(" ");
    assert!(!lines.contains("It was locked"), "{lines}");
    service.sign();
    let sheet = record(&service.session, &Earlier::default());
    let sheet = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        sheet.contains("locked at 177 lbf·in (20 N·m)") && sheet.contains("before another profile"),
        "{sheet}"
    );
}

#[test]
fn the_parts_list_names_a_valve_that_is_left_out_of_its_band() {
    let known = [(intake(1), 2600), (exhaust(2), 2650)];
    let mut service = begun(super::engines::vee_twin(), &known);
    survey(&mut service, &[(intake(1), "30"), (exhaust(2), "20")]);
    let sheet = |service: &Service| {
        let sheet = parts_text(&service.session, 79);
        sheet.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let all = sheet(&service);
    assert!(all.contains("1 intake reads 30: fit") && !all.contains("left so"), "{all}");
    service.tell(Input::LeaveAsIs { valve: exhaust(2), why: "owner told".into() });
    let one = sheet(&service);
    assert!(
        one.contains("2 exhaust reads 20: fit") && one.contains("left so: owner told"),
        "{one}"
    );
    service.tell(Input::LeaveAsIs { valve: intake(1), why: "on order".into() });
    let none = sheet(&service);
    assert!(!none.contains("nothing that is known"), "{none}");
    assert!(
        none.contains("1 intake reads 30: fit") && none.contains("left so: on order"),
        "{none}"
    );
    service.sign();
    let closed = sheet(&service);
    assert!(
        closed.contains("1 intake reads 30") && closed.contains("2 exhaust reads 20"),
        "{closed}"
    );
}

#[test]
fn over_a_low_leak_test_the_cause_comes_before_the_screw() {
    let first = |typed: &str| {
        let mut service = Service::very_tight();
        service.tell(Input::LeakTest { typed: typed.into(), why_not: String::new() });
        service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
        Talk::default().prompt(&service.session).field.choices[0].label.clone()
    };
    assert!(first("40/80").starts_with("cause of the low leak test found"), "{}", first("40/80"));
    assert!(first("74/80").starts_with("nut slackened"), "{}", first("74/80"));
}

#[test]
fn what_this_service_sees_itself_at_closing_up_answers_for_what_others_left_of_the_same() {
    let others = ["PLUGS NOT AT TORQUE YET", "TWO TURNS BY HAND NOT MADE YET", "LEADS OFF"];
    let mut service = Service::new(flat_four());
    for item in others.iter().chain(&["CONTROLS NOT PUT BACK YET", "RUN HANDED OVER"]) {
        service.tell(remark(&format!("left open by spring: {item}")));
    }
    service.tell(remark("LEADS OFF"));
    service.prepare(Rounds::SetThenRecheck, None);
    let left = |service: &Service, item: &str| {
        let of = |open: &OpenItem| matches!(open, OpenItem::BeforeRunning { text, .. } if text.ends_with(item));
        service.open().iter().filter(|open| of(open)).count()
    };
    let checked = |service: &mut Service, id: &str, digit: u8| {
        service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == id));
        service.tell(Input::Answer(digit));
    };
    assert_eq!(others.map(|item| left(&service, item)), [1, 1, 2]);
    checked(&mut service, "plugs-in", 0);
    assert_eq!(left(&service, others[0]), 1, "not yet is no answer");
    checked(&mut service, "plugs-in", 1);
    assert_eq!(others.map(|item| left(&service, item)), [0, 1, 2]);
    checked(&mut service, "two-turns", 1);
    checked(&mut service, "leads", 1);
    // What was found today is answered in its own words.
    assert_eq!(others.map(|item| left(&service, item)), [0, 0, 1]);
    // Whatever they are, that answer is one by itself.
    let seq = service.session.state.remarks.iter().find(|(_, one)| one.text == "LEADS OFF");
    let (seq, text) = (seq.unwrap().0, "seen at closing up: all on".into());
    service.tell(Input::SettleRemark { seq, text });
    assert_eq!(others.map(|item| left(&service, item)), [0, 0, 0]);
    service.tell(Input::TakeBack);
    assert_eq!(others.map(|item| left(&service, item)), [0, 0, 1]);
    checked(&mut service, "controls", 1);
    assert_eq!(left(&service, "CONTROLS NOT PUT BACK YET"), 0);
    assert_eq!(left(&service, "RUN HANDED OVER"), 1);
    let sheet = record(&service.session, &Earlier::default());
    let sheet = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(sheet.contains("seen at closing up: each traced to its own plug, tight"), "{sheet}");
    // Taken back, it is open again.
    service.tell(Input::TakeBack);
    assert_eq!(left(&service, "CONTROLS NOT PUT BACK YET"), 1);
    service.sign();
}

#[test]
fn that_nothing_was_off_here_answers_for_nothing_that_others_left_off() {
    let mut service = Service::new(flat_four());
    service.tell(remark("left open by spring: LEADS OFF"));
    for (id, digit) in [("ignition", 2), ("plugs", 2)] {
        let due_is = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == id);
        service.calmly_while(|_, due| !due_is(due)).tell(Input::Answer(digit));
    }
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "leads"));
    service.tell(Input::Answer(2));
    let open = service.open();
    assert!(open.iter().any(|item| matches!(item, OpenItem::BeforeRunning { .. })), "{open:?}");
    service.sign();
}

/// After a service whose run was handed over, up to the question of it.
fn after_a_run_handed_over() -> Service {
    let mut service = Service::new(flat_four());
    let left = hand_on("spring", Some("2026-03-14"), &OpenItem::RunHandedOver.to_string());
    service.tell(remark(&left)).tell(Input::Who("First".into()));
    assert!(matches!(service.due(), Due::OwedRun(_)), "{:?}", service.due());
    service
}

#[test]
fn a_run_that_the_service_before_handed_over_is_asked_about_at_the_start() {
    let service = after_a_run_handed_over();
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.lines[0].ends_with("do not release, left open 2026-03-14"), "{ask:?}");
    let mut dry = service.clone();
    let answered = keys(&dry, Answered::Next(Talk::default()), &["1"]);
    kept(&mut dry, answered);
    assert_eq!(dry.open(), []);
    dry.sign();
    // A leak is open from there on, and bars the run of this service.
    let mut leaked = service.clone();
    let answered = keys(&leaked, Answered::Next(Talk::default()), &["2", "1"]);
    kept(&mut leaked, answered);
    let leak = |item: &OpenItem| matches!(item, OpenItem::BeforeRunning { text, .. } if text == "leaked at its run: a valve cover");
    assert!(leaked.open().len() == 1 && leak(&leaked.open()[0]), "{:?}", leaked.open());
    leaked.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..)));
    assert!(matches!(leaked.due(), Due::BeforeRunning(..)), "{:?}", leaked.due());
    leaked.sign();
    // Taken back, it is asked again.
    dry = service.clone();
    let answered = keys(&dry, Answered::Next(Talk::default()), &["3"]);
    kept(&mut dry, answered);
    assert!(!matches!(dry.due(), Due::OwedRun(_)));
    dry.tell(Input::TakeBack);
    assert!(matches!(dry.due(), Due::OwedRun(_)));
}

#[test]
fn one_that_was_not_made_yet_is_the_run_of_this_service_or_is_handed_on() {
    let mut service = after_a_run_handed_over();
    service.tell(Input::OwedRun(OwedRun::NotYet));
    assert_eq!(service.open(), [OpenItem::RunHandedOver], "told until the run is answered");
    // Closed before it, the next service is handed it on.
    let mut closed = service.clone();
    closed.tell(Input::CloseUnsigned { why: why() });
    assert!(closed.open().contains(&OpenItem::RunHandedOver), "{:?}", closed.open());
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("run owed before") && sheet.contains("not run yet"), "{sheet}");
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    let mut handed = service.clone();
    service.sign();
    assert_eq!(service.open(), []);
    // Not run this time either, for whatever reason, it is handed over once more.
    handed.tell(Input::SkipRun { why: "weather".into() });
    handed.sign();
    assert_eq!(handed.open(), [OpenItem::RunHandedOver]);
}

#[test]
fn names_that_are_known_here_have_a_digit_and_any_other_is_typed() {
    let mut before = Service::new(flat_four());
    before.tell(Input::Who("A. Fitter".into()));
    let services = vec![cowlside::domain::service::Service::of(&before.session)];
    let earlier = Earlier { services: services.into(), ..Earlier::default() };
    let beside = std::sync::Arc::new(cowlside::guide::Beside { earlier, ..Default::default() });
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let called = |digits: &[&str]| {
        let asked = Talk::call(&service.session, Command::Who, beside.clone());
        let Answered::Keep(entries) = keys(&service, asked, digits) else { panic!("{digits:?}") };
        format!("{entries:?}")
    };
    assert!(called(&["1"]).contains("A. Fitter"));
    assert!(called(&["9", "B. Smith"]).contains("B. Smith"));
}

#[test]
fn the_cause_of_a_stop_is_given_by_a_digit_or_in_words() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "two-turns"));
    service.tell(Input::Answer(2));
    for digits in [&["1", "1"][..], &["1", "9", "a wrench under the cover"]] {
        let answered = keys(&service, Answered::Next(Talk::default()), digits);
        let mut service = service.clone();
        kept(&mut service, answered);
        assert!(!service.open().iter().any(|item| matches!(item, OpenItem::StopFelt { .. })));
    }
}

#[test]
fn one_that_comes_up_later_is_asked_about_before_the_run_and_answered_by_it() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let left = hand_on("spring", Some("2026-03-14"), &OpenItem::RunHandedOver.to_string());
    service.tell(remark(&left));
    service.calmly_while(|_, due| !matches!(due, Due::OwedRun(_) | Due::RunCaution(_)));
    assert!(matches!(service.due(), Due::OwedRun(_)), "{:?}", service.due());
    service.tell(Input::OwedRun(OwedRun::NotYet));
    assert!(matches!(service.due(), Due::RunCaution(_)), "{:?}", service.due());
    assert_eq!(service.sign().open(), []);
}

#[test]
fn one_key_takes_back_the_whole_answer_that_it_leaked() {
    let mut service = after_a_run_handed_over();
    let before = service.session.state.clone();
    let leaked = keys(&service, Answered::Next(Talk::default()), &["2", "1"]);
    kept(&mut service, leaked);
    assert_ne!(service.session.state.open_items(), before.open_items());
    let undone = "that it was run, and that it leaked";
    assert_eq!(glance::undo(&service.session).as_deref(), Some(undone));
    let Ok(entries) = service.session.decide(&Input::TakeBack) else { panic!("not taken back") };
    service.tell(Input::TakeBack);
    assert_eq!(service.session.state.open_items(), before.open_items());
    assert!(matches!(service.due(), Due::OwedRun(_)), "{:?}", service.due());
    let said = status::kept_words(&service.session, &entries, &|_| None);
    assert_eq!(said, format!("taken back: {undone}"));
    // Once more is once more of what came before it.
    assert!(service.session.leaked_last().is_none());
    // A remark of the mechanic's own between is taken back by itself.
    let leaked = keys(&service, Answered::Next(Talk::default()), &["2", "1"]);
    kept(&mut service, leaked);
    service.tell(Input::Remark(Remark { text: "oil on the floor".into(), ..Remark::default() }));
    assert!(service.session.leaked_last().is_none());
    service.tell(Input::TakeBack);
    assert!(service.session.leaked_last().is_some());
}

/// What is known beside a service after "spring", which ended at these hours.
fn beside_spring(hours: i64) -> std::sync::Arc<cowlside::guide::Beside> {
    let mut spring = cowlside::domain::service::Service::of(&not_run("1").session);
    (spring.name, spring.hours) = ("spring".into(), Some(Hours(hours)));
    let earlier = Earlier { services: vec![spring].into(), ..Earlier::default() };
    std::sync::Arc::new(cowlside::guide::Beside { earlier, ..Default::default() })
}

#[test]
fn that_it_was_not_run_is_asked_about_where_the_counter_went_up_since() {
    let service = after_a_run_handed_over();
    let talk = |hours| Answered::Next(Talk { beside: beside_spring(hours), ..Talk::default() });
    // It stands at 412.6 h now.
    for same in [41_260, 41_300] {
        let taken = keys(&service, talk(same), &["3"]);
        assert!(matches!(taken, Answered::Keep(_)), "{taken:?}");
    }
    let Answered::Next(asked) = keys(&service, talk(40_940), &["3"]) else { panic!("not asked") };
    let ask = asked.prompt(&service.session);
    assert_eq!(ask.title, "The counter went up by 3.2 h: it has run");
    assert!(ask.lines.join(" ").contains("409.4 h"), "{ask:?}");
    // Its leak is answered where it belongs.
    let Answered::Next(again) = asked.answer(&service.session, "1") else { panic!() };
    assert!(again.prompt(&service.session).field.offers(2) && again.given.is_empty());
    let mut not_checked = service.clone();
    let run = asked.answer(&service.session, "2");
    kept(&mut not_checked, run);
    assert!(not_checked.open().contains(&OpenItem::RunHandedOver));
    let sheet = record(&not_checked.session, &Earlier::default());
    let sheet = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        sheet.contains("run since by the counter, 3.2 h more, and not leak-checked"),
        "{sheet}"
    );
    not_checked.sign();
    assert_eq!(not_checked.open(), []);
    let mut wrong = service.clone();
    let not_run = asked.answer(&service.session, "3");
    kept(&mut wrong, not_run);
    assert!(wrong.open().contains(&OpenItem::RunHandedOver));
}
