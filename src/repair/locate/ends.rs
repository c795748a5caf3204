//! Two methods that need only a meter: the drop under a current, and ohms from both ends.
//!
//! Drop: a steady current I flows through the wire end to end; the drop up to the fault and the drop over
//! the whole are I·r·x and I·r·L, so x = L · V(fault)/V(whole), whatever the current. The path through the
//! fault carries only the meter's own current, so the fault's resistance drops out.
//! Ohms: from the two ends to the frame Ra = r·x + Rf and Rb = r·(L−x) + Rf, so x = (Ra − Rb + r·L)/(2r).

use crate::units::{Metres, Ohms, Volts};

use super::{LocateError, Measured, PlaceOnWire, above_zero, quadrature};

/// The place of a fault by the ratio of two drops under one current.
///
/// # Errors
/// [`LocateError`] where a value is below zero, or the drop to the fault is above that over the whole wire by
/// more than the meter explains.
pub fn drop_ratio(
    to_fault: Measured<Volts>,
    whole: Measured<Volts>,
    length: Metres,
) -> Result<PlaceOnWire, LocateError> {
    let metres = above_zero(length.0, "the length")?;
    let part = to_fault.checked("the drop to the fault")?.number();
    let all =
        above_zero(whole.checked("the drop over the whole wire")?.number(), "the drop over the whole wire")?;
    let ratio = part / all;
    let standard = metres * quadrature(&[to_fault.standard() / all, ratio * whole.standard() / all]);
    if metres * ratio > metres + 2.0 * standard + metres * f64::EPSILON {
        let at = metres * ratio;
        return Err(LocateError::Outside {
            at,
            whole: metres,
            unit: "m",
            advice: "are the two readings swapped?",
        });
    }
    Ok(PlaceOnWire::new(metres * ratio, standard, length))
}

/// A wire that has the same resistance a metre all along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductor {
    /// Its length.
    pub length: Metres,
    /// Its resistance a metre, warm as it is.
    pub per_metre: Ohms,
}

/// What two readings from the ends to the frame say about a grounded wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndReading {
    /// Where it is.
    pub place: PlaceOnWire,
    /// Resistance of the fault itself.
    pub fault: Ohms,
}

/// The place of a fault to the frame by ohms read from both ends, the wire unplugged at both.
///
/// # Errors
/// [`LocateError`] where a value is below zero, or the readings put the fault beyond an end by more than
/// the meter explains.
pub fn two_ended(
    from_start: Measured<Ohms>,
    from_end: Measured<Ohms>,
    wire: Conductor,
) -> Result<EndReading, LocateError> {
    let metres = above_zero(wire.length.0, "the length")?;
    let each = above_zero(wire.per_metre.0, "the resistance a metre")?;
    let start = from_start.checked("the reading from the start")?.number();
    let end = from_end.checked("the reading from the end")?.number();
    let whole = each * metres;
    let at = (start - end + whole) / (2.0 * each);
    let spread = quadrature(&[from_start.standard(), from_end.standard()]);
    let standard = spread / (2.0 * each);
    // The allowance for the last bit keeps a fault at the very end inside.
    let reach = 2.0 * standard + metres * 1e-9;
    if !(-reach..=metres + reach).contains(&at) {
        let advice = "is the meter zeroed on its leads, and is the wire unplugged at both ends?";
        return Err(LocateError::Outside { at, whole: metres, unit: "m", advice });
    }
    let fault = Ohms(((start + end - whole) / 2.0).max(0.0));
    Ok(EndReading { place: PlaceOnWire::new(at, standard, wire.length), fault })
}
