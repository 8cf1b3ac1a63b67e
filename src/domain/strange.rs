//! What of a reading the leaves in hand do not have: a number that they do not make, one leaf of two
//! that is none of theirs, one that was put in twice.

use super::leaves;
use super::units::Length;

/// What of a reading the set in hand does not have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strange {
    /// A number that is neither a leaf nor a stack of two.
    Neither(Length),
    /// One of two leaves put together that is none.
    NoLeaf(Length),
    /// A leaf that was put in twice: there is one of it.
    Twice(Length),
}

/// Says what of one side the set does not have; nothing where the set is not known.
pub(super) fn strange(side: &[Length], leaves: &[Length]) -> Option<Strange> {
    match side {
        [first, second] if !leaves.is_empty() => {
            let none = side.iter().find(|leaf| !leaves.contains(leaf));
            let twice = (first == second).then_some(Strange::Twice(*first));
            none.map(|leaf| Strange::NoLeaf(*leaf)).or(twice)
        }
        side => {
            let size = side.iter().fold(Length::ZERO, |sum, leaf| sum + *leaf);
            (!leaves::can_make(leaves, size)).then_some(Strange::Neither(size))
        }
    }
}
