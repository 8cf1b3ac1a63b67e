//! A profile as a document: texts, numbers and lists under the names of their fields, in order.
//!
//! What a form fills in and what the store writes. Nothing is checked here: the loader judges.

use super::profile::{EngineProfile, ProfileFault};

/// A value of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// `true` or `false`.
    YesNo(bool),
    /// A number; always finite.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Fields by name, in order.
    Fields(Vec<(String, Node)>),
}

/// The loader: a sound profile, or the first thing that is wrong, with its field's path.
pub type Judge = fn(&Node) -> Result<EngineProfile, ProfileFault>;

/// A step down into a document: a field's name, or a place in a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step<'a> {
    Field(&'a str),
    Place(usize),
}

/// Splits `layout.banks[0].name` into its steps.
fn steps(path: &str) -> Vec<Step<'_>> {
    path.split('.')
        .flat_map(|part| {
            let (name, places) = part.split_once('[').unwrap_or((part, ""));
            let places = places.split('[').filter_map(|at| at.trim_end_matches(']').parse().ok());
            std::iter::once(Step::Field(name)).chain(places.map(Step::Place))
        })
        .collect()
}

impl Node {
    /// Returns a document without a field.
    pub fn empty() -> Node {
        Node::Fields(Vec::new())
    }

    /// Returns what stands at a path such as `layout.banks[0].name`.
    pub fn at(&self, path: &str) -> Option<&Node> {
        steps(path).into_iter().try_fold(self, |node, step| match (node, step) {
            (Node::Fields(fields), Step::Field(name)) => {
                fields.iter().find(|(field, _)| field == name).map(|(_, node)| node)
            }
            (Node::List(items), Step::Place(at)) => items.get(at),
            _ => None,
        })
    }

    /// Puts a value at a path; fields and lists above it are made where they are missing.
    pub fn put(&mut self, path: &str, value: Node) {
        put(self, &steps(path), value);
    }

    /// Takes a field away; nothing happens where there is none.
    pub fn remove(&mut self, path: &str) {
        let steps = steps(path);
        if let Some((last, above)) = steps.split_last() {
            remove(self, above, *last);
        }
    }

    /// Sorts all fields by the place of their names in `order`; unknown names come last.
    pub fn sort(&mut self, order: &[&str]) {
        match self {
            Node::YesNo(_) | Node::Number(_) | Node::Text(_) => {}
            Node::List(items) => items.iter_mut().for_each(|item| item.sort(order)),
            Node::Fields(fields) => {
                let place = |name: &str| order.iter().position(|known| *known == name);
                fields.sort_by_key(|(name, _)| place(name).unwrap_or(order.len()));
                fields.iter_mut().for_each(|(_, node)| node.sort(order));
            }
        }
    }
}

fn put(node: &mut Node, steps: &[Step<'_>], value: Node) {
    match steps.split_first() {
        None => *node = value,
        Some((Step::Field(name), rest)) => {
            if !matches!(node, Node::Fields(_)) {
                *node = Node::empty();
            }
            let Node::Fields(fields) = node else { return };
            match fields.iter_mut().find(|(field, _)| field == name) {
                Some((_, inner)) => put(inner, rest, value),
                None => {
                    let mut inner = Node::empty();
                    put(&mut inner, rest, value);
                    fields.push(((*name).to_string(), inner));
                }
            }
        }
        Some((Step::Place(at), rest)) => {
            if !matches!(node, Node::List(_)) {
                *node = Node::List(Vec::new());
            }
            let Node::List(items) = node else { return };
            if items.len() <= *at {
                items.resize(at + 1, Node::empty());
            }
            if let Some(inner) = items.get_mut(*at) {
                put(inner, rest, value);
            }
        }
    }
}

fn remove(node: &mut Node, above: &[Step<'_>], last: Step<'_>) {
    match (node, above.split_first()) {
        (Node::Fields(fields), None) => {
            fields.retain(|(name, _)| Step::Field(name.as_str()) != last);
        }
        (Node::List(items), None) => {
            if let Step::Place(at) = last
                && at < items.len()
            {
                items.remove(at);
            }
        }
        (Node::Fields(fields), Some((Step::Field(name), rest))) => {
            if let Some((_, inner)) = fields.iter_mut().find(|(field, _)| field == name) {
                remove(inner, rest, last);
            }
        }
        (Node::List(items), Some((Step::Place(at), rest))) => {
            if let Some(inner) = items.get_mut(*at) {
                remove(inner, rest, last);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_put_at_a_path_is_found_there_and_can_be_taken_away() {
        let mut document = Node::empty();
        document.put("layout.banks[1].name", Node::Text("left".into()));
        document.put("layout.banks[0].name", Node::Text("right".into()));
        assert_eq!(document.at("layout.banks[1].name"), Some(&Node::Text("left".into())));
        document.remove("layout.banks[0]");
        assert_eq!(document.at("layout.banks[0].name"), Some(&Node::Text("left".into())));
        document.remove("layout.banks[5].name");
        document.remove("nothing.at[3].all");
        document.remove("layout");
        assert_eq!(document, Node::empty());
    }

    #[test]
    fn fields_are_sorted_at_every_depth() {
        let mut document = Node::empty();
        for path in ["b.d", "b.c", "a"] {
            document.put(path, Node::YesNo(true));
        }
        document.sort(&["a", "b", "c", "d"]);
        let Node::Fields(fields) = &document else { panic!() };
        assert_eq!(fields[0].0, "a");
        let Node::Fields(inner) = &fields[1].1 else { panic!() };
        assert_eq!((inner[0].0.as_str(), inner[1].0.as_str()), ("c", "d"));
    }
}
