//! A review in words: one account for the command, the screen and the page in the shop's report.

use crate::diag::Lang;
use crate::safety::Words;
use crate::tree::{BandKind, Kind};
use crate::walk::{Event, Lapse, Walk, cab_words};

use super::gates::GateReview;
use super::passes::{Pass, SuspectAt};
use super::{Names, Review};

/// Words in a language.
fn w(lang: &Lang, en: &'static str, es: &'static str) -> &'static str {
    Words { en, es }.in_lang(lang)
}

/// What an event was, in a few words and in the language of the job; `before` is the walk that it happened to.
pub(super) fn said(before: &Walk, event: &Event) -> String {
    let lang = &before.lang();
    let because =
        |what: &str, why: &str| if why.is_empty() { what.to_owned() } else { format!("{what}: {why}") };
    let after = |what: &str, rest: &str| format!("{what} {rest}");
    match event {
        Event::Begun { .. } => w(lang, "began", "comenzó").to_owned(),
        Event::Details { .. } => w(lang, "what is known of the job", "lo que se sabe del trabajo").to_owned(),
        Event::Answered { answer, .. } => answered(before, answer),
        Event::Read { reading, band, decided, .. } => {
            let means = band_means(before, *band);
            let told = if means.is_empty() { reading.to_string() } else { format!("{reading}, {means}") };
            match decided {
                Some(why) => {
                    let decided = w(lang, "too close to call, decided", "en el límite, decidido");
                    format!("{told}; {decided}: {why}")
                }
                None => told,
            }
        }
        Event::Done { .. } => done(before),
        Event::Item { gate, item, reading, .. } => {
            let number = format!("{gate}, {} {}", w(lang, "item", "punto"), item + 1);
            match reading {
                Some(reading) => format!("{number}: {reading}"),
                None => number,
            }
        }
        Event::Cannot { why, .. } => because(w(lang, "cannot", "no se puede"), why),
        Event::Note { text, .. } => because(w(lang, "note", "nota"), text),
        Event::OwnReading { own, .. } => {
            let black = own.black.as_deref().unwrap_or_else(|| w(lang, "frame", "chasis"));
            let [what, black_lead] =
                [w(lang, "own reading, red", "lectura propia, roja"), w(lang, "black", "negra")];
            format!("{what} {}, {black_lead} {black}: {}", own.red, own.reading)
        }
        Event::Back { step } => after(w(lang, "back to", "vuelta a"), step),
        Event::Jump { step } => after(w(lang, "jump to", "salto a"), step),
        Event::Waits { why } => because(w(lang, "waits", "espera"), why),
        Event::Stayed => w(lang, "the wait is over", "terminó la espera").to_owned(),
        Event::StillSo => w(lang, "asked: nothing has changed", "se preguntó: nada ha cambiado").to_owned(),
        Event::Lapsed { cause } => {
            because(w(lang, "what was in force lapsed", "caducó lo que estaba en vigor"), lapse(*cause, lang))
        }
        Event::Resumed { .. } => w(lang, "taken up again", "retomado").to_owned(),
        Event::Repaired { sheet, .. } => {
            let lines: Vec<String> = sheet.iter().map(|(label, value)| format!("{label} {value}")).collect();
            because(w(lang, "repair", "reparación"), &lines.join("; "))
        }
        Event::Stands { cab, .. } => because(w(lang, "the cab", "la cabina"), cab_words(*cab, lang)),
        Event::NoCodeLeft => w(lang, "no code is there any more", "ya no hay códigos").to_owned(),
        Event::CodeLeft { code } => {
            let words = w(lang, "code still there", "código que sigue");
            format!("{words}: SPN {} FMI {}", code.spn, code.fmi)
        }
        Event::Left { text } => because(w(lang, "left", "quedó"), text),
        Event::Ended { .. } => w(lang, "ended", "terminó").to_owned(),
    }
}

fn answered(before: &Walk, answer: &str) -> String {
    let Some(ix) = before.step_ix() else { return answer.to_owned() };
    let answers = match &before.course().tree().step(ix).kind {
        Kind::Ask(ask) => &ask.answers,
        Kind::Look(look) => &look.answers,
        _ => return answer.to_owned(),
    };
    let found = answers.iter().find(|known| known.id == answer);
    found.map_or_else(|| answer.to_owned(), |known| known.text.in_lang(&before.lang()).to_owned())
}

fn band_means(before: &Walk, band: usize) -> String {
    let Some(band) = before.reading_here().and_then(|read| read.bands.get(band)) else {
        return String::new();
    };
    match (&band.means, &band.kind) {
        (Some(means), _) => means.in_lang(&before.lang()).to_owned(),
        (None, BandKind::Range(range)) => range.to_string(),
        (None, BandKind::Like(_)) => String::new(),
    }
}

