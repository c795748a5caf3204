//! What the modelled faults do, taken together: which defeat an interlock, which burn a wire, which
//! look alike, which keep something fed, which hide.

use super::case::Case;
use super::day::Day;
use super::dictionary::Entry;
use super::family::Machine;
use super::fault::FaultKind;
use super::model::{CodeName, ElementId, FaultId, FunctionId, Owner, PointId};
use super::parts::{Kind, Wire};
use super::power::Power;
use super::rig::Rig;
use super::signature::{Sights, Signature};
use crate::repair::rating_in_bundle;
use crate::units::Amps;

/// One fault, and what it does at any of its severities.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultLine {
    /// The fault.
    pub fault: FaultId,
    /// The functions it stops.
    pub stops: Vec<FunctionId>,
    /// The functions that work with it although they must not.
    pub unheld: Vec<FunctionId>,
    /// The codes it sets in some function's state.
    pub codes: Vec<CodeName>,
}

/// A fault that makes a function work in a state that must hold it.
#[derive(Debug, Clone, PartialEq)]
pub struct Defeat {
    /// The fault.
    pub fault: FaultId,
    /// The function.
    pub function: FunctionId,
    /// The numbers of the held states that do not hold, in file order.
    pub held: Vec<usize>,
}

/// A fault with which a wire carries more than its rating, and nothing stops it.
#[derive(Debug, Clone, PartialEq)]
pub struct Overload {
    /// The fault.
    pub fault: FaultId,
    /// The wire.
    pub wire: ElementId,
    /// What it carries.
    pub amps: Amps,
    /// What it may carry.
    pub rating: Amps,
}

/// A fault that keeps something fed with the key out.
#[derive(Debug, Clone, PartialEq)]
pub struct Feeds {
    /// The fault.
    pub fault: FaultId,
    /// The points that have volts with it and none without.
    pub points: Vec<PointId>,
}

/// When a fault that hides can be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hides {
    /// Only while its place is moved, hot or wet.
    Moved,
    /// Only while the circuit carries its load.
    Loaded,
}

/// The faults of a machine, taken together.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// Every fault, in file order.
    pub lines: Vec<FaultLine>,
    /// Interlocks defeated by a single fault.
    pub defeats: Vec<Defeat>,
    /// Wires that no fuse protects from a fault.
    pub overloads: Vec<Overload>,
    /// Groups of faults that no reading at a point can tell apart.
    pub alike: Vec<Vec<FaultId>>,
    /// Points that have volts with the key out and nothing wrong.
    pub fed: Vec<PointId>,
    /// Faults that keep something fed.
    pub feeds: Vec<Feeds>,
    /// Faults that hide.
    pub hidden: Vec<(FaultId, Hides)>,
}

/// Above these volts a point counts as fed.
const FED: f64 = 1.0;

impl<'m> Day<'m> {
    /// Takes the faults together. Every fault is tried at every severity.
    #[must_use]
    pub fn survey(&self) -> Survey {
        let machine = self.machine();
        let dictionary = self.dictionary();
        let looked = Looked::new(self);
        let mut survey = Survey {
            lines: Vec::new(),
            defeats: Vec::new(),
            overloads: Vec::new(),
            alike: Vec::new(),
            fed: looked.fed(dictionary.healthy()),
            feeds: Vec::new(),
            hidden: Vec::new(),
        };
        for fault in machine.fault_ids() {
            let entries: Vec<&Entry<'_, 'm>> = dictionary.of(fault).collect();
            survey.lines.push(looked.line(fault, &entries));
            survey.defeats.extend(looked.defeats(fault, &entries));
            survey.overloads.extend(looked.overload(fault, &entries));
            survey.feeds.extend(looked.feeds(fault, &entries, &survey.fed));
        }
        let sights = Sights::new(self);
        survey.hidden = hidden(machine, &dictionary, &sights);
        survey.alike = alike(machine, &dictionary, &sights);
        survey
    }
}

/// The rigs that a survey looks through, and what the healthy machine does in them.
struct Looked<'d, 'm> {
    machine: &'m Machine,
    rigs: Vec<&'d Rig<'m>>,
    off: Rig<'m>,
    /// Per element: what it carries at most, healthy.
    healthy: Vec<f64>,
}

impl<'d, 'm> Looked<'d, 'm> {
    fn new(day: &'d Day<'m>) -> Self {
        let machine = day.machine();
        let rigs: Vec<&Rig<'m>> = day.trials().rigs.iter().collect();
        let off = day.rig(&machine.resting(Power::Off));
        let mut looked = Self { machine, rigs, off, healthy: vec![0.0; machine.parts().elements.len()] };
        looked.healthy = looked.carried(&day.healthy());
        looked
    }

    /// What every element carries at most in any function's state.
    fn carried(&self, case: &Case<'_, 'm>) -> Vec<f64> {
        let mut most = vec![0.0_f64; self.machine.parts().elements.len()];
        for rig in &self.rigs {
            let settled = case.settle(rig);
            for (at, most) in most.iter_mut().enumerate() {
                *most = most.max(settled.most_amps(ElementId::new(at)).value());
            }
        }
        most
    }

