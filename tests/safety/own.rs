//! What a machine file may add: it narrows, and it never redefines, removes or widens.

use loomwalk::diag::Text;
use loomwalk::safety::{
    CabKind, Change, Deed, Facet, Gate, GateId, LostBy, NAME_LIMIT, NamedKind, OwnCondition, OwnFault,
    OwnGate, OwnNeed, OwnSafety, OwnZone, Place, State, Vocabulary, Zone, changes, demands,
};
use loomwalk::units::Minutes;

fn s(text: &str) -> String {
    text.to_owned()
}

fn need(condition: &str, values: &[&str]) -> OwnNeed {
    OwnNeed { condition: s(condition), values: values.iter().map(|v| s(v)).collect() }
}

fn condition(name: &str, values: &[&str]) -> OwnCondition {
    let values = values.iter().map(|v| s(v)).collect();
    OwnCondition { name: s(name), values, at_start: vec![], lost_by: vec![] }
}

fn gate(name: &str, needs: Vec<OwnNeed>, sets: &[(&str, &str)]) -> OwnGate {
    let sets = sets.iter().map(|(c, v)| (s(c), s(v))).collect();
    OwnGate { name: s(name), needs, sets, items: vec![Text::plain("Pin in")], minutes: None }
}

fn zone(name: &str, needs: Vec<OwnNeed>) -> OwnZone {
    OwnZone { name: s(name), needs, minutes: Some(Minutes(1.0)) }
}

fn faults(own: &OwnSafety) -> Vec<OwnFault> {
    Vocabulary::new(own).err().unwrap_or_default()
}

fn with(conditions: Vec<OwnCondition>, gates: Vec<OwnGate>, zones: Vec<OwnZone>) -> OwnSafety {
    OwnSafety { cab: CabKind::Tilts, conditions, gates, zones }
}

#[test]
fn every_way_to_redefine_or_dangle_is_told() {
    let boom = || condition("boom", &["out", "in"]);
    let cases: Vec<(OwnSafety, &str)> = vec![
        (
            with(vec![condition("power", &["a", "b"])], vec![], vec![]),
            "condition power is built in and cannot be given another meaning",
        ),
        (
            with(vec![condition("hot", &["a", "b"])], vec![], vec![]),
            "condition hot is built in and cannot be given another meaning",
        ),
        (with(vec![boom(), boom()], vec![], vec![]), "condition boom is there twice"),
        (
            with(vec![condition("x", &["a"])], vec![], vec![]),
            "condition x needs between 2 and 16 different values",
        ),
        (
            with(vec![condition("x", &["a", "a"])], vec![], vec![]),
            "condition x needs between 2 and 16 different values",
        ),
        (
            with(vec![], vec![gate("g", vec![], &[("power", "off")])], vec![]),
            "gate g cannot set power: a gate of a machine file sets conditions of its own only",
        ),
        (
            with(vec![boom()], vec![gate("park", vec![], &[("boom", "in")])], vec![]),
            "gate park cannot set boom: a gate of a machine file sets conditions of its own only",
        ),
        (
            with(vec![boom()], vec![gate("g", vec![], &[("boom", "in"), ("boom", "out")])], vec![]),
            "gate g sets boom twice",
        ),
        (
            with(vec![], vec![gate("g", vec![], &[])], vec![]),
            "gate g needs something to set and at least one item to confirm",
        ),
        (
            with(vec![boom()], vec![gate("g", vec![need("slew", &["in"])], &[("boom", "in")])], vec![]),
            "gate g names condition slew, which there is not",
        ),
        (
            with(vec![boom()], vec![gate("g", vec![], &[("boom", "up")])], vec![]),
            "gate g: condition boom has no value up",
        ),
        (
            with(vec![], vec![], vec![zone("z", vec![need("cab", &["up"])])]),
            "zone z: condition cab has no value up",
        ),
        (
            with(vec![], vec![], vec![zone("z", vec![need("cab", &[])])]),
            "zone z allows condition cab no value at all",
        ),
        (with(vec![], vec![], vec![zone("z", vec![]), zone("z", vec![])]), "zone z is there twice"),
        (
            with(vec![], vec![], vec![OwnZone { minutes: Some(Minutes(f64::NAN)), ..zone("z", vec![]) }]),
            "the minutes of zone z must be a number from 0 up",
        ),
        (
            with(vec![], vec![], (0..257).map(|at| zone(&format!("z{at}"), vec![])).collect()),
            "more than 256 zones",
        ),
    ];
    for (own, expected) in cases {
        let told: Vec<String> = faults(&own).iter().map(ToString::to_string).collect();
        assert_eq!(told, [expected]);
    }
}

/// Tracked facts are the tool's: no need or gate of a machine file can speak of them.
#[test]
fn tracked_facts_are_out_of_reach() {
    for tracked in ["touched", "stuck", "left", "hot", "found", "repaired", "apart:X14"] {
        let own = with(vec![], vec![], vec![zone("z", vec![need(tracked, &["yes"])])]);
        assert_eq!(faults(&own).len(), 1, "{tracked}");
    }
}

/// A state in which everything built in that the zone or gate needs is so.
fn sound(vocabulary: &Vocabulary, deed: &Deed) -> State {
    let mut state = State::at_start(vocabulary);
    for demand in demands(deed, vocabulary) {
        for atom in demand.need.alternatives().first().expect("it can be met") {
            if let loomwalk::safety::Atom::Within(facet, values) = atom {
                state.apply(Change::Set(*facet, *values), vocabulary);
            }
        }
    }
    state
}

