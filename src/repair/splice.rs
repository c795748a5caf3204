//! Splices: the barrel by the sum of the areas, the piece that is let in, stagger, and the pull on a sample crimp.
//!
//! A circular mil is the area of a wire one thousandth of an inch thick, π/4 · 25.4² · 10⁻⁶ mm². A stranded wire has
//! N · d² of them. Strand diameters are rounded to a tenth of a mil, as ASTM B258 states them (from memory): the
//! printed 1600 for 16 strands of 30 AWG and 2426 for 19 of 29 AWG come from that.

use crate::units::{Awg, Metres, SquareMillimetres, WireSize};

use super::RepairError;
use super::copper::sold_gauges;

/// An area in circular mils.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct CircularMils(pub f64);

/// A force, in newtons.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct Newtons(pub f64);

/// Newtons in a pound-force (exact, to six places).
const POUND_FORCE: f64 = 4.448_222;
const MIL: f64 = 25.4e-6;
/// Square millimetres in a circular mil, π/4 · 25.4² · 10⁻⁶.
const CMIL_MM2: f64 = std::f64::consts::FRAC_PI_4 * 25.4 * 25.4 * 1e-6;

impl CircularMils {
    /// The same area in square millimetres.
    #[must_use]
    pub const fn square_millimetres(self) -> SquareMillimetres {
        SquareMillimetres(self.0 * CMIL_MM2)
    }

    /// The area of so many strands of this diameter, N · d².
    #[must_use]
    pub fn of_strands(strands: u32, diameter: Metres) -> Self {
        Self(f64::from(strands) * (diameter.0 / MIL).powi(2))
    }
}

impl From<SquareMillimetres> for CircularMils {
    fn from(area: SquareMillimetres) -> Self {
        Self(area.0 / CMIL_MM2)
    }
}

/// How a stranded conductor of a gauge is made up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stranding {
    /// Gauge of the whole.
    pub gauge: i8,
    /// How many strands.
    pub strands: u32,
    /// Gauge of one strand.
    pub strand: i8,
}

const fn made(gauge: i8, strands: u32, strand: i8) -> Stranding {
    Stranding { gauge, strands, strand }
}

/// Usual strandings: those of the trade's circular-mil guides; 24, 22 and 4 from memory.
pub const STRANDINGS: [Stranding; 11] = [
    made(24, 7, 32),
    made(22, 7, 30),
    made(20, 7, 28),
    made(18, 16, 30),
    made(16, 19, 29),
    made(14, 19, 27),
    made(12, 19, 25),
    made(10, 19, 23),
    made(8, 19, 21),
    made(6, 37, 21),
    made(4, 133, 25),
];

/// The conductor's area as it fills a barrel: of a gauge with a usual stranding its strands', else the nominal one.
#[must_use]
pub fn circular_mils(size: WireSize) -> CircularMils {
    let made = match size {
        WireSize::Gauge(gauge) => STRANDINGS.iter().find(|s| s.gauge == gauge.number()),
        WireSize::Area(_) => None,
    };
    let strand = made.and_then(|s| Some((s.strands, Awg::new(s.strand)?)));
    match strand {
        Some((strands, gauge)) => {
            let tenths = (gauge.diameter().0 / MIL * 10.0).round() / 10.0;
            CircularMils::of_strands(strands, Metres(tenths * MIL))
        }
        None => size.area().into(),
    }
}

/// A barrel for wires that lie side by side in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Barrel {
    /// The sum of the conductors' areas.
    pub area: CircularMils,
    /// The smallest barrel that takes them, by the gauge it is made for.
    pub barrel: Awg,
}

/// The barrel for wires joined side by side: the smallest whose nominal gauge has at least the sum of their areas.
///
/// # Errors
/// [`RepairError::NothingToJoin`] for fewer than two wires, [`RepairError::NoBarrel`] beyond 4/0 AWG.
pub fn barrel(wires: &[WireSize]) -> Result<Barrel, RepairError> {
    if wires.len() < 2 {
        return Err(RepairError::NothingToJoin);
    }
    for wire in wires {
        RepairError::above_zero(wire.area().0, "the cross-section")?;
    }
    let area = CircularMils(wires.iter().map(|w| circular_mils(*w).0).sum());
    let holds = |gauge: &Awg| CircularMils::from(gauge.area()) >= area;
    let barrel = sold_gauges().find(holds).ok_or(RepairError::NoBarrel(area.0))?;
    Ok(Barrel { area, barrel })
}

