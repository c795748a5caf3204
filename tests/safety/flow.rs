//! The data-flow against enumeration of all paths, on random graphs; every counterexample replayed.
//!
//! The enumeration knows only the lines of [`super::spec`]: it walks path after path with the values
//! along it, and reads an "or" as the rules do: one alternative must hold on all paths.

use std::collections::{BTreeSet, HashSet};

use loomwalk::safety::{Closing, Deed, Drive, Gate, GateId, Moves, State, Vocabulary, Watch, Watched, Zone};
use loomwalk::tree::{Danger, DangerPath, EdgeKind, Flow, FlowEdge, FlowGraph, FlowNode, Lost, Violation};

use super::spec::{self, Masks, Spec};

/// `SplitMix64` (Steele, Lea & Flood 2014; constants from memory): any decent sequence would do.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((z ^ (z >> 31)) % sides as u64).expect("fits")
    }
}

/// The states in which paths enter a step, each with the number of steps on its path.
type Entered = Vec<(Masks, usize)>;

struct Case {
    graph: FlowGraph<'static>,
    /// The lines that each step follows.
    lines: Vec<Vec<usize>>,
}

/// What the random graphs are like.
#[derive(Clone, Copy, PartialEq)]
enum Style {
    /// Sound or nearly so.
    Plain,
    /// The same, with another round.
    Rounds,
    /// Every step turns what a rule with an "or" at the last step speaks of.
    Or,
}

/// A graph of up to nine steps. Most steps are chosen among those whose needs hold on all paths so
/// far, so that graphs are sound or nearly so, as an author's are.
fn random_case(dice: &mut Dice, specs: &[Spec], style: Style) -> Case {
    let count = 2 + dice.roll(8);
    let or = (style == Style::Or).then(|| random_or(dice, specs));
    let mut edges = Vec::new();
    for from in 0..count - 1 {
        for _ in 0..=dice.roll(5) / 2 {
            let to = from + 1 + dice.roll((count - from - 1).min(3));
            let kind = if dice.roll(8) == 0 { EdgeKind::Cannot } else { EdgeKind::Go };
            edges.push(FlowEdge { from, to, kind, shows: vec![] });
        }
    }
    let mut joined: Vec<Option<Masks>> = vec![None; count];
    joined[0] = Some(spec::at_start());
    let mut lines = Vec::new();
    for node in 0..count {
        let here = joined[node].unwrap_or_else(spec::at_start);
        let mut here_lines: Vec<usize> =
            (0..=dice.roll(2)).map(|_| random_line(dice, specs, &here)).collect();
        if let Some(or) = or {
            here_lines = if node + 1 == count { vec![or] } else { vec![random_setter(dice, specs, or)] };
        }
        lines.push(here_lines);
        for edge in edges.iter().filter(|edge| edge.from == node) {
            let deeds: Vec<&Spec> = lines[node].iter().map(|line| &specs[*line]).collect();
            let next = spec::after(&deeds, edge.kind != EdgeKind::Cannot, &here);
            let known = joined[edge.to].unwrap_or(next);
            joined[edge.to] = Some(std::array::from_fn(|facet| known[facet] | next[facet]));
        }
    }
    if style == Style::Rounds {
        let from = 1 + dice.roll(count - 1);
        edges.push(FlowEdge { from, to: dice.roll(from), kind: EdgeKind::Again, shows: vec![] });
    }
    let node =
        |lines: &Vec<usize>| FlowNode { deeds: lines.iter().map(|l| specs[*l].deed.clone()).collect() };
    Case { graph: FlowGraph { start: 0, nodes: lines.iter().map(node).collect(), edges }, lines }
}

/// A line whose rule says "or".
fn random_or(dice: &mut Dice, specs: &[Spec]) -> usize {
    let has_or = |line: &usize| specs[*line].needs.iter().any(|(_, any)| any.len() > 1);
    let lines: Vec<usize> = (0..specs.len()).filter(has_or).collect();
    lines[dice.roll(lines.len())]
}

/// A line that sets one of the facets which the other line's rule speaks of.
fn random_setter(dice: &mut Dice, specs: &[Spec], or: usize) -> usize {
    let terms = || specs[or].needs.iter().flat_map(|(_, any)| any.iter().flatten());
    let sets_one = |line: &usize| specs[*line].does.iter().any(|(f, _)| terms().any(|(facet, _)| f == facet));
    let lines: Vec<usize> = (0..specs.len()).filter(sets_one).collect();
    lines[dice.roll(lines.len())]
}

