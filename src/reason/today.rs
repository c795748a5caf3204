//! One `read` step on this machine today: what it should read, and which band by likeness a reading falls in.
//!
//! For bands by likeness the edges lie where neighbouring likelihoods cross with today's battery, the reading's own
//! uncertainty in quadrature with that of the prediction; where two named bands are nearly as likely it is too close.

use super::likeness::Likeness;
use super::outlook::Outlook;
use super::situation::{Situation, setup_at};
use crate::machine::{PointId, Probes, Today};
use crate::safety::{State, Vocabulary};
use crate::tree::{Kind, StepIx, Tree};
use crate::units::{Amount, Measure, Meter, Reading, Seen};

/// What a step should read with nothing wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShouldRead {
    /// About this.
    About(Amount),
    /// `OL`.
    Over,
    /// It goes between these.
    Between(Amount, Amount),
}

/// Which band by likeness a reading falls in.
#[derive(Debug, Clone, PartialEq)]
pub enum LikeBand {
    /// This one, and where its edges lie today, in the base unit; infinite where it is open.
    In {
        /// The band, from 0.
        band: usize,
        /// Its lower and upper edge.
        edges: (f64, f64),
    },
    /// Several: too close to an edge.
    TooClose(Vec<usize>),
    /// None takes it.
    Nowhere,
}

/// A tree at a machine today, as far as a walk has come.
#[derive(Debug, Clone, Copy)]
pub struct AtStep<'a> {
    /// The tree.
    pub tree: &'a Tree,
    /// Its gates and zones.
    pub vocabulary: &'a Vocabulary,
    /// What is known of the machine.
    pub state: &'a State,
    /// Battery and temperature.
    pub today: Today,
    /// The meter.
    pub meter: Meter,
}

impl AtStep<'_> {
    /// What a `read` step should read with nothing wrong; `None` without a machine, or where it is not electrical.
    #[must_use]
    pub fn should_read(&self, ix: StepIx) -> Option<ShouldRead> {
        let machine = self.tree.model.as_deref()?;
        let Kind::Read(read) = &self.tree.step(ix).kind else { return None };
        let day = machine.day(self.today);
        let outlook = Outlook::new(self.tree, &day, self.vocabulary, self.meter);
        let now = Situation::of(self.state, self.vocabulary);
        match outlook.values(ix, read, &now, &day.healthy())?.as_slice() {
            [Some(one)] => Some(ShouldRead::About(*one)),
            [None] => Some(ShouldRead::Over),
            [Some(a), Some(b)] => Some(ShouldRead::Between(*a, *b)),
            _ => None,
        }
    }

    /// The volts that these points should show against the frame in the setup of a step, with nothing wrong; `None`
    /// without a machine, or where no such setup can be.
    #[must_use]
    pub fn volts_at(&self, ix: StepIx, points: &[PointId]) -> Option<Vec<ShouldRead>> {
        let machine = self.tree.model.as_deref()?;
        let now = Situation::of(self.state, self.vocabulary);
        let setup = setup_at(self.tree, machine, self.tree.step(ix), &now)?;
        let day = machine.day(self.today);
        let (rig, healthy) = (day.rig(&setup), day.healthy());
        let settled = healthy.settle(&rig);
        let volts = |value: f64| Amount::new(Measure::Volts.unit(), value);
        let shows = |point: &PointId| {
            let shown = settled.volts(Probes { red: *point, black: machine.frame() });
            let (least, most) = (shown.least.value(), shown.most.value());
            if most > least {
                ShouldRead::Between(volts(least), volts(most))
            } else {
                ShouldRead::About(volts(least))
            }
        };
        Some(points.iter().map(shows).collect())
    }

    /// The band by likeness that a reading falls in.
    #[must_use]
    pub fn like_band(&self, likeness: &Likeness, reading: &Reading) -> LikeBand {
        let value = match reading.seen() {
            Seen::Steady(value) => Some(value),
            Seen::Over => None,
            Seen::Jumps { .. } => return LikeBand::Nowhere,
        };
        let own = self.meter.estimate(reading).map_or(0.0, crate::units::Estimate::standard_uncertainty);
        match likeness.ways(value, own).as_slice() {
            [] => LikeBand::Nowhere,
            [band] => LikeBand::In { band: *band, edges: edges(likeness, *band, value, own) },
            several => LikeBand::TooClose(several.to_vec()),
        }
    }

    /// What everything that can be wrong would show at a `read` step: costly, and the same for every reading there as
    /// long as the situation, the day and the meter are the same.
    #[must_use]
    pub fn likeness(&self, ix: StepIx) -> Option<Likeness> {
        let machine = self.tree.model.as_deref()?;
        let Kind::Read(read) = &self.tree.step(ix).kind else { return None };
        let day = machine.day(self.today);
        let outlook = Outlook::new(self.tree, &day, self.vocabulary, self.meter);
        let likeness = outlook.likeness(ix, read, &Situation::of(self.state, self.vocabulary));
        Some((*likeness).clone())
    }
}

/// Where the likelihoods cross on either side of a value, by halving: to a millionth of the value or of one unit.
fn edges(likeness: &Likeness, band: usize, value: Option<Amount>, own: f64) -> (f64, f64) {
    let Some(value) = value else { return (f64::INFINITY, f64::INFINITY) };
    let is_in = |at: f64| likeness.best(Some(Amount::new(value.unit(), at)), own) == Some(band);
    let scale = value.value().abs().max(1.0);
    let side = |sign: f64| {
        let mut step = scale / 64.0;
        let mut inside = value.value();
        for _ in 0..48 {
            let next = inside + sign * step;
            if is_in(next) {
                inside = next;
                step *= 1.5;
                continue;
            }
            let mut outside = next;
            while (outside - inside).abs() > scale * 1e-6 {
                let middle = f64::midpoint(outside, inside);
                if is_in(middle) { inside = middle } else { outside = middle }
            }
            return f64::midpoint(inside, outside);
        }
        sign * f64::INFINITY
    };
    (side(-1.0), side(1.0))
}
