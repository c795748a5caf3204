//! What a rule looks at: the tree, its graph without `again`, and what names there are.

use std::ops::Range;

use petgraph::Direction;
use petgraph::graph::{DiGraph, NodeIndex};

use crate::diag::{Place, Text};
use crate::safety::Vocabulary;

use super::super::model::{Answer, Do, Kind, Read, Step, StepIx, Target, Tree};

/// How many steps rules of a step look at before the next rule does.
const AT_A_TIME: usize = 256;

/// A tree as the rules see it. Node `n` of the graph is step `n`.
pub(super) struct Subject<'t> {
    pub(super) tree: &'t Tree,
    /// The gates and zones there are, if that is known.
    pub(super) vocabulary: Option<&'t Vocabulary>,
    /// Nothing was refused at load, so that what is missing in the graph is missing in the file.
    pub(super) complete: bool,
    pub(super) graph: DiGraph<(), ()>,
    /// The steps that rules of a step look at now.
    here: Range<usize>,
    /// Whether some text is written in a language by name.
    pub(super) has_languages: bool,
    readings: Vec<(&'t Step, &'t Read)>,
    actions: Vec<(&'t Step, &'t Do)>,
}

impl<'t> Subject<'t> {
    pub(super) fn new(tree: &'t Tree, vocabulary: Option<&'t Vocabulary>, complete: bool) -> Self {
        let mut graph = DiGraph::with_capacity(tree.steps.len(), tree.steps.len() * 2);
        for _ in &tree.steps {
            graph.add_node(());
        }
        let (mut readings, mut actions) = (Vec::new(), Vec::new());
        let mut has_languages = tree.title.languages().next().is_some();
        for (ix, step) in tree.iter() {
            for target in step.ways() {
                if let Target::Step(to) = target {
                    graph.add_edge(node(ix), node(to), ());
                }
            }
            match &step.kind {
                Kind::Read(read) => readings.push((step, &**read)),
                Kind::Do(action) => actions.push((step, action)),
                _ => {}
            }
            has_languages |= texts_of(step).any(|worded| worded.text.languages().next().is_some());
        }
        Self { tree, vocabulary, complete, graph, here: 0..0, has_languages, readings, actions }
    }

    /// Turns to the next steps, so few that they stay near the processor while one rule after the other looks at them:
    /// a large tree gone through from its beginning by each takes half as long again. False where there are none.
    pub(super) fn turn_to_next_steps(&mut self) -> bool {
        self.here = self.here.end..(self.here.end + AT_A_TIME).min(self.tree.steps.len());
        !self.here.is_empty()
    }

    /// The steps turned to.
    pub(super) fn steps(&self) -> impl Iterator<Item = (StepIx, &'t Step)> {
        let tree = self.tree;
        self.here
            .clone()
            .filter_map(|at| u32::try_from(at).ok())
            .map(|at| (StepIx(at), tree.step(StepIx(at))))
    }

    /// Those of them that were read in full.
    pub(super) fn sound_steps_here(&self) -> impl Iterator<Item = (StepIx, &'t Step)> {
        self.steps().filter(|(_, step)| !step.flawed)
    }

    /// The steps that were read in full.
    pub(super) fn sound_steps(&self) -> impl Iterator<Item = (StepIx, &'t Step)> {
        let tree = self.tree;
        tree.iter().filter(|(_, step)| !step.flawed)
    }

    /// The steps at which something is read: a rule that is about these need not go through all others.
    pub(super) fn readings(&self) -> impl Iterator<Item = (&'t Step, &'t Read)> {
        self.readings.iter().copied()
    }

    /// Those of them that were read in full.
    pub(super) fn sound_readings(&self) -> impl Iterator<Item = (&'t Step, &'t Read)> {
        self.readings().filter(|(step, _)| !step.flawed)
    }

    /// The steps at which something is done.
    pub(super) fn actions(&self) -> impl Iterator<Item = (&'t Step, &'t Do)> {
        self.actions.iter().copied()
    }

    /// For each step, whether a walk along the edges (or against them) from these steps comes to it, and from where
    /// it first came. Steps for which `through` is false are come to and not walked on from.
    pub(super) fn spread(
        &self,
        from: impl IntoIterator<Item = StepIx>,
        direction: Direction,
        through: impl Fn(StepIx) -> bool,
    ) -> Reached {
        let mut came_from = vec![None; self.tree.steps.len()];
        let mut row: Vec<StepIx> = Vec::new();
        for ix in from {
            if came_from[ix.at()].is_none() {
                came_from[ix.at()] = Some(ix);
                row.push(ix);
            }
        }
        let mut next = 0;
        while let Some(&ix) = row.get(next) {
            next += 1;
            if !through(ix) {
                continue;
            }
            for to in self.graph.neighbors_directed(node(ix), direction) {
                let to = step_of(to);
                if came_from[to.at()].is_none() {
                    came_from[to.at()] = Some(ix);
                    row.push(to);
                }
            }
        }
        Reached { came_from }
    }

