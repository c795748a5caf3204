//! `plan --matrix`: takes the faults, tests and outcomes as JSON, without a machine, and prints the plan as
//! JSON: `{"format":1,"expected","lower_bound","exact","order"}`. An order is either a list of faults
//! (the leaf) or `{"test","minutes","outcomes":{outcome: order}}`.

use std::collections::BTreeMap;
use std::fmt;
use std::io::{self, Write};
use std::path::Path;

use serde::de::{self, Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::{Map, Value, json};

use super::Format;
use crate::cli::{Ending, Failure, Outcome};
use crate::diag::visible_line;
use crate::reason::{Effort, Order, Plan, Problem, Share, Test, plan};
use crate::units::Minutes;

/// Plans a table.
pub(super) fn run(path: &Path, format: Format, out: &mut dyn Write) -> Outcome {
    let matrix = Matrix::read(path)?;
    let problem = matrix.problem()?;
    let plan = plan(&problem, Effort::Plan).map_err(Failure::usage)?;
    match format {
        Format::Json => crate::cli::answer::json_line(&matrix.json(&plan), out)?,
        Format::Text => matrix.write_text(&plan, out)?,
    }
    Ok(Ending::Fine)
}

/// The file as written: named things in order, a name never twice.
#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Matrix {
    faults: Named<f64>,
    tests: Named<Row>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    minutes: f64,
    outcomes: Named<Label>,
}

impl Matrix {
    fn read(path: &Path) -> Result<Self, Failure> {
        let said = |cause: &dyn fmt::Display| Failure::file(format!("{}: {cause}", path.display()));
        let text = crate::cli::disk::read_any(path)?.text;
        serde_json::from_str(text.trim_start_matches('\u{feff}')).map_err(|cause| said(&cause))
    }

    fn problem(&self) -> Result<Problem, Failure> {
        let tests = self.tests.0.iter().map(|(name, row)| self.test(name, row));
        let tests = tests.collect::<Result<Vec<_>, _>>()?;
        let shares: Vec<Share> = self.faults.0.iter().map(|(_, share)| Share(*share)).collect();
        if shares.is_empty() {
            return Err(Failure::usage("no faults: there is nothing to tell apart"));
        }
        for (fault, share) in &self.faults.0 {
            if *share < 0.0 {
                return Err(Failure::usage(format!(
                    "fault {fault:?}: a share of {share}; it must be 0 or more"
                )));
            }
        }
        Problem::new(&shares, tests).map_err(Failure::usage)
    }

    fn test(&self, name: &str, row: &Row) -> Result<Test, Failure> {
        let wrong = |said: String| Err(Failure::usage(format!("test {name:?}: {said}")));
        if row.minutes < 0.0 {
            return wrong(format!("{} minutes; it must be 0 or more", row.minutes));
        }
        let given: BTreeMap<&str, &Label> = row.outcomes.0.iter().map(|(f, o)| (f.as_str(), o)).collect();
        if let Some((stranger, _)) = row.outcomes.0.iter().find(|(f, _)| self.faults.place(f).is_none()) {
            return wrong(format!("an outcome for {stranger:?}, which is not among the faults"));
        }
        let labels = row.labels();
        let mut outcomes = Vec::with_capacity(self.faults.0.len());
        for (fault, _) in &self.faults.0 {
            let Some(label) = given.get(fault.as_str()) else {
                return wrong(format!("no outcome for fault {fault:?}"));
            };
            outcomes.push(labels.iter().position(|l| *l == label.0).unwrap_or_default());
        }
        Ok(Test { minutes: Minutes(row.minutes), outcomes, stands: Vec::new() })
    }

    fn json(&self, plan: &Plan) -> Value {
        json!({
            "format": 1,
            "expected": plan.expected.value(),
            "lower_bound": plan.lower_bound.map(Minutes::value),
            "exact": plan.exact,
            "order": self.order_json(&plan.order),
        })
    }

    fn order_json(&self, order: &Order) -> Value {
        match order {
            Order::Stop(suspects) => json!(self.fault_names(suspects)),
            Order::Test { test, branches, .. } => {
                let (name, row) = &self.tests.0[*test];
                let labels = row.labels();
                let outcomes: Map<String, Value> = branches
                    .iter()
                    .map(|(outcome, next)| (labels[*outcome].to_owned(), self.order_json(next)))
                    .collect();
                json!({ "test": name, "minutes": row.minutes, "outcomes": outcomes })
            }
        }
    }

    fn write_text(&self, plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
        let found = if plan.exact { "the best order there is" } else { "the best order found" };
        write!(out, "{:.2} min expected, {found}", plan.expected.value())?;
        if let Some(bound) = plan.lower_bound {
            write!(out, "; nothing can do better than {:.2}", bound.value())?;
        }
        writeln!(out)?;
        self.write_order(&plan.order, 0, out)
    }

    fn write_order(&self, order: &Order, depth: usize, out: &mut dyn Write) -> io::Result<()> {
        match order {
            Order::Stop(suspects) => {
                let together = if suspects.len() > 1 { " (no test tells them apart)" } else { "" };
                writeln!(out, "{}{together}", visible_line(&self.fault_names(suspects).join(", ")))
            }
            Order::Test { test, branches, .. } => {
                let (name, row) = &self.tests.0[*test];
                let labels = row.labels();
                writeln!(out, "{}, {} min", visible_line(name), row.minutes)?;
                for (outcome, next) in branches {
                    let label = visible_line(labels[*outcome]);
                    write!(out, "{:indent$}{label}: ", "", indent = 2 * depth + 2)?;
                    self.write_order(next, depth + 1, out)?;
                }
                Ok(())
            }
        }
    }

    fn fault_names(&self, suspects: &[usize]) -> Vec<&str> {
        suspects.iter().map(|suspect| self.faults.0[*suspect].0.as_str()).collect()
    }
}

impl Row {
    /// The distinct outcomes, in the order in which they first stand in the file.
    fn labels(&self) -> Vec<&str> {
        let mut labels: Vec<&str> = Vec::new();
        for (_, label) in &self.outcomes.0 {
            if !labels.contains(&label.0.as_str()) {
                labels.push(&label.0);
            }
        }
        labels
    }
}

/// A map as pairs in the order written; a name that stands twice is refused.
#[derive(Debug)]
struct Named<T>(Vec<(String, T)>);

impl<T> Named<T> {
    fn place(&self, name: &str) -> Option<usize> {
        self.0.iter().position(|(known, _)| known == name)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Named<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_map(Pairs(std::marker::PhantomData))
    }
}

struct Pairs<T>(std::marker::PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for Pairs<T> {
    type Value = Named<T>;

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("names with their values")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Named<T>, A::Error> {
        let mut pairs = Named(Vec::new());
        while let Some(name) = map.next_key::<String>()? {
            if pairs.place(&name).is_some() {
                return Err(de::Error::custom(format_args!("{name:?} stands twice")));
            }
            pairs.0.push((name, map.next_value()?));
        }
        Ok(pairs)
    }
}

/// An outcome's name; a number or a truth value stands for its own text.
#[derive(Debug)]
struct Label(String);

impl<'de> Deserialize<'de> for Label {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        match Value::deserialize(from)? {
            Value::String(text) => Ok(Self(text)),
            plain @ (Value::Number(_) | Value::Bool(_)) => Ok(Self(plain.to_string())),
            _ => Err(de::Error::custom("an outcome must be a word")),
        }
    }
}
