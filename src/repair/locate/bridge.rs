//! Loop methods: the faulty wire and a good one are joined at the far end and balanced against two arms.
//!
//! Murray: x = a/(a+b) · R. Varley: x = (q·R − p·S)/(p+q), with S in series on the good side (formulas as
//! taught in every textbook of electrical measurement; from memory). The resistance of the fault itself lies
//! in the battery's lead and drops out.

use crate::units::{Metres, Ohms};

use super::{LocateError, Measured, PlaceOnWire, above_zero, quadrature};

/// Resistance from the measuring end to the fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Resistance of the wire up to the fault.
    pub ohms: Ohms,
    /// Its standard uncertainty.
    pub standard: Ohms,
    /// Resistance of the whole loop.
    pub whole: Ohms,
}

/// The Murray loop: arms a (on the faulty wire) and b balance, and the loop has the resistance R.
///
/// # Errors
/// [`LocateError`] where a value is below zero or both arms are nothing.
pub fn murray(a: Measured<Ohms>, b: Measured<Ohms>, loop_ohms: Measured<Ohms>) -> Result<Leg, LocateError> {
    let (a, b) = (a.checked("arm a")?, b.checked("arm b")?);
    let whole = above_zero(loop_ohms.checked("the loop")?.number(), "the loop")?;
    let sum = above_zero(a.number() + b.number(), "the sum of the arms")?;
    let share = a.number() / sum;
    let standard = quadrature(&[
        share * loop_ohms.standard(),
        whole * b.number() / (sum * sum) * a.standard(),
        whole * a.number() / (sum * sum) * b.standard(),
    ]);
    Ok(Leg { ohms: Ohms(share * whole), standard: Ohms(standard), whole: Ohms(whole) })
}

/// The Varley loop: fixed arms p and q, the loop R, and the set resistance S at balance.
///
/// # Errors
/// [`LocateError`] where a value is below zero, both arms are nothing, or the fault lies beyond the loop.
pub fn varley(
    arms: [Measured<Ohms>; 2],
    loop_ohms: Measured<Ohms>,
    set: Measured<Ohms>,
) -> Result<Leg, LocateError> {
    let (p, q) = (arms[0].checked("arm p")?, arms[1].checked("arm q")?);
    let whole = above_zero(loop_ohms.checked("the loop")?.number(), "the loop")?;
    let set_ohms = set.checked("the set resistance")?.number();
    let sum = above_zero(p.number() + q.number(), "the sum of the arms")?;
    let at = (q.number() * whole - p.number() * set_ohms) / sum;
    let swing = (whole + set_ohms) / (sum * sum);
    let standard = quadrature(&[
        q.number() / sum * loop_ohms.standard(),
        p.number() / sum * set.standard(),
        swing * p.number() * q.standard(),
        swing * q.number() * p.standard(),
    ]);
    if !(-2.0 * standard..=whole + 2.0 * standard).contains(&at) {
        return Err(LocateError::Outside {
            at,
            whole,
            unit: "ohm",
            advice: "are the arms or the wires swapped?",
        });
    }
    Ok(Leg { ohms: Ohms(at.clamp(0.0, whole)), standard: Ohms(standard), whole: Ohms(whole) })
}

impl Leg {
    /// The place, for a loop that has this resistance a metre all along.
    ///
    /// # Errors
    /// [`LocateError`] unless the resistance a metre is above zero.
    pub fn along(&self, per_metre: Ohms) -> Result<PlaceOnWire, LocateError> {
        let each = above_zero(per_metre.0, "the resistance a metre")?;
        Ok(PlaceOnWire::new(self.ohms.0 / each, self.standard.0 / each, Metres(self.whole.0 / each)))
    }
}
