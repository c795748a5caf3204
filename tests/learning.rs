//! Shares learned from jobs: against simulated jobs whose true shares are known, and against sums by hand.

use loomwalk::job::{Counted, PRIOR_JOBS, learn};
use loomwalk::practice::Dice;
use loomwalk::tree::{Kind, Shipped, examine};

/// The finds of a shipped tree, and the machine's faults with their shares.
fn tern() -> (Vec<Vec<String>>, Vec<(String, f64)>) {
    let source = Shipped::named("tern/no-lift-no-tilt").expect("a shipped tree");
    let course = examine(&source, &Shipped).walkable().expect("walkable");
    let tree = course.tree();
    let finds = tree.steps.iter().filter_map(|step| match &step.kind {
        Kind::Find(find) => Some(find.faults.clone()),
        _ => None,
    });
    let finds: std::collections::BTreeSet<Vec<String>> = finds.collect();
    let machine = tree.model.as_ref().expect("a machine");
    (finds.into_iter().collect(), machine.faults().iter().map(|f| (f.name.clone(), f.share)).collect())
}

fn job(faults: &[String], could_tell: &[Vec<String>], seen: Option<&str>) -> Counted {
    Counted {
        machine: "tern".to_owned(),
        faults: faults.to_vec(),
        seen: seen.map(str::to_owned),
        could_tell: could_tell.to_vec(),
    }
}

/// Two thousand jobs a seed, twenty seeds; true shares drawn over three powers of ten, whatever the file says.
#[test]
#[allow(clippy::print_stdout)] // with --nocapture the figure itself
fn ninety_of_a_hundred_intervals_hold_the_truth() {
    let (finds, before) = tern();
    let (mut held, mut all) = (0.0, 0.0);
    for seed in 0..20 {
        let mut dice = Dice::new(seed);
        let truth: Vec<f64> = finds.iter().map(|_| 10_f64.powf(dice.between(-3.0, 0.0))).collect();
        let total: f64 = truth.iter().sum();
        let jobs: Vec<Counted> = (0..2000)
            .map(|_| {
                let find = dice.weighed(truth.iter().copied()).expect("something weighs");
                job(&finds[find], &finds, None)
            })
            .collect();
        let learned = learn(&before, &jobs, PRIOR_JOBS);
        for (group, share) in finds.iter().zip(truth.iter().map(|t| t / total)) {
            let told: Vec<_> = learned
                .groups
                .iter()
                .filter(|g| group.iter().any(|fault| g.faults.contains(fault)))
                .collect();
            // Finds that share a fault are one group; then the truth of the group is the sum.
            let [told] = told.as_slice() else { continue };
            if told.faults.len() != group.len() || share * 2000.0 < 5.0 {
                continue;
            }
            all += 1.0;
            let (low, high) = told.interval;
            held += if (low..=high).contains(&share) { 1.0 } else { 0.0 };
        }
    }
    assert!(all > 200.0, "{all} faults with five or more expected jobs");
    let part = held / all;
    println!("{held} of {all} intervals hold the truth: {:.1} of 100", 100.0 * part);
    assert!((0.85..=0.95).contains(&part), "{held} of {all} intervals hold the truth: {part}");
}

#[test]
fn a_count_is_split_by_shares_unless_the_sheet_says_which() {
    let names = |all: &[&str]| all.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
    let before: Vec<(String, f64)> =
        [("A", 6.0), ("B", 2.0), ("C", 2.0), ("D", 5.0)].map(|(n, s)| (n.to_owned(), s)).to_vec();
    let could = vec![names(&["A", "B"]), names(&["C"])];
    let jobs = [
        job(&names(&["A", "B"]), &could, None),
        job(&names(&["A", "B"]), &could, Some("B")),
        job(&names(&["C"]), &could, None),
    ];
    let learned = learn(&before, &jobs, 10.0);
    let of = |fault: &str| learned.shares.iter().find(|s| s.fault == fault).expect("learned");
    // Ten jobs by the file: A 6, B 2, C 2. One job splits 6 : 2, one says B, one says C: A 6.75, B 3.25, C 3 of 13,
    // and the sum of the three shares stays 10.
    for (fault, jobs, after) in [("A", 0.75, 67.5 / 13.0), ("B", 1.25, 32.5 / 13.0), ("C", 1.0, 30.0 / 13.0)]
    {
        assert!((of(fault).jobs - jobs).abs() < 1e-12, "{fault}");
        assert!((of(fault).after - after).abs() < 1e-12, "{fault} {}", of(fault).after);
    }
    assert!(learned.shares.iter().all(|s| s.fault != "D"), "no job could have told D");
    assert_eq!(learned.groups.len(), 2);
    let group = &learned.groups[0];
    assert_eq!((group.faults.as_slice(), group.jobs), (names(&["A", "B"]).as_slice(), 2.0));
    assert!((group.before - 0.8).abs() < 1e-12 && (group.after - 10.0 / 13.0).abs() < 1e-12);
    assert!(group.interval.0 < group.after && group.after < group.interval.1);
}

#[test]
fn nothing_is_changed_without_being_told_to_and_then_only_shares() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("machine.yaml");
    std::fs::copy("trees/tern/machine.yaml", &file).expect("copied");
    let before = std::fs::read_to_string(&file).expect("there");
    let run = |more: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("loomwalk").expect("the program is built");
        command.args(["learn", "demo/no-lift.job.jsonl", "--weight", "3", "--machine"]).arg(&file).args(more);
        let output = command.output().expect("it runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("text")
    };
    let shown = run(&[]);
    let changed = [
        "tern: 1 job closed as repaired",
        "\n-  W35 grounded at pivot-clamp: {share: 6}",
        "\n+  W35 grounded at pivot-clamp: {share: ",
    ];
    assert!(changed.iter().all(|part| shown.contains(part)), "{shown}");
    assert_eq!(std::fs::read_to_string(&file).expect("there"), before);
    // By hand: three jobs by the file's own shares, and one job that found this fault and no other, over those faults that
    // the job's tree can find.
    let (finds, shares) = tern();
    let could_tell = shares.iter().filter(|(fault, _)| finds.iter().flatten().any(|named| named == fault));
    let sum: f64 = could_tell.map(|(_, share)| share).sum();
    let after = (3.0 * 6.0 / sum + 1.0) / 4.0 * sum;
    let line = shown.lines().find(|line| line.starts_with("+  W35 grounded at pivot-clamp: {share: "));
    let told: f64 = line
        .and_then(|line| line.split_once("share: ")?.1.split(['}', ',']).next()?.trim().parse().ok())
        .expect("a share");
    assert!((told - after).abs() < 0.01 * after, "{told} and {after} of {sum}");
    run(&["--write"]);
    let after = std::fs::read_to_string(&file).expect("there");
    assert_ne!(after, before);
    let without_shares = |text: &str| {
        let is_share = |line: &&str| line.contains("share:");
        text.lines().filter(|line| !is_share(line)).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(without_shares(&after), without_shares(&before));
    assert!(after.contains("# shares are invented"), "comments stay");
}
