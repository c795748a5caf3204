//! After practice: first what was done well, then what it was, the minutes beside the best plan, which readings told
//! most and which nothing, when the answer was already there, and the gates. No grades.

use super::mechanic::{Way, way};
use super::session::names_hidden;
use super::sitting::Sitting;
use crate::diag::Lang;
use crate::job::{Pass, Review};
use crate::machine::Measured;
use crate::reason::Suspicion;
use crate::safety::Words;
use crate::tree::{CloseAs, Kind, StepIx};
use crate::units::{Minutes, Ohms, Volts};
use crate::walk::{EndedAs, Event, Moment, Now, Walk};

/// Readings told as those that told most.
const MOST: usize = 2;
/// What moves no suspect by this much told nothing.
const NOTHING: f64 = 0.01;

fn w(lang: &Lang, en: &'static str, es: &'static str) -> &'static str {
    Words { en, es }.in_lang(lang)
}

fn is_es(lang: &Lang) -> bool {
    lang.code() == "es"
}

/// What is told after practice, in the language that was practised in.
#[derive(Debug, Clone, PartialEq)]
pub struct Debrief {
    lang: Lang,
    /// Why this machine came again: "Again, because you took X for Y".
    pub again: Option<String>,
    /// What was done well; never empty.
    pub well: Vec<String>,
    /// What it was, and how bad.
    pub what: String,
    /// Minutes to the right finding, or to the end.
    pub minutes: Minutes,
    /// The right finding was come to.
    pub found: bool,
    /// The way as the tree is written.
    pub by_tree: Way,
    /// The way by what would have been quickest.
    pub by_suggestions: Way,
    /// Readings and answers that told most: step, what was seen, what it ruled out.
    pub told_most: Vec<String>,
    /// Those that told nothing.
    pub told_nothing: Vec<String>,
    /// When only one finding was left, and the minutes after that.
    pub determined: Option<String>,
    /// The gates, and moves that were stopped.
    pub gates: Vec<String>,
    /// What was taken for what: the faults of the first wrong finding.
    pub took: Option<Vec<String>>,
}

impl Debrief {
    /// The debrief of a sitting, from its events.
    pub(super) fn of(sitting: &Sitting, events: &[(Moment, Event)]) -> Self {
        let walk = sitting.walk();
        let walkable = sitting.course();
        let course = walkable.course();
        let observed = walk.observed();
        let day = course.tree().model.as_deref().map(|machine| machine.day(observed.today));
        let suspicion = Suspicion::new(&course, day.as_ref(), observed.meter);
        let events: Vec<(Moment, &Event)> = events.iter().map(|(at, event)| (*at, event)).collect();
        let review = Review::by(&course, &events, &suspicion);
        let right = finding(sitting, true);
        let until = right.map_or(walk.last(), |(_, at)| at);
        let wrong = finding(sitting, false).filter(|(_, at)| at.mono_ms < until.mono_ms || right.is_none());
        // What came after the right finding is repair and proof; nothing is weighed there.
        let searched: Vec<&Pass> = review.passes.iter().filter(|p| p.at.mono_ms <= until.mono_ms).collect();
        let by_tree = way(walkable, sitting.specimen(), None);
        let by_suggestions = way(walkable, sitting.specimen(), Some(&suspicion));
        let minutes = right.map_or(walk.minutes_worked(), |(_, at)| minutes_since(walk, at));
        let lang = walk.lang();
        let (told_most, told_nothing) = told(&searched, &lang);
        let determined = review.determined.and_then(|number| {
            let pass = review.passes.get(number - 1)?;
            let left = minutes - minutes_since(walk, pass.at);
            let Pass { step, what, .. } = pass;
            (left >= 0.0).then(|| {
                if is_es(&walk.lang()) {
                    format!("Tras {step} ({what}) solo quedaba un hallazgo; pasaron {left:.0} min después.")
                } else {
                    format!(
                        "After {step} ({what}) only one finding was left; {left:.0} min went by after it."
                    )
                }
            })
        });
        Self {
            again: sitting.again().map(str::to_owned),
            well: well((sitting, &review), &searched, right.map(|_| minutes), &by_tree),
            what: what(sitting),
            minutes: Minutes(minutes),
            found: right.is_some(),
            by_tree,
            by_suggestions,
            told_most,
            told_nothing,
            determined,
            gates: gates(sitting, &review),
            lang,
            took: wrong.map(|(ix, _)| faults_of(walk, ix)),
        }
    }

