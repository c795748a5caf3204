//! A reading as one discrete outcome: the cell in which it falls. Belief, planning and practice use
//! the same cells, fixed by point, setup and day, so that the order of evidence does not matter.
//!
//! Edges lie two standard uncertainties on either side of what the healthy machine and every fault at each of its own
//! severities would show; gaps between are cells too. With F the distribution of a fault's reading, even between the
//! readings of neighbouring severities and blurred by the meter and the model (normal; one in ten strays, and is blurred
//! more):
//! P(cell | fault) = (1 − slip) · (F(high) − F(low)) + slip · width(cell) / width of all.
//! The slip goes by width, so that splitting a cell changes nothing.
//! For a stretch a…b blurred by u: F(e) = u/(b − a) · (G((e − a)/u) − G((e − b)/u)) with
//! G(z) = z·Φ(z) + φ(z), the integral of Φ.

use super::chance::Probability;
use super::constants::{SLIP, STRAYS};
use super::scale::{At, Scale};
use crate::units::{Estimate, Measure, Reading, Seen, normal_cdf};

/// How far from a prediction an edge lies, in standard uncertainties: the 95 % interval.
const REACH: f64 = 2.0;
/// Beyond this many standard uncertainties the normal tail is below 1e-15.
const FAR: f64 = 8.0;

/// What the meter would show for one severity of a fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shows {
    /// A steady value, with the uncertainty of the meter and the model.
    Steady(Estimate),
    /// More than the meter can show.
    Over,
    /// It will not stand still.
    Jumps,
}

/// What the meter would show, by severity from one end of the spread to the other.
pub type Predicted = Vec<Shows>;

/// Which cell: the outcome of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cell {
    /// One of the stretches of the line, lowest first.
    Stretch(usize),
    /// `OL`.
    Over,
    /// It jumps.
    Jumps,
}

/// The cells of one point in one setup on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    scale: Scale,
    /// Edges between stretches, rising; the outer stretches are open.
    edges: Vec<f64>,
}

/// What a meter shows in a cell, in the base unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shown {
    Steady(f64),
    Over,
    Jumps,
}

/// How probable each cell is under one fault.
#[derive(Debug, Clone, PartialEq)]
pub struct CellChances {
    stretches: Vec<f64>,
    over: f64,
    jumps: f64,
}

