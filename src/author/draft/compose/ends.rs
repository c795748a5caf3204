//! What follows when the fault is named: finding, repair, everything back together, proofs, and the ends.

use super::super::proofs::proofs;
use super::super::repairs::{Jobs, repair_of_fault};
use super::super::ways::{LEADS, Path};
use super::super::{words, yaml};
use super::{Composer, Written};
use crate::machine::{FaultId, FaultKind};
use crate::safety::{Change, Deed, Facet, NamedKind, State, changes, demands};
use crate::tree::{Shows, StepIx};

impl Composer<'_> {
    /// The find for what is left. What only a weak or a strong battery leads to is no find of its own: it is put where
    /// the same repair is found otherwise, once all the others are written.
    pub(super) fn find(&mut self, left: &[usize], state: &State) -> String {
        let left: Vec<usize> = left.iter().copied().filter(|at| *at < self.suspects.list.len()).collect();
        if left.is_empty() {
            return self.all_good(state);
        }
        if left.iter().any(|at| self.suspects.list[*at].shows[0]) {
            return self.find_of_its_own(&left, state);
        }
        self.later.push((left, state.clone()));
        later_name(self.later.len() - 1)
    }

    /// Puts each of the finds left for later where its repair is found, or hands over.
    pub(super) fn settle_later(&mut self) {
        for at in 0..self.later.len() {
            let (left, state) = self.later[at].clone();
            let repair = self.repairs[left[0]];
            let same = |names: &String| {
                let faults = self.suspects.list.iter().zip(self.repairs).filter(|(_, own)| **own == repair);
                let mut names_of = faults.map(|(s, _)| self.fault_name(s.fault));
                names_of.any(|name| names == name)
            };
            let written: Vec<(State, String)> = self
                .known
                .iter()
                .filter(|((what, _), _)| {
                    let names = what.strip_prefix("find ");
                    names.is_some_and(|names| names.split(", ").any(|name| same(&name.to_owned())))
                })
                .map(|((_, state), id)| (state.clone(), id.clone()))
                .collect();
            let there = written.iter().filter_map(|(found, id)| {
                let path = self.ways.to(&state, &self.ways.exactly(found))?;
                Some((path.minutes, id.clone(), path))
            });
            let nearest = there.min_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
            let id = match nearest {
                Some((_, id, path)) => self.lead(&path, id),
                None => self.all_good(&state),
            };
            let name = later_name(at);
            for line in self.steps.iter_mut().flat_map(|step| &mut step.lines) {
                if line.contains(&name) {
                    *line = line.replace(&name, &id);
                }
            }
        }
    }

    pub(super) fn find_of_its_own(&mut self, left: &[usize], state: &State) -> String {
        let faults = self.suspects.faults(left);
        let names: Vec<&str> = faults.iter().map(|fault| self.fault_name(*fault)).collect();
        let key = (format!("find {}", names.join(", ")), state.clone());
        if let Some(id) = self.known.get(&key) {
            return id.clone();
        }
        let mut jobs = Jobs::default();
        for fault in &faults {
            jobs.join(repair_of_fault(self.ways.machine, *fault));
        }
        let hydraulic = faults.iter().all(|fault| self.ways.machine.fault(*fault).kind == FaultKind::Other);
        let mut lines = vec![format!("find: {}", yaml::list(names.iter().copied()))];
        let rehearsed: Vec<_> = faults.iter().filter_map(|fault| self.rehearsed_repair(*fault)).collect();
        if rehearsed.iter().all(|ix| self.ways.rehearsal.lacks_zone(*ix)) {
            lines.push("zone: outside".to_owned());
        }
        let kind = self.ways.machine.fault(faults[0]).kind;
        let cause = words::cause(self.ways.machine, kind, names[0]);
        lines.push(format!("cause: {}", yaml::quoted(&cause)));
        lines.push(format!("repair: {}", jobs.yaml()));
        let name = self.find_id(left, &faults);
        let mut found = state.clone();
        self.change(&mut found, &Deed::Found);
        let go = if hydraulic { self.hand_over(&found) } else { self.repair(&rehearsed, &found) };
        lines.push(format!("go: {go}"));
        let id = self.write(&name, lines);
        self.known.insert(key, id.clone());
        id
    }

    pub(super) fn find_id(&self, left: &[usize], faults: &[FaultId]) -> String {
        if let [one] = faults {
            return yaml::slug(self.fault_name(*one));
        }
        yaml::slug(&format!("{} bad", self.parts(left)))
    }

    pub(super) fn rehearsed_repair(&self, fault: FaultId) -> Option<StepIx> {
        let all: Vec<usize> = (0..self.suspects.list.len()).collect();
        let at = self.suspects.faults(&all).iter().position(|own| *own == fault)?;
        self.ways.rehearsal.step(&format!("r{at}"))
    }

    pub(super) fn change(&self, state: &mut State, deed: &Deed) {
        let vocabulary = self.ways.rehearsal.vocabulary();
        state.apply_all(&changes(deed, vocabulary), vocabulary);
    }

    pub(super) fn repair(&mut self, rehearsed: &[StepIx], state: &State) -> String {
        let mut needed = Vec::new();
        let mut zones = Vec::new();
        for ix in rehearsed {
            for demand in self.ways.rehearsal.demands(*ix) {
                if !needed.contains(&demand) {
                    needed.push(demand);
                }
            }
            zones.extend(self.ways.rehearsal.zones(*ix));
        }
        let mut path = Path { moves: Vec::new(), minutes: 0.0, state: state.clone() };
        if self.ways.gates(&mut path, &needed).is_none() {
            return self.hand_over(state);
        }
        let mut after = path.state.clone();
        for ix in rehearsed {
            after = self.ways.rehearsal.after(&after, *ix);
        }
        let go = self.back_together(&after);
        let key = (format!("repair in {}, {needed:?}", zones.join(", ")), after);
        let id = if let Some(id) = self.known.get(&key) {
            id.clone()
        } else {
            let zone = zones.first().map_or("outside", String::as_str);
            let mut lines = vec!["do: repair".to_owned()];
            if rehearsed.iter().all(|ix| self.ways.rehearsal.lacks_zone(*ix)) {
                lines.push("zone: outside".to_owned());
            }
            lines.push(format!("go: {go}"));
            let id = self.write_apart(&format!("repair-{}", yaml::slug(zone)), lines, format!("{needed:?}"));
            self.known.insert(key, id.clone());
            id
        };
        self.lead(&path, id)
    }

    /// Every plug together, every tie off, in service, proved both ways, left.
    pub(super) fn back_together(&mut self, state: &State) -> String {
        let key = ("together".to_owned(), state.clone());
        if let Some(id) = self.known.get(&key) {
            return id.clone();
        }
        let mut path = Path { moves: Vec::new(), minutes: 0.0, state: state.clone() };
        self.leads_off(&mut path);
        for (kind, what) in [(NamedKind::Apart, "plug"), (NamedKind::Tied, "untie")] {
            for name in self.ways.named(state, kind) {
                // What no gates lead to is told by the check of the draft.
                let _ = self.ways.act(&mut path, what, &name);
            }
        }
        let id = self.proof(0, path);
        self.known.insert(key, id.clone());
        id
    }

    /// Takes the leads off, if any may be on.
    fn leads_off(&self, path: &mut Path) {
        if !self.ways.named(&path.state, NamedKind::Fitted).is_empty() {
            // What no gates lead to is told by the check of the draft.
            let _ = self.ways.act(path, "unfit", LEADS);
        }
    }

    pub(super) fn proof(&mut self, at: usize, mut path: Path) -> String {
        let proofs = proofs(self.ways.machine, self.head);
        let Some(proof) = proofs.get(at) else { return self.close(path) };
        let Some(ix) = self.ways.rehearsal.step(&format!("proof-{at}")) else { return self.close(path) };
        let _ = self.ways.gates(&mut path, &self.ways.rehearsal.demands(ix));
        let key = (format!("proof {at}"), path.state.clone());
        let id = if let Some(id) = self.known.get(&key) {
            id.clone()
        } else {
            let mut after = self.ways.rehearsal.after(&path.state, ix);
            let failed = after.clone();
            for deed in self.ways.rehearsal.course.shown_on(ix, 0) {
                self.change(&mut after, &deed);
            }
            let next = self.proof(at + 1, Path { moves: Vec::new(), minutes: 0.0, state: after });
            let bad = if proof.is_held() { self.stop_using(&failed) } else { "again".to_owned() };
            let id = self.write(&proof.id(at), proof.lines(&next, &bad));
            self.known.insert(key, id.clone());
            id
        };
        self.lead(&path, id)
    }

    pub(super) fn close(&mut self, mut path: Path) -> String {
        if let Some(ix) = self.ways.rehearsal.step("done") {
            let _ = self.ways.gates(&mut path, &self.ways.rehearsal.demands(ix));
        }
        let id = self.once("repaired", || vec!["close: repaired".to_owned()]);
        self.lead(&path, id)
    }

    pub(super) fn stop_using(&mut self, state: &State) -> String {
        let id = self.once("tagged-out", || {
            vec![
                "refer:".to_owned(),
                format!("  en: {}", yaml::quoted("Do not use this machine: what must hold the function is not shown to hold it. Key out and kept, tag on the seat.")),
                format!("  es: {}", yaml::quoted("No use esta máquina: no está comprobado que se retenga la función. Llave fuera y guardada, tarjeta en el asiento.")),
            ]
        });
        self.leave(state, id)
    }

    /// Everything reads as on a machine with nothing wrong. Where the complaint is that nothing held it, that is not
    /// shown to be over.
    pub(super) fn all_good(&mut self, state: &State) -> String {
        if self.head.symptom.iter().any(|(_, shows)| *shows == Shows::Unheld) {
            return self.stop_using(state);
        }
        let id = self.once("comes-and-goes", || {
            vec![
                "refer:".to_owned(),
                format!("  en: {}", yaml::quoted("It reads as it should now: what failed comes and goes, or is not in this tree. The readings so far are in the report.")),
                format!("  es: {}", yaml::quoted("Ahora mide como debe: la falla va y viene, o no está en este árbol. Las lecturas están en el informe.")),
            ]
        });
        self.leave(state, id)
    }

    pub(super) fn hand_over(&mut self, state: &State) -> String {
        let id = self.once("not-electrical", || {
            vec![
                "refer:".to_owned(),
                format!("  en: {}", yaml::quoted("The electric side is good, and what the finding names is not put right in the field. To whoever is equipped for it. Not to be used meanwhile.")),
                format!("  es: {}", yaml::quoted("La parte eléctrica está bien y lo que dice el hallazgo no se repara en el campo. Para quien tenga el equipo. No usar mientras tanto.")),
            ]
        });
        self.leave(state, id)
    }

    /// The gates before handing over.
    pub(super) fn leave(&mut self, state: &State, id: String) -> String {
        let key = (format!("leave for {id}"), state.clone());
        if let Some(known) = self.known.get(&key) {
            return known.clone();
        }
        let vocabulary = self.ways.rehearsal.vocabulary();
        let needed = demands(&Deed::Refer, vocabulary);
        // In another round the machine was touched, whatever the telephone alone came to in the first.
        let mut touched = state.clone();
        touched.apply(Change::Unknown(Facet::TOUCHED), vocabulary);
        let mut path = Path { moves: Vec::new(), minutes: 0.0, state: touched };
        self.leads_off(&mut path);
        let _ = self.ways.gates(&mut path, &needed);
        let first = self.lead(&path, id);
        self.known.insert(key, first.clone());
        first
    }

    pub(super) fn once(&mut self, id: &str, lines: impl FnOnce() -> Vec<String>) -> String {
        if self.ids.insert(id.to_owned()) {
            self.steps.push(Written {
                id: id.to_owned(),
                comment: Vec::new(),
                lines: lines(),
                apart: String::new(),
            });
        }
        id.to_owned()
    }
}

/// Stands for a find that is settled later; no step is called so.
fn later_name(at: usize) -> String {
    format!("~later-{at}~")
}
