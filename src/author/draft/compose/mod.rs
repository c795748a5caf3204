//! The order written out: questions, tests behind their gates, findings, repairs, proofs, ends.
//!
//! The state of the machine is carried along every path, and each step is reached through just the gates that it needs
//! from there. What follows a repair is written once for every state that it can start from.

mod bands;
mod ends;
mod file;

use std::collections::{HashMap, HashSet};

use crate::reason::{Order, Stand};
use crate::safety::State;

use super::Wanted;
use super::choose::{Candidate, Chosen};
use super::rehearsal::{Head, leads_minutes};
use super::stations::needs_of;
use super::suspects::Suspects;
use super::ways::{Move, Path, Ways};
use super::words;
use super::yaml;
use bands::Out;

/// Writes steps as it goes; the last one written stands first.
pub(super) struct Composer<'c> {
    ways: &'c Ways<'c>,
    head: &'c Head,
    wanted: &'c Wanted,
    suspects: &'c Suspects,
    candidates: &'c [Candidate<'c>],
    chosen: &'c Chosen,
    /// For each suspect the number of its repair.
    repairs: &'c [usize],
    steps: Vec<Written>,
    ids: HashSet<String>,
    /// What was written already for a state: by what it is and the state.
    known: HashMap<(String, State), String>,
    /// Finds that only a weak or strong battery leads to; each has a name that stands for the find it will be.
    later: Vec<(Vec<usize>, State)>,
}

/// One step as it will stand in the file.
struct Written {
    id: String,
    comment: Vec<String>,
    lines: Vec<String>,
    /// What sets it apart from a step that says the same: what a repair needs.
    apart: String,
}

/// Where a path through the draft has come to.
struct Here<'h> {
    state: State,
    /// The suspects left.
    live: &'h [usize],
}

