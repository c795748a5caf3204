//! Why something was not taken, in English and Spanish.

use crate::diag::{Lang, Text};
use crate::safety::Words;
use crate::units::{BandChance, QuantityError};

use super::event::Lapse;

/// Why something was not taken; nothing was recorded.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Declined {
    /// The reading could not be understood.
    #[error("{0}. Write {hint}", hint = .0.write)]
    Quantity(QuantityError),
    /// It lies too close to the edge of a band; how likely each band is.
    #[error("too close to call")]
    TooClose(Vec<BandChance>),
    /// The reading does not show what the gate asks.
    #[error("{0}")]
    NotShown(String),
    /// It fits nowhere here.
    #[error("{}", .0.en())]
    Here(Text),
    /// Conditions have lapsed; the walk asks again.
    #[error("conditions have lapsed")]
    Lapsed(Lapse),
}

impl Declined {
    /// The reason in a language.
    #[must_use]
    pub fn in_lang(&self, lang: &Lang) -> String {
        match self {
            Self::Here(why) => why.in_lang(lang).to_owned(),
            Self::TooClose(_) => TOO_CLOSE.in_lang(lang).to_owned(),
            Self::Lapsed(_) => LAPSED.in_lang(lang).to_owned(),
            Self::Quantity(error) => unreadable(error, lang),
            Self::NotShown(_) => self.to_string(),
        }
    }
}

/// Why a quantity cannot be read, and what to write.
#[must_use]
pub fn unreadable(error: &QuantityError, lang: &Lang) -> String {
    if lang.code() == "es" {
        format!("{}. Escriba {}", error.in_spanish(), error.write_in_spanish())
    } else {
        format!("{error}. Write {}", error.write)
    }
}

const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

const TOO_CLOSE: Words = say("too close to call", "demasiado cerca para decidir");
const LAPSED: Words = say("conditions have lapsed", "las condiciones han caducado");

pub(super) const VIEW_ONLY: Words = say(
    "this job is open for viewing and reporting only",
    "este trabajo está abierto solo para verlo y hacer el informe",
);
pub(super) const EMPTY_NOTE: Words = say("the note is empty", "la nota está vacía");
pub(super) const CODE_SAID: Words =
    say("a code was said to be there still", "se dijo que aún queda un código");
pub(super) const NOT_WAITING: Words = say("the job is not waiting", "el trabajo no está en espera");
pub(super) const NOTHING_ASKED: Words = say("nothing was asked", "no se preguntó nada");
pub(super) const WAITING: Words = say(
    "the job is waiting; say first that you are back",
    "el trabajo está en espera; diga antes que está de vuelta",
);
pub(super) const ENDED: Words = say("the job has ended", "el trabajo ha terminado");
pub(super) const CAB_FIRST: Words = say("say first how the cab stands", "diga antes cómo está la cabina");
pub(super) const GATE_FIRST: Words = say("a gate comes first", "antes viene un control");
pub(super) const NO_QUESTION: Words = say("nothing is asked here", "aquí no se pregunta nada");
pub(super) const NO_READING: Words = say("no reading is asked here", "aquí no se pide ninguna lectura");
pub(super) const CLEAR_ENOUGH: Words = say(
    "this reading is not too close to an edge; nothing is to be decided",
    "esta lectura no está demasiado cerca de un borde; no hay nada que decidir",
);
pub(super) const FAR_FROM_BAND: Words =
    say("the reading lies nowhere near that band", "la lectura no está cerca de esa franja");
pub(super) const NO_REASON: Words =
    say("a decision needs one of the bands and a reason", "para decidir hacen falta una franja y un motivo");
pub(super) const NO_BAND: Words = say(
    "no band of this step takes such a reading; measure again, or say that you cannot",
    "ninguna franja de este paso admite esa lectura; mida otra vez, o diga que no se puede",
);
pub(super) const NO_INITIALS: Words =
    say("initials are needed: who confirms this?", "hacen falta iniciales: ¿quién lo confirma?");
pub(super) const NO_GATE: Words = say("there is no gate here", "aquí no hay ningún control");
pub(super) const TYPE_METER: Words = say("type what the meter shows", "escriba lo que muestra el medidor");
pub(super) const ANSWER_WANTED: Words = say("an answer is wanted here", "aquí hace falta una respuesta");
pub(super) const READING_WANTED: Words = say("a reading is wanted here", "aquí hace falta una lectura");
pub(super) const NOTHING_AFTER: Words = say(
    "nothing comes after this; confirm what you can see",
    "después de esto no viene nada; confirme lo que pueda ver",
);
pub(super) const NOTHING_TO_FAIL: Words =
    say("there is nothing here that could not be done", "aquí no hay nada que no se pueda hacer");
pub(super) const GUARDED_BACK: Words = say(
    "the machine is being guarded; there is no way back",
    "se está vigilando la máquina; no se puede volver",
);
pub(super) const GUARDED_ON: Words = say(
    "the machine is being guarded; there is no way on",
    "se está vigilando la máquina; no se puede seguir",
);
pub(super) const NOTHING_BEFORE: Words =
    say("there is nothing in this round to go back to", "en esta vuelta no hay adónde volver");

/// Another item of the gate is the next.
pub(super) fn next_item(number: usize) -> Text {
    Text::both(&format!("item {number} is next"), &format!("sigue el punto {number}"))
}

/// There is no such answer; there are these.
pub(super) fn no_answer(answer: &str, known: &[&str]) -> Text {
    let known = known.join(", ");
    Text::both(
        &format!("there is no answer `{answer}` here; there are {known}"),
        &format!("aquí no hay ninguna respuesta `{answer}`; hay {known}"),
    )
}

/// A finding or an end is come to, not jumped to.
pub(super) fn no_jump(step: &str) -> Text {
    Text::both(
        &format!("{step} cannot be jumped to: it has to be come to"),
        &format!("no se puede saltar a {step}: hay que llegar allí"),
    )
}
