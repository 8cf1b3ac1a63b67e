//! Slips at shims: a size typed wrong, or typed where a choice is asked, becomes no answer that nobody
//! gave; what came out by mistake is put right by one key.

use super::*;
use crate::walk_parts::keys;
use cowlside::domain::entry::{PartKind, Skipped};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Standing;
use cowlside::report::record::record;

/// Presses each key as it is, with no Enter of its own.
fn raw(walk: &mut Walk, keys: &str) {
    for word in keys.split_whitespace() {
        match word {
            "enter" => walk.key(KeyCode::Enter),
            "esc" => walk.key(KeyCode::Esc),
            letters => letters.chars().for_each(|letter| walk.key(KeyCode::Char(letter))),
        }
    }
}

/// The vee twin with shims, one shim to change in each bank, at the first question like this.
fn until(wanted: impl Fn(&Due) -> bool) -> Walk {
    let mut walk = Walk::new(Workshop { profile: Some("vee-twin-shims"), ..known() });
    walk.press("1 460.5 enter enter");
    for _ in 0..200 {
        let due = walk.session().state.due();
        if wanted(&due) {
            return walk;
        }
        let fitted = |valve| walk.session().state.fitted.get(&valve);
        let changed = |valve| fitted(valve).is_some_and(|fitted| fitted.put_in.is_some());
        let pressed =
            keys(&walk, &due, &|valve| match (valve.to_string().as_str(), changed(valve)) {
                ("1 intake 2", false) => "26",
                ("2 exhaust", false) => "30",
                (name, _) if name.contains("intake") => "18",
                _ => "25",
            });
        walk.press(&pressed);
    }
    panic!("not met:\n{}", walk.screen());
}

fn at_take_out() -> Walk {
    until(|due| matches!(due, Due::TakeOut(_)))
}

/// Nothing was said of leaving a valve.
fn nothing_left(walk: &Walk) {
    let left = walk.session().kept.iter().any(|kept| {
        matches!(&kept.entry, Entry::Skip(skip) if matches!(skip.what, Skipped::Setting(..)))
    });
    assert!(!left && walk.session().state.left_as_is.is_empty(), "{}", walk.screen());
}

#[test]
fn a_size_typed_again_leads_back_to_the_size() {
    for again in ["2", "3"] {
        let mut walk = at_take_out();
        raw(&mut walk, "1 enter 2.70 enter 3.10 enter");
        assert!(walk.screen().contains("is that right?"), "{}", walk.screen());
        let before = walk.session().kept.len();
        raw(&mut walk, again);
        raw(&mut walk, "enter");
        let asked = if again == "2" { "By the micrometer" } else { "Marked size" };
        assert!(walk.screen().contains(asked), "{again}: {}", walk.screen());
        assert_eq!(walk.session().kept.len(), before);
        // Back from there leads to no question whose 1 keeps the slip.
        let mut back = at_take_out();
        raw(&mut back, &format!("1 enter 2.70 enter 3.10 enter {again} enter esc"));
        assert!(!back.screen().contains("is that right?"), "{}", back.screen());
        let sizes = if again == "2" { "2.71 enter" } else { "2.70 enter 2.71 enter" };
        raw(&mut walk, sizes);
        let part = walk.session().kept.last().map(|kept| kept.entry.clone());
        let Some(Entry::Part(part)) = part else { panic!("{part:?}") };
        assert_eq!(
            (part.marked.unwrap().nm(), part.measured.unwrap().nm()),
            (2_700_000, 2_710_000)
        );
        nothing_left(&walk);
    }
}

#[test]
fn a_size_typed_again_on_its_way_in_leads_back_to_the_size() {
    let mut walk = until(|due| matches!(due, Due::PartOut(_, PartKind::Shim)));
    raw(&mut walk, "1 enter 3.40 enter 2 enter");
    assert!(walk.screen().contains("By the micrometer"), "{}", walk.screen());
    assert!(!walk.screen().contains("is that right?"), "{}", walk.screen());
}

#[test]
fn a_reading_typed_again_after_gauge_it_once_more_leads_back_to_the_reading() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter 9 enter");
    assert!(matches!(walk.session().state.due(), Due::Set(..)), "{}", walk.screen());
    // 199 is no leaf of the set, nor two: asked about, and typed again.
    walk.press("2 199 enter");
    assert!(walk.screen().contains("type it again"), "{}", walk.screen());
    walk.press("2");
    assert!(walk.screen().contains("Which leaf drags lightly?"), "{}", walk.screen());
    let before = walk.session().kept.len();
    walk.press("1");
    assert_eq!(walk.session().kept.len(), before, "a figure begins, the nut is not said slack");
}