#[test]
fn needs_under_a_built_in_name_come_on_top() {
    let own = with(
        vec![condition("boom", &["out", "in"])],
        vec![gate("leave", vec![need("boom", &["in"])], &[])],
        vec![zone("under-arms", vec![need("boom", &["in"])])],
    );
    let vocabulary = Vocabulary::new(&own).expect("it only narrows");
    let boom = vocabulary.condition("boom").expect("added");
    let plain = Vocabulary::built_in();
    let leave = GateId::BuiltIn(Gate::Leave);
    for (deed, rule) in
        [(Deed::BeIn(Place::In(Zone::UnderArms)), "zone-need"), (Deed::Gate(leave), "gate-need")]
    {
        let (narrowed, ours) = (demands(&deed, &vocabulary), demands(&deed, &plain));
        assert_eq!(narrowed[..ours.len()], ours, "nothing of ours is lost");
        let mut state = sound(&vocabulary, &deed);
        assert!(narrowed.iter().all(|demand| demand.holds(&state, &vocabulary)));
        state.apply(Change::Unknown(boom), &vocabulary);
        let failing: Vec<&str> =
            narrowed.iter().filter(|d| !d.holds(&state, &vocabulary)).map(|d| d.rule.name()).collect();
        assert_eq!(failing, [rule]);
    }
    assert_eq!(leave.machine_items(&vocabulary), [Text::plain("Pin in")], "further items come after ours");
    assert_eq!(Gate::Leave.items().len(), 7);
    assert_eq!(Zone::UnderArms.minutes(&vocabulary), Minutes(1.0));
}

#[test]
fn nobody_goes_under_a_fixed_cab_and_it_is_always_down() {
    let own = OwnSafety { cab: CabKind::Fixed, ..OwnSafety::default() };
    let vocabulary = Vocabulary::new(&own).expect("nothing added");
    let down = loomwalk::safety::Cab::Down.only();
    let mut state = State::at_start(&vocabulary);
    assert!(state.is_within(Facet::CAB, down, &vocabulary));
    state.lapse(&vocabulary);
    assert!(state.is_within(Facet::CAB, down, &vocabulary));
    let raise = Deed::Gate(GateId::BuiltIn(Gate::RaiseCab));
    for (deed, rule) in
        [(raise, "gate-cab-fixed"), (Deed::BeIn(Place::In(Zone::UnderCab)), "under-cab-fixed")]
    {
        let found = demands(&deed, &vocabulary);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].rule.name(), rule);
        assert!(found[0].need.alternatives().is_empty(), "never");
    }
}

/// Without stands in the machine file nobody goes under the machine.
#[test]
fn under_the_machine_only_on_stands() {
    let under = Deed::BeIn(Place::In(Zone::UnderMachine));
    let stands = |vocabulary: &Vocabulary| {
        demands(&under, vocabulary)
            .into_iter()
            .find(|demand| demand.rule.name() == "under-machine-no-stands")
            .expect("always demanded")
    };
    assert!(stands(&Vocabulary::built_in()).need.alternatives().is_empty());
    for (values, can_be) in [(["none", "on"], true), (["none", "set"], false)] {
        let vocabulary = Vocabulary::new(&with(vec![condition("stands", &values)], vec![], vec![]))
            .expect("a sound condition");
        assert_eq!(stands(&vocabulary).need.alternatives().len(), usize::from(can_be));
    }
}

/// An own condition is lost by the engine's turning unless its file says otherwise.
#[test]
fn an_own_condition_is_lost_by_running_if_nothing_is_said() {
    let mut quiet = condition("latch", &["out", "in"]);
    quiet.lost_by = vec![LostBy::Moves(loomwalk::safety::Moves::Arms)];
    let own = with(vec![condition("boom", &["out", "in"]), quiet], vec![], vec![]);
    let vocabulary = Vocabulary::new(&own).expect("sound");
    let run_up = changes(&Deed::Gate(GateId::BuiltIn(Gate::RunUp)), &vocabulary);
    let facet = |name| vocabulary.condition(name).expect("added");
    assert!(run_up.contains(&Change::Unknown(facet("boom"))));
    assert!(!run_up.contains(&Change::Unknown(facet("latch"))));
}

#[test]
fn a_tree_with_more_names_than_the_check_keeps_is_told() {
    let mut vocabulary = Vocabulary::built_in();
    for at in 0..NAME_LIMIT {
        vocabulary.intern(NamedKind::Apart, &format!("X{at}")).expect("room");
    }
    vocabulary.intern(NamedKind::Apart, "X7").expect("known already");
    assert!(vocabulary.intern(NamedKind::Tied, "bar").is_err());
    let state = State::at_start(&vocabulary);
    let last = vocabulary.find(NamedKind::Apart, &format!("X{}", NAME_LIMIT - 1)).expect("kept");
    assert!(state.is_within(last, loomwalk::safety::Fact::No.only(), &vocabulary));
}

/// A state made before a name was learned holds nothing of it: never surely so, never surely not so.
#[test]
fn a_state_older_than_a_name_fails_closed() {
    let mut vocabulary = Vocabulary::built_in();
    let old = State::at_start(&vocabulary);
    for at in 0..64 {
        vocabulary.intern(NamedKind::Bridged, &format!("b{at}")).expect("room");
    }
    let last = vocabulary.find(NamedKind::Bridged, "b63").expect("kept");
    assert!(!old.is_within(last, vocabulary.all(last), &vocabulary));
    let none = loomwalk::safety::Atom::None(NamedKind::Bridged);
    assert!(!none.holds(&old, &vocabulary));
    assert!(none.holds(&State::at_start(&vocabulary), &vocabulary));
}
