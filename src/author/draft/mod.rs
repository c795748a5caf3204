//! A whole tree from the machine model: which questions and readings, in which order, behind which gates.
//!
//! Every suspect is put into the machine and every test tried on it ([`shown`], [`parting`]); what each test needs
//! comes from the loader's own word on a rehearsal of all steps ([`rehearsal`]); the planner orders them ([`choose`]);
//! then the order is written out step by step with the gates that the state of the machine asks for ([`compose`]).

mod candidates;
mod choose;
mod compose;
mod parting;
mod proofs;
mod rehearsal;
mod repairs;
mod shown;
mod stations;
mod suspects;
mod trial;
mod ways;
mod words;
mod yaml;

use crate::diag::{FileId, Source, nearest};
use crate::machine::{Day, Machine, load_machine};
use crate::reason::{ProblemError, minutes_as_written, sits_at, step_minutes, zone_minutes};
use crate::safety::Power;
use crate::tree::{FileKind, Shows, examine};

use candidates::Candidates;
use choose::{Candidate, Chosen};
use compose::Composer;
use parting::{Parting, parting};
use rehearsal::{Head, OneMachine, Rehearsal};
use shown::Shown;
use suspects::Tried;
use trial::{Trial, What};
use ways::Ways;

/// What a tree is wanted for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Functions, and what each does.
    pub symptom: Vec<(String, Shows)>,
    /// The tree's name; made from the symptom if there is none.
    pub name: Option<String>,
    /// How the tree names its machine file.
    pub machine: String,
}

/// Why there is no draft.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DraftError {
    /// The machine file could not be read.
    #[error("the machine file is not sound: `loomwalk check` tells what is wrong with it")]
    Machine,
    /// The file is a tree, or holds groups.
    #[error("this is no machine file: a draft is made from the file that says how the machine is wired")]
    NoMachine,
    /// The machine has no such function.
    #[error("there is no function `{name}`{}; the machine has {known}", meant(near.as_deref()))]
    Function {
        /// As asked for.
        name: String,
        /// The one that is probably meant.
        near: Option<String>,
        /// All of them.
        known: String,
    },
    /// Nothing in the symptom is wrong.
    #[error("nothing fails in this symptom: one function at least has to be `fails` or `unheld`")]
    NothingWrong,
    /// No modelled fault shows it.
    #[error("no fault of the machine file shows this symptom")]
    NoSuspects,
    /// The tests cannot be ordered.
    #[error("the tests cannot be put in order: {0}")]
    Plan(#[from] ProblemError),
}

fn meant(near: Option<&str>) -> String {
    near.map_or(String::new(), |near| format!(" (`{near}`, if that is meant)"))
}

/// Writes a whole tree for a symptom of a machine.
///
/// # Errors
/// See [`DraftError`]: a machine file that cannot be used, or a symptom that nothing shows.
pub fn draft(source: &Source, wanted: &Wanted) -> Result<String, DraftError> {
    if super::kind_of(&source.text) != FileKind::Machine {
        return Err(DraftError::NoMachine);
    }
    let machine = load_machine(&source.text, FileId(0)).machine.ok_or(DraftError::Machine)?;
    check_symptom(&machine, &wanted.symptom)?;
    let days = shown::days(&machine);
    let tried = Tried::of(&days, &wanted.symptom);
    let suspects = &tried.suspects;
    if suspects.list.is_empty() {
        return Err(DraftError::NoSuspects);
    }
    let head = head(&machine, wanted);
    let power = volts_power(&machine, head.proved());
    let tests = Candidates {
        machine: &machine,
        suspects,
        symptom: &head.symptom,
        setup: head.setup.clone(),
        held: head.held(&machine),
        power,
    };
    let drafter = Drafter { source, machine: &machine, days: &days, tried: &tried, head: &head };
    let mut trials = tests.all();
    if trials.iter().any(|trial| !trial.leads.is_empty()) {
        // Only what the order reads is worth a lead; with these alone it is ordered again.
        let used = drafter.planned(&trials, FEW_LEADS, leads_used)?;
        trials.retain(|trial| trial.leads.iter().all(|lead| used.contains(lead)));
    }
    let leads = rehearsal::leads(&trials).len();
    let text = drafter.planned(&trials, leads, |planned| {
        let order = (&planned.candidates[..], &planned.chosen, &planned.repairs[..]);
        Composer::new(planned.ways, (&head, wanted), suspects, order).text()
    })?;
    Ok(with_minutes(&text, source))
}

