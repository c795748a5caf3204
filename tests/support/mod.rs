//! What several modules of tests stand on.

pub(crate) mod failing_disk;
