//! Scratch.
use super::*;
#[test]
fn dump() {
    for profile in ["radial-nine", "radial-nine-table", "radial-eighteen", "radial-five", "flat-four", "flat-six-hydraulic", "vee-twin-shims"] {
        let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
        walk.press("1 460.5 enter enter");
        let mut out = String::new();
        let mut n = 0;
        for _ in 0..400 {
            let due = walk.session().state.due();
            if due == Due::Closed { break }
            for size in [(40, 12), (60, 20), (80, 24)] {
                let s = walk.in_window(size);
                out += &format!("#{n} {:?} {size:?}\n{s}", format!("{due:?}").split(['(', ' ', '{']).next().unwrap());
            }
            walk.in_window((80, 24));
            n += 1;
            let prompt = walk.app().prompt().unwrap();
            let lead = match profile { "radial-nine" | "radial-nine-table" => "0.25", "flat-six-hydraulic" => "40+14", "vee-twin-shims" => "18", _ => "10" };
            let keys = match (&due, prompt.field.typed, prompt.field.choices.is_empty()) {
                (Due::Gauge(..), Some(Typed::Reading), _) => format!("{lead} enter"),
                (Due::Gauge(..) | Due::Again(..) | Due::Set(..) , _, false) => "1".into(),
                _ => crate::walk_parts::keys(&walk, &due, &|_| match profile { "radial-nine" | "radial-nine-table" => "0.25", "flat-six-hydraulic" => "40+14", "vee-twin-shims" => "18", _ => "10" }),
            };
            walk.press(&keys);
        }
        std::fs::create_dir_all("/tmp/rad/screens").unwrap();
        std::fs::write(format!("/tmp/rad/screens/{profile}"), out).unwrap();
    }
}
