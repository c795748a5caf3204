//! Plain mode beside the steps: what is known of the job, lines of the repair sheet put right, how the machine was left,
//! codes that are still there.

use std::io::BufRead;

use super::Talk;
use crate::cli::Failure;
use crate::cli::screens::settings_file;
use crate::diag::visible_line;
use crate::repair::Damage;
use crate::tui::keep_meter;
use crate::walk::{Code, Details, Input};

impl<R: BufRead> Talk<'_, R> {
    /// `repair flex still`; without more it tells which lines there are, and asks.
    pub(super) fn repair(&mut self, said: &str) -> Result<bool, Failure> {
        let said = if said.is_empty() {
            let lines = self.either("Lines", "Líneas");
            self.line(&format!("{lines}: {}, parts, as-done.", Damage::KEYS.join(", ")))?;
            self.ask("Which line, and what is so?", "¿Qué línea, y cómo es?")?
        } else {
            Some(said.to_owned())
        };
        let Some(said) = said else { return Ok(false) };
        let (key, value) = said.split_once(' ').unwrap_or((&said, ""));
        if value.trim().is_empty() {
            self.not_taken(self.either(
                "say the line and what is so, as: repair missing 25 mm",
                "diga la línea y cómo es, como: repair missing 25 mm",
            ))?;
            return Ok(false);
        }
        self.say(Input::Repaired(vec![(key.to_owned(), value.trim().to_owned())]))
    }

    /// `job serial 4417`; without more it tells what is known, and asks.
    pub(super) fn job(&mut self, said: &str) -> Result<bool, Failure> {
        let mut details = self.recorded.walk().details().clone();
        let said = if said.is_empty() {
            let of_a_job = self.either("Of a job", "De un trabajo");
            self.line(&format!("{of_a_job}: {}.", Details::KEYS.join(", ")))?;
            self.ask("Which, and what is it?", "¿Cuál, y cuánto o qué es?")?
        } else {
            Some(said.to_owned())
        };
        let Some(said) = said else { return Ok(false) };
        let (key, value) = said.split_once(' ').unwrap_or((&said, ""));
        match details.say(key, value, &self.recorded.walk().lang()) {
            Ok(()) => {
                let meter = details.meter.filter(|_| key == "meter");
                let taken = self.say(Input::Details(Box::new(details)))?;
                if let Some(meter) = meter {
                    let (of, too) = (
                        self.either("The meter", "El medidor"),
                        self.either("The next job has it too", "El próximo trabajo también lo tiene"),
                    );
                    self.line(&format!("{of}: {meter}. {too}."))?;
                    if let Some(Err(error)) = settings_file().map(|file| keep_meter(&file, meter)) {
                        let not =
                            self.either("Not kept for the next job", "No se guardó para el próximo trabajo");
                        self.line(&format!("{not}: {error}."))?;
                    }
                }
                Ok(taken)
            }
            Err(wrong) => {
                self.not_taken(&visible_line(&wrong))?;
                Ok(false)
            }
        }
    }

    /// How the machine was left, and who was told.
    pub(super) fn left(&mut self, how: String) -> Result<bool, Failure> {
        let how = if how.is_empty() {
            self.ask("How does it stand, and who was told?", "¿Cómo queda, y a quién se avisó?")?
        } else {
            Some(how)
        };
        match how.filter(|how| !how.is_empty()) {
            Some(how) => self.say(Input::Left(how)),
            None => Ok(false),
        }
    }

    /// What was typed about codes at the end.
    pub(super) fn codes(&mut self, typed: &str) -> Result<bool, Failure> {
        match typed.to_lowercase().as_str() {
            "none" | "no" | "ninguno" => self.say(Input::NoCodeLeft),
            "not looked" | "no mirado" => self.say(Input::Done),
            _ => {
                if let Some(code) = Code::parse(typed) {
                    return self.say(Input::CodeLeft(self.recorded.walk().named(code)));
                }
                let no_code = self.either(
                    "is no code. SPN and FMI, as 520301 4; or none; or not looked",
                    "no es un código. SPN y FMI, como 520301 4; o ninguno; o no mirado",
                );
                self.not_taken(&format!("{} {no_code}", visible_line(typed)))?;
                Ok(false)
            }
        }
    }
}
