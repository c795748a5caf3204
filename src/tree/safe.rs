//! The safety check of a tree, told to its author: each danger once, with the shortest path that shows it.

use std::collections::{BTreeSet, HashSet};
use std::fmt::Write as _;

use crate::diag::{Problem, Problems, Weight};
use crate::safety::{Facet, FacetKind, NamedKind, SafetyRule, Vocabulary};

use super::course::Course;
use super::danger::{DangerPath, Hop, Lost};
use super::flow::{EdgeKind, Flow, FlowGraph, Violation};
use super::model::{Kind, Step, StepIx};

/// Dangers told with their path; beyond that a tree is refused all the same, and the first ones are mended first.
const MOST_TOLD: usize = 60;

/// Further steps named in one problem.
const MOST_ALSO: usize = 5;

/// Runs the data-flow over a course and tells every danger.
pub(super) fn check_safety(course: &Course, problems: &mut Problems) {
    if !course.tree().begins {
        return;
    }
    let graph = course.flow_graph();
    let flow = match Flow::over(&graph, course.vocabulary()) {
        Ok(flow) => flow,
        Err(fault) => {
            let place = course.tree().step(course.tree().start).place.clone();
            problems.refuse("too-many-names", place).says(
                fault.to_string(),
                "The safety check could not be done, so nothing is walked.",
                "several smaller trees",
            );
            return;
        }
    };
    // A step that only relies on what was missing before is not told again, unless a body is in danger there.
    let mut told: BTreeSet<usize> = flow.roots().into_iter().collect();
    let of_place = flow.violations().iter().enumerate().filter(|(_, v)| v.demand.rule.is_of_place());
    told.extend(of_place.map(|(number, _)| number));
    for group in flow.dangers_among(told, MOST_TOLD) {
        let Some(first) = group.violations.first().and_then(|n| flow.violations().get(*n)) else { continue };
        if is_told_elsewhere(course, &graph, first.demand.rule, group.danger.paths.first()) {
            continue;
        }
        let mut told = problem(course, first, group.danger.paths.first());
        let also: Vec<&str> = group.violations[1..]
            .iter()
            .filter_map(|n| flow.violations().get(*n))
            .map(|v| course.tree().steps[v.node].id.as_str())
            .filter(|id| *id != course.tree().steps[first.node].id)
            .collect();
        if !also.is_empty() {
            told.wrong.push_str(" So too at ");
            told.wrong.push_str(&also[..also.len().min(MOST_ALSO)].join(", "));
            if also.len() > MOST_ALSO {
                let _ = write!(told.wrong, " and {} more", also.len() - MOST_ALSO);
            }
            told.wrong.push('.');
        }
        problems.push(told);
    }
}

/// Whether a rule of `check` refuses the tree for the same slip, at the key where it was made.
fn is_told_elsewhere(
    course: &Course,
    graph: &FlowGraph<'_>,
    rule: SafetyRule,
    path: Option<&DangerPath>,
) -> bool {
    let hops = path.map_or(&[][..], |path| path.hops.as_slice());
    let steps = || hops.iter().filter_map(|hop| course.tree().steps.get(hop.node));
    let gate_unknown = |step: &Step| {
        matches!(&step.kind, Kind::Gate(_))
            && course.tree().find(&step.id).is_some_and(|ix| course.deeds(ix).is_empty())
    };
    match rule {
        SafetyRule::PhoneHandsOn | SafetyRule::FeedCurrentInLine => true,
        // `repair-without-find`
        SafetyRule::CloseNotFound
            if steps().any(|s| matches!(&s.kind, Kind::Do(d) if d.action.is_none())) =>
        {
            true
        }
        // `answer-means`, or a band that could not be read
        SafetyRule::CloseNotProved if steps().any(|s| s.flawed) => true,
        _ => steps().any(gate_unknown) || goes_round(hops, graph),
    }
}

/// Whether the path comes to a step twice without another round: that is a `cycle`.
fn goes_round(hops: &[Hop], graph: &FlowGraph<'_>) -> bool {
    let mut seen = HashSet::new();
    for hop in hops {
        if hop.edge.is_some_and(|edge| graph.edges[edge].kind == EdgeKind::Again) {
            seen.clear();
        }
        if !seen.insert(hop.node) {
            return true;
        }
    }
    false
}

fn problem(course: &Course, violation: &Violation, path: Option<&DangerPath>) -> Problem {
    let tree = course.tree();
    let step = &tree.steps[violation.node];
    let rule = violation.demand.rule;
    Problem {
        rule: rule.name(),
        weight: Weight::Refused,
        place: step.place.as_key(),
        wrong: format!("{}: {}", step.id, rule.wrong()),
        at_machine: rule.at_machine().to_owned(),
        write: rule.write().to_owned(),
        path: path.map_or_else(Vec::new, |path| told_path(course, path)),
    }
}

/// The steps of a path, each with what was lost there; the last with what is missing.
fn told_path(course: &Course, path: &DangerPath) -> Vec<(String, String)> {
    let vocabulary = course.vocabulary();
    let mut told: Vec<(String, String)> = path
        .hops
        .iter()
        .map(|hop| {
            let ix = StepIx(u32::try_from(hop.node).unwrap_or(u32::MAX));
            (course.tree().step(ix).id.clone(), String::new())
        })
        .collect();
    for loss in &path.losses {
        let now = is_now(vocabulary, loss.missing.facet, loss.missing.can_be);
        let (at, what) = match loss.lost {
            Lost::NeverInForce
                if vocabulary.kind(loss.missing.facet) == FacetKind::Named(NamedKind::Shown) =>
            {
                (told.len() - 1, "no step on the way shows it".to_owned())
            }
            Lost::NeverInForce => (told.len() - 1, format!("{now}: never put in force on the way")),
            Lost::By(hop) if loss.missing.facet == Facet::TOUCHED => {
                (hop, "from here the machine was worked on".to_owned())
            }
            Lost::By(hop) => (hop, format!("from here {now}")),
            Lost::OnCannot(hop) => (hop, format!("if it cannot be done, {now}")),
        };
        if let Some((_, note)) = told.get_mut(at) {
            if !note.is_empty() {
                note.push_str("; ");
            }
            note.push_str(&what);
        }
    }
    told
}

fn is_now(vocabulary: &Vocabulary, facet: Facet, values: crate::safety::Values) -> String {
    let name = vocabulary.name(facet);
    if values == vocabulary.all(facet) {
        format!("`{name}` is not known")
    } else {
        format!("`{name}` is {}", vocabulary.value_names(facet, values).join(" or "))
    }
}
