//! The words of a draft, in one place: plain enough to be used, and made to be reworded.

use crate::diag::Text;
use crate::machine::{Connector, FaultKind, Function, Kind, Machine};
use crate::safety::Power;
use crate::tree::Shows;

use super::trial::{Trial, What};
use super::yaml;

/// A title in English, or the name.
fn english(title: Option<&Text>, name: &str) -> String {
    title.map_or_else(|| name.to_owned(), |text| text.en().to_owned())
}

/// A title in Spanish, as far as there is one.
fn spanish(title: Option<&Text>, name: &str) -> String {
    title.map_or_else(|| name.to_owned(), |text| text.in_lang(&crate::diag::Lang::new("es")).to_owned())
}

pub(super) fn function_named<'m>(machine: &'m Machine, name: &str) -> Option<&'m Function> {
    machine.function(name).map(|id| &machine.parts().functions[id.at()])
}

/// A function's name for people, in English and Spanish.
pub(super) fn function(machine: &Machine, name: &str) -> (String, String) {
    let title = function_named(machine, name).and_then(|f| f.title.as_ref());
    (english(title, name), spanish(title, name))
}

/// The state in which a function should work, for people, in English and Spanish.
fn state_of(machine: &Machine, name: &str) -> (String, String) {
    let Some(function) = function_named(machine, name) else { return (String::new(), String::new()) };
    let parts = machine.parts();
    let said = |of: fn(Option<&Text>, &str) -> String| {
        let one = |(control, state): &(crate::machine::ControlId, usize)| {
            let control = &parts.controls[control.at()];
            let called = of(control.called[*state].as_ref(), &control.states[*state]);
            format!("{} {called}", of(control.title.as_ref(), &control.name))
        };
        function.with.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    (said(english), said(spanish))
}

/// With a capital at its beginning.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + chars.as_str())
}

/// The question on the telephone whether a function works.
pub(super) fn function_asked(machine: &Machine, name: &str) -> String {
    let (en, es) = function(machine, name);
    let (state, estado) = state_of(machine, name);
    yaml::both(
        &format!("{}: did that work when you last tried, with {state}?", capital(&en)),
        &format!("{}: ¿funcionaba la última vez, con {estado}?", capital(&es)),
    )
}

/// The same at the machine.
pub(super) fn function_tried(machine: &Machine, name: &str) -> String {
    let (en, es) = function(machine, name);
    let (state, estado) = state_of(machine, name);
    yaml::both(
        &format!("{}: does that work now, with {state}?", capital(&en)),
        &format!("{}: ¿funciona ahora, con {estado}?", capital(&es)),
    )
}

/// The answers to a question whether something is so, in English and Spanish.
pub(super) const YES: (&str, &str) = ("Yes", "Sí");
/// And that it is not.
pub(super) const NO: (&str, &str) = ("No", "No");

pub(super) fn code_asked(spn: u32, fmi: u8) -> String {
    yaml::both(
        &format!("Is code {spn}, FMI {fmi}, on the display now?"),
        &format!("¿Muestra ahora la pantalla el código {spn}, FMI {fmi}?"),
    )
}

/// A title for the tree: what fails, what works.
pub(super) fn title(machine: &Machine, symptom: &[(String, Shows)]) -> String {
    let part = |(name, shows): &(String, Shows)| {
        let (en, es) = function(machine, name);
        match shows {
            Shows::Works => (format!("{en}: works"), format!("{es}: funciona")),
            Shows::Fails => (format!("{en}: does not"), format!("{es}: no funciona")),
            Shows::Unheld => (format!("{en}: not held"), format!("{es}: sin retención")),
        }
    };
    let parts: Vec<(String, String)> = symptom.iter().map(part).collect();
    let all = |of: fn(&(String, String)) -> &str| parts.iter().map(of).collect::<Vec<_>>().join("; ");
    yaml::both(&capital(&all(|p| &p.0)), &capital(&all(|p| &p.1)))
}

fn connector<'m>(machine: &'m Machine, name: &str) -> Option<&'m Connector> {
    machine.connector(name).map(|id| &machine.parts().connectors[id.at()])
}

/// Where a plug sits, for people.
fn whereabouts(machine: &Machine, plug: &str) -> Option<String> {
    let location = connector(machine, plug)?.location.as_ref()?.en();
    Some(format!("{}. ", capital(location)))
}

/// What is looked at.
pub(super) fn look_at(machine: &Machine, place: &str) -> String {
    if let Some((wire, rub)) = place.split_once('@') {
        let title = machine.element(wire).map(|id| &machine.parts().elements[id.at()]);
        let colour = title.and_then(|e| match &e.kind {
            Kind::Wire(wire) => wire.colour.clone(),
            _ => None,
        });
        let colour = colour.map_or(String::new(), |colour| format!(" ({colour})"));
        return format!("Wire {wire}{colour} at {rub}");
    }
    match connector(machine, place) {
        Some(_) => format!("{place}, both halves, in good light"),
        None => named(machine, place),
    }
}

/// A part with its title.
pub(super) fn named(machine: &Machine, part: &str) -> String {
    let title = machine.element(part).and_then(|id| machine.parts().elements[id.at()].title.clone());
    title.map_or_else(|| part.to_owned(), |title| format!("{part}, {}", title.en()))
}

/// How a fault that is not electrical is looked for.
pub(super) fn sight(machine: &Machine, fault: &str) -> String {
    let seen = machine.fault_named(fault).and_then(|id| machine.fault(id).seen.as_ref());
    seen.map_or_else(|| fault.to_owned(), |seen| seen.look.en().to_owned())
}

