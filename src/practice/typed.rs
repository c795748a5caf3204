//! The apprentice's own measurement on one typed line: what is read, red, black, what is set, what is moved.
//!
//! `volts A1:7 GND1 key on, bar down` · `ohms X14:4a frame` · `amps around W40` · `volts X14:3a moving X14`. Black is
//! the frame if left out. The words `red`, `black`, `set`, `meter` and `to` may stand where they help.

use crate::diag::nearest;
use crate::machine::{Machine, Owner};
use crate::tree::{Leads, OffTree, Setup};
use crate::units::Measure;

/// Why a typed line is no measurement.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotTyped {
    /// Nothing says what is read.
    #[error("say first what is read: volts, ohms or amps")]
    Measure,
    /// Nothing says where.
    #[error("say where the red lead goes, as A1:7 or X14:3a; amps are read around a wire")]
    Where,
    /// There is no such point.
    #[error("there is no point `{name}`{}", meant(.near.as_deref()))]
    Point {
        /// As typed.
        name: String,
        /// What was probably meant.
        near: Option<String>,
    },
    /// A rub cannot be probed without piercing the wire.
    #[error(
        "`{0}` is a place on a wire: a probe would pierce the insulation. Take the pin at either end of it"
    )]
    Pierced(String),
    /// There is no such wire, plug or other thing.
    #[error("there is no wire or connector `{0}`")]
    Thing(String),
    /// There is no such control, or it has no such state.
    #[error("`{0}` is neither a control nor a state of one; there are {1}")]
    Control(String, String),
}

fn meant(near: Option<&str>) -> String {
    near.map_or(String::new(), |near| format!("; `{near}` was probably meant"))
}

/// Reads a typed line.
///
/// # Errors
/// What in it cannot be understood, and what was probably meant.
pub fn typed(line: &str, machine: &Machine) -> Result<OffTree, NotTyped> {
    let plain = line.replace([',', '=', '[', ']'], " ");
    let mut words = plain.split_whitespace().peekable();
    while words.next_if(|w| w.eq_ignore_ascii_case("meter")).is_some() {}
    let measure = words.next().and_then(measure_named).ok_or(NotTyped::Measure)?;
    let mut rest: Vec<&str> = words.collect();
    let moving = match rest.iter().position(|w| w.eq_ignore_ascii_case("moving")) {
        Some(at) => rest
            .split_off(at)
            .into_iter()
            .skip(1)
            .map(|name| thing(name, machine))
            .collect::<Result<_, _>>()?,
        None => Vec::new(),
    };
    let mut rest = rest.into_iter().filter(|w| !is_label(w)).peekable();
    let first = rest.next().ok_or(NotTyped::Where)?;
    let leads = if first.eq_ignore_ascii_case("around") {
        let name = rest.next().ok_or(NotTyped::Where)?;
        Leads::Around(
            machine.element(name).map(|_| name.to_owned()).ok_or_else(|| NotTyped::Thing(name.to_owned()))?,
        )
    } else {
        let red = point(first, machine)?;
        // What names a control begins what is set; anything else is the black lead.
        let is_control = |word: &&str| control(word, machine).is_some();
        let black = rest.next_if(|w| !is_control(w)).map(|w| point(w, machine)).transpose()?;
        Leads::RedBlack { red, black: black.filter(|name| name != "frame") }
    };
    let with = settings(rest, machine)?;
    Ok(OffTree { measure, leads, with, moving })
}

fn measure_named(word: &str) -> Option<Measure> {
    Some(match word.to_lowercase().as_str() {
        "volts" | "volt" | "v" => Measure::Volts,
        "ohms" | "ohm" => Measure::Ohms,
        "amps" | "amp" | "a" => Measure::Amps,
        _ => return None,
    })
}

fn is_label(word: &str) -> bool {
    matches!(word.to_lowercase().as_str(), "red" | "black" | "set" | "to")
}

fn point(name: &str, machine: &Machine) -> Result<String, NotTyped> {
    let id = machine.point(name).or_else(|| machine.point(&name.to_uppercase()));
    let id = id.or_else(|| machine.point(&name.to_lowercase()));
    let Some(id) = id else {
        let near = machine.nearest_point(name).map(str::to_owned);
        return Err(NotTyped::Point { name: name.to_owned(), near });
    };
    let point = &machine.parts().points[id.at()];
    match point.owner {
        Owner::Rub(..) => Err(NotTyped::Pierced(point.name.clone())),
        _ => Ok(point.name.clone()),
    }
}

fn thing(name: &str, machine: &Machine) -> Result<String, NotTyped> {
    let known = machine.connector(name).is_some() || machine.element(name).is_some();
    if known { Ok(name.to_owned()) } else { Err(NotTyped::Thing(name.to_owned())) }
}

fn control<'m>(word: &str, machine: &'m Machine) -> Option<&'m crate::machine::Control> {
    machine.parts().controls.iter().find(|control| control.name.eq_ignore_ascii_case(word))
}

fn settings<'w>(words: impl Iterator<Item = &'w str>, machine: &Machine) -> Result<Setup, NotTyped> {
    let mut with = Setup::new();
    let mut words = words;
    while let Some(word) = words.next() {
        let known = || {
            let names: Vec<&str> = machine.parts().controls.iter().map(|c| c.name.as_str()).collect();
            match nearest(word, names.iter().copied()) {
                Some(near) => format!("{}; `{near}` was probably meant", names.join(", ")),
                None => names.join(", "),
            }
        };
        let control = control(word, machine).ok_or_else(|| NotTyped::Control(word.to_owned(), known()))?;
        let state = words.next().unwrap_or_default();
        let state = control.states.iter().find(|s| s.eq_ignore_ascii_case(state)).ok_or_else(|| {
            NotTyped::Control(format!("{} {state}", control.name), control.states.join(", "))
        })?;
        with.retain(|(own, _)| *own != control.name);
        with.push((control.name.clone(), state.clone()));
    }
    Ok(with)
}
