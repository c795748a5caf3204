//! Circuits as SVG: each chain a line from left to right in the order of the current, the signs by IEC 60617 with the
//! word beside each; what meets elsewhere is named at the place where it meets.

use std::fmt::Write as _;

use super::line::{Line, Shape, Stand};
use super::markup::{escaped, text, wrapped};
use crate::diag::Lang;

const ROW: f64 = 116.0;
const MARGIN: f64 = 20.0;
const STYLE: &str = "text{font-family:Arial,Helvetica,sans-serif;font-size:10px;fill:#111;text-anchor:middle}\
.name{font-weight:bold}.title,.line{font-weight:bold;text-anchor:start}.title{font-size:14px}.word{font-style:italic}\
.ink{fill:none;stroke:#111;stroke-width:1.5}.body{fill:#fff;stroke:#111;stroke-width:1.5}.dot{fill:#111}";

/// Draws circuits, one below the other.
#[must_use]
pub fn circuit_svg(title: &str, lines: &[Line], lang: &Lang) -> String {
    let wide = |line: &Line| line.stands.iter().map(|stand| width(stand.shape)).sum::<f64>();
    let width = lines.iter().map(wide).fold(300.0, f64::max) + 2.0 * MARGIN;
    let rows = f64::from(u32::try_from(lines.len()).unwrap_or(u32::MAX));
    let height = rows * ROW + 3.0 * MARGIN;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
         viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" lang=\"{}\"><title>{}</title><style>{STYLE}</style>\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>",
        escaped(lang.code()),
        escaped(title)
    );
    text(&mut svg, (MARGIN, MARGIN), "title", title);
    for (line, nth) in lines.iter().zip(0_u32..) {
        let top = 1.5 * MARGIN + f64::from(nth) * ROW;
        let _ = write!(svg, "<g data-line=\"{}\">", escaped(&line.name));
        text(&mut svg, (MARGIN, top + 12.0), "line", &line.name);
        let mut x = MARGIN;
        for thing in &line.stands {
            stand(&mut svg, thing, (x, top + 48.0), lang);
            x += self::width(thing.shape);
        }
        svg.push_str("</g>");
    }
    svg.push_str("</svg>\n");
    svg
}

const fn width(shape: Shape) -> f64 {
    match shape {
        Shape::Wire => 150.0,
        Shape::Place | Shape::Pin | Shape::Ground => 84.0,
        _ => 96.0,
    }
}

/// One thing: its name above, its sign on the line, its word, title and worth below.
fn stand(svg: &mut String, stand: &Stand, (x, y): (f64, f64), lang: &Lang) {
    let wide = width(stand.shape);
    let middle = x + wide / 2.0;
    let _ = write!(
        svg,
        "<g data-stand=\"{}\" data-box=\"{x:.1} {:.1} {wide:.1} {:.1}\"><title>{}</title>",
        escaped(&stand.name),
        y - 24.0,
        ROW - 32.0,
        escaped(&stand.name)
    );
    sign(svg, stand.shape, (x, y), wide);
    text(svg, (middle, y - 14.0), "name", &stand.name);
    let mut below = vec![("word", stand.shape.word().in_lang(lang).to_owned())];
    let title = stand.title.as_ref().map_or("", |title| title.in_lang(lang));
    let columns = if stand.shape == Shape::Wire { 26 } else { 16 };
    below.extend(wrapped(title, columns, 2).into_iter().map(|line| ("says", line)));
    below.extend(wrapped(&stand.detail, columns, 2).into_iter().map(|line| ("says", line)));
    if !stand.meets.is_empty() && stand.shape != Shape::Ground {
        let others = wrapped(&format!("{} {}", to(lang), stand.meets.join(", ")), columns, 2);
        below.extend(others.into_iter().map(|line| ("says", line)));
    }
    let from = if stand.rubs.is_empty() { y + 21.0 } else { y + 35.0 };
    for ((class, line), nth) in below.iter().take(4).zip(0_u32..) {
        text(svg, (middle, from + 11.0 * f64::from(nth)), class, line);
    }
    for (rub, nth) in stand.rubs.iter().zip(0_u32..) {
        let at = x + wide * (0.1 + 0.8 * rub.share);
        let _ = write!(
            svg,
            "<path class=\"ink\" d=\"M{:.1} {:.1}L{:.1} {:.1}M{:.1} {:.1}L{:.1} {:.1}\"/>",
            at - 4.0,
            y - 4.0,
            at + 4.0,
            y + 4.0,
            at - 4.0,
            y + 4.0,
            at + 4.0,
            y - 4.0
        );
        // Two names beside each other would run into one another.
        let lift = if nth % 2 == 0 { 14.0 } else { 24.0 };
        text(svg, (at, y + lift), "says", &rub.name);
    }
    svg.push_str("</g>");
}

