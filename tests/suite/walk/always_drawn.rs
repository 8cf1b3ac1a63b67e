//! The engine, something large and what is said for safety, on every screen of whole services of four kinds of
//! engine: with what was kept said beside them, and with refusals.

use super::*;
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Standing;
use cowlside::guide::status;
use cowlside::tui::app::Top;
use cowlside::tui::ascii;
use cowlside::tui::look::Seen;
use cowlside::tui::screens::session::SessionView;
use cowlside::tui::widgets::engine::{Detail, EngineView};
use cowlside::tui::widgets::engine_strip::Strip;

/// A service of an engine: what its valves read when they are found, and what they are set to.
struct Service {
    profile: &'static str,
    found: fn(&str) -> &'static str,
    /// Intake and exhaust.
    set: (&'static str, &'static str),
}

const SERVICES: [Service; 3] = [
    Service {
        profile: "radial-nine",
        found: |valve| if valve == "1 exhaust" { "0.2" } else { "0.3" },
        set: ("0.3", "0.3"),
    },
    Service {
        profile: "vee-twin-shims",
        found: |valve| match valve {
            "1 intake 2" => "26",
            "2 exhaust" => "30",
            name if name.contains("intake") => "18",
            _ => "25",
        },
        set: ("18", "25"),
    },
    Service {
        profile: "flat-six-hydraulic",
        found: |valve| if valve == "4 exhaust" { "50+35" } else { "40+14" },
        set: ("40+14", "50"),
    },
];

/// Goes through a whole service; each question is met with what was said before it, then with a refusal.
fn met_in(service: &Service) -> Vec<Met> {
    let mut walk = Walk::new(Workshop { profile: Some(service.profile), ..known() });
    walk.press("1 460.5 enter enter");
    let mut met = Vec::new();
    for _ in 0..500 {
        let due = walk.session().state.due();
        if due == Due::Closed {
            met.append(&mut walk.met);
            return met;
        }
        let prompt = walk.app().prompt().unwrap();
        if prompt.field.enter.is_none() {
            walk.press("enter");
        }
        let changed = |valve: Valve| walk.session().state.fitted.contains_key(&valve);
        let reading = prompt.field.typed == Some(Typed::Reading);
        let keys = match due {
            Due::Gauge(valve, _) | Due::Again(valve, _) if reading => {
                let was = (service.found)(&valve.to_string());
                let first = walk.session().state.round() == Some(0) && !changed(valve);
                let name = valve.to_string();
                let set = if name.contains("exhaust") { service.set.1 } else { service.set.0 };
                format!("{} enter", if first { was } else { set })
            }
            Due::LeakTest(..) if !prompt.field.choices.is_empty() => "1".into(),
            Due::LeakTest(..) => "74/80 enter".into(),
            _ if reading => format!("{} enter", service.set.1),
            Due::Gauge(..) | Due::Again(..) | Due::Set(..) => "1".into(),
            Due::Doubted { .. } => "4".into(),
            _ => crate::walk_parts::keys(&walk, &due, &|_| service.set.1),
        };
        walk.press(&keys);
    }
    panic!("{:?}\n{}", walk.session().state.due(), walk.screen());
}

const SMALL: (u16, u16) = (40, 12);
/// Each window, in blocks or in plain characters.
const WINDOWS: [((u16, u16), bool); 4] =
    [(SMALL, false), (SMALL, true), ((80, 24), false), ((160, 50), false)];

/// Each question of these services once, but for its figures: with and without what was said before it.
fn questions() -> Vec<(Box<SessionView>, Option<Due>)> {
    let all = SERVICES.iter().flat_map(met_in).chain(eventful().met);
    let mut seen = std::collections::BTreeSet::new();
    let bare = |text: &str| text.replace(|letter: char| letter.is_ascii_digit(), "");
    let once = all.filter_map(|met| {
        let View::Question(view) = met.view else { return None };
        let note = view.around.note.as_ref();
        let note = note.map(|note| (note.tone, note.large.len(), bare(&note.text)));
        let words = bare(&format!("{}{}", view.prompt.title, view.prompt.ask));
        seen.insert(format!("{words} {} {note:?}", view.entry.len())).then_some((view, met.due))
    });
    once.collect()
}

