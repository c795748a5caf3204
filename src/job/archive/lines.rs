//! The archive in words: its lines with a plot of the findings, and what the page says as well.

use super::sums::{Archive, Repeat};
use crate::diag::Lang;
use crate::job::copies::Copies;
use crate::job::summary::Standing;
use crate::safety::Words;

/// How many lines a list has at most; JSON has all.
const MOST_LISTED: usize = 20;
/// How wide the longest bar is.
const BAR: usize = 30;

/// Words in a language.
fn w(lang: &Lang, en: &'static str, es: &'static str) -> String {
    Words { en, es }.in_lang(lang).to_owned()
}

fn is_es(lang: &Lang) -> bool {
    lang.code() == "es"
}

/// The archive in lines, with a plot of the findings.
#[must_use]
pub fn archive_lines(archive: &Archive, suspects: Option<(usize, usize)>, lang: &Lang) -> Vec<String> {
    let mut lines = vec![jobs(archive.jobs.len(), lang)];
    lines.extend(minutes(archive, lang));
    lines.extend([String::new(), w(lang, "Findings", "Hallazgos")]);
    lines.extend(plot(archive, lang));
    lines.extend([String::new(), proofs(archive, lang)]);
    lines.extend(suspects.map(|counts| right(counts, lang)));
    let cannot = archive.gates_cannot();
    if !cannot.is_empty() {
        let gates: Vec<String> = cannot.iter().map(|(gate, count)| format!("{gate} {count}")).collect();
        let title = w(lang, "Gates answered \"cannot\"", "Controles en los que se respondió \"no se puede\"");
        lines.push(format!("{title}: {}.", gates.join(", ")));
    }
    for (title, all) in lists(archive, lang) {
        lines.extend(listed(title, all, lang));
    }
    lines
}

/// "1 job."
pub(super) fn jobs(count: usize, lang: &Lang) -> String {
    match (count, is_es(lang)) {
        (1, false) => "1 job.".to_owned(),
        (_, false) => format!("{count} jobs."),
        (1, true) => "1 trabajo.".to_owned(),
        (_, true) => format!("{count} trabajos."),
    }
}

/// The minutes of ended jobs; nothing where none has ended.
pub(super) fn minutes(archive: &Archive, lang: &Lang) -> Option<String> {
    let (count, middle, least, most) = archive.minutes()?;
    let (middle, least, most) = (format!("{middle:.0}"), format!("{least:.0}"), format!("{most:.0}"));
    Some(match (count, is_es(lang)) {
        (1, false) => format!("1 ended. Minutes worked, waits left out: {middle}."),
        (1, true) => format!("1 terminado. Minutos trabajados, sin esperas: {middle}."),
        (_, false) => format!(
            "{count} ended. Minutes worked, waits left out: {middle} in the middle, {least} to {most}."
        ),
        (_, true) => format!(
            "{count} terminados. Minutos trabajados, sin esperas: {middle} en el medio, de {least} a {most}."
        ),
    })
}

/// A bar for each finding.
fn plot(archive: &Archive, lang: &Lang) -> Vec<String> {
    let findings = archive.findings();
    if findings.is_empty() {
        return vec![format!("  {}", w(lang, "none yet", "ninguno aún"))];
    }
    let most = findings.iter().map(|(_, count)| *count).max().unwrap_or(1);
    let line = |((machine, tree, fault), count): &((String, String, String), usize)| {
        let bar = "#".repeat((count * BAR).div_ceil(most).max(1));
        format!("  {bar:BAR$} {count:>4}  {fault}  ({})", of(machine, tree))
    };
    findings.iter().map(line).collect()
}

