//! Terminal, key table, theme, screens and widgets.
//!
//! Knows the stepper's pages, the recorded job, and how both look on a terminal; it is a door: clock, terminal and the
//! file of settings are read here. Must not know arguments. [`App`] takes keys with their moments and draws cells, so
//! that it runs in a test without a terminal; [`run`] is the loop around it.

mod app;
mod author;
mod clock;
mod effects;
#[cfg(not(unix))]
mod elsewhere;
mod frame;
mod keys;
mod message;
mod open_jobs;
mod screens;
mod session;
mod settings;
mod sheet;
mod suspects;
mod terminal;
mod theme;
#[cfg(unix)]
mod unix;
mod woke;
mod words;

pub use app::App;
pub use author::{
    AUTHOR_KEYS, Author, AuthorKey, AuthorMessage, AuthorPlace, AuthorPress, SharedSources, author_keys_at,
};
pub use clock::Clock;
pub use keys::{EVERYWHERE, EverywhereKey, KEYS, KeyRow, Place, Press, keys_at};
pub use message::Message;
pub use session::Surroundings;
pub use settings::{keep_meter, meter_kept, palette_kept};
pub use terminal::{Left, OnTerminal, holding_terminal, is_terminal, run};
pub use theme::{Letters, Palette};
