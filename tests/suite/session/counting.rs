//! What comes off is counted, and counted in again: one too many, one missing from the start, and
//! covers that come off once more after a run.

use super::engines::{exhaust, flat_four, intake, radial_table};
use super::harness::{Service, why};
use super::mechanic;
use cowlside::domain::entry::{Back, Begin, Entry, On, ProfileText, Remark, Rounds, Run};
use cowlside::domain::session::{Due, Input, LEAK_TEST_NOW, LOOSE_THINGS, OpenItem, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::guide::{Answered, Beside, Talk, glance, status};
use cowlside::report::record::record;
use std::sync::Arc;

fn at_first_turn() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service
}

fn leak() -> Service {
    let mut service = at_first_turn();
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "leaks"));
    service.tell(Input::RunFault { digit: 2, text: "oil at the cover of 3".into() });
    service
}

/// The ids of the lines that are answered, and the items counted, until the engine may run.
fn asked_before_the_run(service: &mut Service) -> Vec<String> {
    let from = service.session.kept.len();
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    let said = service.session.kept[from..].iter().map(|kept| match &kept.entry {
        Entry::Caution(caution) => caution.id.clone(),
        Entry::Off(off) => format!("out {}", off.bank),
        Entry::On(On::Count { bank, item, .. }) => format!("in {bank} {item}"),
        Entry::On(On::Check { id, .. }) => id.clone(),
        other => panic!("{other:?}"),
    });
    said.collect()
}

#[test]
fn a_cover_off_after_a_run_is_made_safe_counted_and_torqued_before_the_next() {
    let mut service = leak();
    service.tell(Input::RunAgain { covers: true });
    let asked = asked_before_the_run(&mut service);
    let safe = ["ignition", "fuel", "throttle", "plugs", "wheels", "arc", "hands"];
    assert_eq!(asked[..7], safe);
    assert_eq!(asked[7..10], ["out right", "out left", "out all round"]);
    for id in ["in right cover", "in left cover screw", "in all round rag"] {
        assert!(asked.iter().any(|one| one == id), "{id}: {asked:?}");
    }
    let checks = ["look", "seals", "wedge-lock", "started", "torque", "plugs-in", "two-turns"];
    let after = ["leads", "controls", "second-look"];
    let tail = &asked[asked.len() - checks.len() - after.len()..];
    assert_eq!(tail, [&checks[..], &after[..]].concat());
    assert!(service.session.state.round().is_none(), "nothing is gauged again for a seal");
    service.sign();
}

#[test]
fn put_right_with_the_covers_on_is_made_safe_and_the_torque_looked_at() {
    let mut service = leak();
    service.tell(Input::RunAgain { covers: false });
    let asked = asked_before_the_run(&mut service);
    let wanted = ["ignition", "fuel", "arc", "hands", "torque", "leads", "controls", "second-look"];
    assert_eq!(asked, wanted);
    service.sign();
}

#[test]
fn a_session_of_before_the_two_were_told_apart_reads_as_it_was() {
    let mut service = leak();
    let Ok(entries) = service.session.decide(&Input::RunAgain { covers: false }) else {
        panic!("refused")
    };
    let [Entry::Run(run)] = &entries[..] else { panic!("{entries:?}") };
    let old = Run { digit: 1, seen: "put right from outside".into(), ..run.clone() };
    service.session.state.apply(&cowlside::domain::entry::Kept {
        seq: service.session.kept.len() as u64,
        at: service.session.kept.last().unwrap().at,
        entry: Entry::Run(old),
    });
    assert!(matches!(service.due(), Due::RunCaution(_)));
}

#[test]
fn one_screw_too_many_is_open_until_it_is_said_whose_it_is() {
    let mut service = at_first_turn();
    service
        .calmly_while(|_, due| !matches!(due, Due::CountIn { item, .. } if item == "cover screw"));
    let Due::CountIn { out, .. } = service.due() else { unreachable!() };
    service.tell(Input::CountIn(out + 1));
    let open: Vec<String> = service.open().iter().map(OpenItem::to_string).collect();
    assert!(open.contains(&"TOO MANY: 1 × cover screw, right bank".to_string()), "{open:?}");
    assert!(!open.iter().any(|item| item.contains("MISSING")), "{open:?}");
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.big.unwrap().text, "TOO MANY");
    assert!(ask.lines[0].starts_with("1 more than came off"), "{:?}", ask.lines);
    assert_eq!(service.refused(Input::ShortageFound), Refusal::NotNow);
    let left = service.session.state.left_open("spring");
    let next = Service::after(flat_four(), left);
    let surplus = |item: &OpenItem| matches!(item, OpenItem::Surplus { surplus: 1, .. });
    assert!(next.open().iter().any(surplus), "{:?}", next.open());
    let (place, by) = ("of the left bank".into(), "First".into());
    service.tell(Input::ShortageAccounted { place, by });
    service.sign();
}

