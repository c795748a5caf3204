//! A tree as boxes and arrows, left to right: where each stands, in pixels. Pure data.
//!
//! Steps that follow one another without a choice stand in one column under each other. The layers, their order and the
//! ways around boxes are those of the Sugiyama method (Sugiyama, Tagawa & Toda 1981), by the `dagre` crate.

use std::collections::HashMap;

use dagre::graph::{Graph, GraphOptions};
use dagre::{EdgeLabel, LayoutOptions, NodeLabel, RankDir};

use super::channels::lay_ways;
use super::markup::wrapped;
use super::step_words::{exits, says};
use crate::diag::Lang;
use crate::tree::{Kind, StepIx, Target, Tree};

/// Most steps that are drawn: more than this no sheet of paper shows (our choice, no source).
pub const MOST_STEPS: usize = 1_000;

pub(super) const WIDTH: f64 = 150.0;
pub(super) const LINE: f64 = 12.0;
pub(super) const PAD: f64 = 6.0;
const COLUMNS: usize = 26;
const SAYS_LINES: usize = 3;
/// Between steps that follow one another in a column.
const FOLLOWS: f64 = 10.0;
pub(super) const MARGIN: f64 = 20.0;

/// A tree that is too large to be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the tree has {0} steps; at most {MOST_STEPS} are drawn")]
pub struct TooLarge(pub usize);

/// A step's box.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StepBox {
    pub(super) step: StepIx,
    pub(super) corner: (f64, f64),
    pub(super) height: f64,
    pub(super) says: Vec<String>,
    pub(super) exits: Vec<Exit>,
}

/// A way out of a step, with its row in the box.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Exit {
    /// Empty where there is only one and nothing to say of it.
    pub(super) words: String,
    pub(super) to: Option<StepIx>,
    /// Its row, below the box's upper edge.
    pub(super) down: f64,
    pub(super) on: On,
}

/// Where a way out goes on.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum On {
    /// Nowhere that is drawn: another round, or the end.
    Nowhere,
    /// To the step right below.
    Below,
    /// Along these corners, from its row to the next box.
    Along(Vec<(f64, f64)>),
}

/// All boxes, by step, and the size of the whole.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plan {
    pub(super) boxes: Vec<StepBox>,
    pub(super) size: (f64, f64),
}

/// Lays a tree out.
pub(super) fn plan(tree: &Tree, lang: &Lang) -> Result<Plan, TooLarge> {
    if tree.steps.len() > MOST_STEPS {
        return Err(TooLarge(tree.steps.len()));
    }
    let mut boxes: Vec<StepBox> = tree.iter().map(|(ix, _)| step_box(tree, ix, lang)).collect();
    let columns = columns(tree);
    let mut graph = graph(&boxes, &columns);
    dagre::layout(&mut graph, Some(options()));
    place(&mut boxes, &columns, &graph);
    lay_ways(&mut boxes);
    let right = boxes.iter().map(|b| b.corner.0 + WIDTH).fold(0.0, f64::max);
    let bottom = boxes.iter().map(|b| b.corner.1 + b.height).fold(0.0, f64::max);
    let along = |exit: &Exit| if let On::Along(corners) = &exit.on { corners.clone() } else { Vec::new() };
    let corners = boxes.iter().flat_map(|own| &own.exits).flat_map(along);
    let (right, bottom) = corners.fold((right, bottom), |most, at| (most.0.max(at.0), most.1.max(at.1)));
    Ok(Plan { boxes, size: (right + MARGIN, bottom + MARGIN) })
}

fn step_box(tree: &Tree, ix: StepIx, lang: &Lang) -> StepBox {
    let step = tree.step(ix);
    let says = wrapped(&says(step, lang), COLUMNS, SAYS_LINES);
    let mut down = PAD + LINE * f64::from(u32::try_from(says.len() + 1).unwrap_or(1)) + 4.0;
    let mut ways = Vec::new();
    for (words, target) in exits(step, lang) {
        let row = !words.is_empty();
        if row {
            down += LINE;
        }
        let to = if let Target::Step(to) = target { Some(to) } else { None };
        let words = wrapped(&words, COLUMNS, 1).pop().unwrap_or_default();
        ways.push(Exit {
            words,
            to,
            down: if row { down - LINE / 3.0 } else { down / 2.0 },
            on: On::Nowhere,
        });
    }
    StepBox { step: ix, corner: (0.0, 0.0), height: down + PAD, says, exits: ways }
}

