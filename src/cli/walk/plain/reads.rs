//! Plain mode at a reading: what was understood, what it may have been meant to be, too close to call.

use std::io::BufRead;

use super::Talk;
use crate::cli::Failure;
use crate::tree::{BandKind, Kind, Read};
use crate::units::Reading;
use crate::walk::{Declined, Input, Outcome, Walk};

impl<R: BufRead> Talk<'_, R> {
    /// A typed reading: echoed as it was understood, asked about where this machine cannot show it, then judged.
    pub(super) fn reading(&mut self, typed: &str) -> Result<bool, Failure> {
        let Some(read) = self.recorded.walk().reading_here() else { return Ok(true) };
        let unit = read.measure.unit();
        let Some(typed) = self.meant(typed)? else { return Ok(false) };
        if let Ok(reading) = Reading::parse(&typed, unit) {
            let echo = reading.echo(unit).to_string();
            let understood = self.either("Understood", "Entendido");
            self.line(&format!("{understood}: {echo}"))?;
        }
        let at = self.clock.now();
        match self.recorded.say(Input::Reading(typed.clone()), at)? {
            Ok(()) => {
                self.told_band()?;
                Ok(true)
            }
            Err(Declined::TooClose(chances)) => {
                let likely: Vec<(usize, f64)> = chances.iter().map(|c| (c.band, c.chance)).collect();
                self.too_close(&typed, &likely)
            }
            Err(declined) => self.declined(&declined),
        }
    }

    /// "30 V or 30 mV?": what was meant; nothing where it is to be measured again.
    fn meant(&mut self, typed: &str) -> Result<Option<String>, Failure> {
        let Some(meant) = self.recorded.walk().probably_meant(typed) else {
            return Ok(Some(typed.to_owned()));
        };
        let volts = format!("{} V", typed.trim().trim_end_matches(['V', 'v']).trim_end());
        let (or, look) = (
            self.either("or", "o"),
            self.either("Look at the range of the meter", "Mire el rango del medidor"),
        );
        self.line(&format!("{volts} {or} {meant}? {look}."))?;
        let again = self.either(
            "An empty line to measure again. Which number?",
            "Una línea vacía para medir otra vez. ¿Qué número?",
        );
        self.line(&format!("1. {meant}. 2. {volts}. {again}"))?;
        Ok(match self.read()?.as_deref().map(str::trim) {
            Some("1") => Some(meant),
            Some("2") => Some(typed.to_owned()),
            _ => None,
        })
    }

    fn told_band(&mut self) -> Result<(), Failure> {
        let walk = self.recorded.walk();
        let last = walk.visits().iter().rev().find_map(|v| match &v.outcome {
            Outcome::Read { band, .. } => Some((v.step, *band)),
            _ => None,
        });
        let Some((ix, band)) = last else { return Ok(()) };
        let Kind::Read(read) = &walk.course().tree().step(ix).kind else { return Ok(()) };
        let told = band_told(read, band, walk);
        let named = self.either("Band", "Franja");
        self.line(&format!("{named}: {told}"))
    }

    fn too_close(&mut self, typed: &str, chances: &[(usize, f64)]) -> Result<bool, Failure> {
        self.tell(
            "Too close to an edge to call. Measure again on a better range, or decide and say why.",
            "Demasiado cerca de un borde para decidir. Mida otra vez en un rango mejor, o decida y diga por qué.",
        )?;
        for (band, chance) in chances {
            let walk = self.recorded.walk();
            let told = walk.reading_here().map_or_else(String::new, |read| band_told(read, *band, walk));
            let of = self.either("of", "de");
            self.line(&format!("  {}. {:.0} {of} 100: {told}", band + 1, chance * 100.0))?;
        }
        self.tell(
            "Decide: number of the band and the reason, or an empty line to measure again.",
            "Decida: el número de la franja y el motivo, o una línea vacía para medir otra vez.",
        )?;
        let Some(decided) = self.read()? else { return Ok(false) };
        let (number, why) = decided.trim().split_once(' ').unwrap_or((decided.trim(), ""));
        match number.parse::<usize>().ok().and_then(|n| n.checked_sub(1)) {
            Some(_) if why.trim().is_empty() => {
                self.not_taken(self.either(
                    "a reason is needed, as: 2 the meter was steady",
                    "hace falta un motivo, como: 2 el medidor estaba quieto",
                ))?;
                Ok(false)
            }
            Some(band) => {
                self.say(Input::Decide { typed: typed.to_owned(), band, why: why.trim().to_owned() })
            }
            None => Ok(true),
        }
    }
}

/// "3.5 V and above. bar circuit open".
fn band_told(read: &Read, band: usize, walk: &Walk) -> String {
    let Some(band) = read.bands.get(band) else { return String::new() };
    let range = match &band.kind {
        BandKind::Range(range) => format!("{range}. "),
        BandKind::Like(_) => String::new(),
    };
    format!("{range}{}", band.means.as_ref().map_or("", |means| means.in_lang(&walk.lang())))
}
