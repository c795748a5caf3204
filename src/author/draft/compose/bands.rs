//! The answers and bands of one test, and why it stands where it does.

use std::collections::BTreeMap;

use super::super::choose::Candidate;
use super::super::parting::{Edges, Parting, cover};
use super::super::shown::Stretch;
use super::super::trial::What;
use super::super::ways::Path;
use super::super::{words, yaml};
use super::{Composer, Here};
use crate::machine::FaultId;
use crate::safety::State;
use crate::units::Measure;

/// A way out of a test: its outcome, the suspects that take it, and where it leads.
pub(super) type Out = (usize, Vec<usize>, String);

impl Composer<'_> {
    pub(super) fn test_lines(
        &mut self,
        candidate: &Candidate<'_>,
        ways: &mut Vec<Out>,
        after: &State,
    ) -> Vec<String> {
        let machine = self.ways.machine;
        let good = candidate.parting.and_then(|parting| good_value(candidate, parting));
        let mut lines = candidate.trial.lines(machine, good.as_deref());
        if let Some(parting) = candidate.parting {
            lines.push("bands:".to_owned());
            let healthy = parting.class.last().copied();
            if let Some(healthy) = healthy.filter(|class| ways.iter().all(|way| way.0 != *class)) {
                let go = self.all_good(after);
                ways.push((healthy, Vec::new(), go));
            }
            lines.extend(self.bands(candidate, parting, ways));
            return lines;
        }
        lines.push("answers:".to_owned());
        if matches!(candidate.trial.what, What::Look(_) | What::Sight(_)) {
            let (bad, good) = words::seen(&candidate.trial.what);
            for (outcome, _, go) in ways.iter() {
                let (id, text) = if *outcome == 1 { ("bad", bad) } else { ("good", good) };
                lines.push(format!("  {id}: {{text: {}, go: {go}}}", yaml::quoted(text)));
            }
            return lines;
        }
        lines.extend(said_lines(candidate, ways));
        lines
    }

    /// The same question asked at the machine, for whom the telephone cannot tell: the id of the first step there, or
    /// none if no gates lead to it.
    pub(super) fn asked_there(
        &mut self,
        candidate: &Candidate<'_>,
        ways: &[Out],
        state: &State,
    ) -> Option<String> {
        let ix = self.ways.rehearsal.asked_there(candidate.at)?;
        let mut path = Path { moves: Vec::new(), minutes: 0.0, state: state.clone() };
        self.ways.gates(&mut path, &self.ways.rehearsal.demands(ix))?;
        let mut lines = candidate.trial.lines_there(self.ways.machine)?;
        lines.push("answers:".to_owned());
        lines.extend(said_lines(candidate, ways));
        let id = self.write(&format!("{}-there", candidate.trial.id()), lines);
        Some(self.lead(&path, id))
    }

    pub(super) fn bands(&self, candidate: &Candidate<'_>, parting: &Parting, ways: &[Out]) -> Vec<String> {
        match parting.edges {
            Edges::Like => self.bands_alike(parting, ways),
            Edges::Numbers => self.bands_in_numbers(candidate, parting, ways),
        }
    }

    pub(super) fn bands_alike(&self, parting: &Parting, ways: &[Out]) -> Vec<String> {
        let healthy_at = parting.class.len() - 1;
        let healthy = parting.class[healthy_at];
        let mut lines = Vec::new();
        for (class, live, go) in ways {
            let is_good = *class == healthy;
            let good = parting.cover[healthy_at];
            let far: Vec<usize> =
                live.iter().copied().filter(|at| !is_good || !is_near(parting.cover[*at], good)).collect();
            let means = yaml::quoted(&self.meaning(live));
            if is_good {
                lines.push(format!("  - {{like: healthy, means: {means}, go: {go}}}"));
            }
            let names: Vec<&str> =
                self.suspects.faults(&far).into_iter().map(|f| self.fault_name(f)).collect();
            if !names.is_empty() {
                lines.push(format!("  - {{like: {}, means: {means}, go: {go}}}", yaml::list(names)));
            }
        }
        lines
    }

    pub(super) fn bands_in_numbers(
        &self,
        candidate: &Candidate<'_>,
        parting: &Parting,
        ways: &[Out],
    ) -> Vec<String> {
        let healthy_at = parting.class.len() - 1;
        let extent = |class: usize, live: &[usize]| {
            let own = live.iter().copied().chain((parting.class[healthy_at] == class).then_some(healthy_at));
            let covers: Vec<_> = own.map(|at| parting.cover[at]).filter(|c| c.low <= c.high).collect();
            cover(&covers)
        };
        let mut on_line: Vec<(f64, f64, &Vec<usize>, &String)> = ways
            .iter()
            .map(|(class, live, go)| {
                let extent = extent(*class, live);
                (extent.low, extent.high, live, go)
            })
            .collect();
        on_line.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut merged: Vec<(f64, f64, Vec<usize>, &String)> = Vec::new();
        for (low, high, live, go) in on_line {
            match merged.last_mut() {
                Some(last) if last.3 == go => {
                    last.1 = high;
                    last.2.extend(live);
                }
                _ => merged.push((low, high, live.clone(), go)),
            }
        }
        let on_line = merged;
        let is_ohms = matches!(candidate.trial.what, What::Ohms(..));
        let unit = match candidate.trial.what {
            What::Ohms(..) => Measure::Ohms,
            What::Amps(_) => Measure::Amps,
            _ => Measure::Volts,
        };
        let edges: Vec<String> =
            on_line.windows(2).map(|pair| written(unit, edge(pair[0].1, pair[1].0, is_ohms))).collect();
        let mut lines = Vec::new();
        for (at, (_, _, live, go)) in on_line.iter().enumerate() {
            let range = match (at.checked_sub(1).and_then(|at| edges.get(at)), edges.get(at)) {
                (None, Some(to)) => format!("below: {to}"),
                (Some(from), Some(to)) => format!("from: {from}, to: {to}"),
                (Some(from), None) => format!("above: {from}"),
                (None, None) => "above: 0".to_owned(),
            };
            lines.push(format!("  - {{{range}, means: {}, go: {go}}}", yaml::quoted(&self.meaning(live))));
        }
        lines
    }

    /// What is left after an answer, by the parts that it sits on.
    pub(super) fn meaning(&self, live: &[usize]) -> String {
        if live.is_empty() {
            return "as on a machine with nothing wrong".to_owned();
        }
        format!("left: {}", self.parts(live))
    }

    /// The parts that these suspects sit on, the likeliest first.
    pub(super) fn parts(&self, live: &[usize]) -> String {
        const MOST: usize = 6;
        let mut shares: BTreeMap<String, f64> = BTreeMap::new();
        for at in live {
            let suspect = self.suspects.list[*at];
            let part = crate::reason::repair_of(self.ways.machine, suspect.fault);
            *shares.entry(part).or_insert(0.0) += suspect.share;
        }
        let mut parts: Vec<(String, f64)> = shares.into_iter().collect();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        let named: Vec<&str> = parts.iter().take(MOST).map(|(part, _)| part.as_str()).collect();
        let more = parts.len().saturating_sub(MOST);
        if more > 0 { format!("{} and {more} more", named.join(", ")) } else { named.join(", ") }
    }

    pub(super) fn fault_name(&self, fault: FaultId) -> &str {
        &self.ways.machine.fault(fault).name
    }

    /// Why the test stands here: its minutes, and what it parts from what.
    pub(super) fn why(
        &self,
        candidate: &Candidate<'_>,
        path: &Path,
        ways: &[Out],
        here: &Here<'_>,
    ) -> Vec<String> {
        let before = if path.minutes > 0.0 {
            format!(", and {} for what must be done before it", minutes(path.minutes))
        } else {
            String::new()
        };
        let left = self.suspects.hundredths(here.live);
        let mut lines = vec![format!(
            "{}{before}. {} of 100 are left here, and this parts:",
            minutes(candidate.minutes),
            hundredths(left)
        )];
        for (_, live, _) in ways.iter().filter(|(_, live, _)| !live.is_empty()) {
            let part = hundredths(self.suspects.hundredths(live));
            lines.push(format!("  {part}  {}", self.parts(live)));
        }
        lines
    }
}

