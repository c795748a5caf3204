//! `plan TREE`: what the written order of a tree costs, and a better one.
//!
//! As JSON: `{"format":1,"as_written","following","best_found","lower_bound","exact","to_repair","order"}`; the order is
//! null where it is the written one, else a list of faults (the leaf) or `{"step","before","minutes","ways":{answer or
//! band: order}}`, with the minutes of gates, plugs and ways before the step; `to_repair` is what that order takes in the
//! terms of `following`, until the repair can begin.

use std::io::{self, Write};

use serde_json::{Map, Value, json};

use super::{Args, Format};
use crate::cli::{Ending, Failure, Outcome};
use crate::diag::{Lang, visible_line};
use crate::reason::{Effort, Followed, TreeOrder, TreePlan, followed, plan_tree};
use crate::tree::{BandKind, Kind, Like, StepIx, Tree, examine};
use crate::units::Minutes;

/// Runs it for a tree.
pub(super) fn run(tree: &str, args: &Args, out: &mut dyn Write) -> Outcome {
    let opened = args.root.open(tree)?;
    let examined = examine(&opened.source, opened.sources.as_ref());
    let unusable = |why: &str| Failure::looked(why).hint("`loomwalk check` says why");
    let course = examined.course.as_ref().ok_or_else(|| unusable("this tree cannot be read"))?;
    if course.tree().machine.is_some() && course.tree().model.is_none() {
        return Err(unusable("the tree's machine file cannot be used"));
    }
    let plan = plan_tree(course, Effort::Plan)
        .ok_or_else(|| Failure::looked("no fault that this tree could name shows its symptom"))?;
    let followed = followed(course);
    match args.format.unwrap_or(Format::Text) {
        Format::Json => crate::cli::answer::json_line(&plan_json(&plan, followed, course.tree()), out)?,
        Format::Text => {
            write_figures(&plan, followed, out)?;
            if args.order {
                write_best(&plan, course.tree(), out)?;
            }
        }
    }
    Ok(Ending::Fine)
}

fn write_figures(plan: &TreePlan, followed: Option<Followed>, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{:.0} min expected as written", plan.as_written.value())?;
    let found = if plan.exact { "in the best order there is" } else { "in the best order found" };
    let best = plan.best_found.value();
    // A bound that rounds to nothing says nothing.
    match plan.lower_bound.map(Minutes::value).filter(|bound| *bound >= 0.5) {
        Some(bound) => writeln!(out, "{best:.0} min expected {found}; nothing can do better than {bound:.0}"),
        None => writeln!(out, "{best:.0} min expected {found}"),
    }?;
    // What the tree does not find cannot be walked to, and a jump may leave more gates before the repair than the written
    // order does: these count what the tree finds, and further.
    if let Some(Followed { as_written, following }) = followed {
        let (written, following) = (as_written.value(), following.value());
        write!(
            out,
            "Until the repair can begin: {written:.0} min as written, {following:.0} if every suggestion on the way is taken"
        )?;
        match plan.to_repair.map(Minutes::value) {
            Some(best) => writeln!(out, ", {best:.0} in the order found"),
            None => writeln!(out),
        }?;
    }
    Ok(())
}

fn write_best(plan: &TreePlan, tree: &Tree, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out)?;
    match &plan.order {
        Some(order) => write_order(order, tree, 0, out),
        None => writeln!(out, "The written order is the best that was found."),
    }
}

fn write_order(order: &TreeOrder, tree: &Tree, depth: usize, out: &mut dyn Write) -> io::Result<()> {
    match order {
        TreeOrder::Stop(faults) => writeln!(out, "{}", visible_line(&faults.join(", "))),
        TreeOrder::Test { step, before, through, minutes, ways } => {
            let own = minutes.value();
            write!(out, "{}, {own:.0} min", visible_line(&tree.step(*step).id))?;
            if before.value() > 0.0 {
                write!(out, " and {:.0} min before it", before.value())?;
            }
            if !through.is_empty() {
                let ids: Vec<_> = through.iter().map(|ix| visible_line(&tree.step(*ix).id)).collect();
                write!(out, " ({})", ids.join(", "))?;
            }
            writeln!(out)?;
            for (way, next) in ways {
                write!(
                    out,
                    "{:indent$}{}: ",
                    "",
                    visible_line(&way_name(tree, *step, *way)),
                    indent = 2 * depth + 2
                )?;
                write_order(next, tree, depth + 1, out)?;
            }
            Ok(())
        }
    }
}

/// The figures and the order, for programs.
fn plan_json(plan: &TreePlan, followed: Option<Followed>, tree: &Tree) -> Value {
    json!({
        "format": 1,
        "as_written": plan.as_written.value(),
        "following": followed.map(|followed| followed.following.value()),
        "best_found": plan.best_found.value(),
        "lower_bound": plan.lower_bound.map(Minutes::value),
        "exact": plan.exact,
        "to_repair": plan.to_repair.map(Minutes::value),
        "order": plan.order.as_ref().map(|order| order_json(order, tree)),
    })
}

fn order_json(order: &TreeOrder, tree: &Tree) -> Value {
    match order {
        TreeOrder::Stop(faults) => json!(faults),
        TreeOrder::Test { step, before, through, minutes, ways } => {
            let through: Vec<&str> = through.iter().map(|ix| tree.step(*ix).id.as_str()).collect();
            let ways: Map<String, Value> = ways
                .iter()
                .map(|(way, next)| (way_name(tree, *step, *way), order_json(next, tree)))
                .collect();
            let id = &tree.step(*step).id;
            json!({"step": id, "before": before.value(), "through": through, "minutes": minutes.value(), "ways": ways})
        }
    }
}

/// An answer by its id, a band by its range or by what it is like.
fn way_name(tree: &Tree, step: StepIx, way: usize) -> String {
    let answers = match &tree.step(step).kind {
        Kind::Ask(ask) => &ask.answers,
        Kind::Look(look) => &look.answers,
        Kind::Read(read) => {
            let Some(band) = read.bands.get(way) else { return "no band".to_owned() };
            return match &band.kind {
                BandKind::Range(range) => range.to_string(),
                BandKind::Like(Like::Healthy) => "like healthy".to_owned(),
                BandKind::Like(Like::Faults(faults)) => format!("like {}", faults.join(", ")),
                BandKind::Like(Like::Rest) => "the rest".to_owned(),
            };
        }
        _ => return String::new(),
    };
    let english = Lang::default();
    answers.get(way).map_or_else(String::new, |answer| {
        if answer.id.is_empty() { answer.text.in_lang(&english).to_owned() } else { answer.id.clone() }
    })
}
