//! Every fault of whole machines against an independent solve: the chains expanded here once more,
//! the states iterated here, a dense LU of a general linear-algebra library (nalgebra) under it, and
//! the meter as a plain 10 MΩ resistor in the network.

use crate::machine::{EXAMPLE, TERN, machine_of};
use loomwalk::machine::{
    ChainItem, ControllerId, Drive, Element, ElementId, FaultKind, Function, InputId, Kind, Knot, Level,
    Logic, Machine, OutputId, Parts, PointId, Probes, PullUp, Rests, Setup, Today,
};
use loomwalk::safety::Power;
use loomwalk::units::{Amps, Celsius, Metres, Ohms};
use std::collections::BTreeMap;

/// Each of so many is solved by the library too.
const LIBRARY: usize = if cfg!(debug_assertions) { 16 } else { 1 };

/// Within this the two agree: the dense solve loses digits where an open hangs beside thick copper.
const AGREE: f64 = 2e-6;

/// A resistance with a source in it: node, node, ohms, volts of the first over the second.
type Link = (usize, usize, f64, f64);

/// The nodes of a machine by point, found by walking its chains.
struct Nodes {
    of_point: BTreeMap<usize, usize>,
    of_rub: BTreeMap<(usize, usize), usize>,
    parent: Vec<usize>,
}

impl Nodes {
    fn new(parts: &Parts) -> Self {
        let mut nodes = Self { of_point: BTreeMap::new(), of_rub: BTreeMap::new(), parent: Vec::new() };
        for chain in &parts.chains {
            let mut here: Option<usize> = None;
            for item in &chain.items {
                match item {
                    ChainItem::Point(point) => {
                        let node = nodes.point(*point);
                        if let Some(before) = here {
                            nodes.join(before, node);
                        }
                        here = Some(node);
                    }
                    ChainItem::Element(id) => {
                        let element = &parts.elements[id.at()];
                        let first = nodes.point(element.ends[0]);
                        if let Some(before) = here {
                            nodes.join(before, first);
                        }
                        here = Some(nodes.point(element.ends[1]));
                        if let Kind::Wire(wire) = &element.kind {
                            for (at, rub) in wire.rubs.iter().enumerate() {
                                let node = nodes.point(rub.point);
                                nodes.of_rub.insert((id.at(), at), node);
                            }
                        }
                    }
                }
            }
        }
        for point in 0..parts.points.len() {
            nodes.of_point.entry(point).or_insert_with(|| {
                nodes.parent.push(nodes.parent.len());
                nodes.parent.len() - 1
            });
        }
        nodes
    }

    fn point(&mut self, point: PointId) -> usize {
        *self.of_point.entry(point.at()).or_insert_with(|| {
            self.parent.push(self.parent.len());
            self.parent.len() - 1
        })
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a] = b;
    }

    fn root(&self, mut node: usize) -> usize {
        while self.parent[node] != node {
            node = self.parent[node];
        }
        node
    }

    fn at(&self, point: PointId) -> usize {
        self.root(self.of_point[&point.at()])
    }
}

/// The states of a machine, as this file iterates them.
#[derive(Clone, PartialEq, Debug, Default)]
struct States {
    fed: Vec<bool>,
    on: Vec<bool>,
    pulled: BTreeMap<usize, bool>,
    charged: bool,
    /// Sources that give all they can.
    full: BTreeMap<usize, bool>,
}

/// A machine with one fault in one setup.
struct Opinion<'m> {
    machine: &'m Machine,
    parts: &'m Parts,
    nodes: Nodes,
    setup: &'m Setup,
    fault: Option<Knot>,
    /// Fuses and outputs that are open.
    blown: Vec<usize>,
    tripped: Vec<usize>,
}

/// A solved network: per node root its volts, none if it floats.
struct Solved {
    volts: Vec<Option<f64>>,
    links: Vec<Link>,
    /// Per element: the numbers of its links.
    of_element: Vec<Vec<usize>>,
    of_output: Vec<usize>,
}