fn random_line(dice: &mut Dice, specs: &[Spec], here: &Masks) -> usize {
    let mut line = dice.roll(specs.len());
    let is_met = |line: usize| specs[line].needs.iter().all(|(_, any)| spec::holds(any, here));
    for _ in 0..24 {
        if is_met(line) && !specs[line].does.is_empty() || dice.roll(24) == 0 {
            break;
        }
        line = dice.roll(specs.len());
    }
    line
}

impl Case {
    fn step(&self, edge: &FlowEdge, specs: &[Spec], before: &Masks) -> Masks {
        let lines: Vec<&Spec> = self.lines[edge.from].iter().map(|line| &specs[*line]).collect();
        spec::after(&lines, edge.kind != EdgeKind::Cannot, before)
    }

    /// Every state in which a path can enter each step, with the fewest steps that lead to it.
    fn along_all_paths(&self, specs: &[Spec]) -> Vec<Entered> {
        let mut entered = vec![Vec::new(); self.lines.len()];
        let mut paths = vec![(0, spec::at_start(), 1)];
        while let Some((node, masks, length)) = paths.pop() {
            entered[node].push((masks, length));
            for edge in self.graph.edges.iter().filter(|edge| edge.from == node) {
                paths.push((edge.to, self.step(edge, specs, &masks), length + 1));
            }
        }
        entered
    }

    /// The same for a graph with rounds: paths that enter a step in the same state go on the same way,
    /// so that one of them, a shortest, stands for all.
    fn along_all_rounds(&self, specs: &[Spec]) -> Vec<Entered> {
        let mut entered = vec![Vec::new(); self.lines.len()];
        let mut seen = HashSet::from([(0, spec::at_start())]);
        let mut paths = std::collections::VecDeque::from([(0, spec::at_start(), 1)]);
        while let Some((node, masks, length)) = paths.pop_front() {
            entered[node].push((masks, length));
            for edge in self.graph.edges.iter().filter(|edge| edge.from == node) {
                let next = self.step(edge, specs, &masks);
                if seen.insert((edge.to, next)) {
                    paths.push_back((edge.to, next, length + 1));
                }
            }
        }
        entered
    }
}

/// The rules broken at each step: one alternative must hold on all paths.
fn broken(case: &Case, specs: &[Spec], entered: &[Entered]) -> BTreeSet<(usize, usize, String)> {
    let mut broken = BTreeSet::new();
    for (node, lines) in case.lines.iter().enumerate() {
        for (deed, line) in lines.iter().enumerate() {
            for (number, (rule, any)) in specs[*line].needs.iter().enumerate() {
                let on_all_paths = |all: &Vec<(usize, u8)>| {
                    entered[node].iter().all(|(masks, _)| all.iter().all(|term| spec::surely(*term, masks)))
                };
                if !entered[node].is_empty() && !any.iter().any(on_all_paths) {
                    broken.insert((node, deed, format!("{rule} {number}")));
                }
            }
        }
    }
    broken
}

/// The program's violations, numbered like the needs of their line.
fn numbered(flow: &Flow, vocabulary: &Vocabulary, case: &Case) -> BTreeSet<(usize, usize, String)> {
    let number = |violation: &Violation| {
        let deed = &case.graph.nodes[violation.node].deeds[violation.deed];
        let all = loomwalk::safety::demands(deed, vocabulary);
        all.iter().position(|demand| *demand == violation.demand).expect("a demand of this deed")
    };
    let named = |v: &Violation| (v.node, v.deed, format!("{} {}", v.demand.rule.name(), number(v)));
    flow.violations().iter().map(named).collect()
}

fn joined(entered: &[(Masks, usize)]) -> Option<Masks> {
    let join = |a: Masks, b: Masks| std::array::from_fn(|facet| a[facet] | b[facet]);
    entered.iter().map(|(masks, _)| *masks).reduce(join)
}

/// Replays a shown path by the lines alone; the values at its end, and at each hop before.
fn replay(case: &Case, specs: &[Spec], path: &DangerPath) -> Vec<Masks> {
    assert_eq!(path.hops[0].node, case.graph.start);
    assert_eq!(path.hops[0].edge, None);
    let mut values = vec![spec::at_start()];
    for pair in path.hops.windows(2) {
        let edge = &case.graph.edges[pair[1].edge.expect("an edge led here")];
        assert_eq!((edge.from, edge.to), (pair[0].node, pair[1].node), "a real edge");
        let next = case.step(edge, specs, values.last().expect("not empty"));
        values.push(next);
    }
    values
}

