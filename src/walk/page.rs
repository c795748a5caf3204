//! What is to be shown now, as data: screen, plain mode and tests draw it from here.
//!
//! Cautions come before the action. The text of a step is here only while the walk is at it, which it is only while its
//! conditions hold.

use crate::diag::{Lang, Text};
use crate::reason::{Situation, faults_said};
use crate::safety::{Confirm, DEFER, machine_now, machine_now_line};
use crate::tree::{Kind, Leads, Step, StepIx};

use super::arrive::GateItem;
use super::event::CabStands;
use super::state::{AtGate, Now, Walk, WhyGate};
use super::words::{Label, cab_words, closing_words, ended_words, should_words};

/// What sort of page it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageKind {
    /// A question.
    Ask,
    /// An inspection.
    Look,
    /// A reading.
    Read,
    /// An action.
    Do,
    /// A gate, or what is confirmed before driving.
    Gate,
    /// The fault, named.
    Find,
    /// The end, to be closed.
    Close,
    /// Handed over.
    Refer,
    /// Waiting.
    Waiting,
    /// Over.
    Ended,
}

/// A label and what stands beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The label; empty for a plain sentence.
    pub label: String,
    /// The words.
    pub text: String,
}

/// An answer to choose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Its id.
    pub id: String,
    /// Its words.
    pub text: String,
}

/// How far an item of a gate is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ItemState {
    /// Confirmed: at what time, by whom, and what was typed.
    Confirmed {
        /// Time of day.
        clock: String,
        /// Initials.
        by: String,
        /// The reading, if one was asked for.
        typed: Option<String>,
    },
    /// It is the one to look at now.
    Live,
    /// It comes later.
    Later,
}

/// One item of a gate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemLine {
    /// Its words; those spoken to other people in both languages.
    pub text: String,
    /// How it is confirmed.
    pub confirm: Confirm,
    /// How far it is.
    pub state: ItemState,
}

/// A page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// What sort of page it is.
    pub kind: PageKind,
    /// Signal word and hazard, the worst first.
    pub cautions: Vec<(String, String)>,
    /// The line that defers to the maker's instructions; there with every caution.
    pub defer: Option<String>,
    /// The one thing to do now.
    pub title: String,
    /// For what a gate that is no step of the tree, or a step that is done again, is needed.
    pub needed_for: Option<String>,
    /// Everything else that must be known to do it.
    pub lines: Vec<Line>,
    /// Answers.
    pub choices: Vec<Choice>,
    /// Items of a gate.
    pub items: Vec<ItemLine>,
    /// What is in force.
    pub machine_now: String,
    /// How many steps have been come to.
    pub step_number: usize,
}

impl Walk {
    /// The page to show now, in the walk's language.
    #[must_use]
    pub fn page(&self) -> Page {
        let lang = self.lang();
        let mut page = self.page_of(&self.now, &lang);
        let parts = machine_now(&self.state, self.course.vocabulary());
        machine_now_line(&parts).in_lang(&lang).clone_into(&mut page.machine_now);
        page.step_number = self.visits.len();
        if !page.cautions.is_empty() {
            page.defer = Some(DEFER.in_lang(&lang).to_owned());
        }
        page
    }

    fn page_of(&self, now: &Now, lang: &Lang) -> Page {
        match now {
            Now::Step(ix) => self.step_page(*ix, lang),
            Now::Gate(at) => self.gate_page(*at, lang),
            Now::Check(ix, live) => self.check_page(*ix, *live, lang),
            Now::Stands(_) => Self::stands_page(lang),
            Now::Waiting(_) => Page::of(PageKind::Waiting, Label::Waiting.in_lang(lang)),
            Now::Ended(how) => Page::of(PageKind::Ended, ended_words(*how).in_lang(lang)),
            Now::NotBegun => Page::of(PageKind::Waiting, self.course.tree().title.in_lang(lang)),
        }
    }

