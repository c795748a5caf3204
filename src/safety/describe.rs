//! What is in force, in one line: "parked, arms down, cab supported, POWER LIVE".

use crate::diag::Text;

use super::conditions::{Facet, FacetKind, NamedKind, Values};
use super::own::CabKind;
use super::state::State;
use super::vocabulary::Vocabulary;
use super::words::{Words, say};

/// One part of the line "Machine now".
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NowPart {
    /// The facet it speaks of.
    pub facet: Facet,
    /// What is known of it.
    pub text: Text,
    /// True if it is as on a machine that stands safe and whole; a narrow screen leaves it out.
    pub is_at_rest: bool,
}

/// What is in force, part by part, in the order of the line.
#[must_use]
pub fn machine_now(state: &State, vocabulary: &Vocabulary) -> Vec<NowPart> {
    let mut parts = Vec::new();
    for facet in IN_ORDER {
        if facet == Facet::CAB && vocabulary.cab() == CabKind::Fixed {
            continue;
        }
        if let Some((words, is_at_rest)) = condition_words(facet, known(state.values(facet, vocabulary))) {
            parts.push(NowPart { facet, text: words.text(), is_at_rest });
        }
    }
    parts.extend(own_parts(state, vocabulary));
    parts.extend(named_parts(state, vocabulary));
    parts
}

/// The line itself, in both languages.
#[must_use]
pub fn machine_now_line(parts: &[NowPart]) -> Text {
    let line = |code: &str| {
        let lang = crate::diag::Lang::new(code);
        parts.iter().map(|part| part.text.in_lang(&lang)).collect::<Vec<_>>().join(", ")
    };
    Text::both(&line("en"), &line("es"))
}

const IN_ORDER: [Facet; 7] =
    [Facet::PARKED, Facet::ARMS, Facet::CAB, Facet::PRESSURE, Facet::LOCK, Facet::WHOLE, Facet::POWER];

/// The place of the one value; nothing if it is not known.
fn known(values: Values) -> Option<usize> {
    values.places().next().filter(|_| values.is_one())
}

/// What is said of a condition with the value at this place, and whether it is at rest so. Pressure
/// that is charged, no lock, and a whole machine are what anybody expects and are not said.
///
/// Arms that count as raised are not held, wherever they are just now: an engine that runs can lift them at any time. So
/// the line does not say that they are up.
fn condition_words(facet: Facet, place: Option<usize>) -> Option<(Words, bool)> {
    Some(match (facet, place) {
        (Facet::PARKED, Some(0)) => (say("NOT PARKED", "SIN ESTACIONAR"), false),
        (Facet::PARKED, Some(_)) => (say("parked", "estacionada"), true),
        (Facet::PARKED, None) => (say("PARKED NOT KNOWN", "NO SE SABE SI ESTÁ ESTACIONADA"), false),
        (Facet::ARMS, Some(0)) => (say("ARMS MAY BE UP", "BRAZOS QUIZÁ ARRIBA"), false),
        (Facet::ARMS, Some(1)) => (say("arms down", "brazos abajo"), true),
        (Facet::ARMS, Some(_)) => (say("arms supported", "brazos en su soporte"), false),
        (Facet::ARMS, None) => (say("ARMS NOT KNOWN", "BRAZOS: NO SE SABE"), false),
        (Facet::CAB, Some(0)) => (say("cab down", "cabina abajo"), true),
        (Facet::CAB, Some(1)) => (say("CAB RAISED, NOT HELD", "CABINA LEVANTADA SIN SOPORTE"), false),
        (Facet::CAB, Some(_)) => (say("cab supported", "cabina en su soporte"), false),
        (Facet::CAB, None) => (say("CAB NOT KNOWN", "CABINA: NO SE SABE"), false),
        (Facet::PRESSURE, Some(1)) => (say("pressure released", "presión liberada"), false),
        (Facet::LOCK, Some(0)) => (say("lock on", "candado puesto"), false),
        (Facet::LOCK, None) => (say("LOCK NOT KNOWN", "CANDADO: NO SE SABE"), false),
        (Facet::WHOLE, Some(0)) => (say("not whole", "incompleta"), false),
        (Facet::POWER, Some(0)) => (say("ENGINE RUNNING", "MOTOR EN MARCHA"), false),
        (Facet::POWER, Some(1)) => (say("POWER LIVE", "CON CONTACTO"), false),
        (Facet::POWER, Some(2)) => (say("power off", "sin contacto"), true),
        (Facet::POWER, Some(_)) => (say("power isolated", "energía aislada"), true),
        (Facet::POWER, None) => (say("POWER NOT KNOWN", "ENERGÍA: NO SE SABE"), false),
        _ => return None,
    })
}

