//! The repair sheet of what was found: filled in from the machine file, corrected by the mechanic, kept when it is done.
//!
//! A machine file knows the wire, its route and what it rubs on; nobody but the mechanic has seen the damage. Until they
//! say so, the sheet takes the careful side and asks.

use crate::diag::{Text, nearest};
use crate::machine::{CodeName, Kind as Part, Machine, Wire};
use crate::repair::{Damage, Injury, PlaceOnWire, RepairSheet, repair_sheet};
use crate::tree::{Find, Kind, RepairJob, StepIx};
use crate::units::Metres;

use super::declined::Declined;
use super::event::{Code, Event};
use super::state::{Mend, Now, Walk};
use super::words::Label;

/// What can be said of a repair besides the keys of the sheet.
const OWN_WORDS: [&str; 2] = ["parts", "as-done"];

impl Walk {
    /// True at the step that shows the repair of the finding.
    #[must_use]
    pub fn at_repair(&self) -> bool {
        matches!(self.now, Now::Step(ix) if self.is_repair(ix))
    }

    fn is_repair(&self, ix: StepIx) -> bool {
        matches!(&self.course.tree().step(ix).kind, Kind::Do(action) if action.action.is_none())
    }

    /// The hurt wire of the finding, as the machine file knows it and the mechanic has corrected it at this step;
    /// nothing away from the repair, and where no wire is mended.
    #[must_use]
    pub fn damage(&self) -> Option<Damage> {
        let mut damage = self.at_repair().then(|| self.damage_by_machine())??;
        for (key, typed) in self.mend_here().iter().flat_map(|mend| &mend.said) {
            // What could not be taken was declined when it was said, or is the mechanic's own word.
            let _ = damage.correct(key, typed);
        }
        Some(damage)
    }

    /// The repair sheet here; nothing where no wire is mended, or a figure on it makes no sense.
    #[must_use]
    pub fn repair_sheet(&self) -> Option<RepairSheet> {
        repair_sheet(&self.damage()?).ok()
    }

    /// The sheet in the walk's language: label and value of each line, then the parts to take.
    #[must_use]
    pub fn sheet_words(&self) -> Vec<(String, String)> {
        let Some(sheet) = self.repair_sheet() else { return Vec::new() };
        let lang = self.lang();
        let line = |line: crate::repair::SheetLine| {
            let source = line.source.map_or_else(String::new, |s| format!(" [{s}]"));
            (line.label.in_lang(&lang).to_owned(), format!("{}{source}", line.value.in_lang(&lang)))
        };
        let mut words: Vec<(String, String)> = sheet.lines().into_iter().map(line).collect();
        let take = Label::Take.in_lang(&lang);
        words.extend(
            sheet
                .parts()
                .iter()
                .map(|p| (take.to_owned(), format!("{} {}", p.amount, p.what.in_lang(&lang)))),
        );
        words
    }

    /// True at the end of a job at the machine while nobody has said which codes are there still, if the machine sets any.
    #[must_use]
    pub fn codes_to_ask(&self) -> bool {
        let Now::Step(ix) = self.now else { return false };
        let tree = self.course.tree();
        let sets =
            || tree.model.as_ref().is_some_and(|m| m.parts().controllers.iter().any(|c| !c.codes.is_empty()));
        let is_close = matches!(tree.step(ix).kind, Kind::Close(_));
        is_close && !self.gates.is_empty() && self.codes.is_empty() && !self.no_codes && sets()
    }

    /// True at a gate by which the machine is left.
    #[must_use]
    pub fn is_left_here(&self) -> bool {
        use crate::safety::{Gate, GateId};
        let leaves = |gate| matches!(gate, GateId::BuiltIn(Gate::Leave | Gate::KeepAway));
        matches!(self.now, Now::Gate(at) if leaves(at.gate))
    }

    /// A code with the machine's own words for it.
    #[must_use]
    pub fn named(&self, mut code: Code) -> Code {
        let parts = self.course.tree().model.as_ref().map(|m| m.parts());
        let all = parts.into_iter().flat_map(|p| p.controllers.iter().flat_map(|c| &c.codes));
        let words = all
            .filter(
                |own| matches!(own.name, CodeName::Spn { spn, fmi } if (spn, fmi) == (code.spn, code.fmi)),
            )
            .find_map(|own| own.text.as_ref());
        if let Some(words) = words.filter(|_| code.text.is_empty()) {
            words.in_lang(&self.lang()).clone_into(&mut code.text);
        }
        code
    }

    fn mend_here(&self) -> Option<&Mend> {
        let (step, round) = (self.step_id(), self.round);
        self.repairs.iter().rev().find(|m| m.step == step && m.round == round)
    }

    fn damage_by_machine(&self) -> Option<Damage> {
        let tree = self.course.tree();
        let (ix, _) = *self.findings().last()?;
        let Kind::Find(find) = &tree.step(ix).kind else { return None };
        by_machine(tree.model.as_deref(), find)
    }

