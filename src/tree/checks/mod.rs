//! The rules of `check` that need no machine: one file a rule, its document beside it.
//!
//! A rule looks at a [`Subject`] and tells problems at symbolic places. Rules about the graph leave `again` out: it
//! begins another round and closes no cycle. What the loader told already is not told again: a step that could not
//! be read in full is left alone wherever something may be missing for that reason.

mod documents;
mod subject;

use std::collections::HashSet;

use crate::diag::{Pending, Place, Problems, Weight};
use crate::safety::Vocabulary;

use super::load::Loaded;
use super::model::Tree;

pub use documents::{Document, documents};
use subject::Subject;

/// One rule: its stable name, how heavy it weighs, what `explain` prints, and the check itself.
struct Rule {
    name: &'static str,
    weight: Weight,
    doc: &'static str,
    run: fn(&Subject<'_>, &mut Problems),
}

impl Rule {
    /// Begins a problem of this rule.
    fn at<'p>(&self, place: Place, problems: &'p mut Problems) -> Pending<'p> {
        problems.begin(self.name, self.weight, place)
    }
}

macro_rules! rules {
    ($(#[$about:meta] $name:ident: $($module:ident)+;)+) => {
        $(
            $(mod $module;)+

            #[$about]
            const $name: &[Rule] = &[$($module::RULE),+];
        )+
    };
}

rules! {
    /// Rules about the tree as a whole, or about the few steps that they pick out, in the order in which they are run.
    OF_TREE:
        cycle unreachable_step path_without_end
        band_gap band_overlap band_twice band_mixed like_without_machine
        same_point leads_misfit compare_misfit senseless_wait senseless_repeat high_voltage
        act_undone opens_what
        find_without_cause find_without_repair repair_without_find
        missing_language;
    /// Rules that look at every step by itself: all of them at some steps, then all of them at the next.
    OF_STEP:
        unknown_gate unknown_zone unknown_function unfilled_parameter
        same_answer single_answer untied_means
        proof_one_way held_without_state moves_unsaid phone_hands_on
        find_nothing;
}

/// Runs every rule that needs no machine over a loaded tree.
///
/// `vocabulary` is what gates and zones there are: the built-in ones for a tree without a machine, else with those
/// of its machine file; none if that file could not be read, and names of gates and zones are then let pass.
#[must_use]
pub fn check(loaded: &Loaded, vocabulary: Option<&Vocabulary>) -> Problems {
    loaded
        .tree
        .as_ref()
        .map_or_else(Problems::default, |tree| check_tree(tree, vocabulary, !loaded.problems.refused()))
}

/// As [`check`], for a tree of which it is known whether it could be read in full.
pub(super) fn check_tree(tree: &Tree, vocabulary: Option<&Vocabulary>, is_complete: bool) -> Problems {
    let mut problems = Problems::default();
    let mut subject = Subject::new(tree, vocabulary, is_complete);
    for rule in OF_TREE {
        (rule.run)(&subject, &mut problems);
    }
    while subject.turn_to_next_steps() {
        for rule in OF_STEP {
            (rule.run)(&subject, &mut problems);
        }
    }
    once_each(problems)
}

/// Leaves each problem once: copies of a group share the place in which it was written.
fn once_each(problems: Problems) -> Problems {
    let mut seen = HashSet::new();
    let mut kept = Problems::default();
    kept.beyond = problems.beyond;
    for problem in problems.into_list() {
        if seen.insert((problem.rule, problem.place.clone(), problem.wrong.clone())) {
            kept.push(problem);
        }
    }
    kept
}
