//! What was learned, in words and as data.
//!
//! The JSON, format 1: `{"format":1,"machine","jobs","weight","groups":[{"faults","jobs","before","after","interval":
//! [low,high]}],"shares":[{"fault","jobs","before","after"}],"not_counted":[{"job","why"}]}`; groups as parts of 1, shares
//! as in the machine file.

use serde_json::{Value, json};

use super::Learned;

/// The lines that tell it.
#[must_use]
pub fn learned_lines(machine: &str, learned: &Learned, not_counted: &[(String, String)]) -> Vec<String> {
    let jobs = if learned.jobs == 1 { "job" } else { "jobs" };
    let mut lines = vec![format!(
        "{machine}: {} {jobs} closed as repaired; the machine file's shares count for {} more.",
        learned.jobs, learned.weight
    )];
    for (job, why) in not_counted {
        lines.push(format!("Not counted: {job}, {why}."));
    }
    lines.push("Of 100 findings, before and now, nine chances of ten in between, jobs, faults:".to_owned());
    for group in &learned.groups {
        let (low, high) = group.interval;
        lines.push(format!(
            "  {:>5.1}  {:>5.1}  {:>5.1} to {:>5.1}  {:>4}  {}",
            100.0 * group.before,
            100.0 * group.after,
            100.0 * low,
            100.0 * high,
            tenths(group.jobs),
            group.faults.join("; ")
        ));
    }
    lines
}

fn tenths(jobs: f64) -> String {
    if (jobs - jobs.round()).abs() < 1e-9 { format!("{jobs:.0}") } else { format!("{jobs:.1}") }
}

/// The same as JSON.
#[must_use]
pub fn learned_json(machine: &str, learned: &Learned, not_counted: &[(String, String)]) -> Value {
    let groups: Vec<Value> = learned
        .groups
        .iter()
        .map(|group| {
            json!({
                "faults": group.faults,
                "jobs": group.jobs,
                "before": group.before,
                "after": group.after,
                "interval": [group.interval.0, group.interval.1],
            })
        })
        .collect();
    let shares: Vec<Value> = learned
        .shares
        .iter()
        .map(|s| json!({"fault": s.fault, "jobs": s.jobs, "before": s.before, "after": s.after}))
        .collect();
    let left_out: Vec<Value> = not_counted.iter().map(|(job, why)| json!({"job": job, "why": why})).collect();
    json!({
        "format": 1,
        "machine": machine,
        "jobs": learned.jobs,
        "weight": learned.weight,
        "groups": groups,
        "shares": shares,
        "not_counted": left_out,
    })
}
