//! The journal: what is kept is kept, whatever happens to the file, the disk or the program.

mod battery;
mod damage;
mod disk;
mod faults;
mod files;
mod golden;
mod listing;
mod on_paper;
mod random;
mod released;
pub mod samples;
mod slow;
mod two;
mod words;
