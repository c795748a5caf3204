//! Fixed texts in English and Spanish, and the signal words that stand before hazardous work.
//!
//! Signal words and their ranks: ANSI Z535.6 / ISO 3864-2 (from memory): DANGER will, WARNING could
//! kill or injure seriously; CAUTION minor or moderate injury; NOTICE property.

use crate::diag::{Lang, Text};

/// A fixed text of the program's own, in English and Spanish.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Words {
    /// The English wording.
    pub en: &'static str,
    /// The Spanish wording.
    pub es: &'static str,
}

impl Words {
    /// The wording in this language, else in English.
    #[must_use]
    pub fn in_lang(&self, lang: &Lang) -> &'static str {
        if lang.code() == "es" { self.es } else { self.en }
    }

    /// The same as an owned text.
    #[must_use]
    pub fn text(&self) -> Text {
        Text::both(self.en, self.es)
    }
}

/// Writes a pair of wordings in a table.
pub(super) const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

/// How bad it can be, by ANSI Z535.6 / ISO 3864-2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Signal {
    /// Property damage only.
    Notice,
    /// Minor or moderate injury.
    Caution,
    /// Could kill or injure seriously.
    Warning,
    /// Will kill or injure seriously if it is not avoided.
    Danger,
}

impl Signal {
    /// The signal word as printed.
    #[must_use]
    pub const fn words(self) -> Words {
        match self {
            Self::Danger => say("DANGER", "PELIGRO"),
            Self::Warning => say("WARNING", "ADVERTENCIA"),
            Self::Caution => say("CAUTION", "PRECAUCIÓN"),
            Self::Notice => say("NOTICE", "AVISO"),
        }
    }
}

/// A hazard said before the action: signal word and one sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caution {
    /// How bad it can be.
    pub signal: Signal,
    /// What can happen.
    pub hazard: Words,
}

/// The line under every gate and every caution: what comes before anything said here.
pub const DEFER: Words = say(
    "The maker's instructions, the site's rules and local codes come first.",
    "Las instrucciones del fabricante, las reglas del lugar y las normas locales van primero.",
);

/// What to say when something moved although its interlock should have held it.
pub const STOP_USE: Caution = Caution {
    signal: Signal::Danger,
    hazard: say(
        "It moved when it should have been held. Stop using the machine: key out, tag on, tell everybody here.",
        "Se movió cuando debía estar enclavada. No use más la máquina: llave fuera, etiqueta puesta, avise a todos aquí.",
    ),
};
