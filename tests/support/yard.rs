//! The machine in the yard: a tree, its machine, and the faults that show its symptom, worked out once.

use std::sync::Arc;

use loomwalk::machine::Machine;
use loomwalk::practice::Pool;
use loomwalk::tree::Walkable;
use loomwalk::walk::Walk;

/// What stands in the yard.
pub(crate) struct Yard {
    pub(crate) course: Walkable,
    pub(crate) family: Arc<Machine>,
    pub(crate) pool: Pool,
    /// A walk that has not begun; its copies share what was worked out for bands by likeness.
    pub(crate) walk: Walk,
}

impl Yard {
    pub(crate) fn of(course: Walkable) -> Self {
        let family = Arc::clone(course.tree().model.as_ref().expect("a machine"));
        let pool = Pool::of(course.tree(), &family);
        let walk = Walk::new(&course);
        Self { course, family, pool, walk }
    }
}
