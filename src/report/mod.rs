//! From what is known to what is read: texts and JSON documents, pure.
