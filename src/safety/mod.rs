//! Conditions, gates, zones, and the rules no author can switch off: data and pure functions.
