//! Sums over all faults that show the symptom, by share.

use std::collections::BTreeMap;

use super::{FaultEnd, FaultOutcome};
use crate::machine::{FaultId, FaultKind, Machine};
use crate::reason::Probability;

/// How many faults end how, and which part of the shares that is.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Faults that show the symptom.
    pub count: usize,
    /// Found alone.
    pub found: usize,
    /// Found in a group, by its size.
    pub found_in_group: BTreeMap<usize, usize>,
    /// Taken for another fault.
    pub wrong: usize,
    /// Ending at a close or refer.
    pub no_branch: usize,
    /// In no find.
    pub unnamed: usize,
    /// Found only if open answers are right.
    pub depends: usize,
    /// Part of the shares that is found, alone or in a group.
    pub detected: Probability,
    /// Of what is detected, the part found in groups of at most 1, 2, 3.
    pub isolated: [Probability; 3],
    /// Of what is detected, the part where one repair puts right all that is named.
    pub one_repair: Probability,
}

impl Figures {
    /// Counts and sums.
    #[must_use]
    pub fn of(ends: &[FaultEnd]) -> Self {
        let count = |outcome| ends.iter().filter(|end| end.outcome == outcome).count();
        let mut found_in_group = BTreeMap::new();
        for end in ends {
            if let FaultOutcome::InGroup(size) = end.outcome {
                *found_in_group.entry(size).or_insert(0) += 1;
            }
        }
        let sum = |counts: &dyn Fn(&FaultEnd) -> bool| -> f64 {
            ends.iter().filter(|end| counts(end)).map(|end| end.share.value()).sum()
        };
        let all = sum(&|_| true);
        let detected = sum(&|end| group(end).is_some());
        let of = |part: f64, whole: f64| Probability(if whole > 0.0 { part / whole } else { 0.0 });
        let within = |most: usize| of(sum(&|end| group(end).is_some_and(|size| size <= most)), detected);
        Self {
            count: ends.len(),
            found: count(FaultOutcome::Found),
            found_in_group,
            wrong: count(FaultOutcome::Wrong),
            no_branch: count(FaultOutcome::NoBranch),
            unnamed: count(FaultOutcome::Unnamed),
            depends: count(FaultOutcome::Depends),
            detected: of(detected, all),
            isolated: [within(1), within(2), within(3)],
            one_repair: of(sum(&|end| group(end).is_some() && end.one_repair), detected),
        }
    }
}

/// The size of the group in which a fault is found.
fn group(end: &FaultEnd) -> Option<usize> {
    match end.outcome {
        FaultOutcome::Found => Some(1),
        FaultOutcome::InGroup(size) => Some(size),
        _ => None,
    }
}

/// What one repair puts right: a wire, a contact or plug, a stud, a box. Faults with the same name here
/// are one repair.
#[must_use]
pub fn repair_of(machine: &Machine, fault: FaultId) -> String {
    let parts = machine.parts();
    match machine.fault(fault).kind {
        FaultKind::Intermittent(steady) => repair_of(machine, steady),
        FaultKind::Stud(stud) => {
            parts.studs.get(stud as usize).map_or_else(String::new, |stud| stud.name.clone())
        }
        FaultKind::ControllerDead(_) | FaultKind::PinDead(_) => {
            first_part(&machine.fault(fault).name).to_owned()
        }
        FaultKind::SupplyLow => "supply".to_owned(),
        FaultKind::Other => machine.fault(fault).name.clone(),
        _ => element_names(machine, fault),
    }
}

/// The parts a fault sits on; of wet contacts their plug.
fn element_names(machine: &Machine, fault: FaultId) -> String {
    let name = &machine.fault(fault).name;
    if matches!(machine.fault(fault).kind, FaultKind::Wet(_)) {
        return first_part(name).to_owned();
    }
    let words: Vec<&str> = name.split_whitespace().collect();
    words.iter().filter(|word| machine.element(word).is_some()).copied().collect::<Vec<_>>().join("+")
}

/// `A1` of `A1:7 dead`, `X14` of `X14:3 wet to X14:4`.
fn first_part(name: &str) -> &str {
    name.split([':', ' ']).next().unwrap_or(name)
}
