//! The session: scripted services from the first key to the signature, and random histories
//! against the list of what must never happen.

mod amending;
mod asking;
mod breaks;
mod carried;
mod counting;
mod doubts;
mod edges;
pub mod engines;
mod flat_four;
mod forgotten;
pub mod harness;
mod hidden;
mod kept_open;
mod left_so;
mod lobes;
mod low_leak;
pub mod mechanic;
mod onlooker;
mod others;
mod outside;
mod parts;
mod pictures;
mod promised;
mod random;
mod said;
mod set_here;
mod slack_after_all;
mod slack_words;
mod told_apart;
mod untold;
mod versions;
mod watch;
mod ways;
mod ways_there;
mod whole_names;
mod words;
