//! A review as data, format 1: `{"format":1,"tree","revision","mechanic"?,"minutes":{"worked","waited","by_tree"},
//! "determined_after"?,"finds":[{"step","faults"}],"events":[{"number","at","step","what","clock_minutes",
//! "tree_minutes","ruled_out"?:{"faults","of","share"},"before"?:[{"fault","probability"}],"after"?,
//! "quicker"?:{"test","said","as_written","so"}}],"gates":[{"gate","step","missing","clock_minutes","tree_minutes",
//! "confirmed","items","by"?,"ticked","cannot"?}],"in_force":[{"condition","value","minutes"}],"too_close":[…],
//! "in_vain":[…],"jumps","own_readings"}`. With names left out, `mechanic` and `by` are not there.

use serde_json::{Value, json};

use super::passes::{Pass, SuspectAt};
use super::{Names, Review};
use crate::diag::Lang;
use crate::job::journal::rfc3339;

/// The review as JSON.
#[must_use]
pub fn review_json(review: &Review, names: Names) -> Value {
    let told = names == Names::Told;
    let gates: Vec<Value> = review
        .gates
        .iter()
        .map(|gate| {
            json!({
                "gate": gate.gate,
                "step": gate.step,
                "missing": gate.was_missing,
                "begun": rfc3339(gate.begun),
                "clock_minutes": rounded(gate.clock.value()),
                "tree_minutes": rounded(gate.by_tree.value()),
                "confirmed": gate.confirmed,
                "items": gate.items,
                "by": told.then_some(&gate.by),
                "ticked": gate.ticked,
                "cannot": gate.cannot,
            })
        })
        .collect();
    let close: Vec<Value> = review
        .close_calls
        .iter()
        .map(|call| json!({"step": call.step, "reading": call.reading, "why": call.why}))
        .collect();
    let vain: Vec<Value> = review
        .in_vain
        .iter()
        .map(|vain| json!({"round": vain.round, "find": vain.find, "repair": vain.repair}))
        .collect();
    let in_force: Vec<Value> = review
        .in_force
        .iter()
        .map(|held| {
            json!({"condition": held.condition, "value": held.value, "minutes": rounded(held.minutes.value())})
        })
        .collect();
    let finds: Vec<Value> =
        review.finds.iter().map(|(step, faults)| json!({"step": step, "faults": faults})).collect();
    let mut whole = json!({
        "format": 1,
        "tree": review.tree,
        "revision": review.revision,
        "mechanic": told.then_some(&review.mechanic),
        "minutes": {
            "worked": rounded(review.worked.value()),
            "waited": rounded(review.waited.value()),
            "by_tree": rounded(review.by_tree.value()),
        },
        "determined_after": review.determined,
        "finds": finds,
        "events": review.passes.iter().map(event).collect::<Vec<_>>(),
        "gates": gates,
        "in_force": in_force,
        "too_close": close,
        "in_vain": vain,
        "jumps": review.jumps,
        "own_readings": review.own_readings,
    });
    drop_nulls(&mut whole);
    whole
}

fn event(pass: &Pass) -> Value {
    let ruled_out = pass.ruled_out.map(|out| json!({"faults": out.faults, "of": out.of, "share": out.share}));
    let quicker = pass.quicker.as_ref().map(|quicker| {
        let (as_written, so) = quicker.minutes;
        json!({
            "test": quicker.test,
            "said": quicker.said.in_lang(&Lang::default()),
            "as_written": finite(as_written.value()),
            "so": finite(so.value()),
        })
    });
    json!({
        "number": pass.number,
        "at": rfc3339(pass.at),
        "step": pass.step,
        "what": pass.what,
        "clock_minutes": rounded(pass.clock.value()),
        "tree_minutes": rounded(pass.by_tree.value()),
        "ruled_out": ruled_out,
        "before": standings(&pass.before),
        "after": standings(&pass.after),
        "quicker": quicker,
    })
}

fn standings(all: &[SuspectAt]) -> Option<Vec<Value>> {
    let one = |s: &SuspectAt| json!({"fault": s.fault, "probability": s.probability});
    (!all.is_empty()).then(|| all.iter().map(one).collect())
}

fn finite(minutes: f64) -> Option<f64> {
    minutes.is_finite().then(|| rounded(minutes))
}

/// To a thousandth of a minute.
fn rounded(minutes: f64) -> f64 {
    (minutes * 1000.0).round() / 1000.0
}

fn drop_nulls(value: &mut Value) {
    match value {
        Value::Object(map) => {
            map.retain(|_, inner| !inner.is_null());
            map.values_mut().for_each(drop_nulls);
        }
        Value::Array(list) => list.iter_mut().for_each(drop_nulls),
        _ => {}
    }
}
