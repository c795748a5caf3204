//! The report as JSON, format 1:
//!
//! `{"format":1,"job","for","stands","complaint","cause":{"faults":[…],"text"}|null,"correction":[…],"proofs":[{"step",
//! "proof","shown":bool}],"gates":[{"gate","step","passed","cannot","items":[{"item","at","by","reading"}]}],
//! "readings":[{"step","at","where","reading","band","in","means","decided"}],"own_readings":[…],"codes_left":[…],"no_codes_left":bool,
//! "left":[…],"machine_now","remains":[…],"notes":[…],"lapses":[…],"detours":[{"at","event":{…}}],"path":[{"step","kind","round","at","outcome"}],"details":{…},"minutes":{"worked","waited"},
//! "tree":{"id","revision"},"scripted":bool,"journal":{"head","whole","wrong":[…]}}`
//!
//! A customer's report has neither `details` beyond the complaint nor `path`, `notes`, `own_readings`; the office's has
//! `details`, `minutes` and `tree` besides.

use serde_json::{Map, Value, json};

use crate::diag::visible_json;
use crate::tree::Kind;
use crate::walk::{Now, Outcome, Walker};

use super::tables::{band_words, leads_words};
use super::{Reader, Report};

/// The JSON as text; what could hide or reorder what a reader sees is written by its number.
#[must_use]
pub fn json_text(value: &Value) -> String {
    visible_json(&format!("{value:#}\n")).into_owned()
}

/// The whole report.
#[must_use]
pub fn json(report: &Report<'_>) -> Value {
    let mut out = Map::new();
    let walk = report.walk;
    let tree = walk.course().tree();
    let found = report.found();
    let mut put = |key: &str, value: Value| drop(out.insert(key.to_owned(), value));
    put("format", json!(1));
    put("job", json!(report.name));
    put("for", json!(report.reader.word()));
    put("stands", stands(walk.now()));
    put("complaint", json!(walk.details().complaint.clone().unwrap_or_else(|| tree.title.en().to_owned())));
    put(
        "cause",
        found.last().map_or(Value::Null, |(_, find)| {
            json!({"faults": find.faults, "text": find.cause.as_ref().map(crate::diag::Text::en)})
        }),
    );
    put("correction", correction(report));
    put("proofs", proofs(report));
    put("gates", gates(report));
    put("readings", readings(report));
    put("codes_left", json!(walk.codes_left()));
    put("no_codes_left", json!(walk.no_codes_left()));
    put(
        "left",
        json!(
            walk.left_words()
                .iter()
                .map(|(at, text)| json!({"at": at.to_string(), "text": text}))
                .collect::<Vec<_>>()
        ),
    );
    put("machine_now", json!(report.machine_now()));
    put("remains", json!(report.remaining()));
    if report.reader >= Reader::Office {
        put("details", json!(walk.details()));
        put("minutes", json!({"worked": walk.minutes_worked(), "waited": walk.minutes_waited()}));
        put("parts", json!(report.parts()));
        put("tree", json!({"id": tree.id, "revision": tree.revision}));
    }
    if report.reader == Reader::Shop {
        let own = |(step, at, round, own): &(String, crate::walk::Moment, u32, crate::walk::OwnReading)| json!({"step": step, "at": at.to_string(), "round": round, "taken": own});
        put("own_readings", json!(walk.own_readings().iter().map(own).collect::<Vec<_>>()));
        let note =
            |n: &crate::walk::NoteMade| json!({"step": n.step, "at": n.at.to_string(), "text": n.text});
        put("notes", json!(walk.notes().iter().map(note).collect::<Vec<_>>()));
        let lapse = |(at, cause): &(crate::walk::Moment, crate::walk::Lapse)| json!({"at": at.to_string(), "cause": cause});
        put("lapses", json!(walk.lapses().iter().map(lapse).collect::<Vec<_>>()));
        let detour = |(at, event): &(crate::walk::Moment, crate::walk::Event)| json!({"at": at.to_string(), "event": event});
        put("detours", json!(report.journal.detours.iter().map(detour).collect::<Vec<_>>()));
        put("path", path(report));
    }
    put("scripted", json!(walk.walker() == Walker::Script));
    put(
        "journal",
        json!({"head": report.journal.head, "whole": report.journal.whole, "wrong": report.journal.wrong}),
    );
    Value::Object(out)
}

