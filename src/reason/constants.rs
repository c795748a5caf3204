//! The constants of belief in one table: our choice, no source.
//!
//! | constant | used for |
//! | --- | --- |
//! | [`SLIP`] | floor under every outcome of a reading: a person misreads, a probe slips |
//! | [`MEASURED_SPREAD`] | how far the model is off, as a share of what it predicts, where the supply was measured on the day |
//! | [`STRAYS`] | a reading that strays: contacts and the model's whole spread added |
//! | [`CONTACT_VOLTS`], [`CONTACT_OHMS`], [`CONTACT_AMPS`] | what earths, probes and clamps add to a reading, as a standard uncertainty |
//! | [`STRAY_VOLTS`] | what they add to one that strays: 0.03 V where the model says nothing is no riddle |
//! | [`CONTRADICTS`] | an answer that contradicts the model, or the shape of the tree |
//! | [`NOT_LISTED`] | prior of something that is not in this tree |
//! | [`EVEN`] | the parts of its likelihood, alike likely, that are spread evenly over what could be seen |
//! | [`SHOWS_WHILE_MOVED`] | an intermittent fault showing its steady form while moved, hot or wet |
//! | [`JUMPS_WHILE_MOVED`] | when it shows while moved: the meter will not stand still |
//! | [`SHOWS_AT_REST`] | an intermittent fault showing its steady form at rest |
//! | [`RULED_OUT`] | a fault is ruled out below this part of its prior |
//! | [`SUFFICES`] | the part of its probability that a leader keeps under what explains it |
//! | [`LIKELIEST`], [`POSSIBLE`] | the words for a probability |
//!
//! One bad reading never buries the true fault: a slip costs at most a factor of 1 / [`SLIP`] and the
//! cell's part of the meter's range.

/// A reading that lands anywhere on the meter's range, whatever the fault.
pub(super) const SLIP: f64 = 0.02;
/// How far the model is off where the supply was measured on the day: wires 5 % longer or shorter than listed move what
/// the shipped machines show by 0.6 % (measured on simulated ones). Where it was not, [`crate::units::SPREAD`].
pub(super) const MEASURED_SPREAD: f64 = 0.005;
/// A reading strays this often: its normal distribution is mixed with a wider one (Tukey 1960).
pub(super) const STRAYS: f64 = 0.1;
/// Volts that earths and probes add.
pub(super) const CONTACT_VOLTS: f64 = 0.003;
/// And to a reading that strays.
pub(super) const STRAY_VOLTS: f64 = 0.02;
/// Ohms that probes add.
pub(super) const CONTACT_OHMS: f64 = 0.1;
/// Amps that a clamp adds.
pub(super) const CONTACT_AMPS: f64 = 0.02;
/// An answer that contradicts the model (ε).
pub(super) const CONTRADICTS: f64 = 0.03;
/// Prior of *not in this tree*.
pub(super) const NOT_LISTED: f64 = 0.05;
/// How often what *not in this tree* shows is even over what could be seen at all: how odd it is, nobody knows. An answer
/// is one of few, and what is not listed mostly gives one that something listed gives too; a meter can show anything.
pub(super) const EVEN: [Odd; 3] = [
    Odd { answers: 0.1, readings: 0.2 },
    Odd { answers: 0.3, readings: 0.4 },
    Odd { answers: 0.5, readings: 0.6 },
];

/// One of the parts, of answers and of readings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Odd {
    pub(super) answers: f64,
    pub(super) readings: f64,
}
/// An intermittent fault reads like its steady form this often while moved, hot or wet.
pub(super) const SHOWS_WHILE_MOVED: f64 = 0.5;
/// When it shows while moved, the meter jumps this often instead of standing at the steady form.
pub(super) const JUMPS_WHILE_MOVED: f64 = 0.5;
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
