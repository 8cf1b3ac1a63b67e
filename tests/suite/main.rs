//! All tests of the built library and binary, one module a topic.

mod screens;
