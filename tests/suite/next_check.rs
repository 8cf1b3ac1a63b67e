//! The next check is one: as it was signed for. What the program had worked out stands apart from it.
#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

use crate::record::{quiet, quiet_unsigned, winter};
use crate::services::{Service as Walk, signature};
use crate::signing::{at_next_check, at_the_signature};
use cowlside::domain::entry::{Entry, Hours, Sign};
use cowlside::domain::service::Service;
use cowlside::domain::trend::{Because, Earlier};
use cowlside::guide::{Answered, Beside, Talk};
use cowlside::report::next_sheet::next_words;
use cowlside::report::record::{next_check, owner_sentence, proposal, record};
use std::sync::Arc;

fn signed(answered: Answered) -> Sign {
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    let sign = entries.into_iter().find_map(|entry| match entry {
        Entry::Sign(sign) => Some(sign),
        _ => None,
    });
    sign.unwrap()
}

#[test]
fn the_owner_is_told_the_next_check_that_is_signed_for_and_no_other() {
    for left in [false, true] {
        let walk = at_the_signature(left);
        let proposed = proposal(&walk.session, &Earlier::default());
        let told = proposed.owner.clone();
        assert!(told.contains("462.6 h"), "{told}");
        let mut talk = at_next_check(&walk, proposed);
        let Answered::Next(next) = talk.answer(&walk.session, "437.55") else { panic!("{left}") };
        talk = next;
        let shown = talk.prompt(&walk.session).lines.join(" ");
        let sign = signed(talk.answer(&walk.session, "1"));
        for said in [&shown, &sign.owner_sentence] {
            let by = "; look again by 437.55 h, by the months of the profile at the latest on 2027-03-14.";
            assert!(said.contains(by) && !said.contains("462.6"), "{said}");
        }
    }
}

#[test]
fn a_sentence_in_the_signers_own_words_stays_as_it_was_typed() {
    let walk = at_the_signature(false);
    let proposed = proposal(&walk.session, &Earlier::default());
    let own = "All well, look again by 462.6 h at the latest.";
    let beside = Arc::new(Beside { proposal: proposed, ..Beside::default() });
    let mut talk = Talk { beside, ..Talk::default() };
    for typed in ["", "", "", "1", own, "437.55"] {
        let Answered::Next(next) = talk.answer(&walk.session, typed) else { panic!("{typed}") };
        talk = next;
    }
    let sign = signed(talk.answer(&walk.session, "1"));
    assert_eq!(sign.owner_sentence, own);
}

#[test]
fn the_next_check_is_the_mechanics_own_choice_if_he_made_one() {
    let mut walk = quiet_unsigned();
    let next = |walk: &Walk| {
        let earlier = winter();
        let history = earlier.up_to(&Service::of(&walk.session));
        next_check(history.as_ref(), &earlier).unwrap()
    };
    let interval = next(&walk);
    assert_eq!((interval.hours, interval.because), (Some(Hours(46_260)), Because::Interval));
    let mut later = quiet_unsigned();
    walk.sign(Sign { next_check: Some(Hours(43_755)), ..signature() });
    let chosen = next(&walk);
    assert_eq!((chosen.hours, chosen.because), (Some(Hours(43_755)), Because::Mechanic));
    assert_eq!(chosen.set_aside, None);
    // The day is the profile's own: it is told apart from what was signed for.
    assert_eq!(chosen.words(), "437.55 h");
    assert_eq!(
        chosen.why(),
        "chosen by the mechanic; by the months of the profile at the latest on 2027-03-14"
    );
    let said = owner_sentence(&walk.session, &winter());
    let told = "; look again by 437.55 h, by the months of the profile at the latest on 2027-03-14";
    assert!(said.ends_with(told), "{said}");
    let earlier = winter();
    let history = earlier.up_to(&Service::of(&walk.session)).unwrap();
    let past = next_words(&history);
    assert!(past.starts_with("437.55 h (chosen by the mechanic; "), "{past}");
    // A later one is his decision, and the record says what it sets aside.
    later.sign(Sign { next_check: Some(Hours(50_000)), ..signature() });
    assert_eq!(next(&later).hours, Some(Hours(50_000)));
    let text = record(&later.session, &winter());
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "500.0 h (chosen by the mechanic; sooner, at 462.6 h: by the profile's interval; by \
                 the months of the profile at the latest on 2027-03-14)";
    assert!(text.contains(words), "{text}");
}

#[test]
fn hours_in_a_sentence_that_was_signed_before_the_choice_are_told_from_it() {
    let note = "As signed, the next check is at 437.55 h: other hours in this sentence are not";
    let of = |sentence: &str, chosen: Option<Hours>| {
        let mut walk = quiet_unsigned();
        let owner_sentence = sentence.to_string();
        walk.sign(Sign { owner_sentence, next_check: chosen, ..signature() });
        record(&walk.session, &winter()).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let before = "All 8 in limits; look again by 462.6 h or 2027-03-14, whichever comes first.";
    let signed = of(before, Some(Hours(43_755)));
    assert!(signed.contains(before) && signed.contains(note), "{signed}");
    for told in ["Look again by 462.6h.", "Well; LOOK AGAIN BY 4437.55 HOURS, he says"] {
        let signed = of(told, Some(Hours(43_755)));
        assert!(signed.contains(note), "{signed}");
    }
    for (sentence, chosen) in [
        (before, None),
        ("Look again at 437,55 h or in spring.", Some(Hours(43_755))),
        ("All 8 in limits; look again in spring; have it washed.", Some(Hours(43_755))),
        ("All 8 in limits; look again by 437.55 h.", Some(Hours(43_755))),
        ("All 8 in limits.", Some(Hours(43_755))),
    ] {
        assert!(!of(sentence, chosen).contains("As signed, the next check"), "{sentence}");
    }
}

#[test]
fn the_record_tells_its_next_check_by_its_own_counter() {
    let walk = quiet();
    let earlier = Earlier { offset: Hours(100_000), ..winter() };
    let history = earlier.up_to(&Service::of(&walk.session));
    assert_eq!(history.as_ref().unwrap().hours, Hours(141_260));
    assert_eq!(next_check(history.as_ref(), &earlier).unwrap().hours, Some(Hours(46_260)));
}