/// Leads that are counted as put on before it is known which are wanted.
const FEW_LEADS: usize = 5;

/// The draft with the minutes that its order takes, in the count of `check --faults`.
fn with_minutes(text: &str, source: &Source) -> String {
    let course = examine(&Source::new("draft.yaml", text), &OneMachine(source)).course;
    let Some(minutes) = course.as_ref().and_then(minutes_as_written) else { return text.to_owned() };
    let said = format!("# {:.0} min expected from the call to the finding.\nloomwalk: 1\n", minutes.value());
    text.replacen("loomwalk: 1\n", &said, 1)
}

/// The machine with everything that the symptom leaves suspect.
struct Drafter<'t, 'd, 'm> {
    source: &'t Source,
    machine: &'m Machine,
    days: &'t [Day<'m>; 3],
    tried: &'t Tried<'d, 'm>,
    head: &'t Head,
}

/// Tests in an order.
struct Planned<'p> {
    ways: &'p Ways<'p>,
    candidates: Vec<Candidate<'p>>,
    chosen: Chosen,
    repairs: Vec<usize>,
}

/// What leads have to be on for, in this order.
fn leads_used(planned: &Planned<'_>) -> Vec<String> {
    let tests = choose::used(&planned.chosen.plan.order).into_iter().map(|test| planned.chosen.tests[test]);
    tests.flat_map(|at| planned.candidates[at].trial.leads.clone()).collect()
}

impl Drafter<'_, '_, '_> {
    /// Tries the trials on every suspect, rehearses them, orders them, and hands the order over.
    fn planned<R>(
        &self,
        trials: &[Trial],
        leads: usize,
        then: impl FnOnce(&Planned<'_>) -> R,
    ) -> Result<R, DraftError> {
        let suspects = &self.tried.suspects;
        let shown = without_held(trials, shown::shown(self.days, self.tried, trials, &self.head.setup));
        let parted = |shown: &Option<Shown>| shown.as_ref().and_then(|shown| parting(shown, suspects));
        let partings: Vec<Option<Parting>> = shown.iter().map(parted).collect();
        let rehearsal = Rehearsal::new(self.head, self.machine, (trials, leads, suspects), self.source)?;
        let ways = Ways::new(&rehearsal, self.machine);
        let telling = Telling { days: self.days, tried: self.tried, head: self.head };
        let candidates = telling.candidates(&ways, trials, &partings);
        let repairs = choose::repairs(&ways, suspects);
        let hypotheses = self.tried.hypotheses(self.head);
        let chosen = choose::choose(&ways, (suspects, hypotheses), &candidates, &repairs)?;
        Ok(then(&Planned { ways: &ways, candidates, chosen, repairs }))
    }
}

/// A reading that nobody holds anything for counts only if it shows the same as with everything held: the tree's setup
/// stands behind every step.
fn without_held(trials: &[Trial], shown: Vec<Option<Shown>>) -> Vec<Option<Shown>> {
    let keeps = |at: usize| {
        let held = trials.iter().position(|other| trials[at].is_freer_than(other));
        held.is_none_or(|held| match (&shown[at], &shown[held]) {
            (Some(free), Some(held)) => shown::is_alike(free, held),
            _ => false,
        })
    };
    let kept: Vec<bool> = (0..trials.len()).map(keeps).collect();
    shown.into_iter().zip(kept).map(|(shown, keep)| shown.filter(|_| keep)).collect()
}

fn check_symptom(machine: &Machine, symptom: &[(String, Shows)]) -> Result<(), DraftError> {
    let functions = &machine.parts().functions;
    if let Some((name, _)) = symptom.iter().find(|(name, _)| machine.function(name).is_none()) {
        let known = functions.iter().map(|f| f.name.as_str()).collect::<Vec<_>>().join(", ");
        let near = nearest(name, functions.iter().map(|f| f.name.as_str())).map(str::to_owned);
        return Err(DraftError::Function { name: name.clone(), near, known });
    }
    let wrong = symptom.iter().any(|(_, shows)| *shows != Shows::Works);
    if wrong { Ok(()) } else { Err(DraftError::NothingWrong) }
}

