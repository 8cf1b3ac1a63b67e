//! Legible at a distance and in daylight, whatever the window, theme and font: every screen that a
//! mechanic meets, painted.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use crate::engines::{flat_six, radial_nine, vee_twin};
use crate::walk::{every_screen, paint_view};
use cowlside::domain::session::Due;
use cowlside::domain::valve::Standing;
use cowlside::guide::Typed;
use cowlside::tui::look::Seen;
use cowlside::tui::screens::picture::Pictured;
use cowlside::tui::screens::session::SessionView;
use cowlside::tui::theme::{Colours, Theme, ThemeName, contrast, cube_colour};
use cowlside::tui::view::View;
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::widgets::engine::{Arrangement, Detail, EngineView};
use cowlside::tui::{ascii, painted as sent};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};
use std::collections::BTreeSet;

fn painted(view: &View, theme: Theme, (width, height): (u16, u16)) -> Buffer {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view.paint(theme, area, &mut buf);
    buf
}

/// WCAG 2 relative luminance, written out once more beside the program's own (check-values 12.3:
/// L = 0.2126 R + 0.7152 G + 0.0722 B; ratio (L1 + 0.05) / (L2 + 0.05)).
fn ratio(one: [u8; 3], other: [u8; 3]) -> f64 {
    let light = |[red, green, blue]: [u8; 3]| {
        let channel = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(red) + 0.7152 * channel(green) + 0.0722 * channel(blue)
    };
    let (one, other) = (light(one), light(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn everything_painted_in_the_fixed_themes_has_a_contrast_of_seven_or_more() {
    // Published pairs (WCAG 2 contrast examples, check-values 12.3): the formula is right.
    assert!((ratio([0x77; 3], [255; 3]) - 4.478).abs() < 0.001);
    assert!((ratio([0; 3], [255; 3]) - 21.0).abs() < 0.001);
    let mut pairs: BTreeSet<(u8, u8)> = BTreeSet::new();
    for view in every_screen() {
        for name in [ThemeName::Daylight, ThemeName::Dark] {
            for size in [(40, 12), (80, 24), (160, 50), (30, 6)] {
                let buf = painted(&view, Theme::new(name, Colours::Allowed), size);
                for cell in buf.content() {
                    let (Color::Indexed(fg), Color::Indexed(bg)) = (cell.fg, cell.bg) else {
                        panic!("{name:?}: {:?} on {:?} is no fixed colour", cell.fg, cell.bg);
                    };
                    // Reverse swaps the two, dim and hidden would take contrast away.
                    let weak = Modifier::DIM | Modifier::HIDDEN | Modifier::SLOW_BLINK;
                    assert!(!cell.modifier.intersects(weak));
                    pairs.insert((fg, bg));
                }
            }
        }
    }
    assert!(pairs.len() >= 8, "{pairs:?}");
    for (fg, bg) in pairs {
        let (one, other) = (cube_colour(fg).unwrap(), cube_colour(bg).unwrap());
        let found = ratio(one, other);
        assert!(found >= 7.0, "{fg} on {bg}: {found:.2}");
        assert!((found - contrast(one, other)).abs() < 1e-9);
    }
}

#[test]
fn without_colours_no_screen_has_any_and_bold_and_reverse_stay() {
    let (mut bold, mut reversed) = (0, 0);
    for view in every_screen() {
        for name in ThemeName::ALL {
            let buf = painted(&view, Theme::new(name, Colours::Off), (80, 24));
            for cell in buf.content() {
                assert_eq!((cell.fg, cell.bg), (Color::Reset, Color::Reset));
                bold += usize::from(cell.modifier.contains(Modifier::BOLD));
                reversed += usize::from(cell.modifier.contains(Modifier::REVERSED));
            }
        }
    }
    assert!(bold > 0 && reversed > 0);
}

#[test]
fn in_plain_ascii_no_screen_has_another_byte() {
    for view in every_screen() {
        let mut view = view;
        with_hash(&mut view);
        ascii::spell(&mut view);
        for (width, height) in [(40, 12), (80, 24), (160, 50), (20, 5)] {
            let mut buf = painted(&view, Theme::plain(), (width, height));
            ascii::draw(Rect::new(0, 0, width, height), &mut buf);
            for cell in buf.content() {
                assert!(cell.symbol().is_ascii(), "{:?}\n{}", cell.symbol(), text_of(&buf));
            }
        }
    }
}

fn with_hash(view: &mut View) {
    match view {
        View::Question(view) => {
            view.ink = Ink::Hash;
            view.picture.iter_mut().for_each(|picture| picture.ink = Ink::Hash);
        }
        View::Notice(view) => view.ink = Ink::Hash,
        View::Picture(view) => {
            if let Pictured::Stop(picture) = &mut view.picture {
                picture.ink = Ink::Hash;
            }
        }
        View::List(view) => view.ink = Ink::Hash,
        View::Help(view) => view.ink = Ink::Hash,
        View::Past(_) => {}
    }
}

fn text_of(buf: &Buffer) -> String {
    let area = buf.area;
    let row = |y| (0..area.width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..area.height).map(|y| row(y) + "\n").collect()
}

/// Everything painted, in one line without the blanks at line ends, so that wrapped text is found.
fn flat(view: &View, size: (u16, u16)) -> String {
    let picture = paint_view(view, size.0, size.1);
    let lines = picture.lines().map(|line| line.trim_matches('|').trim());
    lines.collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

fn holds(flat: &str, words: &str) -> bool {
    let wanted: Vec<&str> = words.split_whitespace().collect();
    flat.contains(&wanted.join(" "))
}

/// The sizes that are tried: a sample, or every one from 40x12 to 200x60.
fn sizes() -> Vec<(u16, u16)> {
    if std::env::var_os("COWLSIDE_EVERY_SIZE").is_some() {
        return (40..=200).flat_map(|width| (12..=60).map(move |height| (width, height))).collect();
    }
    let mut sizes = vec![(40, 12), (41, 13), (80, 24), (120, 40), (160, 50), (200, 60)];
    sizes.extend([
        (200, 12),
        (40, 60),
        (59, 19),
        (60, 20),
        (79, 23),
        (81, 25),
        (100, 17),
        (52, 14),
    ]);
    sizes
}

#[test]
fn what_is_asked_what_may_be_answered_and_the_keys_are_whole_from_forty_by_twelve_on() {
    let mut wrong = Vec::new();
    // A key held down where a digit waits for Enter: eighty of it stand there.
    let stuffed = |view: &View| match view {
        View::Question(question) if question.prompt.field.typed == Some(Typed::Digit) => {
            let entry = "1234567890".repeat(8);
            Some(View::Question(Box::new(SessionView { entry, ..(**question).clone() })))
        }
        _ => None,
    };
    let screens = every_screen();
    let held: Vec<View> = screens.iter().filter_map(stuffed).collect();
    assert!(!held.is_empty());
    for view in screens.into_iter().chain(held) {
        let View::Question(question) = &view else { continue };
        for size in sizes() {
            let flat = flat(&view, size);
            let mut wanted = vec![question.prompt.ask.clone()];
            let labels = question.prompt.field.choices.iter();
            wanted.extend(labels.map(|choice| format!("{} {}", choice.digit, choice.label)));
            wanted.extend(
                question
                    .prompt
                    .field
                    .enter
                    .iter()
                    .filter(|_| question.entry.is_empty())
                    .map(|enter| format!("Enter: {enter}")),
            );
            // Where room is short a chosen digit is marked among the choices.
            let marked =
                question.prompt.field.typed == Some(Typed::Digit) && question.entry.is_empty();
            let held = question.entry.len() == 80;
            if held {
                // The question is whole to its end, and nothing of another row stands behind it.
                let behind = [" >", &format!(" {}", wanted[1])].map(|it| wanted[0].clone() + it);
                let [entry, answer] = behind;
                wanted[0] = if holds(&flat, &entry) { entry } else { answer };
            }
            if question.prompt.field.typed.is_some() && !marked && !held {
                let shown: String = question.entry.chars().rev().take(30).collect();
                wanted.push(format!("> {}", shown.chars().rev().collect::<String>()).trim().into());
            }
            for words in wanted {
                // A label may stand beside the drawing; then its pieces are on their own lines.
                let pieces: Vec<&str> = words.split_whitespace().collect();
                let whole = holds(&flat, &words)
                    || size.0 >= 70 && pieces.iter().all(|piece| flat.contains(piece));
                if !whole && size.0 < 70 {
                    wrong.push(format!("{size:?}: {words}\n{}", paint_view(&view, size.0, size.1)));
                } else if !whole {
                    wrong.push(format!("{size:?}: {words}"));
                }
            }
            let way_on = ["Enter", "digit"].iter().any(|key| flat.contains(key));
            assert!(
                way_on && (flat.contains(" ?") || question.prompt.field.typed == Some(Typed::Text)),
                "{flat}"
            );
        }
    }
    wrong.dedup();
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.iter().take(6).cloned().collect::<Vec<_>>().join("\n")
    );
}

#[test]
fn the_verdict_stands_beside_the_next_question_at_every_size() {
    let mut seen = 0;
    for (view, _) in crate::walk::every_screen_due() {
        let View::Question(question) = &view else { continue };
        let Some(note) = question.around.note.as_ref().filter(|note| !note.large.is_empty()) else {
            continue;
        };
        seen += 1;
        for size in sizes() {
            let flat = flat(&view, size);
            // Of two lines in a low window one is left, with the verdict.
            let begin = note.text.split(' ').take(4).collect::<Vec<_>>().join(" ");
            assert!(
                holds(&flat, &note.text) || size.0 >= 70 || size.1 < 18 && holds(&flat, &begin),
                "{}\n{}",
                note.text,
                paint_view(&view, size.0, size.1)
            );
            let verdict = note.text.split(" · ").nth(1).unwrap().trim();
            assert!(
                holds(&flat, verdict),
                "{verdict} at {size:?}\n{}",
                paint_view(&view, size.0, size.1)
            );
        }
    }
    assert!(seen >= 10, "{seen} verdicts were met");
}

/// Rows of ink in a row from the top of the largest letters on a screen.
fn tallest_ink(buf: &Buffer) -> u16 {
    let inked = |x, y| matches!(buf[(x, y)].symbol(), "█" | "▀" | "▄");
    let row = |y| (0..buf.area.width).filter(|&x| inked(x, y)).count() >= 2;
    let (mut most, mut run) = (0, 0);
    for y in 0..buf.area.height {
        run = if row(y) { run + 1 } else { 0 };
        most = most.max(run);
    }
    most
}

#[test]
fn what_is_gauged_what_is_typed_and_the_notice_are_at_least_an_eighth_of_the_height() {
    let mut seen = 0;
    for view in every_screen() {
        let large = match &view {
            View::Question(question) => {
                question.prompt.field.typed == Some(Typed::Reading)
                    && question.entry.chars().count() <= 5
                    && question.prompt.big.as_ref().is_some_and(|big| big.text.contains("EXH"))
            }
            View::Notice(_) => true,
            View::List(_) | View::Past(_) | View::Picture(_) | View::Help(_) => false,
        };
        if !large {
            continue;
        }
        seen += 1;
        for size in sizes() {
            let buf = painted(&view, Theme::plain(), size);
            let found = tallest_ink(&buf);
            // In 40 columns a word of five letters cannot be larger than seven rows.
            let two = matches!(&view, View::Question(question)
                if question.prompt.big.as_ref().is_some_and(|big| !big.then.is_empty()));
            // Of two words beside a number each has less.
            let most = match (size.0 < 80, two) {
                (true, true) => 3,
                (true, false) => 7,
                (false, _) => u16::MAX,
            };
            let least = (size.1 * 12).div_ceil(100).max(3).min(most);
            assert!(found >= least, "{found} of {size:?}\n{}", text_of(&buf));
        }
    }
    assert!(seen >= 8);
}

#[test]
fn every_size_from_one_by_one_on_is_painted() {
    let every = std::env::var_os("COWLSIDE_EVERY_SIZE").is_some();
    let screens = every_screen();
    let step = if every { 1 } else { 7 };
    for width in (1..=200).step_by(step) {
        for height in (1..=60).step_by(if every { 1 } else { 5 }) {
            let chosen = usize::from(width) * 31 + usize::from(height);
            let few = screens.iter().skip(chosen % 5).step_by(if every { 9 } else { 23 });
            for view in few {
                let buf = painted(view, Theme::plain(), (width, height));
                if (width >= 20 && height >= 1) && (width < 40 || height < 12) {
                    let asks = text_of(&buf).contains("40x12 needed");
                    let looked_at =
                        matches!(view, View::Picture(_) | View::Notice(_) | View::Help(_));
                    assert!(asks || looked_at, "{width}x{height}\n{}", text_of(&buf));
                }
            }
        }
    }
}

/// Cylinders bank by bank as they are painted: columns from the left and down, lines from the top and
/// along, rings by their angles.
fn lies(view: &EngineView) -> Vec<Vec<&str>> {
    let names = |bank: &cowlside::tui::widgets::engine::BankView| bank.cylinders.len();
    assert!(view.banks.iter().map(names).sum::<usize>() > 0);
    let banks = view.banks.iter();
    banks.map(|bank| bank.cylinders.iter().map(|one| one.name.as_str()).collect()).collect()
}

#[test]
fn an_engine_is_mirrored_as_it_is_walked_round() {
    // Worked by hand: right bank 1 3 5 and left bank 2 4 6, listed from the propeller end, which is
    // the front. From the rear left is on the left and the front is far, at the top.
    let six = EngineView::new(&flat_six(), |_| Standing::NotYet, None, &[]);
    let from = |seen| six.clone().seen_from(seen);
    let rear = from(Seen::Rear);
    assert_eq!(lies(&rear), [["2", "4", "6"], ["1", "3", "5"]]);
    assert_eq!((rear.above.as_str(), rear.below.as_str()), ("propeller end", "rear"));
    // Looking back from the front the right bank is on the left and the propeller is near.
    let front = from(Seen::Front);
    assert_eq!(lies(&front), [["5", "3", "1"], ["6", "4", "2"]]);
    assert_eq!((front.above.as_str(), front.below.as_str()), ("rear", "propeller end"));
    assert_eq!(front.seen, "seen from the front");
    // From the left side: the left bank is near, at the foot; the propeller is on the left.
    let left = from(Seen::Left);
    assert_eq!(
        (left.arrangement.clone(), lies(&left)),
        (Arrangement::Lines, vec![vec!["1", "3", "5"], vec!["2", "4", "6"]])
    );
    assert_eq!(left.above, "propeller end");
    // From the right side: the right bank is near, the propeller is on the right.
    let right = from(Seen::Right);
    assert_eq!(lies(&right), [["6", "4", "2"], ["5", "3", "1"]]);
    assert_eq!((right.above.as_str(), right.below.as_str()), ("rear", "propeller end"));
}

#[test]
fn a_vee_and_a_radial_are_mirrored_too() {
    let vee = EngineView::new(&vee_twin(), |_| Standing::NotYet, None, &[]);
    let (rear, front) = (vee.clone(), vee.clone().seen_from(Seen::Front));
    let mut turned = lies(&rear);
    turned.reverse();
    assert_eq!(lies(&front), turned);
    // Nine cylinders, 40 degrees apart, 1 at the top, clockwise from the rear: from the front 2 is at
    // 320 degrees and 9 at 40, the numbers run counter-clockwise.
    let nine = EngineView::new(&radial_nine(), |_| Standing::NotYet, None, &[]);
    let Arrangement::Rings(rows) = nine.clone().seen_from(Seen::Front).arrangement else {
        panic!()
    };
    let near = |found: f64, wanted: f64| (found - wanted).abs() < 1e-9;
    assert!(near(rows[0][0], 0.0) && near(rows[0][1], 320.0) && near(rows[0][8], 40.0), "{rows:?}");
    // From its side a radial's cylinders hide each other: it stays as seen from the rear.
    assert_eq!(nine.clone().seen_from(Seen::Left), nine);
}

#[test]
fn walking_round_an_engine_comes_back_and_the_words_are_kept() {
    assert_eq!(Seen::ALL.iter().fold(Seen::Rear, |seen, _| seen.next()), Seen::Rear);
    for seen in Seen::ALL {
        assert_eq!(Seen::from_word(seen.word()), Some(seen));
    }
}

#[test]
fn a_valve_shows_only_that_it_is_due_until_its_reading_is_kept() {
    let mut met = 0;
    for (view, due) in crate::walk::every_screen_due() {
        let (View::Question(question), Some(Due::Gauge(valve, _))) = (&view, due) else { continue };
        let Some(engine) = &question.engine else { continue };
        let valves =
            engine.banks.iter().flat_map(|bank| &bank.cylinders).flat_map(|one| &one.valves);
        let (_, standing) = valves.clone().find(|(of, _)| *of == valve).unwrap();
        assert_eq!(*standing, Standing::DueNow);
        met += 1;
    }
    assert!(met >= 10);
}

/// Bytes that the second of two screens costs a terminal that shows the first one.
fn bytes_between(before: &View, after: &View, (width, height): (u16, u16)) -> usize {
    let area = Rect::new(0, 0, width, height);
    let [before, after] = [before, after].map(|view| {
        let mut buffer = Buffer::empty(area);
        view.paint(Theme::plain(), area, &mut buffer);
        buffer
    });
    sent::frame(Some(&before), &after).len()
}

#[test]
fn a_typed_digit_costs_the_line_little() {
    let screens = crate::walk::while_a_reading_is_typed();
    let costs: Vec<usize> =
        screens.windows(2).map(|two| bytes_between(&two[0], &two[1], (80, 24))).collect();
    println!("bytes a typed digit, the first one and the next ones: {costs:?}");
    assert!(costs.iter().all(|cost| *cost <= 200), "with the marks of a frame: {costs:?}");
    let same = bytes_between(&screens[0], &screens[0], (80, 24));
    assert_eq!(same, 0, "a key that changes nothing costs nothing");
}

/// The engine is on every screen of a round from 60x20 on: drawn, else as a strip with a sign a valve. Only
/// two large words of what to do with a screw, or the answers about its nut, leave no room for it under 80
/// columns. At 40x12 it gives way to directions that have to be read whole, and to answers that take all rows.
#[test]
fn the_engine_is_on_the_screen_wherever_there_is_room() {
    let (mut strips, mut drawn, mut low) = (0, 0, [0, 0]);
    for view in every_screen() {
        let View::Question(question) = &view else { continue };
        let Some(engine) = &question.engine else { continue };
        for size in [(40, 12), (60, 20), (64, 22), (70, 20), (80, 24), (120, 40)] {
            let (picture, flat) = (paint_view(&view, size.0, size.1), flat(&view, size));
            let signs = |separate: &str| {
                let mut cylinders = engine.banks.iter().flat_map(|bank| &bank.cylinders);
                cylinders.all(|cylinder| {
                    let valves = cylinder.pieces(Detail::Signs)[1..].to_vec();
                    let valves = valves.into_iter().map(|(words, _)| words).collect::<Vec<_>>();
                    flat.contains(&valves.join(separate))
                })
            };
            let names = engine.banks.iter().all(|bank| flat.contains(&bank.name));
            let two = question.prompt.big.as_ref().is_some_and(|big| !big.then.is_empty());
            let strip = names && signs("");
            strips += usize::from(strip);
            drawn += usize::from(!strip && names);
            let nut = question.prompt.title.starts_with("The nut of");
            if size == (40, 12) {
                low[usize::from(signs(""))] += 1;
                // While a reading is typed, and beside the large verdict on the one before, it is there.
                let reading = question.prompt.field.typed == Some(Typed::Reading);
                assert!(!reading || signs(""), "{picture}");
                continue;
            }
            assert!(names || signs("") || (two || nut) && size.0 < 80, "{size:?}\n{picture}");
            if strip {
                let due = engine.banks.iter().flat_map(|bank| &bank.cylinders);
                let due = due.flat_map(|cylinder| &cylinder.valves);
                let due = due.filter(|(_, standing)| *standing == Standing::DueNow).count();
                assert_eq!(picture.matches("I?").count() + picture.matches("E?").count(), due);
            }
        }
    }
    println!("at 40x12 without and with it: {low:?}");
    assert!(low[1] >= 3 * low[0], "in the smallest window mostly: {low:?}");
    assert!(strips > 20 && drawn > 20, "{strips} strips, {drawn} drawings");
}

#[test]
fn every_digit_of_every_question_costs_the_line_little() {
    let pairs = crate::walk::every_typed_digit();
    let costs = pairs.iter().map(|(before, after)| bytes_between(before, after, (80, 24)));
    let (cost, (before, after)) = costs.zip(&pairs).max_by_key(|(cost, _)| *cost).unwrap();
    let [before, after] = [before, after].map(|view| crate::walk::paint_view(view, 80, 24));
    if cost > 200 {
        let area = Rect::new(0, 0, 80, 24);
        let mut b = [Buffer::empty(area), Buffer::empty(area)];
        let (x, y) = pairs.iter().find(|(x, y)| bytes_between(x, y, (80, 24)) == cost).unwrap();
        x.paint(Theme::plain(), area, &mut b[0]);
        y.paint(Theme::plain(), area, &mut b[1]);
        println!("{:?}", String::from_utf8(sent::frame(Some(&b[0]), &b[1])).unwrap());
    }
    println!("{} digits typed, at most {cost} bytes:\n{before}{after}", pairs.len());
    assert!(cost <= 200, "{cost} bytes with the marks of a frame:\n{before}{after}");
}
