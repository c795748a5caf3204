//! A lamp as the load: in the socket of a fuse that blows, and to load a connection that reads well unloaded.
//!
//! A filament lamp is taken at its hot resistance, (rated volts)²/watts, with 12 V or 24 V as the rating; cold it is
//! about a tenth of that (common practice), so what is said of a short that lights it is on the safe side.

use crate::units::{Amps, Ohms, Volts, Watts};

use super::{LocateError, Measured, above_zero};

/// A lamp in the socket of a fuse that blows: it takes the supply instead of the harness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SocketLamp {
    /// Its resistance when it burns.
    pub hot: Ohms,
    /// The most that flows into a dead short.
    pub most: Amps,
    /// A short up to this resistance lights it with at least half of the supply.
    pub lit_up_to: Ohms,
}

/// Supplies below this are 12 V machines.
const BETWEEN_SYSTEMS: f64 = 18.0;

/// What a lamp of these watts does in a fuse's socket: lit, the short is there; out, it is in what was just
/// moved or unplugged.
///
/// # Errors
/// [`LocateError`] unless both are above zero.
pub fn socket_lamp(supply: Volts, lamp: Watts) -> Result<SocketLamp, LocateError> {
    let volts = above_zero(supply.0, "the supply")?;
    let watts = above_zero(lamp.0, "the lamp")?;
    let rated: f64 = if volts < BETWEEN_SYSTEMS { 12.0 } else { 24.0 };
    let hot = rated * rated / watts;
    if !hot.is_finite() {
        return Err(LocateError::Zero("the lamp"));
    }
    Ok(SocketLamp { hot: Ohms(hot), most: Amps(volts / hot), lit_up_to: Ohms(hot) })
}

/// The drop over one joint of a loaded circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Its name, such as `X20:1`.
    pub name: String,
    /// Volts across it while the load draws its current.
    pub drop: Measured<Volts>,
}

/// What a joint's drop says.
#[derive(Debug, Clone, PartialEq)]
pub struct JointVerdict {
    /// Its name.
    pub name: String,
    /// Its resistance.
    pub ohms: Ohms,
    /// The limit of that resistance's error, from the meter's.
    pub limit: Ohms,
    /// Share of all the drop that was read over the joints.
    pub share: f64,
    /// Above what is allowed; none if the meter cannot tell.
    pub too_much: Option<bool>,
}

/// Ranks the joints of a circuit under load, the largest drop first.
///
/// # Errors
/// [`LocateError`] where the load draws nothing or a drop is below zero by more than the meter explains.
pub fn loaded_drop(load: Amps, joints: &[Joint], allowed: Volts) -> Result<Vec<JointVerdict>, LocateError> {
    let amps = above_zero(load.0, "the load's current")?;
    let all: f64 = joints.iter().map(|j| j.drop.value.0.max(0.0)).sum();
    let mut found = Vec::with_capacity(joints.len());
    for joint in joints {
        let (volts, limit) = (joint.drop.value.0, joint.drop.limit.0);
        if !volts.is_finite() || volts < -limit {
            return Err(LocateError::Negative { what: "a drop", value: volts });
        }
        let volts = volts.max(0.0);
        found.push(JointVerdict {
            name: joint.name.clone(),
            ohms: Ohms(volts / amps),
            limit: Ohms(limit / amps),
            share: if all > 0.0 { volts / all } else { 0.0 },
            too_much: decided(volts, limit, allowed.0),
        });
    }
    found.sort_by(|a, b| b.ohms.0.total_cmp(&a.ohms.0));
    Ok(found)
}

fn decided(volts: f64, limit: f64, allowed: f64) -> Option<bool> {
    if volts - limit > allowed {
        Some(true)
    } else if volts + limit <= allowed {
        Some(false)
    } else {
        None
    }
}