fn to(lang: &Lang) -> &'static str {
    if lang.code() == "es" { "a" } else { "to" }
}

fn sign(svg: &mut String, shape: Shape, (x, y): (f64, f64), wide: f64) {
    let (middle, right) = (x + wide / 2.0, x + wide);
    let through = |svg: &mut String| line(svg, (x, y), (right, y));
    let leads = |svg: &mut String, half: f64| {
        line(svg, (x, y), (middle - half, y));
        line(svg, (middle + half, y), (right, y));
    };
    let body = |svg: &mut String, half: f64, high: f64| {
        let _ = write!(
            svg,
            "<rect class=\"body\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{high:.1}\"/>",
            middle - half,
            y - high / 2.0,
            2.0 * half
        );
    };
    match shape {
        Shape::Wire => through(svg),
        Shape::Place | Shape::Joint => {
            through(svg);
            let class = if shape == Shape::Joint { "body" } else { "dot" };
            let _ = write!(svg, "<circle class=\"{class}\" cx=\"{middle:.1}\" cy=\"{y:.1}\" r=\"4\"/>");
        }
        Shape::Pin => {
            through(svg);
            body(svg, 6.0, 12.0);
        }
        Shape::Ground => {
            line(svg, (x, y), (middle, y));
            line(svg, (middle, y), (right, y));
            for (nth, half) in [(0_u32, 9.0), (1, 6.0), (2, 3.0)] {
                let down = y + 4.0 + 3.0 * f64::from(nth);
                line(svg, (middle - half, down), (middle + half, down));
            }
        }
        Shape::Contact => {
            leads(svg, 3.0);
            for at in [middle - 3.0, middle + 3.0] {
                let _ = write!(
                    svg,
                    "<path class=\"ink\" d=\"M{:.1} {:.1}L{at:.1} {y:.1}L{:.1} {:.1}\"/>",
                    at - 6.0,
                    y - 6.0,
                    at - 6.0,
                    y + 6.0
                );
            }
        }
        Shape::Switch => {
            leads(svg, 14.0);
            line(svg, (middle - 14.0, y), (middle + 12.0, y - 11.0));
        }
        Shape::Fuse => {
            body(svg, 16.0, 10.0);
            through(svg);
        }
        Shape::Load => {
            leads(svg, 15.0);
            body(svg, 15.0, 20.0);
        }
        Shape::Resistor => {
            leads(svg, 18.0);
            body(svg, 18.0, 9.0);
        }
        Shape::Diode => {
            through(svg);
            let _ = write!(
                svg,
                "<path class=\"body\" d=\"M{:.1} {:.1}L{:.1} {y:.1}L{:.1} {:.1}Z\"/>",
                middle - 6.0,
                y - 6.0,
                middle + 6.0,
                middle - 6.0,
                y + 6.0
            );
            line(svg, (middle + 6.0, y - 6.0), (middle + 6.0, y + 6.0));
        }
        Shape::Source => {
            leads(svg, 4.0);
            line(svg, (middle - 4.0, y - 5.0), (middle - 4.0, y + 5.0));
            line(svg, (middle + 4.0, y - 10.0), (middle + 4.0, y + 10.0));
        }
    }
}

fn line(svg: &mut String, from: (f64, f64), to: (f64, f64)) {
    let _ = write!(svg, "<path class=\"ink\" d=\"M{:.1} {:.1}L{:.1} {:.1}\"/>", from.0, from.1, to.0, to.1);
}
