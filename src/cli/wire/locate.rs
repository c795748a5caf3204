//! `wire locate`: a place along the wire from readings, with how far it may be off.

use clap::{Args, Subcommand};
use serde_json::{Value, json};

use crate::repair::{
    Conductor, Copper, Instead, Leg, Measured, PlaceOnWire, Rub, drop_ratio, murray, rank_rubs, two_ended,
    varley,
};
use crate::units::{Measure, Meter, Metres, Ohms, Volts};

use super::{Answer, Failure, Make, refused, typed, without_place};

const ISOLATED: &str = "CAUTION   Isolated, shown dead, the wire unplugged at both ends before any of this.";
const CURRENT: &str = "CAUTION   Isolated, unplugged at both ends; a battery that stands apart, a lamp and a fuse of at most \
                       2 A; battery gas: no spark near it, eye protection.";

/// An answer, and the place on the wire where there is one.
type Placed = Result<(Answer, Option<PlaceOnWire>), Failure>;

#[derive(Debug, Args)]
pub(super) struct Locate {
    #[command(subcommand)]
    method: Method,
    /// A rub on the wire, to be ranked by where the fault was measured: pivot-clamp=1.2m; give each.
    #[arg(long, global = true, allow_hyphen_values = true)]
    rub: Vec<String>,
}

#[derive(Debug, Subcommand)]
enum Method {
    /// Slide-wire loop, x = a/(a+b) of the loop: loomwalk wire locate murray --a 332 --b 668 --loop 54.07ohm
    Murray(Murray),
    /// Loop with a set resistance: loomwalk wire locate varley --p 1 --q 1 --loop 54.07ohm --set 18.168ohm
    Varley(Varley),
    /// Ratio of two drops: loomwalk wire locate drop --to-fault 0.021V --whole 0.063V --length 3.1m
    Drop(Drop),
    /// Ohms to the frame from both ends: loomwalk wire locate ohms --from-start 0.9ohm --from-end 1.3ohm --size 0.75mm2 --length 40m
    Ohms(BothEnds),
    /// A lamp in the socket of a fuse that blows: loomwalk wire locate lamp --supply 12.6V --lamp 21W
    Lamp(without_place::Lamp),
    /// Drops over joints under a load: loomwalk wire locate joints --amps 1.75 --joint X20:1=0.01V --joint GND3=1.2V
    Joints(without_place::Joints),
    /// Which connector to open next: loomwalk wire locate split --stretch 3 --stretch 1 --stretch 4 --open X14=1:2min --open X20=2:3min
    Split(without_place::Split),
}

impl Locate {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let rubs = self.rubs()?;
        let (answer, place) = match &self.method {
            Method::Murray(method) => method.answer(),
            Method::Varley(method) => method.answer(),
            Method::Drop(method) => method.answer(),
            Method::Ohms(method) => method.answer(),
            Method::Lamp(method) => return method.answer(),
            Method::Joints(method) => return method.answer(),
            Method::Split(method) => return method.answer(),
        }?;
        Ok(match place {
            Some(place) if !rubs.is_empty() => with_rubs(answer, &place, &rubs),
            _ => answer,
        })
    }

    fn rubs(&self) -> Result<Vec<Rub>, Failure> {
        let rub = |text: &String| {
            let (name, at) = named("--rub", text)?;
            Ok(Rub { name: name.to_owned(), at: typed::above_zero("--rub", at)?, share: 1.0 })
        };
        self.rub.iter().map(rub).collect()
    }
}

/// A name and what stands after its `=`.
pub(super) fn named<'a>(option: &str, text: &'a str) -> Result<(&'a str, &'a str), Failure> {
    text.rsplit_once('=').filter(|(name, _)| !name.trim().is_empty()).ok_or_else(|| {
        Failure::usage(format!("{option}: `{text}` is not a name, `=` and a value, such as pivot-clamp=1.2m"))
    })
}

fn with_rubs(mut answer: Answer, place: &PlaceOnWire, rubs: &[Rub]) -> Answer {
    let ranked = rank_rubs(place, rubs);
    for rub in &ranked {
        let inside = if rub.inside { "in the interval" } else { "outside it" };
        let (at, percent) = (rub.at, rub.probability * 100.0);
        answer = answer.line(format!("{percent:5.1} %   {} at {at}, {inside}", rub.name));
    }
    let fields = ranked.iter().map(|rub| {
        json!({"rub": rub.name, "distance": rub.at, "probability": rub.probability, "inside": rub.inside})
    });
    answer.field("rubs", fields.collect::<Vec<Value>>())
}

