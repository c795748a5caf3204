//! Solving until the states stand still, chatter, or something opens.
//!
//! All states begin off and are updated together after each solve. A set of states that repeats is
//! chattering: each point then has the values of its cycle. Once settled, at most one device opens,
//! outputs before fuses, then the largest current over its rating; then all is solved again.

use super::circuit::{Circuit, Solution, Values};
use super::model::{ElementId, OutputId};
use super::parts::Kind;
use super::rig::Rig;
use super::states::{Frame, Held, States};

/// A fuse blows above this share of its rating (ISO 8820-3, from memory).
const BLOWS: f64 = 1.35;
/// Longest run of states that is followed; a longer one counts as chattering as a whole.
const LONGEST: usize = 256;

/// What has opened so far: it stays open for that fault everywhere.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Opened {
    pub(super) outputs: Vec<OutputId>,
    pub(super) fuses: Vec<ElementId>,
}

impl Opened {
    pub(super) fn count(&self) -> usize {
        self.outputs.len() + self.fuses.len()
    }
}

/// The frames of a settled network: one, or those of its cycle. `frame` may be any that was solved
/// before: what it shares with this one is not eliminated again.
pub(super) fn frames(rig: &Rig<'_>, values: &Values, held: &Held, mut frame: Frame) -> Vec<Frame> {
    let mut seen: Vec<States> = Vec::new();
    frame.states = States::off(rig.machine.parts());
    loop {
        refresh(rig, values, held, &mut frame);
        let next = view(rig, held, &frame).next();
        if next == frame.states {
            return vec![frame];
        }
        seen.push(std::mem::replace(&mut frame.states, next));
        let cycle = seen.iter().position(|states| *states == frame.states);
        if let Some(from) = cycle.or((seen.len() >= LONGEST).then_some(0)) {
            return seen.drain(from..).map(|states| solved(rig, values, held, states)).collect();
        }
    }
}

/// One frame with every source dead and every state off: what an ohmmeter is put on.
pub(super) fn dead_frame(rig: &Rig<'_>, values: &Values, held: &Held) -> Frame {
    let states = States::off(rig.machine.parts());
    let mut dead = values.clone();
    states.put(rig, held, &mut dead);
    dead.kill_sources();
    let solution = rig.harness.circuit.solve(&dead);
    Frame { states, values: dead, solution }
}

pub(super) fn view<'v>(rig: &'v Rig<'v>, held: &'v Held, frame: &'v Frame) -> super::states::View<'v> {
    super::states::View { rig, held, frame }
}

fn solved(rig: &Rig<'_>, values: &Values, held: &Held, states: States) -> Frame {
    let mut frame = Frame { states, values: values.clone(), solution: Solution::default() };
    refresh(rig, values, held, &mut frame);
    frame
}

fn refresh(rig: &Rig<'_>, values: &Values, held: &Held, frame: &mut Frame) {
    frame.values.clone_from(values);
    frame.states.put(rig, held, &mut frame.values);
    rig.harness.circuit.solve_into(&frame.values, &mut frame.solution);
}

/// How far a fuse is over its rating: its current as a share of it.
pub(super) fn fuse_load(rig: &Rig<'_>, frame: &Frame, fuse: ElementId) -> f64 {
    let Kind::Fuse { rating } = rig.machine.parts().element(fuse).kind else { return 0.0 };
    let amps = amps(&rig.harness.circuit, frame, rig.harness.elements[fuse.at()][0]);
    amps / rating.value()
}

fn amps(circuit: &Circuit, frame: &Frame, branch: super::network::Branch) -> f64 {
    circuit.amps(&frame.values, &frame.solution, branch).value().abs()
}

/// The output that is furthest over its limit.
fn worst_output(rig: &Rig<'_>, frames: &[Frame]) -> Option<OutputId> {
    let parts = rig.machine.parts();
    let over = frames.iter().flat_map(|frame| {
        parts.outputs.iter().enumerate().filter_map(|(at, output)| {
            let limit = output.limit?.value();
            let load = amps(&rig.harness.circuit, frame, rig.harness.outputs[at]) / limit;
            (load > 1.0).then_some((load, OutputId::new(at)))
        })
    });
    worst(over)
}

fn worst_fuse(rig: &Rig<'_>, frames: &[Frame]) -> Option<ElementId> {
    let over = frames.iter().flat_map(|frame| {
        rig.machine.fuses().iter().filter_map(|fuse| {
            let load = fuse_load(rig, frame, *fuse);
            (load > BLOWS).then_some((load, *fuse))
        })
    });
    worst(over)
}

fn worst<T>(over: impl Iterator<Item = (f64, T)>) -> Option<T> {
    over.reduce(|a, b| if b.0 > a.0 { b } else { a }).map(|(_, what)| what)
}

/// Opens one more device in what has settled; false if nothing is over its rating.
pub(super) fn open_one(rig: &Rig<'_>, frames: &[Frame], opened: &mut Opened) -> bool {
    if let Some(output) = worst_output(rig, frames) {
        opened.outputs.push(output);
        return true;
    }
    match worst_fuse(rig, frames) {
        Some(fuse) => {
            opened.fuses.push(fuse);
            true
        }
        None => false,
    }
}
