//! Journal, recovery, archive, review, learning, and the report.