impl Opinion<'_> {
    fn kind(&self) -> Option<FaultKind> {
        self.fault.map(|knot| self.machine.fault(knot.fault).kind)
    }

    fn severity(&self) -> f64 {
        self.fault.map_or(0.0, |knot| knot.severity)
    }

    fn fixed(&self, logic: &Logic) -> bool {
        match logic {
            Logic::All(parts) => parts.iter().all(|p| self.fixed(p)),
            Logic::Operator(control, states) => states.contains(&self.setup.state(*control)),
            Logic::Power(powers) => powers.contains(&self.setup.power()),
            other => panic!("a switch cannot depend on {other:?}"),
        }
    }

    /// The ohms of an element's links now; none is open.
    fn element(&self, id: usize, states: &States) -> Vec<Option<f64>> {
        let element = &self.parts.elements[id];
        let own = element.ohms.map(Ohms::value);
        let kind = self.kind();
        let mut ohms: Vec<Option<f64>> = match &element.kind {
            Kind::Wire(wire) => {
                let mut at = 0.0;
                let ends = wire.rubs.iter().map(|r| r.along.value()).chain([wire.length.value()]);
                ends.map(|end| {
                    let length = end - at;
                    at = end;
                    Some(wire.ohms(Metres(length), Celsius(20.0)).value())
                })
                .collect()
            }
            Kind::Contact { connector, .. } => vec![own.filter(|_| !self.setup.is_apart(*connector))],
            Kind::Switch { closed } => {
                let stuck = kind == Some(FaultKind::StuckClosed(element_id(self.machine, id)));
                vec![own.filter(|_| stuck || self.fixed(closed))]
            }
            Kind::RelayContact { coil, rests } => {
                let moved = states.pulled.get(&coil.at()).copied().unwrap_or(false);
                let stuck = kind == Some(FaultKind::StuckClosed(element_id(self.machine, id)));
                vec![own.filter(|_| stuck || moved == (*rests == Rests::Open))]
            }
            Kind::Fuse { .. } => vec![own.filter(|_| !self.blown.contains(&id))],
            Kind::Source { when, .. } => vec![own.filter(|_| self.fixed(when))],
            Kind::Load { .. } | Kind::Resistor | Kind::Joint => vec![own],
            Kind::Potentiometer(wiper) => {
                // Either half keeps a thousandth of the track: the wiper's own.
                let stands = wiper.stands.iter().find(|(logic, _)| self.fixed(logic));
                let share = stands.map_or(0.5, |(_, share)| *share).clamp(0.001, 0.999);
                vec![own.map(|ohms| ohms * share), own.map(|ohms| ohms * (1.0 - share))]
            }
            Kind::Diode => panic!("no diodes in these machines"),
        };
        match kind {
            Some(FaultKind::Open(broken, stretch)) if broken.at() == id => ohms[stretch as usize] = None,
            Some(FaultKind::Resistive(poor)) if poor.at() == id => {
                let last = ohms.len() - 1;
                ohms[last] = ohms[last].map(|r| r + self.severity());
            }
            Some(FaultKind::Shorted(load)) if load.at() == id => ohms[0] = Some(self.severity()),
            Some(FaultKind::SourceDead(source)) if source.at() == id => ohms[0] = None,
            _ => {}
        }
        ohms
    }

    fn dead(&self, controller: usize) -> bool {
        matches!(self.kind(), Some(FaultKind::ControllerDead(id)) if id.at() == controller)
    }

    fn dead_pin(&self, pin: PointId, controller: usize) -> bool {
        self.dead(controller) || self.kind() == Some(FaultKind::PinDead(pin))
    }

    fn battery(&self, states: &States) -> f64 {
        if self.kind() == Some(FaultKind::SupplyLow) {
            return self.severity();
        }
        let supply = &self.parts.supply;
        let charged = supply.charged_by.is_none() || states.charged;
        let running = self.setup.power() == Power::Running && charged;
        supply.charging.filter(|_| running).unwrap_or(supply.volts).value()
    }

    fn links(&self, states: &States) -> Solved {
        let (parts, nodes) = (self.parts, &self.nodes);
        let mut links: Vec<Link> = Vec::new();
        let mut of_element = Vec::new();
        let battery = |name| nodes.at(self.machine.point(name).expect("built in"));
        let (minus, plus) = (battery("B-"), battery("B+"));
        links.push((plus, minus, parts.supply.ohms.expect("not ideal").value(), self.battery(states)));
        for (id, element) in parts.elements.iter().enumerate() {
            let (a, b) = (nodes.at(element.ends[0]), nodes.at(element.ends[1]));
            let rubs = (0..).map_while(|at| nodes.of_rub.get(&(id, at)).map(|n| nodes.root(*n)));
            let wiper = match &element.kind {
                Kind::Potentiometer(wiper) => Some(nodes.at(wiper.point)),
                _ => None,
            };
            let chain: Vec<usize> = std::iter::once(a).chain(rubs).chain(wiper).chain([b]).collect();
            let mut own = Vec::new();
            for (pair, ohms) in chain.windows(2).zip(self.element(id, states)) {
                own.push(links.len());
                let (volts, plus) = match &element.kind {
                    Kind::Source { volts, plus, .. } => (volts.value(), *plus),
                    _ => (0.0, 0),
                };
                let sign = if plus == 0 { 1.0 } else { -1.0 };
                // What gives all it can is a source of so many volts behind so many ohms that nothing changes its amps.
                let given = most(element).filter(|_| ohms.is_some() && states.full.get(&id) == Some(&true));
                let (ohms, volts) = given.map_or((ohms, volts), |amps| (Some(1e9), amps * 1e9));
                links.push((pair[0], pair[1], ohms.unwrap_or(f64::INFINITY), sign * volts));
            }
            of_element.push(own);
        }
        let frame = nodes.at(self.machine.frame());
        for (at, stud) in parts.studs.iter().enumerate() {
            let poor = matches!(self.kind(), Some(FaultKind::Stud(s)) if s as usize == at);
            links.push((
                nodes.at(stud.point),
                frame,
                stud.ohms.value() + if poor { self.severity() } else { 0.0 },
                0.0,
            ));
        }
        self.boxes(states, &mut links);
        let of_output = self.outputs(states, &mut links);
        self.joined(&mut links, frame);
        Solved { volts: Vec::new(), links, of_element, of_output }
    }

    fn boxes(&self, states: &States, links: &mut Vec<Link>) {
        for (at, controller) in self.parts.controllers.iter().enumerate() {
            let (plus, minus) = (self.nodes.at(controller.feed.plus), self.nodes.at(controller.feed.minus));
            assert!(controller.feed.sleep.is_none(), "no box of these machines sleeps");
            links.push((plus, minus, controller.feed.ohms.value(), 0.0));
            for (a, b, ohms) in &controller.inside {
                links.push((self.nodes.at(*a), self.nodes.at(*b), ohms.value(), 0.0));
            }
            for id in &controller.inputs {
                let input = &self.parts.inputs[id.at()];
                let pin = self.nodes.at(input.pin);
                if let (Some((to, ohms)), true) =
                    (input.pull_up, states.fed[at] && !self.dead_pin(input.pin, at))
                {
                    match to {
                        PullUp::Volts(volts) => links.push((pin, minus, ohms.value(), volts.value())),
                        PullUp::Plus => links.push((pin, plus, ohms.value(), 0.0)),
                    }
                }
                links.extend(input.pull_down.map(|ohms| (pin, minus, ohms.value(), 0.0)));
            }
        }
    }

    fn outputs(&self, states: &States, links: &mut Vec<Link>) -> Vec<usize> {
        let mut numbers = Vec::new();
        for (at, output) in self.parts.outputs.iter().enumerate() {
            let controller = output.controller.at();
            let feed = self.parts.controllers[controller].feed;
            let works = states.on[at]
                && states.fed[controller]
                && !self.dead_pin(output.pin, controller)
                && !self.tripped.contains(&at);
            let (other, volts) = match output.drives {
                Drive::Plus => (feed.plus, 0.0),
                Drive::Minus => (feed.minus, 0.0),
                Drive::Rail(volts) => (feed.minus, volts.value()),
            };
            numbers.push(links.len());
            let ohms = if works { output.ohms.value() } else { f64::INFINITY };
            links.push((self.nodes.at(output.pin), self.nodes.at(other), ohms, volts));
        }
        numbers
    }

    /// Chafes, wires that touch, water.
    fn joined(&self, links: &mut Vec<Link>, frame: usize) {
        let rub = |wire: ElementId, at: u32| self.nodes.root(self.nodes.of_rub[&(wire.at(), at as usize)]);
        let side = |contact: ElementId| self.nodes.at(self.parts.elements[contact.at()].ends[0]);
        match self.kind() {
            Some(FaultKind::Grounded(wire, at)) => links.push((rub(wire, at), frame, self.severity(), 0.0)),
            Some(FaultKind::Touching(pair)) => {
                let [(a, at), (b, bt)] = self.parts.touching[pair as usize];
                links.push((rub(a, at), rub(b, bt), self.severity(), 0.0));
            }
            Some(FaultKind::Wet(pair)) => {
                let [a, b] = self.parts.wet[pair as usize];
                links.push((side(a), side(b), self.severity(), 0.0));
            }
            _ => {}
        }
    }

    /// Solves, with further links: the meter.
    fn solve(&self, states: &States, more: &[Link]) -> Solved {
        let mut solved = self.links(states);
        solved.links.extend_from_slice(more);
        solved.volts = self.equations(&solved).gauss();
        solved
    }

    fn equations(&self, solved: &Solved) -> Equations {
        equations(&solved.links, self.nodes.parent.len(), self.nodes.at(self.machine.frame()))
    }

    fn next(&self, states: &States, solved: &Solved) -> States {
        let parts = self.parts;
        let volts = |a: PointId, b: PointId| self.between(solved, a, b);
        let fed: Vec<bool> = parts
            .controllers
            .iter()
            .enumerate()
            .map(|(at, c)| !self.dead(at) && volts(c.feed.plus, c.feed.minus) >= c.feed.least.value())
            .collect();
        let pulled = parts.elements.iter().enumerate().filter_map(|(at, element)| {
            let Kind::Load { pulls_in: Some(least) } = element.kind else { return None };
            let shorted = matches!(self.kind(), Some(FaultKind::Shorted(e)) if e.at() == at);
            let amps = solved.amps(solved.of_element[at][0]).abs();
            let across = volts(element.ends[0], element.ends[1]).abs();
            let work = across.min(amps * element.ohms.expect("a load").value());
            Some((at, !shorted && work >= least.value()))
        });
        let full = parts.elements.iter().enumerate().filter_map(|(at, element)| {
            let (most, Kind::Source { volts: held, plus, .. }) = (most(element)?, &element.kind) else {
                return None;
            };
            let full = if states.full.get(&at) == Some(&true) {
                let (plus, minus) = (element.ends[usize::from(*plus)], element.ends[1 - usize::from(*plus)]);
                volts(plus, minus) < held.value() - most * element.ohms.expect("it has some").value()
            } else {
                -solved.amps_of_source(parts, element_id(self.machine, at)) > most
            };
            Some((at, full))
        });
        let full = full.collect();
        let mut next = States { fed, on: Vec::new(), pulled: pulled.collect(), charged: false, full };
        next.charged = parts.supply.charged_by.is_some_and(|g| -solved.amps_of_source(parts, g) > 0.1);
        let seen = Seen { opinion: self, states, next: &next, solved };
        let on = parts.outputs.iter().enumerate().map(|(at, output)| {
            let c = output.controller.at();
            !self.tripped.contains(&at)
                && !self.dead_pin(output.pin, c)
                && states.fed[c]
                && next.fed[c]
                && seen.holds(&output.when)
        });
        let on = on.collect();
        States { on, ..next }
    }

    fn between(&self, solved: &Solved, a: PointId, b: PointId) -> f64 {
        let at = |p: PointId| solved.volts[self.nodes.at(p)];
        at(a).zip(at(b)).map_or(0.0, |(a, b)| a - b)
    }

    fn start(&self) -> States {
        States {
            fed: vec![false; self.parts.controllers.len()],
            on: vec![false; self.parts.outputs.len()],
            ..States::default()
        }
    }

    /// The states it settles in: one, or those of its cycle.
    fn settle(&self) -> Vec<(States, Solved)> {
        let mut seen: Vec<(States, Solved)> = Vec::new();
        let mut states = self.start();
        let pulled = |states: &States| {
            states.pulled.iter().filter(|(_, on)| **on).map(|(at, _)| *at).collect::<Vec<_>>()
        };
        loop {
            let solved = self.solve(&states, &[]);
            let next = self.next(&states, &solved);
            seen.push((states, solved));
            let same = |s: &States| {
                s.fed == next.fed
                    && s.on == next.on
                    && s.charged == next.charged
                    && pulled(s) == pulled(&next)
            };
            if let Some(from) = seen.iter().position(|(s, _)| same(s)) {
                return seen.split_off(from);
            }
            states = next;
        }
    }

    /// Opens what is over its rating, one device a time, outputs first.
    fn open(&mut self, settled: &[(States, Solved)]) -> bool {
        let mut worst: Option<(bool, f64, usize)> = None;
        for (_, solved) in settled {
            for (at, output) in self.parts.outputs.iter().enumerate() {
                let load = output.limit.map_or(0.0, |l| solved.amps(solved.of_output[at]).abs() / l.value());
                if load > 1.0 && worst.is_none_or(|(out, most, _)| !out || load > most) {
                    worst = Some((true, load, at));
                }
            }
            for (at, element) in self.parts.elements.iter().enumerate() {
                let Kind::Fuse { rating } = element.kind else { continue };
                let load = solved.amps(solved.of_element[at][0]).abs() / rating.value();
                if load > 1.35 && worst.is_none_or(|(out, most, _)| !out && load > most) {
                    worst = Some((false, load, at));
                }
            }
        }
        match worst {
            Some((true, _, at)) => self.tripped.push(at),
            Some((false, _, at)) => self.blown.push(at),
            None => return false,
        }
        true
    }
}