    fn step_page(&self, ix: StepIx, lang: &Lang) -> Page {
        let step = self.course.tree().step(ix);
        let mut page = match &step.kind {
            Kind::Ask(ask) => {
                Page::of(PageKind::Ask, ask.question.in_lang(lang)).with_choices(&ask.answers, lang)
            }
            Kind::Look(look) => {
                let mut page =
                    Page::of(PageKind::Look, look.what.in_lang(lang)).with_choices(&look.answers, lang);
                let seen = look.places.iter().filter(|place| !self.is_fault(place));
                for place in seen {
                    page.line(Label::Place.in_lang(lang), self.place_words(place, lang));
                }
                page
            }
            Kind::Read(_) => self.read_page(step, lang),
            Kind::Do(action) => match &action.action {
                Some(action) => Page::of(PageKind::Do, action.in_lang(lang)),
                None => self.repair_page(lang),
            },
            Kind::Find(find) => {
                let mut page = Page::of(PageKind::Find, &self.found_words(&find.faults, lang));
                page.line_of(Label::Cause, find.cause.as_ref(), lang);
                page
            }
            Kind::Close(close) => {
                let words = closing_words(close.how);
                let mut page = Page::of(PageKind::Close, words.in_lang(lang));
                self.codes_on(&mut page, lang);
                page
            }
            Kind::Refer(refer) => {
                let mut page = Page::of(PageKind::Refer, refer.why.in_lang(lang));
                page.line_of(Label::WaitsFor, refer.waits_for.as_ref(), lang);
                page
            }
            Kind::Gate(gate) => Page::of(PageKind::Gate, &gate.gate),
        };
        self.common(step, &mut page, lang);
        let again_for = self.again_for(ix).map(|other| &self.course.tree().step(other).id);
        let needed = if self.was_done(ix) { Label::NeededAgain } else { Label::NeededFor };
        page.needed_for = again_for.map(|other| format!("{} {other}", needed.in_lang(lang)));
        if let Some(should) = self.should_read() {
            page.line(Label::ShouldRead.in_lang(lang), should_words(should));
        }
        let sheet = self.repair_sheet();
        let cautions = sheet.map_or_else(|| crate::safety::cautions(self.course.deeds(ix)), |s| s.cautions());
        let own = step
            .caution
            .as_ref()
            .map(|c| (Label::Caution.in_lang(lang).to_owned(), c.in_lang(lang).to_owned()));
        page.cautions = cautions
            .iter()
            .map(|c| (c.signal.words().in_lang(lang).to_owned(), c.hazard.in_lang(lang).to_owned()))
            .chain(own)
            .collect();
        page
    }

    fn is_fault(&self, name: &str) -> bool {
        self.course.tree().model.as_deref().is_some_and(|machine| machine.fault_named(name).is_some())
    }

    /// Faults as a mechanic says them; what the machine file does not know stays as it is written.
    #[must_use]
    pub fn found_words(&self, faults: &[String], lang: &Lang) -> String {
        match self.course.tree().model.as_deref() {
            Some(machine) => faults_said(machine, faults, lang),
            None => faults.join("; "),
        }
    }

    /// What every kind of step may say: controls to set, and further words.
    fn common(&self, step: &Step, page: &mut Page, lang: &Lang) {
        let set = match page.kind {
            PageKind::Read => self.setup_to_set(step),
            _ => step.with.clone(),
        };
        if !set.is_empty() {
            let words: Vec<String> = set.iter().map(|set| self.control_words(set, lang)).collect();
            page.lines
                .insert(0, Line { label: Label::SetFirst.in_lang(lang).to_owned(), text: words.join(", ") });
        }
        page.line_of(Label::None, step.text.as_ref(), lang);
    }

    /// The controls to set before a reading. What the tree sets at every reading is left out where it goes against the
    /// power in force: nobody turns a key on behind a lock.
    fn setup_to_set(&self, step: &Step) -> Vec<(String, String)> {
        let tree = self.course.tree();
        let mut set = tree.setup_of(step);
        let power = Situation::of(&self.state, self.course.vocabulary()).power();
        let (Some(machine), Some(power)) = (&tree.model, power) else { return set };
        let own = |control: &str| step.with.iter().any(|(named, _)| named == control);
        set.retain(|(name, state)| {
            own(name)
                || machine.parts().controls.iter().filter(|c| c.name == *name).all(|control| {
                    let at = control.states.iter().position(|known| known == state);
                    at.and_then(|at| control.power.get(at)).is_none_or(|powers| powers.contains(&power))
                })
        });
        set
    }

