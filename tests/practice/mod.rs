//! Practice: the machine in the yard, and who walks at it.

mod simulated;

use std::sync::{Arc, LazyLock};

use loomwalk::machine::Machine;
use loomwalk::practice::Pool;
use loomwalk::tree::{Shipped, Walkable, examine};

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
}

static TERN: LazyLock<Yard> = LazyLock::new(|| {
    let course = shipped("tern/no-lift-no-tilt");
    let family = machine(&course);
    let pool = Pool::of(course.tree(), &family);
    Yard { course, family, pool }
});
