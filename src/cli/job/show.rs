//! What `job show` says: what is known of a job, then every event, one a line.
//!
//! The JSON, format 1: `{"format":1,"job","version","journal","stands","texts":[name…],"events":
//! [{"seq","at","ms","event":{…}}]}`, the events as the journal holds them, the texts by name only.

use std::io::{self, Write};

use serde_json::json;

use super::{Format, ending};
use crate::cli::Outcome;
use crate::diag::visible_line;
use crate::job::{Begun, Condition, Kept, Record, Recovered, Summary, rfc3339};
use crate::walk::{Details, EndedAs, Event, Lapse};

/// Shows a job; of a damaged one, what survives.
pub(super) fn run(name: String, found: &Recovered<Kept>, format: Format, out: &mut dyn Write) -> Outcome {
    let summary = Summary::of(name, found);
    match format {
        Format::Text => as_text(&summary, found, out)?,
        Format::Json => as_json(&summary, found, out)?,
    }
    Ok(ending(summary.condition == Condition::Whole))
}

fn as_text(summary: &Summary, found: &Recovered<Kept>, out: &mut dyn Write) -> io::Result<()> {
    let mut lines = vec![("Job", summary.name.clone())];
    if let Some(begun) = &summary.begun {
        lines.extend(known(begun));
        lines.push(("Stands", summary.standing.word().replace('-', " ")));
    }
    lines.push(("Journal", format!("{}, {}", summary.condition.word(), found.head())));
    for (label, value) in lines {
        writeln!(out, "{label:<11} {}", visible_line(&value))?;
    }
    writeln!(out)?;
    for record in &found.records {
        let told = told(record.event.event());
        writeln!(out, "{:>5}  {}  {}", record.seq, record.at, visible_line(&told))?;
    }
    if summary.condition != Condition::Whole {
        writeln!(out, "\nSee `loomwalk job verify {}`.", visible_line(&summary.name))?;
    }
    Ok(())
}

fn known(begun: &Begun) -> Vec<(&'static str, String)> {
    let Details {
        number,
        serial,
        hours,
        attachment,
        customer,
        site,
        complaint,
        mechanic,
        volts,
        celsius,
        ..
    } = &begun.details;
    let text = |value: &Option<String>| value.clone();
    let mut lines = vec![
        ("Tree", format!("{}, revision {}", begun.tree, begun.revision)),
        ("Begun", format!("{}, by loomwalk {}", begun.started, begun.version)),
        ("Last", begun.last.to_string()),
        ("Minutes", format!("{:.0}", begun.worked.value())),
    ];
    let said = [
        ("Number", text(number)),
        ("Serial", text(serial)),
        ("Hours", hours.map(|hours| hours.to_string())),
        ("Attachment", text(attachment)),
        ("Customer", text(customer)),
        ("Site", text(site)),
        ("Complaint", text(complaint)),
        ("Mechanic", text(mechanic)),
        ("Battery", volts.map(|volts| volts.to_string())),
        ("Outside", celsius.map(|celsius| celsius.to_string())),
    ];
    lines.extend(said.into_iter().filter_map(|(label, value)| Some((label, value?))));
    lines
}

/// An event as one line.
fn told(event: &Event) -> String {
    match event {
        Event::Begun { .. } => "the walk begins".to_owned(),
        Event::Details { .. } => "what is known of the job changes".to_owned(),
        Event::Answered { step, answer } => format!("{step}: {answer}"),
        Event::Read { step, reading, decided: Some(why), .. } => {
            format!("{step}: reads {reading}, decided: {why}")
        }
        Event::Read { step, reading, .. } => format!("{step}: reads {reading}"),
        Event::Done { step, sheet } if sheet.is_empty() => format!("{step}: done"),
        Event::Done { step, sheet } => format!("{step}: done by this sheet: {}", joined(sheet)),
        Event::Stands { cab, .. } => format!("the cab stands {}", cab.word()),
        Event::NoCodeLeft => "no code is there any more".to_owned(),
        Event::Item { .. } => confirmed(event),
        Event::Cannot { step, why } => format!("{step}: cannot. {why}"),
        Event::Note { step, text } => format!("{step}: note: {text}"),
        Event::OwnReading { step, own } => {
            let black = own.black.as_deref().unwrap_or("the frame");
            format!("{step}: own reading, {} against {black}: {}", own.red, own.reading)
        }
        Event::Back { step } => format!("back to {step}"),
        Event::Jump { step } => format!("on to {step}"),
        Event::Waits { why } => format!("waits: {why}"),
        Event::Stayed => "the wait is over; stayed at the machine".to_owned(),
        Event::StillSo => "nothing at the machine has changed".to_owned(),
        Event::Lapsed { cause } => format!("conditions lapse: {}", lapsed(*cause)),
        Event::Resumed { cut: Some(bytes) } => format!("taken up again; {bytes} torn bytes cut off"),
        Event::Resumed { cut: None } => "taken up again".to_owned(),
        Event::Repaired { step, sheet } => format!("{step}: of the repair: {}", joined(sheet)),
        Event::CodeLeft { code } => {
            format!("code still there: SPN {} FMI {} {}", code.spn, code.fmi, code.text)
        }
        Event::Left { text } => format!("left: {text}"),
        Event::Ended { how: EndedAs::Closed(_), .. } => "closed".to_owned(),
        Event::Ended { how: EndedAs::Referred, .. } => "referred".to_owned(),
        Event::Ended { how: EndedAs::Guarded, .. } => "guarded and handed over".to_owned(),
    }
}

fn confirmed(event: &Event) -> String {
    let Event::Item { step, gate, item, by, reading } = event else { return String::new() };
    let read = reading.as_ref().map(|reading| format!(", reads {reading}")).unwrap_or_default();
    format!("{step}: {gate}, item {} confirmed by {by}{read}", item.saturating_add(1))
}

fn joined(sheet: &[(String, String)]) -> String {
    let lines: Vec<String> = sheet.iter().map(|(label, value)| format!("{label} {value}")).collect();
    lines.join(", ")
}

fn lapsed(cause: Lapse) -> &'static str {
    match cause {
        Lapse::Resumed => "the program was left",
        Lapse::Slept => "the computer slept, or its clock was set",
        Lapse::Idle => "half an hour without a key",
        Lapse::LeftIt => "the machine was left",
    }
}

fn as_json(summary: &Summary, found: &Recovered<Kept>, out: &mut dyn Write) -> io::Result<()> {
    let opening = found.records.first().and_then(|record| match &record.event {
        Kept::Opened(opening) => Some(opening),
        Kept::Walk(_) => None,
    });
    let texts = opening.map(|opening| opening.texts.iter().map(|text| &text.name).collect::<Vec<_>>());
    let told = json!({
        "format": 1,
        "job": summary.name,
        "version": opening.map(|opening| &opening.version),
        "journal": summary.condition.word(),
        "stands": summary.begun.as_ref().map(|_| summary.standing.word()),
        "texts": texts,
        "events": found.records.iter().map(event_json).collect::<Vec<_>>(),
    });
    crate::cli::answer::json_line(&told, out)
}

fn event_json(record: &Record<Kept>) -> serde_json::Value {
    json!({
        "seq": record.seq,
        "at": rfc3339(record.at),
        "ms": record.at.mono_ms,
        "event": record.event.event(),
    })
}
