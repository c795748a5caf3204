//! A review in words: one account for the command, the screen and the page in the shop's report.

use crate::tree::{BandKind, Kind};
use crate::walk::{Event, Lapse, Walk};

use super::gates::GateReview;
use super::passes::{Pass, SuspectAt};
use super::{Names, Review};

/// What an event was, in a few words; `before` is the walk that it happened to.
pub(super) fn said(before: &Walk, event: &Event) -> String {
    let because =
        |what: &str, why: &str| if why.is_empty() { what.to_owned() } else { format!("{what}: {why}") };
    match event {
        Event::Begun { .. } => "began".to_owned(),
        Event::Details { .. } => "what is known of the job".to_owned(),
        Event::Answered { answer, .. } => answered(before, answer),
        Event::Read { reading, band, decided, .. } => {
            let means = band_means(before, *band);
            let told = if means.is_empty() { reading.to_string() } else { format!("{reading}, {means}") };
            match decided {
                Some(why) => format!("{told}; too close to call, decided: {why}"),
                None => told,
            }
        }
        Event::Done { .. } => done(before),
        Event::Item { gate, item, reading, .. } => {
            let number = item + 1;
            match reading {
                Some(reading) => format!("{gate}, item {number}: {reading}"),
                None => format!("{gate}, item {number}"),
            }
        }
        Event::Cannot { why, .. } => because("cannot", why),
        Event::Note { text, .. } => format!("note: {text}"),
        Event::OwnReading { own, .. } => {
            let black = own.black.as_deref().unwrap_or("frame");
            format!("own reading, red {}, black {black}: {}", own.red, own.reading)
        }
        Event::Back { step } => format!("back to {step}"),
        Event::Jump { step } => format!("jump to {step}"),
        Event::Waits { why } => because("waits", why),
        Event::Stayed => "the wait is over".to_owned(),
        Event::StillSo => "asked: nothing has changed".to_owned(),
        Event::Lapsed { cause } => format!("what was in force lapsed: {}", lapse(*cause)),
        Event::Resumed { .. } => "taken up again".to_owned(),
        Event::Repaired { sheet, .. } => {
            let lines: Vec<String> = sheet.iter().map(|(label, value)| format!("{label} {value}")).collect();
            format!("repair: {}", lines.join("; "))
        }
        Event::Stands { cab, .. } => format!("the cab stands {}", cab.word()),
        Event::NoCodeLeft => "no code is there any more".to_owned(),
        Event::CodeLeft { code } => format!("code still there: SPN {} FMI {}", code.spn, code.fmi),
        Event::Left { text } => format!("left: {text}"),
        Event::Ended { .. } => "ended".to_owned(),
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
    let Some(ix) = before.step_ix() else { return "done".to_owned() };
    match &before.course().tree().step(ix).kind {
        Kind::Find(find) => format!("found: {}", find.faults.join("; ")),
        Kind::Do(action) => match &action.action {
            Some(action) => action.in_lang(&before.lang()).to_owned(),
            None => "the repair of what was found".to_owned(),
        },
        _ => "done".to_owned(),
    }
}

const fn lapse(cause: Lapse) -> &'static str {
    match cause {
        Lapse::Resumed => "the job was taken up again",
        Lapse::Slept => "the laptop slept",
        Lapse::Idle => "half an hour without a key",
        Lapse::LeftIt => "the machine was left alone",
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
    pub fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(out) = self.ruled_out {
            let share = 100.0 * out.share;
            lines.push(format!("ruled out {} of {} ({share:.0} of 100)", out.faults, out.of));
        }
        if !self.before.is_empty() {
            lines.push(format!("before, of 100: {}", standings(&self.before)));
            lines.push(format!("after, of 100: {}", standings(&self.after)));
        }
        if let Some(quicker) = &self.quicker {
            let (written, so) = quicker.minutes;
            lines.push(format!("quicker then: {}", quicker.said));
            if written.value().is_finite() && so.value().is_finite() {
                lines.push(format!(
                    "  expected {:.0} min so, {:.0} min as written",
                    so.value(),
                    written.value()
                ));
            }
        }
        lines
    }
}