    fn read_page(&self, step: &Step, lang: &Lang) -> Page {
        let Kind::Read(read) = &step.kind else { return Page::of(PageKind::Read, "") };
        let title =
            format!("{} {}", Label::ReadWord.in_lang(lang), Label::measure(read.measure).in_lang(lang));
        let mut page = Page::of(PageKind::Read, &title);
        let frame = Label::Frame.in_lang(lang).to_owned();
        match &read.leads {
            Leads::RedBlack { red, black } => {
                page.line(Label::RedLead.in_lang(lang), self.place_words(red, lang));
                let black = black.as_ref().map_or(frame, |black| self.place_words(black, lang));
                page.line(Label::BlackLead.in_lang(lang), black);
            }
            Leads::Across(a, b) => page.line(Label::Across.in_lang(lang), format!("{a}, {b}")),
            Leads::Around(wire) => {
                page.line(Label::ClampAround.in_lang(lang), self.place_words(wire, lang));
            }
            Leads::At(place) => page.line(Label::At.in_lang(lang), self.place_words(place, lang)),
        }
        if let Some(watts) = read.loaded {
            page.line(Label::Loaded.in_lang(lang), format!("{} W", watts.value()));
        }
        if !read.while_moves.is_empty() {
            page.line(Label::WhileMoving.in_lang(lang), read.while_moves.join(", "));
        }
        if let Some(wait) = read.wait {
            page.line(Label::WaitFirst.in_lang(lang), format!("{} min", wait.value()));
        }
        if let Some(times) = read.repeat {
            page.line(Label::Repeat.in_lang(lang), times.to_string());
        }
        page
    }

    /// The repair of what was found last.
    fn repair_page(&self, lang: &Lang) -> Page {
        let mut page = Page::of(PageKind::Do, Label::Repair.in_lang(lang));
        let found = self.findings().last().map(|(ix, _)| self.course.tree().step(*ix));
        let Some(Kind::Find(find)) = found.map(|step| &step.kind) else { return page };
        page.line(Label::Found.in_lang(lang), self.found_words(&find.faults, lang));
        if let Some(repair) = &find.repair {
            for (job, what) in &repair.jobs {
                page.line(Label::repair(*job).in_lang(lang), what.clone());
            }
            page.line_of(Label::None, repair.text.as_ref(), lang);
        }
        page.line_of(Label::Cause, find.cause.as_ref(), lang);
        for (label, text) in self.sheet_words() {
            page.line(&capital(&label), text);
        }
        page
    }

    /// Asked first when a job is taken up again with the cab up.
    fn stands_page(lang: &Lang) -> Page {
        let mut page = Page::of(PageKind::Ask, Label::CabStands.in_lang(lang));
        let caution = crate::safety::Gate::RaiseCab.caution();
        page.cautions =
            vec![(caution.signal.words().in_lang(lang).to_owned(), caution.hazard.in_lang(lang).to_owned())];
        let choice = |(word, cab): (&str, CabStands)| Choice {
            id: word.to_owned(),
            text: cab_words(cab, lang).to_owned(),
        };
        page.choices = CabStands::ALL.into_iter().map(choice).collect();
        page
    }

    /// What is known of codes at the end.
    fn codes_on(&self, page: &mut Page, lang: &Lang) {
        for code in &self.codes {
            let words = format!("SPN {} FMI {} {}", code.spn, code.fmi, code.text);
            page.line(Label::CodeLeft.in_lang(lang), words.trim_end().to_owned());
        }
        if self.no_codes || self.codes_to_ask() {
            let said = if self.no_codes { Label::NoCodeLeft } else { Label::CodesNotAsked };
            page.line("", said.in_lang(lang).to_owned());
        }
    }