impl Solved {
    /// The current through a link, from its first node to its second.
    fn amps(&self, link: usize) -> f64 {
        let (a, b, ohms, volts) = self.links[link];
        self.volts[a].zip(self.volts[b]).map_or(0.0, |(va, vb)| (va - vb - volts) / ohms)
    }

    fn amps_of_source(&self, parts: &Parts, id: ElementId) -> f64 {
        let Kind::Source { plus, .. } = parts.elements[id.at()].kind else { return 0.0 };
        let amps = self.amps(self.of_element[id.at()][0]);
        if plus == 0 { amps } else { -amps }
    }
}

/// What logic sees.
struct Seen<'s, 'm> {
    opinion: &'s Opinion<'m>,
    states: &'s States,
    next: &'s States,
    solved: &'s Solved,
}

impl Seen<'_, '_> {
    /// What a fed controller has at an input, over its own minus.
    fn volts(&self, id: InputId) -> Option<f64> {
        let input = &self.opinion.parts.inputs[id.at()];
        let minus = self.opinion.parts.controllers[input.controller.at()].feed.minus;
        let fed = self.next.fed[input.controller.at()];
        fed.then(|| self.opinion.between(self.solved, input.pin, minus))
    }

    fn level(&self, id: InputId) -> Option<Level> {
        let input = &self.opinion.parts.inputs[id.at()];
        let volts = self.volts(id)?;
        Some(if input.low_below.is_some_and(|l| volts < l.value()) {
            Level::Low
        } else if input.high_from.is_some_and(|h| volts >= h.value()) {
            Level::High
        } else {
            Level::Neither
        })
    }

