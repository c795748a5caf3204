//! `predict`: what the meter shows on a machine, healthy or with a fault, in a setup.
//!
//! Volts are against the frame unless `--black` says otherwise, with a 10 MΩ meter on the point. Ohms
//! are with every source dead; amps with `--read amps`: between red and `--black` with the meter's
//! burden, without it as a clamp around the thing the point is an end of.

use std::io::Write;

use serde_json::{Map, Value, json};

use super::disk::Root;
use super::machine_file::machine;
use super::typed;
use super::{Ending, Failure, Outcome};
use crate::machine::{
    Case, CodeName, Knot, Level, Machine, Measured, Ohmmeter, Owner, PointId, Probes, Rig, Settled, Setup,
    Shown, Steady, Today, power_named, power_word,
};
use crate::safety::Power;
use crate::units::{Amps, Celsius, Ohms, Volts};

/// What the meter shows at a machine's points, in a setup and with a fault.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: loomwalk predict tern/machine --with key=on,bar=down,door=shut --power live --red A1:8"
)]
pub(super) struct Args {
    /// The machine file: a path, or the name of a shipped one such as tern/machine
    machine: String,
    /// The red lead; may be given several times [default: every point]
    #[arg(long, value_name = "POINT", value_delimiter = ',')]
    red: Vec<String>,
    /// The black lead [default: frame]
    #[arg(long, value_name = "POINT")]
    black: Option<String>,
    /// Controls and their states; the others rest
    #[arg(long, value_name = "CONTROL=STATE", value_delimiter = ',')]
    with: Vec<String>,
    /// off, isolated, live or running [default: the first that the controls allow]
    #[arg(long)]
    power: Option<String>,
    /// Connectors that are apart
    #[arg(long, value_name = "PLUG", value_delimiter = ',')]
    unplugged: Vec<String>,
    /// A fault by its name, as `faults` lists it
    #[arg(long, value_name = "NAME")]
    fault: Option<String>,
    /// The fault's severity
    #[arg(long, value_name = "VALUE", requires = "fault")]
    ohms: Option<String>,
    /// What is measured
    #[arg(long, value_enum, default_value_t = Read::Volts)]
    read: Read,
    /// The battery today, at rest
    #[arg(long, value_name = "VALUE")]
    volts: Option<String>,
    /// The temperature of the wiring
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    celsius: Option<String>,
    /// How to print it
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    root: Root,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Read {
    /// Volts
    Volts,
    /// Ohms, every source dead
    Ohms,
    /// Amps
    Amps,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

/// Runs the command.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let machine = machine(&args.root, &args.machine)?;
    let asked = Asked::new(args, &machine)?;
    let day = machine.day(asked.today);
    let (rig, case) = (day.rig(&asked.setup), day.case(asked.knot.as_slice()));
    let settled = case.settle(&rig);
    let seen = Seen { machine: &machine, asked: &asked, case: &case, rig: &rig, settled: &settled };
    match args.format {
        Format::Json => crate::cli::answer::json_line(&format_args!("{:#}", seen.json()), out)?,
        Format::Text => seen.write_text(args.read, out)?,
    }
    Ok(Ending::Fine)
}

/// What was asked for, names resolved.
struct Asked {
    points: Vec<PointId>,
    black: Option<PointId>,
    setup: Setup,
    knot: Vec<Knot>,
    today: Today,
    amps: bool,
}

impl Asked {
    fn new(args: &Args, machine: &Machine) -> Result<Self, Failure> {
        let named =
            args.red.iter().map(|name| point(machine, "--red", name)).collect::<Result<Vec<_>, _>>()?;
        let points = if named.is_empty() { machine.point_ids().collect() } else { named };
        let black = args.black.as_ref().map(|name| point(machine, "--black", name)).transpose()?;
        let knot = args.fault.as_ref().map(|name| knot(machine, name, args.ohms.as_deref())).transpose()?;
        Ok(Self {
            points,
            black,
            setup: setup(args, machine)?,
            knot: knot.into_iter().collect(),
            today: today(args)?,
            amps: args.read == Read::Amps,
        })
    }
}

fn point(machine: &Machine, option: &str, name: &str) -> Result<PointId, Failure> {
    machine.point(name).ok_or_else(|| {
        let failure = Failure::usage(format!("{option}: the machine has no point `{name}`"));
        match machine.nearest_point(name) {
            Some(meant) => failure.hint(format!("`{meant}`, if that is meant")),
            None => failure.hint("`predict` without --red lists them all"),
        }
    })
}

fn setup(args: &Args, machine: &Machine) -> Result<Setup, Failure> {
    let mut with = Vec::new();
    for pair in args.with.iter().filter(|pair| !pair.trim().is_empty()) {
        let (control, state) = pair.split_once('=').ok_or_else(|| {
            Failure::usage(format!("--with: `{pair}` is not a control and its state"))
                .hint("write --with key=on,bar=down")
        })?;
        with.push((control.trim(), state.trim()));
    }
    let named = |word: &String| {
        power_named(word).ok_or_else(|| {
            Failure::usage(format!("--power: there is no power `{word}`"))
                .hint("off, isolated, live or running")
        })
    };
    let power: Option<Power> = args.power.as_ref().map(named).transpose()?;
    let mut setup =
        machine.setup(&with, power).map_err(|error| Failure::usage(format!("--with: {error}")))?;
    for plug in &args.unplugged {
        let connector = machine.connector(plug);
        setup.unplugged.push(
            connector
                .ok_or_else(|| Failure::usage(format!("--unplugged: there is no connector `{plug}`")))?,
        );
    }
    Ok(setup)
}

fn knot(machine: &Machine, name: &str, ohms: Option<&str>) -> Result<Knot, Failure> {
    let fault = machine.fault_named(name).ok_or_else(|| {
        let failure = Failure::usage(format!("--fault: the machine has no fault `{name}`"));
        match machine.nearest_fault(name) {
            Some(meant) => failure.hint(format!("`{meant}`, if that is meant")),
            None => failure.hint("`loomwalk faults` lists them all"),
        }
    })?;
    let ohms: Option<Ohms> = ohms.map(|text| typed::bare_above_zero("--ohms", text, "ohm")).transpose()?;
    if ohms.is_some() && machine.fault(fault).measured != Measured::Ohms {
        return Err(Failure::usage(format!("--ohms: `{name}` is not told in ohms")));
    }
    Ok(machine.knot(fault, ohms.map(Ohms::value)))
}

fn today(args: &Args) -> Result<Today, Failure> {
    let volts: Option<Volts> =
        args.volts.as_deref().map(|text| typed::bare_above_zero("--volts", text, "V")).transpose()?;
    let celsius: Option<Celsius> =
        args.celsius.as_deref().map(|text| typed::bare("--celsius", text, "°C")).transpose()?;
    Ok(Today { volts, celsius: celsius.unwrap_or(Celsius(20.0)), scale: 1.0 })
}

/// Everything that is printed.
struct Seen<'s, 'd, 'm> {
    machine: &'m Machine,
    asked: &'s Asked,
    case: &'s Case<'d, 'm>,
    rig: &'s Rig<'m>,
    settled: &'s Settled<'s, 'm>,
}