impl Cells {
    /// The cells into which these predictions fall: all suspects' and the healthy machine's.
    #[must_use]
    pub fn new<'a>(scale: Scale, predicted: impl IntoIterator<Item = &'a Predicted>) -> Self {
        let steady = predicted.into_iter().flatten().filter_map(|shows| match shows {
            Shows::Steady(estimate) => Some(scale.at(*estimate)),
            Shows::Over | Shows::Jumps => None,
        });
        let mut wanted: Vec<At> = steady
            .flat_map(|at| [-REACH, REACH].map(|reach| At { x: at.x + reach * at.spread, ..at }))
            .collect();
        wanted.sort_by(|a, b| a.x.total_cmp(&b.x));
        let (low, high) = scale.ends();
        let mut edges: Vec<f64> = Vec::new();
        for at in wanted.iter().filter(|at| low < at.x && at.x < high) {
            // Closer than the uncertainty, two edges tell nothing apart.
            if edges.last().is_none_or(|last| at.x - last >= at.spread) {
                edges.push(at.x);
            }
        }
        Self { scale, edges }
    }

    /// What is measured.
    #[must_use]
    pub const fn measure(&self) -> Measure {
        self.scale.measure()
    }

    /// Every cell.
    pub fn all(&self) -> impl Iterator<Item = Cell> {
        let over = (self.scale.over_width() > 0.0).then_some(Cell::Over);
        (0..=self.edges.len()).map(Cell::Stretch).chain(over).chain([Cell::Jumps])
    }

    /// The cell of a reading, by its value alone; a value over the range of volts is in the top one.
    #[must_use]
    pub fn place(&self, reading: &Reading) -> Cell {
        match reading.seen() {
            Seen::Steady(value) => self.stretch(value.value()),
            Seen::Over if self.scale.over_width() > 0.0 => Cell::Over,
            Seen::Over => Cell::Stretch(self.edges.len()),
            Seen::Jumps { .. } => Cell::Jumps,
        }
    }

    /// The cell of what one prediction shows at its middle.
    #[must_use]
    pub fn place_of(&self, shows: Shows) -> Cell {
        match shows {
            Shows::Steady(estimate) => self.stretch(estimate.value().value()),
            Shows::Over if self.scale.over_width() > 0.0 => Cell::Over,
            Shows::Over => Cell::Stretch(self.edges.len()),
            Shows::Jumps => Cell::Jumps,
        }
    }

    fn stretch(&self, value: f64) -> Cell {
        let x = self.scale.x(value);
        Cell::Stretch(self.edges.partition_point(|edge| *edge <= x))
    }

    /// The least and the most of a stretch, in the base unit; `None` where it is open.
    #[must_use]
    pub fn ends(&self, cell: Cell) -> Option<(Option<f64>, Option<f64>)> {
        let Cell::Stretch(at) = cell else { return None };
        let edge = |at: Option<usize>| at.and_then(|at| self.edges.get(at)).map(|x| self.scale.value(*x));
        Some((edge(at.checked_sub(1)), edge(Some(at))))
    }

    /// A value in the middle of a stretch; none of what is no stretch.
    pub(super) fn middle(&self, cell: Cell) -> Shown {
        let (least, most) = self.scale.ends();
        match cell {
            Cell::Over => Shown::Over,
            Cell::Jumps => Shown::Jumps,
            Cell::Stretch(at) => {
                let low = at.checked_sub(1).map_or(least, |before| self.edges[before]);
                let high = self.edges.get(at).copied().unwrap_or(most);
                Shown::Steady(self.scale.value(0.5 * (low + high)))
            }
        }
    }

    /// How probable a cell is if everything that could be seen is equally so.
    #[must_use]
    pub fn even(&self, cell: Cell) -> Probability {
        let (low, high) = self.scale.ends();
        let whole = high - low + self.scale.over_width() + self.scale.jumps_width();
        let width = match cell {
            Cell::Over => self.scale.over_width(),
            Cell::Jumps => self.scale.jumps_width(),
            Cell::Stretch(at) => {
                let from = at.checked_sub(1).map_or(low, |before| self.edges[before]);
                self.edges.get(at).copied().unwrap_or(high) - from
            }
        };
        Probability(width / whole)
    }

    /// How probable each cell is under a fault that shows this, slip included.
    #[must_use]
    pub fn chances(&self, predicted: &Predicted) -> CellChances {
        let mut chances = CellChances { stretches: vec![0.0; self.edges.len() + 1], over: 0.0, jumps: 0.0 };
        match predicted.as_slice() {
            [] => return self.even_chances(),
            [only] => self.add(&mut chances, 1.0, *only, *only),
            knots => {
                let part = 1.0 / f64::from(u32::try_from(knots.len() - 1).unwrap_or(u32::MAX));
                for pair in knots.windows(2) {
                    self.add(&mut chances, part, pair[0], pair[1]);
                }
            }
        }
        chances.mixed(SLIP, &self.even_chances())
    }

    /// How probable one cell is under a fault between two neighbouring severities, slip included.
    pub(super) fn chance(&self, cell: Cell, (from, to): (Shows, Shows)) -> f64 {
        let own = match (from, to) {
            (Shows::Steady(a), Shows::Steady(b)) => self.part_of(cell, (self.scale.at(a), self.scale.at(b))),
            // Where the meter changes over from a value to OL is not known: half each.
            _ => 0.5 * (self.alone(cell, from) + self.alone(cell, to)),
        };
        (1.0 - SLIP) * own + SLIP * self.even(cell).value()
    }

    fn alone(&self, cell: Cell, shows: Shows) -> f64 {
        match shows {
            Shows::Steady(estimate) => self.part_of(cell, (self.scale.at(estimate), self.scale.at(estimate))),
            Shows::Over | Shows::Jumps => f64::from(u8::from(self.place_of(shows) == cell)),
        }
    }

    /// The part of the readings between two blurred points that falls in a stretch.
    fn part_of(&self, cell: Cell, (from, to): (At, At)) -> f64 {
        let Cell::Stretch(at) = cell else { return 0.0 };
        let low = at.checked_sub(1).map_or(0.0, |before| distribution(self.edges[before], from, to));
        let high = self.edges.get(at).map_or(1.0, |edge| distribution(*edge, from, to));
        (high - low).max(0.0)
    }

    /// The stretches over which a blurred value is spread, with its normal probability in each; those
    /// below one in a million left out.
    pub(super) fn normal(&self, estimate: Estimate) -> Vec<(Cell, f64)> {
        let mut chances = CellChances { stretches: vec![0.0; self.edges.len() + 1], over: 0.0, jumps: 0.0 };
        let at = self.scale.at(estimate);
        self.add_stretch(&mut chances, 1.0, at, at);
        let stretches = chances.stretches.into_iter().enumerate();
        stretches.map(|(at, chance)| (Cell::Stretch(at), chance)).filter(|(_, c)| *c > 1e-6).collect()
    }

    fn even_chances(&self) -> CellChances {
        let even = |cell| self.even(cell).value();
        CellChances {
            stretches: (0..=self.edges.len()).map(|at| even(Cell::Stretch(at))).collect(),
            over: even(Cell::Over),
            jumps: even(Cell::Jumps),
        }
    }

    /// Adds the readings between two neighbouring severities.
    fn add(&self, chances: &mut CellChances, part: f64, from: Shows, to: Shows) {
        match (from, to) {
            (Shows::Steady(a), Shows::Steady(b)) => {
                self.add_stretch(chances, part, self.scale.at(a), self.scale.at(b));
            }
            // Where the meter changes over from a value to OL is not known: half each.
            (Shows::Steady(one), other) | (other, Shows::Steady(one)) => {
                let at = self.scale.at(one);
                self.add_stretch(chances, part / 2.0, at, at);
                self.add(chances, part / 2.0, other, other);
            }
            (one, other) => {
                for shows in [one, other] {
                    match shows {
                        Shows::Over if self.scale.over_width() > 0.0 => chances.over += part / 2.0,
                        Shows::Over => *chances.top() += part / 2.0,
                        _ => chances.jumps += part / 2.0,
                    }
                }
            }
        }
    }

    fn add_stretch(&self, chances: &mut CellChances, part: f64, from: At, to: At) {
        let mut below = 0.0;
        for (stretch, edge) in chances.stretches.iter_mut().zip(self.edges.iter().chain(&[f64::INFINITY])) {
            let up_to = distribution(*edge, from, to);
            *stretch += part * (up_to - below).max(0.0);
            below = up_to;
        }
    }
}