impl GateReview {
    /// One line about it.
    #[must_use]
    pub fn line(&self, names: Names) -> String {
        let mut line = format!(
            "{} {}, for {}: {} of {} items, {:.1} min ({:.0} by the machine)",
            self.begun.clock(),
            self.gate,
            self.step,
            self.confirmed,
            self.items,
            self.clock.value(),
            self.by_tree.value()
        );
        if names == Names::Told && !self.by.is_empty() {
            line = format!("{line}, {}", self.by.join(", "));
        }
        if self.ticked {
            line = format!("{line}; ticked within two seconds an item");
        }
        match &self.cannot {
            Some(why) if why.is_empty() => format!("{line}; answered \"cannot\""),
            Some(why) => format!("{line}; answered \"cannot\": {why}"),
            None => line,
        }
    }
}

/// The review in lines, as the command prints them.
#[must_use]
pub fn review_lines(review: &Review, names: Names) -> Vec<String> {
    let mut lines = vec![format!("{}, revision {}", review.tree, review.revision)];
    if names == Names::Told && !review.mechanic.is_empty() {
        lines.push(format!("By {}.", review.mechanic));
    }
    lines.extend(totals(review));
    lines
        .extend([String::new(), "Event by event: clock minutes, minutes by the tree, step, what".to_owned()]);
    let mut rest = review.passes.as_slice();
    while let Some((first, _)) = rest.split_first() {
        // The items of a gate that were confirmed one after the other are one line.
        let same = rest
            .iter()
            .take_while(|pass| pass.gate.is_some() && pass.gate == first.gate && pass.step == first.step);
        let (run, after) = rest.split_at(same.count().max(1));
        lines.push(pass_line(run));
        lines.extend(first.lines().into_iter().map(|line| format!("       {line}")));
        rest = after;
    }
    lines.push(String::new());
    lines.extend(review.lines_beside(names));
    lines
}

impl Review {
    /// Everything beside the path: gates, conditions, close calls, what was put in in vain, own readings, jumps.
    #[must_use]
    pub fn lines_beside(&self, names: Names) -> Vec<String> {
        let mut lines = vec!["Gates".to_owned()];
        lines.extend(self.gates.iter().map(|gate| format!("  {}", gate.line(names))));
        lines.extend([String::new(), "In force, minutes worked".to_owned()]);
        for held in &self.in_force {
            lines.push(format!("  {} {}: {:.1}", held.condition, held.value, held.minutes.value()));
        }
        lines.extend(remarks(self));
        lines
    }
}

/// One event in a line, or the items of a gate together.
fn pass_line(run: &[Pass]) -> String {
    let first = &run[0];
    let step = if first.step.is_empty() { "-" } else { &first.step };
    let sum = |of: fn(&Pass) -> f64| run.iter().map(of).sum::<f64>();
    let what = match &first.gate {
        Some(gate) if run.len() > 1 => format!("{gate}, {} items", run.len()),
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
#[must_use]
pub(super) fn totals(review: &Review) -> Vec<String> {
    let mut lines = vec![format!(
        "{:.0} min worked by the clock, waits left out ({:.0} min waited); {:.0} min by the tree.",
        review.worked.value(),
        review.waited.value(),
        review.by_tree.value()
    )];
    for (step, faults) in &review.finds {
        lines.push(format!("Found at {step}: {}.", faults.join("; ")));
    }
    if let Some(number) = review.determined
        && let Some(pass) = review.passes.get(number - 1)
    {
        lines.push(format!("After event {number}, {}, only one finding was left.", pass.step));
    }
    lines
}

fn remarks(review: &Review) -> Vec<String> {
    let mut lines = Vec::new();
    let mut section = |title: &str, all: Vec<String>| {
        if !all.is_empty() {
            lines.extend([String::new(), title.to_owned()]);
            lines.extend(all.into_iter().map(|line| format!("  {line}")));
        }
    };
    let close = |c: &super::CloseCall| format!("{}: {}; {}", c.step, c.reading, c.why);
    section("Readings too close to call, decided by hand", review.close_calls.iter().map(close).collect());
    let vain = |v: &super::InVain| format!("round {}, {}: {}", v.round, v.find, v.repair);
    section("Good parts fitted: the proof failed after it", review.in_vain.iter().map(vain).collect());
    let own = review.passes.iter().filter(|p| p.what.starts_with("own reading"));
    section("Own readings", own.map(|p| format!("{}: {}", p.step, p.what)).collect());
    let jumps = review.passes.iter().filter(|p| p.is_jump);
    section("Jumps", jumps.map(|p| format!("{}: {}", p.step, p.what)).collect());
    lines
}
