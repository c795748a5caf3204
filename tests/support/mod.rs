//! What several modules of tests stand on.

pub(crate) mod apprentices;
pub(crate) mod failing_disk;
pub(crate) mod plain_readings;
pub(crate) mod plain_steps;
pub(crate) mod parallel;
pub(crate) mod yard;
