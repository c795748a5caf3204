//! The line layout of a circuit; tree and path as SVG and DOT.
//!
//! Knows shapes and words of steps. Must not know walks, journals or people.

mod stop;

pub use stop::stop_mark;
