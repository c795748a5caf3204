//! A simulated machine with a hidden fault: what an apprentice practises on, and what the belief is tried against.
//!
//! Knows machines, trees and walks. Must not know clocks, files or screens: the seed and the text arrive as arguments.

mod bench;
mod dice;
mod hidden;
mod specimen;

pub use bench::{Bench, Health};
pub use dice::Dice;
pub use hidden::{Level, Pool};
pub use specimen::{Specimen, Wanted};
