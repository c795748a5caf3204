//! The route of the mended wire: supports, ties, slack, clearance, bends, wraps.
//!
//! Figures of AC 43.13-1B chapter 11, written for aircraft and taken here as good workmanship; the maker's own come first.

use crate::units::Metres;

use super::Source;

const INCH: f64 = 0.0254;
/// Clear of a hose that moves: common practice.
const HOSE: f64 = 0.050;

/// What a figure for the route is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RouteItem {
    /// The most between two clamps.
    Clamps,
    /// Where clamps are farther apart, ties go between them.
    Ties,
    /// How far the bundle gives between two clamps under a light hand, at most.
    Slack,
    /// From the edge of a hole, or else a grommet.
    Edge,
    /// From a line that carries fuel; never under 2 in, and then clamped on both sides.
    Fuel,
    /// From a hose that moves, at every end of its travel.
    Hose,
    /// Inside radius of a bend, at least; 3 times the bundle at a supported breakout.
    Bend,
}

/// A figure for the route, with where it comes from.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct RouteFigure {
    /// What it is about.
    pub item: RouteItem,
    /// The figure itself.
    pub length: Metres,
    /// Where it comes from.
    pub source: Source,
}

impl RouteItem {
    /// The figure for a bundle of this diameter.
    #[must_use]
    pub fn figure(self, bundle: Metres) -> RouteFigure {
        let (length, source) = match self {
            Self::Clamps => (24.0 * INCH, Source::seen("AC 43.13-1B 11-96a")),
            Self::Ties => (12.0 * INCH, Source::seen("AC 43.13-1B 11-158b")),
            Self::Slack => (0.5 * INCH, Source::seen("AC 43.13-1B 11-118")),
            Self::Edge => (0.375 * INCH, Source::seen("AC 43.13-1B 11-115")),
            Self::Fuel => (6.0 * INCH, Source::seen("AC 43.13-1B 11-96")),
            Self::Hose => (HOSE, Source::practice()),
            Self::Bend => (10.0 * bundle.0, Source::memory("AC 43.13-1B 11-96")),
        };
        RouteFigure { item: self, length: Metres(length), source }
    }
}

/// How many clamps a stretch needs, one at each end.
#[must_use]
pub fn clamps_for(stretch: Metres) -> u32 {
    let spans = (stretch.0 / (24.0 * INCH) - 1e-9).ceil();
    let mut needed = 1;
    while f64::from(needed) < spans && needed < 10_000 {
        needed += 1;
    }
    needed + 1
}

/// How far a wrap reaches beyond the mend on each side: common practice, 50 mm.
const BEYOND: f64 = 0.050;
/// Width of harness tape: common practice.
const TAPE_WIDTH: f64 = 0.019;

/// A half-lapped wrap of harness tape over a mend.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Wrap {
    /// Length of bundle that is wrapped.
    pub over: Metres,
    /// Turns, each half over the last.
    pub turns: u32,
    /// Tape to cut.
    pub tape: Metres,
}

/// The half-lapped wrap over a mend of this length on a bundle of this diameter, 19 mm tape (common practice).
#[must_use]
pub fn half_lapped(mend: Metres, bundle: Metres) -> Wrap {
    let over = mend.0.max(0.0) + 2.0 * BEYOND;
    let pitch = TAPE_WIDTH / 2.0;
    let mut turns = 1;
    while f64::from(turns) * pitch < over && turns < 100_000 {
        turns += 1;
    }
    let round = std::f64::consts::PI * bundle.0.max(0.0);
    Wrap { over: Metres(over), turns, tape: Metres(f64::from(turns) * round.hypot(pitch)) }
}
