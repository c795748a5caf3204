//! "30 V or 30 mV?": a reading that this machine cannot show, though a thousandth or a thousandfold of it could be.
//!
//! Plausible are volts up to what charges the battery and a quarter more (our choice, no source), in either direction;
//! without a machine file up to 60 V, above which nothing is measured with this program.

use super::state::Walk;
use crate::units::{Amount, Band, Measure, Reading, Volts, thousandfold};

/// What the battery is charged with, and this much more.
const ABOVE: f64 = 1.25;
/// Extra-low voltage, d.c. (IEC 61140 puts the limit for dry skin at 60 V).
const LIMIT: f64 = 60.0;

impl Walk {
    /// What was probably meant by volts typed here, as it would have been typed; nothing where they can stand as they are.
    #[must_use]
    pub fn probably_meant(&self, typed: &str) -> Option<String> {
        let read = self.reading_here().filter(|read| read.measure == Measure::Volts)?;
        let number = typed.trim().trim_end_matches(['V', 'v']).trim_end();
        let is_bare = number.chars().all(|c| c.is_ascii_digit() || ".,-+".contains(c));
        let estimate = self.meter().estimate(&Reading::parse(typed, read.measure.unit()).ok()?)?;
        let edge = |volts| Some(Amount::new(read.measure.unit(), volts));
        let most = self.most_volts();
        let plausible = Band::new(Measure::Volts, edge(-most), edge(most)).ok()?;
        let fits = is_bare && !thousandfold(estimate, &[plausible]).is_empty();
        fits.then(|| format!("{number} mV"))
    }

    fn most_volts(&self) -> f64 {
        let Some(machine) = &self.course().tree().model else { return LIMIT };
        let supply = &machine.parts().supply;
        let charging = supply.charging.map_or(supply.volts.value(), Volts::value);
        ABOVE * charging.max(supply.volts.value())
    }
}
