//! Events and the stepper: state and input to state and effects.
//!
//! Knows trees, conditions and what was recorded. Must not know a clock, a file or a screen: time comes with each event.
//! [`Walk::accept`] turns what a person says into events, [`Walk::apply`] folds them; nothing else changes a walk.

mod accept;
mod answers;
mod arrive;
mod circuit;
mod declined;
mod details;
mod event;
mod fold;
mod mend;
mod moment;
mod observed;
mod page;
mod place_words;
mod plausible;
mod redo;
mod script;
mod stands;
mod state;
mod words;

pub use accept::Input;
pub use answers::{Answers, Entry, Says};
pub use arrive::GateItem;
pub use declined::{Declined, unreadable};
pub use event::{CabStands, Code, Details, EndedAs, Event, Lapse, OwnReading, Walker};
pub use fold::Impossible;
pub use moment::Moment;
pub use page::{Choice, ItemLine, ItemState, Line, Page, PageKind};
pub use script::{Parted, Script, Turn};
pub use state::{AtGate, Confirmed, GateLog, Mend, NoteMade, Now, Outcome, Visit, Walk, WhyGate};
pub use words::{band_words, cab_words, repair_word, should_words};
