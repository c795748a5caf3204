//! The fault check: every fault that shows the symptom, walked through the tree.
//!
//! The machine is the example of the format; what each fault must come to is worked out by hand from
//! its circuits: the bar's input is pulled up to 5 V and grounded by the bar, the door's by the open
//! door, and the valve is fed when the one is low and the other high.

use loomwalk::diag::{FileId, Source};
use loomwalk::machine::{Machine, load_machine};
use loomwalk::reason::{FaultCheck, FaultOutcome, fault_check, repair_of};
use loomwalk::safety::Vocabulary;
use loomwalk::tree::{Tree, load};

const HEAD: &str = r#"
loomwalk: 1
tree: no-lift
title: No lift
symptom: {lift: fails, display: works}
setup: {key: "on", bar: down, door: shut}
start: bar-volts
steps:
"#;

const READINGS: &str = r"
  bar-volts:
    read: volts
    red: A1:7
    black: GND1
    power: live
    bands:
      - {below: 1.5 V, go: door-volts}
      - {from: 1.5 V, go: unplug}
  door-volts:
    read: volts
    red: A1:8
    black: GND1
    power: live
    bands:
      - {below: 3.5 V, go: door-low}
      - {above: 3.5 V, go: valve}
  unplug: {do: Unplug X14., unplugs: X14, go: wire-ohms}
  wire-ohms:
    read: ohms
    red: A1:7
    black: X14:3a
    power: isolated
    bands:
      - {below: 5 ohm, go: beyond}
      - {above: 5 ohm, go: wire-open}
  door-low: {find: [W35 grounded at pivot-clamp, S5 stuck closed], go: away}
  wire-open: {find: [W31 open, W31 open at pivot-clamp, W31 open at hose-crossing], go: away}
  away: {refer: Somebody else}
";

fn machine() -> Machine {
    load_machine(include_str!("machines/example.yaml"), FileId(0)).machine.expect("the example loads")
}

fn tree(steps: &str) -> Tree {
    let loaded = load(&Source::new("no-lift.yaml", format!("{HEAD}{READINGS}{steps}")), &());
    assert!(!loaded.problems.refused(), "{:#?}", loaded.problems.list());
    loaded.tree.expect("a tree")
}

struct Checked {
    machine: Machine,
    tree: Tree,
    check: FaultCheck,
}

fn checked(steps: &str) -> Checked {
    let (machine, tree) = (machine(), tree(steps));
    let check = fault_check(&tree, &machine, &Vocabulary::built_in());
    Checked { machine, tree, check }
}

impl Checked {
    fn of(&self, fault: &str) -> (&str, FaultOutcome) {
        let id = self.machine.fault_named(fault).expect("a fault");
        let end = self.check.by_fault.iter().find(|end| end.fault == id).expect("it shows the symptom");
        (&self.tree.step(end.end).id, end.outcome)
    }
}

const DEAD_ENDS: &str = "  beyond: {refer: Somebody else}\n  valve: {refer: Somebody else}\n";

#[test]
fn faults_end_where_their_readings_lead() {
    let checked = checked(DEAD_ENDS);
    assert_eq!(checked.of("W31 open at pivot-clamp"), ("wire-open", FaultOutcome::InGroup(3)));
    assert_eq!(checked.of("W35 grounded at pivot-clamp"), ("door-low", FaultOutcome::InGroup(2)));
    assert_eq!(checked.of("S5 stuck closed"), ("door-low", FaultOutcome::InGroup(2)));
    // Water between the two pins pulls the door's input low too: taken for another fault.
    assert_eq!(checked.of("X14:3 wet to X14:4").0, "door-low");
    assert_eq!(checked.of("S4 stuck open"), ("beyond", FaultOutcome::Unnamed));
    assert!(checked.check.healthy_finds.is_empty());
    // W31 grounded lets the arms lift: it does not show this symptom.
    let grounded = checked.machine.fault_named("W31 grounded at pivot-clamp").expect("a fault");
    assert!(checked.check.by_fault.iter().all(|end| end.fault != grounded));
    // A coil that is open or shorted does not pull in.
    assert_eq!(checked.of("Y1 open").0, "valve");
}

#[test]
fn figures_add_up_by_share() {
    let Checked { check, machine, .. } = checked(DEAD_ENDS);
    let figures = &check.figures;
    let grouped: usize = figures.found_in_group.values().sum();
    let others = figures.wrong + figures.no_branch + figures.unnamed + figures.depends;
    assert_eq!(figures.count, figures.found + grouped + others);
    assert_eq!(figures.found_in_group.get(&3), Some(&3));

    // Three breaks of one wire, 1 + 3 + 3, are one repair; the wire and the switch, 4 + 3, are not.
    let share = |name: &str| machine.fault(machine.fault_named(name).expect("a fault")).share;
    let wire = share("W31 open") + share("W31 open at pivot-clamp") + share("W31 open at hose-crossing");
    let door = share("W35 grounded at pivot-clamp") + share("S5 stuck closed");
    assert!((figures.one_repair.value() - wire / (wire + door)).abs() < 1e-12);
    let all: f64 = check.by_fault.iter().map(|end| end.share.value()).sum();
    assert!((figures.detected.value() - (wire + door) / all).abs() < 1e-12);
    assert!((figures.isolated[1].value() - door / (wire + door)).abs() < 1e-12);
    assert!((figures.isolated[2].value() - 1.0).abs() < 1e-12);
    // Isolated to L never falls with L (the cumulative form of MIL-HDBK-472, Notice 1, 1984).
    assert!(figures.isolated.windows(2).all(|pair| pair[0].value() <= pair[1].value()));
}

