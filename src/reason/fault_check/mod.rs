//! The fault check: each modelled fault that shows the symptom is put into the machine and walked
//! through the tree, every answer and reading computed.
//!
//! A fault's outcome is the worst over its severities that show the symptom; its weight is its share,
//! split evenly over all its severities. Figures after MIL-STD-2165 (1985), from memory: detected
//! Σλ(detected)/Σλ, isolated to L Σλ(detected, group ≤ L)/Σλ(detected).

mod figures;
mod walk;

pub use figures::{Figures, repair_of};

use std::collections::BTreeSet;

use super::chance::Share;
use super::outlook::Outlook;
use crate::machine::{Case, FaultId, FaultKind, Machine, Today};
use crate::safety::Vocabulary;
use crate::tree::{Kind, Proof, StepIx, Tree};
use crate::units::{Meter, Minutes};
use walk::{Ended, Fate, Walk};

/// How far the battery is taken down and up to see whether an end changes.
const BATTERIES: [f64; 2] = [0.9, 1.12];

/// What becomes of a fault that is walked through a tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultOutcome {
    /// At a find that names it alone.
    Found,
    /// At a find that names this many faults.
    InGroup(usize),
    /// Found only if open answers are right.
    Depends,
    /// At a close or refer, or where nothing takes what is seen.
    NoBranch,
    /// In no find at all.
    Unnamed,
    /// At a find that does not name it.
    Wrong,
}

impl FaultOutcome {
    /// The word in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Found => "found",
            Self::InGroup(_) => "found_in_group",
            Self::Depends => "depends",
            Self::NoBranch => "no_branch",
            Self::Unnamed => "unnamed",
            Self::Wrong => "wrong",
        }
    }
}

/// One fault's walk.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultEnd {
    /// The fault.
    pub fault: FaultId,
    /// Its share, as far as its severities show the symptom.
    pub share: Share,
    /// Where the worst of its walks ends.
    pub end: StepIx,
    /// What became of it.
    pub outcome: FaultOutcome,
    /// Are all the faults named at its end put right by one repair?
    pub one_repair: bool,
    /// Mean minutes from the start to the end, open answers taken evenly.
    pub minutes: Minutes,
}

/// What the fault check found.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultCheck {
    /// Every fault that shows the symptom, in the machine's order.
    pub by_fault: Vec<FaultEnd>,
    /// Finds that the healthy machine reaches.
    pub healthy_finds: Vec<StepIx>,
    /// Finds that none of the faults they name reaches.
    pub impossible_finds: Vec<StepIx>,
    /// Faults that defeat an interlock, named at finds behind which no step shows that it holds.
    pub unproved_holds: Vec<(FaultId, StepIx)>,
    /// Faults whose end changes with a battery at 0.9 or 1.12 of its volts.
    pub battery_edges: Vec<FaultId>,
    /// Sums over all faults.
    pub figures: Figures,
    /// Expected minutes as written, to wherever each fault ends; `None` if no fault shows the symptom.
    pub as_written: Option<Minutes>,
}

/// Walks every fault of the machine through the tree.
///
/// # Panics
/// Never of itself: it passes on what a worker panicked with.
#[must_use]
pub fn fault_check(tree: &Tree, machine: &Machine, vocabulary: &Vocabulary) -> FaultCheck {
    let day = machine.day(Today::default());
    let outlook = Outlook::new(tree, &day, vocabulary, Meter::default());
    let mut reached = BTreeSet::new();
    let (by_fault, others) = std::thread::scope(|scope| {
        let others = BATTERIES.map(|scale| {
            scope.spawn(move || {
                let day = machine.day(Today { scale, ..Today::default() });
                walk_faults(&Outlook::new(tree, &day, vocabulary, Meter::default()), &mut BTreeSet::new())
            })
        });
        let own = walk_faults(&outlook, &mut reached);
        let done = others.map(|other| other.join().unwrap_or_else(|cause| std::panic::resume_unwind(cause)));
        (own, done)
    });
    let figures = Figures::of(&by_fault);
    let as_written = mean_minutes(&by_fault);
    FaultCheck {
        healthy_finds: healthy_finds(&outlook),
        impossible_finds: impossible_finds(tree, machine, &reached),
        unproved_holds: unproved_holds(&outlook),
        battery_edges: changed(&by_fault, &others),
        by_fault,
        figures,
        as_written,
    }
}

/// `reached` takes in every (find, fault) that a walk can lead to.
fn walk_faults(outlook: &Outlook<'_, '_>, reached: &mut BTreeSet<(StepIx, FaultId)>) -> Vec<FaultEnd> {
    let machine = outlook.machine();
    let named: BTreeSet<FaultId> = outlook.named.iter().flatten().copied().collect();
    let mut ends = Vec::new();
    for fault in machine.fault_ids() {
        let mut all = 0_u32;
        let mut fates: Vec<Fate> = Vec::new();
        for entry in outlook.dictionary().of(fault) {
            all += 1;
            if outlook.shows_symptom(&entry.case) {
                let mut walk = Walk::new(outlook, &entry.case, Some(fault));
                fates.push(walk.run());
                reached.extend(walk.finds.iter().map(|find| (*find, fault)));
            }
        }
        let Some(worst) = fates.iter().max_by_key(|fate| fate.worst).copied() else { continue };
        let best = fates.iter().map(|fate| fate.best).max().unwrap_or(worst.best);
        let shown = f64::from(u32::try_from(fates.len()).unwrap_or(u32::MAX));
        let mean = fates.iter().map(|fate| fate.minutes).sum::<f64>() / shown;
        ends.push(FaultEnd {
            fault,
            share: Share(machine.fault(fault).share * shown / f64::from(all)),
            end: worst.end,
            outcome: if named.contains(&fault) { outcome(best, worst.worst) } else { FaultOutcome::Unnamed },
            one_repair: one_repair(outlook.tree, machine, worst.end),
            minutes: Minutes(mean),
        });
    }
    ends
}

