//! What lies about is counted out with few keys of the number pad, and nothing of it is agreed to unread.

use super::*;
use cowlside::domain::session::LOOSE_THINGS;

/// Where the plugs and blanks of a radial, of which some are out, are counted out with what lies about.
fn plugs_to_count() -> Walk {
    let mut walk = Walk::new(Workshop { profile: Some("radial-nine"), ..known() });
    walk.press("1 460.5 enter enter");
    for _ in 0..60 {
        let due = walk.session().state.due();
        let keys = match &due {
            Due::CountOut(bank, _) if bank == LOOSE_THINGS => return walk,
            Due::Temperature => "18 enter",
            Due::CountOut(..) | Due::Who => "enter",
            // Some plugs stay in: how many are out can be told by nobody but who took them out.
            _ if walk.app().prompt().unwrap().ask.contains("low cylinders") => "2",
            _ => "1",
        };
        walk.press(keys);
    }
    panic!("{}", walk.screen());
}

#[test]
fn only_what_is_not_listed_is_counted_and_the_rest_is_as_listed() {
    let mut walk = plugs_to_count();
    let Due::CountOut(_, items) = walk.session().state.due() else { panic!() };
    let asked = walk.app().prompt().unwrap();
    assert!(asked.ask.contains("?/") && asked.field.enter.is_none(), "{}", asked.ask);
    let unknown = asked.ask.matches("?").count();
    // Enter alone is no count, and one number too few is none.
    walk.press("enter 5 enter");
    assert!(matches!(walk.session().state.due(), Due::CountOut(..)), "{}", walk.screen());
    let typed: Vec<String> = (0..unknown - 1).map(|at| (6 + at).to_string()).collect();
    walk.press(&format!("esc {} enter", typed.join("/")));
    let out: Vec<(String, u32)> =
        walk.session().state.out.iter().map(|line| (line.item.clone(), line.out)).collect();
    for (item, listed) in &items {
        let counted = out.iter().find(|(of, _)| of == item).map_or(0, |(_, out)| *out);
        match item.as_str() {
            "plug" | "plug-hole blank" => assert!(counted >= 6, "{item}: {counted}"),
            _ => assert_eq!(counted, *listed, "{item}"),
        }
    }
}
