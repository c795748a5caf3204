//! What was seen in one round of a walk, and where the walk stands: all that suspects and the suggestion
//! are computed from. It owns what it needs, so that it can be cloned and handed to a worker.

use std::sync::Arc;

use crate::machine::Today;
use crate::reason::Situation;
use crate::safety::State;
use crate::tree::{Course, OffTree, StepIx};
use crate::units::{Meter, Reading};

/// What was said at a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// This way was taken: an answer or a band, by its number.
    Way(usize),
    /// This was read, and it fell in this band.
    Reading(Reading, usize),
    /// This was read off the tree.
    Own(Box<OffTree>, Reading),
}

/// One thing seen, and how the machine stood when it was.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenAt {
    /// The step.
    pub step: StepIx,
    /// Power, plugs apart and wires cut meanwhile.
    pub situation: Situation,
    /// What was said.
    pub said: Said,
}

/// A round before, which ended in a repair and a proof that failed.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundBefore {
    /// What was seen in it.
    pub seen: Vec<SeenAt>,
    /// The faults of the finding that was repaired.
    pub repaired: Vec<String>,
}

/// A round of a walk as far as it has come.
#[derive(Debug, Clone)]
pub struct Observed {
    /// The tree, and what its steps do and need.
    pub course: Arc<Course>,
    /// Battery and temperature.
    pub today: Today,
    /// The meter.
    pub meter: Meter,
    /// What was seen, in order, each step once.
    pub seen: Vec<SeenAt>,
    /// Earlier rounds in which what was repaired was surely seen: both faults were there then. A round of which
    /// that is not known is not among them.
    pub before: Vec<RoundBefore>,
    /// The step that the walk is at; none before it has begun, while it waits and after its end.
    pub at: Option<StepIx>,
    /// What is known of the machine.
    pub state: State,
    /// Power, plugs apart and wires cut.
    pub situation: Situation,
    /// Where the mechanic's body was last.
    pub zone: Option<String>,
}