#[test]
fn a_size_typed_at_a_choice_is_no_answer() {
    for place in 0..2 {
        for size in ["2.70", "2.10", "2.1", "1.25", "3.10", "270"] {
            let mut walk = match place {
                0 => at_take_out(),
                _ => until(|due| matches!(due, Due::PartOut(_, PartKind::Shim))),
            };
            let (before, due) = (walk.session().kept.len(), walk.session().state.due());
            raw(&mut walk, size);
            raw(&mut walk, "enter");
            assert_eq!(walk.session().kept.len(), before, "{size}: {}", walk.screen());
            assert_eq!(walk.session().state.due(), due, "{size}");
            assert!(walk.screen().contains("is no answer here: press 1, 2"), "{}", walk.screen());
            nothing_left(&walk);
        }
    }
}

/// The foot offers to take this back, and one key with its reason does.
fn taken_back(walk: &mut Walk, foot: &str) {
    let screen = walk.screen();
    assert!(screen.contains(foot), "{foot}: {screen}");
    let kept = walk.session().kept.len();
    raw(walk, "-");
    assert!(walk.screen().contains("taken back?"), "{}", walk.screen());
    assert_eq!(walk.session().kept.len(), kept, "it asks why first");
}

#[test]
fn cams_said_out_by_mistake_are_in_again_by_one_key_and_nothing_is_gauged_anew() {
    let mut walk = until(|due| *due == Due::PartsList);
    let before = walk.session().state.clone();
    raw(&mut walk, "1 enter");
    assert!(walk.session().state.apart() && walk.screen().contains("CAM OUT"), "{}", walk.screen());
    taken_back(&mut walk, "- takes back: cams of the left bank out");
    raw(&mut walk, "1 enter 1");
    assert_eq!(walk.session().state.due(), Due::PartsList);
    let now = &walk.session().state;
    assert!(!now.apart());
    assert_eq!(now.standings(), before.standings(), "{}", walk.screen());
    assert!(!now.crank_proven(), "nobody knows what was turned");
    let told = record(walk.session(), &Earlier::default());
    assert!(told.contains("cam out: taken back, pressed by mistake: they are in"), "{told}");
    let again = Session::replay(&walk.session().kept).unwrap();
    assert!(again == *walk.session(), "another start tells the same");
}

#[test]
fn a_wrong_size_of_a_shim_that_is_out_is_put_right_by_one_key() {
    let mut walk = at_take_out();
    raw(&mut walk, "1 enter 2.80 enter enter");
    let (due, out) = (walk.session().state.due(), walk.session().state.parts_out.clone());
    taken_back(&mut walk, "- undo shim of");
    // A size that is typed at the choice chooses nothing.
    raw(&mut walk, "2 . 7 0 enter");
    assert_eq!(walk.session().state.parts_out, out, "{}", walk.screen());
    raw(&mut walk, "2 enter 2.70 enter enter");
    let state = &walk.session().state;
    assert_eq!(state.removed.len(), 1, "{:?}", state.removed);
    assert_eq!(state.removed[0].1.nm(), 2_700_000);
    assert_eq!((state.due(), &state.parts_out), (due, &out), "it is out all the same");
    let told = record(walk.session(), &Earlier::default());
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("it is out: its size was typed wrong"), "{told}");
    let again = Session::replay(&walk.session().kept).unwrap();
    assert!(again == *walk.session(), "another start tells the same");
}

#[test]
fn a_shim_named_for_the_wrong_valve_is_out_of_the_right_one_and_one_that_never_came_out_is_in() {
    for (keys, left) in [("3 enter 2 enter 1 enter 2.70 enter enter", true), ("1 enter 1", false)] {
        let mut walk = at_take_out();
        raw(&mut walk, "1 enter 2.80 enter enter");
        let was: Vec<_> =
            walk.session().state.parts_out.iter().filter_map(|out| out.valve).collect();
        taken_back(&mut walk, "- undo shim of");
        raw(&mut walk, keys);
        let now: Vec<_> =
            walk.session().state.parts_out.iter().filter_map(|out| out.valve).collect();
        assert_eq!(now.len(), usize::from(left), "{keys}: {}", walk.screen());
        assert!(now != was, "{keys}: {}", walk.screen());
    }
}

#[test]
fn what_only_lay_under_the_cams_is_not_drawn_as_set() {
    let walk = until(|due| matches!(due, Due::CountIn { .. }));
    let state = &walk.session().state;
    let of = |wanted: Standing| -> Vec<Valve> {
        let all = state.standings().into_iter();
        all.filter(|(_, standing)| *standing == wanted).map(|(valve, _)| valve).collect()
    };
    let set = of(Standing::Set);
    assert_eq!(set.len(), 2, "one shim in each bank: {set:?}");
    assert!(set.iter().all(|valve| state.touched.contains(valve)), "{set:?}");
    let again = of(Standing::Rechecked);
    assert!(!again.is_empty() && again.iter().all(|valve| !state.touched.contains(valve)));
}