/// What a healthy machine shows, for people.
fn good_value(candidate: &Candidate<'_>, parting: &Parting) -> Option<String> {
    let value = parting.cover.last()?.value;
    let measure = match candidate.trial.what {
        What::Ohms(..) if value.is_infinite() => return Some("OL".to_owned()),
        What::Ohms(..) if value < 1.0 => return Some("below 1 ohm".to_owned()),
        What::Ohms(..) => Measure::Ohms,
        What::Amps(_) => Measure::Amps,
        _ if value.abs() < 0.05 => return Some("below 0.1 V".to_owned()),
        _ => Measure::Volts,
    };
    Some(format!("about {}", written(measure, two_digits(value))))
}

/// Readings within each other's uncertainty are alike.
fn is_near(one: Stretch, other: Stretch) -> bool {
    one.value.to_bits() == other.value.to_bits()
        || (one.value - other.value).abs() < (other.high - other.low) / 8.0
}

/// An edge between two stretches: in the middle, for ohms by ratio, at a round number if one lies there.
fn edge(low: f64, high: f64, by_ratio: bool) -> f64 {
    if high.is_infinite() {
        return two_digits(low.max(1.0) * 10.0);
    }
    let middle =
        if by_ratio && low > 0.0 && high > 0.0 { (low * high).sqrt() } else { f64::midpoint(low, high) };
    let round = two_digits(middle);
    if low < round && round < high { round } else { middle }
}

fn two_digits(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let power = 10_f64.powf(value.abs().log10().floor() - 1.0);
    (value / power).round() * power
}

/// A value as files write it.
fn written(measure: Measure, value: f64) -> String {
    let digits = |value: f64| {
        let text = format!("{value:.3}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    match measure {
        Measure::Ohms if value.abs() >= 1e6 => format!("{} Mohm", digits(value / 1e6)),
        Measure::Ohms if value.abs() >= 1e3 => format!("{} kohm", digits(value / 1e3)),
        Measure::Ohms => format!("{} ohm", digits(value)),
        Measure::Amps => format!("{} A", digits(value)),
        _ => format!("{} V", digits(value)),
    }
}

fn minutes(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    format!("{rounded} min")
}

fn hundredths(value: f64) -> String {
    if value < 1.0 { format!("{value:.1}") } else { format!("{value:.0}") }
}

/// The answers to a question that is tied to the model.
fn said_lines(candidate: &Candidate<'_>, ways: &[Out]) -> Vec<String> {
    let (yes, no) = candidate.trial.means();
    let line = |(outcome, _, go): &Out| {
        let (id, text, means) =
            if *outcome == 0 { ("so", words::YES, yes) } else { ("not-so", words::NO, no) };
        format!("  {id}: {{text: {}, means: {means}, go: {go}}}", yaml::both(text.0, text.1))
    };
    ways.iter().map(line).collect()
}