/// Answers the count that is due, then what is asked about it.
fn say(service: &mut Service, answers: &[&str]) -> Option<Talk> {
    let mut talk = Talk::default();
    for typed in answers {
        talk = match talk.answer(&service.session, typed) {
            Answered::Next(talk) => talk,
            Answered::Keep(_) => return None,
            other => panic!("{typed}: {other:?}"),
        };
    }
    Some(talk)
}

fn at_count_out() -> Service {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    service
}

#[test]
fn a_count_that_differs_by_one_from_the_profile_is_asked_about_once() {
    let mut service = at_count_out();
    let Due::CountOut(_, items) = service.due() else { unreachable!() };
    let typed = |less: u32| {
        let counts = items.iter().map(|(item, count)| {
            let screw = item == "cover screw";
            (count - if screw { less } else { 0 }).to_string()
        });
        counts.collect::<Vec<_>>().join("/")
    };
    assert_eq!(say(&mut service, &[&typed(0)]), None, "as listed: nothing is asked");
    let talk = say(&mut service, &[&typed(1)]).expect("asked about");
    let ask = talk.prompt(&service.session);
    let twelve = items.iter().find(|(item, _)| item == "cover screw").unwrap().1;
    assert_eq!(ask.title, format!("{} × cover screw, where {twelve} are listed", twelve - 1));
    assert_eq!(say(&mut service, &[&typed(1), "1"]), None);
    // Missing already: it has to be seen to before the engine runs.
    let Answered::Keep(entries) = talk.answer(&service.session, "3") else { panic!("not kept") };
    let [Entry::Remark(remark), Entry::Off(_)] = &entries[..] else { panic!("{entries:?}") };
    assert!(remark.before_running);
    let text = "missing already when right was opened: 1 cover screw (the profile has 6)";
    assert_eq!(remark.text.replace(&twelve.to_string(), "6"), text);
    // Counted wrong: asked anew.
    let Answered::Next(again) = talk.answer(&service.session, "2") else { panic!("not asked") };
    assert!(again.given.is_empty());
}

#[test]
fn a_count_that_is_taken_back_takes_along_what_was_missing_already() {
    let mut service = at_count_out();
    let asked = service.due();
    let Due::CountOut(_, items) = asked.clone() else { unreachable!() };
    let counts = items.iter().map(|(item, count)| count - u32::from(item == "cover screw"));
    service.tell(Input::CountOutShort(counts.collect()));
    assert_eq!(service.session.state.missing_already().len(), 1);
    service.tell(Input::TakeBack);
    assert_eq!(service.due(), asked);
    assert_eq!(service.session.state.missing_already(), Vec::<&str>::new());
    // Said again it stands once; a remark of one's own before a count stays.
    let own = Remark { text: "seen".into(), before_running: true, ..Remark::default() };
    service.tell(Input::Remark(own));
    let counts = items.iter().map(|(_, count)| *count).collect();
    service.tell(Input::CountOut(counts)).tell(Input::TakeBack);
    assert!(service.open().iter().any(|item| matches!(item, OpenItem::BeforeRunning { .. })));
}

#[test]
fn what_was_missing_already_is_told_where_covers_go_on_until_it_is_found_or_given_up() {
    let mut service = at_count_out();
    let Due::CountOut(_, items) = service.due() else { unreachable!() };
    let counts = items.iter().map(|(item, count)| count - u32::from(item == "cover screw"));
    service.tell(Input::CountOutShort(counts.collect()));
    service.on_to_turn();
    let told = |service: &Service| {
        let ask = Talk::default().prompt(&service.session);
        ask.lines.iter().any(|line| line.starts_with("Missing already when right was opened: 1 "))
    };
    assert!(!told(&service), "not in the way of gauging");
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    assert!(told(&service));
    service.calmly_while(|_, due| !matches!(due, Due::Check(_)));
    assert!(told(&service));
    service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..)));
    let ask = Talk::default().prompt(&service.session).ask;
    assert_eq!(ask, "Found, fetched or given up: what, and by whom?");
    let Due::BeforeRunning(seq, _) = service.due() else { unreachable!() };
    service.tell(Input::SettleRemark { seq, text: "fetched: AF".into() });
    assert!(service.session.state.missing_already().is_empty());
    service.sign();
}