/// The gauge under which a metric size is sold and crimped: the nearest by area (common practice).
///
/// # Panics
/// Never: gauges are sold.
#[must_use]
pub fn traded_as(size: WireSize) -> Awg {
    match size {
        WireSize::Gauge(gauge) => gauge,
        WireSize::Area(area) => {
            let off = |gauge: &Awg| (gauge.area().0 / area.0).ln().abs();
            let nearest = sold_gauges().min_by(|a, b| off(a).total_cmp(&off(b)));
            nearest.expect("gauges are sold")
        }
    }
}

/// Which table of pull forces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PullTable {
    /// UL 486A, commercial.
    Ul486a,
    /// MIL-T-7928, stricter; ends at 10 AWG.
    MilT7928,
}

/// Gauge, UL 486A and MIL-T-7928, in pounds-force.
const PULL: [(i8, f64, Option<f64>); 12] = [
    (26, 3.0, Some(7.0)),
    (24, 5.0, Some(10.0)),
    (22, 8.0, Some(15.0)),
    (20, 13.0, Some(19.0)),
    (18, 20.0, Some(38.0)),
    (16, 30.0, Some(50.0)),
    (14, 50.0, Some(70.0)),
    (12, 70.0, Some(110.0)),
    (10, 80.0, Some(150.0)),
    (8, 90.0, None),
    (6, 100.0, None),
    (4, 140.0, None),
];

/// The pull that a *sample* crimp must hold, never tried on the repair itself; none for a gauge the table leaves out.
#[must_use]
pub fn pull_on_sample(gauge: Awg, table: PullTable) -> Option<Newtons> {
    let row = PULL.iter().find(|row| row.0 == gauge.number())?;
    let pounds = match table {
        PullTable::Ul486a => Some(row.1),
        PullTable::MilT7928 => row.2,
    };
    pounds.map(|lbf| Newtons(lbf * POUND_FORCE))
}

/// Ends that do not meet: a piece is let in between two splices.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct LetIn {
    /// Length of the piece to cut.
    pub length: Metres,
    /// Splices that it takes.
    pub splices: u8,
}

/// Slack of a piece that is let in, as a share of the gap: our choice, so that it is not under tension.
const SLACK: f64 = 0.05;

/// The piece to let in: the gap between the ends cut back to bright copper, half a barrel into each splice, and slack.
/// None where the harness has the slack to bring the ends together.
///
/// # Errors
/// [`RepairError::NotAboveZero`] for a barrel of no length.
pub fn let_in(gap: Metres, slack_at_hand: Metres, barrel: Metres) -> Result<Option<LetIn>, RepairError> {
    let barrel = RepairError::above_zero(barrel.0, "the barrel's length")?;
    if gap.0 <= slack_at_hand.0 {
        return Ok(None);
    }
    Ok(Some(LetIn { length: Metres(gap.0 * (1.0 + SLACK) + barrel), splices: 2 }))
}

/// Free wire between the sleeves of neighbouring splices: common practice, 25 mm.
const BETWEEN_SLEEVES: f64 = 0.025;

/// Where the splices of a bundle go, from the first: each a sleeve and a gap farther on, so that they do not lie side by
/// side (staggering: AC 43.13-1B, 11-167b, from memory; the gap is common practice).
#[must_use]
pub fn stagger(splices: u8, sleeve: Metres) -> Vec<Metres> {
    (0..splices).map(|n| Metres(f64::from(n) * (sleeve.0 + BETWEEN_SLEEVES))).collect()
}

/// How far the insulation ends before the barrel: NASA-STD-8739.4 table 13-1, 0.25 to 0.75 mm up to 20 AWG, to 1.25 mm from
/// 18 AWG on. The same standard wants no crimp on solid or solder-tinned strand.
#[must_use]
pub fn insulation_gap(gauge: Awg) -> (Metres, Metres) {
    let most = if gauge.number() >= 20 { 0.75e-3 } else { 1.25e-3 };
    (Metres(0.25e-3), Metres(most))
}

/// Strands that may be nicked and broken after stripping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Nicked {
    /// Nicked strands.
    pub nicked: u8,
    /// Broken strands.
    pub broken: u8,
}

/// The damage to strands that is allowed, AC 43.13-1B table 11-13, for copper; none outside it, where no strand may be hurt.
#[must_use]
pub fn nicked_allowed(gauge: Awg) -> Option<Nicked> {
    match gauge.number() {
        13..=24 => Some(Nicked { nicked: 2, broken: 0 }),
        9..=12 => Some(Nicked { nicked: 4, broken: 0 }),
        -3..=8 => Some(Nicked { nicked: 6, broken: 6 }),
        _ => None,
    }
}
