//! How many steps a tree has, groups written out, counted before any of them is written out: a small file can ask for
//! more than a laptop can hold.

use std::collections::HashMap;

use crate::diag::{Node, Row};

use super::expand::Group;

/// The steps of a map of steps, groups written out; what is not understood counts as one.
pub(super) fn steps_in(steps: &Node<'_>, groups: &HashMap<String, Group<'_, '_>>) -> usize {
    let of_groups = groups.iter().filter_map(|(name, group)| {
        let steps = group.entries.get("steps")?;
        Some((name.as_bytes(), row(steps)))
    });
    row(steps).written_out(&of_groups.collect())
}

fn row<'n>(steps: &'n Node<'_>) -> Row<'n> {
    let mut row = Row::default();
    for entry in steps.map().unwrap_or_default() {
        if let Some(gates) = entry.value.get("gates") {
            row.takes(gates.one_or_many().len());
        } else if let Some(name) = entry.value.get("run").and_then(Node::scalar) {
            row.takes_group(name.as_bytes());
        } else {
            row.takes(1);
        }
    }
    row
}
