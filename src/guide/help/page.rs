//! A topic as it is told to one engine, or to anybody.

use super::{Drawing, For, Say, Topic};
use crate::domain::profile::Adjuster;
use crate::domain::session::State;

/// What an engine has, as far as the words of the help go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kit {
    /// How its valves are set; `None` where there is nothing to set.
    pub adjuster: Option<For>,
    /// Whether rockers open its valves.
    pub rockers: bool,
    /// What turns it: the propeller or the crank.
    pub turned: For,
}

impl Kit {
    /// Looks at the engine of a session.
    pub fn of(state: &State) -> Kit {
        let facts = state.facts();
        let adjuster = match &facts.adjuster {
            Adjuster::Screw(_) => Some(For::Screw),
            Adjuster::Shim { .. } => Some(For::Shim),
            Adjuster::Pushrod { .. } => Some(For::Rod),
            Adjuster::None => None,
        };
        let by_propeller = facts.rotation.as_ref().is_some_and(|rotation| rotation.by_propeller());
        Kit {
            adjuster,
            rockers: adjuster != Some(For::Shim),
            turned: if by_propeller { For::Propeller } else { For::Crank },
        }
    }

    fn has(self, what: For) -> bool {
        match what {
            For::All => true,
            For::Screw | For::Shim | For::Rod => self.adjuster == Some(what),
            For::Rockers => self.rockers,
            For::Propeller | For::Crank => self.turned == what,
        }
    }
}

/// A piece of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// What the next pieces are about.
    Head(String),
    /// A sentence or two.
    Say(String),
    /// One of several things to do or to look out for.
    Item(String),
    /// A drawing, which keeps its lines.
    Drawing(&'static Drawing),
}

/// A topic ready to be shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Page {
    /// What it is about.
    pub title: String,
    /// What is said and drawn, in order.
    pub pieces: Vec<Piece>,
}

/// Names the engines that a sentence is for, where it is told to everybody.
fn who(what: For) -> &'static str {
    match what {
        For::All => "",
        For::Screw => "With screws: ",
        For::Shim => "With shims: ",
        For::Rod => "With hydraulic lifters: ",
        For::Rockers => "With rockers: ",
        For::Propeller => "Turned by the propeller: ",
        For::Crank => "Turned at the crank: ",
    }
}

impl Topic {
    /// Puts the topic into words for one engine; without one, every sentence is told with the engines
    /// that it is for.
    pub fn page(&self, kit: Option<Kit>) -> Page {
        let suits = |what: For| kit.is_none_or(|kit| kit.has(what));
        let words = |Say(what, words): &Say| {
            suits(*what).then(|| match kit {
                Some(_) => (*words).to_string(),
                None => format!("{}{words}", who(*what)),
            })
        };
        let mut pieces: Vec<Piece> = self.what.iter().filter_map(words).map(Piece::Say).collect();
        let part = |head: &str, said: &[Say], pieces: &mut Vec<Piece>| {
            let items: Vec<Piece> = said.iter().filter_map(words).map(Piece::Item).collect();
            if !items.is_empty() {
                pieces.push(Piece::Head(head.into()));
                pieces.extend(items);
            }
        };
        part("How", self.hands, &mut pieces);
        let drawings = self.drawings.iter().filter(|(what, _)| suits(*what));
        pieces.extend(drawings.map(|(_, drawing)| Piece::Drawing(drawing)));
        part("What can go wrong", self.wrong, &mut pieces);
        Page { title: self.title.into(), pieces }
    }
}