fn done(before: &Walk) -> String {
    let lang = &before.lang();
    let plain = w(lang, "done", "hecho");
    let Some(ix) = before.step_ix() else { return plain.to_owned() };
    match &before.course().tree().step(ix).kind {
        Kind::Find(find) => format!("{}: {}", w(lang, "found", "hallado"), find.faults.join("; ")),
        Kind::Do(action) => match &action.action {
            Some(action) => action.in_lang(lang).to_owned(),
            None => w(lang, "the repair of what was found", "la reparación de lo hallado").to_owned(),
        },
        _ => plain.to_owned(),
    }
}

fn lapse(cause: Lapse, lang: &Lang) -> &'static str {
    match cause {
        Lapse::Resumed => w(lang, "the job was taken up again", "se retomó el trabajo"),
        Lapse::Slept => w(lang, "the laptop slept", "el portátil durmió"),
        Lapse::Idle => w(lang, "half an hour without a key", "media hora sin pulsar una tecla"),
        Lapse::LeftIt => w(lang, "the machine was left alone", "la máquina quedó sola"),
    }
}

/// "W35 grounded at pivot-clamp 41, X14:4 wet 14" of 100.
pub(super) fn standings(all: &[SuspectAt]) -> String {
    let one = |s: &SuspectAt| format!("{} {:.0}", s.fault, 100.0 * s.probability);
    all.iter().map(one).collect::<Vec<_>>().join(", ")
}

impl Pass {
    /// The lines under it: what it ruled out, who was suspect, what would have been quicker.
    #[must_use]
    pub fn lines(&self, lang: &Lang) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(out) = self.ruled_out {
            let [ruled_out, of] = [w(lang, "ruled out", "descartó"), w(lang, "of", "de")];
            let share = 100.0 * out.share;
            lines.push(format!("{ruled_out} {} {of} {} ({share:.0} {of} 100)", out.faults, out.of));
        }
        if !self.before.is_empty() {
            let [before, after] =
                [w(lang, "before, of 100", "antes, de 100"), w(lang, "after, of 100", "después, de 100")];
            lines.push(format!("{before}: {}", standings(&self.before)));
            lines.push(format!("{after}: {}", standings(&self.after)));
        }
        if let Some(quicker) = &self.quicker {
            lines.push(format!(
                "{}: {}",
                w(lang, "quicker then", "más rápido entonces"),
                quicker.said.in_lang(lang)
            ));
            let (written, so) = (quicker.minutes.0.value(), quicker.minutes.1.value());
            if written.is_finite() && so.is_finite() {
                lines.push(if is_es(lang) {
                    format!("  se esperan {so:.0} min así, {written:.0} min como está escrito")
                } else {
                    format!("  expected {so:.0} min so, {written:.0} min as written")
                });
            }
        }
        lines
    }
}

fn is_es(lang: &Lang) -> bool {
    lang.code() == "es"
}

impl GateReview {
    /// One line about it.
    #[must_use]
    pub fn line(&self, names: Names, lang: &Lang) -> String {
        let (begun, gate, step) = (self.begun.clock(), &self.gate, &self.step);
        let (confirmed, items) = (self.confirmed, self.items);
        let (clock, by_tree) = (self.clock.value(), self.by_tree.value());
        let mut line = if is_es(lang) {
            format!(
                "{begun} {gate}, para {step}: {confirmed} de {items} puntos, {clock:.1} min ({by_tree:.0} por la máquina)"
            )
        } else {
            format!(
                "{begun} {gate}, for {step}: {confirmed} of {items} items, {clock:.1} min ({by_tree:.0} by the machine)"
            )
        };
        if names == Names::Told && !self.by.is_empty() {
            line = format!("{line}, {}", self.by.join(", "));
        }
        if self.ticked {
            let ticked =
                w(lang, "ticked within two seconds an item", "marcado en menos de dos segundos por punto");
            line = format!("{line}; {ticked}");
        }
        let cannot = w(lang, "answered \"cannot\"", "respuesta: \"no se puede\"");
        match &self.cannot {
            Some(why) if why.is_empty() => format!("{line}; {cannot}"),
            Some(why) => format!("{line}; {cannot}: {why}"),
            None => line,
        }
    }
}