/// The probability of a reading below an edge, for readings even between two blurred points, some of which stray.
fn distribution(edge: f64, from: At, to: At) -> f64 {
    let blurred = |spread: f64| below(edge, (from.x.min(to.x), from.x.max(to.x)), spread);
    let steady = blurred(0.5 * (from.spread + to.spread));
    (1.0 - STRAYS) * steady + STRAYS * blurred(0.5 * (from.stray + to.stray))
}

/// The probability of a reading below an edge, for readings even on a stretch, blurred.
fn below(edge: f64, (low, high): (f64, f64), spread: f64) -> f64 {
    if edge > high + FAR * spread {
        return 1.0;
    }
    if edge < low - FAR * spread {
        return 0.0;
    }
    if high - low < 0.01 * spread {
        return normal_cdf((edge - 0.5 * (low + high)) / spread);
    }
    let integral = |z: f64| z * normal_cdf(z) + (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let rise = integral((edge - low) / spread) - integral((edge - high) / spread);
    (rise * spread / (high - low)).clamp(0.0, 1.0)
}

impl CellChances {
    /// How probable this cell is.
    #[must_use]
    pub fn of(&self, cell: Cell) -> Probability {
        Probability(match cell {
            Cell::Stretch(at) => self.stretches.get(at).copied().unwrap_or(0.0),
            Cell::Over => self.over,
            Cell::Jumps => self.jumps,
        })
    }

    /// A mixture: with this probability the other, else this one.
    pub(super) fn mixed(mut self, chance: f64, other: &Self) -> Self {
        let mix = |one: f64, two: f64| (1.0 - chance) * one + chance * two;
        for (one, two) in self.stretches.iter_mut().zip(&other.stretches) {
            *one = mix(*one, *two);
        }
        self.over = mix(self.over, other.over);
        self.jumps = mix(self.jumps, other.jumps);
        self
    }

    fn top(&mut self) -> &mut f64 {
        self.stretches.last_mut().expect("there is one stretch more than edges")
    }
}
