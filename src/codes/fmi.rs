//! Failure mode identifiers: what the controller saw at its pin.
//!
//! SAE J1939-73 appendix A and ISO 11783-12, in the project's own short wording. Modes 20 to 30 differ
//! between public copies or are reserved, so they are told as reserved instead of guessed.

use serde::{Deserialize, Serialize};

/// Suspect parameter number: what the code is about, 19 bits (SAE J1939-73).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Spn(pub u32);

/// Failure mode identifier, 5 bits (SAE J1939-73 appendix A).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Fmi(pub u8);

/// What a failure mode says about the electrical state of a pin. It does not say where the fault is: an
/// open wire on a pulled-up input is seen as high.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PinSight {
    /// Voltage above normal (3).
    VoltsHigh,
    /// Voltage below normal (4).
    VoltsLow,
    /// Current below normal, or no current (5).
    CurrentLow,
    /// Current above normal (6).
    CurrentHigh,
}

impl Fmi {
    /// Says what the controller saw, in a few words.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self.0 {
            0 => "value above normal, most severe",
            1 => "value below normal, most severe",
            2 => "signal erratic, intermittent or incorrect",
            3 => "voltage at the pin above normal, or shorted high",
            4 => "voltage at the pin below normal, or shorted low",
            5 => "current below normal, or circuit open",
            6 => "current above normal, or circuit grounded",
            7 => "mechanical part does not respond",
            8 => "frequency, pulse width or period not normal",
            9 => "message comes at the wrong rate",
            10 => "value changes at a rate that is not normal",
            11 => "cause not known",
            12 => "device or part bad",
            13 => "out of calibration",
            14 => "special instructions: see the maker's",
            15 => "value above normal, least severe",
            16 => "value above normal, moderate",
            17 => "value below normal, least severe",
            18 => "value below normal, moderate",
            19 => "data received over the network in error",
            31 => "condition exists",
            _ => "reserved, or read differently in different editions: see the maker's list",
        }
    }

    /// What the mode says about the pin, for the four modes that are about volts and amps.
    #[must_use]
    pub fn pin_sight(self) -> Option<PinSight> {
        match self.0 {
            3 => Some(PinSight::VoltsHigh),
            4 => Some(PinSight::VoltsLow),
            5 => Some(PinSight::CurrentLow),
            6 => Some(PinSight::CurrentHigh),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The electrical modes of SAE J1939-73 appendix A, on which every open copy agrees.
    #[test]
    fn only_the_electrical_modes_speak_of_the_pin() {
        let seen: Vec<u8> = (0..32).filter(|f| Fmi(*f).pin_sight().is_some()).collect();
        assert_eq!(seen, [3, 4, 5, 6]);
    }

    #[test]
    fn unsettled_modes_are_not_guessed() {
        for mode in 20..=30 {
            assert!(Fmi(mode).meaning().starts_with("reserved"), "{mode}");
        }
    }
}