    fn holds(&self, logic: &Logic) -> bool {
        let fed = |id: &ControllerId| self.next.fed[id.at()];
        let on = |id: &OutputId| self.states.on[id.at()];
        match logic {
            Logic::All(parts) => parts.iter().all(|p| self.holds(p)),
            Logic::Any(parts) => parts.iter().any(|p| self.holds(p)),
            Logic::Not(part) => !self.holds(part),
            Logic::Input(input, level) => self.level(*input) == Some(*level),
            Logic::Load(load) => self.next.pulled.get(&load.at()).copied().unwrap_or(false),
            Logic::Fed(id) => fed(id),
            Logic::Output(id) => on(id),
            Logic::Agree { inputs: [one, other], sum, within } => {
                let (Some(one), Some(other)) = (self.volts(*one), self.volts(*other)) else { return false };
                let apart = match sum {
                    Some(sum) => one + other - sum.value(),
                    None => one - other,
                };
                apart.abs() <= within.value()
            }
            other => self.opinion.fixed(other),
        }
    }
}

/// The most amps that a source gives.
fn most(element: &Element) -> Option<f64> {
    let Kind::Source { most, .. } = &element.kind else { return None };
    most.map(Amps::value)
}

fn element_id(machine: &Machine, at: usize) -> ElementId {
    machine.element(&machine.parts().elements[at].name).expect("its own name")
}

