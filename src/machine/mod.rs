//! Machine file to network: circuits, controllers, functions, faults, solve, meter.
//!
//! Knows how a machine family is wired, which states it can be in, what each point should read and
//! what each fault would make it read. Must not know trees, evidence or people.

mod built;
mod case;
mod circuit;
mod day;
mod dictionary;
mod elimination;
mod enumerate;
mod family;
mod fault;
mod harness;
mod load;
mod logic;
mod model;
mod network;
mod order;
mod parts;
mod power;
mod resistance;
mod rig;
mod sense;
mod settle;
mod settled;
mod setup;
mod shares;
mod signature;
mod states;
mod survey;

pub use case::{Case, Seen};
pub use circuit::{Circuit, Solution, Values};
pub use day::Day;
pub use dictionary::{Behaviour, Dictionary, Display, Entry, Quantity, Symptom};
pub use family::Machine;
pub use fault::{Fault, FaultKind, Knot, Measured, SeenAt};
pub use load::{LoadedMachine, MACHINE_FORM, load_machine};
pub use logic::Logic;
pub use model::*;
pub use network::{Branch, Ideal, Network, NetworkError, Place};
pub use parts::{Element, Kind, Rests, Rub, Stud, Wiper, Wire};
pub use power::{power_named, power_word};
pub use resistance::Resistances;
pub use rig::Rig;
pub use sense::Located;
pub use settled::{BURDEN, METER, OVER_RANGE, Ohmmeter, Probes, Settled, Shown, Steady};
pub use setup::{Lamp, Moved, Setup, SetupError, Today};
pub use survey::{Defeat, FaultLine, Feeds, Hides, Overload, Survey};
