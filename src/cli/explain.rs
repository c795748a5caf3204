//! `explain`: what a rule of `check` means, why at the machine, a bad and a good example.

use std::io::Write;

use crate::diag::{Weight, nearest};
use crate::tree::{Document, documents};

use super::{Ending, Failure, Outcome};

/// What a rule of `check` means, why at the machine, a bad and a good example.
///
/// Example: loomwalk explain band-gap
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The rule; all are listed without it
    #[arg(value_name = "RULE")]
    rule: Option<String>,
}

/// Runs the command.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let documents = documents();
    let Some(rule) = args.rule.as_deref() else { return list(&documents, out) };
    let Some(document) = documents.iter().find(|document| document.rule == rule) else {
        let failure = Failure::usage(format!("there is no rule `{rule}`"));
        return Err(match nearest(rule, documents.iter().map(|document| document.rule)) {
            Some(near) => failure.hint(format!("`{near}`, if that is meant")),
            None => failure.hint("`loomwalk explain` lists them all"),
        });
    };
    writeln!(out, "{}", document.text.trim_end())?;
    writeln!(out, "\n## Weight\n\n{}: {}", document.weight.word(), meaning(document.weight))?;
    Ok(Ending::Fine)
}

fn list(documents: &[Document], out: &mut dyn Write) -> Outcome {
    let widest = documents.iter().map(|document| document.rule.len()).max().unwrap_or_default();
    for weight in [Weight::Refused, Weight::Error, Weight::Warning] {
        writeln!(out, "{}: {}", weight.word(), meaning(weight))?;
        for document in documents.iter().filter(|document| document.weight == weight) {
            writeln!(out, "  {:<widest$}  {}", document.rule, document.summary())?;
        }
        writeln!(out)?;
    }
    Ok(Ending::Fine)
}

const fn meaning(weight: Weight) -> &'static str {
    match weight {
        Weight::Refused => "the file cannot be walked, practised or resumed",
        Weight::Error => "senseless or untrue; the file can be walked, and the check fails",
        Weight::Warning => "worth a look; the check fails with --strict only",
    }
}
