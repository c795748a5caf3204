//! The words of a report, in English and Spanish.

use crate::diag::Lang;
use crate::safety::Words;
use crate::tree::CloseAs;
use crate::walk::{EndedAs, Lapse, Now};

/// A text in both languages.
pub(super) const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

/// The words in a language.
pub(super) fn w(lang: &Lang, en: &'static str, es: &'static str) -> String {
    say(en, es).in_lang(lang).to_owned()
}

/// How a job stands, in a sentence.
pub(super) fn stands(now: &Now, lang: &Lang) -> String {
    match now {
        Now::Ended(EndedAs::Closed(CloseAs::Repaired)) => {
            w(lang, "Repaired and proved", "Reparado y comprobado")
        }
        Now::Ended(EndedAs::Closed(CloseAs::NotReproduced)) => w(lang, "It did not show", "No se manifestó"),
        Now::Ended(EndedAs::Closed(CloseAs::Temporary)) => {
            w(lang, "Works for now; not finished", "Funciona por ahora; sin terminar")
        }
        Now::Ended(EndedAs::Referred) => w(lang, "Handed over", "Entregado a otros"),
        Now::Ended(EndedAs::Guarded) => w(
            lang,
            "Handed over: the machine could not be made safe, and was guarded",
            "Entregado: no se pudo asegurar la máquina, y quedó protegida",
        ),
        Now::Waiting(_) => w(lang, "Waiting", "En espera"),
        _ => w(lang, "Open: the job has not ended", "Abierto: el trabajo no ha terminado"),
    }
}

/// Why conditions lapsed.
pub(super) fn lapse(cause: Lapse, lang: &Lang) -> String {
    match cause {
        Lapse::Resumed => w(lang, "the job was taken up again", "se retomó el trabajo"),
        Lapse::Slept => {
            w(lang, "the laptop slept, or its clock was set", "el portátil durmió, o cambió su reloj")
        }
        Lapse::Idle => w(lang, "nobody pressed a key for 30 minutes", "30 minutos sin pulsar una tecla"),
        Lapse::LeftIt => w(lang, "the machine was left alone", "la máquina quedó sola"),
    }
}
