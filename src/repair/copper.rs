//! Resistance of copper wire.
//!
//! R = ρ20 · (1 + α20 (T − 20 °C)) · L / A, with ρ20 = 1/58 Ω·mm²/m and α20 = 0.00393 /K (IEC 60028), and a factor for
//! the conductor: solid 1, stranded 1.02 (NFPA 70 chapter 9 table 8: stranded over solid), class 2 and class 5
//! by the limits of IEC 60228. Those are the most a new conductor may have, so never less than the formula.

use crate::units::{Amps, Awg, Celsius, Metres, Ohms, SquareMillimetres, Volts, WireSize};

use super::RepairError;

/// Resistivity of annealed copper at 20 °C, in Ω·mm²/m (IEC 60028).
pub(super) const RHO_20: f64 = 1.0 / 58.0;
/// Temperature coefficient of annealed copper at 20 °C, in 1/K (IEC 60028).
const ALPHA_20: f64 = 0.003_93;
/// The zero-resistance temperature of the linear law, in °C below zero.
const ZERO_RESISTANCE: f64 = 234.5;
/// Temperatures for which the linear law is used, in °C.
const LINEAR: std::ops::RangeInclusive<f64> = -80.0..=300.0;

/// Stranded over solid of the same nominal area.
const STRANDED: f64 = 1.02;
/// The limit for a class 2 conductor in a gauge size, over the formula (IEC 60228 with UL 1581).
const CLASS_2_GAUGE: f64 = 1.0404;

/// How the conductor is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Strand {
    /// One wire.
    Solid,
    /// Stranded, as in machine harness.
    #[default]
    Stranded,
    /// Stranded by IEC 60228, for fixed installation.
    Class2,
    /// Flexible by IEC 60228.
    Class5,
}

/// A copper wire as it lies in the machine, without its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Copper {
    /// Its nominal size.
    pub size: WireSize,
    /// How it is made.
    pub strand: Strand,
    /// How warm it is.
    pub celsius: Celsius,
}

/// IEC 60228: area, then the most Ω/km at 20 °C for plain class 2 and class 5.
const IEC_60228: [(f64, f64, f64); 16] = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1.0, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
    (4.0, 4.61, 4.95),
    (6.0, 3.08, 3.30),
    (10.0, 1.83, 1.91),
    (16.0, 1.15, 1.21),
    (25.0, 0.727, 0.780),
    (35.0, 0.524, 0.554),
    (50.0, 0.387, 0.386),
    (70.0, 0.268, 0.272),
    (95.0, 0.193, 0.206),
    (120.0, 0.153, 0.161),
    (150.0, 0.124, 0.129),
];

impl Copper {
    /// A wire at 20 °C.
    #[must_use]
    pub fn at_20(size: WireSize, strand: Strand) -> Self {
        Self { size, strand, celsius: Celsius(20.0) }
    }

    /// Its resistance a metre.
    ///
    /// # Errors
    /// [`RepairError::Temperature`] where the linear law no longer holds, [`RepairError::NotAboveZero`] for a
    /// wire of no area.
    pub fn per_metre(&self) -> Result<Ohms, RepairError> {
        let area = RepairError::above_zero(self.size.area().0, "the cross-section")?;
        Ok(Ohms(RHO_20 / area * factor(self.size, self.strand) * warmth(self.celsius)?))
    }

    /// The resistance of a length of it.
    ///
    /// # Errors
    /// As [`Copper::per_metre`], and for a negative length.
    pub fn ohms(&self, length: Metres) -> Result<Ohms, RepairError> {
        let metres = RepairError::above_zero(length.0, "the length")?;
        Ok(Ohms(self.per_metre()?.0 * metres))
    }

    /// The drop over a length of it under a current, V = R·I. The length is that of the wire: with a return wire,
    /// out and back.
    ///
    /// # Errors
    /// As [`Copper::ohms`], and for a negative current.
    pub fn drop(&self, length: Metres, current: Amps) -> Result<Volts, RepairError> {
        let amps = RepairError::above_zero(current.0, "the current")?;
        Ok(drop_of(self.ohms(length)?, Amps(amps)))
    }
}

