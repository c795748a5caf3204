//! What is wrong with a wire, as the machine file and the mechanic know it.
//!
//! A machine file knows size, colour, route and rub; the mechanic, who sees it, knows the rest and corrects what
//! is not so. Each field can be corrected by its key and what was typed, in any order.

use serde::{Deserialize, Serialize};

use crate::units::{Amps, Metres, QuantityError, QuantityFault, Volts, WireSize, Written};

use super::super::PlaceOnWire;

/// How a wire is hurt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Injury {
    /// Rubbed through its insulation, to copper or through it.
    #[default]
    RubbedThrough,
    /// Broken or cut at one place.
    Cut,
    /// Green inside: corrosion has crept along the strands.
    GreenInside,
    /// It does not carry, and where it is hurt cannot be seen.
    Unseen,
}

/// Whether the harness moves where the wire is hurt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flex {
    /// It lies still.
    Still,
    /// It bends or twists as the machine works.
    Flexes,
}

/// What the wire belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pair {
    /// It runs by itself.
    #[default]
    Single,
    /// A twisted CAN pair.
    Can,
    /// A twisted or screened sensor pair.
    Sensor,
}

/// What is near the place, and matters for heat or for the new route.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Near {
    /// A fuel line or tank.
    Fuel,
    /// A hydraulic hose.
    Hose,
    /// The battery.
    Battery,
    /// A hole or an edge of sheet metal.
    Edge,
    /// An exhaust or another hot part.
    Hot,
}

/// A hurt wire. What is not known is left out, and asked on the sheet.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default, deny_unknown_fields)]
pub struct Damage {
    /// The wire's name, such as `W31`.
    pub wire: String,
    /// How it is hurt.
    pub injury: Injury,
    /// Its size.
    pub size: Option<WireSize>,
    /// Its colour.
    pub colour: Option<String>,
    /// Its length.
    pub length: Option<Metres>,
    /// Where it runs, such as `A1:7 to X14:3a, 1.9 m, under-cab`.
    pub route: Option<String>,
    /// The name of the place, such as `pivot-clamp`.
    pub place: Option<String>,
    /// How far along the wire it is, as measured or as the machine file says.
    pub at: Option<PlaceOnWire>,
    /// What it rubbed on.
    pub rubbed_on: Option<String>,
    /// Outside diameter of its insulation.
    pub insulation: Option<Metres>,
    /// Between the ends, cut back to bright copper.
    pub missing: Option<Metres>,
    /// How much the harness gives to bring the ends together.
    pub slack: Option<Metres>,
    /// Whether the harness moves there.
    pub flex: Option<Flex>,
    /// How much of the harness moves.
    pub flexing: Option<Metres>,
    /// What is near.
    pub near: Vec<Near>,
    /// What the wire belongs to.
    pub pair: Pair,
    /// How many splices it has already between its connectors.
    pub splices: u8,
    /// How many other wires are mended at the same place.
    pub beside: u8,
    /// Diameter of the bundle.
    pub bundle: Option<Metres>,
    /// The current it carries.
    pub load: Option<Amps>,
    /// The machine's supply.
    pub supply: Option<Volts>,
    /// The fuse before it.
    pub fuse: Option<Amps>,
}

/// Why a correction was not taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CorrectionError {
    /// The quantity could not be read.
    #[error("{key}: {error}; write it as {}", .error.write)]
    Quantity {
        /// Which field.
        key: String,
        /// What is wrong with the text.
        error: Box<QuantityError>,
    },
    /// Not one of the words for this field.
    #[error("{key}: `{found}` is not one of {wanted}")]
    Word {
        /// Which field.
        key: String,
        /// What was typed.
        found: String,
        /// What can be.
        wanted: String,
    },
    /// No such field.
    #[error("a repair sheet has no `{0}`; it has {fields}", fields = Damage::KEYS.join(", "))]
    Key(String),
}

type Words<T> = &'static [(&'static str, T)];

