//! The line layout of a circuit; tree and path as SVG and DOT.
//!
//! Knows shapes and words of steps and of what stands in a circuit. Must not know walks, journals or people.
//!
//! [`lines`] and [`lines_of`] (what some functions hang on) lay circuits out, for screen and paper alike: each [`Line`]
//! in the order in which the current flows, each [`Stand`] with its points, so that what a point reads can be set beside
//! it. [`seat_of`] says at which of them a fault sits, [`face_of`] how its connector looks.

mod channels;
mod circuit_svg;
mod dot;
mod face;
mod line;
mod markup;
mod reach;
mod seat;
mod step_words;
mod steps;
mod stop;
mod tree_svg;

pub use circuit_svg::circuit_svg;
pub use dot::{circuit_dot, tree_dot};
pub use face::{Face, face_of};
pub use line::{Line, RubAlong, Shape, Stand, lines, lines_at, lines_of};
pub use seat::{Seat, seat_of};
pub use steps::{MOST_STEPS, TooLarge};
pub use stop::stop_mark;
pub use tree_svg::tree_svg;
