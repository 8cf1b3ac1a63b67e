//! All tests of the built library and binary, one module a topic.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "clippy.toml frees test functions only; helpers may stop a test too, campaigns print counts"
)]
#![allow(
    clippy::disallowed_methods,
    reason = "what is worked out here is worked out in another way"
)]

mod a_watch;
mod advice;
mod asked_again;
mod cams;
mod cli;
mod clocks;
mod compare;
mod cut_off;
mod engine_page;
mod engines;
mod figure_edges;
#[cfg(target_os = "linux")]
mod first_run;
mod form_clean;
mod form_live;
mod form_walk;
mod form_whole;
mod full_disk;
mod fuzzed;
mod goes_on;
mod going_back;
mod gone;
mod held;
mod helps;
mod hostile;
mod index;
mod inputs;
mod journal;
mod keys;
#[cfg(unix)]
mod killed_at_calls;
mod kinds;
mod last_list;
mod last_time;
mod leafing;
mod left_before;
mod legible;
mod mirrored;
mod narrow;
mod next_check;
mod offer_walk;
mod other_disks;
mod pictured;
mod pictures;
mod plain;
mod plain_ends;
mod plain_parts;
mod plain_seat;
mod plain_slips;
mod plans;
mod power_cuts;
mod profile_faults;
mod profile_forms;
mod profile_rules;
mod profile_sheets;
mod profile_slips;
mod profiles;
mod profiles_on_disk;
mod progress;
mod readings;
mod real;
mod record;
mod record_forms;
mod restore_faults;
mod reviews;
mod rough_terminals;
mod schema;
mod screens;
mod seat;
mod second_emulator;
mod seeded;
mod services;
mod session;
mod shell_faults;
mod shims;
mod shipped;
mod shop;
mod shop_damaged;
mod shop_walk;
mod signing;
mod silent_keys;
#[cfg(unix)]
mod slow_disk;
#[cfg(unix)]
mod slow_effects;
mod stand_in;
mod strict;
mod styled;
mod system_calls;
mod terminal;
mod tidy;
mod trend;
mod turned_valves;
mod two_terminals;
mod unheard;
mod unlikely;
mod walk;
mod walk_parts;
mod ways_out;
