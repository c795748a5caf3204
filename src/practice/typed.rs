//! The apprentice's own measurement on one typed line: what is read, red, black, what is set, what is moved.
//!
//! `volts A1:7 GND1 key on, bar down` · `ohms X14:4a frame` · `amps around W40` · `volts X14:3a moving X14`. Black is
//! the frame if left out. The words `red`, `black`, `set`, `meter` and `to` may stand where they help.

use crate::diag::{Lang, nearest};
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
    #[error("`{typed}` is neither a control nor a state of one; there are {}{}", .there.join(", "), meant(.near.as_deref()))]
    Control {
        /// As typed.
        typed: String,
        /// What there is.
        there: Vec<String>,
        /// What was probably meant.
        near: Option<String>,
    },
}

impl NotTyped {
    /// The same in a language.
    #[must_use]
    pub fn in_lang(&self, lang: &Lang) -> String {
        if lang.code() != "es" {
            return self.to_string();
        }
        match self {
            Self::Measure => "diga primero qué se lee: voltios, ohmios o amperios".to_owned(),
            Self::Where => {
                "diga dónde va la punta roja, como A1:7 o X14:3a; los amperios se leen alrededor de un cable"
                    .to_owned()
            }
            Self::Point { name, near } => {
                let near = near.as_ref().map_or(String::new(), |near| format!("; quizá `{near}`"));
                format!("no hay ningún punto `{name}`{near}")
            }
            Self::Pierced(name) => format!(
                "`{name}` es un lugar del cable: la punta perforaría el aislante. Tome el pin de uno de sus extremos"
            ),
            Self::Thing(name) => format!("no hay ningún cable ni conector `{name}`"),
            Self::Control { typed, there, near } => {
                let near = near.as_ref().map_or(String::new(), |near| format!("; quizá `{near}`"));
                format!("`{typed}` no es un mando ni un estado de uno; hay {}{near}", there.join(", "))
            }
        }
    }
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
    while words.next_if(|w| is_word(w, &["meter", "medidor"])).is_some() {}
    let measure = words.next().and_then(measure_named).ok_or(NotTyped::Measure)?;
    let mut rest: Vec<&str> = words.collect();
    let moving = match rest.iter().position(|w| is_word(w, &["moving", "moviendo"])) {
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
    let leads = if is_word(first, &["around", "alrededor"]) {
        let name = rest.next().ok_or(NotTyped::Where)?;
        Leads::Around(
            machine.element(name).map(|_| name.to_owned()).ok_or_else(|| NotTyped::Thing(name.to_owned()))?,
        )
    } else {
        let red = point(first, machine)?;
        // What names a control begins what is set; anything else is the black lead.
        let is_control = |word: &&str| control(word, machine).is_some();
        let black = rest.next_if(|w| !is_control(w));
        let black = black.map(|w| if is_word(w, &["chasis"]) { "frame" } else { w });
        let black = black.map(|w| point(w, machine)).transpose()?;
        Leads::RedBlack { red, black: black.filter(|name| name != "frame") }
    };
    let with = settings(rest, machine)?;
    Ok(OffTree { measure, leads, with, moving })
}

fn measure_named(word: &str) -> Option<Measure> {
    Some(match word.to_lowercase().as_str() {
        "volts" | "volt" | "v" | "voltios" | "voltio" => Measure::Volts,
        "ohms" | "ohm" | "ohmios" | "ohmio" => Measure::Ohms,
        "amps" | "amp" | "a" | "amperios" | "amperio" => Measure::Amps,
        _ => return None,
    })
}

fn is_word(word: &str, any: &[&str]) -> bool {
    any.iter().any(|one| word.eq_ignore_ascii_case(one))
}

fn is_label(word: &str) -> bool {
    matches!(word.to_lowercase().as_str(), "red" | "black" | "set" | "to" | "roja" | "negra" | "con")
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
        let control = control(word, machine).ok_or_else(|| {
            let there: Vec<String> = machine.parts().controls.iter().map(|c| c.name.clone()).collect();
            let near = nearest(word, there.iter().map(String::as_str)).map(str::to_owned);
            NotTyped::Control { typed: word.to_owned(), there, near }
        })?;
        let state = words.next().unwrap_or_default();
        let state = control.states.iter().find(|s| s.eq_ignore_ascii_case(state)).ok_or_else(|| {
            let typed = format!("{} {state}", control.name);
            NotTyped::Control { typed, there: control.states.clone(), near: None }
        })?;
        with.retain(|(own, _)| *own != control.name);
        with.push((control.name.clone(), state.clone()));
    }
    Ok(with)
}
