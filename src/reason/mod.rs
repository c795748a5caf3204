//! Judge a reading, evidence, belief, next test, plan, the fault check.
//!
//! Knows shares, likelihoods and minutes, and computes with them. Must not know screens, journals
//! or people; it takes no clock, no file and no randomness.

mod chance;
mod plan;

pub use chance::{Bits, LogChance, Probability, Share};
pub use plan::{
    Conditions, Effort, Order, Place, Plan, Problem, ProblemError, Stand, Test, huffman_mean_length,
    inspection_minutes, inspection_order, plan,
};
