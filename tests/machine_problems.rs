//! Mistakes in a machine file: each told in its place, all at once; and no text makes the loader or
//! the solver fail.

use crate::machine::EXAMPLE;
use loomwalk::diag::{FileId, Files, Locator, Source, Weight};
use loomwalk::machine::{Probes, Today, load_machine};
use proptest::prelude::*;

/// Rules told for a text, each with the text of its line.
fn told(text: &str) -> Vec<(&'static str, Weight, String)> {
    let mut files = Files::default();
    let id = files.add(Source::new("machine.yaml", text));
    let loaded = load_machine(text, id);
    let mut locator = Locator::new(&files);
    loaded
        .problems
        .list()
        .iter()
        .map(|p| {
            let span = locator.span(&p.place);
            let line = locator.position(id, span.start).line;
            for part in [&p.wrong, &p.at_machine, &p.write] {
                assert!(!part.is_empty(), "{} says all three things", p.rule);
            }
            (p.rule, p.weight, text.lines().nth(line - 1).unwrap_or_default().trim().to_owned())
        })
        .collect()
}

/// The example with one change must tell this rule on the line that holds this text, and be refused.
fn refused(from: &str, to: &str, rule: &str, line: &str) {
    assert!(EXAMPLE.contains(from), "the example has `{from}`");
    let text = EXAMPLE.replacen(from, to, 1);
    let all = told(&text);
    let found =
        all.iter().any(|(r, weight, at)| *r == rule && *weight == Weight::Refused && at.contains(line));
    assert!(found, "`{to}` tells {rule} at `{line}`: {all:#?}");
    assert!(load_machine(&text, FileId(0)).machine.is_none(), "`{to}` is refused");
}

#[test]
fn the_example_itself_has_warnings_only() {
    let all = told(EXAMPLE);
    assert!(all.iter().all(|(_, weight, _)| *weight == Weight::Warning), "{all:#?}");
}

#[test]
fn each_mistake_is_told_in_its_place() {
    refused(
        "    - point: B+\n",
        "    - point: B+\n    - {source: G1, volts: 14 V}\n    - point: B-\n    - point: B+\n",
        "source-loop",
        "source: G1",
    );
    refused(
        "    - {wire: W4, size: 1.5 mm2, length: 0.7 m, zone: under-cab}\n    - ground: GND1",
        "    - {wire: W4, size: 1.5 mm2, length: 0.7 m, zone: under-cab}",
        "floating-controller",
        "A1:",
    );
    refused("    - pin: A1:1\n", "", "floating-controller", "A1:");
    refused("length: 0.8 m", "length: 0 m", "zero-length-wire", "W32");
    refused("hose-crossing: 1.6 m", "hose-crossing: 1.9 m", "rub-beyond-wire", "hose-crossing");
    refused("hose-crossing: 1.6 m", "hose-crossing: 1.2 m", "rub-twice", "hose-crossing");
    refused("hose-crossing: 1.6 m", "hose-crossing: 0 m", "wrong-quantity", "hose-crossing");
    refused("- pin: A1:7", "- pin: A1:70", "unknown-pin", "A1:70");
    refused("- pin: A1:7", "- pin: A2:7", "dangling-name", "A2:7");
    refused("contact: X14:3", "contact: X14:9", "unknown-pin", "X14:9");
    refused("contact: X14:3", "contact: X14", "unknown-pin", "X14");
    refused("contact: X14:4", "contact: X15:4", "dangling-name", "X15:4");
    refused("{fuse: F7, rating: 10 A,", "{fuse: F7,", "missing-key", "F7");
    refused("wire: W36", "wire: W35", "name-used-twice", "W35");
    refused("ground: GND0", "ground: W1", "name-used-twice", "W1");
    refused("name: door, pull-up", "name: bar, pull-up", "name-used-twice", "name: bar");
    refused("closed: {bar: down}", "closed: {bra: down}", "dangling-name", "bra");
    refused("closed: {bar: down}", "closed: {bar: dwon}", "dangling-name", "dwon");
    refused("ohms: 8.2 ohm", "ohms: 8.2 V", "wrong-quantity", "8.2 V");
    refused("ohms: 8.2 ohm, ", "", "missing-key", "Y1");
    refused(
        "    - point: B+\n",
        "    - point: B+\n    - {source: G1, volts: 1 V, most: 10 A}\n",
        "missing-key",
        "most: 10 A",
    );
    refused("size: 35 mm2", "size: 35", "wrong-quantity", "W1");
    refused("isolator: S0", "isolator: W1", "dangling-name", "isolator");
    refused("load: Y1}]", "load: Y2}]", "dangling-name", "Y2");
    refused(
        "load: Y1, ohms: 8.2 ohm, pulls-in: 7.5 V",
        "load: Y1, ohms: 8.2 ohm",
        "load-without-pull-in",
        "works",
    );
    refused("fed: A1}", "fed: A3}", "dangling-name", "A3");
    refused("low: {below: 1.5 V}", "low: {below: 4.5 V}", "limits-crossed", "4.5 V");
    refused("{input: {bar: low}}", "{input: {bar: lwo}}", "dangling-name", "lwo");
    refused("{any: [{operator: {bar: up}}, ", "{any: [{input: {bar: low}}, ", "held-when", "held-when");
    refused(
        "W31 grounded at pivot-clamp: {share: 6}",
        "W31 grounded at pivot-calmp: {share: 6}",
        "dangling-name",
        "calmp",
    );
    refused("stops: [lift]", "stops: [lft]", "dangling-name", "lft");
    refused("share: 6", "share: -6", "wrong-quantity", "-6");
    refused("zone: cab-floor, view", "zone: cab-flor, view", "dangling-name", "cab-flor");
    refused("loomwalk: 1", "loomwalk: 2", "format-version", "loomwalk: 2");
    refused("drives: plus", "drives: up", "unknown-word", "drives: up");
    refused("{switch: S4,", "{swtich: S4,", "chain-item", "swtich");
    refused("fmi: 4", "fmi: 40", "wrong-quantity", "fmi: 40");
    refused("minus: A1:2", "minus: A1:1", "floating-controller", "fed:");
    refused("on\": [live, running]", "on\": [alive]", "dangling-name", "alive");
}

