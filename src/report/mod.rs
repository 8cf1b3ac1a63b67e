//! What is printed or handed on: text of 80 columns, and JSON documents. Pure: domain in, text out.

pub mod advice_sheet;
