//! A new user's way to the first session, and what is told of what is open to whoever comes back.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use super::walk::{TO_THE_FIRST_STOP, Walk, Workshop, known};
use cowlside::domain::entry::{Entry, Kept, Moment, Nut, NutSaid, Part, PartKind, Remark, Unload};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::status;
use cowlside::report::tag_sheet::Tag;

#[test]
fn every_kind_of_open_item_is_named_on_notice_resume_and_tag_the_gravest_first() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    let at = Moment { unix_ms: 1_773_475_200_000, offset_min: 60 };
    let valve = Valve::new(1, Kind::Exhaust);
    let remark = Remark { text: "hose worn".into(), before_running: true, ..Remark::default() };
    let part = |part, valve, bank| Part {
        valve,
        part,
        out: true,
        marked: None,
        measured: None,
        typed: String::new(),
        bank,
        seen: None,
        size_only: false,
        undoes_less: true,
    };
    let cam = part(PartKind::Cam, None, Some("left".into()));
    let made = [
        (Entry::Remark(remark), "BEFORE RUNNING: hose worn"),
        (Entry::Part(cam), "CAM OUT: left bank"),
        (Entry::Part(part(PartKind::Pushrod, Some(valve), None)), "PUSH ROD OUT: 1 exhaust"),
        (Entry::Unload(Unload { valve }), "VALVE UNLOADED: 1 exhaust"),
        (Entry::Nut(Nut::said(valve, NutSaid::Slack)), "NUT SLACK: 1 exhaust"),
    ];
    let mut session = walk.session().clone();
    let pieces = session.state.open_items().last().unwrap().to_string();
    for (entry, _) in &made {
        let seq = session.kept.last().unwrap().seq + 1;
        session = session.keep(Kept { seq, at, entry: entry.clone() });
    }
    let ranks = [made[4].1, made[3].1, made[1].1, made[2].1, made[0].1, pieces.as_str()];
    let in_order = |text: &str| {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ").to_uppercase();
        let places: Vec<_> = ranks.iter().map(|words| text.find(&words.to_uppercase())).collect();
        assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{places:?}\n{text}");
    };
    let notice = status::notice(&session, &cowlside::domain::trend::Earlier::default());
    in_order(&notice[3..].join(" "));
    let resume = status::way_back(&session, &cowlside::domain::trend::Earlier::default());
    assert_eq!(resume[0], format!("Open: {}", ranks.join(" · ")));
    assert!(resume[1].starts_with("Done: ") && resume[2].starts_with("To be proven next: "));
    let tag = Tag { notice, way_back: resume, ..Tag::default() };
    in_order(&tag.text());
    in_order(&tag.html());
}

#[test]
fn a_new_engine_is_at_its_first_session_in_few_keys() {
    let mut walk = Walk::new(Workshop::default());
    // What the screen says, and what a new user does by it; the list has all kinds.
    let steps = [
        ("2  a new engine", "2"),
        ("letters search", "f l a t blank s i x"),
        ("search: flat six_", "enter"),
        ("What do you call it?", "N 4 enter"),
        ("Enter: not known", "enter"),
        ("Running hours, as in 412.6", "4 1 2 enter"),
        ("Enter: not kept here", "enter"),
    ];
    let mut pressed = 0;
    for (says, keys) in steps {
        assert!(walk.screen().contains(says), "{says}\n{}", walk.screen());
        walk.press(keys);
        pressed += keys.split_whitespace().count();
    }
    println!("keys from the list of engines to the first session: {pressed}");
    assert!(walk.screen().contains("Who works on this engine?"), "{}", walk.screen());
    assert!(pressed <= 19, "{pressed}");
}