fn check_losses(path: &DangerPath, values: &[Masks], vocabulary: &Vocabulary, case: &Case) {
    for loss in &path.losses {
        let facet = spec::FACETS.iter().position(|(name, _)| *name == vocabulary.name(loss.missing.facet));
        let facet = facet.expect("a facet of the tests");
        let allowed = loss.missing.allowed.places().fold(0, |bits, place| bits | 1u8 << place);
        let within: Vec<bool> = values.iter().map(|masks| spec::surely((facet, allowed), masks)).collect();
        assert_eq!(within.last(), Some(&false), "missing at the end");
        let last_held = within.iter().rposition(|holds| *holds);
        match loss.lost {
            Lost::NeverInForce => assert_eq!(last_held, None),
            Lost::By(hop) | Lost::OnCannot(hop) => assert_eq!(last_held, Some(hop)),
        }
        if let Lost::OnCannot(hop) | Lost::By(hop) = loss.lost {
            let kind = case.graph.edges[path.hops[hop + 1].edge.expect("an edge")].kind;
            assert_eq!(matches!(loss.lost, Lost::OnCannot(_)), kind == EdgeKind::Cannot);
        }
    }
}

/// Every shown path is real, a shortest, and its replay breaks the rule at its end.
fn check_danger(
    (case, specs, entered): (&Case, &[Spec], &[Entered]),
    violation: &Violation,
    danger: &Danger,
    vocabulary: &Vocabulary,
) {
    let line = case.lines[violation.node][violation.deed];
    let (_, any) = specs[line]
        .needs
        .iter()
        .zip(loomwalk::safety::demands(&specs[line].deed, vocabulary))
        .find(|(_, demand)| *demand == violation.demand)
        .map(|(need, _)| need)
        .expect("the violated need");
    let breaks = |masks: &Masks| !spec::holds(any, masks);
    let shortest = |breaks: &dyn Fn(&Masks) -> bool| {
        entered[violation.node].iter().filter(|(masks, _)| breaks(masks)).map(|(_, length)| *length).min()
    };
    for path in &danger.paths {
        assert_eq!(path.hops.last().expect("not empty").node, violation.node);
        let values = replay(case, specs, path);
        check_losses(path, &values, vocabulary, case);
        let end = values.last().expect("not empty");
        assert!(
            any.iter().any(|all| !all.iter().all(|term| spec::surely(*term, end))) || any.is_empty(),
            "no alternative fails on a shown path"
        );
    }
    if let [path] = danger.paths.as_slice() {
        let end = *replay(case, specs, path).last().expect("not empty");
        assert!(breaks(&end), "the replay does not break {:?}", violation.demand);
        assert_eq!(Some(path.hops.len()), shortest(&breaks), "a shortest path");
    } else {
        assert_eq!(danger.paths.len(), any.len(), "one path for each alternative");
        assert_eq!(shortest(&breaks), None, "one path would have shown it");
        for (path, all) in danger.paths.iter().zip(any) {
            let end = *replay(case, specs, path).last().expect("not empty");
            assert!(!all.iter().all(|term| spec::surely(*term, &end)));
        }
    }
}

/// Replays the path with the program's own state: what the walk would find in force.
fn replay_as_walked(flow: &FlowGraph, path: &DangerPath, vocabulary: &Vocabulary) -> State {
    let mut state = State::at_start(vocabulary);
    for hop in path.hops.iter().skip(1) {
        let edge = &flow.edges[hop.edge.expect("an edge led here")];
        for deed in &*flow.nodes[edge.from].deeds {
            let changes = match edge.kind {
                EdgeKind::Cannot => loomwalk::safety::changes_on_cannot(deed, vocabulary),
                EdgeKind::Go | EdgeKind::Again => loomwalk::safety::changes(deed, vocabulary),
            };
            state.apply_all(&changes, vocabulary);
        }
    }
    state
}