/// Proofs that did not show.
pub(super) fn proofs(archive: &Archive, lang: &Lang) -> String {
    let (failed, in_jobs, found) = archive.proofs();
    match (found, is_es(lang)) {
        (1, false) => format!("Proofs that failed: {failed}, in {in_jobs} of 1 job with a finding."),
        (_, false) => format!("Proofs that failed: {failed}, in {in_jobs} of {found} jobs with a finding."),
        (1, true) => format!("Comprobaciones fallidas: {failed}, en {in_jobs} de 1 trabajo con hallazgo."),
        (_, true) => {
            format!("Comprobaciones fallidas: {failed}, en {in_jobs} de {found} trabajos con hallazgo.")
        }
    }
}

/// How often the suspects were right.
pub(super) fn right((right, of): (usize, usize), lang: &Lang) -> String {
    match (of, is_es(lang)) {
        (1, false) => format!("The likeliest suspect was the one found in {right} of 1 job looked at."),
        (_, false) => format!("The likeliest suspect was the one found in {right} of {of} jobs looked at."),
        (1, true) => {
            format!("El sospechoso más probable era el hallado en {right} de 1 trabajo examinado.")
        }
        (_, true) => {
            format!("El sospechoso más probable era el hallado en {right} de {of} trabajos examinados.")
        }
    }
}

/// What is listed by name under the sums, each list with its title.
pub(super) fn lists(archive: &Archive, lang: &Lang) -> Vec<(String, Vec<String>)> {
    let waiting = |(name, why, since): (&str, &str, String)| {
        let nobody = w(lang, "nobody said for what", "nadie dijo qué espera");
        let why = if why.is_empty() { nobody.as_str() } else { why };
        format!("{name}: {why}, {} {since}", w(lang, "since", "desde el"))
    };
    vec![
        (
            w(lang, "The same machine again within 30 days", "La misma máquina otra vez en 30 días"),
            archive.repeats().iter().map(|again| repeat(again, lang)).collect(),
        ),
        (
            w(lang, "Open", "Abiertos"),
            archive.standing(Standing::Open).into_iter().map(str::to_owned).collect(),
        ),
        (w(lang, "Waiting", "En espera"), archive.waiting().map(waiting).collect()),
        (w(lang, "Cannot be read", "No se pueden leer"), archive.unreadable.clone()),
        (
            w(
                lang,
                "Counted once, though they lie in several files",
                "Contados una vez, aunque están en varios archivos",
            ),
            archive.copies.iter().map(|copies| files(copies, lang)).collect(),
        ),
    ]
}

/// A machine and a tree in few words.
pub(super) fn of(machine: &str, tree: &str) -> String {
    if machine.is_empty() { tree.to_owned() } else { format!("{machine}, {tree}") }
}

/// A machine that came again, in a line.
fn repeat(again: &Repeat, lang: &Lang) -> String {
    let Repeat { serial, jobs: [first, second], days } = again;
    match (days, is_es(lang)) {
        (1, false) => format!("{serial}: {second}, 1 day after {first}"),
        (_, false) => format!("{serial}: {second}, {days} days after {first}"),
        (1, true) => format!("{serial}: {second}, 1 día después de {first}"),
        (_, true) => format!("{serial}: {second}, {days} días después de {first}"),
    }
}

/// The files of one job, in a line.
fn files(copies: &Copies, lang: &Lang) -> String {
    let names: Vec<&str> = copies.names().collect();
    let parted = if copies.has_parted() {
        w(
            lang,
            "; continued in several places, see `loomwalk job list`",
            "; siguió en varios lugares, vea `loomwalk job list`",
        )
    } else {
        String::new()
    };
    format!("{}{parted}", names.join(", "))
}

fn listed(title: String, mut all: Vec<String>, lang: &Lang) -> Vec<String> {
    if all.is_empty() {
        return Vec::new();
    }
    let more = all.len().saturating_sub(MOST_LISTED);
    all.truncate(MOST_LISTED);
    let rest = match (more, is_es(lang)) {
        (0, _) => None,
        (_, false) => Some(format!("  and {more} more")),
        (_, true) => Some(format!("  y {more} más")),
    };
    let lines = all.into_iter().map(|line| format!("  {line}"));
    [String::new(), title].into_iter().chain(lines).chain(rest).collect()
}