/// The value that stands for a reading: the middle of its cycle.
fn middle(least: f64, most: f64) -> f64 {
    // Adding nothing turns a negative zero into zero.
    f64::midpoint(least, most) + 0.0
}

impl<'m> Seen<'_, '_, 'm> {
    fn black(&self) -> PointId {
        self.asked.black.unwrap_or(self.machine.frame())
    }

    fn name(&self, point: PointId) -> &str {
        &self.machine.parts().points[point.at()].name
    }

    fn json(&self) -> Value {
        let parts = self.machine.parts();
        let element = |id: &crate::machine::ElementId| parts.elements[id.at()].name.as_str();
        let meter = self.case.ohmmeter(self.rig);
        let points: Map<String, Value> = self
            .asked
            .points
            .iter()
            .map(|point| (self.name(*point).to_owned(), self.point_json(*point, &meter)))
            .collect();
        let tripped = self.settled.outputs_tripped();
        json!({
            "format": 1,
            "machine": self.machine.name,
            "fault": self.asked.knot.first().map(|knot| self.machine.fault(knot.fault).name.as_str()),
            "setup": self.setup_json(),
            "points": points,
            "inputs": self.inputs(),
            "outputs": self.outputs(),
            "loads": self.loads(),
            "fuses_blown": self.settled.fuses_blown().iter().map(element).collect::<Vec<_>>(),
            "fuses_hot": self.settled.fuses_hot().iter().map(element).collect::<Vec<_>>(),
            "outputs_tripped": tripped.iter().map(|o| parts.outputs[o.at()].name.as_str()).collect::<Vec<_>>(),
            "chatter": self.settled.chatters(),
            "functions": self.functions(),
            "codes": self.codes(),
        })
    }