fn outcome(best: Ended, worst: Ended) -> FaultOutcome {
    match (best, worst) {
        (_, Ended::Named(1)) => FaultOutcome::Found,
        (_, Ended::Named(count)) => FaultOutcome::InGroup(count),
        (Ended::Named(_), _) => FaultOutcome::Depends,
        (_, Ended::NoBranch) => FaultOutcome::NoBranch,
        (_, Ended::Wrong) => FaultOutcome::Wrong,
    }
}

fn one_repair(tree: &Tree, machine: &Machine, end: StepIx) -> bool {
    let Kind::Find(find) = &tree.step(end).kind else { return false };
    let mut repairs =
        find.faults.iter().filter_map(|name| machine.fault_named(name)).map(|f| repair_of(machine, f));
    let first = repairs.next();
    first.is_some() && repairs.all(|repair| Some(&repair) == first.as_ref())
}

fn mean_minutes(ends: &[FaultEnd]) -> Option<Minutes> {
    let total: f64 = ends.iter().map(|end| end.share.value()).sum();
    let sum: f64 = ends.iter().map(|end| end.share.value() * end.minutes.value()).sum();
    (total > 0.0).then(|| Minutes(sum / total))
}

fn healthy_finds(outlook: &Outlook<'_, '_>) -> Vec<StepIx> {
    let mut walk = Walk::new(outlook, outlook.dictionary().healthy(), None);
    walk.run();
    walk.finds.into_iter().collect()
}

fn impossible_finds(tree: &Tree, machine: &Machine, reached: &BTreeSet<(StepIx, FaultId)>) -> Vec<StepIx> {
    let finds = tree.iter().filter_map(|(ix, step)| match &step.kind {
        Kind::Find(find) => Some((ix, find)),
        _ => None,
    });
    // A fault that comes and goes shows the symptom on no walk here, and may be found all the same.
    let comes_and_goes = |fault: &FaultId| matches!(machine.fault(*fault).kind, FaultKind::Intermittent(_));
    let occurs = |ix: StepIx, names: &[String]| {
        let known: Vec<FaultId> = names.iter().filter_map(|name| machine.fault_named(name)).collect();
        let found = |fault: &FaultId| reached.contains(&(ix, *fault)) || comes_and_goes(fault);
        known.is_empty() || known.iter().any(found)
    };
    finds.filter(|(ix, find)| !occurs(*ix, &find.faults)).map(|(ix, _)| ix).collect()
}

/// Named faults that let a function work where it must be held, with no step behind that shows it held.
fn unproved_holds(outlook: &Outlook<'_, '_>) -> Vec<(FaultId, StepIx)> {
    let (tree, machine) = (outlook.tree, outlook.machine());
    let mut unproved = Vec::new();
    for (ix, step) in tree.iter() {
        let Kind::Find(find) = &step.kind else { continue };
        if shows_held(tree, ix) {
            continue;
        }
        for fault in find.faults.iter().filter_map(|name| machine.fault_named(name)) {
            let unheld = |case: &Case<'_, '_>| {
                machine.function_ids().any(|id| case.function(id).unheld.contains(&true))
            };
            if outlook.dictionary().of(fault).any(|entry| unheld(&entry.case)) {
                unproved.push((fault, ix));
            }
        }
    }
    unproved
}

/// Can a step that shows an interlock to hold be reached from here?
fn shows_held(tree: &Tree, from: StepIx) -> bool {
    let mut seen = vec![false; tree.steps.len()];
    let mut open = vec![from];
    while let Some(ix) = open.pop() {
        if std::mem::replace(&mut seen[ix.at()], true) {
            continue;
        }
        let step = tree.step(ix);
        let proof = match &step.kind {
            Kind::Ask(ask) => ask.proof,
            Kind::Read(read) => read.proof,
            _ => None,
        };
        if proof == Some(Proof::Held) {
            return true;
        }
        open.extend(step.targets().into_iter().filter_map(|target| tree.land(target)));
    }
    false
}

fn changed(ends: &[FaultEnd], others: &[Vec<FaultEnd>]) -> Vec<FaultId> {
    let differs = |end: &&FaultEnd| {
        others.iter().any(|other| {
            let there = other.iter().find(|o| o.fault == end.fault);
            there.is_some_and(|there| (there.end, there.outcome) != (end.end, end.outcome))
        })
    };
    ends.iter().filter(differs).map(|end| end.fault).collect()
}
