//! A fault at severities finer than its own: how bad it is lies anywhere between two neighbouring ones,
//! evenly by the logarithm, as far as the machine shows the symptom with it.
//!
//! Between neighbouring severities x < y the points x·(y/x)^(k/n), k = 0…n, are tried; the spans between
//! neighbouring points that both show the symptom are alike likely before anything is seen; where a neighbour does
//! not show it, the last that does is looked for between them. With
//! the fault's own severities alone, a slight fault that just shows the symptom read like none that is listed.

use crate::machine::Case;

/// Into how many parts what lies between two severities is split. Our choice, no source.
const PARTS: u32 = 4;

/// How often what lies between a point that shows the symptom and one that does not is halved.
const HALVINGS: u32 = 3;

/// A fault at its severities.
pub(super) struct Severities<'a, 'm> {
    /// The machine with it at each point that shows the symptom.
    pub(super) cases: Vec<Case<'a, 'm>>,
    /// Neighbouring points; one that stands alone is its own neighbour.
    pub(super) spans: Vec<(usize, usize)>,
}

impl<'a, 'm> Severities<'a, 'm> {
    /// The fault at one severity only.
    pub(super) fn at_one(case: Case<'a, 'm>) -> Self {
        Self { cases: vec![case], spans: vec![(0, 0)] }
    }

    /// The fault between its severities; `shown` puts it into the machine, and gives nothing where it does
    /// not show the symptom.
    pub(super) fn between(own: &[f64], shown: impl Fn(f64) -> Option<Case<'a, 'm>>) -> Self {
        let points = points(own);
        let mut tried: Vec<Option<Case<'a, 'm>>> = points.iter().map(|severity| shown(*severity)).collect();
        let mut all = Self { cases: Vec::new(), spans: Vec::new() };
        let mut at = 0;
        while at < points.len() {
            let run = tried[at..].iter().take_while(|case| case.is_some()).count();
            if run > 0 {
                let mut cases: Vec<Case<'a, 'm>> =
                    tried[at..at + run].iter_mut().filter_map(Option::take).collect();
                if let Some(next) = points.get(at + run) {
                    reach(&mut cases, edge((points[at + run - 1], *next), &shown));
                }
                if at > 0 {
                    cases.reverse();
                    reach(&mut cases, edge((points[at], points[at - 1]), &shown));
                }
                all.add(cases);
            }
            at += run.max(1);
        }
        all
    }

    fn add(&mut self, run: Vec<Case<'a, 'm>>) {
        let first = self.cases.len();
        self.cases.extend(run);
        let last = self.cases.len() - 1;
        self.spans.extend((first..last).map(|at| (at, at + 1)));
        if first == last {
            self.spans.push((first, first));
        }
    }

    /// The mean of what both ends of each span give.
    pub(super) fn by_span(&self, of: impl Fn(&Case<'a, 'm>) -> f64) -> Vec<f64> {
        let ends: Vec<f64> = self.cases.iter().map(of).collect();
        self.spans.iter().map(|(one, other)| 0.5 * (ends[*one] + ends[*other])).collect()
    }
}

/// The last severity that shows the symptom, between one that does and one that does not, and how far it is from
/// the one to the other by the logarithm.
fn edge<'a, 'm>(
    (from, not): (f64, f64),
    shown: impl Fn(f64) -> Option<Case<'a, 'm>>,
) -> Option<(f64, Case<'a, 'm>)> {
    let (mut last, mut low, mut high) = (None, 0.0, 1.0);
    for _ in 0..HALVINGS {
        let part = 0.5 * (low + high);
        match shown(from * (not / from).powf(part)) {
            Some(case) => {
                last = Some((part, case));
                low = part;
            }
            None => high = part,
        }
    }
    last
}

/// Lets a run of points reach to its edge: by a span more, or, where the edge is near, by a longer last one.
fn reach<'a, 'm>(run: &mut Vec<Case<'a, 'm>>, edge: Option<(f64, Case<'a, 'm>)>) {
    let Some((part, case)) = edge else { return };
    if part < 0.5 && run.len() > 1 {
        run.pop();
    }
    run.push(case);
}

/// A fault's own severities, rising, with the points between.
fn points(own: &[f64]) -> Vec<f64> {
    let mut own = own.to_vec();
    own.sort_by(f64::total_cmp);
    own.dedup();
    let mut points: Vec<f64> = Vec::new();
    for pair in own.windows(2) {
        points.push(pair[0]);
        if pair[0] > 0.0 {
            let part = |k: u32| pair[0] * (pair[1] / pair[0]).powf(f64::from(k) / f64::from(PARTS));
            points.extend((1..PARTS).map(part));
        }
    }
    points.extend(own.last());
    points
}

#[cfg(test)]
mod tests {
    use super::points;

    #[test]
    fn the_points_between_two_severities_lie_evenly_by_the_logarithm() {
        let found = points(&[16.0, 1.0]);
        assert_eq!(found.len(), 5);
        for (found, expected) in found.iter().zip([1.0, 2.0, 4.0, 8.0, 16.0]) {
            assert!((found - expected).abs() < 1e-12);
        }
        assert_eq!(points(&[0.0]), [0.0]);
    }
}