/// Where the body is meanwhile.
pub(super) fn sight_zone(machine: &Machine, fault: &str) -> String {
    let seen = machine.fault_named(fault).and_then(|id| machine.fault(id).seen.as_ref());
    seen.map_or_else(|| "outside".to_owned(), |seen| seen.zone.clone())
}

/// Before a look at what is not electrical.
pub(super) const SIGHT_CAUTION: &str = "Hot parts; springs, belts and loads that can still move; oil under pressure goes through a glove. Hands off hoses and fittings.";

/// Before a reading with the engine running or cranked; the others hear it too.
pub(super) const RUNNING_CAUTION: &str = "Everybody clear of the machine: the engine may start. Todos lejos de la máquina: el motor puede arrancar.";

/// The two answers to a look: something is wrong there, or all is well.
pub(super) fn seen(what: &What) -> (&'static str, &'static str) {
    let What::Look(place) = what else { return ("Yes, it is so", "No, it is as it should be") };
    if place.contains('@') {
        ("Rubbed through, or broken inside", "Sound all round")
    } else {
        ("Wet, green, burnt, pushed back or loose", "Clean and dry, every pin home")
    }
}

/// How a test is done, and what is good.
pub(super) fn how(machine: &Machine, trial: &Trial, good: Option<&str>) -> Option<String> {
    let mut said = String::new();
    match &trial.what {
        What::Look(place) if place.contains('@') => {
            said += "Open the loom a hand to either side and turn each wire between the fingers.";
        }
        What::Look(place) if machine.connector(place).is_some() => {
            said += "Water, mud, green or white pins, a pin pushed back, a torn seal. Tug each wire lightly.";
        }
        What::Lamp(..) => said += "A 21 W lamp across the leads, read across the lamp. ",
        What::Volts(..) | What::Amps(_) if !trial.leads.is_empty() => {
            said += "Meter in the seat, on the leads that were put on. Set, read, let go: three seconds. ";
        }
        What::Volts(..) if trial.is_running() => {
            said += "Back-probe, from the seat. Set, read, let go: three seconds. ";
        }
        What::Volts(..) if trial.apart.is_none() => said += "Back-probe. ",
        What::Ohms(..) => said += "Short the leads first, take that off. ",
        _ => {}
    }
    if let (Some(plug), true) = (&trial.apart, trial.is_reading()) {
        said = format!("{plug} apart. {said}");
    }
    if let Some(good) = good {
        said.extend(["Good is ", good, "."]);
    }
    let said = said.trim();
    (!said.is_empty()).then(|| said.to_owned())
}

/// A plug is parted, or put together.
pub(super) fn plug_text(machine: &Machine, plug: &str) -> String {
    let at = whereabouts(machine, plug).unwrap_or_default();
    format!("{at}Press the latch; pull on the body, never on the wires.")
}

pub(super) fn together_text() -> &'static str {
    "It clicks. Pull on the body. If it never was apart: look that it is latched."
}

/// Leads put on, or taken off: what is done, its key, and how.
pub(super) fn leads(what: &str, count: usize) -> (String, &'static str, &'static str) {
    if what == "fit" {
        let how = "Fuse of 1 A at each clip; on the stud or post itself, a clamp round its wire. Clear of fan, belts and exhaust. Mark both ends, and lead them to the seat.";
        (format!("Put {count} fused leads on, and lead them to the seat."), "fits", how)
    } else {
        (format!("Take all {count} leads off."), "unfits", "Count them: as many as went on.")
    }
}

/// A control's name for people.
pub(super) fn control(machine: &Machine, name: &str) -> String {
    let title = machine.control(name).and_then(|id| machine.parts().controls[id.at()].title.as_ref());
    english(title, name)
}

/// The cause to look for behind a fault of this kind.
pub(super) fn cause(machine: &Machine, kind: FaultKind, name: &str) -> String {
    if let Some((_, rub)) = name.split_once(" at ") {
        return format!(
            "It rubbed at {rub}. Move, clamp or sleeve it, and see clearance over the whole travel."
        );
    }
    let kind_of = |id: crate::machine::ElementId| &machine.parts().elements[id.at()].kind;
    let said = match kind {
        FaultKind::Wet(_) => "Find where the water came in, and close it.",
        FaultKind::Stud(_) => "Paint or rust under the lug, or a nut that shook loose.",
        FaultKind::ControllerDead(_) | FaultKind::PinDead(_) => {
            "Ask what was welded, jump-started or washed. A box fails of something."
        }
        FaultKind::SupplyLow => "Ask why it is flat: lights left on, weeks of standing, or no charge.",
        FaultKind::Other => "Ask whoever repairs it for the cause; it is not electrical.",
        FaultKind::Open(id, _) | FaultKind::Resistive(id) | FaultKind::Shorted(id) => match kind_of(id) {
            Kind::Wire(_) => "Find what pulls or bends it, or where water goes in under its insulation.",
            Kind::Contact { .. } => "Water, tension on the wire or a spread socket. Put right which it was.",
            Kind::Fuse { .. } => {
                "No short was found now. Look along what it feeds all the same, and say that it may come back."
            }
            Kind::Load { .. } => "Heat, water or a voltage too high. Look into its plug too.",
            _ => "Water, dirt or a blow. Look at its seal and its holder.",
        },
        _ => "Water, dirt or a blow. Look at its seal and its holder.",
    };
    said.to_owned()
}

/// The word for a power at a gate list.
pub(super) fn power(power: Option<Power>) -> &'static str {
    power.map_or("any", crate::machine::power_word)
}
