//! Writing out shared groups and gate lists: every step gets its place in one flat row before targets are resolved.
//!
//! Copies of a group's steps are named after the step that runs them (`make-safe/park`). Inside a copy, names mean the
//! copy's own steps first, then the ends that the running step gives; `back` is its `go`, `again` another round.

use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap, HashSet};

use crate::diag::{Entries, FileId, Form, Node, Place, Problems, Span, nearest};

use super::forms;
use super::ids::Ids;
use super::load::{form_of, route, wrong_kind};
use super::model::{StepIx, Target};
use super::size::MOST_STEPS;

/// Groups may run groups, this deep.
const DEEPEST: usize = 8;

/// After so many problems nobody is helped by guessing what a name was meant to be.
const MOST_GUESSES: usize = 100;

/// A group as it stands in a file.
pub(super) struct Group<'n, 'a> {
    pub(super) entries: Entries<'n, 'a>,
    pub(super) name: String,
}

/// One step before its targets are resolved.
pub(super) struct Draft<'n, 'a> {
    pub(super) ix: StepIx,
    pub(super) kind: &'static str,
    pub(super) entries: Entries<'n, 'a>,
    pub(super) scope: usize,
    pub(super) place: Place,
    /// Which gate of a `gates` list this is, and how many there are.
    pub(super) gate: Option<(usize, usize)>,
}

/// What names mean for some steps: the tree itself, or one copy of a group.
pub(super) struct Scope<'n, 'a> {
    prefix: String,
    parent: usize,
    run: Option<Entries<'n, 'a>>,
    params: Vec<(String, String)>,
}

impl Scope<'_, '_> {
    /// The id that a name stands for here.
    fn named<'s>(&self, name: &'s str) -> Cow<'s, str> {
        if self.prefix.is_empty() {
            Cow::Borrowed(name)
        } else {
            Cow::Owned(format!("{}{name}", self.prefix))
        }
    }
}

/// What the names of all steps mean.
pub(super) struct Drafts<'n, 'a> {
    /// The steps in a row, while they are written out.
    list: Vec<Draft<'n, 'a>>,
    /// Entries of maps of steps that were gone through.
    gone_through: usize,
    scopes: Vec<Scope<'n, 'a>>,
    names: Vec<Cow<'a, str>>,
    ids: Ids,
    /// Ids of steps that could not be taken in; that was told, and is not told again by what leads to them.
    dropped: HashSet<String>,
}

impl<'n, 'a> Drafts<'n, 'a> {
    /// Writes out the steps of a tree, in a row. `None` if there are none.
    pub(super) fn expand(
        steps: &'n Node<'a>,
        file: FileId,
        groups: &HashMap<String, Group<'n, 'a>>,
        problems: &mut Problems,
    ) -> Option<(Self, Vec<Draft<'n, 'a>>)> {
        let top = Scope { prefix: String::new(), parent: 0, run: None, params: Vec::new() };
        let mut drafts = Self {
            list: Vec::new(),
            gone_through: 0,
            scopes: vec![top],
            names: Vec::new(),
            ids: Ids::default(),
            dropped: HashSet::new(),
        };
        let mut chain = Vec::new();
        drafts.steps_of(steps, &route(file, &["steps"]), 0, groups, &mut chain, problems);
        let list = std::mem::take(&mut drafts.list);
        (!list.is_empty()).then_some((drafts, list))
    }

    /// The step with this id, or that a run or a list of gates with it begins with.
    pub(super) fn top(&self, name: &str) -> Option<StepIx> {
        self.ids.find(name, |ix| self.id(ix))
    }

    /// The id of a step.
    pub(super) fn id(&self, ix: StepIx) -> &str {
        &self.names[ix.at()]
    }

    /// The ids, for looking steps up later.
    pub(super) fn into_ids(self) -> Ids {
        self.ids
    }

    /// Whether the running step gives parameters.
    pub(super) fn has_parameters(&self, scope: usize) -> bool {
        !self.scopes[scope].params.is_empty()
    }

