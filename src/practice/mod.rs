//! A simulated machine with a hidden fault: what an apprentice practises on, and what the belief is tried against.
//!
//! Knows machines, trees and walks. Must not know clocks, files or screens: the seed and the text arrive as arguments.

mod bench;
mod dice;
mod hidden;
mod session;
mod specimen;
mod stop;
mod typed;

pub use bench::{Bench, Health};
pub use dice::Dice;
pub use hidden::{Level, Pool};
pub use session::{Practice, StoppedMove, health, machine_answers, minutes_of, moment_of, names_hidden};
pub use specimen::{Specimen, Wanted};
pub use stop::{Gap, Stopped, allowed};
pub use typed::{NotTyped, typed};