#[test]
fn the_engine_and_something_large_are_there_and_nothing_is_left_out_while_rows_are_free() {
    let (mut looked_at, mut drawn, mut gauged) = (0, 0, 0);
    let mut views = std::collections::BTreeMap::new();
    for (mut view, due) in questions() {
        // Each is looked at from another side than the one before.
        let seen = Seen::ALL[looked_at / WINDOWS.len() % 4];
        for engine in [&mut view.engine, &mut view.where_free].into_iter().flatten() {
            *engine = EngineView::clone(engine).seen_from(seen).into();
        }
        let Some(engine) = view.engine.as_ref().or(view.where_free.as_ref()) else { continue };
        for (size, plain) in WINDOWS {
            let picture = painted(&view, size, plain);
            let is_there = is_drawn(engine, &picture);
            let from = engine.seen.rsplit(' ').next().unwrap();
            if is_there && from != "rear" {
                let told = tells_from_where(&picture, from);
                assert!(told, "from the {from}: {due:?} {size:?} {plain}\n{picture}");
                *views.entry((from.to_owned(), size)).or_insert(0) += 1;
            }
            (looked_at, drawn) = (looked_at + 1, drawn + usize::from(is_there));
            // A valve that is gauged is shown in any window, with a refusal beside it or a verdict.
            if view.prompt.field.typed == Some(Typed::Reading) && view.entry.is_empty() {
                assert!(is_there, "{due:?} {size:?}\n{picture}");
                gauged += 1;
            }
            let open = picture.lines().next().unwrap_or_default();
            let below = picture.replacen(open, "", 1);
            let hidden = below.lines().any(|line| line.contains(" more: ?)"));
            assert!(!hidden || size != SMALL || free(&picture) == 0, "{due:?}\n{picture}");
            // What is typed has as many rows as there may be digits.
            if view.entry.is_empty() {
                let strip = Strip::unnamed(engine, size.0).map_or(0, |strip| strip.rows());
                // Between the parts, and for what is not said yet.
                let room = free(&picture) >= usize::from(strip) + 2;
                assert!(is_there || !room, "{due:?} {size:?} {plain}\n{picture}");
                assert!(
                    largest(&picture) >= 3 || free(&picture) < 5,
                    "{due:?} {size:?} {plain}\n{picture}"
                );
            }
        }
    }
    println!("{drawn} of {looked_at}, {gauged} gauged; {views:?}");
    assert!(views.len() == 9 && views.values().all(|count| *count > 9), "{views:?}");
    assert!(
        looked_at > 500 && gauged > 60 && drawn * 10 >= looked_at * 7,
        "{drawn} of {looked_at}"
    );
}

#[test]
fn a_shim_and_a_push_rod_are_told_of_a_large_valve() {
    let mut met = std::collections::BTreeSet::new();
    for (view, _) in questions() {
        let title = &view.prompt.title;
        if ["came out of", "went into"].iter().all(|words| !title.contains(words)) {
            continue;
        }
        let large = view.prompt.big.as_ref().map_or("", |big| big.text.as_str());
        assert!(large.contains("INT") || large.contains("EXH"), "{title}: {large}");
        met.insert(title.split(" of ").next().unwrap_or_default().replace(char::is_numeric, ""));
    }
    assert!(met.len() >= 3, "{met:?}");
}

#[test]
fn the_engine_is_drawn_beside_a_figure_that_is_not_believed_and_a_second_reading() {
    let mut at_a_try = places::at_a_valve();
    at_a_try.press("6 enter 9 enter 1 1 enter");
    assert!(at_a_try.screen().contains("1 for 1 exhaust?"), "{}", at_a_try.screen());
    let mut second = places::at_a_valve();
    second.press("6 enter 9 enter 1 10 enter 2 5 enter 16 enter");
    assert!(matches!(second.session().state.due(), Due::Again(..) | Due::Doubted { .. }));
    for walk in [&mut at_a_try, &mut second] {
        for size in [(80, 24), (160, 50)] {
            let screen = walk.in_window(size);
            assert!(screen.contains("left") && screen.contains("right"), "{size:?}\n{screen}");
            let told = screen.contains("from rear") || screen.contains("from the rear");
            assert!(told || screen.contains("E%I="), "{size:?}\n{screen}");
        }
    }
}

