//! Every step that a draft could have, once, as a tree of its own: what each does and needs is then the word of the
//! same loader, deeds and rules that the finished tree is held against.
//!
//! Each test stands behind the gates that put its power in force, so that what its setup would move is found too.

use std::fmt::Write as _;

use crate::diag::{Source, SourceError, Sources};
use crate::machine::{FaultId, Machine};
use crate::safety::{Deed, Demand, Place, Power, State, Vocabulary, Zone, changes};
use crate::tree::{Course, Examined, Shows, StepIx, examine};

use super::DraftError;
use super::proofs::held_states;
use super::repairs::repair_of_fault;
use super::suspects::Suspects;
use super::trial::Trial;
use super::words;
use super::yaml;

/// The machine's text, by whatever name it is asked for.
pub(super) struct OneMachine<'s>(pub(super) &'s Source);

impl Sources for OneMachine<'_> {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Ok(self.0.clone())
    }
}

/// The head that rehearsal and draft share.
pub(super) struct Head {
    pub(super) machine: String,
    pub(super) symptom: Vec<(String, Shows)>,
    pub(super) setup: Vec<(String, String)>,
}

impl Head {
    pub(super) fn symptom_line(&self) -> String {
        let word = |shows: &Shows| match shows {
            Shows::Works => "works",
            Shows::Fails => "fails",
            Shows::Unheld => "unheld",
        };
        let pairs: Vec<(String, String)> =
            self.symptom.iter().map(|(name, shows)| (name.clone(), word(shows).to_owned())).collect();
        format!("symptom: {}", yaml::pairs(&pairs))
    }

    /// The states that must hold the functions which are not held.
    pub(super) fn held(&self, machine: &Machine) -> Vec<Vec<(String, String)>> {
        let unheld = self.symptom.iter().filter(|(_, shows)| *shows == Shows::Unheld);
        let functions = unheld.filter_map(|(name, _)| words::function_named(machine, name));
        functions.flat_map(|function| held_states(machine, function, &self.setup)).collect()
    }

    /// The function that the proofs watch: the first that does not do as it should.
    pub(super) fn proved(&self) -> &str {
        let wrong = self.symptom.iter().find(|(_, shows)| *shows != Shows::Works);
        wrong.or(self.symptom.first()).map_or("", |(name, _)| name)
    }
}

/// The rehearsed steps.
pub(super) struct Rehearsal {
    pub(super) course: Course,
    /// What leads and the clamp are put on, all at once.
    pub(super) leads: Vec<String>,
}

impl Rehearsal {
    pub(super) fn new(
        head: &Head,
        machine: &Machine,
        (trials, leads_put_on, suspects): (&[Trial], usize, &Suspects),
        source: &Source,
    ) -> Result<Self, DraftError> {
        let text = Script { head, machine, trials, leads_put_on, suspects }.text();
        let examined: Examined = examine(&Source::new("rehearsal.yaml", text), &OneMachine(source));
        let course = examined.course.ok_or(DraftError::Machine)?;
        Ok(Self { course, leads: leads(trials) })
    }

    pub(super) fn vocabulary(&self) -> &Vocabulary {
        self.course.vocabulary()
    }

    pub(super) fn step(&self, id: &str) -> Option<StepIx> {
        self.course.tree().find(id)
    }

    pub(super) fn trial(&self, at: usize) -> Option<StepIx> {
        self.step(&format!("t{at}"))
    }

    /// The step at which a question is asked at the machine.
    pub(super) fn asked_there(&self, at: usize) -> Option<StepIx> {
        self.step(&format!("w{at}"))
    }

    /// What must be in force at a step; where nobody gives it a zone, it is done outside.
    pub(super) fn demands(&self, ix: StepIx) -> Vec<Demand> {
        self.deeds(ix).iter().flat_map(|deed| crate::safety::demands(deed, self.vocabulary())).collect()
    }

    pub(super) fn deeds(&self, ix: StepIx) -> Vec<Deed> {
        let outside = |deed: &Deed| match deed {
            Deed::BeIn(Place::Unsaid) => Deed::BeIn(Place::In(Zone::Outside)),
            _ => deed.clone(),
        };
        self.course.deeds(ix).iter().map(outside).collect()
    }