fn hold_against_paths(count: u64, style: Style) -> (usize, usize, usize) {
    let (specs, vocabulary) = (spec::all(), spec::vocabulary());
    let (mut shown, mut split, mut clean) = (0, 0, 0);
    for seed in 0..count {
        let case = random_case(&mut Dice(seed), &specs, style);
        let flow = Flow::over(&case.graph, &vocabulary).expect("a sound graph");
        let entered =
            if style == Style::Rounds { case.along_all_rounds(&specs) } else { case.along_all_paths(&specs) };
        for (node, entered) in entered.iter().enumerate() {
            let found = flow.state_in(node).map(|state| spec::masks_of(state, &vocabulary));
            assert_eq!(found, joined(entered), "seed {seed}, step {node}");
        }
        let expected = broken(&case, &specs, &entered);
        assert_eq!(numbered(&flow, &vocabulary, &case), expected, "seed {seed}");
        clean += usize::from(expected.is_empty());
        for violation in flow.violations() {
            let danger = flow.danger(violation);
            check_danger((&case, &specs, &entered), violation, &danger, &vocabulary);
            if let [path] = danger.paths.as_slice() {
                let state = replay_as_walked(&case.graph, path, &vocabulary);
                assert!(!violation.demand.holds(&state, &vocabulary), "seed {seed}");
            } else {
                split += 1;
            }
            shown += 1;
        }
        if seed % 8 == 0 {
            check_groups(&flow);
        }
    }
    (shown, split, clean)
}

/// By cause: each violation once, in a group of its own rule, shown by its first.
fn check_groups(flow: &Flow) {
    let groups = flow.dangers(usize::MAX);
    let mut grouped: Vec<usize> = groups.iter().flat_map(|group| group.violations.clone()).collect();
    grouped.sort_unstable();
    assert_eq!(grouped, (0..flow.violations().len()).collect::<Vec<_>>());
    for group in &groups {
        let first = &flow.violations()[group.violations[0]];
        assert_eq!(group.danger, flow.danger(first));
        assert!(group.violations.iter().all(|at| flow.violations()[*at].demand.rule == first.demand.rule));
    }
    assert_eq!(flow.dangers(1).len(), groups.len().min(1));
}

#[test]
fn ten_thousand_random_graphs_agree_with_all_their_paths() {
    let (shown, _, clean) = hold_against_paths(10_000, Style::Plain);
    assert!(shown > 10_000 && clean > 1_000, "both verdicts: {shown} shown, {clean} clean");
}

#[test]
fn rules_that_say_or_agree_with_all_their_paths() {
    let (shown, split, _) = hold_against_paths(1_000, Style::Or);
    assert!(split > 1 && shown - split > 1_000, "both shapes: {shown} shown, {split} of them by two paths");
}

#[test]
fn rounds_agree_with_all_their_paths() {
    let (shown, _, clean) = hold_against_paths(1_000, Style::Rounds);
    assert!(shown > 1_000 && clean > 50, "both verdicts: {shown} shown, {clean} clean");
}

fn gate(gate: Gate) -> Deed {
    Deed::Gate(GateId::BuiltIn(gate))
}

fn edge(from: usize, to: usize) -> FlowEdge {
    FlowEdge { from, to, kind: EdgeKind::Go, shows: vec![] }
}

fn chain(deeds: Vec<Vec<Deed>>) -> FlowGraph<'static> {
    let edges = (1..deeds.len()).map(|to| edge(to - 1, to)).collect();
    FlowGraph {
        start: 0,
        nodes: deeds.into_iter().map(|deeds| FlowNode { deeds: deeds.into() }).collect(),
        edges,
    }
}

fn rules(graph: &FlowGraph) -> Vec<&'static str> {
    let mut vocabulary = spec::vocabulary();
    graph.learn(&mut vocabulary).expect("few names");
    let flow = Flow::over(graph, &vocabulary).expect("a sound graph");
    flow.violations().iter().map(|violation| violation.demand.rule.name()).collect()
}

/// A proof that failed leads to another round: what the engine's run lost is lost in that round too.
#[test]
fn another_round_begins_with_what_the_proof_left() {
    let under_cab = Deed::BeIn(loomwalk::safety::Place::In(Zone::UnderCab));
    let lift = Deed::Watch(Watch {
        drive: Drive::Engine,
        moves: vec![Moves::Arms],
        from: Some(Zone::Seat),
        why: Watched::Asked,
    });
    let mut graph = chain(vec![
        vec![gate(Gate::Park)],
        vec![gate(Gate::LowerArms)],
        vec![gate(Gate::RaiseCab)],
        vec![under_cab],
        vec![gate(Gate::LowerCab)],
        vec![gate(Gate::PutBack)],
        vec![gate(Gate::ReleaseLockout)],
        vec![gate(Gate::RunUp)],
        vec![lift],
    ]);
    assert_eq!(rules(&graph), Vec::<&str>::new(), "one round is sound");
    graph.edges.push(FlowEdge { from: 8, to: 2, kind: EdgeKind::Again, shows: vec![] });
    assert_eq!(
        rules(&graph),
        [
            "gate-arms-raised",
            "gate-power",
            "under-cab-arms-raised",
            "under-cab-running",
            "gate-arms-raised",
            "gate-power",
            "gate-power",
            "gate-power"
        ],
        "the second round raises the cab with the engine running and the arms up"
    );
}