/// The drop over a resistance, V = R·I (AC 43.13-1B, table 11-7).
#[must_use]
pub fn drop_of(ohms: Ohms, current: Amps) -> Volts {
    Volts(ohms.0 * current.0)
}

/// By how much copper's resistance grows from 20 °C to this temperature, 1 + α20 (T − 20 °C).
///
/// # Errors
/// [`RepairError::Temperature`] where the linear law no longer holds.
pub fn warmth(at: Celsius) -> Result<f64, RepairError> {
    if LINEAR.contains(&at.0) {
        Ok(1.0 + ALPHA_20 * (at.0 - 20.0))
    } else {
        Err(RepairError::Temperature(at))
    }
}

/// The length that drops as much hot as another does at 20 °C, 254.5 L/(234.5 + T) (AC 43.13-1B, 11-66).
///
/// # Errors
/// [`RepairError::Temperature`] where the linear law no longer holds.
pub fn length_when_hot(length: Metres, at: Celsius) -> Result<Metres, RepairError> {
    warmth(at)?;
    Ok(Metres((ZERO_RESISTANCE + 20.0) * length.0 / (ZERO_RESISTANCE + at.0)))
}

/// How warm a loaded wire gets: T1 + (TR − T1)·√(I/Imax) (AC 43.13-1B, 11-66, which calls it conservative).
///
/// # Errors
/// [`RepairError::NotAboveZero`] unless both currents are above zero.
pub fn conductor_temperature(
    ambient: Celsius,
    rated: Celsius,
    current: Amps,
    most: Amps,
) -> Result<Celsius, RepairError> {
    let amps = RepairError::above_zero(current.0, "the current")?;
    let limit = RepairError::above_zero(most.0, "the rated current")?;
    Ok(Celsius(ambient.0 + (rated.0 - ambient.0) * (amps / limit).sqrt()))
}

fn factor(size: WireSize, strand: Strand) -> f64 {
    match (strand, size) {
        (Strand::Solid, _) => 1.0,
        (Strand::Stranded, _) => STRANDED,
        (Strand::Class2, WireSize::Gauge(_)) => CLASS_2_GAUGE,
        (Strand::Class2, WireSize::Area(area)) => listed_factor(area, |row| row.1),
        (Strand::Class5, size) => listed_factor(size.area(), |row| row.2),
    }
}

/// A listed limit over the formula; between two listed sizes, the larger of their factors.
fn listed_factor(area: SquareMillimetres, limit: fn(&(f64, f64, f64)) -> f64) -> f64 {
    let over = |row: &(f64, f64, f64)| limit(row) / 1e3 * row.0 / RHO_20;
    let same = |row: &&(f64, f64, f64)| (row.0 - area.0).abs() < 1e-9;
    if let Some(row) = IEC_60228.iter().find(same) {
        return over(row);
    }
    let next = IEC_60228.iter().position(|row| row.0 > area.0).unwrap_or(IEC_60228.len());
    let neighbours = &IEC_60228[next.saturating_sub(1)..(next + 1).min(IEC_60228.len())];
    neighbours.iter().map(over).fold(1.0, f64::max)
}

/// Whether IEC 60228 lists the size, so that its class is a limit of the standard and not read between rows.
#[must_use]
pub fn is_listed(size: WireSize) -> bool {
    matches!(size, WireSize::Area(area) if IEC_60228.iter().any(|row| (row.0 - area.0).abs() < 1e-9))
}

/// The metric sizes of IEC 60228 that are kept here, thinnest first.
pub(super) fn metric_sizes() -> impl Iterator<Item = SquareMillimetres> {
    IEC_60228.iter().map(|row| SquareMillimetres(row.0))
}

/// The gauge sizes that are sold, thinnest first: even ones from 24, then 1 to 4/0 (common practice).
pub(super) fn sold_gauges() -> impl Iterator<Item = Awg> {
    const SOLD: [i8; 17] = [24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3];
    SOLD.into_iter().filter_map(Awg::new)
}