impl<'c> Composer<'c> {
    pub(super) fn new(
        ways: &'c Ways<'c>,
        (head, wanted): (&'c Head, &'c Wanted),
        suspects: &'c Suspects,
        (candidates, chosen, repairs): (&'c [Candidate<'c>], &'c Chosen, &'c [usize]),
    ) -> Self {
        Self {
            ways,
            head,
            wanted,
            suspects,
            candidates,
            chosen,
            repairs,
            steps: Vec::new(),
            ids: HashSet::new(),
            known: HashMap::new(),
            later: Vec::new(),
        }
    }

    /// The whole file.
    pub(super) fn text(mut self) -> String {
        let start_state = State::at_start(self.ways.rehearsal.vocabulary());
        let all: Vec<usize> = (0..self.suspects.list.len()).collect();
        let order = self.chosen.plan.order.clone();
        let root = self.order(&order, &Here { state: start_state, live: &all });
        self.settle_later();
        let start = self.opening(&root);
        self.file(&start, &root)
    }

    // ------------------------------------------------------------------ the order

    fn order(&mut self, order: &Order, here: &Here<'_>) -> String {
        match order {
            Order::Stop(left) => self.find(left, &here.state),
            Order::Test { test, stand, branches } => self.test((*test, *stand), branches, here),
        }
    }

    fn test(
        &mut self,
        (test, stand): (usize, Stand),
        branches: &[(usize, Order)],
        here: &Here<'_>,
    ) -> String {
        let candidate = &self.candidates[self.chosen.tests[test]];
        let path = self.path_to(candidate, stand, &here.state);
        let Some(ix) = self.ways.rehearsal.trial(candidate.at) else { return self.all_good(&here.state) };
        let after = self.ways.rehearsal.after(&path.state, ix);
        let mut ways: Vec<Out> = Vec::new();
        for (outcome, next) in branches {
            let live: Vec<usize> =
                here.live.iter().copied().filter(|at| candidate.outcomes[*at] == *outcome).collect();
            let go = match next {
                Order::Stop(left) => self.find(&self.with_same_repair(left, branches), &after),
                Order::Test { .. } => self.order(next, &Here { state: after.clone(), live: &live }),
            };
            ways.push((*outcome, live, go));
        }
        let id = self.fresh(&candidate.trial.id());
        let mut lines = self.test_lines(candidate, &mut ways, &after);
        if !candidate.trial.is_phone() && self.ways.rehearsal.lacks_zone(ix) {
            lines.insert(1, "zone: outside".to_owned());
        }
        if candidate.trial.is_phone()
            && let Some(there) = self.asked_there(candidate, &ways, &here.state)
        {
            lines.push(format!("cannot: {there}"));
        }
        let comment = self.why(candidate, &path, &ways, here);
        self.steps.push(Written { id: id.clone(), comment, lines, apart: String::new() });
        self.lead(&path, id)
    }

    /// What one branch ends with, and what others beside it end with that the same repair puts right.
    fn with_same_repair(&self, left: &[usize], branches: &[(usize, Order)]) -> Vec<usize> {
        let repairs = |all: &[usize]| {
            let mut repairs: Vec<Option<usize>> =
                all.iter().map(|at| self.repairs.get(*at).copied()).collect();
            repairs.sort_unstable();
            repairs.dedup();
            repairs
        };
        let own = repairs(left);
        let stops = branches.iter().filter_map(|(_, next)| match next {
            Order::Stop(other) if repairs(other) == own => Some(other),
            _ => None,
        });
        stops.flatten().copied().collect()
    }

    /// From here to where the planner has the test done, and to all that the test needs.
    fn path_to(&self, candidate: &Candidate<'_>, stand: Stand, state: &State) -> Path {
        let still = || Path { moves: Vec::new(), minutes: 0.0, state: state.clone() };
        if candidate.trial.is_phone() {
            return still();
        }
        let needs = needs_of(self.ways, candidate.at, candidate.trial);
        let mut station = self.chosen.stations.needs(stand.state).clone();
        station.demands.extend(needs.demands.iter().cloned());
        station.tieable.clone_from(&needs.tieable);
        self.ways.to(state, &station).or_else(|| self.ways.to(state, &needs)).unwrap_or_else(still)
    }

    /// Writes what is on the way to a step; the id of the first of it.
    fn lead(&mut self, path: &Path, to: String) -> String {
        let mut next = to;
        for one in path.moves.iter().rev() {
            next = self.moved(one, &next);
        }
        next
    }

    fn moved(&mut self, one: &Move, next: &str) -> String {
        match one {
            Move::Gates(gates) => {
                let vocabulary = self.ways.rehearsal.vocabulary();
                let names: Vec<&str> = gates.iter().map(|gate| gate.name(vocabulary)).collect();
                let lines = vec![format!("gates: {}", yaml::list(names)), format!("go: {next}")];
                self.write(&format!("to-{next}"), lines)
            }
            Move::Act(ix) => {
                let rehearsed = self.ways.rehearsal.course.tree().step(*ix).id.clone();
                let mut lines = self.act_lines(&rehearsed, next);
                if self.ways.rehearsal.lacks_zone(*ix) {
                    lines.insert(1, "zone: outside".to_owned());
                }
                self.write(&rehearsed, lines)
            }
        }
    }

    /// The lines of an action by its rehearsed name: `unplug-x14`, `tie-bar`.
    fn act_lines(&self, rehearsed: &str, next: &str) -> Vec<String> {
        let machine = self.ways.machine;
        let parts = machine.parts();
        let (what, slug) = rehearsed.split_once('-').unwrap_or((rehearsed, ""));
        let plug = parts.connectors.iter().map(|c| c.name.as_str()).find(|name| yaml::slug(name) == slug);
        let control = parts.controls.iter().map(|c| c.name.as_str()).find(|name| yaml::slug(name) == slug);
        let name = match what {
            "plug" | "unplug" => plug,
            _ => control,
        }
        .unwrap_or(slug);
        let mut lines = match what {
            "unplug" => vec![
                format!("do: Unplug {name}."),
                format!("unplugs: {}", yaml::word(name)),
                format!("text: {}", yaml::quoted(&words::plug_text(machine, name))),
            ],
            "plug" => vec![
                format!("do: Plug {name} together."),
                format!("plugs: {}", yaml::word(name)),
                format!("text: {}", yaml::quoted(words::together_text())),
            ],
            "fit" | "unfit" => self.leads_lines(what),
            "tie" => vec![
                format!(
                    "do: {}",
                    yaml::quoted(&format!(
                        "Tie the {}, {}.",
                        words::control(machine, name),
                        self.tied_state(name)
                    ))
                ),
                format!("ties: {}", yaml::word(name)),
                "zone: seat".to_owned(),
                format!("text: {}", yaml::quoted("Hang a tag on the key: TIED.")),
            ],
            _ => vec![
                format!(
                    "do: {}",
                    yaml::quoted(&format!("Take the tie off the {}.", words::control(machine, name)))
                ),
                format!("unties: {}", yaml::word(name)),
                "zone: seat".to_owned(),
                format!("text: {}", yaml::quoted("Tie and tag go into the van.")),
            ],
        };
        lines.push(format!("go: {next}"));
        lines
    }

    /// All leads put on at once, or taken off.
    fn leads_lines(&self, what: &str) -> Vec<String> {
        let leads = &self.ways.rehearsal.leads;
        let points = yaml::list(leads.iter().map(String::as_str));
        let (action, key, text) = words::leads(what, leads.len());
        vec![
            format!("do: {}", yaml::quoted(&action)),
            format!("{key}: {points}"),
            "zone: engine-bay".to_owned(),
            format!("text: {}", yaml::quoted(text)),
            format!("minutes: {}", leads_minutes(leads.len())),
        ]
    }

    fn tied_state(&self, control: &str) -> String {
        let state = self.head.setup.iter().find(|(own, _)| own == control).map(|(_, state)| state.as_str());
        state.unwrap_or("as it should be").to_owned()
    }

    /// Writes a step that has no comment of its own; one that says the same and leads to the same is the same step.
    fn write(&mut self, wanted: &str, lines: Vec<String>) -> String {
        self.write_apart(wanted, lines, String::new())
    }

    fn write_apart(&mut self, wanted: &str, lines: Vec<String>, apart: String) -> String {
        let same = |step: &&Written| step.comment.is_empty() && step.lines == lines && step.apart == apart;
        if let Some(same) = self.steps.iter().find(same) {
            return same.id.clone();
        }
        let id = self.fresh(wanted);
        self.steps.push(Written { id: id.clone(), comment: Vec::new(), lines, apart });
        id
    }

    fn fresh(&mut self, wanted: &str) -> String {
        let base: String = wanted.chars().take(58).collect();
        let mut id = base.clone();
        let mut count = 1;
        while !self.ids.insert(id.clone()) {
            count += 1;
            id = format!("{base}-{count}");
        }
        id
    }
}
