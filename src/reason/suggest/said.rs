//! The suggestion in one line: "Quicker now: X14 apart, through lockout. 7 min, parts the first 3 from 2."

use super::{Reason, Suggestion};
use crate::diag::Lang;
use crate::safety::{GateId, Words};
use crate::tree::{Act, Course, Kind, Leads, StepIx};
use crate::units::Measure;

/// A question longer than this is cut in the line.
const LONGEST_QUESTION: usize = 40;

impl Suggestion {
    /// The line, after its label: what to do, through which gates, how long, and what it is good for.
    #[must_use]
    pub fn said(&self, course: &Course, lang: &Lang) -> String {
        let mut what = act(course, self.step, lang);
        // A gate is named among those gone through.
        if matches!(course.tree().step(self.step).kind, Kind::Gate(_)) {
            what = act(course, self.test, lang);
        } else if self.test != self.step {
            let then = Words { en: ", then ", es: ", luego " }.in_lang(lang);
            what = format!("{what}{then}{}", act(course, self.test, lang));
        }
        let through = through(&self.gates, course, lang);
        let good = self.good_for(lang);
        format!("{what}{through}. {:.0} min, {good}.", self.minutes.value().ceil())
    }

    /// The label of the line.
    #[must_use]
    pub fn label(lang: &Lang) -> &'static str {
        Words { en: "Quicker now", es: "Más rápido ahora" }.in_lang(lang)
    }

    fn good_for(&self, lang: &Lang) -> String {
        let es = lang.code() == "es";
        let words = |en: &str, es_words: &str| if es { es_words.to_owned() } else { en.to_owned() };
        match self.reason {
            Reason::Shows => words("shows whether it is what is left", "muestra si es lo que queda"),
            Reason::LeadsBack if self.parts.len() < 2 => {
                words("what is left is not found from here", "lo que queda no se halla desde aquí")
            }
            Reason::Parts | Reason::LeadsBack => self.parting(es),
        }
    }

    /// "parts the first 3 from the last 2": which places of the list stand on one side.
    fn parting(&self, es: bool) -> String {
        let mut sides: Vec<&Vec<usize>> = self.parts.iter().filter(|part| !part.is_empty()).collect();
        sides.sort_by_key(|part| part.iter().min().copied());
        let all: Vec<usize> = {
            let mut all: Vec<usize> = sides.iter().flat_map(|part| part.iter().copied()).collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        let [one, other] = sides.as_slice() else {
            let counts: Vec<String> = sides.iter().map(|part| part.len().to_string()).collect();
            let joined = counts.join(if es { " de " } else { " from " });
            return if es { format!("separa {joined}") } else { format!("parts {joined}") };
        };
        let (a, b) = (one.len(), other.len());
        let is_first = all.len() == a + b && all.iter().take(a).eq(one.iter());
        let last = |count: usize| match (es, count) {
            (false, 1) => "the last".to_owned(),
            (false, _) => format!("the last {count}"),
            (true, 1) => "del último".to_owned(),
            (true, _) => format!("de los últimos {count}"),
        };
        match (es, is_first) {
            (false, true) if a == 1 => format!("parts the first from {}", last(b)),
            (false, true) => format!("parts the first {a} from {}", last(b)),
            (false, false) => format!("parts {a} from {b}"),
            (true, true) if a == 1 => format!("separa el primero {}", last(b)),
            (true, true) => format!("separa los primeros {a} {}", last(b)),
            (true, false) => format!("separa {a} de {b}"),
        }
    }
}

fn through(gates: &[GateId], course: &Course, lang: &Lang) -> String {
    let mut names: Vec<&str> = Vec::new();
    for gate in gates {
        let name = gate.name(course.vocabulary());
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.is_empty() {
        return String::new();
    }
    let words = Words { en: ", through ", es: ", pasando por " }.in_lang(lang);
    format!("{words}{}", names.join(", "))
}

/// A step in a few words: "X14 apart", "volts at A1:8".
fn act(course: &Course, ix: StepIx, lang: &Lang) -> String {
    let step = course.tree().step(ix);
    match &step.kind {
        Kind::Do(action) => {
            let plugs: Vec<&str> = step.done_to(Act::Unplugs).collect();
            if plugs.is_empty() {
                let text = action.action.as_ref().map_or(step.id.as_str(), |text| text.in_lang(lang));
                return shortened(text);
            }
            format!("{} {}", plugs.join(", "), Words { en: "apart", es: "desconectado" }.in_lang(lang))
        }
        Kind::Read(read) => format!("{} {}", measure(read.measure, lang), at(&read.leads, lang)),
        Kind::Look(look) => shortened(look.what.in_lang(lang)),
        Kind::Ask(ask) => format!("\"{}\"", shortened(ask.question.in_lang(lang))),
        Kind::Gate(gate) => gate.gate.clone(),
        Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => step.id.clone(),
    }
}

fn measure(measure: Measure, lang: &Lang) -> &'static str {
    let (en, es) = match measure {
        Measure::Volts => ("volts", "voltios"),
        Measure::Ohms => ("ohms", "ohmios"),
        Measure::Amps => ("amps", "amperios"),
        Measure::Hertz => ("hertz", "hercios"),
        Measure::Percent => ("per cent", "por ciento"),
        Measure::Pressure => ("pressure", "presión"),
        Measure::Temperature => ("temperature", "temperatura"),
        Measure::Rpm => ("rpm", "rpm"),
    };
    Words { en, es }.in_lang(lang)
}

fn at(leads: &Leads, lang: &Lang) -> String {
    let words = |en: &'static str, es: &'static str| Words { en, es }.in_lang(lang);
    match leads {
        Leads::RedBlack { red, .. } => format!("{} {red}", words("at", "en")),
        Leads::Across(a, b) => format!("{} {a} {} {b}", words("from", "de"), words("to", "a")),
        Leads::Around(wire) => format!("{} {wire}", words("around", "en")),
        Leads::At(place) => format!("{} {place}", words("at", "en")),
    }
}

/// Cut at a word, with an ellipsis of three dots that every console can show; no full stop at its end.
fn shortened(text: &str) -> String {
    let text = text.trim().trim_end_matches('.');
    if text.chars().count() <= LONGEST_QUESTION {
        return text.to_owned();
    }
    let mut short = String::new();
    for word in text.split_whitespace() {
        if short.chars().count() + word.chars().count() + 4 > LONGEST_QUESTION {
            break;
        }
        if !short.is_empty() {
            short.push(' ');
        }
        short.push_str(word);
    }
    format!("{short} ...")
}
