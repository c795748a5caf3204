//! A sitting prepared: the fault that an instructor names, the one that comes again, or one that is drawn.

use super::dice::Dice;
use super::hidden::{Level, Pool};
use super::history::{Again, comes_again, remembered};
use super::sitting::Sitting;
use super::specimen::{Specimen, Wanted};
use crate::diag::Lang;
use crate::job::{Holder, JournalError, RecordFault, Shelf};
use crate::machine::{FaultId, Machine};
use crate::tree::Walkable;

/// What is asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Asked {
    /// The same number is the same machine.
    pub seed: Option<u64>,
    /// An instructor's fault, by its name.
    pub fault: Option<String>,
    /// Which faults are drawn from.
    pub level: Level,
    /// The language.
    pub lang: String,
}

/// Why there is no sitting.
#[derive(Debug, thiserror::Error)]
pub enum NotPrepared {
    /// The tree has no machine file.
    #[error("this tree has no machine file, so there is no machine to practise on")]
    NoMachine,
    /// The machine has no such fault.
    #[error("{machine} has no fault `{name}`{}", meant(.near.as_deref()))]
    NoFault {
        /// The machine.
        machine: String,
        /// As asked for.
        name: String,
        /// What was probably meant.
        near: Option<String>,
    },
    /// The fault does not show the symptom of the tree.
    #[error("`{name}` does not show the symptom of this tree; these do: {some} …")]
    NoSymptom {
        /// As asked for.
        name: String,
        /// Some that do.
        some: String,
    },
    /// No fault does.
    #[error("no modelled fault shows the symptom of this tree")]
    Nothing,
    /// The shelf cannot be read or written.
    #[error(transparent)]
    Shelf(#[from] JournalError),
    /// The log cannot be begun.
    #[error(transparent)]
    Log(#[from] RecordFault),
}

fn meant(near: Option<&str>) -> String {
    near.map_or(String::new(), |near| format!("; `{near}` was probably meant"))
}

/// Draws the machine and begins the log.
///
/// # Errors
/// When there is no machine, no such fault, or the shelf cannot be written. Nothing is begun then.
pub fn prepared(
    course: &Walkable,
    shelf: &Shelf,
    asked: &Asked,
    holder: &Holder,
) -> Result<Sitting, NotPrepared> {
    let tree = course.tree();
    let family = tree.model.as_ref().ok_or(NotPrepared::NoMachine)?;
    let at = holder.since;
    let mut dice = Dice::new(asked.seed.unwrap_or_else(|| at.wall_ms.unsigned_abs()));
    let named = asked.fault.as_deref().map(|name| fault_named(family, name)).transpose()?;
    // A seed is a machine of its own, whatever was practised before.
    let again = match (&named, asked.seed) {
        (None, None) => {
            comes_again(&remembered(&shelf.read()?), &tree.id, &mut dice, &Lang::new(&asked.lang))
        }
        _ => None,
    };
    let level = asked.level;
    let pool = if level == Level::Rare { Pool::with_hidden(tree, family) } else { Pool::of(tree, family) };
    let of_again = |again: &Again| family.fault_named(&again.hidden);
    let fault = named.or_else(|| again.as_ref().and_then(of_again));
    let wanted = Wanted { fault, level, ..Wanted::default() };
    let specimen =
        Specimen::draw(tree, family, &pool, wanted, &mut dice).ok_or_else(|| match &asked.fault {
            Some(name) => NotPrepared::NoSymptom { name: name.clone(), some: some(&pool, family) },
            None => NotPrepared::Nothing,
        })?;
    let place = shelf.next(&at.date(), &tree.id)?;
    let sitting = Sitting::begin(course, (&place, holder), &asked.lang, specimen, dice)?;
    Ok(sitting.because(again.map(|again| again.why)))
}

/// What went wrong with the disk, in the words of practice: what lies there are logs, and a sitting is not gone on with.
#[must_use]
pub fn log_words(fault: &dyn std::fmt::Display) -> String {
    fault.to_string().replace("keep jobs", "keep logs").replace("--jobs DIR", "--logs DIR").replace(
        ", then go on with --resume",
        "; the log is yours as far as it came, and practice begins anew",
    )
}

fn fault_named(family: &Machine, name: &str) -> Result<FaultId, NotPrepared> {
    family.fault_named(name).ok_or_else(|| NotPrepared::NoFault {
        machine: family.name.clone(),
        name: name.to_owned(),
        near: family.nearest_fault(name).map(str::to_owned),
    })
}

fn some(pool: &Pool, family: &Machine) -> String {
    let names: Vec<&str> = pool.faults().take(3).map(|id| family.fault(id).name.as_str()).collect();
    names.join(", ")
}
