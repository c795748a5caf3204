//! The phone sheet: what to ask before driving out, in an order worth asking, and what to load.
//!
//! Every suspect of the tree is walked to its find, open answers taken towards it; a part or tool counts with the
//! shares of the suspects that need it. The order is by information a minute: what each answer leaves, by share.

mod html;
mod load;
mod text;

use crate::diag::{Lang, Text};
use crate::machine::Today;
use crate::reason::{Evidence, Lineup, Outlook, Situation, step_minutes};
use crate::safety::Vocabulary;
use crate::tree::{Answer, Course, Kind, StepIx, Target, Tree};
use crate::units::Meter;

pub use html::phone_html;
pub use text::phone_text;

/// What to ask, and what to load.
#[derive(Debug, Clone, PartialEq)]
pub struct PhoneSheet {
    /// The symptom in words.
    pub title: String,
    /// The machine's file or name, if the tree has one.
    pub machine: Option<String>,
    /// The language of the sheet's own words.
    pub lang: Lang,
    /// The questions, in the order worth asking.
    pub questions: Vec<Question>,
    /// Parts, tools and material, the likeliest first.
    pub load: Vec<Item>,
}

/// One question.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Its step, as an answers file names it.
    pub step: String,
    /// The question.
    pub text: String,
    /// The answers, each with what it means where the author says so.
    pub answers: Vec<(String, Option<String>)>,
    /// It is asked only if this answer was given to an earlier question: that question's number and the answer.
    pub only_if: Option<(usize, String)>,
    /// The bits that it gives about the fault; none without suspects.
    pub bits: f64,
}

/// Something to load.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it is.
    pub name: String,
    /// The probability of needing it, from 0 to 1; none where no machine file says.
    pub chance: Option<f64>,
}

/// Makes the sheet of a tree. A tree that may not be walked still has one.
#[must_use]
pub fn phone_sheet(course: &Course, lang: &Lang) -> PhoneSheet {
    let (tree, vocabulary) = (course.tree(), course.vocabulary());
    let (questions, load) = match tree.model.as_deref() {
        Some(machine) => {
            let day = machine.day(Today::default());
            let lineup = Lineup::modelled(Outlook::new(tree, &day, vocabulary, Meter::default()));
            let outlook = Outlook::new(tree, &day, vocabulary, Meter::default());
            (questions(tree, vocabulary, &lineup, lang), load::by_share(&outlook, vocabulary, lang))
        }
        None => (questions(tree, vocabulary, &Lineup::by_shape(tree), lang), load::by_tree(tree, lang)),
    };
    let title = tree.title.in_lang(lang).to_owned();
    PhoneSheet { title, machine: tree.machine.clone(), lang: lang.clone(), questions, load }
}

/// The telephone questions, the complaint first, then by bits a minute; one that hangs on an answer after its own.
fn questions(tree: &Tree, vocabulary: &Vocabulary, lineup: &Lineup<'_, '_>, lang: &Lang) -> Vec<Question> {
    let asks: Vec<StepIx> = tree
        .iter()
        .filter(|(_, step)| matches!(&step.kind, Kind::Ask(ask) if ask.phone))
        .map(|(ix, _)| ix)
        .collect();
    let worth = |ix: StepIx| {
        let bits = bits(lineup, ix, tree);
        let minutes = step_minutes(tree.step(ix), vocabulary, tree.model.as_deref()).value();
        (bits, bits / minutes.max(0.25))
    };
    let mut left: Vec<(StepIx, f64, f64)> = asks.iter().map(|ix| (*ix, worth(*ix).0, worth(*ix).1)).collect();
    let mut order: Vec<StepIx> = Vec::new();
    let mut all = Vec::new();
    while !left.is_empty() {
        let is_open = |(ix, ..): &(StepIx, f64, f64)| {
            hangs_on(tree, &asks, *ix).is_none_or(|(on, _)| order.contains(&on))
        };
        let first = left.iter().position(|(ix, ..)| *ix == tree.start);
        let best = (0..left.len())
            .filter(|at| is_open(&left[*at]))
            .max_by(|a, b| left[*a].2.total_cmp(&left[*b].2).then(b.cmp(a)));
        let (ix, bits, _) = left.remove(first.or(best).unwrap_or(0));
        all.push(question(tree, ix, bits, (&asks, &order), lang));
        order.push(ix);
    }
    all
}

fn question(
    tree: &Tree,
    ix: StepIx,
    bits: f64,
    (asks, order): (&[StepIx], &[StepIx]),
    lang: &Lang,
) -> Question {
    let step = tree.step(ix);
    let Kind::Ask(ask) = &step.kind else { unreachable!("only asks are questions") };
    let said = |text: &Text| text.in_lang(lang).to_owned();
    // Where the model reads the answer, what it means is a word for the program, not for whoever asks.
    let is_tied = ask.observe.is_some();
    let means = |answer: &Answer| answer.means.as_ref().filter(|_| !is_tied).map(said);
    let answers = ask.answers.iter().map(|a| (said(&a.text), means(a))).collect();
    let only_if = hangs_on(tree, asks, ix).and_then(|(on, answer)| {
        let number = order.iter().position(|asked| *asked == on)? + 1;
        let Kind::Ask(parent) = &tree.step(on).kind else { return None };
        Some((number, said(&parent.answers.get(answer)?.text)))
    });
    Question { step: step.id.clone(), text: said(&ask.question), answers, only_if, bits }
}

/// The telephone question and the one answer of it that leads to this question, where nothing else does.
fn hangs_on(tree: &Tree, asks: &[StepIx], ix: StepIx) -> Option<(StepIx, usize)> {
    let leads = |from: &StepIx| {
        let Kind::Ask(ask) = &tree.step(*from).kind else { return Vec::new() };
        let ways = ask.answers.iter().enumerate().filter(|(_, a)| a.go == Target::Step(ix));
        ways.map(|(way, _)| (*from, way)).collect()
    };
    let mut all: Vec<(StepIx, usize)> = asks.iter().flat_map(leads).collect();
    // "Don't know" leads on where the answer that is usual does.
    let by_cannot = asks.iter().any(|from| tree.step(*from).cannot == Some(Target::Step(ix)));
    if all.len() == 1 && !by_cannot { all.pop() } else { None }
}

/// What the answers to a question tell about the fault, in bits: the mean of what they take off its entropy.
fn bits(lineup: &Lineup<'_, '_>, ix: StepIx, tree: &Tree) -> f64 {
    let shares: Vec<f64> = lineup.listed().iter().map(|listed| listed.share.value()).collect();
    let total: f64 = shares.iter().sum();
    let Kind::Ask(ask) = &tree.step(ix).kind else { return 0.0 };
    if total <= 0.0 {
        return 0.0;
    }
    let prior: Vec<f64> = shares.iter().map(|share| share / total).collect();
    let now = Situation::default();
    let told = (0..ask.answers.len()).filter_map(|way| lineup.answered(ix, way, &now));
    let after: f64 = told
        .map(|evidence: Evidence| {
            let chance = |at: usize| evidence.under(at).value();
            let joint: Vec<f64> = prior.iter().enumerate().map(|(at, p)| p * chance(at)).collect();
            let answer: f64 = joint.iter().sum();
            if answer > 0.0 { answer * entropy(joint.iter().map(|p| p / answer)) } else { 0.0 }
        })
        .sum();
    (entropy(prior.iter().copied()) - after).max(0.0)
}

fn entropy(chances: impl Iterator<Item = f64>) -> f64 {
    chances.filter(|p| *p > 0.0).map(|p| -p * p.log2()).sum()
}
