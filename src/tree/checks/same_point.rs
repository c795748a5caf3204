//! `same-point`: both leads on one point.

use crate::diag::{Problems, Weight};

use super::super::model::Leads;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "same-point", weight: Weight::Refused, doc: include_str!("same-point.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.readings() {
        let (key, point) = match &read.leads {
            Leads::RedBlack { red, black: Some(black) } if red == black && !red.is_empty() => ("black", red),
            Leads::Across(one, other) if one == other => ("across", one),
            _ => continue,
        };
        RULE.at(step.place.key(key), problems).says(
            format!("both leads are on `{point}`"),
            "The meter shows nothing whatever the machine does, and nothing is taken for a fault.",
            "another point for one of the leads",
        );
    }
}
