//! The route of the mended wire: supports, ties, slack, clearance, bends, wraps.
//!
//! Figures of AC 43.13-1B chapter 11, written for aircraft and taken here as good workmanship; the maker's own come first.

use crate::units::Metres;

use super::Source;

const INCH: f64 = 0.0254;

/// A figure for the route, with where it comes from.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct RouteFigure {
    /// What it is about, as a short line.
    pub words: String,
    /// The figure itself.
    pub length: Metres,
    /// Where it comes from.
    pub source: Source,
}

fn figure(words: &str, length: f64, source: Source) -> RouteFigure {
    RouteFigure { words: words.into(), length: Metres(length), source }
}

/// Clamps are at most this far apart.
#[must_use]
pub fn clamp_spacing() -> RouteFigure {
    figure("clamps at most this far apart", 24.0 * INCH, Source::seen("AC 43.13-1B 11-96a"))
}

/// Where clamps are farther apart than this, ties go between them.
#[must_use]
pub fn tie_spacing() -> RouteFigure {
    figure(
        "ties between clamps that are farther apart than this",
        12.0 * INCH,
        Source::seen("AC 43.13-1B 11-158b"),
    )
}

/// How far the bundle gives between two clamps under a light hand.
#[must_use]
pub fn slack_between_clamps() -> RouteFigure {
    figure("slack between clamps, pressed lightly, at most", 0.5 * INCH, Source::seen("AC 43.13-1B 11-118"))
}

/// Distance from the edge of a hole, or else a grommet.
#[must_use]
pub fn edge_clearance() -> RouteFigure {
    figure("from the edge of a hole, or else a grommet", 0.375 * INCH, Source::seen("AC 43.13-1B 11-115"))
}

/// Distance from lines that carry fuel.
#[must_use]
pub fn fuel_clearance() -> RouteFigure {
    let source = Source::seen("AC 43.13-1B 11-96");
    figure("from a fuel line, never under 51 mm and then clamped both sides", 6.0 * INCH, source)
}

/// Distance from a hose that moves.
#[must_use]
pub fn hose_clearance() -> RouteFigure {
    figure("from a hose that moves, at every end of its travel", 0.050, Source::practice())
}

/// The tightest bend of a bundle of this diameter.
#[must_use]
pub fn bend_radius(bundle: Metres) -> RouteFigure {
    let source = Source::memory("AC 43.13-1B 11-96");
    figure(
        "inside radius of a bend, at least (3 times the bundle at a supported breakout)",
        10.0 * bundle.0,
        source,
    )
}

/// How many clamps a stretch needs, one at each end.
#[must_use]
pub fn clamps_for(stretch: Metres) -> u32 {
    let spans = (stretch.0 / clamp_spacing().length.0 - 1e-9).ceil();
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