    /// The lines of the debrief, as plain mode says them.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let w = |en, es| w(&self.lang, en, es);
        let mut lines = vec![w("Done well", "Bien hecho").to_owned()];
        lines.extend(self.well.iter().map(|line| format!("  {line}")));
        lines.extend([String::new(), w("What it was", "Qué era").to_owned(), format!("  {}", self.what)]);
        lines.extend(self.again.iter().map(|again| format!("  {again}")));
        if let Some(took) = &self.took {
            lines.push(format!("  {} {}.", w("You took it for", "Usted lo tomó por"), took.join("; ")));
        }
        lines.extend([String::new(), w("Minutes", "Minutos").to_owned()]);
        let until = if self.found {
            w("to the finding", "hasta el hallazgo")
        } else {
            w("until you stopped", "hasta que paró")
        };
        lines.push(format!("  {}: {:.0} {until}.", w("You", "Usted"), self.minutes.value()));
        lines.push(self.way_line(w("As the tree is written", "Como está escrito el árbol"), &self.by_tree));
        if self.by_suggestions.finds
            && self.by_suggestions.minutes.value() < self.by_tree.minutes.value() - 0.5
        {
            let quicker = w("By what was quicker at each step", "Por lo más rápido en cada paso");
            lines.push(self.way_line(quicker, &self.by_suggestions));
        }
        let mut section = |title: &str, all: &[String]| {
            if !all.is_empty() {
                lines.extend([String::new(), title.to_owned()]);
                lines.extend(all.iter().map(|line| format!("  {line}")));
            }
        };
        section(w("What told most", "Qué dijo más"), &self.told_most);
        section(w("What told nothing", "Qué no dijo nada"), &self.told_nothing);
        section(w("When it was there", "Cuándo estaba ya claro"), self.determined.as_slice());
        section(w("Gates", "Controles"), &self.gates);
        section(
            w("How a good mechanic would have gone", "Cómo habría ido un buen mecánico"),
            &self.best().steps,
        );
        lines
    }

    fn way_line(&self, label: &str, way: &Way) -> String {
        let minutes = way.minutes.value();
        if way.finds {
            return format!("  {label}: {minutes:.0}.");
        }
        let alone =
            w(&self.lang, "and this tree does not find it alone", "y este árbol por sí solo no lo halla");
        format!("  {label}: {minutes:.0}, {alone}.")
    }

    /// The quicker of the two ways that find it.
    #[must_use]
    pub fn best(&self) -> &Way {
        let quicker = self.by_suggestions.minutes.value() < self.by_tree.minutes.value();
        if self.by_suggestions.finds && (quicker || !self.by_tree.finds) {
            &self.by_suggestions
        } else {
            &self.by_tree
        }
    }
}

/// The first finding come to that names what is hidden, or the first that does not.
fn finding(sitting: &Sitting, right: bool) -> Option<(StepIx, Moment)> {
    let walk = sitting.walk();
    let tree = walk.course().tree();
    let is_find = |v: &&crate::walk::Visit| matches!(tree.step(v.step).kind, Kind::Find(_));
    let wanted = |v: &&crate::walk::Visit| names_hidden(walk, v.step, sitting.specimen()) == right;
    walk.visits().iter().filter(is_find).find(wanted).map(|v| (v.step, v.entered))
}

fn faults_of(walk: &Walk, ix: StepIx) -> Vec<String> {
    match &walk.course().tree().step(ix).kind {
        Kind::Find(find) => find.faults.clone(),
        _ => Vec::new(),
    }
}

#[allow(clippy::cast_precision_loss)] // milliseconds of a sitting
fn minutes_since(walk: &Walk, at: Moment) -> f64 {
    at.since(walk.started()) as f64 / 60_000.0
}

/// The fault by its name, how bad it is, and where it sits.
fn what(sitting: &Sitting) -> String {
    let specimen = sitting.specimen();
    let fault = specimen.machine().fault(specimen.hidden().fault);
    let title = fault.title.as_ref().map(|t| format!(" ({})", t.in_lang(&sitting.walk().lang())));
    let severity = specimen.hidden().severity;
    let bad = match fault.measured {
        Measured::Ohms => format!(", {}", Ohms(rounded(severity))),
        Measured::Volts => format!(", {}", Volts(rounded(severity))),
        Measured::Fixed => String::new(),
    };
    format!("{}{}{bad}", fault.name, title.unwrap_or_default())
}

/// Two digits are enough to say how bad something is.
fn rounded(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let power = 10_f64.powf(1.0 - value.abs().log10().floor());
    (value * power).round() / power
}

fn moved(pass: &Pass) -> f64 {
    let before = |fault: &str| pass.before.iter().find(|s| s.fault == fault).map(|s| s.probability);
    pass.after.iter().map(|s| (s.probability - before(&s.fault).unwrap_or(0.0)).abs()).fold(0.0, f64::max)
}

