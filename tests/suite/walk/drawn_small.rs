//! The engine in the smallest window, through whole services of four kinds of engine: it is there, or what is
//! asked takes every row.

use super::*;
use cowlside::tui::widgets::engine::{Detail, EngineView};
use cowlside::tui::widgets::engine_strip::Strip;
use std::collections::{BTreeMap, BTreeSet};

/// Where it is drawn: as it lies at the side, or as a row at the foot.
fn place_of(engine: &EngineView, screen: &str) -> Option<&'static str> {
    let shape = &engine.shape;
    let shaped = [format!("{shape}, {}", engine.seen), format!("{shape}, from ")];
    let shaped = !shape.is_empty() && shaped.iter().any(|words| screen.contains(words));
    if shaped || screen.contains(&format!("  {}", engine.seen)) {
        return Some("side");
    }
    let first = engine.banks.iter().flat_map(|bank| &bank.cylinders).next()?;
    let signs: String =
        first.pieces(Detail::Signs)[1..].iter().map(|(words, _)| &**words).collect();
    screen.contains(&signs).then_some("foot")
}

#[test]
fn the_engine_is_in_the_smallest_window_or_what_is_asked_takes_every_row() {
    for (profile, reads) in [
        ("flat-four", "10"),
        ("radial-nine", "0.25"),
        ("flat-six-hydraulic", "40+14"),
        ("vee-twin-shims", "18"),
    ] {
        let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
        walk.press("1 460.5 enter enter");
        let (mut with, mut without) = (0, 0);
        let mut places = BTreeMap::new();
        for _ in 0..120 {
            let due = walk.session().state.due();
            if due == Due::Closed {
                break;
            }
            let Some(View::Question(view)) = view::view(walk.app()) else { panic!("{profile}") };
            // A text or a list has none: it is asked of no valve.
            if let Some(engine) = &view.engine {
                let screen = walk.in_window((40, 12));
                walk.in_window((80, 24));
                let flat = screen.replace(['|', '\n'], " ");
                let flat = flat.split_whitespace().collect::<Vec<_>>().join(" ");
                let cylinders = engine.banks.iter().flat_map(|bank| &bank.cylinders);
                let is_there = cylinders.into_iter().all(|cylinder| {
                    let pieces = cylinder.pieces(Detail::Signs);
                    let signs = pieces[1..].iter().map(|(words, _)| words.as_str());
                    flat.contains(&signs.collect::<String>())
                });
                let free = screen.lines().filter(|row| row.trim_matches(['|', ' ']).is_empty());
                let least = Strip::unnamed(engine, 40).map_or(0, |strip| usize::from(strip.rows()));
                assert!(is_there || free.count() < least, "{profile} {due:?}\n{screen}");
                let reading = view.prompt.field.typed == Some(Typed::Reading);
                // Only a verdict in large letters leaves a reading no room for it.
                let verdict = view.around.note.as_ref().is_some_and(|note| !note.large.is_empty());
                assert!(is_there || !reading || verdict, "{profile}\n{screen}");
                *(if is_there { &mut with } else { &mut without }) += 1;
            }
            // From one caution to the next it stands in one place, and is there where a row is free.
            let (engine, cautions) = (view.where_free.as_ref(), matches!(due, Due::Caution(..)));
            if let Some(engine) = engine.filter(|_| cautions) {
                for size in [(80, 24), (160, 50)] {
                    let screen = walk.in_window(size);
                    let met: &mut BTreeSet<_> = places.entry(size).or_default();
                    let place = place_of(engine, &screen);
                    let blank = |row: &&str| row.trim_matches(['|', ' ']).is_empty();
                    // Large words of two lines, and what parts them, may take every row.
                    if place.is_some() || screen.lines().filter(blank).count() > 1 {
                        met.insert(place);
                    }
                    assert!(met.len() < 2, "{profile} {size:?} {due:?}: {met:?}\n{screen}");
                }
                walk.in_window((80, 24));
            }
            let prompt = walk.app().prompt().unwrap();
            let asked =
                prompt.field.typed != Some(Typed::Reading) && !prompt.field.choices.is_empty();
            let keys = match due {
                Due::Gauge(..) | Due::Again(..) if asked => "1".into(),
                Due::Set(..) => "6 enter 1".into(),
                _ => crate::walk_parts::keys(&walk, &due, &|_| reads),
            };
            walk.press(&keys);
        }
        println!("{profile}: {with} with it, {without} without; {places:?}");
        assert!(places.len() == 2 && places.values().flatten().all(Option::is_some), "{places:?}");
        assert!(with >= 8, "{profile}: {with} with it, {without} without");
    }
}
