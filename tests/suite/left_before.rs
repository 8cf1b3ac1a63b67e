//! What an earlier service left outside its band and a later one of narrow scope does not look at: it
//! stands at the signature, in the record for good, on the notice, and whoever comes back reads it.

use crate::services::{MORNING, Service as Walk, later, signature, valve};
use crate::session::engines::{exhaust, flat_four};
use crate::session::harness::Service as Guided;
use cowlside::domain::entry::{Begin, Entry, Moment, Rounds, Sign, Step};
use cowlside::domain::left_before::left_before;
use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Input, OpenItem};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Kind;
use cowlside::guide::{Answered, Beside, Talk, hangar, status};
use cowlside::report::record::{self, OfFile};
use cowlside::report::{html, markdown};
use std::sync::Arc;

const WHY: &str = "cannot be set: part on order";
const OWN: &str = "All well, see you next year";
const TOLD: &str =
    "left so by an earlier service, not looked at in this one: 4 exhaust TIGHT (2026-03-14)";

/// A signed service that left 4 exhaust tight.
fn before() -> Earlier {
    let mut walk = Walk::begun(crate::services::flat_four(), "first", MORNING, 41_260);
    walk.readings.push((valve(4, Kind::Exhaust), Step::Found, "7"));
    walk.leave.push((valve(4, Kind::Exhaust), WHY));
    walk.sign(signature());
    Earlier::from(vec![Service::of(&walk.session)])
}

