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
            for (size, (met, drawn)) in sizes.iter().zip(met.iter_mut().zip(&mut drawn)) {
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
        questions > 9 && drawn.iter().all(|drawn| *drawn == questions),
        "{drawn:?} of {questions}"
    );
}

/// Where the words of the drawing begin and where each cylinder's two marks are; `None` where the engine is a row.
type Drawn = Option<Vec<(usize, usize)>>;

fn drawn_at(screen: &str) -> Drawn {
    let rows: Vec<Vec<char>> = screen.lines().map(|row| row.chars().collect()).collect();
    let at = |row: &Vec<char>, wanted: &str| {
        let wanted: Vec<char> = wanted.chars().collect();
        row.windows(wanted.len()).rposition(|some| some == wanted)
    };
    let seen = ["seen from the rear", "clockwise from the rear"];
    let found = |row: &Vec<char>| {
        // In a sentence it stands behind a comma, or begins the line.
        let alone = |at: &usize| matches!(&row[..*at], [.., before, ' '] if *before != ',');
        seen.iter().filter_map(|seen| at(row, seen)).find(alone)
    };
    let caption = rows.iter().enumerate().find_map(|(y, row)| Some((y, found(row)?)))?;
    let marks = rows.iter().enumerate().flat_map(|(y, row)| {
        let is_mark = |some: &[char]| matches!(some, ['I', a, 'E', b] if *a != ' ' && *b != ' ');
        let marks = row.windows(4).enumerate().filter(move |(_, some)| is_mark(some));
        marks.map(move |(x, _)| (y, x)).collect::<Vec<_>>()
    });
    Some([caption].into_iter().chain(marks).collect())
}

/// In a window of one size a radial is drawn at one place in one size at every question of a stop, or it is a row at
/// every one. Where what is open takes one line more of the head than before there is less room from there on.
#[test]
fn a_radial_is_drawn_alike_at_every_question_of_its_stops_or_at_none() {
    const WINDOWS: [(u16, u16); 5] = [(40, 12), (60, 20), (72, 20), (80, 24), (120, 40)];
    let radials = [
        ("radial-nine", "0.25"),
        ("radial-nine-table", "0.25"),
        ("radial-five", "10"),
        ("radial-seven", "10"),
        ("radial-eighteen", "10"),
    ];
    let mut as_ring = 0;
    for (profile, target) in radials {
        let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
        walk.press("1 460.5 enter enter");
        let mut met: Vec<BTreeSet<(usize, Drawn)>> = vec![BTreeSet::new(); WINDOWS.len()];
        for _ in 0..60 {
            let due = walk.session().state.due();
            let asked = matches!(
                due,
                Due::Turn { .. }
                    | Due::Rock { .. }
                    | Due::Unload(_)
                    | Due::Release(_)
                    | Due::Gauge(..)
            );
            if asked {
                for (size, met) in WINDOWS.iter().zip(&mut met) {
                    let screen = walk.in_window(*size);
                    let head = screen.lines().position(|line| line.contains("Test four")).unwrap();
                    met.insert((head, drawn_at(&screen)));
                    let alike = met.iter().filter(|(other, _)| *other == head).count();
                    assert!(alike == 1, "{profile} {size:?}: {met:?}\n{screen}");
                }
                walk.in_window((80, 24));
            }
            let reads = walk.app().prompt().unwrap().field.typed == Some(Typed::Reading);
            let keys = match due {
                Due::Gauge(..) if !reads => "1".into(),
                Due::Unload(_) | Due::Release(_) => "1".into(),
                _ => crate::walk_parts::keys(&walk, &due, &|_| target),
            };
            walk.press(&keys);
        }
        let ringed = |size: usize| met[size].iter().all(|(_, one)| one.is_some());
        as_ring += usize::from(ringed(2)) + usize::from(ringed(1));
        assert!(ringed(3) && ringed(4), "{profile}: {met:?}");
    }
    println!("{as_ring} of {} radials in lesser windows as a ring", 2 * radials.len());
    assert!(as_ring >= 4, "{as_ring}");
}
