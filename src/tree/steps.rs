//! From drafts to steps: each kind read against its form, targets resolved, parameters filled in.

use std::borrow::Cow;

use crate::diag::{Entries, Node, Place, Problems, Text};
use crate::units::{Measure, Minutes, Watts, Written};

use super::bands::read_bands;
use super::expand::{Draft, Drafts};
use super::forms;
use super::load::{read_setup, whole, wrong_kind};
use super::model::{
    Act, Answer, Ask, Close, CloseAs, Do, Find, GateStep, Kind, Leads, Leaks, Look, Observe, Proof, Read,
    Refer, Repair, RepairJob, Seen, Step, Target,
};

/// One draft being read.
pub(super) struct Reader<'d, 'n, 'a> {
    pub(super) drafts: &'d Drafts<'n, 'a>,
    pub(super) draft: Draft<'n, 'a>,
    pub(super) problems: &'d mut Problems,
}

/// Builds every step, in order.
pub(super) fn build<'n, 'a>(
    drafts: &Drafts<'n, 'a>,
    list: Vec<Draft<'n, 'a>>,
    problems: &mut Problems,
) -> Vec<Step> {
    let mut steps = Vec::with_capacity(list.len());
    for draft in list {
        steps.push(Reader { drafts, draft, problems }.step());
    }
    steps
}

