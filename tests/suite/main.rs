//! All tests of the built library and binary, one module a topic.
mod profile_faults;
mod profile_rules;
mod profile_sheets;
mod profiles;
mod profiles_on_disk;
