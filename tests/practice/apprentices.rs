//! Scripted apprentices, a few seeded runs of what `cargo bench --bench practice` does a thousand times: who takes what
//! is suggested needs no more minutes than who follows the tree, and that one no more than who measures at random; and
//! nobody gets anywhere through an unsafe move.

use super::TERN;
use crate::support::apprentices::side_by_side;

#[test]
fn suggestions_are_as_quick_as_the_tree_and_the_tree_as_measuring_at_random() {
    let went = side_by_side(&TERN, &(1..4));
    let [suggested, by_tree, at_random] = &went.0;
    let table = went.table();
    // The same three machines each time; the expected minutes of all are held in `plan_tree`.
    assert!(suggested.mean() <= by_tree.mean() && by_tree.mean() <= at_random.mean(), "{table}");
    assert!(suggested.found == 3 && by_tree.found == 3, "{table}");
    // In so few runs it may be that nothing measured at random was safe; in a thousand some is.
    assert!(at_random.stopped > at_random.own && at_random.held_back > 0, "{table}");
    assert!(went.0.iter().all(|one| one.needing > 5), "{table}");
}
