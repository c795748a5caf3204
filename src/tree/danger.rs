//! Why a demand is not met: the shortest path that shows it, and what was lost where.
//!
//! Breadth-first over (step, values that the facets in question have on this path): along one path the
//! values are known exactly, so a path found is a real one, and the first found is a shortest. Where
//! no single path fails every alternative of an "or", there is one path for each. One search serves
//! every step at which the same is missing.

use std::collections::{BTreeMap, HashMap, HashSet, VecDeque};

use crate::safety::{Facet, Missing, SafetyRule, Values};

use super::flow::{EdgeKind, Flow, Violation};

/// Facets followed for one danger; where more are missing, the first of them show it as well.
const FOLLOWED: usize = 4;

/// The paths that show a violation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Danger {
    /// One path on which the demand fails; or, where the rule says "or" and each alternative fails on
    /// another path only, one path for each alternative.
    pub paths: Vec<DangerPath>,
}

/// Violations of one rule with one cause: the same thing lost at the same step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DangerGroup {
    /// The violations, by their numbers in [`Flow::violations`]; the first is the one shown.
    pub violations: Vec<usize>,
    /// The paths that show the first.
    pub danger: Danger,
}

/// A path from the start to the step, and what is missing there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DangerPath {
    /// The steps, the start first.
    pub hops: Vec<Hop>,
    /// What is missing at the last of them.
    pub losses: Vec<Loss>,
}

/// A step on a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hop {
    /// The step.
    pub node: usize,
    /// The edge that led to it, by its number; none at the start.
    pub edge: Option<usize>,
}

/// Something missing, and where on the path it was lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loss {
    /// What is missing, with the values it can have on this path.
    pub missing: Missing,
    /// Where.
    pub lost: Lost,
}

/// Where on a path something was lost; the place is that of the step in [`DangerPath::hops`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lost {
    /// It was never in force on this path.
    NeverInForce,
    /// By what this step does.
    By(usize),
    /// Because this step could not be done.
    OnCannot(usize),
}

/// A facet with the values it must have.
type Wanted = (Facet, Values);

/// What is missing, by alternative.
type Shape = Vec<Vec<Wanted>>;

/// One rule, and for each thing missing the facet and the step that lost it.
type Cause = (SafetyRule, Vec<(Facet, Option<usize>)>);

impl Flow<'_> {
    /// The shortest path that shows the violation, and what was lost where. Searches the whole graph;
    /// for many violations see [`Flow::dangers`].
    #[must_use]
    pub fn danger(&self, violation: &Violation) -> Danger {
        let shown = Searches::for_shape(self, self.shape(violation)).shown_at(violation.node);
        Danger { paths: shown }
    }

    /// All violations by cause, the first `most` causes found, in the order of their first violations.
    #[must_use]
    pub fn dangers(&self, most: usize) -> Vec<DangerGroup> {
        self.dangers_among(0..self.violations().len(), most)
    }

    /// The same for some violations only, by their numbers in [`Flow::violations`].
    #[must_use]
    pub fn dangers_among(&self, numbers: impl IntoIterator<Item = usize>, most: usize) -> Vec<DangerGroup> {
        let mut by_shape: BTreeMap<Shape, Vec<usize>> = BTreeMap::new();
        for number in numbers {
            let Some(violation) = self.violations().get(number) else { continue };
            by_shape.entry(self.shape(violation)).or_default().push(number);
        }
        let mut shapes: Vec<(Shape, Vec<usize>)> = by_shape.into_iter().collect();
        shapes.sort_by_key(|(_, numbers)| numbers.first().copied());
        let mut groups: Vec<DangerGroup> = Vec::new();
        for (shape, numbers) in shapes {
            if groups.len() >= most {
                break;
            }
            self.group(Searches::for_shape(self, shape), &numbers, most, &mut groups);
        }
        groups.sort_by_key(|group| group.violations.first().copied());
        groups
    }

    fn group(&self, mut searches: Searches, numbers: &[usize], most: usize, groups: &mut Vec<DangerGroup>) {
        let mut known: HashMap<Cause, usize> = HashMap::new();
        for number in numbers {
            let violation = &self.violations()[*number];
            let ends = searches.ends_at(violation.node);
            let cause = (violation.demand.rule, searches.losses(&ends, violation));
            if let Some(at) = known.get(&cause) {
                groups[*at].violations.push(*number);
            } else if groups.len() < most {
                known.insert(cause, groups.len());
                let danger = Danger { paths: ends.iter().map(|end| searches.told(*end)).collect() };
                groups.push(DangerGroup { violations: vec![*number], danger });
            }
        }
    }

    fn shape(&self, violation: &Violation) -> Shape {
        let Some(state) = self.state_in(violation.node) else { return Vec::new() };
        let missing = |atoms: &Vec<crate::safety::Atom>| {
            let all = atoms.iter().flat_map(|atom| atom.missing(state, self.vocabulary));
            all.take(FOLLOWED).collect()
        };
        violation.demand.need.alternatives().iter().map(missing).collect()
    }
}

