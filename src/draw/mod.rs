//! The line layout of a circuit; tree and path as SVG and DOT.
