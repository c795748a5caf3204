//! The journal: the file behind a job, only ever appended to.
//!
//! Invariants: an event is on the disk before [`Journal::append`] returns; no two programs write
//! one journal; nothing but going on with a job ever cuts anything, and then only a torn tail.

mod fault;
mod layer;
mod line;
mod moment;
mod platform;
mod recover;
mod verdict;
mod writer;

pub use fault::{Act, JournalError};
pub use layer::{Appendable, Disk, FileLayer, Holder, Lock, Start};
pub use line::{CHAIN_START, ChainHash, Head, NotAHash};
pub use moment::rfc3339;
pub use recover::{Damage, DamageKind, MAX_JOURNAL_BYTES, Record, Recovered, Torn, recover, recover_by};
pub use verdict::{Comparison, NotAHead, PrintedHead, Verdict};
pub use writer::{Held, Journal, read_journal, read_journal_by};