    fn setup_json(&self) -> Value {
        let parts = self.machine.parts();
        let states: Map<String, Value> = parts
            .controls
            .iter()
            .map(|control| {
                let id = self.machine.control(&control.name);
                let state = id.map_or(0, |id| self.asked.setup.state(id));
                (control.name.clone(), json!(control.states.get(state)))
            })
            .collect();
        let apart = self.asked.setup.unplugged.iter().map(|c| parts.connectors[c.at()].name.as_str());
        json!({
            "with": states,
            "power": power_word(self.asked.setup.power()),
            "unplugged": apart.collect::<Vec<_>>(),
            "black": self.name(self.black()),
            "volts": self.asked.today.volts.map(Volts::value),
            "celsius": self.asked.today.celsius.value(),
            "severity": self.asked.knot.first().and_then(|knot| self.severity(*knot)),
        })
    }

    fn severity(&self, knot: Knot) -> Option<f64> {
        (self.machine.fault(knot.fault).measured != Measured::Fixed).then_some(knot.severity)
    }

    fn point_json(&self, red: PointId, meter: &Ohmmeter<'_, 'm>) -> Value {
        let probes = Probes { red, black: self.black() };
        let volts = self.settled.volts(probes);
        let (least, most) = (volts.least.value(), volts.most.value());
        let mut shown = Map::new();
        shown.insert("volts".to_owned(), json!(middle(least, most)));
        if most - least > 1e-9 {
            shown.insert("volts_range".to_owned(), json!([least, most]));
        }
        shown.insert("ohms".to_owned(), json!(meter.ohms(probes).map(Ohms::value)));
        let amps = if self.asked.amps { self.amps(red) } else { None };
        shown.insert("amps".to_owned(), json!(amps.map(|a| middle(a.least.value(), a.most.value()))));
        shown.insert("floating".to_owned(), json!(volts.floating));
        Value::Object(shown)
    }

    /// With a black lead the meter's; without one a clamp's around the thing the point is an end of.
    fn amps(&self, red: PointId) -> Option<Shown<Amps>> {
        if let Some(black) = self.asked.black {
            return Some(self.case.amps(&self.asked.setup, Probes { red, black }));
        }
        match self.machine.parts().points[red.at()].owner {
            Owner::End(element, _) | Owner::Side(element, _) => Some(self.settled.amps(element)),
            _ => None,
        }
    }

    fn inputs(&self) -> Map<String, Value> {
        let mut all = Map::new();
        for controller in &self.machine.parts().controllers {
            for id in &controller.inputs {
                let word = match self.settled.level(*id) {
                    Some(Steady::Is(Some(Level::Low))) => json!("low"),
                    Some(Steady::Is(Some(Level::High))) => json!("high"),
                    Some(Steady::Is(Some(Level::Neither))) => json!("neither"),
                    Some(Steady::Is(None)) | None => Value::Null,
                    Some(Steady::Chatters) => json!("chatters"),
                };
                all.insert(self.machine.parts().inputs[id.at()].name.clone(), word);
            }
        }
        all
    }

    fn outputs(&self) -> Map<String, Value> {
        let ids = self.machine.parts().controllers.iter().flat_map(|c| &c.outputs);
        let name = |id: &crate::machine::OutputId| self.machine.parts().outputs[id.at()].name.clone();
        ids.map(|id| (name(id), steady(self.settled.on(*id)))).collect()
    }

    fn loads(&self) -> Map<String, Value> {
        let name = |id: &crate::machine::ElementId| self.machine.parts().elements[id.at()].name.clone();
        self.machine.loads().iter().map(|id| (name(id), steady(self.settled.pulled_in(*id)))).collect()
    }

    fn functions(&self) -> Map<String, Value> {
        let name = |id: crate::machine::FunctionId| self.machine.parts().functions[id.at()].name.clone();
        self.machine.function_ids().map(|id| (name(id), json!(self.settled.works(id)))).collect()
    }

