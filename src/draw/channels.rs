//! The ways between boxes: level through the layers, upright in the gaps between them, so that no way crosses a box.
//!
//! A layer is a column of boxes as far apart as the widest of them; a way that passes a layer does so where the layout
//! left room for it. In a gap, all ways to one step share one upright line, and lines that would lie over one another
//! stand beside each other (the channel of Hashimoto & Stevens 1971, by the left edge); a gap is as wide as its lines
//! need.

use std::collections::BTreeMap;

use super::steps::{LINE, On, PAD, StepBox, WIDTH};
use crate::tree::StepIx;

/// Between upright lines of a gap.
const APART: f64 = 6.0;
/// From a box to the first line.
const STUB: f64 = 8.0;
/// From the last line to the next box: an arrow's tip, and a little.
const TIP: f64 = 14.0;
/// The least width of a gap.
const LEAST: f64 = 28.0;

/// A way out of a box, layer by layer.
struct Way {
    from: (usize, usize),
    to: StepIx,
    /// At each layer, from that of the box to that of the next, the height at which it goes through.
    stops: Vec<(usize, f64)>,
    /// Into a box of its own column, from its right.
    is_beside: bool,
}

/// What shares an upright line: the ways to one step, those from the left apart from those from the right.
type Line = (StepIx, bool);

/// Lays the ways, and moves the layers apart as far as the ways need.
pub(super) fn lay_ways(boxes: &mut [StepBox]) {
    let lefts = lefts(boxes);
    let ways = ways(boxes, &lefts);
    let gaps: Vec<BTreeMap<Line, usize>> = (0..lefts.len()).map(|gap| lines(&ways, gap)).collect();
    let mut left = lefts.first().copied().unwrap_or(0.0);
    let mut moved = Vec::new();
    for gap in &gaps {
        moved.push(left);
        let count = gap.values().max().map_or(0, |most| most + 1);
        left += WIDTH + (STUB + APART * as_f64(count) + TIP).max(LEAST);
    }
    for own in boxes.iter_mut() {
        own.corner.0 = moved[layer(&lefts, own.corner.0)];
    }
    for way in ways {
        let points = points(&way, &moved, &gaps);
        boxes[way.from.0].exits[way.from.1].on = On::Along(points);
    }
}

/// The left edges of the layers, in order.
fn lefts(boxes: &[StepBox]) -> Vec<f64> {
    let mut lefts: Vec<f64> = boxes.iter().map(|own| own.corner.0).collect();
    lefts.sort_by(f64::total_cmp);
    lefts.dedup_by(|next, before| *next - *before < 1.0);
    lefts
}

/// The layer of a box's left edge, or of a bend within it; the nearest one.
fn layer(lefts: &[f64], x: f64) -> usize {
    lefts.partition_point(|left| *left < x + 1.0).saturating_sub(1)
}

fn ways(boxes: &[StepBox], lefts: &[f64]) -> Vec<Way> {
    let mut all = Vec::new();
    for (at, own) in boxes.iter().enumerate() {
        for (nth, exit) in own.exits.iter().enumerate() {
            let (On::Along(bends), Some(to)) = (&exit.on, exit.to) else { continue };
            let next = &boxes[to.at()];
            let (first, last) = (layer(lefts, own.corner.0), layer(lefts, next.corner.0));
            let into = next.corner.1 + PAD + LINE / 2.0;
            let mut stops = vec![(first, own.corner.1 + exit.down)];
            for (between, left) in lefts.iter().enumerate().take(last).skip(first + 1) {
                let within = |x: f64| (left - 1.0..=left + WIDTH + 1.0).contains(&x);
                let bend = bends.iter().find(|bend| within(bend.0)).map(|bend| bend.1);
                stops.push((between, bend.unwrap_or_else(|| stops[stops.len() - 1].1)));
            }
            stops.push((last, into));
            all.push(Way { from: (at, nth), to, stops, is_beside: first == last });
        }
    }
    all
}

/// The upright parts of a way: the gap, and the heights between which it goes.
fn uprights(way: &Way) -> impl Iterator<Item = (usize, f64, f64)> {
    way.stops.windows(2).map(|pair| (pair[0].0, pair[0].1, pair[1].1))
}

/// For each line of a gap its number, counted from the left.
fn lines(ways: &[Way], gap: usize) -> BTreeMap<Line, usize> {
    let mut spans: BTreeMap<Line, (f64, f64)> = BTreeMap::new();
    for way in ways {
        for (_, one, other) in uprights(way).filter(|(own, ..)| *own == gap) {
            let span = spans.entry((way.to, way.is_beside)).or_insert((one, one));
            *span = (span.0.min(one).min(other), span.1.max(one).max(other));
        }
    }
    let mut order: Vec<(Line, (f64, f64))> = spans.into_iter().collect();
    // What comes back into its own column stands nearest to it.
    order.sort_by(|a, b| b.0.1.cmp(&a.0.1).then(a.1.0.total_cmp(&b.1.0)));
    let mut feet: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut numbers = BTreeMap::new();
    for (line, (top, foot)) in order {
        let is_free =
            |taken: &Vec<(f64, f64)>| taken.iter().all(|own| foot + APART < own.0 || own.1 + APART < top);
        let number = feet.iter().position(is_free).unwrap_or(feet.len());
        if number == feet.len() {
            feet.push(Vec::new());
        }
        feet[number].push((top, foot));
        numbers.insert(line, number);
    }
    numbers
}

/// The corners of a way, from its row to the next box.
fn points(way: &Way, lefts: &[f64], gaps: &[BTreeMap<Line, usize>]) -> Vec<(f64, f64)> {
    let (first, from) = way.stops[0];
    let mut points = vec![(lefts[first] + WIDTH, from)];
    for (gap, one, other) in uprights(way) {
        let number = gaps[gap].get(&(way.to, way.is_beside)).copied().unwrap_or(0);
        let x = lefts[gap] + WIDTH + STUB + APART * as_f64(number);
        if (one - other).abs() > 0.05 {
            points.extend([(x, one), (x, other)]);
        }
    }
    let (last, into) = way.stops[way.stops.len() - 1];
    points.push((lefts[last] + if way.is_beside { WIDTH } else { 0.0 }, into));
    points
}

fn as_f64(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}
