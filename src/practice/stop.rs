//! An unsafe move, stopped and told: what could happen at the machine, what would have to be in force, and the way
//! there.

use crate::safety::{Demand, GateId, SafetyRule, Way, demands, way_to};
use crate::tree::OffTree;
use crate::units::Minutes;
use crate::walk::Walk;

/// A move that was stopped.
#[derive(Debug, Clone, PartialEq)]
pub struct Stopped {
    /// The rules that it would have broken, each once.
    pub rules: Vec<SafetyRule>,
    /// What is missing: the condition, what it must be and what it can be now. Empty where nothing would allow it.
    pub missing: Vec<Gap>,
    /// The gates that lead there, by their titles, and their minutes; `None` if none do.
    pub way: Option<(Vec<String>, Minutes)>,
}

/// A condition that is not in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// The condition.
    pub condition: String,
    /// What it must be.
    pub must_be: String,
    /// What it can be now.
    pub can_be: String,
}

impl Stopped {
    /// The lines that tell it.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> =
            self.rules.iter().map(|rule| format!("Stopped. {}", rule.at_machine())).collect();
        for Gap { condition, must_be, can_be } in &self.missing {
            lines.push(format!("Not in force: {condition} must be {must_be}; it is {can_be}."));
        }
        lines.push(match &self.way {
            Some((gates, minutes)) => {
                format!("The way there: {}. {:.0} min.", gates.join(", then "), minutes.value())
            }
            None => "Nothing makes this measurement safe from here.".to_owned(),
        });
        lines
    }
}

/// Holds a measurement off the tree against every rule, with the machine as the walk knows it.
///
/// # Errors
/// When it is stopped.
pub fn allowed(walk: &Walk, reading: &OffTree) -> Result<(), Stopped> {
    let (course, state) = (walk.course(), walk.machine());
    let vocabulary = course.vocabulary();
    let asked: Vec<Demand> =
        course.deeds_off_tree(reading, state).iter().flat_map(|deed| demands(deed, vocabulary)).collect();
    let unmet: Vec<&Demand> = asked.iter().filter(|demand| !demand.holds(state, vocabulary)).collect();
    if unmet.is_empty() {
        return Ok(());
    }
    let mut rules: Vec<SafetyRule> = Vec::new();
    let mut missing: Vec<Gap> = Vec::new();
    for demand in &unmet {
        if !rules.contains(&demand.rule) {
            rules.push(demand.rule);
        }
        let names = |facet, values| vocabulary.value_names(facet, values).join(" or ");
        // The first alternative is the rule's plain one.
        for gap in demand.missing(state, vocabulary).into_iter().next().unwrap_or_default() {
            let gap = Gap {
                condition: vocabulary.name(gap.facet).to_owned(),
                must_be: names(gap.facet, gap.allowed),
                can_be: if gap.can_be.is_one() {
                    names(gap.facet, gap.can_be)
                } else {
                    "not known".to_owned()
                },
            };
            if !missing.contains(&gap) {
                missing.push(gap);
            }
        }
    }
    let way = match way_to(state, &asked, vocabulary) {
        Way::Gates { gates, minutes } => {
            let title = |gate: &GateId| match gate {
                GateId::BuiltIn(built_in) => built_in.title().in_lang(&walk.lang()).to_owned(),
                GateId::Own(_) => gate.name(vocabulary).to_owned(),
            };
            Some((gates.iter().map(title).collect(), minutes))
        }
        Way::InForce | Way::None => None,
    };
    Err(Stopped { rules, missing, way })
}