    /// The text with the group's parameters filled in.
    pub(super) fn fill<'t>(&self, scope: usize, text: &'t str) -> Cow<'t, str> {
        let mut filled = Cow::Borrowed(text);
        for (name, value) in &self.scopes[scope].params {
            filled = Cow::Owned(filled.replace(&format!("{{{name}}}"), value));
        }
        filled
    }

    fn steps_of(
        &mut self,
        steps: &'n Node<'a>,
        place: &Place,
        scope: usize,
        groups: &HashMap<String, Group<'n, 'a>>,
        chain: &mut Vec<String>,
        problems: &mut Problems,
    ) {
        let file = place.file_id();
        let Some(entries) = steps.map() else {
            wrong_kind(Place::Bytes(file, steps.span), "`steps` is a map of steps by id", problems);
            return;
        };
        self.list.reserve(entries.len());
        self.names.reserve(entries.len());
        self.ids.reserve(entries.len(), |ix| &self.names[ix.at()]);
        for entry in entries {
            self.gone_through += 1;
            // What was counted stays under this; not so what is only taken for a group that was meant.
            if self.list.len() >= MOST_STEPS || self.gone_through > MOST_STEPS * (DEEPEST + 1) {
                return;
            }
            let key_place = Place::Bytes(file, entry.key_span);
            let id = self.scopes[scope].named(entry.key);
            let form = if good_id(entry.key, key_place, problems) {
                kind_of(&entry.value, entry.key, file, entry.key_span, problems)
            } else {
                None
            };
            let opened =
                form.and_then(|(kind, f)| Some((kind, Entries::open(&entry.value, file, f, problems)?)));
            let Some((kind, step)) = opened else {
                self.dropped.insert(id.into_owned());
                continue;
            };
            let place =
                place.entry(entry.key, Span { start: entry.key_span.start, end: entry.value.span.end });
            match kind {
                "gates" => self.gate_list(&id, step, scope, &place, problems),
                "run" => self.run(&id, step, scope, groups, chain, problems),
                _ => self.add(id, |ix| Draft { ix, kind, entries: step, scope, place, gate: None }),
            }
        }
    }

    fn add(&mut self, id: Cow<'a, str>, draft: impl FnOnce(StepIx) -> Draft<'n, 'a>) {
        let ix = StepIx(u32::try_from(self.list.len()).unwrap_or(u32::MAX));
        self.names.push(id);
        self.ids.add(ix, |ix| &self.names[ix.at()]);
        self.list.push(draft(ix));
    }

    fn gate_list(
        &mut self,
        id: &str,
        step: Entries<'n, 'a>,
        scope: usize,
        place: &Place,
        problems: &mut Problems,
    ) {
        let names = step.words("gates", problems);
        let first = self.list.len();
        let mut seen = HashSet::new();
        let kept: Vec<_> = names
            .iter()
            .enumerate()
            .filter(|(_, (name, at))| {
                let new = seen.insert(*name);
                if !new {
                    problems.refuse("name-used-twice", at.clone()).says(
                        format!("the gate `{name}` stands twice in this list"),
                        "One of the two cannot be told from the other in the report.",
                        "the gate once, or two steps",
                    );
                }
                new
            })
            .collect();
        for (nth, (at, (name, _))) in kept.iter().enumerate() {
            self.add(Cow::Owned(format!("{id}/{name}")), |ix| Draft {
                ix,
                kind: "gates",
                entries: step,
                scope,
                place: place.key("gates").item(*at),
                gate: Some((nth, kept.len())),
            });
        }
        if kept.is_empty() {
            self.dropped.insert(id.to_owned());
            problems.refuse("empty-list", step.key_place("gates")).says(
                "the list of gates is empty",
                "A gate list that holds nothing makes nothing safe.",
                "`gates: [park, lower-arms]`, or no such step",
            );
        } else {
            self.alias(id, first);
        }
    }

    fn run(
        &mut self,
        id: &str,
        step: Entries<'n, 'a>,
        scope: usize,
        groups: &HashMap<String, Group<'n, 'a>>,
        chain: &mut Vec<String>,
        problems: &mut Problems,
    ) {
        let Some(name) = step.word("run", problems) else {
            self.dropped.insert(id.to_owned());
            return;
        };
        let at = Place::Bytes(step.file, step.get("run").map_or_else(Span::default, |n| n.span));
        let unknown = !groups.contains_key(name);
        let meant = if unknown && problems.count() < MOST_GUESSES {
            nearest(name, groups.keys().map(String::as_str).collect::<BTreeSet<_>>())
        } else {
            None
        };
        if unknown {
            problems.refuse("dangling-name", at.clone()).says(
                format!("there is no group `{name}`"),
                "The steps it stands for are missing from the walk.",
                meant.map_or_else(
                    || "a group of a file under `use:`".to_owned(),
                    |g| format!("`{g}`, if that is meant"),
                ),
            );
        }
        let Some(group) = groups.get(name).or_else(|| groups.get(meant?)) else {
            self.dropped.insert(id.to_owned());
            return;
        };
        if chain.iter().any(|g| g == &group.name) || chain.len() >= DEEPEST {
            self.dropped.insert(id.to_owned());
            problems.refuse("group-in-itself", at).says(
                format!("the group `{name}` runs itself, or groups are run more than {DEEPEST} deep"),
                "The walk would never come to its end.",
                "the steps themselves, or a group that does not lead back here",
            );
            return;
        }
        let params = self.params(step, scope, problems);
        let prefix = format!("{id}/");
        self.scopes.push(Scope { prefix: prefix.clone(), parent: scope, run: Some(step), params });
        let inner = self.scopes.len() - 1;
        let first = self.list.len();
        chain.push(group.name.clone());
        if let Some(steps) = group.entries.get("steps") {
            let place = route(group.entries.file, &["groups"]).key(&group.name).key("steps");
            self.steps_of(steps, &place, inner, groups, chain, problems);
        }
        chain.pop();
        let start = group.entries.word("start", problems);
        let begins = start.and_then(|start| {
            let known = self.top(&format!("{prefix}{start}"));
            known.or_else(|| self.dangling(start, group.entries.key_place("start"), problems))
        });
        self.alias(id, begins.map_or(first, StepIx::at));
    }

    fn alias(&mut self, id: &str, first: usize) {
        if first < self.list.len() {
            self.ids.name(id, StepIx(u32::try_from(first).unwrap_or(u32::MAX)));
        }
    }

    fn params(&self, step: Entries<'n, 'a>, scope: usize, problems: &mut Problems) -> Vec<(String, String)> {
        let Some(node) = step.get("for") else { return Vec::new() };
        let Some(entries) = node.map() else {
            wrong_kind(
                Place::Bytes(step.file, node.span),
                "the group's parameter, as `{plug: X14}`",
                problems,
            );
            return Vec::new();
        };
        entries
            .iter()
            .filter_map(|e| Some((e.key.to_string(), self.fill(scope, e.value.scalar()?).into_owned())))
            .collect()
    }

    /// What a name means as a target; a name that means nothing is told.
    pub(super) fn target(&self, scope: usize, name: &str, place: Place, problems: &mut Problems) -> Target {
        if name == "again" {
            return Target::Again;
        }
        let here = &self.scopes[scope];
        if let Some(run) = here.run {
            let end = if name == "back" { run.get("go") } else { run.get("exits").and_then(|n| n.get(name)) };
            if let Some(node) = end {
                let at = Place::Bytes(run.file, node.span);
                return match node.scalar() {
                    Some(outer) if !outer.trim().is_empty() => {
                        self.target(here.parent, outer.trim(), at, problems)
                    }
                    _ => {
                        wrong_kind(at, "the name of a step", problems);
                        Target::Nowhere
                    }
                };
            }
        }
        let id = here.named(name);
        if let Some(ix) = self.top(&id) {
            return Target::Step(ix);
        }
        if self.dropped.contains(id.as_ref()) {
            return Target::Nowhere;
        }
        match here.run {
            Some(run) if name == "back" => problems.refuse("dangling-name", run.place()).says(
                "the group comes back here, and this step has no `go`",
                "The walk would end in the middle of the job.",
                "`go: …`, the step after the group",
            ),
            Some(run) => {
                let known: Vec<&str> = run
                    .get("exits")
                    .and_then(Node::map)
                    .map_or_else(Vec::new, |m| m.iter().map(|e| e.key).collect());
                let beside =
                    if known.is_empty() { String::new() } else { format!(" beside {}", known.join(", ")) };
                problems.refuse("dangling-name", run.place()).says(
                    format!(
                        "the group leads to `{name}`, which is neither one of its steps nor an end given here"
                    ),
                    "The walk would end in the middle of the job.",
                    format!("`exits: {{{name}: …}}`{beside}"),
                );
            }
            None => {
                return self.dangling(name, place, problems).map_or(Target::Nowhere, Target::Step);
            }
        }
        Target::Nowhere
    }

    /// The `cannot` that a running step gives to the steps of its group.
    pub(super) fn inherited_cannot(&self, scope: usize, problems: &mut Problems) -> Option<Target> {
        let here = &self.scopes[scope];
        let run = here.run?;
        match run.get("cannot") {
            Some(node) => {
                let name = run.word("cannot", problems)?;
                Some(self.target(here.parent, name, Place::Bytes(run.file, node.span), problems))
            }
            None => self.inherited_cannot(here.parent, problems),
        }
    }

    /// Tells a name that no step has, with what was probably meant; that step, so that the rest is looked at as meant.
    pub(super) fn dangling(&self, name: &str, place: Place, problems: &mut Problems) -> Option<StepIx> {
        if self.dropped.contains(name) {
            return None;
        }
        // In the order of the names, so that the same file always gets the same answer; not for a file that is
        // nothing but dangling names.
        let known: BTreeSet<&str> = if problems.count() < MOST_GUESSES {
            let others = self.ids.other_names().chain(self.dropped.iter().map(String::as_str));
            self.names.iter().map(|name| &**name).chain(others).collect()
        } else {
            BTreeSet::new()
        };
        let meant = nearest(name, known);
        // The step that was meant has something wrong itself, and that was told.
        if meant.is_some_and(|m| self.dropped.contains(m)) {
            return None;
        }
        problems.refuse("dangling-name", place).says(
            format!("there is no step `{name}`"),
            "The walk would end in the middle of the job.",
            meant.map_or_else(|| "the id of a step".to_owned(), |m| format!("`{m}`, if that is meant")),
        );
        self.top(meant?)
    }
}

