//! What puts a fault right: jobs on parts, and whether they need heat.

use crate::machine::{FaultId, FaultKind, Kind, Machine};
use crate::tree::RepairJob;

use super::yaml;

/// Jobs on parts, each once, in the order of the faults.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Jobs {
    list: Vec<(RepairJob, String)>,
}

impl Jobs {
    fn of(jobs: impl IntoIterator<Item = (RepairJob, String)>) -> Self {
        Self { list: jobs.into_iter().collect() }
    }

    /// Takes in another fault's jobs. A wire that is replaced is not spliced besides, a part that is replaced not cleaned.
    pub(super) fn join(&mut self, other: Self) {
        for job in other.list {
            if !self.list.contains(&job) {
                self.list.push(job);
            }
        }
        let renewed: Vec<String> = self
            .list
            .iter()
            .filter(|(job, _)| matches!(job, RepairJob::Rewire | RepairJob::Replace))
            .map(|(_, part)| part.clone())
            .collect();
        self.list.retain(|(job, part)| {
            matches!(job, RepairJob::Rewire | RepairJob::Replace) || !renewed.contains(part)
        });
    }

    /// As the value of `repair`.
    pub(super) fn yaml(&self) -> String {
        let mut fields = Vec::new();
        for (key, job) in RepairJob::ALL {
            let parts: Vec<&str> =
                self.list.iter().filter(|(own, _)| *own == job).map(|(_, part)| part.as_str()).collect();
            match parts.as_slice() {
                [] => {}
                [one] => fields.push(format!("{key}: {}", yaml::inner(one))),
                many => fields.push(format!("{key}: {}", yaml::list(many.iter().copied()))),
            }
        }
        if !self.heat() {
            fields.push("heat: false".to_owned());
        }
        format!("{{{}}}", fields.join(", "))
    }

    fn heat(&self) -> bool {
        self.list.iter().any(|(job, _)| job.heat())
    }
}

/// The repair of one fault.
pub(super) fn repair_of_fault(machine: &Machine, fault: FaultId) -> Jobs {
    let parts = machine.parts();
    let name = |id: crate::machine::ElementId| parts.elements[id.at()].name.clone();
    let is_wire = |id: crate::machine::ElementId| matches!(parts.elements[id.at()].kind, Kind::Wire(_));
    let own = machine.fault(fault);
    let at_rub = own.name.contains(" at ");
    let replace = |part: String| Jobs::of([(RepairJob::Replace, part)]);
    match own.kind {
        FaultKind::Open(id, _) if is_wire(id) && at_rub => Jobs::of([(RepairJob::Splice, name(id))]),
        FaultKind::Open(id, _) | FaultKind::Resistive(id) if is_wire(id) => {
            Jobs::of([(RepairJob::Rewire, name(id))])
        }
        FaultKind::Open(id, _) | FaultKind::Resistive(id) => match &parts.elements[id.at()].kind {
            Kind::Joint => Jobs::of([(RepairJob::Clean, name(id)), (RepairJob::Tighten, name(id))]),
            Kind::RelayContact { coil, .. } => replace(name(*coil)),
            _ => replace(name(id)),
        },
        FaultKind::Shorted(id) | FaultKind::SourceDead(id) => replace(name(id)),
        FaultKind::StuckClosed(id) => match &parts.elements[id.at()].kind {
            Kind::RelayContact { coil, .. } => replace(name(*coil)),
            _ => replace(name(id)),
        },
        FaultKind::Grounded(id, _) => Jobs::of([(RepairJob::Splice, name(id))]),
        FaultKind::Touching(_) => {
            Jobs::of(machine.fault_elements(fault).into_iter().map(|id| (RepairJob::Splice, name(id))))
        }
        FaultKind::Wet(_) => Jobs::of([(RepairJob::Clean, first_part(&own.name).to_owned())]),
        FaultKind::Stud(stud) => {
            let name = parts.studs.get(stud as usize).map_or(String::new(), |stud| stud.name.clone());
            Jobs::of([(RepairJob::Clean, name.clone()), (RepairJob::Tighten, name)])
        }
        FaultKind::ControllerDead(_) | FaultKind::PinDead(_) => replace(first_part(&own.name).to_owned()),
        FaultKind::SupplyLow => Jobs::of([(RepairJob::Fill, "battery".to_owned())]),
        FaultKind::Intermittent(steady) => repair_of_fault(machine, steady),
        FaultKind::Other => replace(own.name.clone()),
    }
}

/// `A1` of `A1:7 dead`, `X14` of `X14:3 wet to X14:4`.
fn first_part(name: &str) -> &str {
    name.split([':', ' ']).next().unwrap_or(name)
}
