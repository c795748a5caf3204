//! What is wrong with a quantity, in Spanish. The English stands in its `Display`; the two say the same.

use super::error::{QuantityError, QuantityFault};

/// What can be expected, in English and Spanish.
const NOUNS: [(&str, &str); 13] = [
    ("volts", "voltios"),
    ("ohms", "ohmios"),
    ("amps", "amperios"),
    ("hertz", "hercios"),
    ("per cent", "un porcentaje"),
    ("a pressure", "una presión"),
    ("a temperature", "una temperatura"),
    ("revolutions a minute", "revoluciones por minuto"),
    ("watts", "vatios"),
    ("a length", "una longitud"),
    ("a cross-section", "una sección"),
    ("a time", "un tiempo"),
    ("the accuracy of a meter", "la exactitud de un medidor"),
];

/// What hints say around the numbers.
const HINTS: [(&str, &str); 4] = [
    (", or ", ", o "),
    ("with leads:", "con puntas:"),
    (", leads ", ", puntas "),
    ("the reading on a higher range:", "la lectura en un rango más alto:"),
];

impl QuantityError {
    /// What is wrong, in Spanish.
    #[must_use]
    pub fn in_spanish(&self) -> String {
        let (written, expected) = (&self.written, noun(self.expected));
        let takes = if expected.starts_with("un") || expected.starts_with("la ") {
            format!("va {expected}")
        } else {
            format!("van {expected}")
        };
        match &self.fault {
            QuantityFault::Empty => format!("aquí no hay nada, y {takes}"),
            QuantityFault::NotANumber if written.parse().is_ok_and(f64::is_finite) => {
                format!("`{written}` es un número solo, y aquí {takes}")
            }
            QuantityFault::NotANumber => format!("`{written}` no es un número, y aquí {takes}"),
            QuantityFault::NoUnit => format!("`{written}` no tiene unidad, y aquí {takes}"),
            QuantityFault::UnknownUnit { unit } => {
                format!("`{unit}` en `{written}` no es una unidad conocida, y aquí {takes}")
            }
            QuantityFault::OtherKind { is } => {
                format!("`{written}` está en {}, y aquí {takes}", noun(is))
            }
            QuantityFault::DecimalComma => {
                format!("`{written}` tiene coma decimal; en un archivo es un punto")
            }
            QuantityFault::Absurd { least, most } => {
                format!("`{written}` es absurdo: {takes} de {least} a {most}")
            }
            QuantityFault::Negative => format!("`{written}` está bajo cero, y aquí no puede ser"),
            QuantityFault::Zero => format!("`{written}` no está sobre cero, y aquí tiene que estarlo"),
            QuantityFault::OverRange => {
                format!("`{written}` dice que el medidor se pasó de rango, y aquí {takes}")
            }
            QuantityFault::NoSuchGauge => format!("`{written}` no es un calibre de 4/0 AWG a 40 AWG"),
        }
    }

    /// What to write, in Spanish.
    #[must_use]
    pub fn write_in_spanish(&self) -> String {
        HINTS.iter().fold(self.write.clone(), |hint, (en, es)| hint.replace(en, es))
    }
}

fn noun(en: &'static str) -> &'static str {
    NOUNS.iter().find(|(known, _)| *known == en).map_or(en, |(_, es)| *es)
}

#[cfg(test)]
mod tests {
    use super::super::{Measure, Meter, MeterClass, Reading};
    use super::*;

    /// Every measure, wrong in every way that can be typed, says the kind in Spanish and nothing in English.
    #[test]
    fn no_reason_is_english() {
        let english = ["this takes", "is not", " or ", " the ", "and ", "number"];
        let mut seen = 0;
        for measure in Measure::ALL {
            for typed in ["", "abc", "12 furlongs", "12 V", "12 ohm", "OL", "1e99", "-400 C", "1 2"] {
                let Err(error) = Reading::parse(typed, measure.unit()) else { continue };
                let told = format!("{}. {}", error.in_spanish(), error.write_in_spanish());
                assert!(english.iter().all(|word| !told.contains(word)), "{told}");
                assert!(NOUNS.iter().any(|(en, _)| *en == error.expected), "{}", error.expected);
                seen += 1;
            }
        }
        assert!(seen > 40, "{seen}");
        let error = Meter::parse("quite good").expect_err("no accuracy");
        assert!(error.in_spanish().ends_with("la exactitud de un medidor"), "{}", error.in_spanish());
        assert!(error.write_in_spanish().contains("o good"), "{}", error.write_in_spanish());
        assert!(MeterClass::ALL.iter().all(|class| Meter::parse(class.name()).is_ok()));
    }
}