    /// True if nobody says where the body is at a step.
    pub(super) fn lacks_zone(&self, ix: StepIx) -> bool {
        self.course.deeds(ix).iter().any(|deed| matches!(deed, Deed::BeIn(Place::Unsaid)))
    }

    /// The zones that a step is done in, by their names.
    pub(super) fn zones(&self, ix: StepIx) -> Vec<String> {
        let zone = |deed: &Deed| match deed {
            Deed::BeIn(Place::In(zone)) => Some(zone.name(self.vocabulary()).to_owned()),
            _ => None,
        };
        self.deeds(ix).iter().filter_map(zone).collect()
    }

    /// What is known after a step was done.
    pub(super) fn after(&self, state: &State, ix: StepIx) -> State {
        let mut next = state.clone();
        for deed in self.deeds(ix) {
            next.apply_all(&changes(&deed, self.vocabulary()), self.vocabulary());
        }
        next
    }
}

/// The text of the rehearsal.
struct Script<'r> {
    head: &'r Head,
    machine: &'r Machine,
    trials: &'r [Trial],
    /// How many leads are counted as put on.
    leads_put_on: usize,
    suspects: &'r Suspects,
}

impl Script<'_> {
    fn text(&self) -> String {
        let head = self.head;
        let mut out = String::from("loomwalk: 1\ntree: rehearsal\ntitle: rehearsal\n");
        let _ = writeln!(out, "machine: {}", yaml::word(&head.machine));
        let _ = writeln!(out, "{}\nsetup: {}", head.symptom_line(), yaml::pairs(&head.setup));
        out += "start: which\nsteps:\n";
        let powers = [None, Some(Power::Isolated), Some(Power::Off), Some(Power::Live), Some(Power::Running)];
        let groups = powers.map(words::power);
        let answers: Vec<String> =
            groups.iter().map(|group| format!("{group}: {{text: {group}, go: at-{group}}}")).collect();
        let _ = writeln!(
            out,
            "  which: {{ask: which, answers: {{{}, acts: {{text: acts, go: acts}}}}}}",
            answers.join(", ")
        );
        for (power, group) in powers.iter().zip(groups) {
            self.group(*power, group, &mut out);
        }
        self.acts(&mut out);
        self.finds(&mut out);
        self.proofs(&mut out);
        out += "  done: {close: repaired}\n  early: {close: not-reproduced}\n  end: {refer: end}\n";
        out
    }

    fn group(&self, power: Option<Power>, group: &str, out: &mut String) {
        let gates = match power {
            None | Some(Power::Isolated) => "park, lower-arms, lower-cab, lockout",
            Some(Power::Off) => "park, lower-arms, lower-cab",
            Some(Power::Live) => "park, lower-arms, lower-cab, live-test",
            Some(Power::Running) => "park, lower-arms, lower-cab, put-back, release-lockout, run-up",
        };
        let own: Vec<(usize, &Trial)> =
            self.trials.iter().enumerate().filter(|(_, t)| t.power == power).collect();
        let there: Vec<(usize, Vec<String>)> =
            own.iter().filter_map(|(at, trial)| Some((*at, trial.lines_there(self.machine)?))).collect();
        let mut answers: Vec<String> =
            own.iter().map(|(at, _)| format!("a{at}: {{text: a{at}, go: t{at}}}")).collect();
        answers.extend(there.iter().map(|(at, _)| format!("b{at}: {{text: b{at}, go: w{at}}}")));
        let more = format!("none: {{text: none, go: end}}{}", if answers.is_empty() { "" } else { ", " });
        let _ = writeln!(out, "  at-{group}: {{gates: [{gates}], go: of-{group}}}");
        let _ = writeln!(out, "  of-{group}: {{ask: of, answers: {{{more}{}}}}}", answers.join(", "));
        for (at, trial) in own {
            let _ = writeln!(out, "  t{at}:");
            for line in trial.lines(self.machine, None) {
                let _ = writeln!(out, "    {line}");
            }
            let _ = writeln!(out, "    {}", ways(trial));
        }
        for (at, lines) in there {
            let _ = writeln!(out, "  w{at}:");
            for line in lines {
                let _ = writeln!(out, "    {line}");
            }
            let _ = writeln!(out, "    {}", ways(&self.trials[at]));
        }
    }

    fn acts(&self, out: &mut String) {
        let parts = self.machine.parts();
        let mut names = Vec::new();
        for connector in &parts.connectors {
            let name = inner(&connector.name);
            for (id, key) in [("unplug", "unplugs"), ("plug", "plugs")] {
                names.push(format!("{id}-{}", yaml::slug(&connector.name)));
                let _ =
                    writeln!(out, "  {}: {{do: it, {key}: {name}, go: end}}", names.last().map_or("", |n| n));
            }
        }
        for control in parts.controls.iter().filter(|c| c.reach == crate::machine::Reach::SeatOrTied) {
            let name = inner(&control.name);
            for (id, key) in [("tie", "ties"), ("untie", "unties")] {
                names.push(format!("{id}-{}", yaml::slug(&control.name)));
                let _ = writeln!(
                    out,
                    "  {}: {{do: it, {key}: {name}, zone: seat, go: end}}",
                    names.last().map_or("", |n| n)
                );
            }
        }
        let points = leads(self.trials);
        if !points.is_empty() {
            let points = yaml::list(points.iter().map(String::as_str));
            let minutes = leads_minutes(self.leads_put_on);
            for (id, key) in [("fit-leads", "fits"), ("unfit-leads", "unfits")] {
                names.push(id.to_owned());
                let _ = writeln!(
                    out,
                    "  {id}: {{do: it, {key}: {points}, zone: engine-bay, minutes: {minutes}, go: end}}"
                );
            }
        }
        let answers: Vec<String> =
            names.iter().map(|name| format!("a-{name}: {{text: a, go: {name}}}")).collect();
        let _ = writeln!(
            out,
            "  acts: {{ask: acts, answers: {{finds: {{text: finds, go: finds}}, early: {{text: early, go: early}}, {}}}}}",
            answers.join(", ")
        );
    }

    fn finds(&self, out: &mut String) {
        let all: Vec<usize> = (0..self.suspects.list.len()).collect();
        let faults: Vec<FaultId> = self.suspects.faults(&all);
        let answers: Vec<String> =
            (0..faults.len()).map(|at| format!("a{at}: {{text: a, go: f{at}}}")).collect();
        let _ = writeln!(out, "  finds: {{ask: finds, answers: {{{}}}}}", answers.join(", "));
        let first = format!("proof-{}", 0);
        for (at, fault) in faults.iter().enumerate() {
            let name = yaml::list([self.machine.fault(*fault).name.as_str()]);
            let repair = repair_of_fault(self.machine, *fault).yaml();
            let _ = writeln!(out, "  f{at}: {{find: {name}, cause: it, repair: {repair}, go: r{at}}}");
            let _ = writeln!(out, "  r{at}: {{do: repair, go: {first}}}");
        }
    }

    fn proofs(&self, out: &mut String) {
        let proofs = super::proofs::proofs(self.machine, self.head);
        for (at, proof) in proofs.iter().enumerate() {
            let next = if at + 1 < proofs.len() { format!("proof-{}", at + 1) } else { "done".to_owned() };
            let _ = writeln!(out, "  proof-{at}:");
            for line in proof.lines(&next, "end") {
                let _ = writeln!(out, "    {line}");
            }
        }
    }
}

/// Minutes to put leads on and lead them to the seat: three, and one for each (our choice, no source).
pub(super) fn leads_minutes(count: usize) -> usize {
    3 + count
}

/// All that leads and the clamp have to be on for some reading, each once.
pub(super) fn leads(trials: &[Trial]) -> Vec<String> {
    let mut all: Vec<String> = trials.iter().flat_map(|trial| trial.leads.iter().cloned()).collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn inner(name: &str) -> String {
    yaml::inner(name)
}

/// Somewhere for every answer or band to go.
fn ways(trial: &Trial) -> String {
    if trial.is_phone() {
        let (yes, no) = trial.means();
        return format!(
            "answers: {{a: {{text: a, means: {yes}, go: end}}, b: {{text: b, means: {no}, go: early}}}}"
        );
    }
    if trial.is_reading() {
        let edge = match trial.what {
            super::trial::What::Ohms(..) => "1 ohm",
            super::trial::What::Amps(_) => "1 A",
            _ => "1 V",
        };
        return format!("bands: [{{below: {edge}, go: end}}, {{above: {edge}, go: end}}]");
    }
    "answers: {a: {text: a, go: end}, b: {text: b, go: early}}".to_owned()
}