/// A place in one of the searches: which search, which trail.
type End = (usize, usize);

/// The searches that show one shape of danger.
struct Searches<'f> {
    flow: &'f Flow<'f>,
    shape: Shape,
    made: Vec<Search>,
    /// For each alternative the searches that follow one facet of it each; made when first needed.
    alone: Vec<Vec<usize>>,
    /// How many of the facets that the first search follows belong to each alternative.
    widths: Vec<usize>,
}

impl<'f> Searches<'f> {
    fn for_shape(flow: &'f Flow<'f>, shape: Shape) -> Self {
        let each = FOLLOWED / shape.len().max(1);
        let widths: Vec<usize> = shape.iter().map(|group| group.len().min(each)).collect();
        let mut all = Self { flow, shape, made: Vec::new(), alone: Vec::new(), widths };
        match all.shape.as_slice() {
            [] => all.made.push(Search::over(flow, Vec::new())),
            [_] => all.search_alone(),
            several => {
                let cut = several.iter().zip(&all.widths).flat_map(|(group, width)| &group[..*width]);
                all.made.push(Search::over(flow, cut.copied().collect()));
            }
        }
        all
    }

    fn search_alone(&mut self) {
        for group in &self.shape {
            let mut numbers = Vec::new();
            for wanted in group {
                numbers.push(self.made.len());
                self.made.push(Search::over(self.flow, vec![*wanted]));
            }
            self.alone.push(numbers);
        }
    }

    fn shown_at(mut self, node: usize) -> Vec<DangerPath> {
        let ends = self.ends_at(node);
        ends.into_iter().map(|end| self.told(end)).collect()
    }

    /// Where the danger shows at this step: one end, or one for each alternative.
    fn ends_at(&mut self, node: usize) -> Vec<End> {
        if self.shape.len() != 1 {
            let found = self.made[0].first_at(node, |trail| self.all_fail(trail));
            if let Some(trail) = found {
                return vec![(0, trail)];
            }
            if self.alone.is_empty() {
                self.search_alone();
            }
        }
        let nearest = |numbers: &Vec<usize>| {
            let ends = numbers.iter().filter_map(|number| {
                let search = &self.made[*number];
                let trail = search.first_at(node, |trail| search.is_missing(trail, 0))?;
                Some((search.trails[trail].length, (*number, trail)))
            });
            ends.min().map(|(_, end)| end)
        };
        self.alone.iter().filter_map(nearest).collect()
    }

    fn all_fail(&self, trail: &Trail) -> bool {
        let mut at = 0;
        self.widths.iter().all(|width| {
            let these = at..at + width;
            at += width;
            these.into_iter().any(|place| self.made[0].is_missing(trail, place))
        })
    }

    fn losses(&self, ends: &[End], violation: &Violation) -> Vec<(Facet, Option<usize>)> {
        let mut losses = Vec::new();
        for (number, trail) in ends {
            let (search, trail) = (&self.made[*number], &self.made[*number].trails[*trail]);
            for (place, (facet, _)) in search.followed.iter().enumerate() {
                if search.is_missing(trail, place) {
                    losses.push((*facet, trail.lost[place].map(|edge| self.flow.graph.edges[edge].from)));
                }
            }
        }
        if losses.is_empty() {
            // Nothing was lost on the way: what is wrong stands in the step itself.
            losses.extend([(Facet::POWER, Some(violation.node)), (Facet::CAB, Some(violation.deed))]);
        }
        losses
    }

    fn told(&self, (number, trail): End) -> DangerPath {
        self.made[number].told(self.flow, trail)
    }
}

/// A step as reached on one path, with the values that the followed facets have there.
struct Trail {
    node: usize,
    edge: Option<usize>,
    before: Option<usize>,
    length: usize,
    values: [Values; FOLLOWED],
    /// The edge on which each followed facet was last lost.
    lost: [Option<usize>; FOLLOWED],
}