#[test]
fn after_a_run_a_bank_that_stayed_shut_is_told_by_one_key() {
    let mut service = leak();
    service
        .tell(Input::RunAgain { covers: true })
        .calmly_while(|_, due| matches!(due, Due::Caution(..)));
    assert!(Talk::default().prompt(&service.session).ask.contains("0 = stayed shut"));
    let talk = say(&mut service, &["0"]).expect("asked about");
    assert_eq!(talk.prompt(&service.session).title, "Nothing came off: right");
    let Answered::Keep(entries) = talk.answer(&service.session, "1") else { panic!("not kept") };
    assert!(matches!(&entries[..], [Entry::Off(off)] if off.items.iter().all(|one| one.1 == 0)));
    assert_eq!(service.refused(Input::RunLeave { why: why() }), Refusal::NotNow);
}

/// check-values 11: low cylinders may be locked by oil; pulled through by hand with plugs out.
#[test]
fn on_a_radial_the_plugs_of_the_low_cylinders_come_before_anything_is_turned() {
    let mut profile = radial_table(None);
    profile.cautions.push("Before the first turn by hand: oil drained.".into());
    let mut service = Service::new(profile);
    let mut asked = Vec::new();
    for _ in 0..20 {
        service.calmly_while(|_, due| !matches!(due, Due::Caution(..)));
        let Due::Caution(line, _) = service.due() else { panic!("{:?}", service.due()) };
        asked.push(line.id.clone());
        if line.id == "plugs" {
            assert!(line.ask.contains("low cylinders, before anything is turned"), "{}", line.ask);
            assert!(
                !line.is_good(0)
                    && line
                        .states
                        .iter()
                        .all(|seen| { !seen.good || seen.words.starts_with("out of them") })
            );
        }
        if line.id == "oil-lock" {
            break;
        }
        let good = line.states.iter().find(|seen| seen.good).unwrap().digit;
        service.tell(Input::Answer(good));
    }
    let place = |id: &str| asked.iter().position(|one| one == id).unwrap();
    assert!(place("plugs") < place("arc") && place("arc") < place("oil-lock"), "{asked:?}");
    // What the manual wants before the first turn is asked before the one that turns.
    assert!(place("manual-1") < place("oil-lock"), "{asked:?}");
}

/// Answers the plugs of a radial so, and goes on to what lies about.
fn radial_at_loose(digit: u8) -> Service {
    let mut service = Service::new(radial_table(None));
    let plugs = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == "plugs");
    service.calmly_while(|_, due| !plugs(due));
    service.tell(Input::Answer(digit));
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(bank, _) if *bank == "all round"));
    service
}

#[test]
fn on_a_radial_the_plugs_of_the_low_cylinders_are_counted_by_number_never_by_enter() {
    let mut service = radial_at_loose(2);
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.field.enter, None);
    assert_eq!(ask.lines[..2], ["how many × plug?", "how many × plug-hole blank?"]);
    assert!(ask.ask.contains("as in ?/?/1/3/"), "{}", ask.ask);
    let Due::CountOut(_, items) = service.due() else { panic!("{:?}", service.due()) };
    let rest: Vec<String> = items[2..].iter().map(|(_, count)| count.to_string()).collect();
    let typed = |plugs: &str| format!("{plugs}/{}", rest.join("/"));
    assert!(matches!(Talk::default().answer(&service.session, ""), Answered::Refused(..)));
    let none = Talk::default().answer(&service.session, &typed("0/0"));
    assert!(
        matches!(&none, Answered::Refused(_, words) if words.contains("count them")),
        "{none:?}"
    );
    assert_eq!(say(&mut service, &[&typed("3/3")]), None, "kept without another question");
    let mut counts = vec![3, 3];
    counts.extend(items[2..].iter().map(|(_, count)| *count));
    service.tell(Input::CountOut(counts));
    // A blank left in a low cylinder is asked for.
    let blank =
        |due: &Due| matches!(due, Due::CountIn { item, out: 3, .. } if item.contains("blank"));
    service.calmly_while(|_, due| !blank(due));
    service.tell(Input::CountIn(2));
    assert!(matches!(service.due(), Due::Shortage { out: 3, counted: 2, .. }));
}