#[test]
fn the_way_back_is_told_in_three_lines_in_the_smallest_window() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 9 enter 1 15 enter a enter");
    for plain in [false, true] {
        if plain {
            walk.in_plain_characters();
        }
        for keys in ["", "enter", "1"] {
            walk.press(keys);
            let screen = walk.in_window(SMALL);
            let at =
                ["|Open: NUT SLACK: 1 exhaust", "|Done: 1 exhaust, try", "|Prove: 2 at overlap"]
                    .map(|words| screen.find(words));
            assert!(at.iter().all(Option::is_some) && at.is_sorted(), "{keys} {plain}\n{screen}");
        }
    }
    // In the same order in wider windows, and no figure is parted.
    let mut hundredths = places::at_the_first_figure("inline-four-1243");
    hundredths.press("30 enter 30 enter 1 25 enter a enter");
    walk.app.as_mut().unwrap().ink = Ink::default();
    for (walk, last) in
        [(&mut walk, "1 exhaust, try: 15 thou"), (&mut hundredths, "try: 25 /100 mm")]
    {
        for size in
            [SMALL, (50, 15), (60, 20), (80, 24), (100, 30), (120, 40), (160, 50), (200, 60)]
        {
            let screen = walk.in_window(size);
            let rows: Vec<&str> = screen.lines().map(|row| row.trim_matches('|')).collect();
            let place = |begins: &[&str]| {
                rows.iter().position(|row| begins.iter().any(|begin| row.starts_with(begin)))
            };
            let open =
                place(&["Open: NUT SLACK: 1 "]).unwrap_or_else(|| panic!("{size:?}\n{screen}"));
            let prove = place(&["Prove: ", "To be proven next: "]);
            let (done, prove) = (place(&["Done: "]).unwrap(), prove.unwrap());
            // Where there is room for more words a line may have a second row.
            let in_rows = (done, prove) == (open + 1, open + 2);
            let in_order = size.0 >= 80 && open < done && done < prove;
            assert!(in_rows || in_order, "{size:?}\n{screen}");
            assert!(size == SMALL || told(&screen).contains(last), "{size:?}\n{screen}");
        }
    }
}

/// The small words of a screen in one line, without what stands beside them.
fn told(screen: &str) -> String {
    let rows = screen.lines().map(|row| row.trim_matches('|').split("  ").next().unwrap_or(""));
    flat(&rows.collect::<Vec<_>>().join(" "))
}

#[test]
fn the_way_back_is_whole_wherever_there_is_room_and_the_help_has_the_rest() {
    let mut walk = places::at_the_first_figure("inline-four-1243");
    for remark in ["oil", "lead", "cowl"] {
        walk.press(&format!("n 0 enter 4 {remark} enter"));
    }
    walk.press("30 enter 30 enter 1 25 enter a enter");
    let whole = status::way_back(walk.session(), &Earlier::default());
    assert!(whole[0].matches(" · ").count() >= 4, "{whole:?}");
    assert!(whole[1].contains("try: 25 /100 mm"), "{whole:?}");
    let prompt = walk.app().prompt().unwrap();
    assert!(whole[..3].iter().all(|line| prompt.lines.contains(line)), "{:?}", prompt.lines);
    for size in [(80, 24), (120, 40), (160, 50), (200, 60), (60, 20), SMALL] {
        let screen = walk.in_window(size);
        let all = whole[..3].iter().all(|line| told(&screen).contains(line.as_str()));
        assert_eq!(all, size.0 >= 80, "{size:?}\n{screen}");
        let rows: Vec<&str> = screen.lines().map(|row| row.trim_matches('|')).collect();
        let place = |begin: &str| rows.iter().position(|row| row.starts_with(begin));
        let next = place("To be proven next: ").or(place("Prove: "));
        let at = [place("Open: NUT SLACK: 1 "), place("Done: "), next];
        assert!(at.iter().all(Option::is_some) && at.is_sorted(), "{size:?}\n{screen}");
        // Where they are not whole each has a row, and the others of what is open are counted.
        let [open, done, next] = at.map(Option::unwrap);
        let in_rows = (done, next) == (open + 1, open + 2) && rows[open].contains(" more");
        assert!(all || in_rows, "{size:?}\n{screen}");
        assert!(!rows.iter().any(|row| row.starts_with("/100")), "{size:?}\n{screen}");
    }
    walk.press("?");
    let Top::Help(help) = &walk.app().top else { panic!("{}", walk.screen()) };
    let lines = help.lines.iter().map(|line| line.text.as_str()).collect::<Vec<_>>().join(" ");
    let lines = lines.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(whole[..3].iter().all(|line| lines.contains(line.as_str())), "{lines}");
}

