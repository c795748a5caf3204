//! What is known of a job, said field by field.

use crate::diag::Lang;
use crate::units::{Celsius, Meter, Volts, Written};

use super::declined::unreadable;
use super::event::Details;

impl Details {
    /// The fields by the names with which they are said, as in an answers file.
    pub const KEYS: [&'static str; 11] = [
        "number",
        "serial",
        "hours",
        "attachment",
        "customer",
        "site",
        "complaint",
        "mechanic",
        "volts",
        "celsius",
        "meter",
    ];

    /// Takes in what was typed for a field; nothing typed leaves it blank again.
    ///
    /// # Errors
    /// Why it cannot be used, with how to write it; nothing is changed then.
    pub fn say(&mut self, key: &str, typed: &str, lang: &Lang) -> Result<(), String> {
        let is_es = lang.code() == "es";
        let typed = typed.trim();
        let text = (!typed.is_empty()).then(|| typed.to_owned());
        let number = || match &text {
            None => Ok(None),
            Some(text) => match text.replace(',', ".").parse::<f64>() {
                Ok(number) if number.is_finite() => Ok(Some(number)),
                _ if is_es => Err(format!("{key}: `{text}` no es un número. Escriba 12")),
                _ => Err(format!("{key}: `{text}` is no number. Write 12")),
            },
        };
        match key {
            "number" => self.number = text,
            "serial" => self.serial = text,
            "hours" => self.hours = number()?,
            "attachment" => self.attachment = text,
            "customer" => self.customer = text,
            "site" => self.site = text,
            "complaint" => self.complaint = text,
            "mechanic" => self.mechanic = text,
            "celsius" => self.celsius = number()?.map(Celsius),
            "volts" => {
                let read = |text: &String| Volts::parse(text).map_err(|e| unreadable(&e, lang));
                self.volts = text.as_ref().map(read).transpose()?;
            }
            "meter" => {
                let read = |text: &String| Meter::parse(text).map_err(|e| unreadable(&e, lang));
                self.meter = text.as_ref().map(read).transpose()?;
            }
            _ if is_es => {
                return Err(format!("un trabajo no tiene `{key}`; tiene {}", Self::KEYS.join(", ")));
            }
            _ => return Err(format!("a job has no `{key}`; it has {}", Self::KEYS.join(", "))),
        }
        Ok(())
    }
}