/// How one condition stands, or may stand, in words: "cab supported", "power off or power isolated"; "cab not known" where
/// it can be anything. Also what the line leaves unsaid because anybody expects it.
#[must_use]
pub fn stands_in_words(facet: Facet, values: Values, vocabulary: &Vocabulary) -> Text {
    let is_all = values == vocabulary.all(facet);
    let places: Vec<Option<usize>> =
        if is_all && !values.is_one() { vec![None] } else { values.places().map(Some).collect() };
    let texts: Vec<Text> = places.iter().map(|place| one_in_words(facet, *place, vocabulary)).collect();
    let joined = |code: &str, or: &str| {
        let lang = crate::diag::Lang::new(code);
        texts.iter().map(|text| text.in_lang(&lang)).collect::<Vec<_>>().join(or)
    };
    Text::both(&joined("en", " or "), &joined("es", " o "))
}

fn one_in_words(facet: Facet, place: Option<usize>, vocabulary: &Vocabulary) -> Text {
    let unsaid = match (facet, place) {
        (Facet::PRESSURE, Some(_)) => Some(say("pressure charged", "con presión")),
        (Facet::PRESSURE, None) => Some(say("pressure not known", "presión: no se sabe")),
        (Facet::LOCK, Some(_)) => Some(say("lock off", "sin candado")),
        (Facet::WHOLE, Some(_)) => Some(say(
            "whole: nothing apart, bridged or tied",
            "entera: nada desconectado, puenteado ni atado",
        )),
        (Facet::WHOLE, None) => Some(say(
            "not known whether anything is apart, bridged or tied",
            "no se sabe si hay algo desconectado, puenteado o atado",
        )),
        _ => None,
    };
    if let Some(words) = condition_words(facet, place).map(|(words, _)| words).or(unsaid) {
        // What the line shouts is part of a sentence here.
        return Text::both(&words.en.to_lowercase(), &words.es.to_lowercase());
    }
    let name = vocabulary.name(facet);
    if let (FacetKind::Named(kind), Some((_, thing)), Some(place)) =
        (vocabulary.kind(facet), name.split_once(':'), place)
    {
        let words = kind.words();
        let [not, no] = if place == 0 { ["not ", "no "] } else { [""; 2] };
        return Text::both(&format!("{thing} {not}{}", words.en), &format!("{thing} {no}{}", words.es));
    }
    match place {
        Some(place) => {
            Text::plain(format!("{name} {}", vocabulary.value_names(facet, Values::only(place)).concat()))
        }
        None => Text::both(&format!("{name} not known"), &format!("{name}: no se sabe")),
    }
}

fn own_parts(state: &State, vocabulary: &Vocabulary) -> Vec<NowPart> {
    let own = vocabulary.facets().filter(|facet| vocabulary.kind(*facet) == FacetKind::Own);
    own.map(|facet| {
        let name = vocabulary.name(facet);
        let values = state.values(facet, vocabulary);
        let text = if values.is_one() {
            Text::plain(format!("{name} {}", vocabulary.value_names(facet, values).join(" ")))
        } else {
            Text::both(&format!("{name} NOT KNOWN"), &format!("{name}: NO SE SABE"))
        };
        NowPart { facet, text, is_at_rest: values == vocabulary.at_start(facet) }
    })
    .collect()
}

fn named_parts(state: &State, vocabulary: &Vocabulary) -> Vec<NowPart> {
    let mut parts = Vec::new();
    for kind in [NamedKind::Apart, NamedKind::Tied, NamedKind::Bridged, NamedKind::Fitted] {
        for (name, facet) in vocabulary.named(kind) {
            let values = state.values(facet, vocabulary);
            let words = kind.words();
            let text = match known(values) {
                Some(0) => continue,
                Some(_) => Text::both(&format!("{name} {}", words.en), &format!("{name} {}", words.es)),
                None => Text::both(
                    &format!("{name} {}: NOT KNOWN", words.en),
                    &format!("{name} {}: NO SE SABE", words.es),
                ),
            };
            parts.push(NowPart { facet, text, is_at_rest: false });
        }
    }
    parts
}