#[test]
fn the_engine_is_there_before_a_service_on_the_way_out_among_the_readings_and_beside_a_correction()
{
    let mut before = Walk::new(known());
    before.press("1");
    let [mut leaving, mut kept, mut which, mut value] = [(); 4].map(|()| places::at_a_valve());
    for walk in [&mut leaving, &mut kept, &mut which, &mut value] {
        walk.press("6 enter 12 enter");
    }
    leaving.press("q");
    kept.press("l");
    which.press("l 1");
    value.press("l 1 1");
    let asked = [
        "Running hours now",
        "Leave the program?",
        "Choose one",
        "What becomes",
        "The right value",
    ];
    let mut small = 0;
    let walks = [&before, &leaving, &kept, &which, &value];
    for (walk, asked) in walks.into_iter().zip(asked) {
        let view = view::view(walk.app()).unwrap();
        let mut bare = view.clone();
        let engine = match &mut bare {
            View::Question(view) => view.where_free.take().map(|engine| EngineView::clone(&engine)),
            View::List(view) => view.engine.take(),
            _ => None,
        };
        let engine = engine.unwrap_or_else(|| panic!("{}", walk.screen()));
        // Of what is corrected no more is shown than that it is asked about.
        let due = engine.banks.iter().flat_map(|bank| &bank.cylinders);
        let due = due.flat_map(|cylinder| &cylinder.valves);
        let due: Vec<String> =
            due.filter(|it| it.1 == Standing::DueNow).map(|it| it.0.to_string()).collect();
        let corrected = asked.starts_with("What becomes") || asked.starts_with("The right");
        assert_eq!(due.contains(&"1 exhaust".into()), corrected, "{asked} {due:?}");
        for size in [(160, 50), (120, 40), (80, 24), (60, 20), SMALL] {
            let [with, without] = [&view, &bare].map(|view| paint_view(view, size.0, size.1));
            println!("{asked} {size:?}\n{with}");
            assert!(flat(&with).contains(asked), "{size:?}\n{with}");
            let is_there = is_drawn(&engine, &with);
            assert!(is_there || size == SMALL, "{size:?}\n{with}");
            small += usize::from(is_there && size == SMALL);
            // A list has one page more for it there.
            if size == SMALL && matches!(view, View::List(_)) {
                continue;
            }
            // It costs no word of what is there without it.
            let mut words = without.split_whitespace().filter(|word| !inked(word));
            let missed = words.find(|word| !with.contains(word));
            assert_eq!(missed, None, "{size:?}\n{with}\n{without}");
        }
    }
    assert!(small >= 3, "{small}");
}

/// A question in a window, in plain characters or not.
fn painted(view: &SessionView, (width, height): (u16, u16), plain: bool) -> String {
    let mut shown = View::Question(Box::new(view.clone()));
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    if plain {
        if let View::Question(view) = &mut shown {
            view.ink = Ink::Hash;
        }
        ascii::spell(&mut shown);
    }
    shown.paint(Theme::plain(), area, &mut buf);
    if plain {
        ascii::draw(area, &mut buf);
    }
    rows_of(&buf)
}

/// Tells whether a drawing or a row says that it is seen from there: in as few words as behind the last cylinder.
fn tells_from_where(picture: &str, from: &str) -> bool {
    let words = [format!("from the {from}"), format!(", from {from}"), format!("{from} view")];
    let words = words.iter().any(|words| flat(picture).contains(words));
    words || picture.lines().any(|row| signs_then(row, from))
}

/// Tells whether a row ends with signs of valves and then this word.
fn signs_then(row: &str, word: &str) -> bool {
    let row = row.trim_end_matches(['|', ' ']);
    let before = row.strip_suffix(word).and_then(|row| row.strip_suffix("  "));
    let last = before.and_then(|row| row.rsplit(' ').next()).unwrap_or_default();
    last.contains('I') && last.contains('E') && last.len() >= 4
}

/// Everything painted, in one line.
fn flat(picture: &str) -> String {
    picture.replace(['|', '\n'], " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Tells whether each cylinder of an engine stands there, drawn or as signs.
fn is_drawn(engine: &EngineView, picture: &str) -> bool {
    let flat = flat(picture);
    let shaped = format!("{}, from ", engine.shape);
    let drawn = flat.contains(&engine.seen) || !engine.shape.is_empty() && flat.contains(&shaped);
    let mut cylinders = engine.banks.iter().flat_map(|bank| &bank.cylinders);
    let signs = cylinders.all(|cylinder| {
        let pieces = cylinder.pieces(Detail::Signs);
        let signs = pieces[1..].iter().map(|(words, _)| words.as_str());
        flat.contains(&signs.collect::<String>())
    });
    drawn || signs
}

/// Blank rows.
fn free(picture: &str) -> usize {
    picture.lines().filter(|row| row.trim_matches(['|', ' ']).is_empty()).count()
}

/// Tells whether a part of a large letter stands in a text.
fn inked(text: &str) -> bool {
    text.contains(['█', '▀', '▄', '#', '"'])
}

/// Rows of the largest letters on a screen.
fn largest(screen: &str) -> usize {
    let inked = |line: &str| line.chars().filter(|cell| inked(&cell.to_string())).count() >= 4;
    let (mut most, mut run) = (0, 0);
    for line in screen.lines() {
        run = if inked(line) { run + 1 } else { 0 };
        most = most.max(run);
    }
    most
}
