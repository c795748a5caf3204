//! Whether a step's bands cover everything that its meter can show, once.

use super::band::Band;
use super::measure::Measure;

/// What is wrong with a set of bands. Bands are told by their place in the set.
#[derive(Debug, Clone, PartialEq)]
pub enum BandFlaw {
    /// Readings that no band takes.
    Gap(Band),
    /// Readings that two bands take.
    Overlap {
        /// The band that begins lower.
        first: usize,
        /// The band that begins within it.
        second: usize,
        /// What both take.
        shared: Band,
    },
    /// A band of another measure.
    OtherMeasure {
        /// Which band.
        band: usize,
        /// What it is a range of.
        is: Measure,
    },
    /// A second band for readings that jump.
    SecondJumps {
        /// Which band.
        band: usize,
    },
}

/// Every gap and overlap in a set of bands of one measure, from the lowest up.
///
/// The whole range is everything where a measure has no least value (volts), and otherwise begins there (0 Ω), unless
/// a band begins lower still. `OL` belongs to the band that is open at the top. A band for readings that jump is
/// optional.
#[must_use]
pub fn coverage(measure: Measure, bands: &[Band]) -> Vec<BandFlaw> {
    let mut flaws = strays(measure, bands);
    let mut spans: Vec<(usize, Band, f64, f64)> = bands
        .iter()
        .enumerate()
        .filter(|(_, band)| band.measure() == measure)
        .filter_map(|(at, band)| band.span().map(|(low, high)| (at, *band, low, high)))
        .collect();
    spans.sort_by(|one, other| one.2.total_cmp(&other.2).then(one.0.cmp(&other.0)));
    let unit = spans.first().map_or(measure.unit(), |first| first.1.unit());
    let lowest = spans.first().map_or(f64::INFINITY, |first| first.2);
    let floor = measure.floor().map(super::Amount::value).filter(|floor| lowest >= *floor);
    let mut reached = floor.unwrap_or(f64::NEG_INFINITY);
    let mut holder = None;
    for (at, band, low, high) in spans {
        if low > reached {
            flaws.push(BandFlaw::Gap(Band::between(band.unit(), reached, low)));
        }
        if let Some(first) = holder
            && low < reached
        {
            let shared = Band::between(band.unit(), low, reached.min(high));
            flaws.push(BandFlaw::Overlap { first, second: at, shared });
        }
        if high > reached {
            (reached, holder) = (high, Some(at));
        }
    }
    if reached < f64::INFINITY {
        flaws.push(BandFlaw::Gap(Band::between(unit, reached, f64::INFINITY)));
    }
    flaws
}

fn strays(measure: Measure, bands: &[Band]) -> Vec<BandFlaw> {
    let others = bands.iter().enumerate().filter(|(_, band)| band.measure() != measure);
    let others = others.map(|(at, band)| BandFlaw::OtherMeasure { band: at, is: band.measure() });
    let jumps =
        bands.iter().enumerate().filter(|(_, band)| band.jumps() && band.measure() == measure).skip(1);
    others.chain(jumps.map(|(at, _)| BandFlaw::SecondJumps { band: at })).collect()
}