/// The equations of a network: matrix and right side, and the row of each node; what no link joins to
/// the frame has none.
struct Equations {
    matrix: Vec<Vec<f64>>,
    right: Vec<f64>,
    row: Vec<Option<usize>>,
    reached: Vec<bool>,
}

fn equations(links: &[Link], count: usize, frame: usize) -> Equations {
    let conducts = || links.iter().filter(|(a, b, ohms, _)| ohms.is_finite() && a != b);
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (a, b, ..) in conducts() {
        near[*a].push(*b);
        near[*b].push(*a);
    }
    let (mut reached, mut front) = (vec![false; count], vec![frame]);
    reached[frame] = true;
    while let Some(node) = front.pop() {
        for other in &near[node] {
            if !std::mem::replace(&mut reached[*other], true) {
                front.push(*other);
            }
        }
    }
    // Those with few neighbours first, so that little fills in.
    let mut order: Vec<usize> = (0..count).filter(|n| reached[*n] && *n != frame).collect();
    order.sort_by_key(|n| near[*n].len());
    let mut row = vec![None; count];
    for (at, node) in order.iter().enumerate() {
        row[*node] = Some(at);
    }
    let (mut matrix, mut right) = (vec![vec![0.0; order.len()]; order.len()], vec![0.0; order.len()]);
    for (a, b, ohms, volts) in conducts() {
        for (i, j, sign) in [(row[*a], row[*b], 1.0), (row[*b], row[*a], -1.0)] {
            let Some(i) = i else { continue };
            matrix[i][i] += 1.0 / ohms;
            right[i] += sign * volts / ohms;
            if let Some(j) = j {
                matrix[i][j] -= 1.0 / ohms;
            }
        }
    }
    Equations { matrix, right, row, reached }
}

