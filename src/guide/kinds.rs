//! The kinds of engine that a new engine is chosen from: in which order they stand, what each is
//! called, by which words it is found, and what is said beside its drawing.

use crate::domain::plain::plain;
use crate::domain::profile::{Facts, Shape};
use crate::domain::search;
use crate::domain::valve::Cylinder;

/// Names that are told where a word finds nothing.
const NEAREST: usize = 3;
/// The line after all kinds.
pub const OWN: &str = "a kind of my own: describe it";

/// Said to Enter where a search found no kind: nothing is begun by a word that was meant for another
/// question.
pub const NOT_FOUND: &str =
    "no kind is called so: Esc shows all. The engine's own name is asked after its kind";

/// A kind of engine to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kind {
    /// The profile's name.
    pub profile: String,
    /// What it is called in the list; no two are called the same.
    pub title: String,
    /// By what it is found.
    pub words: String,
    /// What is said beside its drawing.
    pub lines: Vec<String>,
    /// Whether the mechanic described it himself.
    pub own: bool,
}

/// Lists profiles (name, facts, whether they are the user's own) by shape and cylinders.
pub fn kinds<'a>(profiles: impl Iterator<Item = (&'a str, &'a Facts, bool)>) -> Vec<Kind> {
    let mut known: Vec<_> = profiles.collect();
    known.sort_by_key(|(_, facts, _)| search::place_in_list(facts));
    let twice = |title: &str| known.iter().filter(|(_, facts, _)| facts.name == title).count() > 1;
    let kind = |(name, facts, own): &(&str, &Facts, bool)| {
        let order = order(facts);
        let told = facts.name.contains(&order) || !twice(&facts.name);
        let title = match told {
            true => facts.name.clone(),
            false => format!("{}, order {order}", facts.name),
        };
        let mut words = search::words_of(name, facts);
        words.push_str(if *own { " own" } else { "" });
        Kind {
            profile: (*name).into(),
            title: plain(&title),
            words,
            lines: lines(facts, *own),
            own: *own,
        }
    };
    let mut kinds: Vec<Kind> = known.iter().map(kind).collect();
    let titles: Vec<String> = kinds.iter().map(|kind| kind.title.clone()).collect();
    for kind in &mut kinds {
        if titles.iter().filter(|title| **title == kind.title).count() > 1 {
            kind.title = format!("{} ({})", kind.title, plain(&kind.profile));
        }
    }
    kinds
}

fn order(facts: &Facts) -> String {
    facts.firing_order.iter().map(Cylinder::to_string).collect::<Vec<_>>().join("-")
}

/// Names the shape of an engine: "vee 60°".
pub fn shape(facts: &Facts) -> String {
    match (facts.layout.shape, facts.layout.angle) {
        (Shape::Opposed, _) => "opposed".into(),
        (Shape::Inline, _) => "inline".into(),
        (Shape::Vee, Some(angle)) => format!("vee {angle}°"),
        (Shape::Vee, None) => "vee".into(),
        (Shape::Radial, _) => "radial".into(),
    }
}

/// What is told beside the drawing: the shape, the firing order, whose figures they are.
fn lines(facts: &Facts, own: bool) -> Vec<String> {
    let rows = facts.layout.banks.len();
    let name = shape(facts);
    let shape = match (facts.layout.shape, facts.layout.angle) {
        (Shape::Opposed, _) => format!("{name} --o--"),
        (Shape::Vee, Some(angle)) => format!("vee \\{angle}°/"),
        (Shape::Vee, None) => format!("{name} \\ /"),
        (Shape::Radial, _) if rows > 1 => format!("{name}, {rows} rows"),
        (Shape::Inline | Shape::Radial, _) => name,
    };
    let whose = if own { "your own figures" } else { "example figures" };
    let fires = format!("fires {}", order(facts));
    // The drawing shows of itself that it is a radial: where room is short the order stays.
    match facts.layout.shape {
        Shape::Radial => vec![fires, shape, whose.into()],
        Shape::Opposed | Shape::Inline | Shape::Vee => vec![shape, fires, whose.into()],
    }
}

/// Finds the kinds that have all the words; the last of `words`, the line of the mechanic's own kind,
/// is always among them.
pub fn found(searched: &str, words: &[String]) -> Vec<usize> {
    let Some((_, kinds)) = words.split_last() else { return Vec::new() };
    let mut found = search::find(searched, kinds);
    found.push(kinds.len());
    found
}

/// Says how one searches, or how much was found, or what is near to what was not.
pub fn search_line(searched: Option<&str>, words: &[String]) -> String {
    let kinds = words.split_last().map_or(&[][..], |(_, kinds)| kinds);
    let Some(searched) = searched else {
        return "Arrows show each; letters search.".into();
    };
    let count = search::find(searched, kinds).len();
    if count > 0 {
        // The list numbers the line of one's own too: so many of so many would be another count.
        let kinds = if count == 1 { "kind" } else { "kinds" };
        return format!("search: {}_  {count} {kinds} found", plain(searched));
    }
    let near = search::nearest_things(searched, kinds, NEAREST).into_iter();
    // The profile's name stands first among its words.
    let near: Vec<&str> = near.filter_map(|at| kinds.get(at)?.split(' ').next()).collect();
    format!("search: {}_  nothing found; near: {}", plain(searched), near.join(", "))
}
