//! The fault check told to the author: every fault that ends badly as a problem at its place, and the figures.

use crate::diag::{Files, Leg, Place, Problem, Problems, Side};
use crate::machine::Machine;
use crate::reason::{FaultCheck, FaultEnd, FaultOutcome, fault_check};
use crate::tree::{Course, StepIx, Tree};

/// Faults named in one problem; the figures and the JSON have all.
const MOST_NAMED: usize = 6;

/// What the fault check found, with its problems.
pub struct FaultsTold {
    /// The walks and figures.
    pub check: FaultCheck,
    /// What is wrong, by place.
    pub problems: Vec<Problem>,
    /// The texts that the places are in.
    pub files: Files,
}

/// Walks every modelled fault through a tree; `None` for a tree without a machine.
#[must_use]
pub fn check_faults(course: &Course) -> Option<FaultsTold> {
    let tree = course.tree();
    let machine = tree.model.as_deref()?;
    let check = fault_check(tree, machine, course.vocabulary());
    let mut problems = Problems::default();
    ends(tree, machine, &check, &mut problems);
    finds(tree, machine, &check, &mut problems);
    Some(FaultsTold { check, problems: problems.into_list(), files: tree.files.clone() })
}

/// One problem for each bad outcome at each end.
fn ends(tree: &Tree, machine: &Machine, check: &FaultCheck, problems: &mut Problems) {
    let mut told: Vec<(FaultOutcome, StepIx, Vec<&str>)> = Vec::new();
    for end in check.by_fault.iter().filter(|e| is_bad(e)) {
        let name = machine.fault(end.fault).name.as_str();
        match told.iter_mut().find(|(outcome, at, _)| *outcome == end.outcome && *at == end.end) {
            Some((_, _, names)) => names.push(name),
            None => told.push((end.outcome, end.end, vec![name])),
        }
    }
    for (outcome, at, names) in told {
        let step = tree.step(at);
        let listed = listed(&names);
        let (rule, wrong, at_machine, write) = match outcome {
            FaultOutcome::Wrong => (
                "fault-found-wrong",
                format!("with {listed} the walk ends at {}, which names something else", step.id),
                "The mechanic replaces a good part, and the fault is still there.",
                "a test before it that tells them apart, or the fault among those the find names",
            ),
            FaultOutcome::Unnamed => (
                "fault-unnamed",
                format!("{listed} shows this symptom and is named in no find; the walk ends at {}", step.id),
                "The tree cannot find it, and does not say so.",
                "a find that names it, and a test that leads there",
            ),
            _ => (
                "fault-no-branch",
                format!("with {listed} the walk ends at {} without a finding", step.id),
                "The mechanic has walked the whole tree for nothing.",
                "an answer or band that leads on to a find that names it",
            ),
        };
        problems.error(rule, step.place.as_key()).says(wrong, at_machine, write);
    }
}

fn is_bad(end: &FaultEnd) -> bool {
    matches!(end.outcome, FaultOutcome::Wrong | FaultOutcome::NoBranch | FaultOutcome::Unnamed)
}

fn finds(tree: &Tree, machine: &Machine, check: &FaultCheck, problems: &mut Problems) {
    for at in &check.healthy_finds {
        let step = tree.step(*at);
        problems.error("healthy-find", step.place.as_key()).says(
            format!("a machine with nothing wrong reaches {}", step.id),
            "The mechanic would repair a machine that is in order.",
            "bands and answers that a healthy machine does not take",
        );
    }
    for at in &check.impossible_finds {
        let step = tree.step(*at);
        problems.error("impossible-find", step.place.as_key()).says(
            format!("none of the faults that {} names can be found there", step.id),
            "It is a find for something else, or for nothing.",
            "the faults that do lead here, or no such find",
        );
    }
    for (fault, at) in &check.unproved_holds {
        let step = tree.step(*at);
        problems.refuse("hold-unproved", step.place.as_key()).says(
            format!(
                "{} defeats an interlock, and behind {} nothing shows that it holds",
                machine.fault(*fault).name,
                step.id
            ),
            "The machine would go back with an interlock that holds nothing.",
            "a step with `proof: held` on the way to `close`",
        );
    }
    if !check.battery_edges.is_empty() {
        let names: Vec<&str> = check.battery_edges.iter().map(|f| machine.fault(*f).name.as_str()).collect();
        let place = Place::Route(tree.file, vec![Leg::Key("tree".into())], Side::Value);
        problems.warn("battery-edge", place).says(
            format!("where these end depends on the battery: {}", listed(&names)),
            "On a cold morning, or on the charger, the walk would go another way.",
            "edges that leave room on both sides, or `like:` bands, which follow the battery",
        );
    }
}

fn listed(names: &[&str]) -> String {
    let more = names.len().saturating_sub(MOST_NAMED);
    let shown =
        names[..names.len().min(MOST_NAMED)].iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    if more > 0 { format!("{shown} and {more} more") } else { shown }
}
