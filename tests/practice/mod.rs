//! Practice: the machine in the yard, and who walks at it.

mod apprentices;
mod plain_account;
mod simulated;
mod sitting;

use std::sync::{Arc, LazyLock};

use loomwalk::machine::Machine;
use loomwalk::practice::Pool;
use loomwalk::tree::{Shipped, Walkable, examine};
use loomwalk::walk::Walk;

/// A shipped tree that may be walked.
fn shipped(name: &str) -> Walkable {
    let source = Shipped::named(name).expect("a shipped tree");
    examine(&source, &Shipped).walkable().expect("a tree that may be walked")
}

/// Its machine.
fn machine(course: &Walkable) -> Arc<Machine> {
    Arc::clone(course.tree().model.as_ref().expect("a machine"))
}

/// A tree with its machine and the faults that show its symptom, worked out once.
struct Yard {
    course: Walkable,
    family: Arc<Machine>,
    pool: Pool,
    /// A walk that has not begun; its copies share what was worked out for bands by likeness.
    walk: Walk,
}

static TERN: LazyLock<Yard> = LazyLock::new(|| {
    let course = shipped("tern/no-lift-no-tilt");
    let family = machine(&course);
    let pool = Pool::of(course.tree(), &family);
    let walk = Walk::new(&course);
    Yard { course, family, pool, walk }
});