    /// The steps that lead to some step that `is_end` holds for, and those steps themselves.
    pub(super) fn leading_to(&self, is_end: impl Fn(&Step) -> bool) -> Reached {
        let ends = self.tree.iter().filter(|(_, step)| is_end(step)).map(|(ix, _)| ix);
        self.spread(ends.collect::<Vec<_>>(), Direction::Incoming, |_| true)
    }

    /// A path as problems carry it: the ids of the steps.
    pub(super) fn named(&self, steps: &[StepIx]) -> Vec<(String, String)> {
        steps.iter().map(|ix| (self.tree.step(*ix).id.clone(), String::new())).collect()
    }
}

/// Which steps a walk through the graph came to.
pub(super) struct Reached {
    came_from: Vec<Option<StepIx>>,
}

impl Reached {
    /// Whether it came to this step.
    pub(super) fn holds(&self, ix: StepIx) -> bool {
        self.came_from[ix.at()].is_some()
    }

    /// The shortest way on which it came to this step, its beginning first.
    pub(super) fn way_to(&self, ix: StepIx) -> Vec<StepIx> {
        let mut way = vec![ix];
        let mut at = ix;
        while let Some(before) = self.came_from[at.at()].filter(|before| *before != at) {
            way.push(before);
            at = before;
        }
        way.reverse();
        way
    }
}

/// The node of a step.
pub(super) fn node(ix: StepIx) -> NodeIndex {
    NodeIndex::new(ix.at())
}

/// The step of a node.
pub(super) fn step_of(node: NodeIndex) -> StepIx {
    StepIx(u32::try_from(node.index()).unwrap_or(u32::MAX))
}

/// Every target of a step with the place at which it is written.
pub(super) fn targets_with_places(step: &Step) -> Vec<(Target, Place)> {
    let answers = |answers: &[Answer]| -> Vec<_> {
        answers.iter().map(|a| (a.go, step.place.key("answers").key(&a.id).key("go"))).collect()
    };
    let mut targets = match &step.kind {
        Kind::Ask(ask) => answers(&ask.answers),
        Kind::Look(look) => answers(&look.answers),
        Kind::Read(read) => read
            .bands
            .iter()
            .enumerate()
            .map(|(at, band)| (band.go, step.place.key("bands").item(at).key("go")))
            .collect(),
        Kind::Do(action) => vec![(action.go, step.place.key("go"))],
        Kind::Gate(gate) => vec![(gate.go, step.place.key("go"))],
        Kind::Find(find) => vec![(find.go, step.place.key("go"))],
        Kind::Close(_) | Kind::Refer(_) => Vec::new(),
    };
    targets.extend(step.cannot.map(|to| (to, step.place.key("cannot"))));
    targets
}

/// The answers of a step that has some.
pub(super) fn answers_of(step: &Step) -> &[Answer] {
    match &step.kind {
        Kind::Ask(ask) => &ask.answers,
        Kind::Look(look) => &look.answers,
        _ => &[],
    }
}

/// A text of a step, with the keys that lead to it.
#[derive(Clone, Copy)]
pub(super) struct Worded<'t> {
    pub(super) text: &'t Text,
    keys: [&'t str; 3],
}

impl<'t> Worded<'t> {
    /// Where it stands.
    pub(super) fn place(&self, step: &Step) -> Place {
        let [first, rest @ ..] = self.keys;
        let further = rest.iter().filter(|key| !key.is_empty());
        further.fold(step.place.key(first), |place, key| place.key(key))
    }

    /// What tells it from the other texts of its step.
    pub(super) const fn keys(&self) -> [&'t str; 3] {
        self.keys
    }
}

/// Every text of a step. Places cost memory, and are made of one where there is something to tell.
pub(super) fn texts_of(step: &Step) -> impl Iterator<Item = Worded<'_>> {
    let (own, further) = match &step.kind {
        Kind::Ask(ask) => (Some(("ask", &ask.question)), None),
        Kind::Look(look) => (Some(("look", &look.what)), None),
        Kind::Do(action) => (action.action.as_ref().map(|text| ("do", text)), None),
        Kind::Find(find) => {
            let repair = find.repair.as_ref().and_then(|repair| repair.text.as_ref());
            (
                find.cause.as_ref().map(|text| ("cause", text)),
                repair.map(|text| (["repair", "text", ""], text)),
            )
        }
        Kind::Refer(refer) => {
            (Some(("refer", &refer.why)), refer.waits_for.as_ref().map(|text| (["waits-for", "", ""], text)))
        }
        Kind::Read(_) | Kind::Gate(_) | Kind::Close(_) => (None, None),
    };
    let said = [("text", step.text.as_ref()), ("caution", step.caution.as_ref())];
    let said = said.into_iter().filter_map(|(key, text)| Some((key, text?)));
    let plain = own.into_iter().chain(said).map(|(key, text)| ([key, "", ""], text));
    let answers =
        answers_of(step).iter().map(|answer| (["answers", answer.id.as_str(), "text"], &answer.text));
    plain.chain(further).chain(answers).map(|(keys, text)| Worded { text, keys })
}
