//! Recorded results of networkx: which steps are reached, and which gates every path passes first.
//!
//! A recorded gate is a fact that nothing loses, so that it is surely so at a step exactly if every
//! path to that step passes it.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::Path;

use loomwalk::safety::{Deed, Fact, NamedKind, Vocabulary};
use loomwalk::tree::{EdgeKind, Flow, FlowEdge, FlowGraph, FlowNode};

#[derive(serde::Deserialize)]
struct Recorded {
    root: String,
    steps: Vec<String>,
    edges: Vec<(String, String)>,
    gates: BTreeMap<String, Vec<String>>,
    reachable: BTreeSet<String>,
    /// Recorded for graphs without cycles only.
    must_pass_before: Option<BTreeMap<String, BTreeSet<String>>>,
}

fn graph_of(recorded: &Recorded) -> FlowGraph<'static> {
    let number: HashMap<&str, usize> =
        recorded.steps.iter().enumerate().map(|(at, step)| (step.as_str(), at)).collect();
    let none = Vec::new();
    let step_node = |step: &String| {
        let gates = recorded.gates.get(step).unwrap_or(&none);
        FlowNode { deeds: gates.iter().map(|gate| Deed::Fit { point: gate.clone() }).collect() }
    };
    let edge = |(from, to): &(String, String)| FlowEdge {
        from: number[from.as_str()],
        to: number[to.as_str()],
        kind: EdgeKind::Go,
        shows: vec![],
    };
    FlowGraph {
        start: number[recorded.root.as_str()],
        nodes: recorded.steps.iter().map(step_node).collect(),
        edges: recorded.edges.iter().map(edge).collect(),
    }
}

#[test]
fn gates_passed_before_each_step_equal_those_networkx_found() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/graph");
    let mut compared = 0;
    for entry in std::fs::read_dir(folder).expect("the recorded graphs") {
        let path = entry.expect("readable").path();
        let text = std::fs::read_to_string(&path).expect("UTF-8");
        let recorded: Recorded = serde_json::from_str(&text).expect("a recorded graph");
        let graph = graph_of(&recorded);
        let mut vocabulary = Vocabulary::built_in();
        graph.learn(&mut vocabulary).expect("few names");
        let flow = Flow::over(&graph, &vocabulary).expect("a sound graph");
        for (node, step) in recorded.steps.iter().enumerate() {
            let state = flow.state_in(node);
            assert_eq!(state.is_some(), recorded.reachable.contains(step), "{} {step}", path.display());
            let (Some(state), Some(passed)) = (state, &recorded.must_pass_before) else { continue };
            let surely: BTreeSet<String> = vocabulary
                .named(NamedKind::Fitted)
                .into_iter()
                .filter(|(_, facet)| state.is_within(*facet, Fact::Yes.only(), &vocabulary))
                .map(|(gate, _)| gate.to_owned())
                .collect();
            assert_eq!(surely, passed[step], "{} {step}", path.display());
            compared += 1;
        }
    }
    assert!(compared > 100, "only {compared} steps");
}
