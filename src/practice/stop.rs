//! An unsafe move, stopped and told: what could happen at the machine, what would have to be in force, and the way
//! there.

use crate::diag::{Lang, Text};
use crate::safety::{Demand, GateId, SafetyRule, Way, Words, demands, stands_in_words, way_to};
use crate::tree::OffTree;
use crate::units::Minutes;
use crate::walk::Walk;

/// A move that was stopped.
#[derive(Debug, Clone, PartialEq)]
pub struct Stopped {
    /// The rules that it would have broken, each once.
    pub rules: Vec<SafetyRule>,
    /// What is missing, and how that stands now. Empty where nothing would allow it.
    pub missing: Vec<Gap>,
    /// The gates that lead there, by their titles, and their minutes; `None` if none do.
    pub way: Option<(Vec<String>, Minutes)>,
}

/// A condition that is not in force, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// How it must stand: "power off or power isolated".
    pub needed: Text,
    /// How it stands now, as far as that is known.
    pub now: Text,
}

impl Stopped {
    /// The lines that tell it.
    #[must_use]
    pub fn lines(&self, lang: &Lang) -> Vec<String> {
        let w = |en, es| Words { en, es }.in_lang(lang);
        let told = |rule: &SafetyRule| format!("{} {}", w("Stopped.", "Parado."), rule.at_machine_in(lang));
        let mut lines: Vec<String> = self.rules.iter().map(told).collect();
        for Gap { needed, now } in &self.missing {
            let [needs, is] = [w("Needed:", "Hace falta:"), w("Now:", "Ahora:")];
            lines.push(format!("{needs} {}. {is} {}.", needed.in_lang(lang), now.in_lang(lang)));
        }
        lines.push(match &self.way {
            Some((gates, minutes)) => {
                let gates = gates.join(w(", then ", ", después "));
                format!("{}: {gates}. {:.0} min.", w("The way there", "El camino"), minutes.value())
            }
            None => w(
                "Nothing makes this measurement safe from here.",
                "Nada hace segura esta medición desde aquí.",
            )
            .to_owned(),
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
        // The first alternative is the rule's plain one.
        for gap in demand.missing(state, vocabulary).into_iter().next().unwrap_or_default() {
            let now = if gap.can_be.is_one() { gap.can_be } else { vocabulary.all(gap.facet) };
            let gap = Gap {
                needed: stands_in_words(gap.facet, gap.allowed, vocabulary),
                now: stands_in_words(gap.facet, now, vocabulary),
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
