//! One stop of a walked path as a small drawing: kinds of step are told by shape and by word, not by colour.
//!
//! Gates are a block with cut corners, readings a round, findings a double frame, ends a bar; everything else is a plain
//! frame. A line joins a stop to the one before and the one after.

use std::fmt::Write as _;

/// Width and height of the drawing, in pixels.
const SIZE: (f64, f64) = (96.0, 30.0);

/// The drawing of a stop; `kind` is one of the lexicon's words for steps.
#[must_use]
pub fn stop_mark(kind: &str, is_first: bool, is_last: bool) -> String {
    let (width, height) = SIZE;
    let middle = width / 2.0;
    let mut svg = format!(
        "<svg width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{}\">\
         <title>{}</title>",
        word(kind),
        word(kind)
    );
    if !is_first {
        let _ = write!(svg, "<path d=\"M{middle} 0V5\" stroke=\"#111\"/>");
    }
    if !is_last {
        let _ = write!(svg, "<path d=\"M{middle} 25V{height}\" stroke=\"#111\"/>");
    }
    svg.push_str(shape(kind));
    let _ = write!(
        svg,
        "<text x=\"{middle}\" y=\"19\" text-anchor=\"middle\" font-family=\"Arial, sans-serif\" font-size=\"11\" \
         fill=\"#111\">{}</text></svg>",
        word(kind)
    );
    svg
}

fn shape(kind: &str) -> &'static str {
    match kind {
        "gate" => {
            "<path d=\"M22 5H74L82 15L74 25H22L14 15Z\" fill=\"#fff\" stroke=\"#111\" stroke-width=\"2\"/>"
        }
        "read" => {
            "<rect x=\"14\" y=\"5\" width=\"68\" height=\"20\" rx=\"10\" fill=\"#fff\" stroke=\"#111\"/>"
        }
        "find" => {
            "<rect x=\"11\" y=\"3\" width=\"74\" height=\"24\" fill=\"#fff\" stroke=\"#111\"/>\
             <rect x=\"14\" y=\"6\" width=\"68\" height=\"18\" fill=\"#fff\" stroke=\"#111\"/>"
        }
        "close" | "refer" => {
            "<path d=\"M14 5H82V25H14Z\" fill=\"#fff\" stroke=\"#111\"/><path d=\"M14 25H82\" stroke=\"#111\" \
             stroke-width=\"4\"/>"
        }
        _ => "<rect x=\"14\" y=\"5\" width=\"68\" height=\"20\" fill=\"#fff\" stroke=\"#111\"/>",
    }
}

/// Only words known here are drawn.
fn word(kind: &str) -> &'static str {
    ["ask", "look", "read", "do", "gate", "find", "close", "refer"]
        .into_iter()
        .find(|w| *w == kind)
        .unwrap_or("step")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stranger_is_not_drawn() {
        assert!(!stop_mark("<script>", true, true).contains("script"));
        assert!(stop_mark("gate", false, false).contains(">gate<"));
    }
}
