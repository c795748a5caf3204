//! How thick a bundle of wires is.
//!
//! Best known packings of equal circles in a circle (R. L. Graham, B. D. Lubachevsky, K. J. Nurmela, P. R. J. Östergård;
//! Pirl; Melissen; Fodor) are the physical minimum; the trade's rule of thumb 1.2·√N·d (from memory) lies below it
//! for 2, 3, 4, 5, 6, 9 and 10 wires, so the larger of the two is taken.

use crate::units::Metres;

use super::RepairError;

/// Diameter of the smallest circle around N equal circles of diameter 1, from N = 1; for 15 to 18 none is kept, the rule
/// of thumb being above the bound for 14 and 19.
const PACKING: [Option<f64>; 20] = [
    Some(1.0),
    Some(2.0),
    Some(2.1547),
    Some(2.4142),
    Some(2.7013),
    Some(3.0),
    Some(3.0),
    Some(3.3048),
    Some(3.6131),
    Some(3.8130),
    Some(3.9238),
    Some(4.0290),
    Some(4.2361),
    Some(4.3284),
    None,
    None,
    None,
    None,
    Some(4.8637),
    Some(5.1220),
];
const THUMB: f64 = 1.2;

/// The least that so many equal wires can be laid into, as a multiple of one; none beyond the table.
#[must_use]
pub fn packing(count: u32) -> Option<f64> {
    let at = usize::try_from(count).ok()?.checked_sub(1)?;
    PACKING.get(at).copied().flatten()
}

/// The diameter of a bundle of equal wires.
///
/// # Errors
/// [`RepairError::NotAboveZero`] for no wires or wires of no thickness.
pub fn bundle(od: Metres, count: u32) -> Result<Metres, RepairError> {
    let thick = RepairError::above_zero(od.0, "the wire's diameter")?;
    let wires = RepairError::above_zero(f64::from(count), "the number of wires")?;
    if count == 1 {
        return Ok(od);
    }
    let least = packing(count).unwrap_or(0.0);
    Ok(Metres(thick * least.max(THUMB * wires.sqrt())))
}

/// The diameter of a bundle of wires of different thickness, such as one with a splice in it: 1.2·√Σd², at least the two
/// thickest side by side.
///
/// # Errors
/// [`RepairError::NotAboveZero`] for no wires or a wire of no thickness.
pub fn mixed_bundle(ods: &[Metres]) -> Result<Metres, RepairError> {
    let (mut first, mut second, mut squares) = (0.0_f64, 0.0_f64, 0.0);
    for od in ods {
        let thick = RepairError::above_zero(od.0, "the wire's diameter")?;
        squares += thick * thick;
        if thick > first {
            second = first;
            first = thick;
        } else {
            second = second.max(thick);
        }
    }
    RepairError::above_zero(first, "the number of wires")?;
    let least = first + second;
    Ok(Metres(if ods.len() == 1 { first } else { least.max(THUMB * squares.sqrt()) }))
}
