//! What would have been quicker, worked out once more: each suspect is put into a machine in the yard, and the job gone on
//! with there from the event of its journal, step by step through the stepper, by answers and readings without any error;
//! minutes are counted until the step after the find is done with, or come to. Nothing here weighs jumps as the suggestion
//! does: once the tree is followed from where the job was, once from where it would have jumped to. Suspects are weighed by Bayes' rule in plain loops, as beside what was ruled out.

use std::sync::LazyLock;

use loomwalk::job::{Kept, Record, Recovered, recover, replay};
use loomwalk::machine::{Machine, Today};
use loomwalk::practice::{Bench, Dice, Practice, Specimen, Wanted, moment_of, names_hidden};
use loomwalk::tree::{Kind, StepIx};
use loomwalk::units::{Celsius, Volts};
use loomwalk::walk::{AtGate, Declined, Input, Now, Walk};

use super::review::REVIEWED;
use super::review_suspects::weights_after;
use crate::support::yard::Yard;

/// The review weighs normal curves over cells, this a reading as like or unlike; and it prints whole minutes.
const NEAR: f64 = 1.5;

static RECORDS: LazyLock<Vec<Record<Kept>>> = LazyLock::new(|| {
    let found: Recovered<Kept> = recover(include_bytes!("../demo/no-lift.job.jsonl"));
    found.records
});

/// One suspect in a machine of the day, and what it weighs.
struct Case<'m> {
    specimen: &'m Specimen,
    bench: Bench<'m>,
    weight: f64,
}

/// Events of the demo job with something quicker beside them: at the feed of the controller, and in front of the door's plug.
const TOLD: usize = 2;

/// A way to its end.
struct Gone {
    minutes: f64,
    right: bool,
}

/// Says something at the moment at which its minutes are over; false if it is not taken.
fn say(walk: &mut Walk, input: &Input) -> Result<(), Declined> {
    let (at, still) = moment_of(walk, input);
    for input in still.into_iter().chain([input.clone()]) {
        for event in walk.accept(input, at)? {
            walk.apply(&event, at).expect("what was accepted can happen");
        }
    }
    Ok(())
}

/// One thing is said, as the machine is.
fn step_on(walk: &mut Walk, case: &Case<'_>) {
    let says = Practice::new(Dice::new(0)).says(walk, case.specimen, &case.bench, "-");
    let input = says.unwrap_or_else(|| match walk.now() {
        Now::Gate(AtGate { item, .. }) | Now::Check(_, item) => {
            Input::Confirm { item: *item, by: "-".to_owned(), typed: None }
        }
        _ if walk.reading_here().is_some() => Input::Cannot("no gauge".to_owned()),
        _ => Input::Done,
    });
    let typed = if let Input::Reading(typed) = &input { typed.clone() } else { String::new() };
    if let Err(Declined::TooClose(chances)) = say(walk, &input) {
        let best = chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance)).expect("some band");
        say(walk, &Input::Decide { typed, band: best.band, why: "the likelier".to_owned() })
            .expect("decided");
    }
}

fn find_here(walk: &Walk) -> Option<StepIx> {
    let Now::Step(ix) = walk.now() else { return None };
    matches!(walk.course().tree().step(*ix).kind, Kind::Find(_)).then_some(*ix)
}

/// The tree's own way of a case, to where its repair can begin or to whatever end there is.
fn by_tree(from: &Walk, case: &Case<'_>) -> Gone {
    let mut walk = from.clone();
    let begun = walk.minutes_worked();
    let gone = |walk: &Walk, right| Gone { minutes: walk.minutes_worked() - begun, right };
    for _ in 0..1_000 {
        if let Some(find) = find_here(&walk) {
            let right = names_hidden(&walk, find, case.specimen);
            // Notes are taken of the find; the step after it is come to, a gate as far as it is one.
            say(&mut walk, &Input::Done).expect("noted");
            let first = walk.step_id().to_owned();
            while matches!(walk.now(), Now::Gate(_)) && walk.step_id() == first {
                step_on(&mut walk, case);
            }
            return gone(&walk, right);
        }
        if matches!(walk.now(), Now::Ended(_)) {
            break;
        }
        step_on(&mut walk, case);
    }
    gone(&walk, false)
}

