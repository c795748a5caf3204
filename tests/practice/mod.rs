//! Practice: the machine in the yard, and who walks at it.

mod apprentices;
mod faults;
mod simulated;
mod sitting;

use std::sync::LazyLock;

use crate::support::apprentices::{Yard, shipped};

/// The yard that most is tried in.
static TERN: LazyLock<Yard> = LazyLock::new(|| Yard::of(shipped("tern/no-lift-no-tilt")));
