//! Logic as files write it: `all`, `any`, `not` over what is seen. No expression language.

use super::model::{ControlId, ControllerId, ElementId, InputId, Level, OutputId};
use super::power::Power;
use crate::units::Volts;

/// A statement about a machine's state.
#[derive(Debug, Clone, PartialEq)]
pub enum Logic {
    /// All of these hold; of none, yes.
    All(Vec<Logic>),
    /// At least one holds; of none, no.
    Any(Vec<Logic>),
    /// It does not hold.
    Not(Box<Logic>),
    /// An input is at this level.
    Input(InputId, Level),
    /// A control is in one of these states.
    Operator(ControlId, Vec<usize>),
    /// The power is one of these.
    Power(Vec<Power>),
    /// A load has pulled in.
    Load(ElementId),
    /// A controller is fed and awake.
    Fed(ControllerId),
    /// An output is on.
    Output(OutputId),
    /// Two inputs agree: their volts, or their sum and a fixed one, lie within this of each other.
    Agree {
        /// The two.
        inputs: [InputId; 2],
        /// What they add up to, for a pair that runs opposite ways.
        sum: Option<Volts>,
        /// How far apart they may be.
        within: Volts,
    },
}

/// What logic can see.
pub(super) trait Seen {
    fn level(&self, input: InputId) -> Option<Level>;
    fn volts(&self, input: InputId) -> Option<f64>;
    fn state(&self, control: ControlId) -> usize;
    fn power(&self) -> Power;
    fn pulled_in(&self, load: ElementId) -> bool;
    fn fed(&self, controller: ControllerId) -> bool;
    fn on(&self, output: OutputId) -> bool;
}

impl Logic {
    /// What always holds.
    pub(super) const ALWAYS: Self = Self::All(Vec::new());

    /// True if it holds in what is seen.
    pub(super) fn holds(&self, seen: &impl Seen) -> bool {
        match self {
            Self::All(parts) => parts.iter().all(|p| p.holds(seen)),
            Self::Any(parts) => parts.iter().any(|p| p.holds(seen)),
            Self::Not(part) => !part.holds(seen),
            Self::Input(input, level) => seen.level(*input) == Some(*level),
            Self::Operator(control, states) => states.contains(&seen.state(*control)),
            Self::Power(powers) => powers.contains(&seen.power()),
            Self::Load(load) => seen.pulled_in(*load),
            Self::Fed(controller) => seen.fed(*controller),
            Self::Output(output) => seen.on(*output),
            Self::Agree { inputs, sum, within } => {
                let pair = seen.volts(inputs[0]).zip(seen.volts(inputs[1]));
                pair.is_some_and(|(a, b)| {
                    let apart = sum.map_or(a - b, |sum| a + b - sum.value());
                    apart.abs() <= within.value()
                })
            }
        }
    }
}
