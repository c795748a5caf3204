//! Judge a reading, evidence, belief, next test, plan, the fault check.
//!
//! Knows shares, likelihoods and minutes, and computes with them. Must not know screens, journals
//! or people; it takes no clock, no file and no randomness.

mod answers;
mod belief;
mod cells;
mod chance;
mod constants;
mod costs;
mod evidence;
mod fault_check;
mod likeness;
mod lineup;
mod modelled;
mod outlook;
mod plan;
mod ranking;
mod reorder;
mod scale;
mod severities;
mod shape;
mod sighting;
mod situation;
mod suggest;
mod today;
mod trail;
mod whereabouts;

pub use answers::{Model, tied_chance, untied_chance};
pub use belief::{Belief, BeliefError, Likelihood, Posterior};
pub use cells::{Cell, CellChances, Cells, Predicted, Shows};
pub use chance::{Bits, LogChance, Probability, Share};
pub use costs::{step_minutes, zone_minutes};
pub use evidence::{Evidence, Harness, Listed, intermittent_chance};
pub use fault_check::{FaultCheck, FaultEnd, FaultOutcome, Figures, fault_check, repair_of};
pub use likeness::Likeness;
pub use lineup::Lineup;
pub use outlook::{Foretold, Outlook, sits_at};
pub use plan::{
    Conditions, Effort, Order, Place, Plan, Problem, ProblemError, Stand, Test, gain, huffman_mean_length,
    inspection_minutes, inspection_order, plan,
};
pub use ranking::{Because, Explanation, Likely, Ranking, RuledOut, Suspect, Who, explain, rank, ruled_out};
pub use reorder::{Followed, TreeOrder, TreePlan, followed, minutes_as_written, plan_tree};
pub use scale::Scale;
pub use sighting::Sighting;
pub use situation::Situation;
pub use suggest::{Reason, Suggestion};
pub use today::{AtStep, LikeBand, ShouldRead};
pub use trail::Trail;
pub use whereabouts::{
    Along, Moved, Observed, OnWire, RoundBefore, Said, SeenAt, Suggester, Suspicion, Whereabouts, WireLine,
    faults_said,
};
