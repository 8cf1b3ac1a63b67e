//! The engine, something large and what is said for safety, on every screen of whole services of four kinds of
//! engine: with what was kept said beside them, and with refusals.

use super::*;
use cowlside::tui::ascii;
use cowlside::tui::screens::session::SessionView;
use cowlside::tui::widgets::engine::{Detail, EngineView};

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

#[test]
fn dump() {
    use std::fmt::Write as _;
    let mut all: Vec<(String, Vec<Met>)> = vec![
        ("eventful".into(), eventful().met),
        ("owed".into(), owed::owed().met),
    ];
    for service in &SERVICES {
        all.push((service.profile.into(), met_in(service)));
    }
    let _ = std::fs::create_dir_all("/tmp/nar/screens");
    for (name, met) in all {
        let mut seen = std::collections::BTreeSet::new();
        let mut out = [(40, 12, false), (40, 12, true), (60, 20, false), (80, 24, false), (160, 50, false)].map(|size| (size, String::new()));
        for (n, one) in met.iter().enumerate() {
            let View::Question(view) = &one.view else { continue };
            let without = |text: &str| text.replace(|letter: char| letter.is_ascii_digit(), "");
            let note = view.around.note.as_ref().map(|note| (note.tone, note.large.len(), without(&note.text)));
            let words = without(&format!("{}{}", view.prompt.title, view.prompt.ask));
            if !seen.insert(format!("{words} {} {note:?}", view.entry.len())) {
                continue;
            }
            for ((width, height, plain), out) in &mut out {
                let picture = painted(view, (*width, *height), *plain);
                let engine = view.engine.as_ref().or(view.where_free.as_ref());
                let drawn = engine.is_some_and(|engine| is_drawn(engine, &picture));
                let due = format!("{:?}", one.due);
                let due = due.split(['{', '(']).take(2).collect::<Vec<_>>().join("(");
                let _ = writeln!(
                    out,
                    "#{n} {due} engine={} any={} drawn={drawn} large={} free={} note={}\n{picture}",
                    view.engine.is_some(),
                    engine.is_some(),
                    largest(&picture),
                    free(&picture),
                    view.around.note.is_some()
                );
            }
        }
        for ((width, height, plain), out) in out {
            let plain = if plain { "a" } else { "" };
            let _ = std::fs::write(format!("/tmp/nar/screens/{name}_{width}x{height}{plain}"), out);
        }
    }
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

/// Everything painted, in one line.
fn flat(picture: &str) -> String {
    picture.replace(['|', '\n'], " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Tells whether each cylinder of an engine stands there, drawn or as signs.
fn is_drawn(engine: &EngineView, picture: &str) -> bool {
    let flat = flat(picture);
    let names = engine.banks.iter().all(|bank| flat.contains(&bank.name));
    let mut cylinders = engine.banks.iter().flat_map(|bank| &bank.cylinders);
    let signs = cylinders.all(|cylinder| {
        let pieces = cylinder.pieces(Detail::Signs);
        let signs = pieces[1..].iter().map(|(words, _)| words.as_str());
        flat.contains(&signs.collect::<String>())
    });
    names || signs
}

/// Blank rows.
fn free(picture: &str) -> usize {
    picture.lines().filter(|row| row.trim_matches(['|', ' ']).is_empty()).count()
}

/// Rows of the largest letters on a screen.
fn largest(screen: &str) -> usize {
    let inked = |line: &str| line.matches(['█', '▀', '▄', '#', '"']).count() >= 4;
    let (mut most, mut run) = (0, 0);
    for line in screen.lines() {
        run = if inked(line) { run + 1 } else { 0 };
        most = most.max(run);
    }
    most
}
