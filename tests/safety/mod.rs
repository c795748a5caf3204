//! The safety rules, gate by gate and rule by rule, and the safety check against all paths.

mod flow;
mod harm;
mod own;
mod spec;
mod table;
mod vectors;
mod ways;
mod words;