/// What turns ohms of a loop into metres.
#[derive(Debug, Args)]
struct Along {
    /// Resistance of the wire, to have the distance: 23.45.
    #[arg(long, allow_hyphen_values = true)]
    ohms_per_km: Option<String>,
    /// Or its size: 0.75mm2.
    #[arg(long, allow_hyphen_values = true, conflicts_with = "ohms_per_km")]
    size: Option<String>,
    /// Or the length of the whole loop, if it is of one size: 600m.
    #[arg(long, allow_hyphen_values = true, conflicts_with_all = ["ohms_per_km", "size"])]
    length: Option<String>,
    #[command(flatten)]
    make: Make,
    /// Accuracy of the meter: 0.5%+2. A number with its unit is taken as read from it, one without as set.
    #[arg(long, allow_hyphen_values = true)]
    meter: Option<String>,
}

impl Along {
    fn meter(&self) -> Result<Meter, Failure> {
        typed::meter(self.meter.as_deref())
    }

    /// A value in ohms: read from the meter where it has a unit, set and exact where it has none.
    fn arm(&self, option: &str, text: &str) -> Result<Measured<Ohms>, Failure> {
        let read: Measured<Ohms> = typed::measured(option, text, (Measure::Ohms, self.meter()?))?;
        Ok(if typed::is_bare(text) { Measured::exact(read.value) } else { read })
    }

    fn read(&self, option: &str, text: &str) -> Result<Measured<Ohms>, Failure> {
        typed::measured(option, text, (Measure::Ohms, self.meter()?))
    }

    fn per_metre(&self, leg: &Leg) -> Result<Option<Ohms>, Failure> {
        if let Some(text) = &self.ohms_per_km {
            let km: Ohms =
                typed::bare_above_zero("--ohms-per-km", text.trim().trim_end_matches("/km"), "ohm")?;
            return Ok(Some(Ohms(km.value() / 1e3)));
        }
        if let Some(text) = &self.size {
            let size = typed::size("--size", text)?;
            let copper = Copper { size, strand: self.make.strand(), celsius: self.make.celsius()? };
            return copper.per_metre().map(Some).map_err(refused);
        }
        let Some(text) = &self.length else { return Ok(None) };
        let length: Metres = typed::above_zero("--length", text)?;
        Ok(Some(Ohms(leg.whole.value() / length.value())))
    }

    fn answer(&self, leg: &Leg) -> Placed {
        let answer = Answer::new()
            .field("ohms", leg.ohms.value())
            .field("ohms_uncertainty", leg.standard.value())
            .caution(ISOLATED)
            .line(format!(
                "{} of the loop's {}, ± {}",
                leg.ohms,
                leg.whole,
                Ohms(2.0 * leg.standard.value())
            ));
        match self.per_metre(leg)? {
            Some(each) => {
                let place = leg.along(each).map_err(refused)?;
                Ok((told(answer, &place, Instead::DropUnderCurrent), Some(place)))
            }
            None => Ok((
                answer
                    .field("distance", Value::Null)
                    .field("from", Value::Null)
                    .field("to", Value::Null)
                    .line("For the distance give --ohms-per-km, --size or the loop's --length."),
                None,
            )),
        }
    }
}

#[derive(Debug, Args)]
struct Murray {
    /// Arm on the faulty wire's side.
    #[arg(long, allow_hyphen_values = true)]
    a: String,
    /// Arm on the good wire's side.
    #[arg(long, allow_hyphen_values = true)]
    b: String,
    /// Resistance of the loop: both wires, joined at the far end.
    #[arg(long = "loop", allow_hyphen_values = true)]
    whole: String,
    #[command(flatten)]
    along: Along,
}

impl Murray {
    fn answer(&self) -> Placed {
        let (a, b) = (self.along.arm("--a", &self.a)?, self.along.arm("--b", &self.b)?);
        let leg = murray(a, b, self.along.read("--loop", &self.whole)?).map_err(refused)?;
        self.along.answer(&leg)
    }
}

