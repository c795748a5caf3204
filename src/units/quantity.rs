//! Quantities that carry their unit in the type: no bare number crosses a face.
//!
//! Every type holds the SI value (or, where the trade uses another base, the one its name says).

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The unit's symbol as printed.
            pub const UNIT: &'static str = $unit;

            /// The bare number, in the unit the type names.
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }
        }
    };
}

quantity!(/// Electric potential difference, in volts.
    Volts, "V");
quantity!(/// Resistance, in ohms.
    Ohms, "Ω");
quantity!(/// Current, in amperes.
    Amps, "A");
quantity!(/// Frequency, in hertz.
    Hertz, "Hz");
quantity!(/// A share of a hundred.
    Percent, "%");
quantity!(/// Pressure, in bar.
    Bar, "bar");
quantity!(/// Temperature, in degrees Celsius.
    Celsius, "°C");
quantity!(/// Rotational speed, in revolutions a minute.
    Rpm, "rpm");
quantity!(/// Power, in watts.
    Watts, "W");
quantity!(/// Length, in metres.
    Metres, "m");
quantity!(/// Cross-section, in square millimetres.
    SquareMillimetres, "mm²");
quantity!(/// Working time, in minutes.
    Minutes, "min");
