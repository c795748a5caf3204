//! What a wire may carry, which fuse protects it, and the smallest size for a load and a drop.
//!
//! Three published tables: AC 43.13-1B table 11-9 (wire in a bundle, 105 °C, hot and high: the strictest), table 11-3
//! (the fuse that protects a wire), and NFPA 70 table 310.16, 90 °C column (not more than three loaded wires
//! together: the loosest that is still a table).

use crate::units::{Amps, Awg, Celsius, Metres, SquareMillimetres, Volts, WireSize};

use super::RepairError;
use super::copper::{Copper, Strand, metric_sizes, sold_gauges};
use super::splice::CircularMils;

/// One row of AC 43.13-1B table 11-9: gauge, amps in a bundle at 105 °C, most Ω/kft at 20 °C (tin-plated), circular mils.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BundleRow {
    /// Gauge number, 0 and below for 1/0 and larger.
    pub gauge: i8,
    /// Continuous current in a bundle.
    pub amps: Amps,
    /// The most ohms a thousand feet at 20 °C.
    pub ohms_per_kft: f64,
    /// Nominal area.
    pub area: CircularMils,
}

const fn row(gauge: i8, amps: f64, ohms_per_kft: f64, area: f64) -> BundleRow {
    BundleRow { gauge, amps: Amps(amps), ohms_per_kft, area: CircularMils(area) }
}

/// AC 43.13-1B (CHG 1) table 11-9, thinnest first.
pub const TABLE_11_9: [BundleRow; 17] = [
    row(24, 2.5, 28.40, 475.0),
    row(22, 3.0, 16.20, 755.0),
    row(20, 4.0, 9.88, 1216.0),
    row(18, 6.0, 6.23, 1900.0),
    row(16, 7.0, 4.81, 2426.0),
    row(14, 10.0, 3.06, 3831.0),
    row(12, 13.0, 2.02, 5874.0),
    row(10, 17.0, 1.26, 9354.0),
    row(8, 38.0, 0.70, 16_983.0),
    row(6, 50.0, 0.44, 26_818.0),
    row(4, 68.0, 0.28, 42_615.0),
    row(2, 95.0, 0.18, 66_500.0),
    row(1, 113.0, 0.15, 81_700.0),
    row(0, 128.0, 0.12, 104_500.0),
    row(-1, 147.0, 0.09, 133_000.0),
    row(-2, 172.0, 0.07, 166_500.0),
    row(-3, 204.0, 0.06, 210_900.0),
];

/// AC 43.13-1B table 11-3, fuse column: gauge, then the fuse that protects it. Two gauges with one fuse stand as printed.
const TABLE_11_3: [(i8, f64); 13] = [
    (22, 5.0),
    (20, 5.0),
    (18, 10.0),
    (16, 10.0),
    (14, 15.0),
    (12, 20.0),
    (10, 30.0),
    (8, 50.0),
    (6, 70.0),
    (4, 70.0),
    (2, 100.0),
    (1, 150.0),
    (0, 150.0),
];

/// NFPA 70 table 310.16, copper, 90 °C: gauge, amps. 18, 16 and 1/0 on from memory; 24 to 20 go on by the ratio of
/// 18 to 14 (our choice), since the table begins at 18.
const TABLE_310_16: [(i8, f64); 17] = [
    (24, 6.0),
    (22, 8.0),
    (20, 10.5),
    (18, 14.0),
    (16, 18.0),
    (14, 25.0),
    (12, 30.0),
    (10, 40.0),
    (8, 55.0),
    (6, 75.0),
    (4, 95.0),
    (2, 130.0),
    (1, 150.0),
    (0, 170.0),
    (-1, 195.0),
    (-2, 225.0),
    (-3, 260.0),
];

/// Ratings of blade and bolted fuses (ISO 8820-3 and -5, from memory).
const FUSES: [f64; 20] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0,
    125.0, 150.0,
];

/// The share of its rating that a fuse carries for good (common practice, no source).
const FUSE_SHARE: f64 = 0.8;

/// A metric size is traded for a gauge that is up to this much larger (0.75 mm² for 18 AWG): common practice.
const TRADED: f64 = 1.1;

/// The current that the wire may carry for good in a bundle, by AC 43.13-1B table 11-9; none below 24 AWG. A metric size
/// takes the row whose area it reaches.
#[must_use]
pub fn rating_in_bundle(size: WireSize) -> Option<Amps> {
    let reached = |row: &&BundleRow| match size {
        WireSize::Gauge(gauge) => row.gauge >= gauge.number(),
        WireSize::Area(area) => row.area.square_millimetres().0 <= area.0,
    };
    TABLE_11_9.iter().rfind(reached).map(|row| row.amps)
}

/// The current that the wire may carry with at most two loaded wires beside it, by NFPA 70 table 310.16 at 90 °C; none
/// below 24 AWG. A metric size stands between its neighbours, by logarithms.
#[must_use]
pub fn rating_alone(size: WireSize) -> Option<Amps> {
    let area = size.area().0;
    let areas = || TABLE_310_16.iter().filter_map(|(n, amps)| Some((Awg::new(*n)?.area().0, *amps)));
    let (low, amps) = areas().rfind(|(a, _)| *a <= area * (1.0 + 1e-9))?;
    let Some((high, more)) = areas().find(|(a, _)| *a > area) else { return Some(Amps(amps)) };
    let part = (area / low).ln() / (high / low).ln();
    Some(Amps(amps * (more / amps).powf(part.max(0.0))))
}