const INJURIES: Words<Injury> = &[
    ("rubbed-through", Injury::RubbedThrough),
    ("cut", Injury::Cut),
    ("green-inside", Injury::GreenInside),
    ("unseen", Injury::Unseen),
];
const FLEXES: Words<Flex> = &[("still", Flex::Still), ("flexes", Flex::Flexes)];
const PAIRS: Words<Pair> = &[("single", Pair::Single), ("can", Pair::Can), ("sensor", Pair::Sensor)];
const NEARS: Words<Near> = &[
    ("fuel", Near::Fuel),
    ("hose", Near::Hose),
    ("battery", Near::Battery),
    ("edge", Near::Edge),
    ("hot", Near::Hot),
];

impl Damage {
    /// The fields that can be corrected, as typed.
    pub const KEYS: [&'static str; 21] = [
        "wire",
        "injury",
        "size",
        "colour",
        "length",
        "route",
        "place",
        "at",
        "rubbed-on",
        "insulation",
        "missing",
        "slack",
        "flex",
        "flexing",
        "near",
        "pair",
        "splices",
        "beside",
        "bundle",
        "load",
        "fuse",
    ];

    /// Corrects one field by its key. `near` takes several words, parted by commas; `none` takes them away.
    ///
    /// # Errors
    /// [`CorrectionError`] where the key or the value makes no sense; nothing is changed then.
    pub fn correct(&mut self, key: &str, typed: &str) -> Result<(), CorrectionError> {
        let typed = typed.trim();
        let metres = || quantity::<Metres>(key, typed).map(Some);
        let small = || quantity::<Metres>(key, typed).map(Some).map_err(|error| in_millimetres(error, typed));
        match key {
            "wire" => typed.clone_into(&mut self.wire),
            "injury" => self.injury = word(key, typed, INJURIES)?,
            "size" => self.size = Some(quantity(key, typed)?),
            "colour" => self.colour = Some(typed.to_owned()),
            "length" => self.length = metres()?,
            "route" => self.route = Some(typed.to_owned()),
            "at" => self.at = Some(place_on(self.length, key, typed)?),
            "place" => self.place = Some(typed.to_owned()),
            "rubbed-on" => self.rubbed_on = Some(typed.to_owned()),
            "insulation" => self.insulation = small()?,
            "missing" => self.missing = small()?,
            "slack" => self.slack = small()?,
            "flex" => self.flex = Some(word(key, typed, FLEXES)?),
            "flexing" => {
                self.flexing = small()?;
                self.flex = Some(Flex::Flexes);
            }
            "near" => self.near = nears(key, typed)?,
            "pair" => self.pair = word(key, typed, PAIRS)?,
            "splices" => self.splices = count(key, typed)?,
            "beside" => self.beside = count(key, typed)?,
            "bundle" => self.bundle = small()?,
            "load" => self.load = Some(quantity(key, typed)?),
            "fuse" => self.fuse = Some(quantity(key, typed)?),
            _ => return Err(CorrectionError::Key(key.chars().take(24).collect())),
        }
        Ok(())
    }

    /// A field as it would be typed, by its key; nothing where nothing is known of it.
    #[must_use]
    pub fn written(&self, key: &str) -> Option<String> {
        let small = |length: Option<Metres>| length.map(|m| format!("{} mm", rounded(m.0 * 1e3)));
        let some = |count: u8| (count > 0).then(|| count.to_string());
        match key {
            "wire" => Some(self.wire.clone()).filter(|wire| !wire.is_empty()),
            "injury" => Some(said(INJURIES, self.injury)),
            "size" => self.size.map(|size| size.to_string()),
            "colour" => self.colour.clone(),
            "length" => self.length.map(|m| format!("{} m", rounded(m.0))),
            "route" => self.route.clone(),
            "at" => self.at.map(|place| format!("{} m", rounded(place.at.0))),
            "place" => self.place.clone(),
            "rubbed-on" => self.rubbed_on.clone(),
            "insulation" => small(self.insulation),
            "missing" => small(self.missing),
            "slack" => small(self.slack),
            "flex" => self.flex.map(|flex| said(FLEXES, flex)),
            "flexing" => small(self.flexing),
            "near" => {
                let words: Vec<String> = self.near.iter().map(|near| said(NEARS, *near)).collect();
                (!words.is_empty()).then(|| words.join(", "))
            }
            "pair" => Some(said(PAIRS, self.pair)),
            "splices" => some(self.splices),
            "beside" => some(self.beside),
            "bundle" => small(self.bundle),
            "load" => self.load.map(|amps| amps.to_string()),
            "fuse" => self.fuse.map(|amps| amps.to_string()),
            _ => None,
        }
    }
}

