//! Tree file to graph: load, safety check, the rules of `check`.
//!
//! Knows steps, targets and what each does to the machine. Must not know a walk, a person or a screen.

mod bands;
mod checks;
mod danger;
mod course;
mod deeds;
mod expand;
mod flow;
mod forms;
mod ground;
mod ids;
mod lists;
mod load;
mod model;
mod names;
mod off_tree;
mod prepared;
mod proofs;
mod safe;
mod shipped;
mod size;
mod steps;

pub use checks::{Document, check, documents};
pub use course::{Course, Examined, Walkable, examine};
pub use danger::{Danger, DangerGroup, DangerPath, Hop, Loss, Lost};
pub use flow::{EdgeKind, Flow, FlowEdge, FlowFault, FlowGraph, FlowNode, Violation};
pub use forms::{SHARED as SHARED_FORM, TREE as TREE_FORM};
pub use load::{FileKind, Loaded, load};
pub use model::{
    Act, Answer, Ask, BandKind, BandStep, Close, CloseAs, Do, Find, GateStep, Kind, Leads, Leaks, Like, Look,
    Observe, Proof, Read, Refer, Repair, RepairJob, Seen, Setup, Shows, Step, StepIx, Target, Tree,
};
pub use off_tree::OffTree;
pub use prepared::Prepared;
pub use shipped::Shipped;
pub use size::{Beyond, MOST_STEPS, glance_over};
