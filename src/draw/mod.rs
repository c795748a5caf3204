//! The line layout of a circuit; tree and path as SVG and DOT.
//!
//! Knows shapes and words of steps and of what stands in a circuit. Must not know walks, journals or people.
//!
//! [`circuit_line`] is a circuit as rows for a screen, in file order. [`lines`] and [`lines_of`] (what one function hangs
//! on) are for paper: each [`Line`] in the order in which the current flows, each [`Stand`] with its points, so that
//! what a point reads can be set beside it, and its element, so that the faults that sit on it can be too.

mod circuit;
mod circuit_svg;
mod dot;
mod line;
mod markup;
mod reach;
mod step_words;
mod steps;
mod stop;
mod tree_svg;

pub use circuit::{CircuitLine, CircuitRow, Face, RowKind, circuit_line, circuits_of, face_of, seat_of};
pub use circuit_svg::circuit_svg;
pub use dot::{circuit_dot, tree_dot};
pub use line::{Line, RubAlong, Shape, Stand, lines, lines_at, lines_of};
pub use steps::{MOST_STEPS, TooLarge};
pub use stop::stop_mark;
pub use tree_svg::tree_svg;
