//! Tree file to graph: load, safety check, the rules of `check`.
