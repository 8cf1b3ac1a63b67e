//! Places of a service that tests go on from, in windows of any size.

use super::*;
use cowlside::tui::keeping::Saving;

/// A whole service of the number pad up to the end of both rounds.
pub fn both_rounds() -> Walk {
    walked("12", &[TO_THE_FIRST_STOP, FIRST_ROUND, RECHECK])
}

/// Where all that comes off is counted out.
pub fn before_the_counts() -> Walk {
    let mut walk = Walk::new(known());
    let counts = " enter enter enter";
    walk.press(TO_THE_FIRST_STOP.strip_suffix(counts).unwrap());
    walk
}

/// Where the owner's sentence is typed.
pub fn before_the_owners_sentence() -> Walk {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP, FIRST_ROUND, RECHECK, COUNT_IN, CHECKS, RUN]);
    walk.press("enter enter enter 1");
    walk
}

/// At the first valve of all.
pub fn at_a_valve() -> Walk {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP]);
    walk.press("2 enter 1");
    walk
}

/// Where the figures of the manual's page are not those of the profile.
pub fn where_the_page_differs() -> Walk {
    let mut walk = Walk::new(Workshop::default());
    walk.press("2 flat blank four enter Test enter enter 412.6 enter enter AF enter");
    walk.press("Manual enter 3 enter 12 enter 7 enter 4 enter 8 enter 13 enter 9 enter 16 enter");
    walk
}

/// At the first valve that is to be gauged, of an engine of this profile.
pub fn at_the_first_figure(profile: &'static str) -> Walk {
    let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
    walk.press("1 460.5 enter enter");
    while !matches!(walk.session().state.due(), Due::Gauge(..)) {
        let due = walk.session().state.due();
        let keys = crate::walk_parts::keys(&walk, &due, &|_| "30");
        walk.press(&keys);
    }
    walk
}

/// Where the crank is turned to the second stop.
pub fn before_a_turn() -> Walk {
    let mut walk = at_a_valve();
    walk.press("6 enter 12 enter");
    walk
}

/// Where a very tight valve asks for a leak test.
pub fn before_a_leak_test() -> Walk {
    let mut walk = at_a_valve();
    walk.press("0 enter 12 enter");
    walk
}

/// Where the parts list of a vee twin with one shim to change is read.
pub fn at_the_parts_list() -> Walk {
    let mut walk = Walk::new(Workshop { profile: Some("vee-twin-shims"), ..known() });
    walk.press("1 460.5 enter enter");
    let tight = |valve: Valve| match valve.to_string().as_str() {
        "2 exhaust" => "15",
        name if name.contains("intake") => "18",
        _ => "25",
    };
    while walk.session().state.due() != Due::PartsList {
        let due = walk.session().state.due();
        let keys = crate::walk_parts::keys(&walk, &due, &tight);
        walk.press(&keys);
    }
    walk
}

impl Walk {
    /// Goes on in a window of another size; returns what it shows.
    pub fn in_window(&mut self, (width, height): (u16, u16)) -> String {
        if let Some(app) = &mut self.app {
            app.room = (width, height);
        }
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        view::paint(self.app(), area, &mut buf);
        rows_of(&buf)
    }

    /// Goes on with something that the disk did not take, which every screen has a line for.
    pub fn not_saved(&mut self) {
        if let Some(app) = &mut self.app {
            app.saving = Saving::Not { entries: 1, why: "no room is left on the disk".into() };
        }
    }

    /// Goes on with nothing on the screen but plain characters.
    pub fn in_plain_characters(&mut self) {
        if let Some(app) = &mut self.app {
            app.ink = Ink::Hash;
        }
    }

    /// Types a text with its blanks.
    pub fn type_text(&mut self, text: &str) {
        text.chars().for_each(|letter| self.key(KeyCode::Char(letter)));
    }
}