fn stands(now: &Now) -> Value {
    match now {
        Now::Ended(how) => json!(how),
        Now::Waiting(_) => json!("waiting"),
        _ => json!("open"),
    }
}

fn correction(report: &Report<'_>) -> Value {
    let mut done = Vec::new();
    for mend in report.walk.repairs() {
        let line = |(label, value): &(String, String)| json!({"label": label, "value": value});
        let said: Vec<Value> = mend.said.iter().map(line).collect();
        let sheet: Vec<Value> = mend.sheet.iter().map(line).collect();
        done.push(json!({"step": mend.step, "round": mend.round, "said": said, "sheet": sheet}));
    }
    if report.repaired()
        && let Some((_, find)) = report.found().last()
    {
        for (job, what) in find.repair.iter().flat_map(|r| &r.jobs) {
            let key = crate::tree::RepairJob::ALL.iter().find(|(_, j)| j == job).map_or("", |(key, _)| *key);
            done.push(json!({"does": key, "to": what}));
        }
    }
    Value::Array(done)
}

fn proofs(report: &Report<'_>) -> Value {
    let tree = report.walk.course().tree();
    let told = report.proofs_tried().into_iter().map(|tried| {
        let (visit, shown) = (tried.visit, tried.is_shown);
        json!({"step": tree.step(visit.step).id, "proof": tried.proof, "shown": shown, "round": visit.round})
    });
    Value::Array(told.collect())
}

fn gates(report: &Report<'_>) -> Value {
    let course = report.walk.course();
    let told = report.walk.gates().iter().map(|log| {
        let items: Vec<Value> = log
            .confirmed
            .iter()
            .map(|c| json!({"item": c.item + 1, "at": c.at.to_string(), "by": c.by, "reading": c.reading.as_ref().map(ToString::to_string)}))
            .collect();
        json!({
            "gate": log.gate.name(course.vocabulary()),
            "step": course.tree().step(log.step).id,
            "passed": log.passed.map(|at| at.to_string()),
            "cannot": log.cannot,
            "items": items,
        })
    });
    Value::Array(told.collect())
}

fn readings(report: &Report<'_>) -> Value {
    let lang = report.lang();
    let tree = report.walk.course().tree();
    let told = report.walk.visits().iter().filter_map(|visit| {
        let Outcome::Read { reading, band, decided, .. } = &visit.outcome else { return None };
        let Kind::Read(read) = &tree.step(visit.step).kind else { return None };
        let means = read.bands.get(*band).and_then(|b| b.means.as_ref()).map(|m| m.in_lang(&lang).to_owned());
        let (where_read, range) = (leads_words(read, &lang), band_words(read, *band, &lang));
        Some(json!({
            "step": tree.step(visit.step).id,
            "at": visit.left.unwrap_or(visit.entered).to_string(),
            "where": where_read,
            "reading": reading,
            "band": band + 1,
            "in": range,
            "means": means,
            "decided": decided,
        }))
    });
    Value::Array(told.collect())
}

fn path(report: &Report<'_>) -> Value {
    let tree = report.walk.course().tree();
    let told = report.walk.visits().iter().map(|visit| {
        let step = tree.step(visit.step);
        let outcome = match (&visit.outcome, &step.kind) {
            (Outcome::Answer(way), Kind::Ask(ask)) => json!({"answer": ask.answers.get(*way).map(|a| &a.id)}),
            (Outcome::Answer(way), Kind::Look(look)) => {
                json!({"answer": look.answers.get(*way).map(|a| &a.id)})
            }
            (Outcome::Read { reading, band, .. }, _) => json!({"reading": reading, "band": band + 1}),
            (Outcome::Cannot(why), _) => json!({"cannot": why}),
            (Outcome::Done, _) => json!("done"),
            (Outcome::Left, _) => json!("left"),
            _ => json!("open"),
        };
        json!({
            "step": step.id,
            "kind": step.kind.word(),
            "round": visit.round,
            "at": visit.entered.to_string(),
            "outcome": outcome,
            "by_jump": visit.by_jump,
        })
    });
    Value::Array(told.collect())
}
