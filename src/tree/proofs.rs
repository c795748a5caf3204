//! Which proofs a job closed as repaired must have shown, which answer shows one, and which finds reach which repair.

use std::collections::{HashMap, HashSet};

use crate::safety::Deed;

use super::ground::Ground;
use super::model::{Ask, Kind, Proof, Seen, Step, StepIx, Target, Tree};

/// What an answer or band shows, if it shows a proof. What was said by telephone proves nothing.
pub(super) fn shown_on(step: &Step, way: usize) -> Vec<Deed> {
    let shown = match &step.kind {
        Kind::Ask(Ask { proof: Some(proof), phone: false, answers, .. }) => {
            let right = match proof {
                Proof::Works => Seen::Works,
                Proof::Held => Seen::Fails,
            };
            answers.get(way).is_some_and(|a| a.seen == Some(right) && a.go != Target::Again).then_some(*proof)
        }
        Kind::Read(read) => read.proof.filter(|_| read.bands.get(way).is_some_and(|b| b.go != Target::Again)),
        _ => None,
    };
    shown.map(|proof| Deed::Shown { proof: proof_name(proof) }).into_iter().collect()
}

/// The proof that a step tries and that this way does not show.
pub(super) fn unshown_on(step: &Step, way: usize) -> Vec<String> {
    let tried = match &step.kind {
        Kind::Ask(ask) => ask.proof,
        Kind::Read(read) => read.proof,
        _ => None,
    };
    let is_shown = !shown_on(step, way).is_empty();
    tried.filter(|_| !is_shown).map(proof_name).into_iter().collect()
}

/// The name under which a proof is kept.
fn proof_name(proof: Proof) -> String {
    match proof {
        Proof::Works => "works".to_owned(),
        Proof::Held => "held".to_owned(),
    }
}

/// The proofs that a job closed as repaired must have shown: `works`, and `held` where the machine holds a function of
/// the symptom, or, without a machine file, where the tree tries it.
pub(super) fn proofs_wanted(tree: &Tree, ground: &Ground<'_>) -> Vec<String> {
    let tries = |s: &Step| match &s.kind {
        Kind::Ask(a) => a.proof == Some(Proof::Held),
        Kind::Read(r) => r.proof == Some(Proof::Held),
        _ => false,
    };
    let held =
        tree.steps.iter().any(tries) || tree.symptom.iter().any(|(function, _)| ground.has_held(function));
    let both = [Proof::Works, Proof::Held];
    both[..if held { 2 } else { 1 }].iter().map(|proof| proof_name(*proof)).collect()
}

/// For each step that repairs what was found: the finds that reach it.
pub(super) fn finds_before_repairs(tree: &Tree) -> HashMap<StepIx, Vec<StepIx>> {
    let repairs: Vec<StepIx> = tree
        .iter()
        .filter(|(_, s)| matches!(&s.kind, Kind::Do(d) if d.action.is_none()))
        .map(|(ix, _)| ix)
        .collect();
    if repairs.is_empty() {
        return HashMap::new();
    }
    let mut into: Vec<Vec<StepIx>> = vec![Vec::new(); tree.steps.len()];
    for (ix, step) in tree.iter() {
        for target in step.ways() {
            if let Target::Step(to) = target {
                into[to.at()].push(ix);
            }
        }
    }
    let mut found: HashMap<StepIx, Vec<StepIx>> = HashMap::new();
    for repair in repairs {
        let mut seen: HashSet<StepIx> = HashSet::new();
        let mut open = vec![repair];
        let finds = found.entry(repair).or_default();
        while let Some(ix) = open.pop() {
            for from in &into[ix.at()] {
                if !seen.insert(*from) {
                    continue;
                }
                if matches!(tree.step(*from).kind, Kind::Find(_)) {
                    finds.push(*from);
                } else {
                    open.push(*from);
                }
            }
        }
        finds.sort_unstable();
    }
    found
}

/// The ends that are come to after an interlock was tried and did not hold, with no finding and no better try between:
/// such a job is not closed but tagged out.
pub(super) fn closes_after_unheld(tree: &Tree) -> HashSet<StepIx> {
    let mut closes = HashSet::new();
    let mut seen: HashSet<StepIx> = HashSet::new();
    let mut open: Vec<StepIx> = Vec::new();
    for (_, step) in tree.iter() {
        let Kind::Ask(Ask { proof: Some(Proof::Held), answers, .. }) = &step.kind else { continue };
        let unheld = answers.iter().filter(|a| a.seen == Some(Seen::Works));
        for target in unheld.map(|a| a.go) {
            if let Target::Step(ix) = target
                && seen.insert(ix)
            {
                open.push(ix);
            }
        }
    }
    while let Some(ix) = open.pop() {
        let here = tree.step(ix);
        match &here.kind {
            Kind::Find(_) | Kind::Ask(Ask { proof: Some(Proof::Held), .. }) => continue,
            Kind::Close(_) => {
                closes.insert(ix);
            }
            _ => {}
        }
        for target in here.ways() {
            if let Target::Step(to) = target
                && seen.insert(to)
            {
                open.push(to);
            }
        }
    }
    closes
}
