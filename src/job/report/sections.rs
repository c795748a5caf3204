//! The sections of a report, in the order in which they are read: complaint, cause, correction first.

use crate::tree::{Find, Kind, Proof, Seen};
use crate::walk::{Now, Outcome, Visit, Walker};

use super::path::stops;
use super::safety_part::{left_section, safety_section};
use super::tables::{gate_items, own_readings, path_table, readings};
use super::words::{lapse, stands, w};
use super::{Block, Reader, Report, Section};

impl Report<'_> {
    /// The title of the report.
    pub(super) fn title(&self) -> String {
        let lang = self.lang();
        format!(
            "{} {}: {}",
            w(&lang, "Job", "Trabajo"),
            self.name,
            self.walk.course().tree().title.in_lang(&lang)
        )
    }

    /// All sections for the reader.
    pub(super) fn sections(&self) -> Vec<Section> {
        let mut sections =
            vec![self.summary(), self.remains(), self.proofs(), safety_section(self), left_section(self)];
        if self.reader >= Reader::Office {
            sections.push(self.office());
        }
        sections.push(readings(self));
        if self.reader == Reader::Shop {
            sections.extend([
                own_readings(self),
                gate_items(self),
                self.walked(),
                path_table(self),
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
            if cause.is_empty() {
                find.faults.join("; ")
            } else {
                format!("{}. {cause}", find.faults.join("; "))
            }
        });
        let facts = vec![
            (w(&lang, "Complaint", "Queja"), complaint),
            (w(&lang, "Cause", "Causa"), cause),
            (w(&lang, "Correction", "Corrección"), self.correction()),
            (w(&lang, "Stands", "Estado"), stands(self.walk.now(), &lang)),
        ];
        let mut blocks = vec![Block::Facts(facts)];
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
    fn repaired(&self) -> bool {
        let tree = self.walk.course().tree();
        self.walk.visits().iter().any(|v| {
            matches!(&tree.step(v.step).kind, Kind::Do(action) if action.action.is_none())
                && v.outcome == Outcome::Done
        })
    }

    fn correction(&self) -> String {
        let lang = self.lang();
        let mut done: Vec<String> = Vec::new();
        for (_, sheet) in self.walk.repairs() {
            done.push(
                sheet.iter().map(|(label, value)| format!("{label} {value}")).collect::<Vec<_>>().join(", "),
            );
        }
        if self.repaired()
            && let Some((_, find)) = self.found().last()
            && let Some(repair) = &find.repair
        {
            let jobs = repair
                .jobs
                .iter()
                .map(|(job, what)| format!("{} {what}", crate::walk::repair_word(*job, &lang)));
            done.extend(jobs);
            done.extend(repair.text.as_ref().map(|t| t.in_lang(&lang).to_owned()));
        }
        done.join("; ")
    }

    /// What was proved, and what the interlock did.
    fn proofs(&self) -> Section {
        let lang = self.lang();
        let tree = self.walk.course().tree();
        let told = |visit: &Visit| {
            let step = tree.step(visit.step);
            let Kind::Ask(ask) = &step.kind else { return None };
            let proof = ask.proof?;
            let Outcome::Answer(way) = visit.outcome else { return None };
            let answer = ask.answers.get(way)?;
            let shown = match (proof, answer.seen) {
                (Proof::Works, Some(Seen::Works)) | (Proof::Held, Some(Seen::Fails)) => {
                    w(&lang, "proved", "comprobado")
                }
                _ => w(&lang, "NOT proved", "NO comprobado"),
            };
            let at = visit.left.map_or_else(String::new, crate::walk::Moment::clock);
            Some(vec![
                at,
                ask.question.in_lang(&lang).to_owned(),
                answer.text.in_lang(&lang).to_owned(),
                shown,
            ])
        };
        let rows: Vec<Vec<String>> = self.walk.visits().iter().filter_map(told).collect();
        let heads = vec![
            w(&lang, "Time", "Hora"),
            w(&lang, "Tried", "Se probó"),
            w(&lang, "Seen", "Se vio"),
            w(&lang, "Result", "Resultado"),
        ];
        let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
        Section { title: w(&lang, "Proof", "Comprobación"), blocks }
    }

    /// What is still there, or still to do.
    fn remains(&self) -> Section {
        let lang = self.lang();
        let tree = self.walk.course().tree();
        let mut lines: Vec<String> = self
            .walk
            .codes_left()
            .iter()
            .map(|code| {
                format!(
                    "{} SPN {} FMI {} {}",
                    w(&lang, "Code still there:", "Código que sigue:"),
                    code.spn,
                    code.fmi,
                    code.text
                )
            })
            .collect();
        let last = self.walk.visits().last().map(|v| tree.step(v.step));
        if let Some(Kind::Refer(refer)) = last.map(|s| &s.kind) {
            lines.push(refer.why.in_lang(&lang).to_owned());
            lines.extend(
                refer
                    .waits_for
                    .as_ref()
                    .map(|t| format!("{} {}", w(&lang, "Waits for:", "Espera:"), t.in_lang(&lang))),
            );
        }
        if !matches!(self.walk.now(), Now::Ended(_)) {
            lines.push(format!(
                "{} {}",
                w(&lang, "The job is open, at step", "El trabajo sigue abierto, en el paso"),
                self.walk.step_id()
            ));
        }
        lines.extend(self.journal.wrong.iter().cloned());
        let blocks = if lines.is_empty() { Vec::new() } else { vec![Block::Lines(lines)] };
        Section { title: w(&lang, "What remains", "Qué queda"), blocks }
    }

    /// What the office needs: machine, times, parts, tree.
    fn office(&self) -> Section {
        let lang = self.lang();
        let details = self.walk.details();
        let tree = self.walk.course().tree();
        let text = |value: &Option<String>| value.clone().unwrap_or_default();
        let facts = vec![
            (w(&lang, "Job number", "Número"), text(&details.number)),
            (w(&lang, "Customer", "Cliente"), text(&details.customer)),
            (w(&lang, "Site", "Lugar"), text(&details.site)),
            (w(&lang, "Machine serial", "Serie de la máquina"), text(&details.serial)),
            (w(&lang, "Hours", "Horas"), details.hours.map_or_else(String::new, |h| h.to_string())),
            (w(&lang, "Attachment", "Implemento"), text(&details.attachment)),
            (w(&lang, "Mechanic", "Mecánico"), text(&details.mechanic)),
            (w(&lang, "Battery", "Batería"), details.volts.map_or_else(String::new, |v| v.to_string())),
            (
                w(&lang, "Temperature", "Temperatura"),
                details.celsius.map_or_else(String::new, |c| c.to_string()),
            ),
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
                .flat_map(|(_, s)| s)
                .filter(|(l, _)| l == key)
                .map(|(_, v)| v.clone())
                .collect::<Vec<_>>()
        };
        let mut parts = sheet("parts");
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
        let mut lines: Vec<String> =
            self.walk.notes().iter().map(|n| format!("{} {}: {}", n.at.clock(), n.step, n.text)).collect();
        lines.extend(self.walk.lapses().iter().map(|(at, cause)| {
            let what = w(&lang, "what was in force lapsed", "lo vigente dejó de contar");
            format!("{} {what}: {}", at.clock(), lapse(*cause, &lang))
        }));
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
        ];
        Section { title: w(&lang, "Record", "Registro"), blocks: vec![Block::Facts(facts)] }
    }
}