    /// Keys of the sheet have to make sense; other words are the mechanic's own, unless one is only a slip of a key. Before
    /// and after the repair itself there is no sheet, and all words are the mechanic's own.
    pub(super) fn accept_repair(&self, said: Vec<(String, String)>) -> Result<Event, Declined> {
        let mut damage = self.damage();
        for (key, typed) in said.iter().filter(|(key, _)| !OWN_WORDS.contains(&key.as_str())) {
            let Some(damage) = &mut damage else { break };
            if Damage::KEYS.contains(&key.as_str()) {
                damage.correct(key, typed).map_err(|e| Declined::Here(Text::plain(e.to_string())))?;
                repair_sheet(damage).map_err(|e| Declined::Here(Text::plain(format!("{key}: {e}"))))?;
            } else if let Some(meant) = nearest(key, Damage::KEYS.into_iter().chain(OWN_WORDS)) {
                let en = format!("a repair sheet has no `{key}`; `{meant}`, if that is meant");
                let es = format!("una hoja de reparación no tiene `{key}`; `{meant}`, si se quiso decir eso");
                return Err(Declined::Here(Text::both(&en, &es)));
            }
        }
        Ok(Event::Repaired { step: self.step_id().to_owned(), sheet: said })
    }

    pub(super) fn said_of_repair(&mut self, said: &[(String, String)]) {
        self.mend().said.extend(said.iter().cloned());
    }

    /// A step was done; at a repair its sheet is kept.
    pub(super) fn mended(&mut self, ix: StepIx, sheet: &[(String, String)]) -> Result<(), String> {
        if sheet.is_empty() {
            return Ok(());
        }
        if !self.is_repair(ix) {
            return Err(format!("{} is no repair", self.step_id()));
        }
        self.mend().sheet = sheet.to_vec();
        Ok(())
    }

    fn mend(&mut self) -> &mut Mend {
        let (step, round) = (self.step_id().to_owned(), self.round);
        let at = self.repairs.iter().rposition(|m| m.step == step && m.round == round);
        let at = at.unwrap_or_else(|| {
            self.repairs.push(Mend { step, round, said: Vec::new(), sheet: Vec::new() });
            self.repairs.len() - 1
        });
        &mut self.repairs[at]
    }
}

/// The wire that the finding mends, by its jobs or else by its faults, and what the machine file knows of it.
fn by_machine(machine: Option<&Machine>, find: &Find) -> Option<Damage> {
    let mends = |job: RepairJob| matches!(job, RepairJob::Splice | RepairJob::Rewire | RepairJob::Sleeve);
    let jobs = find.repair.iter().flat_map(|r| &r.jobs);
    let mended: Vec<(RepairJob, &str)> =
        jobs.filter(|(job, _)| mends(*job)).map(|(job, what)| (*job, what.as_str())).collect();
    let (job, name) = *mended.first()?;
    let mut damage = Damage {
        wire: name.to_owned(),
        beside: u8::try_from(mended.len() - 1).unwrap_or(u8::MAX),
        injury: Injury::Cut,
        ..Damage::default()
    };
    let place = find.faults.iter().find_map(|fault| fault.split_once(" at ")).map(|(_, place)| place.trim());
    if let Some(place) = place {
        damage.injury = Injury::RubbedThrough;
        damage.place = Some(place.to_owned());
    } else if find.faults.iter().all(|fault| fault.ends_with(" resistive")) {
        damage.injury = Injury::GreenInside;
    } else if job == RepairJob::Rewire {
        damage.injury = Injury::Unseen;
    }
    let known = machine.and_then(|m| Some((m.parts(), m.parts().elements.get(m.element(name)?.at())?)));
    let Some((parts, element)) = known else { return Some(damage) };
    damage.supply = Some(parts.supply.volts);
    if let Part::Wire(wire) = &element.kind {
        of_wire(&mut damage, wire, place);
        let [from, to] = element.ends.map(|end| parts.end_of_wire(end));
        let zone = element.zone.as_ref().map_or_else(String::new, |zone| format!(", {zone}"));
        damage.route = Some(format!("{from} to {to}, {}{zone}", wire.length));
    }
    Some(damage)
}

fn of_wire(damage: &mut Damage, wire: &Wire, place: Option<&str>) {
    damage.size = Some(wire.size);
    damage.colour.clone_from(&wire.colour);
    damage.length = Some(wire.length);
    let Some(rub) = wire.rubs.iter().find(|rub| Some(rub.name.as_str()) == place) else { return };
    damage.at = Some(PlaceOnWire::by_tape(Metres(rub.along.value()), wire.length));
    damage.rubbed_on = rub.against.as_ref().map(|text| text.en().to_owned());
}
