//! Helps who writes trees and machine files: `check` as one function, a drafted tree, the phone sheet, the schemas for editors.
//!
//! Knows files and what is wrong with them. Must not know a screen, a disk or a walk.

mod check;
mod draft;
mod faults;
mod overview;
mod phone;
mod schema;
mod shared;

pub use check::{Report, check, kind_of};
pub use draft::{DraftError, Wanted, draft};
pub use faults::{FaultsTold, check_faults};
pub use overview::{Noticed, Overview, StepSeen, overview};
pub use phone::{Item, PhoneSheet, Question, phone_html, phone_sheet, phone_text};
pub use schema::{machine_schema, shared_schema, tree_schema};