#[test]
fn on_a_radial_with_a_plug_out_of_each_cylinder_they_are_as_listed() {
    let service = radial_at_loose(1);
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.field.enter.is_some());
    let cylinders = service.session.state.facts().cylinders();
    assert_eq!(ask.lines[0], format!("{cylinders} × plug"));
}

fn rescope(service: &mut Service, scope: &[u8]) {
    let begin = Begin { scope: Some(scope.to_vec()), scope_why: Some(why()), ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin)));
}

fn off(service: &Service, bank: &str) -> Vec<(String, u32)> {
    let lines = service.session.state.out.iter().filter(|line| line.bank == bank);
    lines.map(|line| (line.item.clone(), line.out)).collect()
}

fn at_wider_scope() -> (Service, String, Vec<(String, u32)>) {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1]));
    rescope(&mut service, &[1, 3]);
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    let Due::CountOut(bank, items) = service.due() else { panic!("{:?}", service.due()) };
    (service, bank, items)
}

#[test]
fn a_second_count_of_a_bank_never_forgets_what_came_off_before() {
    let (mut service, bank, items) = at_wider_scope();
    let before = off(&service, &bank);
    assert!(items.iter().zip(&before).all(|(now, was)| now.1 == 2 * was.1), "{items:?} {before:?}");
    let ask = Talk::default().prompt(&service.session);
    assert!(!ask.ask.contains("stayed shut"), "{}", ask.ask);
    assert!(ask.lines.iter().any(|line| line.contains("counted before")), "{:?}", ask.lines);
    for typed in ["0", "0/0/0/0"] {
        let answered = Talk::default().answer(&service.session, typed);
        assert!(matches!(answered, Answered::Refused(..)), "{typed}: {answered:?}");
    }
    let words = service.refused(Input::CountOut(vec![0; items.len()])).words();
    assert!(words.contains("came off before"), "{words}");
    assert_eq!(off(&service, &bank), before, "nothing is lost by a refusal");
    service.tell(Input::CountOut(items.iter().map(|(_, count)| *count).collect()));
    assert_eq!(off(&service, &bank), items);
    service.sign();
}

#[test]
fn a_cover_that_is_off_is_listed_though_its_cylinder_left_the_scope() {
    let (_, bank, items) = at_wider_scope();
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1]));
    rescope(&mut service, &[3]);
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    assert_eq!(service.due(), Due::CountOut(bank, items), "that of 1 and that of 3");
}

/// The way back: what is loose in capitals, what was done, what to prove; whole in the least window.
#[test]
fn after_a_break_what_is_loose_is_large_and_the_rest_is_whole_in_three_lines() {
    let mut service = at_first_turn();
    service.on_to_gauge(intake(1)).gauge("6").gauge("16");
    service.tell(Input::OpenSet(exhaust(1))).tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(47), ..Back::default() }));
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.big.as_ref().unwrap().text, "1 EXH SLACK");
    assert!(ask.ask.starts_with("Ignition: "), "{}", ask.ask);
    assert!(ask.lines[0].starts_with("Open: NUT SLACK: 1 exhaust"), "{:?}", ask.lines);
    let done = "Done: 1 of 8 valves done; last: nut of 1 exhaust slack";
    let whole = done.replacen("Done: ", "Done: round 1 of 2, stop 1 of 4, ", 1);
    assert_eq!(ask.lines[1], whole);
    assert_eq!(ask.in_fewer_words().last().unwrap().lines[1], done, "in a row");
    assert!(ask.lines[2].starts_with("To be proven next: "), "{:?}", ask.lines);
}

#[test]
fn taking_back_is_offered_only_where_it_works_and_is_refused_in_one_wording() {
    let mut service = at_first_turn();
    let undo = |service: &Service| glance::undo(&service.session);
    service.on_to_gauge(intake(1)).gauge("6").gauge("16");
    assert_eq!(undo(&service).as_deref(), Some("1 EXH, 16"));
    // A nut said slack just now: the key asks whether it was never slackened.
    service.tell(Input::OpenSet(exhaust(1)));
    assert!(undo(&service).is_some_and(|words| words.contains("nut of 1 exhaust")));
    service.tell(mechanic::remark(true));
    assert_eq!(undo(&service), None);
    let refused = |service: &mut Service| service.refused(Input::TakeBack).words();
    let one = "that opened something, so it is not taken back: ";
    assert!(refused(&mut service).starts_with(one), "{}", refused(&mut service));
    let mut service = Service::new(flat_four());
    assert_eq!(undo(&service), None);
    service.tell(Input::Who("First".into()));
    assert_eq!(undo(&service).as_deref(), Some("First at work"));
}

