//! How often each kind of fault is the cause, and at which severities it is walked.
//!
//! Our choice, no source: the one table of defaults. A machine file's `faults` and a shop's own
//! history override the shares.

/// Share of a contact that is open.
pub(super) const CONTACT_OPEN: f64 = 3.0;
/// Share of a contact, or another joint in a circuit, that has a resistance.
pub(super) const CONTACT_RESISTIVE: f64 = 4.0;
/// Share of two contacts joined by water.
pub(super) const CONTACT_WET: f64 = 4.0;
/// Share of a wire rubbed through to the frame.
pub(super) const RUB_GROUNDED: f64 = 4.0;
/// Share of a wire broken at a rub.
pub(super) const RUB_OPEN: f64 = 3.0;
/// Share of two wires that touch at a rub.
pub(super) const RUB_TOUCHING: f64 = 1.0;
/// Share of a wire broken anywhere.
pub(super) const WIRE_OPEN: f64 = 1.0;
/// Share of a wire green inside.
pub(super) const WIRE_RESISTIVE: f64 = 2.0;
/// Share of a switch stuck one way.
pub(super) const SWITCH: f64 = 3.0;
/// Share of a load open or shorted.
pub(super) const LOAD: f64 = 2.0;
/// Share of a stud with a resistance.
pub(super) const GROUND: f64 = 3.0;
/// Share of a blown fuse.
pub(super) const FUSE: f64 = 2.0;
/// Share of a relay contact stuck one way.
pub(super) const RELAY_CONTACT: f64 = 2.0;
/// Share of a dead pin.
pub(super) const PIN: f64 = 0.3;
/// Share of a dead controller.
pub(super) const CONTROLLER: f64 = 0.5;
/// Share of a low battery.
pub(super) const SUPPLY: f64 = 4.0;
/// Share of a fault that shows only while moved, hot or wet.
pub(super) const INTERMITTENT: f64 = 1.0;
/// Share of a resistor, potentiometer or diode that is open, or a diode that is shorted.
pub(super) const RESISTOR: f64 = 1.0;
/// Share of a further source that gives nothing.
pub(super) const SOURCE: f64 = 3.0;

/// Ohms of a chafe, nominal first.
pub(super) const CHAFE: (f64, [f64; 4]) = (0.5, [0.05, 0.5, 5.0, 50.0]);
/// Ohms of a poor contact in a signal circuit.
pub(super) const SIGNAL: (f64, [f64; 4]) = (1_000.0, [10.0, 100.0, 1_000.0, 10_000.0]);
/// Ohms of a poor connection in a load circuit, as multiples of the load.
pub(super) const OF_LOAD: (f64, [f64; 5]) = (1.0, [0.03, 0.1, 0.3, 1.0, 10.0]);
/// Ohms of water between two pins.
pub(super) const WATER: (f64, [f64; 3]) = (2_000.0, [200.0, 2_000.0, 20_000.0]);
/// Ohms of a poor stud.
pub(super) const STUD: (f64, [f64; 4]) = (10.0, [0.1, 1.0, 10.0, 100.0]);
/// Ohms of a shorted load or diode.
pub(super) const SHORTED: f64 = 0.2;
/// Volts of a low battery of a 12 V machine; twice that on one of 24 V.
pub(super) const LOW: (f64, [f64; 3]) = (9.0, [7.0, 9.0, 10.5]);
/// Above these amperes in some function's state, healthy, a circuit is a load circuit.
pub(super) const LOAD_AMPS: f64 = 0.05;
