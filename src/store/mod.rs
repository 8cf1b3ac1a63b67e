//! Everything on disk; serde lives here and nowhere else but in reports.

pub mod profile_error;
mod profile_facts;
mod profile_fields;
pub mod profile_file;
mod profile_json;
mod profile_parts;
mod profile_text;
pub mod profiles;
