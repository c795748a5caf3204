//! Where a probe goes and which controls are set, in the words of the machine file: a designation alone sends nobody to
//! the right pin.

use super::state::Walk;
use crate::diag::{Lang, Text};
use crate::machine::{Connector, Element, Kind, Machine, Owner};
use crate::safety::Words;

const STUD: Words = Words { en: "frame stud", es: "perno de masa" };
const AT: Words = Words { en: "at the", es: "en" };
const FROM_LEFT: Words = Words { en: "from left", es: "desde la izquierda" };
const TOP: Words = Words { en: "top row", es: "fila de arriba" };
const BOTTOM: Words = Words { en: "bottom row", es: "fila de abajo" };
const ROW: Words = Words { en: "row", es: "fila" };

impl Walk {
    /// A place with what the machine file says of it: `X14:4   door plug, left cab post, wire side view, 4th from left`.
    pub(super) fn place_words(&self, name: &str, lang: &Lang) -> String {
        let words = self.course().tree().model.as_deref().map(|machine| words_of(machine, name, lang));
        match words.filter(|words| !words.is_empty()) {
            Some(words) => format!("{name}   {words}"),
            None => name.to_owned(),
        }
    }

    /// A control in the state that it is to have: `restraint bar DOWN`.
    pub(super) fn control_words(&self, (control, state): &(String, String), lang: &Lang) -> String {
        let machine = self.course().tree().model.as_deref();
        let known = machine.and_then(|machine| machine.parts().controls.iter().find(|c| c.name == *control));
        let title = known.and_then(|control| control.title.as_ref()).map(|title| title.in_lang(lang));
        format!("{} {}", title.unwrap_or(control), state.to_uppercase())
    }
}

fn words_of(machine: &Machine, name: &str, lang: &Lang) -> String {
    let parts = machine.parts();
    let element = parts.elements.iter().find(|element| element.name == name);
    let point = machine.point(name).map(|point| &parts.points[point.at()].owner);
    match (point, element) {
        (Some(Owner::Controller(id)), _) => said(&[parts.controllers[id.at()].title.as_ref()], lang),
        (Some(Owner::Stud(_)), _) => STUD.in_lang(lang).to_owned(),
        (Some(Owner::Side(id, _) | Owner::End(id, _)), _) => {
            element_words(machine, &parts.elements[id.at()], lang)
        }
        (Some(Owner::Rub(id, rub)), _) => rub_words(&parts.elements[id.at()], *rub, lang),
        (_, Some(element)) => element_words(machine, element, lang),
        _ => String::new(),
    }
}

fn element_words(machine: &Machine, element: &Element, lang: &Lang) -> String {
    match &element.kind {
        Kind::Contact { connector, pin } => {
            contact_words(&machine.parts().connectors[connector.at()], pin, lang)
        }
        Kind::Wire(wire) => wire.colour.clone().unwrap_or_default(),
        _ => said(&[element.title.as_ref()], lang),
    }
}

/// The plug, where it sits, and where on its face the pin is.
fn contact_words(body: &Connector, pin: &str, lang: &Lang) -> String {
    let words = said(&[body.title.as_ref(), body.location.as_ref()], lang);
    let place = body.rows.iter().enumerate().find_map(|(row, pins)| {
        let column = pins.iter().position(|own| own == pin)?;
        Some((row, column + 1))
    });
    let Some((row, column)) = place else { return words };
    let row = match (body.rows.len(), row) {
        (1, _) => String::new(),
        (_, 0) => format!("{}, ", TOP.in_lang(lang)),
        (rows, row) if row + 1 == rows => format!("{}, ", BOTTOM.in_lang(lang)),
        (_, row) => format!("{} {}, ", ROW.in_lang(lang), row + 1),
    };
    let view = said(&[body.view.as_ref()], lang);
    // From where the pins are counted; which half the probe is on is said by the name of the point and the step.
    let view = match (view.is_empty(), lang.code()) {
        (true, _) => view,
        (false, "es") => format!("vista del {view}, "),
        (false, _) => format!("{view} view, "),
    };
    let gap = if words.is_empty() { "" } else { "; " };
    format!("{words}{gap}{view}{row}{} {}", nth(column, lang), FROM_LEFT.in_lang(lang))
}

fn rub_words(element: &Element, rub: u32, lang: &Lang) -> String {
    let Kind::Wire(wire) = &element.kind else { return String::new() };
    let name = wire.rubs.get(rub as usize).map(|rub| rub.name.replace('-', " ")).unwrap_or_default();
    let colour = wire.colour.as_ref().map_or_else(String::new, |colour| format!("{colour}, "));
    format!("{colour}{} {name}", AT.in_lang(lang))
}

fn said(texts: &[Option<&Text>], lang: &Lang) -> String {
    let words = texts.iter().flatten().map(|text| text.in_lang(lang)).filter(|text| !text.is_empty());
    words.collect::<Vec<_>>().join(", ")
}

/// A counting place as it is written: 1st, 2nd, 3rd, 4th; 1.º.
fn nth(count: usize, lang: &Lang) -> String {
    if lang.code() == "es" {
        return format!("{count}.º");
    }
    let ending = match (count % 10, count % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{count}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_counted_as_people_write_them() {
        let all: Vec<String> = [1, 2, 3, 4, 11, 21].map(|n| nth(n, &Lang::new("en"))).to_vec();
        assert_eq!(all, ["1st", "2nd", "3rd", "4th", "11th", "21st"]);
        assert_eq!(nth(3, &Lang::new("es")), "3.º");
    }
}
