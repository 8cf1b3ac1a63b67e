//! All tests of the built library and binary, one module a topic.

mod compare;
mod plans;
mod readings;
mod record;
mod services;
