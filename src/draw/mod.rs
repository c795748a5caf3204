//! The line layout of a circuit; tree and path as SVG and DOT.
//!
//! Knows shapes and words of steps. Must not know walks, journals or people.

mod circuit;
mod stop;

pub use circuit::{CircuitLine, CircuitRow, Face, RowKind, circuit_line, circuits_of, face_of, seat_of};
pub use stop::stop_mark;