#[test]
fn an_answer_that_nothing_ties_makes_what_is_found_depend_on_it() {
    let checked = checked(
        "  beyond:\n    ask: Does the switch click?\n    answers:\n      yes: {text: It clicks, go: away}\n      no: {text: It does not, go: switch}\n\
           \x20 switch: {find: [S4 stuck open], go: away}\n  valve: {refer: Somebody else}\n",
    );
    assert_eq!(checked.of("S4 stuck open"), ("away", FaultOutcome::Depends));
    // W32 is beyond the plug too, and named nowhere.
    assert_eq!(checked.of("W32 open").1, FaultOutcome::Unnamed);
}

#[test]
fn a_look_is_tied_by_its_places() {
    let checked = checked(
        "  beyond:\n    look: The switch at the bar.\n    places: [S4]\n    answers:\n      bent: {text: Its arm is bent, go: switch}\n      well: {text: It is well, go: away}\n\
           \x20 switch: {find: [S4 stuck open], go: away}\n  valve: {refer: Somebody else}\n",
    );
    assert_eq!(checked.of("S4 stuck open"), ("switch", FaultOutcome::Found));
    assert_eq!(checked.of("W32 open").0, "away");
}

/// A gauge on the valve's port, which the machine file has no value for.
fn with_gauge(tells: &str) -> Checked {
    checked(&format!(
        "  valve:\n    read: pressure\n    at: gauge on the valve's port\n{tells}    bands:\n      - {{below: 5 bar, go: spool}}\n      - {{above: 5 bar, go: away}}\n\
           \x20 spool: {{find: [lift-spool-stuck], go: away}}\n  beyond: {{refer: Somebody else}}\n"
    ))
}

#[test]
fn a_gauge_is_tied_by_what_it_tells() {
    let tied = with_gauge("    tells: [lift-spool-stuck]\n");
    assert_eq!(tied.of("lift-spool-stuck"), ("spool", FaultOutcome::Found));
    assert_eq!(tied.of("Y1 open").0, "away", "another fault is not what the gauge tells");
    let open = with_gauge("");
    assert_eq!(open.of("lift-spool-stuck").1, FaultOutcome::Depends);
}

#[test]
fn a_find_that_names_another_is_wrong_and_one_that_cannot_occur_is_told() {
    let checked =
        checked("  beyond: {find: [X14:3 open], go: away}\n  valve: {find: [W35 open], go: away}\n");
    assert_eq!(checked.of("X14:3 open"), ("beyond", FaultOutcome::Found));
    // Not named anywhere, so not counted as taken for another.
    assert_eq!(checked.of("S4 stuck open"), ("beyond", FaultOutcome::Unnamed));
    let impossible: Vec<&str> =
        checked.check.impossible_finds.iter().map(|ix| checked.tree.step(*ix).id.as_str()).collect();
    assert_eq!(impossible, ["valve"], "the arms lift with the door's wire open");
    // The healthy machine has both inputs right, and walks into the find of W35.
    assert_eq!(checked.check.healthy_finds, checked.check.impossible_finds);
    // W35 open lets the arms lift with the door open, and nothing behind the find shows that it holds.
    let (fault, _) = checked.check.unproved_holds[0];
    assert_eq!(checked.machine.fault(fault).name, "W35 open");
}

#[test]
fn minutes_as_written_count_gates_steps_and_the_way_there() {
    // Every walk: one reading, 3 min; then another, or 2 min for the plug and 3 min for the ohms.
    let Checked { check, .. } = checked(DEAD_ENDS);
    let all: f64 = check.by_fault.iter().map(|end| end.share.value()).sum();
    let hand: f64 = check
        .by_fault
        .iter()
        .map(|end| end.share.value() * if end.minutes.value() > 7.0 { 8.0 } else { 6.0 })
        .sum();
    assert!((check.as_written.expect("faults").value() - hand / all).abs() < 1e-12);
    let gated = checked("  beyond: {gates: [park, lower-arms], go: away}\n  valve: {refer: Somebody else}\n");
    let beyond = gated.machine.fault_named("S4 stuck open").expect("a fault");
    let end = gated.check.by_fault.iter().find(|end| end.fault == beyond).expect("it shows");
    // Parking 2 min, lowering the arms 1 min.
    assert!((end.minutes.value() - 11.0).abs() < 1e-12, "{:?}", end.minutes);
}

#[test]
fn what_one_repair_puts_right_has_one_name() {
    let machine = machine();
    let repair = |name: &str| repair_of(&machine, machine.fault_named(name).expect("a fault"));
    assert_eq!(repair("W31 open"), repair("W31 open at pivot-clamp"));
    assert_eq!(repair("W31 open"), repair("W31 grounded at hose-crossing"));
    assert_ne!(repair("W31 open"), repair("W32 open"));
    assert_eq!(repair("X14:3 open"), repair("X14:3 resistive"));
    assert_ne!(repair("X14:3 open"), repair("X14:4 open"));
    assert_eq!(repair("A1:8 dead"), repair("A1 dead"));
}