fn head(machine: &Machine, wanted: &Wanted) -> Head {
    let mut head =
        Head { machine: wanted.machine.clone(), symptom: wanted.symptom.clone(), setup: Vec::new() };
    let parts = machine.parts();
    if let Some(function) = words::function_named(machine, head.proved()) {
        let said = function.with.iter().map(|(control, state)| {
            let control = &parts.controls[control.at()];
            (control.name.clone(), control.states[*state].clone())
        });
        head.setup = said.collect();
    }
    head
}

/// Volts are read with the key on and the engine stopped, or with the key out if the function works so.
fn volts_power(machine: &Machine, name: &str) -> Power {
    match words::function_named(machine, name).map(|f| f.power) {
        Some(Power::Off) => Power::Off,
        _ => Power::Live,
    }
}

/// What tests tell of the suspects.
struct Telling<'t, 'd, 'm> {
    days: &'t [Day<'m>; 3],
    tried: &'t Tried<'d, 'm>,
    head: &'t Head,
}

impl Telling<'_, '_, '_> {
    /// The trials that part the suspects, with their minutes.
    fn candidates<'c>(
        &self,
        ways: &Ways<'_>,
        trials: &'c [Trial],
        partings: &'c [Option<Parting>],
    ) -> Vec<Candidate<'c>> {
        let mut all = Vec::new();
        for (at, trial) in trials.iter().enumerate() {
            let parting = partings[at].as_ref();
            let outcomes = match parting {
                Some(parting) => Some(parting.class.clone()),
                None if trial.is_reading() => None,
                None => self.told(trial),
            };
            let (Some(mut outcomes), Some(ix)) = (outcomes, ways.rehearsal.trial(at)) else { continue };
            outcomes.truncate(self.tried.hypotheses(self.head));
            if outcomes.iter().all(|outcome| *outcome == outcomes[0]) {
                continue;
            }
            let vocabulary = ways.rehearsal.vocabulary();
            let step = ways.rehearsal.course.tree().step(ix);
            let own = step_minutes(step, vocabulary, Some(ways.machine)).value();
            let zones = ways.rehearsal.zones(ix);
            let there = zones.iter().map(|zone| zone_minutes(Some(zone), vocabulary).value()).sum::<f64>();
            all.push(Candidate { at, trial, minutes: own + there, outcomes, parting });
        }
        all
    }

    /// The answer that each suspect gives to a question or a look, the healthy machine's last; none where the battery
    /// decides it.
    fn told(&self, trial: &Trial) -> Option<Vec<usize>> {
        let machine = self.days[0].machine();
        if let What::Look(place) | What::Sight(place) = &trial.what {
            let seen = |fault| usize::from(sits_at(machine, fault, place));
            return Some(self.tried.suspects.list.iter().map(|s| seen(s.fault)).chain([0]).collect());
        }
        let mut answers: Vec<Option<usize>> = vec![None; self.tried.suspects.list.len() + 1];
        for (battery, day) in self.days.iter().enumerate() {
            let rig = day.rig(&self.asked_setup(machine)?);
            let cases = &self.tried.cases[battery];
            let shows = self.tried.suspects.list.iter().map(|suspect| suspect.shows[battery]).chain([true]);
            for ((shows, case), answer) in shows.zip(cases).zip(&mut answers) {
                if !shows {
                    continue;
                }
                let now = match &trial.what {
                    What::Function(name) => case.function(machine.function(name)?).works,
                    What::Code(spn, fmi) => {
                        let name = crate::machine::CodeName::Spn { spn: *spn, fmi: *fmi };
                        case.settle(&rig).codes().iter().any(|(_, code)| code.name == name)
                    }
                    _ => return None,
                };
                if *answer.get_or_insert(usize::from(!now)) != usize::from(!now) {
                    return None;
                }
            }
        }
        Some(answers.into_iter().map(|answer| answer.unwrap_or(1)).collect())
    }

    fn asked_setup(&self, machine: &Machine) -> Option<crate::machine::Setup> {
        let pairs: Vec<(&str, &str)> =
            self.head.setup.iter().map(|(c, s)| (c.as_str(), s.as_str())).collect();
        machine.setup(&pairs, None).ok()
    }
}