/// Expected minutes of those cases that the tree's own way finds from here, by what they weigh; `None` where it finds one
/// of them from one place and not from the other.
fn expected(from: &Walk, there: &Walk, cases: &[Case<'_>]) -> Option<(f64, f64)> {
    let (mut written, mut so, mut weight) = (0.0, 0.0, 0.0);
    for case in cases {
        let (here, by_jump) = (by_tree(from, case), by_tree(there, case));
        if here.right != by_jump.right {
            return None;
        }
        if here.right {
            written += case.weight * here.minutes;
            so += case.weight * by_jump.minutes;
            weight += case.weight;
        }
    }
    (weight > 0.9).then(|| (written / weight, so / weight))
}

/// The machines of the suspects that are left, as the file says they are wired: lengths and severities are drawn.
fn specimens(yard: &Yard, machine: &Machine, left: &[(String, f64)]) -> Vec<(Specimen, f64)> {
    let today = Today { volts: Some(Volts(12.4)), celsius: Celsius(4.0), ..Today::default() };
    let mut all = Vec::new();
    for (name, weight) in left {
        let wanted = Wanted { fault: machine.fault_named(name), today: Some(today), ..Wanted::default() };
        let drawn =
            |seed| Specimen::draw(yard.course.tree(), &yard.family, &yard.pool, wanted, &mut Dice::new(seed));
        all.extend(drawn(1).map(|specimen| (specimen, *weight)));
    }
    let sum: f64 = all.iter().map(|(_, weight)| weight).sum();
    all.into_iter().map(|(specimen, weight)| (specimen, weight / sum)).collect()
}

#[test]
#[allow(clippy::print_stdout)] // with --nocapture the figures themselves
fn hindsight_is_what_walking_on_with_each_suspect_comes_to() {
    let replayed = replay(&RECORDS).expect("it replays");
    let course = replayed.walk.course();
    let yard = Yard::of(crate::support::apprentices::shipped("tern/no-lift-no-tilt"));
    let machine = course.tree().model.as_deref().expect("a machine");
    let mut checked = 0;
    for pass in REVIEWED.passes.iter().filter(|pass| pass.quicker.is_some()) {
        let quicker = pass.quicker.as_ref().expect("filtered");
        let left = weights_after(&pass.step);
        let machines = specimens(&yard, machine, &left);
        let days: Vec<_> = machines.iter().map(|(specimen, _)| specimen.day()).collect();
        let before = replay(&RECORDS[..pass.number - 1]).expect("it replays").walk;
        let cases: Vec<Case<'_>> = machines
            .iter()
            .zip(&days)
            .map(|((specimen, weight), day)| {
                let tree = (yard.course.tree(), yard.course.vocabulary());
                let bench = Bench::new(specimen, day, tree).exact().without_misreading();
                Case { specimen, bench, weight: *weight }
            })
            .collect();
        let mut there = before.clone();
        let entry = course.tree().find(&quicker.step).expect("a step");
        say(&mut there, &Input::Jump(entry)).expect("it can be jumped to");
        let (written, so) = expected(&before, &there, &cases).expect("the tree finds the same from both");
        let (told_written, told_so) = (quicker.minutes.0.value(), quicker.minutes.1.value());
        let said = format!(
            "event {}, {}: the review {told_so:.1} for {told_written:.1}, tried {so:.1} for {written:.1}, {} suspects",
            pass.number,
            pass.step,
            cases.len()
        );
        println!("{said}");
        assert!((so - told_so).abs() < NEAR && (written - told_written).abs() < NEAR, "{said}");
        assert!(so < written, "{said}");
        checked += 1;
    }
    assert_eq!(checked, TOLD, "every hindsight that the review tells was worked out once more");
}