struct Search {
    followed: Vec<Wanted>,
    trails: Vec<Trail>,
    /// The trails that end at each step, the shortest first.
    by_node: Vec<Vec<usize>>,
}

impl Search {
    fn over(flow: &Flow, followed: Vec<Wanted>) -> Self {
        let mut values = [Values::only(0); FOLLOWED];
        for (place, (facet, _)) in followed.iter().enumerate() {
            values[place] = flow.vocabulary.at_start(*facet);
        }
        let start = flow.graph.start;
        let mut search =
            Self { followed, trails: Vec::new(), by_node: vec![Vec::new(); flow.graph.nodes.len()] };
        let mut seen = HashSet::from([(start, values)]);
        search.add(Trail {
            node: start,
            edge: None,
            before: None,
            length: 1,
            values,
            lost: [None; FOLLOWED],
        });
        let mut queue = VecDeque::from([0]);
        while let Some(at) = queue.pop_front() {
            for number in flow.leaving(search.trails[at].node) {
                let next = search.along(flow, at, number);
                if seen.insert((next.node, next.values)) {
                    queue.push_back(search.trails.len());
                    search.add(next);
                }
            }
        }
        search
    }

    fn add(&mut self, trail: Trail) {
        self.by_node[trail.node].push(self.trails.len());
        self.trails.push(trail);
    }

    fn along(&self, flow: &Flow, at: usize, number: usize) -> Trail {
        let (edge, from) = (&flow.graph.edges[number], &self.trails[at]);
        let (mut values, mut lost) = (from.values, from.lost);
        for change in flow.changes_along(edge) {
            for (place, (facet, _)) in self.followed.iter().enumerate() {
                values[place] = change.outcome(*facet, flow.vocabulary).unwrap_or(values[place]);
            }
        }
        for (place, (_, allowed)) in self.followed.iter().enumerate() {
            if from.values[place].is_within(*allowed) && !values[place].is_within(*allowed) {
                lost[place] = Some(number);
            }
        }
        Trail { node: edge.to, edge: Some(number), before: Some(at), length: from.length + 1, values, lost }
    }

    fn first_at(&self, node: usize, is_shown: impl Fn(&Trail) -> bool) -> Option<usize> {
        self.by_node[node].iter().copied().find(|trail| is_shown(&self.trails[*trail]))
    }

    fn is_missing(&self, trail: &Trail, place: usize) -> bool {
        !trail.values[place].is_within(self.followed[place].1)
    }

    fn told(&self, flow: &Flow, end: usize) -> DangerPath {
        let mut hops = Vec::new();
        let mut at = Some(end);
        while let Some(here) = at {
            hops.push(Hop { node: self.trails[here].node, edge: self.trails[here].edge });
            at = self.trails[here].before;
        }
        hops.reverse();
        let places = 0..self.followed.len();
        let losses = places.filter(|place| self.is_missing(&self.trails[end], *place));
        let losses = losses.map(|place| self.loss(flow, end, place, &hops)).collect();
        DangerPath { hops, losses }
    }

    fn loss(&self, flow: &Flow, end: usize, place: usize, hops: &[Hop]) -> Loss {
        let (facet, allowed) = self.followed[place];
        let missing = Missing { facet, allowed, can_be: self.trails[end].values[place] };
        let lost = self.lost_at(end, place).map_or(Lost::NeverInForce, |(hop, edge)| {
            debug_assert_eq!(hops[hop].node, flow.graph.edges[edge].from);
            if flow.graph.edges[edge].kind == EdgeKind::Cannot { Lost::OnCannot(hop) } else { Lost::By(hop) }
        });
        Loss { missing, lost }
    }

    /// The last place on the trail where the facet was lost, and the edge that lost it.
    fn lost_at(&self, end: usize, place: usize) -> Option<(usize, usize)> {
        let edge = self.trails[end].lost[place]?;
        let mut at = end;
        while self.trails[at].edge != Some(edge) || self.holds_before(at, place) != Some(true) {
            at = self.trails[at].before?;
        }
        Some((self.trails[at].length - 2, edge))
    }

    fn holds_before(&self, at: usize, place: usize) -> Option<bool> {
        let before = self.trails[at].before?;
        Some(!self.is_missing(&self.trails[before], place) && self.is_missing(&self.trails[at], place))
    }
}
