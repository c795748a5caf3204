//! What the points of a circuit should read at the step a walk is at, and what was read at them.

use super::state::{Outcome, Walk};
use crate::machine::PointId;
use crate::reason::ShouldRead;
use crate::tree::{Kind, Leads};

impl Walk {
    /// The volts that these points should show against the frame in the setup of the step, with nothing wrong; none
    /// without a machine.
    #[must_use]
    pub fn volts_along(&self, points: &[PointId]) -> Option<Vec<ShouldRead>> {
        self.at_step_today().volts_at(self.step_ix()?, points)
    }

    /// The point in question: where the red lead goes at the step, or what is looked at there; else where the last
    /// reading was taken.
    #[must_use]
    pub fn point_in_question(&self) -> Option<PointId> {
        let tree = self.course().tree();
        let machine = tree.model.as_deref()?;
        let here = self.step_ix().into_iter();
        let before = self.visits().iter().rev().map(|visit| visit.step);
        here.chain(before).find_map(|ix| {
            let names = match &tree.step(ix).kind {
                Kind::Read(read) => match &read.leads {
                    Leads::RedBlack { red, .. } => vec![red.clone()],
                    Leads::Across(a, b) => vec![a.clone(), b.clone()],
                    Leads::Around(name) | Leads::At(name) => vec![name.clone()],
                },
                Kind::Look(look) => look.places.clone(),
                _ => Vec::new(),
            };
            names.iter().find_map(|name| {
                let end =
                    || machine.point(&format!("{name}:1")).or_else(|| machine.point(&format!("{name}a")));
                machine.point(name).or_else(end)
            })
        })
    }

    /// What was read last at each point, with the name of the point, own readings among them.
    #[must_use]
    pub fn read_at(&self) -> Vec<(String, String)> {
        let tree = self.course().tree();
        let of_tree = self.visits().iter().filter_map(|visit| {
            let Outcome::Read { reading, .. } = &visit.outcome else { return None };
            let Kind::Read(read) = &tree.step(visit.step).kind else { return None };
            let at = match &read.leads {
                Leads::RedBlack { red, .. } => red,
                Leads::Across(a, _) => a,
                Leads::Around(name) | Leads::At(name) => name,
            };
            Some((visit.left.unwrap_or(visit.entered), at.clone(), reading.to_string()))
        });
        let own =
            self.own_readings().iter().map(|(_, at, _, own)| (*at, own.red.clone(), own.reading.to_string()));
        let mut all: Vec<_> = of_tree.chain(own).collect();
        all.sort_by_key(|(at, _, _)| at.mono_ms);
        all.into_iter().map(|(_, at, reading)| (at, reading)).collect()
    }
}
