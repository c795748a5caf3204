//! `faults`: what can be wrong with a machine, and what is worst about it.
//!
//! First the single faults that defeat an interlock, then those that burn a wire, then those that no
//! reading tells apart, what stays fed, what hides; the list of all faults comes last.

use std::io::Write;

use serde_json::{Value, json};

use super::disk::Root;
use super::machine_file::machine;
use super::{Ending, Outcome};
use crate::machine::{
    CodeName, Defeat, FaultId, FaultLine, FunctionId, Hides, Machine, Measured, Survey, Today,
};

/// The modelled faults of a machine, and which of them are dangerous, alike or hidden.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: loomwalk faults tern/machine")]
pub(super) struct Args {
    /// The machine file: a path, or the name of a shipped one such as tern/machine
    machine: String,
    /// How to print it
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    root: Root,
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
    let survey = machine.day(Today::default()).survey();
    let listed = Listed { machine: &machine, survey: &survey };
    match args.format {
        Format::Json => crate::cli::answer::json_line(&format_args!("{:#}", listed.json()), out)?,
        Format::Text => listed.write_text(out)?,
    }
    Ok(Ending::Fine)
}

struct Listed<'s> {
    machine: &'s Machine,
    survey: &'s Survey,
}

impl Listed<'_> {
    fn fault(&self, id: FaultId) -> &str {
        &self.machine.fault(id).name
    }

    fn function(&self, id: FunctionId) -> &str {
        &self.machine.parts().functions[id.at()].name
    }

    /// The states that do not hold, as a person would set them.
    fn states(&self, defeat: &Defeat) -> Vec<String> {
        let parts = self.machine.parts();
        let function = &parts.functions[defeat.function.at()];
        let said = |held: &usize| {
            let states = function.held[*held].iter().map(|(control, state)| {
                let control = &parts.controls[control.at()];
                format!("{} {}", control.name, control.states[*state])
            });
            states.collect::<Vec<_>>().join(", ")
        };
        defeat.held.iter().map(said).collect()
    }

    fn json(&self) -> Value {
        let survey = self.survey;
        let parts = self.machine.parts();
        let point = |id: &crate::machine::PointId| parts.points[id.at()].name.as_str();
        let points = |ids: &[crate::machine::PointId]| ids.iter().map(point).collect::<Vec<_>>();
        json!({
            "format": 1,
            "machine": self.machine.name,
            "defeats_interlock": survey.defeats.iter().map(|d| json!({
                "fault": self.fault(d.fault),
                "function": self.function(d.function),
                "unheld_with": self.states(d),
            })).collect::<Vec<_>>(),
            "overloads_wire": survey.overloads.iter().map(|o| json!({
                "fault": self.fault(o.fault),
                "wire": parts.elements[o.wire.at()].name,
                "amps": o.amps.value(),
                "rating": o.rating.value(),
            })).collect::<Vec<_>>(),
            "alike": survey.alike.iter().map(|group| {
                group.iter().map(|id| self.fault(*id)).collect::<Vec<_>>()
            }).collect::<Vec<_>>(),
            "permanent_feeds": {
                "healthy": points(&survey.fed),
                "by_fault": survey.feeds.iter().map(|f| json!({
                    "fault": self.fault(f.fault),
                    "points": points(&f.points),
                })).collect::<Vec<_>>(),
            },
            "hidden": survey.hidden.iter().map(|(id, hides)| json!({
                "fault": self.fault(*id),
                "seen_only": hides_word(*hides),
            })).collect::<Vec<_>>(),
            "faults": survey.lines.iter().map(|line| self.line_json(line)).collect::<Vec<_>>(),
        })
    }

    fn line_json(&self, line: &FaultLine) -> Value {
        let fault = self.machine.fault(line.fault);
        let names = |ids: &[FunctionId]| ids.iter().map(|id| self.function(*id)).collect::<Vec<_>>();
        let (unit, severities) = match fault.measured {
            Measured::Fixed => (Value::Null, Vec::new()),
            Measured::Ohms => (json!("ohm"), fault.spread.clone()),
            Measured::Volts => (json!("V"), fault.spread.clone()),
        };
        json!({
            "fault": fault.name,
            "title": fault.title.as_ref().map(crate::diag::Text::en),
            "share": fault.share,
            "unit": unit,
            "nominal": (fault.measured != Measured::Fixed).then_some(fault.nominal),
            "severities": severities,
            "stops": names(&line.stops),
            "unheld": names(&line.unheld),
            "codes": line.codes.iter().map(code_json).collect::<Vec<_>>(),
        })
    }

    fn write_text(&self, out: &mut dyn Write) -> std::io::Result<()> {
        let survey = self.survey;
        let parts = self.machine.parts();
        if !survey.defeats.is_empty() {
            writeln!(out, "DANGER  One of these alone lets a function work in a state that must hold it:")?;
            self.write_defeats(out)?;
            writeln!(out)?;
        }
        writeln!(
            out,
            "WARNING  With one of these a wire carries more than its rating, and no fuse stops it:"
        )?;
        for over in &survey.overloads {
            let wire = &parts.elements[over.wire.at()].name;
            writeln!(out, "  {:<40} {wire}: {} of {}", self.fault(over.fault), over.amps, over.rating)?;
        }
        writeln!(out, "\nNo reading at a point tells these apart:")?;
        for group in &survey.alike {
            let names: Vec<&str> = group.iter().map(|id| self.fault(*id)).collect();
            writeln!(out, "  {}", names.join(" = "))?;
        }
        writeln!(out, "\nThese keep something fed with the key out:")?;
        for feeds in &survey.feeds {
            let points: Vec<&str> =
                feeds.points.iter().take(4).map(|p| parts.points[p.at()].name.as_str()).collect();
            let more = feeds.points.len().saturating_sub(points.len());
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            writeln!(out, "  {:<40} {}{more}", self.fault(feeds.fault), points.join(", "))?;
        }
        writeln!(out, "\nThese hide:")?;
        for (fault, hides) in &survey.hidden {
            writeln!(out, "  {:<40} seen only {}", self.fault(*fault), hides_words(*hides))?;
        }
        writeln!(out, "\nAll {} faults, with their shares:", survey.lines.len())?;
        for line in &survey.lines {
            self.write_line(line, out)?;
        }
        Ok(())
    }

    /// One line a fault and held state, its functions together.
    fn write_defeats(&self, out: &mut dyn Write) -> std::io::Result<()> {
        let mut rows: Vec<(FaultId, String, Vec<&str>)> = Vec::new();
        for defeat in &self.survey.defeats {
            let (states, function) = (self.states(defeat).join(" or "), self.function(defeat.function));
            match rows.iter_mut().find(|(fault, with, _)| *fault == defeat.fault && *with == states) {
                Some((_, _, functions)) => functions.push(function),
                None => rows.push((defeat.fault, states, vec![function])),
            }
        }
        for (fault, states, functions) in rows {
            writeln!(out, "  {:<40} {}, with {states}", self.fault(fault), functions.join(", "))?;
        }
        Ok(())
    }

    fn write_line(&self, line: &FaultLine, out: &mut dyn Write) -> std::io::Result<()> {
        let fault = self.machine.fault(line.fault);
        let names =
            |ids: &[FunctionId]| ids.iter().map(|id| self.function(*id)).collect::<Vec<_>>().join(", ");
        let mut said = Vec::new();
        if !line.stops.is_empty() {
            said.push(format!("stops {}", names(&line.stops)));
        }
        if !line.unheld.is_empty() {
            said.push(format!("does not hold {}", names(&line.unheld)));
        }
        if !line.codes.is_empty() {
            let codes: Vec<String> = line.codes.iter().map(code_words).collect();
            said.push(format!("sets {}", codes.join(", ")));
        }
        writeln!(out, "  {:<40} {:>4}  {}", fault.name, fault.share, said.join("; "))
    }
}

fn hides_word(hides: Hides) -> &'static str {
    match hides {
        Hides::Moved => "moved",
        Hides::Loaded => "loaded",
    }
}

fn hides_words(hides: Hides) -> &'static str {
    match hides {
        Hides::Moved => "while its place is moved, hot or wet",
        Hides::Loaded => "while the circuit carries its load",
    }
}

fn code_json(code: &CodeName) -> Value {
    match code {
        CodeName::Spn { spn, fmi } => json!({"spn": spn, "fmi": fmi}),
        CodeName::Own(own) => json!({"code": own}),
    }
}

fn code_words(code: &CodeName) -> String {
    match code {
        CodeName::Spn { spn, fmi } => format!("SPN {spn} FMI {fmi}"),
        CodeName::Own(own) => own.clone(),
    }
}
