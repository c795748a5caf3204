//! Events and the stepper: state and input to state and effects.
//!
//! Knows trees, conditions and what was recorded. Must not know a clock, a file or a screen: time comes with each event.

mod answers;
mod event;
mod moment;

pub use answers::{Answers, Entry, Says};
pub use event::{Code, Details, EndedAs, Event, Lapse, OwnReading, Walker};
pub use moment::Moment;
