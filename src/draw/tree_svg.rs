//! A tree as SVG: kinds of step are told by shape and by word, never by colour; a walked path is laid over in heavy
//! lines with its numbers.
//!
//! Gates have cut corners, readings round ends, findings a double frame, ends a bar at the foot.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::markup::{escaped, text};
use super::steps::{Exit, LINE, MARGIN, On, PAD, Plan, StepBox, TooLarge, WIDTH, plan};
use crate::diag::Lang;
use crate::tree::{Kind, Proof, StepIx, Tree};

const STYLE: &str = "text{font-family:Arial,Helvetica,sans-serif;font-size:10px;fill:#111}.id{font-weight:bold}\
.word{font-style:italic;text-anchor:end}.title{font-size:14px;font-weight:bold}.nth{font-weight:bold;text-anchor:middle;fill:#fff}\
.box{fill:#fff;stroke:#111}.gone .box{stroke-width:3}.way{fill:none;stroke:#555}.way.gone{stroke:#111;stroke-width:3}";

/// Draws a tree from left to right; `walked` are the steps of a walk in the order in which they were visited.
///
/// # Errors
/// [`TooLarge`].
pub fn tree_svg(tree: &Tree, lang: &Lang, walked: &[StepIx]) -> Result<String, TooLarge> {
    let plan = plan(tree, lang)?;
    let (width, height) = (plan.size.0, plan.size.1 + 2.0 * MARGIN);
    let title = format!("{}: {}", tree.id, tree.title.in_lang(lang));
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
         viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" lang=\"{}\"><title>{}</title><style>{STYLE}</style>\
         <defs><marker id=\"tip\" viewBox=\"0 0 8 8\" refX=\"8\" refY=\"4\" markerWidth=\"8\" markerHeight=\"8\" \
         markerUnits=\"userSpaceOnUse\" orient=\"auto\"><path d=\"M0 0L8 4L0 8Z\" fill=\"#111\"/></marker></defs>\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>",
        escaped(lang.code()),
        escaped(&title)
    );
    text(&mut svg, (MARGIN, MARGIN), "title", &title);
    let _ = write!(svg, "<g transform=\"translate(0 {:.0})\">", 1.5 * MARGIN);
    let gone: BTreeSet<(StepIx, StepIx)> = walked.windows(2).map(|pair| (pair[0], pair[1])).collect();
    // What was walked lies over what was not.
    for laid_over in [false, true] {
        for own in &plan.boxes {
            let walked = |exit: &&Exit| exit.to.is_some_and(|to| gone.contains(&(own.step, to)));
            for exit in own.exits.iter().filter(|exit| walked(exit) == laid_over) {
                way(&mut svg, &plan, own, exit, laid_over);
            }
        }
    }
    for own in &plan.boxes {
        step(&mut svg, tree, own, walked);
    }
    svg.push_str("</g></svg>\n");
    Ok(svg)
}

/// The arrow of a way out, from its row to the next step.
fn way(svg: &mut String, plan: &Plan, own: &StepBox, exit: &Exit, is_walked: bool) {
    let Some(to) = exit.to else { return };
    let next = &plan.boxes[to.at()];
    let class = if is_walked { "way gone" } else { "way" };
    let path = match &exit.on {
        On::Nowhere => return,
        On::Below => {
            let x = own.corner.0 + WIDTH / 2.0;
            format!("M{x:.1} {:.1}V{:.1}", own.corner.1 + own.height, next.corner.1)
        }
        On::Along(corners) => rounded(corners),
    };
    let _ = write!(svg, "<path class=\"{class}\" d=\"{path}\" marker-end=\"url(#tip)\"/>");
}

/// Level and upright from corner to corner, each corner a little rounded, so that lines which cross are told from lines
/// that turn.
fn rounded(corners: &[(f64, f64)]) -> String {
    const ROUND: f64 = 3.0;
    let towards = |from: (f64, f64), to: (f64, f64), most: f64| {
        let far = (to.0 - from.0).hypot(to.1 - from.1);
        let part = if far > 0.0 { most.min(far / 2.0) / far } else { 0.0 };
        (from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1))
    };
    let mut path = String::new();
    for (at, corner) in corners.iter().enumerate() {
        let (before, after) = (at.checked_sub(1).map(|at| corners[at]), corners.get(at + 1));
        match (before, after) {
            (None, _) => {
                let _ = write!(path, "M{:.1} {:.1}", corner.0, corner.1);
            }
            (Some(_), None) => {
                let _ = write!(path, "L{:.1} {:.1}", corner.0, corner.1);
            }
            (Some(before), Some(after)) => {
                let (one, other) = (towards(*corner, before, ROUND), towards(*corner, *after, ROUND));
                let _ = write!(
                    path,
                    "L{:.1} {:.1}Q{:.1} {:.1} {:.1} {:.1}",
                    one.0, one.1, corner.0, corner.1, other.0, other.1
                );
            }
        }
    }
    path
}