    fn line(&self, fault: FaultId, entries: &[&Entry<'_, 'm>]) -> FaultLine {
        let of = |seen: fn(&super::case::Seen) -> bool| {
            let shows = |id: &FunctionId| {
                entries.iter().any(|e| seen(e.moved.as_ref().unwrap_or(&e.case).function(*id)))
            };
            self.machine.function_ids().filter(shows).collect()
        };
        let mut codes: Vec<CodeName> = Vec::new();
        for entry in entries {
            let case = entry.moved.as_ref().unwrap_or(&entry.case);
            for rig in &self.rigs {
                codes.extend(case.settle(rig).codes().into_iter().map(|(_, code)| code.name.clone()));
            }
        }
        codes.sort();
        codes.dedup();
        FaultLine {
            fault,
            stops: of(|seen| !seen.works),
            unheld: of(|seen| seen.unheld.contains(&true)),
            codes,
        }
    }

    fn defeats(&self, fault: FaultId, entries: &[&Entry<'_, 'm>]) -> Vec<Defeat> {
        let mut defeats = Vec::new();
        for function in self.machine.function_ids() {
            let states = self.machine.parts().functions[function.at()].held.len();
            let unheld = |state: &usize| {
                entries.iter().any(|e| {
                    e.moved.as_ref().unwrap_or(&e.case).function(function).unheld.get(*state) == Some(&true)
                })
            };
            let held: Vec<usize> = (0..states).filter(unheld).collect();
            if !held.is_empty() {
                defeats.push(Defeat { fault, function, held });
            }
        }
        defeats
    }

    /// The wire that is furthest over its rating with a fault, if it is not as far over it healthy.
    fn overload(&self, fault: FaultId, entries: &[&Entry<'_, 'm>]) -> Option<Overload> {
        let mut worst: Option<(f64, Overload)> = None;
        for entry in entries {
            for (at, amps) in self.carried(&entry.case).into_iter().enumerate() {
                let Kind::Wire(wire) = &self.machine.parts().elements[at].kind else { continue };
                let Some(rating) = rating(wire) else { continue };
                let over = amps / rating.value();
                let usual = self.healthy[at] / rating.value();
                if over > 1.0 && over > usual * 1.2 && worst.as_ref().is_none_or(|(most, _)| over > *most) {
                    let wire = ElementId::new(at);
                    worst = Some((over, Overload { fault, wire, amps: Amps(amps), rating }));
                }
            }
        }
        worst.map(|(_, overload)| overload)
    }

    fn fed(&self, case: &Case<'_, 'm>) -> Vec<PointId> {
        let settled = case.settle(&self.off);
        let volts = |red: &PointId| {
            let shown = settled.volts(super::settled::Probes { red: *red, black: self.machine.frame() });
            shown.most.value().abs() > FED
        };
        let probed = |id: &PointId| !matches!(self.machine.parts().points[id.at()].owner, Owner::Rub(..));
        self.machine.point_ids().filter(probed).filter(volts).collect()
    }

    fn feeds(&self, fault: FaultId, entries: &[&Entry<'_, 'm>], usual: &[PointId]) -> Option<Feeds> {
        let nominal = self.machine.fault(fault).nominal;
        let entry = entries.iter().find(|e| e.knot.severity.total_cmp(&nominal).is_eq())?;
        let mut points = self.fed(&entry.case);
        points.retain(|point| !usual.contains(point));
        (!points.is_empty()).then_some(Feeds { fault, points })
    }
}

/// What a wire may carry: as the file says, else by AC 43.13-1B table 11-9.
fn rating(wire: &Wire) -> Option<Amps> {
    wire.rating.or_else(|| rating_in_bundle(wire.size))
}

fn hidden<'m>(
    machine: &'m Machine,
    dictionary: &super::dictionary::Dictionary<'_, 'm>,
    sights: &Sights<'m>,
) -> Vec<(FaultId, Hides)> {
    let healthy = sights.of(dictionary.healthy());
    let mut hidden = Vec::new();
    for fault in machine.fault_ids() {
        if matches!(machine.fault(fault).kind, FaultKind::Intermittent(_)) {
            hidden.push((fault, Hides::Moved));
            continue;
        }
        // A joint that carries a meter and not its load; everything else shows at rest or breaks.
        if !matches!(machine.fault(fault).kind, FaultKind::Resistive(_) | FaultKind::Stud(_)) {
            continue;
        }
        let loaded = |entry: &Entry<'_, 'm>| {
            let signature = sights.of(&entry.case);
            signature.same_at_rest(&healthy) && !signature.same_at_work(&healthy)
        };
        if dictionary.of(fault).any(loaded) {
            hidden.push((fault, Hides::Loaded));
        }
    }
    hidden
}

/// Faults whose nominal severities look the same at every point in every sight.
fn alike<'m>(
    machine: &'m Machine,
    dictionary: &super::dictionary::Dictionary<'_, 'm>,
    sights: &Sights<'m>,
) -> Vec<Vec<FaultId>> {
    let mut groups: Vec<(Signature, Vec<FaultId>)> = Vec::new();
    for fault in machine.fault_ids() {
        let own = machine.fault(fault);
        if matches!(own.kind, FaultKind::Intermittent(_) | FaultKind::Other) {
            continue;
        }
        let Some(entry) = dictionary.of(fault).find(|e| e.knot.severity.total_cmp(&own.nominal).is_eq())
        else {
            continue;
        };
        let signature = sights.of(&entry.case);
        match groups.iter_mut().find(|(known, _)| known.same(&signature)) {
            Some((_, group)) => group.push(fault),
            None => groups.push((signature, vec![fault])),
        }
    }
    groups.into_iter().map(|(_, group)| group).filter(|group| group.len() > 1).collect()
}
