//! The shape of a tree: which findings can be reached from where, another round not counted.

use crate::tree::{Find, Kind, StepIx, Target, Tree};

/// For each step what the finds that can be reached from it name, sorted, each once.
pub(super) fn reached<T: Ord + Clone>(tree: &Tree, named_by: impl Fn(&Find) -> Vec<T>) -> Vec<Vec<T>> {
    let mut before: Vec<Vec<StepIx>> = vec![Vec::new(); tree.steps.len()];
    for (ix, step) in tree.iter() {
        for target in step.targets().into_iter().filter(|target| *target != Target::Again) {
            if let Some(next) = tree.land(target) {
                before[next.at()].push(ix);
            }
        }
    }
    let mut named: Vec<Vec<T>> = vec![Vec::new(); tree.steps.len()];
    for (ix, step) in tree.iter() {
        let Kind::Find(find) = &step.kind else { continue };
        let faults = named_by(find);
        let mut seen = vec![false; tree.steps.len()];
        let mut open = vec![ix];
        while let Some(at) = open.pop() {
            if !std::mem::replace(&mut seen[at.at()], true) {
                named[at.at()].extend(faults.iter().cloned());
                open.extend(&before[at.at()]);
            }
        }
    }
    for faults in &mut named {
        faults.sort_unstable();
        faults.dedup();
    }
    named
}
