//! The constants of belief in one table: our choice, no source.
//!
//! | constant | used for |
//! | --- | --- |
//! | [`SLIP`] | floor under every outcome of a reading: a person misreads, a probe slips |
//! | [`CONTACT_VOLTS`], [`CONTACT_OHMS`], [`CONTACT_AMPS`] | what earths, probes and clamps add to any reading, as a standard uncertainty: 0.03 V where the model says nothing is no riddle |
//! | [`CONTRADICTS`] | an answer that contradicts the model, or the shape of the tree |
//! | [`NOT_LISTED`] | prior of something that is not in this tree |
//! | [`EVEN`] | the part of its likelihood that is spread evenly over what could be seen |
//! | [`SHOWS_WHILE_MOVED`] | an intermittent fault showing its steady form while moved, hot or wet |
//! | [`JUMPS_WHILE_MOVED`] | when it shows while moved: the meter will not stand still |
//! | [`GOOD`] | a reading is good if the healthy machine gives it at least this often |
//! | [`SHOWS_AT_REST`] | an intermittent fault showing its steady form at rest |
//! | [`RULED_OUT`] | a fault is ruled out below this part of its prior |
//! | [`SUFFICES`] | the part of its probability that a leader keeps under what explains it |
//! | [`LIKELIEST`], [`POSSIBLE`] | the words for a probability |
//!
//! One bad reading never buries the true fault: a slip costs at most a factor of 1 / [`SLIP`] and the
//! cell's part of the meter's range.

/// A reading that lands anywhere on the meter's range, whatever the fault.
pub(super) const SLIP: f64 = 0.02;
/// Volts that earths and probes add.
pub(super) const CONTACT_VOLTS: f64 = 0.02;
/// Ohms that probes add.
pub(super) const CONTACT_OHMS: f64 = 0.1;
/// Amps that a clamp adds.
pub(super) const CONTACT_AMPS: f64 = 0.02;
/// An answer that contradicts the model (ε).
pub(super) const CONTRADICTS: f64 = 0.05;
/// Prior of *not in this tree*.
pub(super) const NOT_LISTED: f64 = 0.05;
/// How much of what *not in this tree* would show is even over what could be seen at all.
pub(super) const EVEN: f64 = 0.5;
/// An intermittent fault reads like its steady form this often while moved, hot or wet.
pub(super) const SHOWS_WHILE_MOVED: f64 = 0.5;
/// When it shows while moved, the meter jumps this often instead of standing at the steady form.
pub(super) const JUMPS_WHILE_MOVED: f64 = 0.5;
/// A reading that the healthy machine gives with at least this probability is a good one.
pub(super) const GOOD: f64 = 0.05;
/// An intermittent fault reads like its steady form this often at rest.
pub(super) const SHOWS_AT_REST: f64 = 0.05;
/// A suspect that evidence has brought below this part of its prior is ruled out.
pub(super) const RULED_OUT: f64 = 0.1;
/// What an explanation cites must leave the leader at least this part of its probability.
pub(super) const SUFFICES: f64 = 0.9;
/// The leader is *likeliest* above this.
pub(super) const LIKELIEST: f64 = 0.3;
/// A suspect is *possible* from here up.
pub(super) const POSSIBLE: f64 = 0.05;