#[test]
fn an_answer_that_is_not_safe_says_why_and_what_to_do() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::Caution(..)));
    let entries = service.session.decide(&Input::Answer(3)).unwrap();
    service.tell(Input::Answer(3));
    let said = status::kept_words(&service.session, &entries, &|_| None);
    assert!(said.starts_with("NOT SAFE: switch only. At OFF it fires if"), "{said}");
    assert!(said.ends_with("then answer again"), "{said}");
    assert!(matches!(service.due(), Due::Caution(line, _) if line.id == "ignition"));
}

#[test]
fn a_profile_replaced_in_a_service_is_offered_to_its_engine_at_the_end() {
    let mut service = at_first_turn();
    let profile = ProfileText { name: "late".into(), ..mechanic::late(&service.session.state) };
    let (source, profile) = ("page 4".to_string(), Box::new(profile));
    service.tell(Input::AmendProfile { profile, source, why: why() });
    service.tell(Input::CloseUnsigned { why: why() });
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.field.choices[0].label, "give the engine the profile late from now on");
    let answered = Talk::default().answer(&service.session, "1");
    assert_eq!(answered, Answered::GiveProfile("late".into()));
    // One that was read from a path is not found by its name: no digit sends that.
    let beside = Beside { profile_by_path: true, ..Beside::default() };
    let talk = Talk { beside: Arc::new(beside), ..Talk::default() };
    let ask = talk.prompt(&service.session);
    assert!(ask.field.choices.is_empty());
    let says = |words: &str| ask.lines.iter().any(|line| line.contains(words));
    assert!(says("cowlside engine profile NAME PATH"), "{:?}", ask.lines);
    // Where none was replaced nothing is offered.
    let mut service = at_first_turn();
    service.tell(Input::CloseUnsigned { why: why() });
    assert!(Talk::default().prompt(&service.session).field.choices.is_empty());
}

#[test]
fn the_record_tells_where_less_came_off_than_is_listed() {
    let recorded = |service: &Service| record(&service.session, &Earlier::default());
    let mut service = at_count_out();
    let Due::CountOut(bank, items) = service.due() else { unreachable!() };
    let less = |less: u32| items.iter().map(|(_, count)| count - less).collect::<Vec<u32>>();
    service.tell(Input::CountOut(less(1)));
    let (item, listed) = &items[1];
    let row = |told: &str| told.lines().find(|line| line.contains(item.as_str())).map(String::from);
    let told = row(&recorded(&service)).unwrap();
    assert!(told.contains(&format!("  {} of {listed} ", listed - 1)), "{bank}: {told}");
    let mut service = at_count_out();
    service.tell(Input::CountOut(less(0)));
    let told = row(&recorded(&service)).unwrap();
    assert!(told.contains(&format!("  {listed} ")) && !told.contains(" of "), "{told}");
}

#[test]
fn nothing_counted_of_what_lies_about_is_asked_in_words_of_its_own() {
    let mut all_round = Service::new(flat_four());
    all_round.calmly_while(|_, due| !matches!(due, Due::CountOut(bank, _) if bank == LOOSE_THINGS));
    // The items of each bank, all of them none.
    let none = |service: &Service| match service.due() {
        Due::CountOut(_, items) => vec!["0"; items.len()].join("/"),
        other => panic!("{other:?}"),
    };
    let mut at_the_test = Service::new(flat_four());
    at_the_test.prepare(Rounds::SetThenRecheck, None).on_to_sign();
    let text = "leak-test cylinder 1".into();
    at_the_test.tell(Input::Remark(Remark { text, before_running: true, ..Remark::default() }));
    at_the_test.tell(Input::LeakTest { typed: String::new(), why_not: LEAK_TEST_NOW.into() });
    at_the_test.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    for service in [all_round, at_the_test] {
        let Answered::Next(talk) = Talk::default().answer(&service.session, &none(&service)) else {
            panic!("nothing was asked")
        };
        let asked = talk.prompt(&service.session);
        assert!(!asked.title.contains("came off"), "{}", asked.title);
        assert!(!asked.title.contains(": "), "{}", asked.title);
        assert_ne!(asked.big.map(|big| big.text), Some("NOTHING OFF".into()));
    }
}