fn step(svg: &mut String, tree: &Tree, own: &StepBox, walked: &[StepIx]) {
    let step = tree.step(own.step);
    let (x, y) = own.corner;
    let visits: Vec<String> =
        walked.iter().zip(1..).filter(|(ix, _)| **ix == own.step).map(|(_, nth)| nth.to_string()).collect();
    let class = if visits.is_empty() { "step" } else { "step gone" };
    let _ = write!(
        svg,
        "<g class=\"{class}\" data-step=\"{}\" data-kind=\"{}\" data-box=\"{x:.1} {y:.1} {WIDTH:.1} {:.1}\">",
        escaped(&step.id),
        step.kind.word(),
        own.height
    );
    let _ = write!(svg, "<title>{}</title>", escaped(&step.id));
    frame(svg, &step.kind, (x, y), own.height);
    let head = y + PAD + LINE - 3.0;
    let id = super::markup::wrapped(&step.id, 20, 1).pop().unwrap_or_default();
    text(svg, (x + PAD + 3.0, head), "id", &id);
    text(svg, (x + WIDTH - PAD - 3.0, head), "word", word(&step.kind));
    let mut line = head;
    for words in &own.says {
        line += LINE;
        text(svg, (x + PAD + 3.0, line), "says", words);
    }
    for exit in own.exits.iter().filter(|exit| !exit.words.is_empty()) {
        let row = y + exit.down + LINE / 3.0 - 1.0;
        let _ = write!(
            svg,
            "<path class=\"way\" d=\"M{:.1} {:.1}H{:.1}\"/>",
            x + 3.0,
            row - LINE + 2.0,
            x + WIDTH - 3.0
        );
        text(svg, (x + PAD + 3.0, row), "exit", &exit.words);
    }
    if !visits.is_empty() {
        numbers(svg, (x, y), &visits.join(", "));
    }
    svg.push_str("</g>");
}

/// When a walk was here, in a black tab on the box's corner.
fn numbers(svg: &mut String, (x, y): (f64, f64), visits: &str) {
    let wide = 8.0 + 6.0 * f64::from(u32::try_from(visits.len()).unwrap_or(1));
    let _ = write!(
        svg,
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"13\" fill=\"#111\"/>",
        x - 4.0,
        y - 7.0
    );
    text(svg, (x - 4.0 + wide / 2.0, y + 3.0), "nth", visits);
}

fn frame(svg: &mut String, kind: &Kind, (x, y): (f64, f64), height: f64) {
    let rect = |svg: &mut String, inset: f64, round: f64| {
        let _ = write!(
            svg,
            "<rect class=\"box\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" rx=\"{round}\"/>",
            x + inset,
            y + inset,
            WIDTH - 2.0 * inset,
            height - 2.0 * inset
        );
    };
    match kind {
        Kind::Gate(_) => {
            let (right, foot) = (x + WIDTH, y + height);
            let _ = write!(
                svg,
                "<path class=\"box\" d=\"M{:.1} {y:.1}H{:.1}L{right:.1} {:.1}V{:.1}L{:.1} {foot:.1}H{:.1}L{x:.1} {:.1}V{:.1}Z\"/>",
                x + 8.0,
                right - 8.0,
                y + 8.0,
                foot - 8.0,
                right - 8.0,
                x + 8.0,
                foot - 8.0,
                y + 8.0
            );
        }
        Kind::Read(_) => rect(svg, 0.0, 12.0),
        Kind::Find(_) => {
            rect(svg, 0.0, 0.0);
            rect(svg, 3.0, 0.0);
        }
        Kind::Close(_) | Kind::Refer(_) => {
            rect(svg, 0.0, 0.0);
            let _ = write!(
                svg,
                "<rect x=\"{x:.1}\" y=\"{:.1}\" width=\"{WIDTH:.1}\" height=\"4\" fill=\"#111\"/>",
                y + height - 4.0
            );
        }
        _ => rect(svg, 0.0, 0.0),
    }
}

/// The lexicon's word; a step that shows the function back or held is a proof.
fn word(kind: &Kind) -> &'static str {
    let proof = match kind {
        Kind::Ask(ask) => ask.proof,
        Kind::Read(read) => read.proof,
        _ => None,
    };
    match proof {
        Some(Proof::Works) => "proof",
        Some(Proof::Held) => "proof held",
        None => kind.word(),
    }
}
