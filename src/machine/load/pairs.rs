//! Which wires can touch, and which pins water can join.
//!
//! Wires touch where they run over one rub. Neighbouring pins are those nearest to each other on the
//! face among the pins in use, counted in rows and columns; without rows, those next in number.

use super::draft::Draft;
use crate::machine::model::ElementId;
use crate::machine::parts::Kind;
use std::collections::BTreeSet;

/// Most wires over one rub; every two of them are a pair.
const MOST_OVER_A_RUB: usize = 40;

impl Draft<'_> {
    pub(super) fn pair_up(&mut self) {
        self.pair_rubs();
        self.pair_pins();
    }

    fn pair_rubs(&mut self) {
        let rubs = std::mem::take(&mut self.rubs);
        for (name, wires) in &rubs {
            if wires.len() > MOST_OVER_A_RUB {
                let at = self.element_at[wires[0].0.at()].clone();
                self.problems.refuse("rub-crowded", at).says(
                    format!("{} wires run over the rub `{name}`; {MOST_OVER_A_RUB} are allowed", wires.len()),
                    "Every two of them could touch: more pairs than anyone can look for.",
                    "several rubs, each where its own wires run",
                );
                continue;
            }
            for (at, (later, _)) in wires.iter().enumerate() {
                for (earlier, _) in &wires[..at] {
                    let number = |wire: ElementId| self.rub_number(wire, name);
                    if let (Some(a), Some(b)) = (number(*later), number(*earlier)) {
                        self.parts.touching.push([(*later, a), (*earlier, b)]);
                    }
                }
            }
        }
        self.parts.touching.sort_unstable();
    }

    fn rub_number(&self, wire: ElementId, name: &str) -> Option<u32> {
        let Kind::Wire(wire) = &self.parts.element(wire).kind else { return None };
        wire.rubs.iter().position(|rub| rub.name == name).and_then(|at| u32::try_from(at).ok())
    }

    fn pair_pins(&mut self) {
        for connector in self.parts.connectors.clone() {
            let places: Vec<(ElementId, (usize, usize))> = connector
                .contacts
                .iter()
                .enumerate()
                .map(|(at, contact)| (*contact, self.on_face(&connector.rows, *contact, at)))
                .collect();
            let mut pairs = BTreeSet::new();
            for (pin, at) in &places {
                let far = |other: &(usize, usize)| at.0.abs_diff(other.0) + at.1.abs_diff(other.1);
                let others = || places.iter().filter(|(other, _)| other != pin);
                let Some(least) = others().map(|(_, place)| far(place)).min() else { continue };
                for (other, _) in others().filter(|(_, place)| far(place) == least) {
                    pairs.insert([(*pin).min(*other), (*pin).max(*other)]);
                }
            }
            self.parts.wet.extend(pairs);
        }
    }

    /// Row and column of a contact's pin; without rows, one row in the order of the numbers.
    fn on_face(&self, rows: &[Vec<String>], contact: ElementId, at: usize) -> (usize, usize) {
        let Kind::Contact { pin, .. } = &self.parts.element(contact).kind else { return (0, at) };
        for (row, pins) in rows.iter().enumerate() {
            if let Some(column) = pins.iter().position(|p| p == pin) {
                return (row, column);
            }
        }
        (0, pin.parse::<usize>().map_or(at, |number| number.min(1_000_000)))
    }
}
