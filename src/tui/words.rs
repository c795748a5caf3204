//! The screens' own words that more than one screen uses, in English and Spanish.

use crate::safety::Words;

/// A pair of wordings.
pub(super) const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

pub(super) const RECORDED: Words = say("Recorded.", "Registrado.");
pub(super) const NOT_RECORDED: Words = say("Not recorded", "No se registró");
pub(super) const NOT_TAKEN: Words = say("Not taken", "No se tomó");
pub(super) const TOO_EARLY: Words = say(
    "Too early, not taken: look first, then press the key.",
    "Demasiado pronto, no se tomó: mire primero y después pulse la tecla.",
);
pub(super) const LAPSED: Words = say(
    "What was in force is not taken for granted any more; the gates are asked again.",
    "Lo que estaba en vigor ya no se da por hecho; los controles se preguntan otra vez.",
);
pub(super) const GATES_AGAIN: Words =
    say("The gates are asked again.", "Los controles se preguntan otra vez.");
pub(super) const NOT_KEPT: Words = say("Not kept for next time", "No se guardó para la próxima vez");
pub(super) const INITIALS_FIRST: Words = say(
    "Your initials first, once for this job; then Enter.",
    "Primero sus iniciales, una vez para este trabajo; después Enter.",
);
pub(super) const MORE: Words = say("more", "más");
/// A probability as so many of 100.
pub(super) fn of_100(probability: f64) -> String {
    let percent = 100.0 * probability;
    if percent < 0.5 { "<1".to_owned() } else { format!("{percent:.0}") }
}

/// On a terminal too small to draw anything else.
pub(super) const TOO_SMALL: [Words; 5] = [
    say("Too small.", "Muy pequeña."),
    say("40 columns and", "Hacen falta"),
    say("10 lines are", "40 columnas y"),
    say("needed.", "10 líneas."),
    say("Nothing is lost.", "Nada se pierde."),
];
