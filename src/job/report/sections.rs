//! The sections of a report, in the order in which they are read: complaint, cause, correction first.

use crate::tree::{CloseAs, Find, Kind};
use crate::walk::{EndedAs, Now, Outcome, Walker};

use super::detours::detours_section;
use super::mends::{mend_section, own_words};
use super::path::stops;
use super::proofs::proofs_section;
use super::review_part::review_section;
use super::safety_part::{left_section, safety_section};
use super::suspects::suspects_section;
use super::tables::{gate_items, own_readings, path_table, readings};
use super::words::{stands, w};
use super::{Block, Reader, Report, Section, Sheet};

impl Report<'_> {
    /// What is printed for the reader.
    pub(super) fn sheet(&self) -> Sheet {
        Sheet { title: self.title(), lang: self.lang(), sections: self.sections() }
    }

    /// The job as people call it: its number, else the name of its file.
    fn known_as(&self) -> &str {
        self.walk.details().number.as_deref().map(str::trim).filter(|n| !n.is_empty()).unwrap_or(self.name)
    }

    /// The title of the report.
    fn title(&self) -> String {
        let lang = self.lang();
        format!(
            "{} {}: {}",
            w(&lang, "Job", "Trabajo"),
            self.known_as(),
            self.walk.course().tree().title.in_lang(&lang)
        )
    }

    /// All sections for the reader.
    fn sections(&self) -> Vec<Section> {
        let mut sections = vec![
            self.summary(),
            safety_section(self),
            left_section(self),
            self.remains(),
            proofs_section(self),
        ];
        if self.reader >= Reader::Office {
            sections.extend([self.office(), mend_section(self)]);
        }
        sections.push(readings(self));
        if self.reader == Reader::Shop {
            sections.extend([
                own_readings(self),
                suspects_section(self),
                gate_items(self),
                self.walked(),
                path_table(self),
                detours_section(self),
                review_section(self),
                self.notes(),
            ]);
        }
        sections.push(self.signatures());
        sections.push(self.record());
        sections.retain(|section| !section.blocks.is_empty());
        sections
    }

    /// Complaint, cause, correction, and how the job stands.
    fn summary(&self) -> Section {
        let lang = self.lang();
        let tree = self.walk.course().tree();
        let complaint =
            self.walk.details().complaint.clone().unwrap_or_else(|| tree.title.in_lang(&lang).to_owned());
        let found = self.found();
        let cause = found.last().map_or_else(String::new, |(_, find)| {
            let cause = find.cause.as_ref().map_or("", |c| c.in_lang(&lang));
            let found = self.walk.found_words(&find.faults, &lang);
            if cause.is_empty() {
                found
            } else {
                format!(
                    "{found}. {} {cause}",
                    w(&lang, "So that it does not come back:", "Para que no vuelva:")
                )
            }
        });
        let facts = vec![
            (w(&lang, "Complaint", "Queja"), complaint),
            (w(&lang, "Cause", "Causa"), cause),
            (w(&lang, "Correction", "Corrección"), self.correction()),
            (w(&lang, "Stands", "Estado"), stands(self.walk.now(), &lang)),
            (w(&lang, "Customer", "Cliente"), self.walk.details().customer.clone().unwrap_or_default()),
            (w(&lang, "Site", "Lugar"), self.walk.details().site.clone().unwrap_or_default()),
            (w(&lang, "Mechanic", "Mecánico"), self.walk.details().mechanic.clone().unwrap_or_default()),
            (w(&lang, "Day", "Día"), self.days()),
        ];
        let mut blocks = vec![Block::Facts(facts)];
        if self.walk.walker() == Walker::Practice {
            blocks.push(Block::Lines(vec![w(
                &lang,
                "Practice on a simulated machine: nothing of it happened to a real one.",
                "Práctica en una máquina simulada: nada de esto ocurrió en una real.",
            )]));
        }
        if self.walk.walker() == Walker::Script {
            blocks.push(Block::Lines(vec![w(
                &lang,
                "Walked by an answers file: scripted, not confirmed by a person.",
                "Recorrido con un archivo de respuestas: automático, no confirmado por una persona.",
            )]));
        }
        Section { title: w(&lang, "What it was", "Qué fue"), blocks }
    }

    /// The findings come to, with their rounds.
    pub(super) fn found(&self) -> Vec<(u32, &Find)> {
        let tree = self.walk.course().tree();
        self.walk
            .findings()
            .into_iter()
            .filter_map(|(ix, round)| match &tree.step(ix).kind {
                Kind::Find(find) => Some((round, find)),
                _ => None,
            })
            .collect()
    }

    /// True if the repair step of a finding was done.
    pub(super) fn repaired(&self) -> bool {
        let tree = self.walk.course().tree();
        self.walk.visits().iter().any(|v| {
            matches!(&tree.step(v.step).kind, Kind::Do(action) if action.action.is_none())
                && v.outcome == Outcome::Done
        })
    }

    fn correction(&self) -> String {
        let lang = self.lang();
        let mut further = None;
        let mut done: Vec<String> = self.walk.repairs().iter().flat_map(own_words).collect();
        if self.repaired()
            && let Some((_, find)) = self.found().last()
            && let Some(repair) = &find.repair
        {
            let jobs = repair.jobs.iter().map(|(job, what)| {
                format!("{} {what}", crate::walk::repair_word(*job, &lang).to_lowercase())
            });
            done.extend(jobs);
            further = repair.text.as_ref().map(|text| text.in_lang(&lang));
        }
        // What was done, then what the tree says of it, in sentences of its own.
        let sentences = [capital(&done.join("; ")), further.unwrap_or_default().to_owned()];
        sentences.into_iter().filter(|said| !said.is_empty()).collect::<Vec<_>>().join(". ")
    }

    /// The day, or the first and the last.
    fn days(&self) -> String {
        let (first, last) = (self.walk.started().date(), self.walk.last().date());
        if first == last { first } else { format!("{first} – {last}") }
    }

    /// What is still there, or still to do.
    fn remains(&self) -> Section {
        let lang = self.lang();
        let mut lines = self.remaining();
        lines.extend(self.journal.wrong.iter().cloned());
        if lines.is_empty() {
            lines.push(w(&lang, "Nothing is on record.", "No consta nada."));
        }
        Section { title: w(&lang, "What remains", "Qué queda"), blocks: vec![Block::Lines(lines)] }
    }

    /// What is still there, or still to do, one sentence each: codes, what was not proved, what it waits for.
    pub(super) fn remaining(&self) -> Vec<String> {
        let lang = self.lang();
        let code = |code: &crate::walk::Code| {
            let words = w(&lang, "Code still there:", "Código que sigue:");
            format!("{words} SPN {} FMI {} {}", code.spn, code.fmi, code.text)
        };
        let mut lines: Vec<String> = self.walk.codes_left().iter().map(code).collect();
        if lines.is_empty() {
            lines.extend(self.about_codes());
        }
        lines.extend(self.not_proved());
        lines.extend(self.not_repaired());
        let tree = self.walk.course().tree();
        let last = self.walk.visits().last().map(|v| &tree.step(v.step).kind);
        if let Some(Kind::Refer(refer)) = last {
            lines.push(refer.why.in_lang(&lang).to_owned());
            let waits = refer.waits_for.as_ref();
            lines
                .extend(waits.map(|t| format!("{} {}", w(&lang, "Waits for:", "Espera:"), t.in_lang(&lang))));
        }
        if let Some((since, why)) = self.walk.waits_for() {
            let words = w(&lang, "The job waits", "El trabajo espera");
            let from = w(&lang, "since", "desde");
            let why = if why.is_empty() { String::new() } else { format!(": {why}") };
            lines.push(format!("{words}, {from} {since}{why}"));
        } else if !matches!(self.walk.now(), Now::Ended(_)) {
            let open = w(&lang, "The job is open, at step", "El trabajo sigue abierto, en el paso");
            lines.push(format!("{open} {}", self.walk.step_id()));
        }
        lines
    }

    /// What an end that is no repair leaves.
    fn not_repaired(&self) -> Option<String> {
        let lang = self.lang();
        match self.walk.now() {
            Now::Ended(EndedAs::Closed(CloseAs::Temporary)) => Some(w(
                &lang,
                "It works for now; the job is not finished.",
                "Funciona por ahora; falta terminar el trabajo.",
            )),
            Now::Ended(EndedAs::Closed(CloseAs::NotReproduced)) => Some(w(
                &lang,
                "The fault did not show; nothing was repaired.",
                "La falla no se manifestó; no se reparó nada.",
            )),
            _ => None,
        }
    }

    /// What the office needs: machine, times, parts, tree.
    fn office(&self) -> Section {
        let lang = self.lang();
        let details = self.walk.details();
        let tree = self.walk.course().tree();
        let text = |value: &Option<String>| value.clone().unwrap_or_default();
        let facts = vec![
            (w(&lang, "Job number", "Número"), text(&details.number)),
            (w(&lang, "Machine serial", "Serie de la máquina"), text(&details.serial)),
            (w(&lang, "Hours", "Horas"), details.hours.map_or_else(String::new, |h| h.to_string())),
            (w(&lang, "Attachment", "Implemento"), text(&details.attachment)),
            (w(&lang, "Battery", "Batería"), details.volts.map_or_else(String::new, |v| v.to_string())),
            (
                w(&lang, "Temperature", "Temperatura"),
                details.celsius.map_or_else(String::new, |c| c.to_string()),
            ),
            (w(&lang, "Meter", "Multímetro"), details.meter.map_or_else(String::new, |m| m.to_string())),
            (w(&lang, "Begun", "Empezado"), self.walk.started().to_string()),
            (w(&lang, "Last entry", "Última entrada"), self.walk.last().to_string()),
            (w(&lang, "Minutes worked", "Minutos de trabajo"), format!("{:.0}", self.walk.minutes_worked())),
            (w(&lang, "Minutes waited", "Minutos de espera"), format!("{:.0}", self.walk.minutes_waited())),
            (w(&lang, "Parts", "Piezas"), self.parts().join("; ")),
            (
                w(&lang, "Tree", "Árbol"),
                format!("{}, {} {}", tree.id, w(&lang, "revision", "revisión"), tree.revision),
            ),
        ];
        Section { title: w(&lang, "For the office", "Para la oficina"), blocks: vec![Block::Facts(facts)] }
    }

    /// Parts that went in, by the repair sheet or the finding.
    pub(super) fn parts(&self) -> Vec<String> {
        let sheet = |key: &str| {
            self.walk
                .repairs()
                .iter()
                .flat_map(|mend| mend.said.iter().chain(&mend.sheet))
                .filter(|(label, _)| label == key)
                .map(|(_, value)| value.clone())
                .collect::<Vec<_>>()
        };
        let mut parts = sheet("parts");
        parts.extend(["Take", "Llevar"].into_iter().flat_map(sheet));
        if self.repaired() {
            for (_, find) in self.found() {
                let replaced = find.repair.iter().flat_map(|r| &r.jobs);
                parts.extend(
                    replaced
                        .filter(|(job, _)| *job == crate::tree::RepairJob::Replace)
                        .map(|(_, what)| what.clone()),
                );
            }
        }
        parts
    }

    fn walked(&self) -> Section {
        let lang = self.lang();
        Section { title: w(&lang, "The way walked", "El recorrido"), blocks: vec![Block::Path(stops(self))] }
    }

    fn notes(&self) -> Section {
        let lang = self.lang();
        let note = |n: &crate::walk::NoteMade| format!("{} {}: {}", self.when(n.at), n.step, n.text);
        let lines: Vec<String> = self.walk.notes().iter().map(note).collect();
        let blocks = if lines.is_empty() { Vec::new() } else { vec![Block::Lines(lines)] };
        Section { title: w(&lang, "Notes", "Notas"), blocks }
    }

    fn signatures(&self) -> Section {
        let lang = self.lang();
        let lines = vec![
            w(&lang, "Mechanic, date", "Mecánico, fecha"),
            w(&lang, "Customer or site, date", "Cliente o lugar, fecha"),
        ];
        Section { title: w(&lang, "Signatures", "Firmas"), blocks: vec![Block::Signatures(lines)] }
    }

    /// How the record can be held against its journal.
    fn record(&self) -> Section {
        let lang = self.lang();
        let facts = vec![
            (w(&lang, "Events and head", "Eventos y cabeza"), self.journal.head.clone()),
            (w(&lang, "Recorded by", "Registrado con"), format!("loomwalk {}", self.version)),
            (w(&lang, "Kept as", "Guardado como"), self.name.to_owned()),
        ];
        Section { title: w(&lang, "Record", "Registro"), blocks: vec![Block::Facts(facts)] }
    }
}

/// With a capital at its beginning.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect());
    first + letters.as_str()
}