#[test]
fn problems_are_told_all_at_once() {
    let text = EXAMPLE
        .replacen("length: 0.8 m", "length: 0 m", 1)
        .replacen("- pin: A1:7", "- pin: A1:70", 1)
        .replacen("rating: 10 A", "rating: 10 V", 1);
    let rules: Vec<&str> = told(&text).iter().map(|(rule, ..)| *rule).collect();
    for rule in ["zero-length-wire", "unknown-pin", "wrong-quantity"] {
        assert!(rules.contains(&rule), "{rule} in {rules:?}");
    }
    assert!(!rules.contains(&"floating-controller"), "what follows from a mistake is not told: {rules:?}");
}

/// Whatever loads is computed: every fault at every point, finite numbers only.
fn compute(text: &str) -> Result<(), TestCaseError> {
    let loaded = load_machine(text, FileId(0));
    let Some(machine) = loaded.machine else { return Ok(()) };
    let day = machine.day(Today::default());
    let Ok(setup) = machine.setup(&[], None) else { return Ok(()) };
    let rig = day.rig(&setup);
    for fault in machine.fault_ids().take(40) {
        let case = day.case(&[machine.knot(fault, None)]);
        let settled = case.settle(&rig);
        let meter = case.ohmmeter(&rig);
        for red in machine.point_ids() {
            let probes = Probes { red, black: machine.frame() };
            let shown = settled.volts(probes);
            prop_assert!(shown.least.value().is_finite() && shown.most.value().is_finite());
            prop_assert!(meter.ohms(probes).is_none_or(|ohms| ohms.value().is_finite()));
        }
    }
    Ok(())
}

/// Pieces that stand in machine files, to be put where they do not belong.
const PIECES: [&str; 14] = [
    "0",
    "-1 V",
    "1e30 ohm",
    "{",
    "]",
    "frame",
    "B+",
    "W31",
    "A1:7",
    "{any: []}",
    "0.0001 mohm",
    "99999999 ohm",
    "[live]",
    "\u{202e}",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn no_mutated_file_makes_it_fail(cuts in prop::collection::vec((any::<prop::sample::Index>(), 0usize..30, 0usize..14), 1..4)) {
        let mut text = EXAMPLE.to_owned();
        for (at, length, piece) in cuts {
            let starts: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
            let start = starts[at.index(starts.len())];
            let end = text[start..].char_indices().map(|(i, _)| start + i).nth(length).unwrap_or(text.len());
            text.replace_range(start..end, PIECES[piece]);
        }
        compute(&text)?;
    }

    #[test]
    fn no_swapped_lines_make_it_fail(swaps in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..3)) {
        let mut lines: Vec<&str> = EXAMPLE.lines().collect();
        for (a, b) in swaps {
            let (a, b) = (a.index(lines.len()), b.index(lines.len()));
            lines.swap(a, b);
        }
        compute(&lines.join("\n"))?;
    }
}

/// A file of this many things loads, or is refused, without holding anyone up.
fn loads_soon(text: &str) -> bool {
    let begun = std::time::Instant::now();
    let loaded = load_machine(text, FileId(0));
    assert!(begun.elapsed().as_secs() < 20, "it took {:?}", begun.elapsed());
    loaded.machine.is_some()
}

#[test]
fn a_very_large_file_does_not_hold_anyone_up() {
    use std::fmt::Write as _;
    let head = "loomwalk: 1\nmachine: big\ntitle: big\nsupply: {volts: 12 V, ohms: 5 mohm}\ncircuits:\n";
    let mut long = format!("{head}  one:\n    - point: B+\n");
    let mut star = head.to_owned();
    let (mut slips, mut crowded) = (head.to_owned(), head.to_owned());
    for at in 0..1_500 {
        writeln!(long, "    - {{wire: W{at}, size: 1 mm2, length: 1 m}}").expect("a line");
        writeln!(star, "  c{at}:\n    - point: B+\n    - {{wire: W{at}, size: 1 mm2, length: 1 m}}\n    - ground: GND{at}")
            .expect("a line");
        writeln!(
            slips,
            "  c{at}:\n    - pin: A{at}:1\n    - {{wire: W{at}, size: 1 mm, length: 1 m, zone: z}}"
        )
        .expect("a line");
        writeln!(
            crowded,
            "  c{at}:\n    - point: B+\n    - {{wire: W{at}, size: 1 mm2, length: 1 m, rubs: {{r: 0.5 m}}}}"
        )
        .expect("a line");
    }
    assert!(loads_soon(&long));
    assert!(loads_soon(&star));
    assert!(!loads_soon(&slips));
    assert!(!loads_soon(&crowded), "two thousand wires over one rub");
}
