//! Journal, recovery, archive, review, learning, and the report.
//!
//! Knows the file behind a job and the folder of jobs, and is one of the few doors to the disk.
//! The journal is generic over what an event is. Must not know clocks, screens or arguments: the
//! time, the holder's name and the values of the environment are passed in.

mod archive;
mod copies;
mod journal;
mod kept;
mod learn;
mod name;
mod place;
mod summary;
mod replay;
mod recorded;
mod report;
mod review;
mod shelf;

pub use archive::{
    Archive, ArchiveJob, Brief, Facts, Repeat, Survey, Trace, TreeFacts, archive_html, archive_lines,
    copies_of, leader_was_found, survey, survey_briefly,
};
pub use copies::{Beside, Copies, Ends, JobFile, copies_among, gone_on_elsewhere};
pub use journal::{
    Act, Appendable, CHAIN_START, ChainHash, Comparison, Damage, DamageKind, Disk, FileLayer, Head, Held,
    Holder, Journal, JournalError, Lock, MAX_JOURNAL_BYTES, NotAHash, NotAHead, PrintedHead, Record,
    Recovered, Start, Torn, Verdict, read_journal, read_journal_by, recover, recover_by, rfc3339,
};
pub use kept::{Kept, KeptText, Opening};
pub use learn::{
    Counted, Learned, LearnedGroup, LearnedShare, NotCounted, NotPatched, PRIOR_JOBS, counted, learn,
    learned_json, learned_lines, patched,
};
pub use name::{JobName, NameError};
pub use place::{Environment, JOURNAL_ENDING, JobPlace, NoFolder, find_job, jobs_folder};
pub use recorded::{RecordFault, Recorded};
pub use replay::{ReplayFault, Replayed, replay};
pub use report::{JournalState, Reader, Remnant, Report, html, json, json_text, markdown};
pub use review::{
    CloseCall, GateReview, InForce, InVain, Names, Pass, Quicker, Review, RuledOutBy, SuspectAt, by_tree,
    item_minutes, own_minutes, review_json, review_lines, step_minutes_here,
};
pub use shelf::Shelf;
pub use summary::{Begun, Condition, Listable, Standing, Summary};