fn good_id(id: &str, place: Place, problems: &mut Problems) -> bool {
    let fits = !id.is_empty()
        && id.len() <= 64
        && id.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'))
        && !matches!(id, "back" | "again");
    if !fits {
        problems.refuse("step-name", place).says(
            format!("`{id}` cannot be a step's name"),
            "Journals and answers files carry the name; it must mean one step and nothing else.",
            "letters, digits and `-`, at most 64; not `back` or `again`",
        );
    }
    fits
}

fn kind_of(
    node: &Node<'_>,
    id: &str,
    file: FileId,
    span: Span,
    problems: &mut Problems,
) -> Option<(&'static str, &'static Form)> {
    let place = Place::Bytes(file, span);
    let found: Vec<&str> = forms::KINDS.iter().map(|(k, _)| *k).filter(|k| node.get(k).is_some()).collect();
    match found.as_slice() {
        [_] => form_of(node),
        [] => {
            let written = node.map().and_then(|m| m.first()).map(|e| e.key.to_string());
            let kinds = || forms::KINDS.iter().map(|(k, _)| *k);
            let meant = written.as_deref().and_then(|w| nearest(w, kinds()));
            problems.refuse("step-kind", place).says(
                format!("nothing says what kind of step `{id}` is"),
                "A step without a kind has nothing to show.",
                meant.map_or_else(
                    || {
                        format!(
                            "one of {}",
                            kinds().map(|k| format!("`{k}:`")).collect::<Vec<_>>().join(", ")
                        )
                    },
                    |k| format!("`{k}:`, if that is meant"),
                ),
            );
            None
        }
        several => {
            problems.refuse("step-kind", place).says(
                format!("the step `{id}` is of two kinds at once: {}", several.join(" and ")),
                "One step is one thing to do.",
                "two steps, one after the other",
            );
            None
        }
    }
}