/// One way the cab is down, the other way the control is tied: on each way it can be set, and yet no
/// alternative holds on both. Both paths are shown.
#[test]
fn an_or_that_no_alternative_meets_on_all_paths_is_refused_with_a_path_for_each() {
    use loomwalk::safety::Reach;
    let control = || String::from("bar");
    let tie = Deed::Tie { control: control(), reach: Reach::Anywhere };
    let set = Deed::SetControl { control: control(), reach: Reach::SeatOrTied };
    let mut graph = chain(vec![vec![], vec![gate(Gate::LowerCab)], vec![set]]);
    graph.nodes.push(FlowNode { deeds: vec![tie].into() });
    graph.edges.extend([edge(0, 3), edge(3, 2)]);
    let vocabulary = spec::vocabulary();
    let flow = Flow::over(&graph, &vocabulary).expect("a sound graph");
    let refused = flow.violations().iter().find(|violation| violation.node == 2).expect("refused");
    let paths = flow.danger(refused).paths;
    let nodes = |path: &DangerPath| path.hops.iter().map(|hop| hop.node).collect::<Vec<_>>();
    assert_eq!(paths.iter().map(nodes).collect::<Vec<_>>(), [vec![0, 3, 2], vec![0, 1, 2]]);
}

/// A proof counts from the last finding and repair on, and on the answer that shows it only.
#[test]
fn a_proof_is_lost_by_a_new_finding_or_repair() {
    let close = Deed::Close(Closing::Repaired { proofs: vec!["works".into()] });
    let unproved = |graph: &FlowGraph| rules(graph).contains(&"close-not-proved");
    let steps = |last: Vec<Deed>| {
        let repair = Deed::Repair(loomwalk::safety::Heat::NotNeeded);
        let mut graph = chain(vec![vec![Deed::Found], vec![repair], vec![], last, vec![close.clone()]]);
        graph.edges[2].shows = vec!["works".into()];
        graph
    };
    assert!(!unproved(&steps(vec![])));
    assert!(unproved(&steps(vec![Deed::Found])));
    assert!(unproved(&steps(vec![Deed::Repair(loomwalk::safety::Heat::Needed)])));
    let mut two_answers = steps(vec![]);
    two_answers.edges.push(edge(2, 3));
    assert!(unproved(&two_answers), "the answer that does not show it leads there too");
}

#[test]
fn what_no_path_reaches_has_no_state_and_breaks_nothing() {
    let mut graph = chain(vec![vec![gate(Gate::Park)], vec![gate(Gate::RunUp)]]);
    graph.edges.clear();
    let vocabulary = spec::vocabulary();
    let flow = Flow::over(&graph, &vocabulary).expect("a sound graph");
    assert!(flow.state_in(1).is_none());
    assert!(flow.violations().is_empty());
    assert!(flow.state_in(2).is_none(), "no such step");
}

#[test]
fn an_edge_to_no_step_is_told() {
    let vocabulary = spec::vocabulary();
    let mut graph = chain(vec![vec![], vec![]]);
    graph.edges.push(edge(1, 7));
    assert_eq!(
        Flow::over(&graph, &vocabulary).expect_err("no step 7").to_string(),
        "there is no step number 7"
    );
    assert!(Flow::over(&FlowGraph::default(), &vocabulary).is_err(), "no start");
}

/// A ladder of two-way choices has 2^n paths, a long chain is deeper than any stack: neither matters.
#[test]
fn size_is_no_danger() {
    let count = 10_000;
    let mut graph = chain(
        (0..count).map(|at| vec![if at % 2 == 0 { gate(Gate::Park) } else { gate(Gate::RunUp) }]).collect(),
    );
    for from in 0..count - 2 {
        graph.edges.push(edge(from, from + 2));
    }
    graph.edges.push(FlowEdge { from: count - 1, to: 0, kind: EdgeKind::Again, shows: vec![] });
    let vocabulary = spec::vocabulary();
    let began = std::time::Instant::now();
    let flow = Flow::over(&graph, &vocabulary).expect("a sound graph");
    let last = flow.violations().last().expect("the engine is started without being whole");
    let danger = flow.danger(last);
    assert_eq!(danger.paths.len(), 1);
    assert_eq!(danger.paths[0].hops.len(), count / 2 + 1, "the short cuts are taken");
    assert!(began.elapsed().as_secs() < 10, "{:?}", began.elapsed());
}