/// The fuse that protects the wire, by AC 43.13-1B table 11-3. A thinner wire than its 22 AWG takes the largest rating
/// that table 11-9 lets it carry; none below 24 AWG.
#[must_use]
pub fn protecting_fuse(size: WireSize) -> Option<Amps> {
    let covered = |(number, _): &&(i8, f64)| match size {
        WireSize::Gauge(gauge) => *number >= gauge.number(),
        WireSize::Area(area) => Awg::new(*number).is_some_and(|gauge| gauge.area().0 <= area.0 * TRADED),
    };
    let carried = || {
        let most = rating_in_bundle(size)?;
        FUSES.iter().rfind(|rating| **rating <= most.0)
    };
    TABLE_11_3.iter().rfind(covered).map(|(_, amps)| amps).or_else(carried).map(|amps| Amps(*amps))
}

/// A fuse for a wire and its load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseChoice {
    /// The smallest fuse that carries the load for good.
    pub rating: Amps,
    /// The largest that protects the wire in a bundle, by table 11-3.
    pub in_bundle: Amps,
    /// The largest where the wire runs alone in open air: the next rating up (AC 43.13-1B, 11-49).
    pub in_open_air: Amps,
    /// What table 11-9 lets the wire carry in a full, hot bundle.
    pub bundle_load: Option<Amps>,
}

/// Chooses the fuse that carries the load and protects the wire.
///
/// # Errors
/// [`RepairError::NoFuse`] where no rating does both: the wire is too small for the load.
pub fn fuse(size: WireSize, load: Amps) -> Result<FuseChoice, RepairError> {
    let amps = RepairError::above_zero(load.0, "the load")?;
    let too_small = RepairError::NoFuse { size, load };
    let in_bundle = protecting_fuse(size).ok_or_else(|| too_small.clone())?;
    let in_open_air = FUSES.iter().find(|f| **f > in_bundle.0).map_or(in_bundle, |f| Amps(*f));
    let carries = |f: &&f64| **f * FUSE_SHARE >= amps - 1e-9;
    let rating = FUSES.iter().find(carries).filter(|f| **f <= in_open_air.0).ok_or(too_small)?;
    Ok(FuseChoice { rating: Amps(*rating), in_bundle, in_open_air, bundle_load: rating_in_bundle(size) })
}

/// What a wire has to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Current it carries for good.
    pub current: Amps,
    /// Its length; with a return wire, out and back.
    pub length: Metres,
    /// The drop that is allowed.
    pub drop: Volts,
}

/// What decided the size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The drop.
    Drop,
    /// The current.
    Current,
}

/// The smallest sizes for a duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeChoice {
    /// The smallest gauge that keeps the drop and may carry the current by NFPA 70 table 310.16.
    pub gauge: Awg,
    /// What decided it.
    pub limit: Limit,
    /// The drop it leaves.
    pub drop: Volts,
    /// The smallest size of IEC 60228 by the same rules, if there is one.
    pub metric: Option<SquareMillimetres>,
    /// The gauge that may also carry it in a full, hot bundle, by AC 43.13-1B table 11-9, if there is one.
    pub in_bundle: Option<Awg>,
}

/// Finds the smallest size for a duty.
///
/// # Errors
/// [`RepairError::NoSize`] where even 4/0 AWG drops too much or may not carry the current.
pub fn gauge(duty: Duty, strand: Strand, celsius: Celsius) -> Result<GaugeChoice, RepairError> {
    let allowed = RepairError::above_zero(duty.drop.0, "the drop")?;
    let drop = |size| Copper { size, strand, celsius }.drop(duty.length, duty.current);
    // The allowance for the last bit lets a drop that is exactly met count as met.
    let keeps = |size| drop(size).is_ok_and(|v: Volts| v.0 <= allowed * (1.0 + 1e-9));
    let alone = |size| rating_alone(size).is_some_and(|most| most >= duty.current);
    let bundled = |size| rating_in_bundle(size).is_some_and(|most| most >= duty.current);
    drop(WireSize::Area(SquareMillimetres(1.0)))?;
    let by_drop = sold_gauges().find(|g| keeps(WireSize::Gauge(*g)));
    let chosen = sold_gauges().find(|g| keeps(WireSize::Gauge(*g)) && alone(WireSize::Gauge(*g)));
    let gauge = chosen.ok_or(RepairError::NoSize)?;
    Ok(GaugeChoice {
        gauge,
        limit: if by_drop == Some(gauge) { Limit::Drop } else { Limit::Current },
        drop: drop(WireSize::Gauge(gauge))?,
        metric: metric_sizes().find(|a| keeps(WireSize::Area(*a)) && alone(WireSize::Area(*a))),
        in_bundle: sold_gauges().find(|g| keeps(WireSize::Gauge(*g)) && bundled(WireSize::Gauge(*g))),
    })
}