#[derive(Debug, Args)]
struct Varley {
    /// Arm on the good wire's side.
    #[arg(long, allow_hyphen_values = true)]
    p: String,
    /// Arm on the side of the set resistance and the faulty wire.
    #[arg(long, allow_hyphen_values = true)]
    q: String,
    /// Resistance of the loop: both wires, joined at the far end.
    #[arg(long = "loop", allow_hyphen_values = true)]
    whole: String,
    /// Resistance set at balance.
    #[arg(long, allow_hyphen_values = true)]
    set: String,
    #[command(flatten)]
    along: Along,
}

impl Varley {
    fn answer(&self) -> Placed {
        let arms = [self.along.arm("--p", &self.p)?, self.along.arm("--q", &self.q)?];
        let whole = self.along.read("--loop", &self.whole)?;
        let leg = varley(arms, whole, self.along.arm("--set", &self.set)?).map_err(refused)?;
        self.along.answer(&leg)
    }
}

#[derive(Debug, Args)]
struct Drop {
    /// Drop from the beginning of the wire to the fault.
    #[arg(long, allow_hyphen_values = true)]
    to_fault: String,
    /// Drop over the whole wire.
    #[arg(long, allow_hyphen_values = true)]
    whole: String,
    /// Length of the wire.
    #[arg(long, allow_hyphen_values = true)]
    length: String,
    /// Accuracy of the meter.
    #[arg(long, allow_hyphen_values = true)]
    meter: Option<String>,
}

impl Drop {
    fn answer(&self) -> Placed {
        let meter = typed::meter(self.meter.as_deref())?;
        let volts = |option, text| typed::measured::<Volts>(option, text, (Measure::Volts, meter));
        let length = typed::above_zero("--length", &self.length)?;
        let (part, whole) = (volts("--to-fault", &self.to_fault)?, volts("--whole", &self.whole)?);
        let place = drop_ratio(part, whole, length).map_err(refused)?;
        Ok((told(Answer::new().caution(CURRENT), &place, Instead::MoreCurrent), Some(place)))
    }
}

#[derive(Debug, Args)]
struct BothEnds {
    /// Ohms to the frame, read at the wire's beginning.
    #[arg(long, allow_hyphen_values = true)]
    from_start: String,
    /// Ohms to the frame, read at its end.
    #[arg(long, allow_hyphen_values = true)]
    from_end: String,
    /// Size of the wire.
    #[arg(long, allow_hyphen_values = true)]
    size: String,
    /// Length of the wire.
    #[arg(long, allow_hyphen_values = true)]
    length: String,
    #[command(flatten)]
    make: Make,
    /// Accuracy of the meter.
    #[arg(long, allow_hyphen_values = true)]
    meter: Option<String>,
}

impl BothEnds {
    fn answer(&self) -> Placed {
        let meter = typed::meter(self.meter.as_deref())?;
        let ohms = |option, text| typed::measured::<Ohms>(option, text, (Measure::Ohms, meter));
        let size = typed::size("--size", &self.size)?;
        let copper = Copper { size, strand: self.make.strand(), celsius: self.make.celsius()? };
        let length = typed::above_zero("--length", &self.length)?;
        let wire = Conductor { length, per_metre: copper.per_metre().map_err(refused)? };
        let ends = (ohms("--from-start", &self.from_start)?, ohms("--from-end", &self.from_end)?);
        let found = two_ended(ends.0, ends.1, wire).map_err(refused)?;
        let answer = Answer::new()
            .field("ohms", found.fault.value())
            .caution(ISOLATED)
            .line(format!("{} in the fault itself", found.fault));
        Ok((told(answer, &found.place, Instead::DropUnderCurrent), Some(found.place)))
    }
}

/// The place in both forms; with what to do instead where the meter cannot tell it.
fn told(answer: Answer, place: &PlaceOnWire, instead: Instead) -> Answer {
    let answer = answer
        .field("distance", place.at.value())
        .field("from", place.from.value())
        .field("to", place.to.value())
        .field("unit", "m")
        .field("resolved", place.is_resolved())
        .line(format!(
            "{:.2} m from the beginning, of {:.2} m; between {:.2} and {:.2} m (about 95 %)",
            place.at.value(),
            place.whole.value(),
            place.from.value(),
            place.to.value()
        ));
    if place.is_resolved() {
        return answer;
    }
    let advice = format!("This meter cannot resolve it. Do this instead: {}", instead.words());
    answer.field("instead", advice.clone()).line(advice)
}
