//! Loomwalk: fault-finding on the electrics of mobile machines, from the call to the proved repair.
//!
//! The rooms stand in one order; a room imports only from rooms above it, and only through its face.

pub mod units;
pub mod diag;
pub mod safety;
pub mod codes;
pub mod repair;
pub mod machine;
pub mod tree;
pub mod reason;
pub mod draw;
pub mod walk;
pub mod job;
pub mod practice;
pub mod author;
pub mod tui;
pub mod cli;
