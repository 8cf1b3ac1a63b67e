//! A radial stays where it is drawn, at one size, while it is turned, rocked and gauged.

use super::*;
use std::collections::BTreeSet;

/// Where the words under which it is drawn begin, and where its first cylinders are.
fn places(screen: &str) -> Option<Vec<(usize, usize)>> {
    let rows: Vec<Vec<char>> = screen.lines().map(|row| row.chars().collect()).collect();
    let found = |wanted: &str| {
        let wanted: Vec<char> = wanted.chars().collect();
        let at = |row: &Vec<char>| row.windows(wanted.len()).rposition(|some| some == wanted);
        rows.iter().enumerate().find_map(|(y, row)| Some((y, at(row)?)))
    };
    let first = found("seen from the rear")?;
    // The question's own words may name the place, too.
    (rows[first.0][..first.1].ends_with(&[' ', ' '])).then_some(())?;
    let rings = rows.iter().enumerate().skip(first.0 + 1);
    let marks = rings.filter_map(|(y, row)| {
        let part = row.get(first.1..)?;
        let mark = part
            .windows(2)
            .position(|two| matches!(two, ['(' | '[' , digit] if digit.is_ascii_digit()))?;
        Some((y, first.1 + mark))
    });
    Some([first].into_iter().chain(marks.take(1)).collect())
}

#[test]
fn a_radial_stays_where_it_is_from_one_question_to_the_next() {
    let mut walk = Walk::new(Workshop { profile: Some("radial-nine"), ..known() });
    walk.press("1 460.5 enter enter");
    let sizes = [(80, 24), (120, 40), (160, 50)];
    let mut met: Vec<BTreeSet<Vec<(usize, usize)>>> = vec![BTreeSet::new(); sizes.len()];
    let mut drawn = [0; 3];
    let (mut at, mut questions) = (0, 0);
    for _ in 0..60 {
        let due = walk.session().state.due();
        let stop = walk.session().state.progress().map_or(0, |(stop, _)| stop);
        if matches!(due, Due::Turn { .. } | Due::Rock { .. } | Due::Gauge(..)) {
            if stop != at {
                // Another cylinder is watched: the marks are elsewhere, the engine is not.
                met.iter_mut().for_each(|met| met.retain(|place| place.len() < 2));
                at = stop;
            }
            questions += 1;
            // A verdict in large letters leaves a turn no room beside the ring in the lesser window: there it
            // stands beside the large word alone.
            let large = walk.app().note.as_ref().is_some_and(|note| !note.large.is_empty());
            let crowded = large && matches!(due, Due::Turn { .. });
            for (size, (met, drawn)) in sizes.iter().zip(met.iter_mut().zip(&mut drawn)) {
                if crowded && *size == (80, 24) {
                    continue;
                }
                let screen = walk.in_window(*size);
                let Some(places) = places(&screen) else { continue };
                met.insert(places[..1].to_vec());
                met.insert(places);
                *drawn += 1;
                assert!(met.len() <= 2, "{size:?}: {met:?}\n{screen}");
            }
            walk.in_window((80, 24));
        }
        let keys = crate::walk_parts::keys(&walk, &due, &|_| "0.25");
        walk.press(&keys);
        if stop > 3 {
            break;
        }
    }
    println!("{questions} questions, {drawn:?} with the engine");
    assert!(
        questions > 9 && drawn[2] == questions && drawn.iter().all(|drawn| *drawn > 5),
        "{drawn:?} of {questions}"
    );
}
