//! The suggestion: the tree's own test that would be quickest now, with its reason.
//!
//! The authored order stays in charge of a walk. The suggestion stands beside it; taking it is a jump
//! through whatever gates the step needs. It is only there where it beats the authored next step, and
//! a test that parts nothing is never suggested.

mod chart;
mod choice;
mod following;
mod moves;
mod said;
mod worth;

pub(super) use chart::{Branch, CaseIx, Chart, targets};
pub use choice::Reason;
pub(super) use choice::{Choice, Done, choose, normalised};
pub(super) use following::following;
pub(super) use moves::{Moves, Spot, Standing};
pub(super) use worth::{Weighed, Worth, onward};

use crate::safety::GateId;
use crate::tree::StepIx;
use crate::units::Minutes;

/// What would be quickest now.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// The step to jump to: the test, or what has to be done first for it.
    pub step: StepIx,
    /// The test that parts what is left.
    pub test: StepIx,
    /// The gates on the way, in order.
    pub gates: Vec<GateId>,
    /// Minutes from here until the test is done, gates and ways included.
    pub minutes: Minutes,
    /// The suspects that are left, by the test's outcomes: places in the list along the wire.
    pub parts: Vec<Vec<usize>>,
    /// Why it is worth taking.
    pub reason: Reason,
    /// Expected minutes to the finding if the tree is followed from here.
    pub as_written: Minutes,
    /// Expected minutes to the finding if the suggestion is taken.
    pub so: Minutes,
}