/// A service after it that looks at these cylinders only, up to the signature.
fn narrow(scope: &[u8]) -> Walk {
    let mut walk = Walk::begun(crate::services::flat_four(), "second", later(MORNING, 60), 43_000);
    walk.until(|due| *due == Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(scope.to_vec()));
    walk.input(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    walk
}

/// The record in each of its forms, its lines unbroken.
fn forms(walk: &Walk, earlier: &Earlier) -> [String; 3] {
    let sheet = || record::sheet(&walk.session, earlier, OfFile::default());
    let forms = [
        sheet().into_text(),
        markdown::markdown(&sheet().into_blocks()),
        html::page(&sheet().into_blocks(), "Drawings", &[]),
    ];
    forms.map(|text| text.split_whitespace().collect::<Vec<_>>().join(" ").replace('\\', ""))
}

fn talk(earlier: &Earlier, walk: &Walk) -> Talk {
    let proposal = record::proposal(&walk.session, earlier);
    let beside = Beside { earlier: earlier.clone(), proposal, ..Beside::default() };
    Talk { beside: Arc::new(beside), ..Talk::default() }
}

#[test]
fn it_stands_in_the_record_whatever_the_owner_is_told_and_when_the_files_are_gone() {
    let earlier = before();
    let mut walk = narrow(&[2, 1]);
    walk.until(|due| *due == Due::Sign);
    for form in forms(&walk, &earlier) {
        assert!(form.contains(TOLD), "not signed yet: {form}");
        let form = form.replace('\u{a0}', " ");
        assert!(form.contains("cylinders 1, 2 only"), "in number order: {form}");
    }
    // Through the questions of the signature, with own words for the owner.
    let mut asked = talk(&earlier, &walk);
    let capital = format!("L{}.", &TOLD[1..]);
    assert!(asked.prompt(&walk.session).lines.contains(&capital), "{:?}", asked);
    for answer in ["Signer", "", "", "1", OWN, "450"] {
        let Answered::Next(next) = asked.answer(&walk.session, answer) else { panic!("{answer}") };
        asked = next;
    }
    let last = asked.prompt(&walk.session);
    assert!(last.lines.contains(&capital) && last.title == "Sign and close", "{last:?}");
    let Answered::Keep(entries) = asked.answer(&walk.session, "1") else { panic!() };
    for entry in entries {
        walk.keep(entry);
    }
    // Ten years on the earlier files may be gone, or were put right: the record says what was signed.
    for known in [Earlier::default(), earlier] {
        for form in forms(&walk, &known) {
            let (top, rest) = form.split_once(TOLD).unwrap_or_else(|| panic!("{form}"));
            assert!(top.contains(OWN) && top.contains("LEFT SO BEFORE"), "{form}");
            assert!(!top.contains("Remarks") && rest.contains("Remarks"), "{form}");
        }
    }
    assert!(
        cowlside::domain::session::Session::replay(&walk.session.kept).unwrap() == walk.session
    );
}

#[test]
fn no_whole_interval_is_taken_by_enter_and_the_owner_is_told_to_look_sooner() {
    let earlier = before();
    for (scope, left) in [(&[2, 1][..], true), (&[], false)] {
        let mut walk = narrow(scope);
        walk.until(|due| *due == Due::Sign);
        let owner = record::proposal(&walk.session, &earlier).owner;
        assert_eq!(owner.contains("look again sooner than "), left, "{owner}");
        let mut asked = talk(&earlier, &walk);
        let answer = |asked: &Talk, typed: &str| match asked.answer(&walk.session, typed) {
            Answered::Next(next) => next,
            other => panic!("{typed}: {other:?}"),
        };
        for typed in ["", "", "", "1", ""] {
            asked = answer(&asked, typed);
        }
        let ask = asked.prompt(&walk.session);
        assert_eq!(ask.title, "When to look again");
        assert_eq!(ask.field.enter.is_none(), left, "{ask:?}");
        let said = ask.lines.join(" ");
        assert_eq!(said.contains(&TOLD[1..]) && said.contains("Look sooner than "), left, "{said}");
        let whole = if left { "462.6" } else { "480" };
        for (typed, questioned) in [("450", false), (whole, left)] {
            let next = answer(&asked, typed).prompt(&walk.session);
            assert_eq!(next.title == "That is not sooner", questioned, "{typed}: {next:?}");
            let large = next.big.as_ref().map(|big| big.text.as_str());
            assert_eq!(large == Some("LEFT SO"), left && !questioned, "{typed}: {next:?}");
        }
    }
}

#[test]
fn what_was_signed_before_this_was_kept_reads_as_it_did_and_a_whole_service_says_nothing() {
    let earlier = before();
    let mut old = narrow(&[1, 2]);
    old.sign(Sign { owner_sentence: OWN.into(), ..signature() });
    for form in forms(&old, &earlier) {
        assert!(
            !form.contains("by an earlier service") && !form.contains("LEFT SO BEFORE"),
            "{form}"
        );
    }
    let mut whole = narrow(&[]);
    whole.until(|due| *due == Due::Sign);
    assert_eq!(record::proposal(&whole.session, &earlier).left_before, None);
    assert!(forms(&whole, &earlier).iter().all(|form| !form.contains("LEFT SO BEFORE")));
}

#[test]
fn a_remark_made_after_the_signature_puts_nothing_at_the_top_of_the_record() {
    let mut walk = narrow(&[1, 2]);
    walk.sign(signature());
    let text = TOLD.to_string();
    walk.input(Input::Remark(cowlside::domain::entry::Remark { text, ..Default::default() }));
    assert!(forms(&walk, &Earlier::default()).iter().all(|form| !form.contains("LEFT SO BEFORE")));
}

#[test]
fn what_was_cut_off_from_a_signature_that_came_to_nothing_is_not_told_of_the_next() {
    let remark = |text: &str| {
        Input::Remark(cowlside::domain::entry::Remark { text: text.into(), ..Default::default() })
    };
    let mut walk = narrow(&[1, 2]);
    walk.until(|due| *due == Due::Sign);
    // The power failed behind it; then more was looked at, and nothing is left so.
    walk.input(remark(TOLD));
    walk.input(remark("oil wiped off"));
    walk.sign(signature());
    assert!(forms(&walk, &Earlier::default()).iter().all(|form| !form.contains("LEFT SO BEFORE")));
}

#[test]
fn the_notice_and_who_comes_back_are_told() {
    let earlier = before();
    let mut walk = narrow(&[1, 2]);
    walk.until(|due| matches!(due, Due::Gauge(..)));
    let words = format!("LEFT SO BEFORE, not looked at: 4 exhaust TIGHT ({WHY})");
    for lines in [
        status::notice(&walk.session, &earlier),
        status::way_back(&walk.session, &earlier),
        hangar::lines(&walk.session, &earlier).0,
    ] {
        assert!(lines.contains(&words), "{lines:?}");
    }
    let (lines, kinds) = hangar::lines(&walk.session, &earlier);
    let at = lines.iter().position(|line| *line == words).unwrap();
    assert_eq!(kinds[at], "LEFT SO", "where there is no room for it, it is counted by its name");
    // It comes before whose engine it is and what is only off: those give way first.
    let lesser =
        lines.iter().position(|line| !line.contains("LEFT SO") && !line.contains("NOT IN"));
    assert!(lesser.is_some_and(|lesser| at < lesser), "{lines:?}");
    walk.input(Input::Away("tea".into()));
    walk.input(Input::Back(cowlside::domain::entry::Back {
        after_min: Some(30),
        ..Default::default()
    }));
    assert!(matches!(walk.due(), Due::Caution(..)), "{:?}", walk.due());
    let page = talk(&earlier, &walk).prompt(&walk.session).lines;
    assert!(page.contains(&words), "{page:?}");
    // Who looks at all of it has it in hand.
    let mut whole = narrow(&[]);
    whole.until(|due| matches!(due, Due::Gauge(..)));
    assert!(!status::notice(&whole.session, &earlier).join(" ").contains("LEFT SO"));
}

#[test]
fn covers_that_are_counted_in_are_told_to_be_off_until_they_are_seen_on_and_at_torque() {
    let mut service = Guided::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(_)));
    let told = |service: &Guided, words: &str| {
        let notice = status::notice(&service.session, &Earlier::default());
        let way_back = status::way_back(&service.session, &Earlier::default());
        notice.iter().any(|line| line == words) && way_back[0].contains(words)
    };
    let mut seen = Vec::new();
    while let Due::Check(line) = service.due() {
        let off = told(&service, "COVERS OFF");
        let loose = told(&service, "COVERS NOT AT TORQUE YET");
        seen.push((line.id.clone(), off, loose));
        let good = line.states.iter().find(|state| state.good).unwrap().digit;
        service.tell(Input::Answer(good));
    }
    for (id, off, loose) in &seen {
        let wanted = match id.as_str() {
            "look" | "seals" | "wedge-lock" | "started" => (true, false),
            "torque" => (false, true),
            _ => (false, false),
        };
        assert_eq!((*off, *loose), wanted, "{id}");
    }
    assert!(seen.len() > 6, "{seen:?}");
    service.sign();
    // Work that goes on with the covers off counts them as pieces once more.
    let mut service = Guided::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(_)));
    assert_eq!(hangar::large(&service.session).as_deref(), Some("COVERS OFF"));
    let mut closed = service.clone();
    closed.tell(Input::CloseUnsigned { why: "interrupted".into() });
    assert_eq!(closed.open()[0], OpenItem::CoversOff, "and who comes next is told");
    service.tell(Input::NutFoundSlack(exhaust(3)));
    assert!(!service.open().contains(&OpenItem::CoversOff), "{:?}", service.open());
    service.sign();
}