impl Equations {
    fn volts(&self, solved: &[f64]) -> Vec<Option<f64>> {
        let of = |n: usize| self.reached[n].then(|| self.row[n].map_or(0.0, |row| solved[row]));
        (0..self.row.len()).map(of).collect()
    }

    /// Plain Gaussian elimination, for the many solves on the way.
    fn gauss(mut self) -> Vec<Option<f64>> {
        let size = self.right.len();
        for pivot in 0..size {
            let filled: Vec<usize> = (pivot..size).filter(|c| self.matrix[pivot][*c] != 0.0).collect();
            for below in filled.iter().copied().filter(|row| *row > pivot) {
                let factor = self.matrix[below][pivot] / self.matrix[pivot][pivot];
                for column in &filled {
                    self.matrix[below][*column] -= factor * self.matrix[pivot][*column];
                }
                self.right[below] -= factor * self.right[pivot];
            }
        }
        let mut solved = vec![0.0; size];
        for pivot in (0..size).rev() {
            let later: f64 = (pivot + 1..size).map(|c| self.matrix[pivot][c] * solved[c]).sum();
            solved[pivot] = (self.right[pivot] - later) / self.matrix[pivot][pivot];
        }
        self.volts(&solved)
    }

    /// The library's dense LU, for what is compared in the end.
    fn library(&self) -> Vec<Option<f64>> {
        let size = self.right.len();
        let matrix = nalgebra::DMatrix::from_fn(size, size, |i, j| self.matrix[i][j]);
        let right = nalgebra::DVector::from_column_slice(&self.right);
        let solved = matrix.lu().solve(&right).expect("a grounded network has a solution");
        self.volts(solved.as_slice())
    }
}

/// What the program says of a machine with one fault in one setup.
struct Told {
    chatters: bool,
    blown: Vec<usize>,
    tripped: Vec<usize>,
    /// Least and most volts, by point.
    volts: Vec<(f64, f64)>,
}

impl Told {
    fn of(machine: &Machine, setup: &Setup, fault: Option<Knot>) -> Self {
        let day = machine.day(Today::default());
        let (case, rig) = (day.case(fault.as_slice()), day.rig(setup));
        let settled = case.settle(&rig);
        let volts = |red| {
            let shown = settled.volts(Probes { red, black: machine.frame() });
            (shown.least.value(), shown.most.value())
        };
        Self {
            chatters: settled.chatters(),
            blown: settled.fuses_blown().iter().map(|id| id.at()).collect(),
            tripped: settled.outputs_tripped().iter().map(|o| o.at()).collect(),
            volts: machine.point_ids().map(volts).collect(),
        }
    }
}

/// Compares every point of a machine with one fault in one setup; every `metered`th point with the
/// meter in the network, others by turns.
fn compare(machine: &Machine, setup: &Setup, (turn, fault): (usize, Option<Knot>), metered: usize) {
    hold(machine, setup, (turn, fault), metered, Told::of(machine, setup, fault));
}

