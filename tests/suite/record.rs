//! The maintenance record: read whole, item by item against the rules, and never wider than 80.
