//! From what is known to what is read: texts and JSON documents, pure.

mod layout_drawing;
pub mod profile_sheet;