fn hold(machine: &Machine, setup: &Setup, (turn, fault): (usize, Option<Knot>), metered: usize, told: Told) {
    let name = fault.map_or("healthy", |k| machine.fault(k.fault).name.as_str());
    let parts = machine.parts();
    // What has opened while the operator tried is told by the program; that these open, and no others,
    // is held by `opened_as_tried`.
    let (nodes, blown, tripped) = (Nodes::new(parts), told.blown, told.tripped);
    let opinion = Opinion { machine, parts, nodes, setup, fault, blown, tripped };
    let frames = opinion.settle();
    assert_eq!(told.chatters, frames.len() > 1, "{name}: chattering");
    for (_, solved) in frames.iter().filter(|_| turn.is_multiple_of(LIBRARY)) {
        let library = opinion.equations(solved).library();
        for (ours, theirs) in solved.volts.iter().zip(&library) {
            assert_eq!(ours.is_some(), theirs.is_some(), "{name}: floating");
            let apart = ours.unwrap_or(0.0) - theirs.unwrap_or(0.0);
            assert!(apart.abs() < AGREE, "{name}: the two eliminations of this file are {apart} V apart");
        }
    }
    for (nth, (red, shown)) in machine.point_ids().zip(told.volts).enumerate() {
        let node = opinion.nodes.at(red);
        let point = &parts.points[red.at()].name;
        // What floats reads zero: the meter alone ties it to the frame.
        let range = |volts: &dyn Fn(&(States, Solved)) -> Option<f64>| {
            let all = || frames.iter().map(|frame| volts(frame).unwrap_or(0.0));
            (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max))
        };
        // Where the meter takes next to nothing off, it need not be put into the network every time.
        let bare = range(&|(_, solved)| solved.volts[node]);
        let close = |(theirs, ours): (f64, f64)| (theirs - ours).abs() <= AGREE + 3e-3 * ours.abs();
        if nth % metered != turn % metered && close((shown.0, bare.0)) && close((shown.1, bare.1)) {
            continue;
        }
        let meter = [(node, opinion.nodes.at(machine.frame()), 10e6, 0.0)];
        let loaded = range(&|(states, _)| opinion.solve(states, &meter).volts[node]);
        for (theirs, ours) in [(shown.0, loaded.0), (shown.1, loaded.1)] {
            assert!((theirs - ours).abs() <= AGREE, "{name}, {point}: {theirs} V, here {ours} V");
        }
    }
}

/// Devices that open while every function is tried, opened here in the same documented order.
fn opened_as_tried(machine: &Machine, fault: Option<Knot>) {
    let day = machine.day(Today::default());
    let case = day.case(fault.as_slice());
    let name = fault.map_or("healthy", |k| machine.fault(k.fault).name.as_str());
    let parts = machine.parts();
    let (mut blown, mut tripped) = (Vec::new(), Vec::new());
    let functions: Vec<&Function> = parts.functions.iter().collect();
    for function in functions {
        let id = machine.function(&function.name).expect("its own name");
        let (with, held) = machine.function_setups(id);
        for setup in std::iter::once(&with).chain(&held) {
            let nodes = Nodes::new(parts);
            let mut opinion = Opinion {
                machine,
                parts,
                nodes,
                setup,
                fault,
                blown: blown.clone(),
                tripped: tripped.clone(),
            };
            loop {
                let settled = opinion.settle();
                if !opinion.open(&settled) {
                    break;
                }
            }
            (blown, tripped) = (opinion.blown, opinion.tripped);
        }
    }
    let resting = machine.resting(Power::Off);
    let rig = day.rig(&resting);
    let settled = case.settle(&rig);
    let open = |id: &ElementId| fault.is_none_or(|k| machine.fault(k.fault).kind != FaultKind::Open(*id, 0));
    let mut told: Vec<usize> = settled.fuses_blown().iter().filter(|id| open(id)).map(|id| id.at()).collect();
    told.sort_unstable();
    blown.sort_unstable();
    assert_eq!(told, blown, "{name}: fuses");
    let mut told: Vec<usize> = settled.outputs_tripped().iter().map(|o| o.at()).collect();
    told.sort_unstable();
    tripped.sort_unstable();
    assert_eq!(told, tripped, "{name}: outputs");
}

fn electrical(machine: &Machine) -> Vec<Option<Knot>> {
    let of = |id| {
        let silent = matches!(machine.fault(id).kind, FaultKind::Intermittent(_) | FaultKind::Other);
        (!silent).then(|| Some(machine.knot(id, None)))
    };
    std::iter::once(None).chain(machine.fault_ids().filter_map(of)).collect()
}

fn lifting(machine: &Machine, power: Power) -> Setup {
    machine.setup(&[("key", "on"), ("bar", "down"), ("door", "shut")], Some(power)).expect("a setup")
}

