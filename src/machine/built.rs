//! One machine of the family as it was built: no two harnesses are cut to the same length.

use super::family::Machine;
use super::harness::Harness;
use super::parts::Kind;
use crate::units::Metres;

impl Machine {
    /// The same machine with every wire longer or shorter by its own factor, its rubs along with it. The factor is
    /// asked for by the wire's name, in file order.
    ///
    /// # Panics
    /// Never: lengths alone make no loop of sources.
    #[must_use]
    pub fn built(&self, mut factor: impl FnMut(&str) -> f64) -> Self {
        let mut parts = self.parts().clone();
        for element in &mut parts.elements {
            let Kind::Wire(wire) = &mut element.kind else { continue };
            let factor = factor(&element.name).clamp(0.1, 10.0);
            wire.length = Metres(wire.length.value() * factor);
            for rub in &mut wire.rubs {
                rub.along = Metres(rub.along.value() * factor);
            }
        }
        let harness = Harness::new(&parts).expect("lengths alone make no loop of sources");
        self.with_parts(parts, harness)
    }
}
