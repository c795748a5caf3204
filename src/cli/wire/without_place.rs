//! Methods of `wire locate` that find a part of the circuit instead of a distance.

use clap::Args;
use serde_json::{Value, json};

use crate::repair::{Joint, JointVerdict, Opening, half_split, loaded_drop, socket_lamp};
use crate::units::{Amps, Measure, Minutes, Volts, Watts};

use super::locate::named;
use super::{Answer, Failure, refused, typed};

const SOCKET: &str = "CAUTION   Everything the fuse feeds may come alive: nobody near what moves, arms down or held. The lamp gets hot.";
const LOADED: &str =
    "CAUTION   Only with the machine made safe for a live test; meter leads clear of what moves.";
const APART: &str = "CAUTION   Power off or isolated before a connector is opened.";

#[derive(Debug, Args)]
pub(super) struct Lamp {
    /// The machine's supply.
    #[arg(long, allow_hyphen_values = true)]
    supply: String,
    /// The lamp's watts.
    #[arg(long, default_value = "21W", allow_hyphen_values = true)]
    lamp: String,
}

impl Lamp {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let supply: Volts = typed::bare_above_zero("--supply", &self.supply, "V")?;
        let watts: Watts = typed::bare_above_zero("--lamp", &self.lamp, "W")?;
        let lamp = socket_lamp(supply, watts).map_err(refused)?;
        Ok(Answer::new()
            .field("amps", lamp.most.value())
            .field("ohms", lamp.hot.value())
            .field("lit_up_to", lamp.lit_up_to.value())
            .caution(SOCKET)
            .line(format!("A dead short takes {} through the lamp instead of blowing fuses.", lamp.most))
            .line(format!("It is lit by a short of up to {}.", lamp.lit_up_to))
            .line("It goes out when the short is moved away, or when the half that has it is unplugged."))
    }
}

#[derive(Debug, Args)]
pub(super) struct Joints {
    /// The load's current.
    #[arg(long, allow_hyphen_values = true)]
    amps: String,
    /// A joint and the drop over it: GND3=1.2V; give each.
    #[arg(long, required = true, allow_hyphen_values = true)]
    joint: Vec<String>,
    /// The drop that one joint may have: 0.1 V by common practice.
    #[arg(long, default_value = "0.1V", allow_hyphen_values = true)]
    allowed: String,
    /// Accuracy of the meter.
    #[arg(long, allow_hyphen_values = true)]
    meter: Option<String>,
}

impl Joints {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let meter = typed::meter(self.meter.as_deref())?;
        let amps: Amps = typed::bare_above_zero("--amps", &self.amps, "A")?;
        let allowed: Volts = typed::bare_above_zero("--allowed", &self.allowed, "V")?;
        let joint = |text: &String| {
            let (name, drop) = named("--joint", text)?;
            let drop = typed::measured("--joint", drop, (Measure::Volts, meter))?;
            Ok(Joint { name: name.to_owned(), drop })
        };
        let joints: Vec<Joint> = self.joint.iter().map(joint).collect::<Result<_, Failure>>()?;
        let found = loaded_drop(amps, &joints, allowed).map_err(refused)?;
        let mut answer = Answer::new()
            .field("joints", found.iter().map(joint_fields).collect::<Vec<Value>>())
            .caution(LOADED);
        for joint in &found {
            let verdict = match joint.too_much {
                Some(true) => "too much",
                Some(false) => "good",
                None => "this meter cannot tell: use the millivolt range",
            };
            let (ohms, limit, percent) = (joint.ohms, joint.limit, joint.share * 100.0);
            answer = answer
                .line(format!("{}   {ohms} ± {limit}   {percent:.0} % of the drop   {verdict}", joint.name));
        }
        Ok(answer)
    }
}

fn joint_fields(joint: &JointVerdict) -> Value {
    json!({
        "joint": joint.name,
        "ohms": joint.ohms,
        "limit": joint.limit,
        "share": joint.share,
        "too_much": joint.too_much,
    })
}

#[derive(Debug, Args)]
pub(super) struct Split {
    /// How often the fault lies in a stretch, in order along the circuit; give each.
    #[arg(long, required = true, allow_hyphen_values = true)]
    stretch: Vec<String>,
    /// A connector, how many stretches lie before it, and the minutes to open it: X14=1:2min; give each.
    #[arg(long, required = true, allow_hyphen_values = true)]
    open: Vec<String>,
}

impl Split {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let share = |text: &String| {
            let wrong = || Failure::usage(format!("--stretch: `{text}` is not a share, such as 3"));
            text.trim().parse::<f64>().map_err(|_| wrong())
        };
        let shares: Vec<f64> = self.stretch.iter().map(share).collect::<Result<_, Failure>>()?;
        let openings = self.open.iter().map(|text| opening(text));
        let openings: Vec<Opening> = openings.collect::<Result<_, Failure>>()?;
        let splits = half_split(&shares, &openings).map_err(refused)?;
        let mut answer = Answer::new().caution(APART);
        for split in &splits {
            let percent = split.before * 100.0;
            answer = answer
                .line(format!("{}   {percent:.0} of 100 lie before it   {}", split.name, split.minutes));
        }
        let fields = splits.iter().map(|split| {
            json!({"open": split.name, "before": split.before, "bits": split.bits, "minutes": split.minutes})
        });
        Ok(answer.field("openings", fields.collect::<Vec<Value>>()))
    }
}

fn opening(text: &str) -> Result<Opening, Failure> {
    let (name, rest) = named("--open", text)?;
    let wrong = || Failure::usage(format!("--open: `{text}` is not such as X14=1:2min"));
    let (after, minutes) = rest.split_once(':').ok_or_else(wrong)?;
    let after = after.trim().parse().map_err(|_| wrong())?;
    let minutes: Minutes = typed::bare_above_zero("--open", minutes, "min")?;
    Ok(Opening { name: name.to_owned(), after, minutes })
}
