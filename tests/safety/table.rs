//! Every gate and every rule, in every state of the machine that its words speak of.
//!
//! The expected needs and changes are those of [`super::spec`]; the machine is put into every
//! combination of values of the facets a line speaks of, known and not known.

use std::collections::BTreeSet;

use loomwalk::safety::{Deed, changes, changes_on_cannot, changes_on_undo, demands};

use super::spec::{self, FACETS, Masks, Spec};

/// Every way to set the facets that the line's needs speak of: each single value, and not known.
fn states(spec: &Spec) -> Vec<Masks> {
    let terms = spec.needs.iter().flat_map(|(_, any)| any.iter().flatten());
    let facets: BTreeSet<usize> = terms.map(|(facet, _)| *facet).collect();
    let mut states = vec![spec::at_start()];
    for facet in facets {
        let count = FACETS[facet].1.len();
        let mut choices: Vec<u8> = (0..count).map(|bit| 1 << bit).collect();
        choices.push(u8::try_from((1u32 << count) - 1).expect("few values"));
        let with = |state: &Masks| {
            choices
                .iter()
                .map(|choice| {
                    let mut next = *state;
                    next[facet] = *choice;
                    next
                })
                .collect::<Vec<_>>()
        };
        states = states.iter().flat_map(with).collect();
    }
    states
}

#[test]
fn each_deed_needs_what_its_rules_say_in_every_state() {
    let vocabulary = spec::vocabulary();
    let mut tried = 0;
    for spec in spec::all() {
        for masks in states(&spec) {
            let state = spec::state_of(&masks, &vocabulary);
            let expected: Vec<&str> = spec
                .needs
                .iter()
                .filter(|(_, any)| !spec::holds(any, &masks))
                .map(|(rule, _)| *rule)
                .collect();
            let failing: Vec<&str> = demands(&spec.deed, &vocabulary)
                .iter()
                .filter(|demand| !demand.holds(&state, &vocabulary))
                .map(|demand| demand.rule.name())
                .collect();
            assert_eq!(failing, expected, "{:?} at {masks:?}", spec.deed);
            tried += 1;
        }
    }
    assert!(tried > 3_000, "only {tried} states");
}

#[test]
fn what_is_missing_is_named_with_what_it_can_be() {
    let vocabulary = spec::vocabulary();
    for spec in spec::all() {
        for masks in states(&spec) {
            let state = spec::state_of(&masks, &vocabulary);
            for (demand, (_, any)) in demands(&spec.deed, &vocabulary).iter().zip(&spec.needs) {
                let expected: Vec<Vec<(&str, u8)>> = if spec::holds(any, &masks) {
                    vec![]
                } else {
                    let fails = |(facet, allowed): &&(usize, u8)| !spec::surely((*facet, *allowed), &masks);
                    let named = |(facet, _): &(usize, u8)| (FACETS[*facet].0, masks[*facet]);
                    any.iter().map(|all| all.iter().filter(fails).map(named).collect()).collect()
                };
                let missing = demand.missing(&state, &vocabulary);
                let told: Vec<Vec<(&str, u8)>> = missing
                    .iter()
                    .map(|all| {
                        let name = |m: &loomwalk::safety::Missing| {
                            let bits = m.can_be.places().fold(0, |bits, place| bits | 1u8 << place);
                            (vocabulary.name(m.facet), bits)
                        };
                        all.iter().map(name).collect()
                    })
                    .collect();
                assert_eq!(told, expected, "{:?}", spec.deed);
            }
        }
    }
}

#[test]
fn each_deed_changes_what_its_rules_say_and_nothing_else() {
    let vocabulary = spec::vocabulary();
    let all_known: Vec<Masks> = (0..4u32)
        .map(|shift| {
            std::array::from_fn(|facet| {
                let count = u32::try_from(FACETS[facet].1.len()).expect("few values");
                1 << (shift % count)
            })
        })
        .collect();
    for spec in spec::all() {
        for masks in all_known.iter().chain([&spec::at_start()]) {
            for (is_done, changes) in [
                (true, changes(&spec.deed, &vocabulary)),
                (false, changes_on_cannot(&spec.deed, &vocabulary)),
            ] {
                let mut state = spec::state_of(masks, &vocabulary);
                state.apply_all(&changes, &vocabulary);
                let expected = spec::after(&[&spec], is_done, masks);
                assert_eq!(spec::masks_of(&state, &vocabulary), expected, "{:?} done: {is_done}", spec.deed);
            }
        }
    }
}

/// Going back gives nothing back: what a gate that was begun sets is not known.
#[test]
fn going_back_over_a_gate_makes_not_known_what_it_sets() {
    let vocabulary = spec::vocabulary();
    for spec in spec::gates() {
        let Deed::Gate(gate) = spec.deed else { panic!("a gate") };
        let before = spec::after(&[&spec], true, &spec::at_start());
        let mut state = spec::state_of(&before, &vocabulary);
        state.apply_all(&changes_on_undo(gate, &vocabulary), &vocabulary);
        let mut expected = spec::after(&[&spec], false, &before);
        let (stuck, no) = spec::term("stuck=no");
        expected[stuck] = no;
        assert_eq!(spec::masks_of(&state, &vocabulary), expected, "{}", gate.name(&vocabulary));
    }
}

#[test]
fn at_the_start_hardly_anything_is_known() {
    let vocabulary = spec::vocabulary();
    let state = loomwalk::safety::State::at_start(&vocabulary);
    assert_eq!(spec::masks_of(&state, &vocabulary), spec::at_start());
}

/// After a pause every condition is not known; what steps left apart or tied may be otherwise now,
/// bridges and fitted leads must still be taken off.
#[test]
fn a_lapse_forgets_conditions_and_keeps_what_must_be_undone() {
    let vocabulary = spec::vocabulary();
    let mut masks = spec::at_start();
    let set = |masks: &mut Masks, text: &str| {
        for text in text.split_whitespace() {
            let (facet, value) = spec::term(text);
            masks[facet] = value;
        }
    };
    set(&mut masks, "power=isolated cab=supported arms=down pressure=released parked=yes lock=on whole=no");
    set(&mut masks, "touched=yes stuck=no left=yes hot=yes found=yes repaired=yes slew-lock=in stands=on");
    set(&mut masks, "apart:X1=yes apart:X2=no tied:bar=yes bridged:b=yes fitted:B+=yes");
    let mut expected = masks;
    set(&mut expected, "power=? cab=? arms=? pressure=? parked=? lock=? whole=? left=? hot=?");
    set(&mut expected, "slew-lock=? stands=? apart:X1=? tied:bar=?");
    let mut state = spec::state_of(&masks, &vocabulary);
    state.lapse(&vocabulary);
    assert_eq!(spec::masks_of(&state, &vocabulary), expected);
}

/// A name the vocabulary never learned is never in force, whatever the state.
#[test]
fn an_unknown_name_fails_closed() {
    let vocabulary = spec::vocabulary();
    let deed = Deed::ReadOhms { ends: vec!["X1".into(), "X99".into()] };
    let found = demands(&deed, &vocabulary);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule.name(), "name-unknown");
    let (isolated, value) = spec::term("power=isolated");
    let mut masks = spec::at_start();
    masks[isolated] = value;
    assert!(!found[0].holds(&spec::state_of(&masks, &vocabulary), &vocabulary));
}