/// Steps that follow one another without a choice, as columns, each step in one.
fn columns(tree: &Tree) -> Vec<Vec<StepIx>> {
    let mut before = vec![0_usize; tree.steps.len()];
    let nexts = |ix: StepIx| {
        let mut next: Vec<StepIx> = tree
            .step(ix)
            .targets()
            .into_iter()
            .filter_map(|target| if let Target::Step(to) = target { Some(to) } else { None })
            .collect();
        next.sort_unstable();
        next.dedup();
        next
    };
    for (ix, _) in tree.iter() {
        for next in nexts(ix) {
            before[next.at()] += 1;
        }
    }
    let alone = |ix: StepIx, feeders: usize| before[ix.at()] == feeders && ix != tree.start;
    // What a step that leads on one way is followed by; a way round that comes back at once is taken in.
    let follows = |ix: StepIx| -> Vec<StepIx> {
        match nexts(ix).as_slice() {
            [only] if alone(*only, 1) && *only != ix => vec![*only],
            [a, b] if matches!(tree.step(ix).kind, Kind::Gate(_) | Kind::Do(_)) => {
                let round = |side: StepIx, next: StepIx| {
                    alone(side, 1) && nexts(side) == [next] && side != ix && next != ix
                };
                match (round(*a, *b), round(*b, *a)) {
                    (true, _) if alone(*b, 2) => vec![*a, *b],
                    (_, true) if alone(*a, 2) => vec![*b, *a],
                    (true, _) => vec![*a],
                    (_, true) => vec![*b],
                    _ => Vec::new(),
                }
            }
            _ => Vec::new(),
        }
    };
    let mut led = vec![false; tree.steps.len()];
    tree.iter().flat_map(|(ix, _)| follows(ix)).for_each(|next| led[next.at()] = true);
    let mut columns = Vec::new();
    let mut placed = vec![false; tree.steps.len()];
    // Heads first; what is left after them goes in a circle and begins anywhere.
    let heads = tree.iter().filter(|(ix, _)| !led[ix.at()]).chain(tree.iter());
    for (head, _) in heads {
        let (mut column, mut next) = (Vec::new(), vec![head]);
        while let Some(at) = next.last().copied().filter(|_| next.iter().all(|ix| !placed[ix.at()])) {
            for ix in &next {
                placed[ix.at()] = true;
            }
            column.append(&mut next);
            next = follows(at);
        }
        if !column.is_empty() {
            columns.push(column);
        }
    }
    columns
}

fn options() -> LayoutOptions {
    LayoutOptions {
        rankdir: RankDir::LR,
        nodesep: 12.0,
        edgesep: 6.0,
        ranksep: 28.0,
        marginx: MARGIN,
        marginy: MARGIN,
        ..LayoutOptions::default()
    }
}

fn graph(boxes: &[StepBox], columns: &[Vec<StepIx>]) -> Graph<NodeLabel, EdgeLabel> {
    let mut graph = Graph::with_options(GraphOptions { directed: true, multigraph: true, compound: false });
    let head = heads(columns);
    for column in columns {
        let height = column.iter().map(|ix| boxes[ix.at()].height + FOLLOWS).sum::<f64>() - FOLLOWS;
        let label = NodeLabel { width: WIDTH, height, ..NodeLabel::default() };
        graph.set_node(name(column[0]), Some(label));
    }
    for own in boxes {
        for (at, exit) in own.exits.iter().enumerate() {
            let Some(to) = exit.to.filter(|to| head[to] != head[&own.step]) else { continue };
            let (from, to) = (name(head[&own.step]), name(head[&to]));
            graph.set_edge(
                from.as_str(),
                to.as_str(),
                Some(EdgeLabel::default()),
                Some(&arrow(own.step, at)),
            );
        }
    }
    graph
}

/// For each step the first of its column.
fn heads(columns: &[Vec<StepIx>]) -> HashMap<StepIx, StepIx> {
    columns.iter().flat_map(|column| column.iter().map(|ix| (*ix, column[0]))).collect()
}

fn below(columns: &[Vec<StepIx>], from: StepIx, to: StepIx) -> bool {
    columns.iter().any(|column| column.windows(2).any(|pair| pair[0] == from && pair[1] == to))
}

fn name(ix: StepIx) -> String {
    ix.0.to_string()
}

fn arrow(from: StepIx, exit: usize) -> String {
    format!("{}.{exit}", from.0)
}

/// Takes over where the columns stand, and the bends of the arrows between them.
fn place(boxes: &mut [StepBox], columns: &[Vec<StepIx>], graph: &Graph<NodeLabel, EdgeLabel>) {
    for column in columns {
        let Some(label) = graph.node(&name(column[0])) else { continue };
        let (x, y) = (label.x.unwrap_or(0.0), label.y.unwrap_or(0.0));
        let mut top = y - label.height / 2.0;
        for ix in column {
            boxes[ix.at()].corner = (x - label.width / 2.0, top);
            top += boxes[ix.at()].height + FOLLOWS;
        }
    }
    let head = heads(columns);
    for own in boxes.iter_mut() {
        for (at, exit) in own.exits.iter_mut().enumerate() {
            let Some(to) = exit.to else { continue };
            if below(columns, own.step, to) {
                exit.on = On::Below;
                continue;
            }
            if head[&to] == head[&own.step] {
                exit.on = On::Along(Vec::new());
                continue;
            }
            let (from, to) = (name(head[&own.step]), name(head[&to]));
            let label = graph.edge(&from, &to, Some(&arrow(own.step, at)));
            let bends: Vec<(f64, f64)> =
                label.map(|label| label.points.iter().map(|p| (p.x, p.y)).collect()).unwrap_or_default();
            exit.on = On::Along(bends);
        }
    }
}