impl<'n, 'a> Reader<'_, 'n, 'a> {
    fn step(mut self) -> Step {
        let e = self.draft.entries;
        let told_before = self.problems.count();
        let kind = match self.draft.kind {
            "ask" => self.ask(),
            "look" => self.look(),
            "read" => Kind::Read(Box::new(self.read())),
            "do" => self.action(),
            "gate" | "gates" => self.gate(),
            "find" => self.find(),
            "close" => self.close(),
            _ => self.refer(),
        };
        let gates_but_last = self.draft.gate.is_some_and(|(nth, of)| nth + 1 < of);
        let with = read_setup(e.get("with"), &e, self.problems);
        let mut step = Step {
            id: self.drafts.id(self.draft.ix).to_owned(),
            text: if gates_but_last { None } else { self.text("text") },
            caution: self.text("caution"),
            zone: self.filled_word("zone"),
            with: with
                .into_iter()
                .map(|(c, s)| (self.fill(&c).into_owned(), self.fill(&s).into_owned()))
                .collect(),
            power: self.word_of("power", &["isolated", "off", "live", "running"]),
            moves: self.filled_words("moves"),
            minutes: self.minutes("minutes"),
            cannot: self.cannot(&kind),
            place: std::mem::replace(&mut self.draft.place, Place::file(e.file)),
            flawed: false,
            kind,
        };
        let nothing_to_choose = match &step.kind {
            Kind::Ask(ask) => ask.answers.is_empty(),
            Kind::Look(look) => look.answers.is_empty(),
            Kind::Read(read) => read.bands.is_empty(),
            _ => false,
        };
        step.flawed = nothing_to_choose
            || self.problems.count() > told_before
            || step.ways().any(|target| target == Target::Nowhere);
        step
    }

    fn ask(&mut self) -> Kind {
        let proof = self.proof();
        let observe = self.observe();
        let answers = self.answers(observe.as_ref(), proof);
        Kind::Ask(Ask {
            question: self.text("ask").unwrap_or_default(),
            phone: self.draft.entries.flag("phone", self.problems).unwrap_or(false),
            observe,
            proof,
            answers,
        })
    }

    fn look(&mut self) -> Kind {
        Kind::Look(Look {
            what: self.text("look").unwrap_or_default(),
            places: self.filled_words("places"),
            leaks: self.draft.entries.one_of(
                "leaks",
                &[("card", Leaks::Card), ("close", Leaks::Close)],
                self.problems,
            ),
            answers: self.answers(None, None),
        })
    }

    fn read(&mut self) -> Read {
        let e = self.draft.entries;
        let measure = e.one_of("read", &MEASURES, self.problems).unwrap_or(Measure::Volts);
        Read {
            measure,
            leads: self.leads(measure),
            while_moves: self.while_moves(),
            loaded: self.quantity::<Watts>("loaded"),
            wait: self.minutes("wait"),
            repeat: whole(&e, "repeat", self.problems),
            compare: e.word("compare", self.problems).map(str::to_owned),
            in_line: e.flag("in-line", self.problems).unwrap_or(false),
            fed: e.flag("fed", self.problems).unwrap_or(false),
            bus: e.flag("bus", self.problems).unwrap_or(false),
            apart: self.filled_words("apart"),
            tells: self.filled_words("tells"),
            bands: read_bands(self, measure),
            proof: self.proof(),
        }
    }

    fn leads(&mut self, measure: Measure) -> Leads {
        let e = self.draft.entries;
        self.leads_one_way();
        let across = self.filled_words("across");
        if let [a, b] = across.as_slice() {
            return Leads::Across(a.clone(), b.clone());
        }
        if let Some(node) = e.get("across") {
            wrong_kind(
                Place::Bytes(e.file, node.span),
                "two points, as `across: [X14:3a, X14:3b]`",
                self.problems,
            );
        }
        if let Some(wire) = self.filled_word("around") {
            return Leads::Around(wire);
        }
        if let Some(at) = self.filled_word("at") {
            return Leads::At(at);
        }
        let red = self.filled_word("red");
        if red.is_none() && e.get("across").is_none() {
            let wanted = match measure {
                Measure::Amps => "`around: W2` for a clamp, or `red:` and `black:` with `in-line: true`",
                Measure::Volts | Measure::Ohms | Measure::Hertz | Measure::Percent => {
                    "`red: …` and `black: …`, or `across: […, …]`"
                }
                _ => "`at: …`, the port or gauge in words",
            };
            self.problems.refuse("no-leads", e.place()).says(
                "nothing says where to measure",
                "A reading that nobody knows the place of proves nothing.",
                wanted,
            );
        }
        Leads::RedBlack { red: red.unwrap_or_default(), black: self.filled_word("black") }
    }

    /// Tells leads that are given in two ways at once.
    fn leads_one_way(&mut self) {
        let e = self.draft.entries;
        let ways: Vec<&str> =
            ["red", "across", "around", "at"].into_iter().filter(|key| e.get(key).is_some()).collect();
        if let [first, second, ..] = ways.as_slice() {
            self.problems.refuse("leads-twice", e.key_place(second)).says(
                format!("where to measure is said twice: `{first}` and `{second}`"),
                "Only one of the two could be followed, and the bands fit only one of them.",
                format!("`{first}:` alone or `{second}:` alone"),
            );
        }
    }

    fn action(&mut self) -> Kind {
        let e = self.draft.entries;
        let is_repair = e.get("do").and_then(Node::scalar) == Some("repair");
        let acts = Act::ALL
            .iter()
            .map(|(key, act)| (*act, self.filled_words(key)))
            .filter(|(_, names)| !names.is_empty())
            .collect();
        Kind::Do(Do {
            action: if is_repair { None } else { self.text("do") },
            acts,
            heat: e.flag("heat", self.problems).unwrap_or(false),
            go: self.go(),
        })
    }

    fn gate(&mut self) -> Kind {
        let e = self.draft.entries;
        let Some((nth, of)) = self.draft.gate else {
            return Kind::Gate(GateStep {
                gate: self.filled_word("gate").unwrap_or_default(),
                items: self.texts("items"),
                go: self.go(),
            });
        };
        let mut names: Vec<String> = Vec::new();
        for (name, _) in e.words("gates", self.problems) {
            if !names.iter().any(|n| n == name) {
                names.push(name.to_owned());
            }
        }
        let last = nth + 1 == of;
        let owner = self.drafts.id(self.draft.ix).rsplit_once('/').map_or("", |(owner, _)| owner).to_owned();
        let go = if last {
            self.go()
        } else {
            // The next gate of the list is the next draft; asked for by its full name from the top.
            self.drafts.top(&format!("{owner}/{}", names[nth + 1])).map_or(Target::Nowhere, Target::Step)
        };
        Kind::Gate(GateStep {
            gate: names.get(nth).cloned().unwrap_or_default(),
            items: if last { self.texts("items") } else { Vec::new() },
            go,
        })
    }

    fn find(&mut self) -> Kind {
        Kind::Find(Find {
            faults: self.filled_words("find"),
            cause: self.text("cause"),
            repair: self.repair(),
            go: self.go(),
        })
    }

    fn repair(&mut self) -> Option<Repair> {
        let node = self.draft.entries.get("repair")?;
        let e = Entries::open(node, self.draft.entries.file, &forms::REPAIR, self.problems)?;
        let jobs: Vec<_> = RepairJob::ALL
            .iter()
            .flat_map(|(key, job)| {
                let words = e.words(key, self.problems);
                words.into_iter().map(|(w, _)| (*job, self.fill(w).into_owned())).collect::<Vec<_>>()
            })
            .collect();
        let heat = e.flag("heat", self.problems);
        let text =
            e.get("text").and_then(|n| Text::read(n, e.file, self.problems)).map(|t| self.fill_text(t));
        Some(Repair { heat: heat.unwrap_or_else(|| jobs.iter().any(|(job, _)| job.heat())), jobs, text })
    }

    fn close(&mut self) -> Kind {
        let words = [
            ("repaired", CloseAs::Repaired),
            ("not-reproduced", CloseAs::NotReproduced),
            ("temporary", CloseAs::Temporary),
        ];
        let how = self.draft.entries.one_of("close", &words, self.problems);
        Kind::Close(Close { how: how.unwrap_or(CloseAs::NotReproduced) })
    }

    fn refer(&mut self) -> Kind {
        Kind::Refer(Refer { why: self.text("refer").unwrap_or_default(), waits_for: self.text("waits-for") })
    }

    fn answers(&mut self, observe: Option<&Observe>, proof: Option<Proof>) -> Vec<Answer> {
        let e = self.draft.entries;
        let Some(node) = e.get("answers") else { return Vec::new() };
        let Some(entries) = node.map() else {
            self.problems.refuse("wrong-kind", Place::Bytes(e.file, node.span)).says(
                format!("`answers` holds each answer under a name of its own; this is {}", node.kind()),
                "An answer without words and without a way on cannot be given.",
                "under `answers:` a line for each: `yes: {text: It lifted, go: next-step}`",
            );
            return Vec::new();
        };
        let mut answers = Vec::with_capacity(entries.len());
        for entry in entries {
            let Some(a) = Entries::open(&entry.value, e.file, &forms::ANSWER, self.problems) else {
                continue;
            };
            let text = a.get("text").and_then(|n| Text::read(n, a.file, self.problems)).unwrap_or_default();
            let means = a.get("means").and_then(|n| Text::read(n, a.file, self.problems));
            let tied = observe.is_some() || proof.is_some();
            let of_code = matches!(observe, Some(Observe::Code { .. }));
            let seen = means
                .as_ref()
                .filter(|_| tied)
                .and_then(|m| seen_of(m.en()))
                .filter(|seen| of_code == matches!(seen, Seen::Active | Seen::Inactive));
            if tied && seen.is_none() {
                let at = a.get("means").map_or_else(|| a.place(), |n| Place::Bytes(a.file, n.span));
                let wanted = match observe {
                    Some(Observe::Code { .. }) => "`means: active` or `means: not`",
                    _ => "`means: works` or `means: fails`",
                };
                self.problems.refuse("answer-means", at).says(
                    match &means {
                        Some(said) => {
                            let of = if of_code { "a code" } else { "a function" };
                            format!(
                                "the answer `{}` says `means: {}`, which {of} cannot be",
                                entry.key,
                                said.en()
                            )
                        }
                        None => format!("the answer `{}` does not say what was seen", entry.key),
                    },
                    "The question is tied to the machine; without that word the answer rules no suspect out.",
                    wanted,
                );
            }
            let go = self.target_in(&a, "go");
            answers.push(Answer { id: entry.key.to_string(), text: self.fill_text(text), seen, means, go });
        }
        if answers.is_empty() {
            self.problems.refuse("empty-list", Place::Bytes(e.file, node.span)).says(
                "there is no answer to choose from",
                "The mechanic could not go on.",
                "at least one answer with `text` and `go`",
            );
        }
        answers
    }

    fn observe(&mut self) -> Option<Observe> {
        let e = self.draft.entries;
        let node = e.get("observe")?;
        if let Some(name) = node.scalar() {
            return Some(Observe::Function(name.trim().to_owned()));
        }
        let outer = Entries::open(node, e.file, &forms::OBSERVED, self.problems)?;
        let code = Entries::open(outer.get("code")?, e.file, &forms::CODE, self.problems)?;
        let spn = whole(&code, "spn", self.problems)?;
        let fmi = whole(&code, "fmi", self.problems)?;
        if spn > 0x7_FFFF || fmi > 31 {
            self.problems.refuse("wrong-kind", code.place()).says(
                "there is no such code: an SPN goes up to 524287, an FMI up to 31 (SAE J1939-73)",
                "No display could ever show it, and the answer would be no for ever.",
                "the numbers as the display shows them, as `{code: {spn: 520301, fmi: 4}}`",
            );
            return None;
        }
        Some(Observe::Code { spn, fmi: u8::try_from(fmi).unwrap_or(31) })
    }

    fn proof(&mut self) -> Option<Proof> {
        self.draft.entries.one_of("proof", &[("works", Proof::Works), ("held", Proof::Held)], self.problems)
    }

    fn while_moves(&mut self) -> Vec<String> {
        let Some(node) = self.draft.entries.get("while") else { return Vec::new() };
        let Some(inner) = Entries::open(node, self.draft.entries.file, &forms::WHILE, self.problems) else {
            return Vec::new();
        };
        inner.words("moves", self.problems).into_iter().map(|(w, _)| self.fill(w).into_owned()).collect()
    }

    fn cannot(&mut self, kind: &Kind) -> Option<Target> {
        let e = self.draft.entries;
        if e.get("cannot").is_some() {
            return Some(self.target_in(&e, "cannot"));
        }
        if matches!(kind, Kind::Find(_) | Kind::Close(_) | Kind::Refer(_)) {
            return None;
        }
        self.drafts.inherited_cannot(self.draft.scope, self.problems)
    }

    fn go(&mut self) -> Target {
        let e = self.draft.entries;
        self.target_in(&e, "go")
    }

    /// The target named under a key of this map.
    pub(super) fn target_in(&mut self, e: &Entries<'n, 'a>, key: &str) -> Target {
        let Some(name) = e.word(key, self.problems) else { return Target::Nowhere };
        let place = e.get(key).map_or_else(|| e.place(), |n| Place::Bytes(e.file, n.span));
        let filled = self.fill(name);
        self.drafts.target(self.draft.scope, &filled, place, self.problems)
    }

    pub(super) fn fill<'t>(&self, text: &'t str) -> Cow<'t, str> {
        self.drafts.fill(self.draft.scope, text)
    }

    pub(super) fn fill_text(&self, text: Text) -> Text {
        if self.drafts.has_parameters(self.draft.scope) {
            text.map(|t| self.fill(t).into_owned())
        } else {
            text
        }
    }

    fn text(&mut self, key: &str) -> Option<Text> {
        let e = self.draft.entries;
        let text = Text::read(e.get(key)?, e.file, self.problems)?;
        Some(self.fill_text(text))
    }

    fn texts(&mut self, key: &str) -> Vec<Text> {
        let e = self.draft.entries;
        let Some(node) = e.get(key) else { return Vec::new() };
        let items = node.one_or_many().iter();
        let read: Vec<Text> = items.filter_map(|item| Text::read(item, e.file, self.problems)).collect();
        read.into_iter().map(|text| self.fill_text(text)).collect()
    }

    fn filled_word(&mut self, key: &str) -> Option<String> {
        let word = self.draft.entries.word(key, self.problems)?;
        Some(self.fill(word).into_owned())
    }

    fn filled_words(&mut self, key: &str) -> Vec<String> {
        let words = self.draft.entries.words(key, self.problems);
        words.into_iter().map(|(w, _)| self.fill(w).into_owned()).collect()
    }

    fn word_of(&mut self, key: &str, known: &[&'static str]) -> Option<String> {
        let pairs: Vec<(&str, &str)> = known.iter().map(|w| (*w, *w)).collect();
        self.draft.entries.one_of(key, &pairs, self.problems).map(str::to_owned)
    }

    fn minutes(&mut self, key: &str) -> Option<Minutes> {
        let e = self.draft.entries;
        let node = e.get(key)?;
        let written = node.scalar().unwrap_or_default().trim();
        let bare = written.parse::<f64>().ok().filter(|m| m.is_finite() && (0.0..=10_000.0).contains(m));
        match bare {
            Some(minutes) => Some(Minutes(minutes)),
            None => self.quantity::<Minutes>(key),
        }
    }

    fn quantity<Q: Written>(&mut self, key: &str) -> Option<Q> {
        let e = self.draft.entries;
        let node = e.get(key)?;
        match Q::parse(node.scalar().unwrap_or_default()) {
            Ok(quantity) => Some(quantity),
            Err(error) => {
                quantity_problem(Place::Bytes(e.file, node.span), &error, self.problems);
                None
            }
        }
    }
}

/// Tells a quantity that could not be read.
pub(super) fn quantity_problem(place: Place, error: &crate::units::QuantityError, problems: &mut Problems) {
    problems.refuse("wrong-quantity", place).says(
        error.to_string(),
        "A number read wrongly sends the mechanic the wrong way.",
        error.write.clone(),
    );
}

const MEASURES: [(&str, Measure); 8] = [
    ("volts", Measure::Volts),
    ("ohms", Measure::Ohms),
    ("amps", Measure::Amps),
    ("hertz", Measure::Hertz),
    ("percent", Measure::Percent),
    ("pressure", Measure::Pressure),
    ("temperature", Measure::Temperature),
    ("rpm", Measure::Rpm),
];

fn seen_of(word: &str) -> Option<Seen> {
    match word {
        "works" | "unheld" => Some(Seen::Works),
        "fails" | "held" => Some(Seen::Fails),
        "active" => Some(Seen::Active),
        "not" | "inactive" => Some(Seen::Inactive),
        _ => None,
    }
}
