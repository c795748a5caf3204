//! A simulated machine with a hidden fault: what an apprentice practises on, and what the belief is tried against.
//!
//! Knows machines, trees, walks, and the log of a sitting by the face of jobs. Must not know clocks or screens: the seed,
//! the day and the text arrive as arguments.

mod bench;
mod debrief;
mod dialogue;
mod dice;
mod hidden;
mod history;
mod mechanic;
mod prepare;
mod session;
mod sitting;
mod specimen;
mod stop;
mod typed;

pub use bench::{Bench, Health};
pub use debrief::Debrief;
pub use dialogue::{Dialogue, PRACTICE_HELP, Reply, WORKED_OUT};
pub use dice::Dice;
pub use hidden::{Level, Pool};
pub use history::{Again, Sat, comes_again, line_of, remembered};
pub use mechanic::{Way, way};
pub use prepare::{Asked, NotPrepared, log_words, prepared};
pub use session::{Practice, StoppedMove, health, machine_answers, minutes_of, moment_of, names_hidden};
pub use sitting::{Heard, Sitting, last_band};
pub use specimen::{Specimen, Wanted};
pub use stop::{Gap, Stopped, allowed};
pub use typed::{NotTyped, typed};