    fn codes(&self) -> Vec<Value> {
        let code = |(controller, code): &(crate::machine::ControllerId, &crate::machine::Code)| {
            let controller = &self.machine.parts().controllers[controller.at()].name;
            let text = code.text.as_ref().map(crate::diag::Text::en);
            match &code.name {
                CodeName::Spn { spn, fmi } => {
                    json!({"controller": controller, "spn": spn, "fmi": fmi, "text": text})
                }
                CodeName::Own(own) => json!({"controller": controller, "code": own, "text": text}),
            }
        };
        self.settled.codes().iter().map(code).collect()
    }

    fn write_text(&self, read: Read, out: &mut dyn Write) -> std::io::Result<()> {
        let fault = self.asked.knot.first().map_or("nothing wrong", |k| &self.machine.fault(k.fault).name);
        writeln!(out, "{}, {fault}", self.machine.name)?;
        writeln!(out, "Set: {}", self.setup_line())?;
        if self.settled.chatters() {
            writeln!(out, "Chatters: what is shown runs from the least to the most of its cycle")?;
        }
        let black = self.name(self.black());
        let meter = self.case.ohmmeter(self.rig);
        for point in &self.asked.points {
            let shown = self.shown(read, *point, &meter);
            writeln!(out, "  {:<20} to {black:<8} {shown}", self.name(*point))?;
        }
        let list = |what: &str, map: Map<String, Value>| {
            let words = map.into_iter().map(|(name, value)| format!("{name} {}", said(&value)));
            format!("{what}: {}", words.collect::<Vec<_>>().join(", "))
        };
        writeln!(out, "{}", list("Inputs", self.inputs()))?;
        writeln!(out, "{}", list("Outputs", self.outputs()))?;
        writeln!(out, "{}", list("Loads", self.loads()))?;
        writeln!(out, "{}", list("Functions", self.functions()))?;
        self.write_opened(out)
    }

    fn write_opened(&self, out: &mut dyn Write) -> std::io::Result<()> {
        let parts = self.machine.parts();
        let names = |ids: Vec<crate::machine::ElementId>| {
            ids.iter().map(|id| parts.elements[id.at()].name.clone()).collect::<Vec<_>>().join(", ")
        };
        let (blown, hot) = (names(self.settled.fuses_blown()), names(self.settled.fuses_hot()));
        if !blown.is_empty() {
            writeln!(out, "Blown: {blown}")?;
        }
        if !hot.is_empty() {
            writeln!(out, "Hot, may hold: {hot}")?;
        }
        let tripped = self.settled.outputs_tripped();
        if !tripped.is_empty() {
            let tripped = tripped.iter().map(|o| parts.outputs[o.at()].name.as_str()).collect::<Vec<_>>();
            writeln!(out, "Tripped: {}", tripped.join(", "))?;
        }
        for code in self.codes() {
            writeln!(out, "Code: {code}")?;
        }
        Ok(())
    }

    fn setup_line(&self) -> String {
        let parts = self.machine.parts();
        let mut said = vec![format!("power {}", power_word(self.asked.setup.power()))];
        for control in &parts.controls {
            if let Some(id) = self.machine.control(&control.name) {
                said.push(format!("{} {}", control.name, control.states[self.asked.setup.state(id)]));
            }
        }
        let apart =
            self.asked.setup.unplugged.iter().map(|c| format!("{} apart", parts.connectors[c.at()].name));
        said.extend(apart);
        said.join(", ")
    }

    fn shown(&self, what: Read, red: PointId, meter: &Ohmmeter<'_, 'm>) -> String {
        let probes = Probes { red, black: self.black() };
        match what {
            Read::Volts => {
                let volts = self.settled.volts(probes);
                if volts.floating {
                    return "0 V, floating".to_owned();
                }
                range(&volts.least.to_string(), &volts.most.to_string())
            }
            Read::Ohms => meter.ohms(probes).map_or_else(|| "OL".to_owned(), |ohms| ohms.to_string()),
            Read::Amps => self.amps(red).map_or_else(
                || "-".to_owned(),
                |amps| range(&amps.least.to_string(), &amps.most.to_string()),
            ),
        }
    }
}

fn range(least: &str, most: &str) -> String {
    if least == most { least.to_owned() } else { format!("{least} to {most}") }
}

fn steady(state: Steady<bool>) -> Value {
    match state {
        Steady::Is(value) => json!(value),
        Steady::Chatters => Value::Null,
    }
}

fn said(value: &Value) -> String {
    match value {
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::String(word) => word.clone(),
        _ => "-".to_owned(),
    }
}
