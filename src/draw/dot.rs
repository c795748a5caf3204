//! Trees and circuits as DOT (the graph language of Graphviz), for who lays them out with other tools.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::line::{Line, Shape};
use super::markup::{quoted, wrapped};
use super::step_words::{exits, says};
use crate::diag::Lang;
use crate::tree::{Kind, StepIx, Target, Tree};

/// A tree as DOT; `walked` are the steps of a walk in the order in which they were visited.
#[must_use]
pub fn tree_dot(tree: &Tree, lang: &Lang, walked: &[StepIx]) -> String {
    let gone: BTreeSet<(StepIx, StepIx)> = walked.windows(2).map(|pair| (pair[0], pair[1])).collect();
    let mut dot = format!(
        "digraph {} {{\n  rankdir=LR\n  node [fontname=\"Arial\" shape=box]\n  edge [fontname=\"Arial\"]\n",
        quoted(std::slice::from_ref(&tree.id))
    );
    for (ix, step) in tree.iter() {
        let mut label = vec![format!("{} ({})", step.id, step.kind.word())];
        label.extend(wrapped(&says(step, lang), 34, 4));
        let heavy = if walked.contains(&ix) { " penwidth=3" } else { "" };
        let _ = writeln!(
            dot,
            "  {} [label={}{}{heavy}]",
            quoted(std::slice::from_ref(&step.id)),
            quoted(&label),
            shape(&step.kind)
        );
    }
    for (ix, step) in tree.iter() {
        for (words, target) in exits(step, lang) {
            let Target::Step(to) = target else { continue };
            let heavy = if gone.contains(&(ix, to)) { " penwidth=3" } else { "" };
            let _ = writeln!(
                dot,
                "  {} -> {} [label={}{heavy}]",
                quoted(std::slice::from_ref(&step.id)),
                quoted(std::slice::from_ref(&tree.step(to).id)),
                quoted(&wrapped(&words, 24, 2))
            );
        }
    }
    dot.push_str("}\n");
    dot
}

const fn shape(kind: &Kind) -> &'static str {
    match kind {
        Kind::Gate(_) => " shape=octagon",
        Kind::Read(_) => " style=rounded",
        Kind::Find(_) => " peripheries=2",
        Kind::Close(_) | Kind::Refer(_) => " shape=underline",
        _ => "",
    }
}

/// Circuits as DOT: places as dots where lines meet, things with two ends as labelled edges between them.
#[must_use]
pub fn circuit_dot(machine: &crate::machine::Machine, lines: &[Line], lang: &Lang) -> String {
    let mut dot = format!(
        "graph {} {{\n  rankdir=LR\n  node [fontname=\"Arial\" shape=point]\n  edge [fontname=\"Arial\"]\n",
        quoted(std::slice::from_ref(&machine.name))
    );
    let name = |point: crate::machine::PointId| {
        let parts = machine.parts();
        let same = parts.points.iter().zip(machine.point_ids());
        let mut same = same.filter(|(_, other)| machine.is_one_place(*other, point));
        same.next().map_or_else(String::new, |(point, _)| point.name.clone())
    };
    let mut places = BTreeSet::new();
    for line in lines {
        for stand in &line.stands {
            let own = stand.points.first().map(|point| name(*point)).unwrap_or_default();
            if stand.element.is_none() && places.insert(own.clone()) {
                let mark = if stand.shape == Shape::Ground { "invtriangle" } else { "box" };
                let _ = writeln!(
                    dot,
                    "  {} [shape={mark} label={}]",
                    quoted(std::slice::from_ref(&own)),
                    quoted(std::slice::from_ref(&stand.name))
                );
            }
        }
    }
    for line in lines {
        for stand in line.stands.iter().filter(|stand| stand.element.is_some()) {
            let ends: Vec<String> = stand.points.iter().map(|point| name(*point)).collect();
            let title = stand.title.as_ref().map_or("", |title| title.in_lang(lang));
            let mut label = vec![format!("{} {}", stand.name, stand.shape.word().in_lang(lang))];
            label.extend(
                [title, stand.detail.as_str()].iter().filter(|s| !s.is_empty()).map(|s| (*s).to_owned()),
            );
            let _ = writeln!(
                dot,
                "  {} -- {} [label={}]",
                quoted(&ends[..1]),
                quoted(&ends[1..]),
                quoted(&label)
            );
        }
    }
    dot.push_str("}\n");
    dot
}
