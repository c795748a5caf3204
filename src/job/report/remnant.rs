//! The report of a job of which no walk can be made: what is wrong, and what its events still say.
//!
//! Nothing is concluded from them. Its JSON: `{"format":1,"job","for","stands":"unreadable","why","complaint","events":[{"seq",
//! "at","event":{…}}],"journal":{"head","whole","wrong":[…]}}`, the events for the shop only.

use serde_json::{Value, json};

use super::super::journal::{Record, Verdict, rfc3339};
use super::super::kept::Kept;
use super::super::replay::ReplayFault;
use super::words::w;
use super::{Block, JournalState, Reader, Section, Sheet, html, markdown};
use crate::diag::Lang;
use crate::walk::{Details, Event};

/// A job whose events make no walk.
pub struct Remnant<'j> {
    name: &'j str,
    fault: &'j ReplayFault,
    journal: JournalState,
    records: &'j [Record<Kept>],
    reader: Reader,
}

impl<'j> Remnant<'j> {
    /// What is left of the job of this name, and why it makes no walk.
    #[must_use]
    pub fn of(
        name: &'j str,
        fault: &'j ReplayFault,
        (verdict, records): (&Verdict, &'j [Record<Kept>]),
        reader: Reader,
    ) -> Self {
        Self { name, fault, journal: JournalState::alone(verdict), records, reader }
    }

    /// As Markdown.
    #[must_use]
    pub fn markdown(&self) -> String {
        markdown::of_sheet(&self.sheet())
    }

    /// As one HTML page.
    #[must_use]
    pub fn html(&self) -> String {
        html::of_sheet(&self.sheet())
    }

    /// As JSON.
    #[must_use]
    pub fn json(&self) -> Value {
        let journal = &self.journal;
        let mut told = json!({
            "format": 1,
            "job": self.name,
            "for": self.reader.word(),
            "stands": "unreadable",
            "why": self.fault.to_string(),
            "complaint": self.details().and_then(|details| details.complaint.as_ref()),
            "journal": {"head": journal.head, "whole": journal.whole, "wrong": journal.wrong},
        });
        if self.reader == Reader::Shop {
            let events = self.records.iter().map(
                |record| json!({"seq": record.seq, "at": rfc3339(record.at), "event": record.event.event()}),
            );
            told["events"] = Value::Array(events.collect());
        }
        told
    }

    fn details(&self) -> Option<&Details> {
        self.records.iter().rev().find_map(|record| match record.event.event() {
            Event::Begun { details, .. } | Event::Details { details } => Some(details),
            _ => None,
        })
    }

    fn lang(&self) -> Lang {
        let begun = self.records.first().and_then(|record| match record.event.event() {
            Event::Begun { lang, .. } => Some(Lang::new(lang)),
            _ => None,
        });
        begun.unwrap_or_default()
    }

    fn sheet(&self) -> Sheet {
        let lang = self.lang();
        let title = format!("{} {}", w(&lang, "Job", "Trabajo"), self.name);
        let complaint = self.details().and_then(|details| details.complaint.clone()).unwrap_or_default();
        let stands = w(&lang, "This job cannot be made out:", "No se puede reconstruir este trabajo:");
        let facts = vec![
            (w(&lang, "Complaint", "Queja"), complaint),
            (w(&lang, "Cause", "Causa"), String::new()),
            (w(&lang, "Correction", "Corrección"), String::new()),
            (w(&lang, "Stands", "Estado"), format!("{stands} {}", self.fault)),
        ];
        let mut sections =
            vec![Section { title: w(&lang, "What it was", "Qué fue"), blocks: vec![Block::Facts(facts)] }];
        if !self.journal.wrong.is_empty() {
            let blocks = vec![Block::Lines(self.journal.wrong.clone())];
            sections.push(Section { title: w(&lang, "What is wrong with it", "Qué tiene mal"), blocks });
        }
        if self.reader == Reader::Shop && !self.records.is_empty() {
            sections.push(self.events(&lang));
        }
        let head = vec![(w(&lang, "Events and head", "Eventos y cabeza"), self.journal.head.clone())];
        sections.push(Section { title: w(&lang, "Record", "Registro"), blocks: vec![Block::Facts(head)] });
        Sheet { title, lang, sections }
    }

    /// Every event that can be read, as the journal holds it.
    fn events(&self, lang: &Lang) -> Section {
        let row = |record: &Record<Kept>| {
            let event = serde_json::to_string(record.event.event()).unwrap_or_default();
            vec![record.seq.to_string(), record.at.to_string(), event]
        };
        let heads = vec![w(lang, "No.", "N.º"), w(lang, "Time", "Hora"), w(lang, "Event", "Evento")];
        let rows = self.records.iter().map(row).collect();
        Section {
            title: w(lang, "What can be read", "Lo que se puede leer"),
            blocks: vec![Block::Table(heads, rows)],
        }
    }
}