#[test]
fn the_entry_beside_the_signature_is_a_remark_that_asks_nothing() {
    let earlier = before();
    let mut walk = narrow(&[1, 2]);
    walk.until(|due| *due == Due::Sign);
    let left = record::proposal(&walk.session, &earlier).left_before;
    let entries = walk.session.decide(&Input::Sign(Box::new(signature()), left)).unwrap();
    let [Entry::Remark(remark), Entry::Sign(_), Entry::Seal(seal)] = entries.as_slice() else {
        panic!("{entries:?}")
    };
    assert!(remark.text == TOLD && !remark.before_running && remark.settles.is_none());
    assert_eq!(seal.entries, walk.session.kept.len() as u64 + 2);
}

#[test]
fn a_service_by_a_clock_that_lied_is_as_new_as_its_hours_say() {
    let of = |name, hours, read| {
        let mut walk = Walk::begun(crate::services::flat_four(), name, MORNING, hours);
        walk.readings.push((valve(4, Kind::Exhaust), Step::Found, read));
        if read == "7" {
            walk.leave.push((valve(4, Kind::Exhaust), WHY));
        }
        walk.sign(signature());
        Service::of(&walk.session)
    };
    let well = of("well", 10_000, "10");
    let mut tight = of("tight", 15_000, "7");
    tight.began = tight.began.map(|began| Moment { unix_ms: 0, ..began });
    tight.day_doubtful = true;
    for services in [[well.clone(), tight.clone()], [tight, well]] {
        let left = left_before(&services);
        assert_eq!(left.len(), 1);
        assert!(left[0].valve() == exhaust(4) && left[0].by.session.starts_with("tight"));
    }
}
