//! Suspects as lines: at most so many, neighbours on one circuit folded together, what is ruled out left out.

use super::Whereabouts;
use crate::diag::Lang;
use crate::reason::chance::Probability;
use crate::reason::ranking::{Likely, RuledOut};

/// How a place is written that is none.
const NOWHERE: &str = "-";

/// One line along the wire.
#[derive(Debug, Clone, PartialEq)]
pub struct WireLine {
    /// The circuit; empty for what sits in none.
    pub circuit: String,
    /// The place, or the first and the last of several.
    pub spot: String,
    /// What is wrong there, in words.
    pub words: String,
    /// How probable it is, all that was folded together.
    pub probability: Probability,
    /// Is the leader in this line, and is it likeliest?
    pub likeliest: bool,
    /// Places in the list of suspects.
    pub suspects: Vec<usize>,
}

impl Whereabouts {
    /// The suspects that are left, in at most this many lines.
    #[must_use]
    pub fn lines(&self, most: usize, lang: &Lang) -> Vec<WireLine> {
        let left = self.suspects.iter().enumerate().filter(|(_, suspect)| !suspect.ruled_out);
        let mut lines: Vec<WireLine> = left
            .map(|(at, suspect)| WireLine {
                circuit: suspect.along.circuit.clone(),
                spot: suspect.along.spot.clone(),
                words: suspect.along.words.in_lang(lang).to_owned(),
                probability: suspect.probability,
                likeliest: suspect.likely == Likely::Likeliest,
                suspects: vec![at],
            })
            .collect();
        while lines.len() > most.max(1) {
            let at = least_pair(&lines);
            let next = lines.remove(at + 1);
            fold(&mut lines[at], next, lang);
        }
        lines
    }

    /// How many suspects are left.
    #[must_use]
    pub fn left(&self) -> usize {
        self.suspects.iter().filter(|suspect| !suspect.ruled_out).count()
    }
}

/// The neighbours that weigh least together; those on one circuit before those on two.
fn least_pair(lines: &[WireLine]) -> usize {
    let weight = |at: &usize| {
        let (one, other) = (&lines[*at], &lines[*at + 1]);
        let apart = if one.circuit == other.circuit { 0.0 } else { 1.0 };
        apart + one.probability.value() + other.probability.value()
    };
    (0..lines.len() - 1).min_by(|a, b| weight(a).total_cmp(&weight(b))).unwrap_or(0)
}

fn fold(line: &mut WireLine, next: WireLine, lang: &Lang) {
    line.probability = Probability(line.probability.value() + next.probability.value());
    line.likeliest |= next.likeliest;
    line.suspects.extend(next.suspects);
    // What sits in no circuit has neither a name nor a place to fold in.
    if line.circuit.is_empty() {
        line.circuit = next.circuit;
    } else if !next.circuit.is_empty() && line.circuit != next.circuit {
        line.circuit = format!("{}, {}", line.circuit, next.circuit);
    }
    let spots = [line.spot.as_str(), next.spot.as_str()].map(|spot| if spot == NOWHERE { "" } else { spot });
    line.spot = match spots {
        ["", ""] => NOWHERE.to_owned(),
        ["", one] | [one, ""] => one.to_owned(),
        [from, to] => {
            let first = from.split(" .. ").next().unwrap_or_default();
            let last = to.split(" .. ").last().unwrap_or_default();
            if first == last { first.to_owned() } else { format!("{first} .. {last}") }
        }
    };
    let count = line.suspects.len();
    line.words = if lang.code() == "es" { format!("{count} fallas") } else { format!("{count} faults") };
}

impl RuledOut {
    /// "ruled out 7 of 12 (41 of 100)".
    #[must_use]
    pub fn said(&self, lang: &Lang) -> String {
        let (faults, of, share) = (self.faults, self.of, 100.0 * self.share.value());
        if lang.code() == "es" {
            format!("descartadas {faults} de {of} ({share:.0} de 100)")
        } else {
            format!("ruled out {faults} of {of} ({share:.0} of 100)")
        }
    }
}
