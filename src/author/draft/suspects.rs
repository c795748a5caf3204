//! The suspects of a symptom: every modelled fault at every severity that shows it.

use crate::machine::{Case, Day, FaultId, Knot, Machine};
use crate::tree::Shows;

use super::rehearsal::Head;

/// One fault at one severity, with its part of the share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Suspect {
    pub(super) fault: FaultId,
    pub(super) knot: Knot,
    pub(super) share: f64,
    /// Whether it shows with each of the batteries.
    pub(super) shows: [bool; 3],
}

/// The share of what shows only with a weak or strong battery, of its own; and of a healthy machine, of all.
pub(super) const BY_BATTERY: f64 = 1e-6;

/// All of them, in the machine's order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Suspects {
    pub(super) list: Vec<Suspect>,
    /// The sum of their shares.
    pub(super) total: f64,
}

/// The suspects, and the machine with each of them in it on each day; with nothing wrong last.
pub(super) struct Tried<'d, 'm> {
    pub(super) suspects: Suspects,
    pub(super) cases: [Vec<Case<'d, 'm>>; 3],
}

impl<'d, 'm> Tried<'d, 'm> {
    /// Those that show the symptom with the nominal battery, and the other severities of the same faults that show it
    /// with a weak or a strong one: these have next to no share, must be found, and decide nothing.
    pub(super) fn of(days: &'d [Day<'m>; 3], symptom: &[(String, Shows)]) -> Self {
        let machine = days[0].machine();
        let mut list = Vec::new();
        let mut cases: [Vec<Case<'d, 'm>>; 3] = Default::default();
        for fault in machine.fault_ids() {
            let knots: Vec<Knot> = days[0].knots(fault).collect();
            let part = 1.0 / f64::from(u32::try_from(knots.len()).unwrap_or(u32::MAX));
            let nominal: Vec<Case<'d, 'm>> = knots.iter().map(|knot| days[0].case(&[*knot])).collect();
            if !nominal.iter().any(|case| shows(case, machine, symptom)) {
                continue;
            }
            for (knot, first) in knots.into_iter().zip(nominal) {
                let all = [first, days[1].case(&[knot]), days[2].case(&[knot])];
                let seen = all.each_ref().map(|case| shows(case, machine, symptom));
                if seen.contains(&true) {
                    let weight = if seen[0] { 1.0 } else { BY_BATTERY };
                    list.push(Suspect {
                        fault,
                        knot,
                        share: machine.fault(fault).share * part * weight,
                        shows: seen,
                    });
                    cases.iter_mut().zip(all).for_each(|(row, case)| row.push(case));
                }
            }
        }
        cases.iter_mut().zip(days).for_each(|(row, day)| row.push(day.healthy()));
        let total = list.iter().map(|suspect| suspect.share).sum();
        Self { suspects: Suspects { list, total }, cases }
    }
}

impl Tried<'_, '_> {
    /// How many hypotheses the planner parts: the suspects, and the healthy machine last where no question about the
    /// complaint tells it beforehand.
    pub(super) fn hypotheses(&self, head: &Head) -> usize {
        let is_told = head.symptom.iter().any(|(_, shows)| *shows == Shows::Fails);
        self.suspects.list.len() + usize::from(!is_told)
    }
}

impl Suspects {
    /// Their faults, each once, in the machine's order.
    pub(super) fn faults(&self, which: &[usize]) -> Vec<FaultId> {
        let mut faults: Vec<FaultId> = which.iter().map(|at| self.list[*at].fault).collect();
        faults.sort_unstable();
        faults.dedup();
        faults
    }

    /// Their part of all shares, in hundredths.
    pub(super) fn hundredths(&self, which: &[usize]) -> f64 {
        100.0 * which.iter().map(|at| self.list[*at].share).sum::<f64>() / self.total
    }
}

fn shows(case: &Case<'_, '_>, machine: &Machine, symptom: &[(String, Shows)]) -> bool {
    symptom.iter().all(|(name, shows)| {
        let Some(id) = machine.function(name) else { return false };
        let seen = case.function(id);
        match shows {
            Shows::Works => seen.works,
            Shows::Fails => !seen.works,
            Shows::Unheld => seen.unheld.contains(&true),
        }
    })
}
