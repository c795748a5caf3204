//! Which circuits one function hangs on: from its loads up to what feeds them and down to where their current goes,
//! from a moved contact to its coil, from an output to the inputs that it waits for.

use std::collections::BTreeSet;

use super::line::{Line, Shape};
use crate::machine::{
    ControllerId, ElementId, FunctionId, InputId, Kind, Logic, Machine, OutputId, Owner, PointId,
};

/// The numbers of the chains that a function hangs on.
pub(super) fn chains_of(machine: &Machine, function: FunctionId, lines: &[Line]) -> BTreeSet<usize> {
    let mut reach = Reach { machine, lines, chains: BTreeSet::new(), boxes: BTreeSet::new() };
    reach.logic(&machine.parts().functions[function.at()].works);
    // Where anything goes to the frame, the frame goes back to the battery.
    let minus = machine.point("B-");
    for line in lines {
        if minus.is_some_and(|minus| line.stands.iter().any(|stand| stand.points.contains(&minus))) {
            reach.chain(line.chain, Way::Up);
        }
    }
    reach.chains.into_iter().map(|(chain, _)| chain).collect()
}

/// Which way a line was come to: what feeds a line has other branches, and what its current goes into has other feeders.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Way {
    /// It feeds what was reached before.
    Up,
    /// The current of what was reached before goes on in it.
    Down,
    /// It is wanted for itself.
    Both,
}

struct Reach<'a> {
    machine: &'a Machine,
    lines: &'a [Line],
    chains: BTreeSet<(usize, Way)>,
    boxes: BTreeSet<ControllerId>,
}

impl Reach<'_> {
    fn logic(&mut self, logic: &Logic) {
        match logic {
            Logic::All(parts) | Logic::Any(parts) => parts.iter().for_each(|part| self.logic(part)),
            Logic::Not(part) => self.logic(part),
            Logic::Load(load) => self.element(*load),
            Logic::Fed(id) => self.controller(*id),
            Logic::Output(id) => self.output(*id),
            Logic::Input(id, _) => self.input(*id),
            Logic::Agree { inputs, .. } => inputs.iter().for_each(|id| self.input(*id)),
            Logic::Operator(..) | Logic::Power(_) => {}
        }
    }

    fn element(&mut self, id: ElementId) {
        self.chain(self.machine.parts().elements[id.at()].chain, Way::Both);
    }

    fn controller(&mut self, id: ControllerId) {
        if self.boxes.insert(id) {
            let feed = self.machine.parts().controllers[id.at()].feed;
            self.point(feed.plus);
            self.point(feed.minus);
            if let Some((wake, _)) = feed.sleep {
                self.point(wake);
            }
        }
    }

    fn input(&mut self, id: InputId) {
        let input = &self.machine.parts().inputs[id.at()];
        self.controller(input.controller);
        self.point(input.pin);
    }

    fn output(&mut self, id: OutputId) {
        let output = &self.machine.parts().outputs[id.at()];
        self.controller(output.controller);
        self.point(output.pin);
        self.logic(&output.when);
    }

    /// Every chain that a point stands in.
    fn point(&mut self, point: PointId) {
        for at in super::line::lines_at(self.machine, self.lines, point) {
            self.chain(self.lines[at].chain, Way::Both);
        }
    }

    fn chain(&mut self, chain: usize, way: Way) {
        let known = self.chains.contains(&(chain, Way::Both));
        if known || !self.chains.insert((chain, way)) {
            return;
        }
        let Some(line) = self.lines.iter().find(|line| line.chain == chain) else { return };
        for stand in &line.stands {
            if let Some(Kind::RelayContact { coil, .. }) =
                stand.element.map(|id| &self.machine.parts().elements[id.at()].kind)
            {
                self.element(*coil);
            }
            stand.points.iter().for_each(|point| self.pin(*point));
        }
        self.neighbours(line, way);
    }

    /// A pin that is driven waits for the inputs of its output.
    fn pin(&mut self, point: PointId) {
        let parts = self.machine.parts();
        let Owner::Controller(id) = parts.points[point.at()].owner else { return };
        self.controller(id);
        let driven = parts.outputs.iter().position(|output| output.pin == point);
        if let Some(at) = driven {
            self.logic(&parts.outputs[at].when);
        }
    }

    /// What feeds the line's start and takes its end further: a line that only begins at the start, or only ends at
    /// the end, is another branch.
    fn neighbours(&mut self, line: &Line, way: Way) {
        let (Some(first), Some(last)) = (line.start(), line.end()) else { return };
        let same = |a: Option<PointId>, b: PointId| a.is_some_and(|a| self.machine.is_one_place(a, b));
        let meets = |other: &Line, point| {
            other.stands.iter().flat_map(|stand| &stand.points).any(|own| same(Some(*own), point))
        };
        let frame = |point: PointId| {
            matches!(self.machine.parts().points[point.at()].owner, Owner::Stud(_) | Owner::Frame)
        };
        // What an alternator takes back is no part of what it is wanted for.
        let source = |other: &Line| other.stands.iter().any(|stand| stand.shape == Shape::Source);
        let mut next: Vec<(usize, Way)> = Vec::new();
        for other in self.lines.iter().filter(|other| other.chain != line.chain) {
            let feeds =
                way != Way::Down && !frame(first) && meets(other, first) && !same(other.start(), first);
            let takes = way != Way::Up
                && !source(other)
                && !frame(last)
                && meets(other, last)
                && !same(other.end(), last);
            next.extend(feeds.then_some((other.chain, Way::Up)));
            next.extend(takes.then_some((other.chain, Way::Down)));
        }
        for (chain, way) in next {
            self.chain(chain, way);
        }
    }
}

impl Line {
    /// Where its current comes in.
    #[must_use]
    pub fn start(&self) -> Option<PointId> {
        self.stands.first()?.points.first().copied()
    }

    /// Where its current goes out.
    #[must_use]
    pub fn end(&self) -> Option<PointId> {
        self.stands.last()?.points.last().copied()
    }
}
