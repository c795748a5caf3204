//! Source text, a route to a place in YAML, a problem as plain data, its rendering.