/// The review in lines, as the command prints them.
#[must_use]
pub fn review_lines(review: &Review, names: Names, lang: &Lang) -> Vec<String> {
    let mut lines = vec![format!("{}, {} {}", review.tree, w(lang, "revision", "revisión"), review.revision)];
    if names == Names::Told && !review.mechanic.is_empty() {
        lines.push(format!("{} {}.", w(lang, "By", "Por"), review.mechanic));
    }
    lines.extend(totals(review, lang));
    let title = w(
        lang,
        "Event by event: clock minutes, minutes by the tree, step, what",
        "Suceso por suceso: minutos por el reloj, minutos por el árbol, paso, qué",
    );
    lines.extend([String::new(), title.to_owned()]);
    let mut rest = review.passes.as_slice();
    while let Some((first, _)) = rest.split_first() {
        // The items of a gate that were confirmed one after the other are one line.
        let same = rest
            .iter()
            .take_while(|pass| pass.gate.is_some() && pass.gate == first.gate && pass.step == first.step);
        let (run, after) = rest.split_at(same.count().max(1));
        lines.push(pass_line(run, lang));
        lines.extend(first.lines(lang).into_iter().map(|line| format!("       {line}")));
        rest = after;
    }
    lines.push(String::new());
    lines.extend(review.lines_beside(names, lang));
    lines
}

impl Review {
    /// Everything beside the path: gates, conditions, close calls, what was put in in vain, own readings, jumps.
    #[must_use]
    pub fn lines_beside(&self, names: Names, lang: &Lang) -> Vec<String> {
        let mut lines = vec![w(lang, "Gates", "Controles").to_owned()];
        lines.extend(self.gates.iter().map(|gate| format!("  {}", gate.line(names, lang))));
        let in_force = w(lang, "In force, minutes worked", "En vigor, minutos trabajados");
        lines.extend([String::new(), in_force.to_owned()]);
        for held in &self.in_force {
            lines.push(format!("  {}: {:.1}", held.words.in_lang(lang), held.minutes.value()));
        }
        lines.extend(remarks(self, lang));
        lines
    }
}

/// One event in a line, or the items of a gate together.
fn pass_line(run: &[Pass], lang: &Lang) -> String {
    let first = &run[0];
    let step = if first.step.is_empty() { "-" } else { &first.step };
    let sum = |of: fn(&Pass) -> f64| run.iter().map(of).sum::<f64>();
    let what = match &first.gate {
        Some(gate) if run.len() > 1 => format!("{gate}, {} {}", run.len(), w(lang, "items", "puntos")),
        _ => first.what.clone(),
    };
    format!(
        "{:>3}  {}  {:>5.1} {:>5.1}  {step}: {what}",
        first.number,
        first.at.clock(),
        sum(|pass| pass.clock.value()),
        sum(|pass| pass.by_tree.value())
    )
}

/// The sums of a job.
fn totals(review: &Review, lang: &Lang) -> Vec<String> {
    let [worked, waited, by_tree] = [&review.worked, &review.waited, &review.by_tree].map(|m| m.value());
    let mut lines = vec![if is_es(lang) {
        format!(
            "{worked:.0} min trabajados por el reloj, sin esperas ({waited:.0} min de espera); {by_tree:.0} min por el árbol."
        )
    } else {
        format!(
            "{worked:.0} min worked by the clock, waits left out ({waited:.0} min waited); {by_tree:.0} min by the tree."
        )
    }];
    for (step, faults) in &review.finds {
        lines.push(format!("{} {step}: {}.", w(lang, "Found at", "Hallado en"), faults.join("; ")));
    }
    if let Some(number) = review.determined
        && let Some(pass) = review.passes.get(number - 1)
    {
        lines.push(if is_es(lang) {
            format!("Tras el suceso {number}, {}, solo quedaba un hallazgo.", pass.step)
        } else {
            format!("After event {number}, {}, only one finding was left.", pass.step)
        });
    }
    lines
}

fn remarks(review: &Review, lang: &Lang) -> Vec<String> {
    let mut lines = Vec::new();
    let mut section = |title: &str, all: Vec<String>| {
        if !all.is_empty() {
            lines.extend([String::new(), title.to_owned()]);
            lines.extend(all.into_iter().map(|line| format!("  {line}")));
        }
    };
    let close = |c: &super::CloseCall| format!("{}: {}; {}", c.step, c.reading, c.why);
    section(
        w(lang, "Readings too close to call, decided by hand", "Lecturas en el límite, decididas a mano"),
        review.close_calls.iter().map(close).collect(),
    );
    let round = w(lang, "round", "vuelta");
    let vain = |v: &super::InVain| format!("{round} {}, {}: {}", v.round, v.find, v.repair);
    section(
        w(
            lang,
            "Good parts fitted: the proof failed after it",
            "Piezas buenas cambiadas: la comprobación falló después",
        ),
        review.in_vain.iter().map(vain).collect(),
    );
    let told = |pass: &Pass| format!("{}: {}", pass.step, pass.what);
    let own = review.passes.iter().filter(|pass| pass.is_own);
    section(w(lang, "Own readings", "Lecturas propias"), own.map(told).collect());
    let jumps = review.passes.iter().filter(|pass| pass.is_jump);
    section(w(lang, "Jumps", "Saltos"), jumps.map(told).collect());
    lines
}