fn told(searched: &[&Pass], lang: &Lang) -> (Vec<String>, Vec<String>) {
    let mut weighed: Vec<&Pass> = searched.iter().copied().filter(|pass| pass.ruled_out.is_some()).collect();
    let [ruled_out, of] = [w(lang, "ruled out", "descartó"), w(lang, "of", "de")];
    let line = |pass: &Pass| {
        let out = pass.ruled_out.map_or(String::new(), |out| {
            format!("; {ruled_out} {} {of} {} ({:.0} {of} 100)", out.faults, out.of, 100.0 * out.share)
        });
        format!("{}: {}{out}", pass.step, pass.what)
    };
    let nothing = |pass: &&&Pass| pass.ruled_out.is_some_and(|out| out.faults == 0) && moved(pass) < NOTHING;
    let told_nothing =
        weighed.iter().filter(nothing).map(|pass| format!("{}: {}", pass.step, pass.what)).collect();
    weighed.sort_by(|a, b| {
        let share = |pass: &Pass| pass.ruled_out.map_or(0.0, |out| out.share);
        share(b).total_cmp(&share(a))
    });
    let most = weighed.into_iter().filter(|pass| pass.ruled_out.is_some_and(|out| out.faults > 0));
    (most.take(MOST).map(line).collect(), told_nothing)
}

fn gates(sitting: &Sitting, review: &Review) -> Vec<String> {
    let lang = &sitting.walk().lang();
    let mut lines: Vec<String> = Vec::new();
    let passed = review.gates.iter().filter(|gate| gate.confirmed == gate.items).count();
    let items: usize = review.gates.iter().map(|gate| gate.confirmed).sum();
    let all = review.gates.len();
    if all > 0 {
        let gates = if all == 1 { "gate" } else { "gates" };
        lines.push(if is_es(lang) {
            format!("{passed} de {all} controles pasados, {items} puntos confirmados uno por uno.")
        } else {
            format!("{passed} of {all} {gates} passed, {items} items confirmed one by one.")
        });
    }
    let cannot = w(lang, "cannot", "no se puede");
    for gate in review.gates.iter().filter(|gate| gate.cannot.is_some()) {
        lines.push(format!("{}: {cannot}. {}", gate.gate, gate.cannot.as_deref().unwrap_or_default()));
    }
    for stopped in sitting.practice().stopped() {
        let why = stopped.why.rules.first().map_or("", |rule| rule.at_machine_in(lang));
        let at = w(lang, "Stopped at", "Parado en");
        lines.push(format!("{at} {}: {}. {why}", stopped.step, stopped.asked));
    }
    lines
}

fn well(
    (sitting, review): (&Sitting, &Review),
    searched: &[&Pass],
    found_in: Option<f64>,
    by_tree: &Way,
) -> Vec<String> {
    let lang = &sitting.walk().lang();
    let mut lines = Vec::new();
    let mut say = |en, es| lines.push(w(lang, en, es).to_owned());
    if found_in.is_some() {
        say("You named what was wrong.", "Usted nombró lo que fallaba.");
    }
    let all_passed = review.gates.iter().all(|gate| gate.confirmed == gate.items);
    if !review.gates.is_empty() && all_passed {
        say("Every gate was passed item by item.", "Cada control se pasó punto por punto.");
    }
    if sitting.practice().stopped().is_empty() && !review.gates.is_empty() {
        say("No move had to be stopped.", "No hubo que parar nada.");
    }
    if *sitting.walk().now() == Now::Ended(EndedAs::Closed(CloseAs::Repaired)) {
        say("It was put right and proved.", "Quedó reparado y comprobado.");
        if review.in_vain.is_empty() {
            say("No good part was fitted.", "No se cambió ninguna pieza buena.");
        }
    }
    if by_tree.finds && found_in.is_some_and(|minutes| minutes <= by_tree.minutes.value() + 0.5) {
        say("You were as quick as the tree, or quicker.", "Fue tan rápido como el árbol, o más.");
    }
    let weighed = searched.iter().filter_map(|pass| Some((pass, pass.ruled_out?)));
    let best = weighed.max_by(|a, b| a.1.share.total_cmp(&b.1.share));
    if let Some((pass, out)) = best.filter(|(_, out)| out.faults > 0) {
        let (step, faults, of) = (&pass.step, out.faults, out.of);
        lines.push(if is_es(lang) {
            format!("{step} fue una buena prueba: descartó {faults} de {of}.")
        } else {
            format!("{step} was a good test: it ruled out {faults} of {of}.")
        });
    }
    if lines.is_empty() {
        let asked = w(
            lang,
            "You took the call and asked before you drove out.",
            "Usted atendió la llamada y preguntó antes de salir.",
        );
        lines.push(asked.to_owned());
    }
    lines
}