#[test]
fn every_fault_of_the_example_reads_as_the_dense_solve_says() {
    let machine = machine_of(EXAMPLE);
    let mut apart = lifting(&machine, Power::Live);
    apart.unplugged.push(machine.connector("X14").expect("X14"));
    for fault in electrical(&machine).into_iter().enumerate() {
        compare(&machine, &lifting(&machine, Power::Live), fault, 1);
        compare(&machine, &apart, fault, 5);
        opened_as_tried(&machine, fault.1);
    }
}

/// Every setup in which a function is tried, each once.
fn setups(machine: &Machine) -> Vec<Setup> {
    let mut all: Vec<Setup> = Vec::new();
    for id in machine.function_ids() {
        let (with, held) = machine.function_setups(id);
        for setup in std::iter::once(with).chain(held) {
            if !all.contains(&setup) {
                all.push(setup);
            }
        }
    }
    all
}

/// Every fault of a machine, each in one of the setups by turns; optimised, in all of them.
fn every_fault_reads(text: &str) {
    let machine = machine_of(text);
    let setups = setups(&machine);
    assert!(setups.len() > 5, "{}", machine.name);
    let each = if cfg!(debug_assertions) { 1 } else { setups.len() };
    for (turn, fault) in electrical(&machine).into_iter().enumerate() {
        for nth in 0..each {
            compare(&machine, &setups[(turn + nth) % setups.len()], (turn, fault), 60);
        }
        if turn % 40 == 1 {
            opened_as_tried(&machine, fault);
        }
    }
}

#[test]
fn every_fault_of_tern_reads_as_the_dense_solve_says() {
    every_fault_reads(TERN);
}

#[test]
fn every_fault_of_wren_reads_as_the_dense_solve_says() {
    every_fault_reads(include_str!("../trees/wren/machine.yaml"));
}

#[test]
fn every_fault_of_heron_reads_as_the_dense_solve_says() {
    every_fault_reads(include_str!("../trees/heron/machine.yaml"));
}

/// What `predict` prints for a fault, as another program reads it.
fn predicted(machine: &Machine, fault: &str) -> Told {
    let mut command = assert_cmd::Command::cargo_bin("loomwalk").expect("the program");
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command.args([
        "predict",
        "trees/tern/machine.yaml",
        "--with",
        "key=on,bar=down,door=shut",
        "--power",
        "live",
    ]);
    let output = command.args(["--format", "json", "--fault", fault]).output().expect("it runs");
    let shown: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(shown["fault"], fault);
    let names = |key: &str| -> Vec<String> {
        let listed = shown[key].as_array().expect("a list").iter();
        listed.map(|name| name.as_str().expect("a name").to_owned()).collect()
    };
    let parts = machine.parts();
    let output =
        |name: &String| parts.outputs.iter().position(|output| output.name == *name).expect("an output");
    let volts = |point: &loomwalk::machine::Point| {
        let told = &shown["points"][&point.name];
        let one =
            |value: &serde_json::Value| value.as_f64().unwrap_or_else(|| panic!("{}: {told}", point.name));
        let range = &told["volts_range"];
        if range.is_null() {
            (one(&told["volts"]), one(&told["volts"]))
        } else {
            (one(&range[0]), one(&range[1]))
        }
    };
    Told {
        chatters: shown["chatter"].as_bool().expect("a boolean"),
        blown: names("fuses_blown").iter().map(|name| machine.element(name).expect("a fuse").at()).collect(),
        tripped: names("outputs_tripped").iter().map(output).collect(),
        volts: parts.points.iter().map(volts).collect(),
    }
}

/// Every enumerated fault, also those that show only while moved and those that are not electrical.
#[test]
fn what_predict_prints_for_every_fault_of_tern_is_what_the_dense_solve_says() {
    let machine = machine_of(TERN);
    let setup = lifting(&machine, Power::Live);
    let faults: Vec<_> = machine.fault_ids().enumerate().collect();
    std::thread::scope(|scope| {
        for part in faults.chunks(faults.len().div_ceil(2)) {
            let (machine, setup) = (&machine, &setup);
            scope.spawn(move || {
                for (turn, id) in part {
                    let told = predicted(machine, &machine.fault(*id).name);
                    hold(machine, setup, (*turn, Some(machine.knot(*id, None))), 60, told);
                }
            });
        }
    });
}
