//! Machine file to network: circuits, controllers, functions, faults, solve, meter.
//!
//! Knows how a machine family is wired, which states it can be in, what each point should read and
//! what each fault would make it read. Must not know trees, evidence or people.

mod circuit;
mod network;
mod order;

pub use circuit::{Circuit, Resistances, Solution, Values};
pub use network::{Branch, Ideal, Network, NetworkError, Place};