/// A length without the digits that nobody measured.
fn rounded(length: f64) -> f64 {
    (length * 100.0).round() / 100.0
}

fn said<T: Copy + PartialEq>(words: Words<T>, value: T) -> String {
    words.iter().find(|(_, known)| *known == value).map_or_else(String::new, |(word, _)| (*word).to_owned())
}

/// What is measured in millimetres is not suggested in metres.
fn in_millimetres(mut error: CorrectionError, typed: &str) -> CorrectionError {
    if let CorrectionError::Quantity { error, .. } = &mut error
        && error.fault == QuantityFault::NoUnit
    {
        error.write = format!("{typed} mm");
    }
    error
}

/// A distance, as a tape gives it, or the stretch that a measurement left: `1.2 m`, or `1.1 m to 1.4 m`.
fn place_on(length: Option<Metres>, key: &str, typed: &str) -> Result<PlaceOnWire, CorrectionError> {
    let beyond = |at: Metres| length.is_some_and(|whole| at.0 > whole.0);
    let one = |typed: &str| {
        let at = quantity::<Metres>(key, typed.trim())?;
        if beyond(at) {
            return Err(CorrectionError::Word {
                key: key.to_owned(),
                found: typed.chars().take(24).collect(),
                wanted: "distances on the wire".to_owned(),
            });
        }
        Ok(at)
    };
    let Some((from, to)) = typed.split_once(" to ") else {
        let at = one(typed)?;
        return Ok(PlaceOnWire::by_tape(at, length.unwrap_or(at)));
    };
    let (a, b) = (one(from)?, one(to)?);
    let (from, to) = if a.0 <= b.0 { (a, b) } else { (b, a) };
    let at = Metres(f64::midpoint(from.0, to.0));
    Ok(PlaceOnWire { at, from, to, standard: Metres((to.0 - from.0) / 4.0), whole: length.unwrap_or(to) })
}

fn quantity<Q: Written>(key: &str, typed: &str) -> Result<Q, CorrectionError> {
    Q::parse_above_zero(typed)
        .map_err(|error| CorrectionError::Quantity { key: key.to_owned(), error: Box::new(error) })
}

fn word<T: Copy>(key: &str, typed: &str, words: Words<T>) -> Result<T, CorrectionError> {
    let known = words.iter().find(|(name, _)| name.eq_ignore_ascii_case(typed));
    known.map(|(_, value)| *value).ok_or_else(|| CorrectionError::Word {
        key: key.to_owned(),
        found: typed.chars().take(24).collect(),
        wanted: words.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", "),
    })
}

fn nears(key: &str, typed: &str) -> Result<Vec<Near>, CorrectionError> {
    if typed.eq_ignore_ascii_case("none") {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for name in typed.split(',') {
        let near = word(key, name.trim(), NEARS)?;
        if !found.contains(&near) {
            found.push(near);
        }
    }
    Ok(found)
}

fn count(key: &str, typed: &str) -> Result<u8, CorrectionError> {
    typed.parse().ok().filter(|n| *n <= 100).ok_or_else(|| CorrectionError::Word {
        key: key.to_owned(),
        found: typed.chars().take(24).collect(),
        wanted: "0 to 100".to_owned(),
    })
}