    fn gate_page(&self, at: AtGate, lang: &Lang) -> Page {
        let vocabulary = self.course.vocabulary();
        let (title, caution) = match at.gate {
            crate::safety::GateId::BuiltIn(gate) => {
                (gate.title().in_lang(lang).to_owned(), Some(gate.caution()))
            }
            own @ crate::safety::GateId::Own(_) => (own.name(vocabulary).to_owned(), None),
        };
        let mut page = Page::of(PageKind::Gate, &title);
        page.cautions = caution
            .iter()
            .map(|c| (c.signal.words().in_lang(lang).to_owned(), c.hazard.in_lang(lang).to_owned()))
            .collect();
        let step = self.course.tree().step(at.step);
        match at.why {
            WhyGate::Missing => {
                // What the step itself says is not shown before it is safe; a gate's name may be.
                let gate = match &step.kind {
                    Kind::Gate(own) => vocabulary.gate(&own.gate),
                    _ => None,
                };
                let before = match gate {
                    Some(crate::safety::GateId::BuiltIn(gate)) => gate.title().in_lang(lang),
                    _ => &step.id,
                };
                page.needed_for = Some(format!("{}: {before}", Label::NeededFor.in_lang(lang)));
            }
            WhyGate::NoWay => page.needed_for = Some(Label::NoWay.in_lang(lang).to_owned()),
            WhyGate::Own => page.line_of(Label::None, step.text.as_ref(), lang),
        }
        page.items = self.item_lines(&self.gate_items(at.gate, at.step, at.why), at.item, lang);
        page
    }

    fn check_page(&self, ix: StepIx, live: usize, lang: &Lang) -> Page {
        let mut page = Page::of(PageKind::Gate, Label::BeforeDriving.in_lang(lang));
        page.needed_for =
            Some(format!("{}: {}", Label::NeededFor.in_lang(lang), self.course.tree().step(ix).id));
        page.cautions = crate::safety::cautions(self.course.deeds(ix))
            .iter()
            .map(|c| (c.signal.words().in_lang(lang).to_owned(), c.hazard.in_lang(lang).to_owned()))
            .collect();
        page.items = Self::drive_items()
            .iter()
            .enumerate()
            .map(|(nth, item)| ItemLine {
                text: item_text(item, lang),
                confirm: item.confirm,
                state: match nth.cmp(&live) {
                    std::cmp::Ordering::Less => {
                        ItemState::Confirmed { clock: self.last().clock(), by: String::new(), typed: None }
                    }
                    std::cmp::Ordering::Equal => ItemState::Live,
                    std::cmp::Ordering::Greater => ItemState::Later,
                },
            })
            .collect();
        page
    }

    fn item_lines(&self, items: &[GateItem], live: usize, lang: &Lang) -> Vec<ItemLine> {
        let log = self.gates.last();
        let state = |nth: usize| match log.and_then(|l| l.confirmed.get(nth)) {
            Some(done) => ItemState::Confirmed {
                clock: done.at.clock(),
                by: done.by.clone(),
                typed: done.reading.as_ref().map(ToString::to_string),
            },
            None if nth == live => ItemState::Live,
            None => ItemState::Later,
        };
        items
            .iter()
            .enumerate()
            .map(|(nth, item)| ItemLine {
                text: item_text(item, lang),
                confirm: item.confirm,
                state: state(nth),
            })
            .collect()
    }
}

/// With its first letter large, as labels stand on a page.
fn capital(label: &str) -> String {
    let mut letters = label.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What is spoken to other people stands in both languages, so that it can be read out.
fn item_text(item: &GateItem, lang: &Lang) -> String {
    let text = item.text.in_lang(lang);
    if item.confirm == Confirm::SaidToOthers {
        let other = item.text.in_lang(&Lang::new(if lang.code() == "es" { "en" } else { "es" }));
        if other != text {
            return format!("{text} / {other}");
        }
    }
    text.to_owned()
}

impl Page {
    fn of(kind: PageKind, title: &str) -> Self {
        Self {
            kind,
            cautions: Vec::new(),
            defer: None,
            title: title.to_owned(),
            needed_for: None,
            lines: Vec::new(),
            choices: Vec::new(),
            items: Vec::new(),
            machine_now: String::new(),
            step_number: 0,
        }
    }

    fn with_choices(mut self, answers: &[crate::tree::Answer], lang: &Lang) -> Self {
        self.choices = answers
            .iter()
            .map(|a| Choice { id: a.id.clone(), text: a.text.in_lang(lang).to_owned() })
            .collect();
        self
    }

    fn line(&mut self, label: &str, text: String) {
        self.lines.push(Line { label: label.to_owned(), text });
    }

    fn line_of(&mut self, label: Label, text: Option<&Text>, lang: &Lang) {
        if let Some(text) = text {
            self.line(label.in_lang(lang), text.in_lang(lang).to_owned());
        }
    }
}
