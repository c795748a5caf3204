//! Every gate of every tree inside the program, cut out in turn: either the tree is refused and the path is shown, or
//! another gate also sets what it sets, and then both are cut and the tree is refused.
//!
//! So are `plugs`, `unbridges`, `unties`, `unfits` and `zone` dropped. What comes of each stands in one snapshot, to be
//! read when a tree changes: a gate that nothing would miss is either idle work at the machine or a hole in the check.
//! What is shared between trees is cut until the first tree misses it.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::fmt::Write as _;
use std::sync::{Mutex, OnceLock};

use loomwalk::diag::{Files, Source, SourceError, Sources};
use loomwalk::safety::{Deed, GateId, changes};
use loomwalk::tree::{Course, Examined, Flow, Kind, Shipped, examine};

use crate::support::parallel::of_each;

/// The fates of a gate that a tree does not have, and of one that it would not miss.
const NOT_USED: &str = "not used in this tree";
const UNMISSED: &str = "survives: no rule asks for it here";

/// The shipped files, some of them changed.
struct Altered {
    files: Vec<(String, String)>,
}

impl Altered {
    /// The text of a shipped file as it stands here.
    fn text(&self, name: &str) -> Option<String> {
        let altered = self.files.iter().find(|(n, _)| n == name).map(|(_, text)| text.clone());
        altered.or_else(|| Shipped::named(name).map(|source| source.text.to_string()))
    }

    fn examine(&self, tree: &str) -> Examined {
        examine(&Source::new(format!("{tree}.yaml"), self.text(tree).expect("a tree")), self)
    }

    fn with(&self, name: &str, text: String) -> Self {
        let mut files: Vec<_> = self.files.iter().filter(|(n, _)| n != name).cloned().collect();
        files.push((name.to_owned(), text));
        Self { files }
    }
}

impl Sources for Altered {
    fn fetch(&self, from: &str, wanted: &str) -> Result<Source, SourceError> {
        let path = Files::resolve(from, wanted);
        let name = path.strip_suffix(".yaml").unwrap_or(&path).to_owned();
        let text = self.text(&name).ok_or(SourceError::Missing { name: name.clone() })?;
        Ok(Source::new(format!("{name}.yaml"), text))
    }
}

/// A place in a text that can be cut out, and what the cut is called.
#[derive(Clone)]
struct Cut {
    file: String,
    name: String,
    gate: String,
    line: usize,
}

fn trees() -> Vec<String> {
    let is_tree = |name: &String| !name.starts_with("common/") && !name.ends_with("/machine");
    Shipped::names().into_iter().filter(is_tree).collect()
}

/// The id that a line gives to a step, with the line's own depth.
fn step_of(lines: &[&str], at: usize) -> String {
    let depth = |line: &str| line.len() - line.trim_start().len();
    let key = |line: &str| line.trim().split(':').next().unwrap_or_default().to_owned();
    let mut here = at;
    let mut id = if lines[at].contains(": {gate") { key(lines[at]) } else { String::new() };
    if id.is_empty() {
        while here > 0 && (depth(lines[here]) >= depth(lines[at]) || lines[here].trim().is_empty()) {
            here -= 1;
        }
        id = key(lines[here]);
    }
    let in_group = lines[..here].iter().rposition(|l| depth(l) == 2 && l.trim_end().ends_with(':'));
    match in_group {
        Some(group) if lines[..group].iter().any(|l| l.starts_with("groups:")) => {
            format!("{}/{id}", key(lines[group]))
        }
        _ => id,
    }
}

/// Every gate that stands in a file.
fn gates_in(file: &str, text: &str) -> Vec<Cut> {
    let lines: Vec<&str> = text.lines().collect();
    let mut cuts = Vec::new();
    for (line, words) in lines.iter().enumerate().filter(|(_, l)| !l.trim_start().starts_with('#')) {
        let list = words.split("gates: [").nth(1).and_then(|rest| rest.split(']').next());
        let single =
            words.split("gate: ").nth(1).map(|rest| rest.split([',', '}', ' ']).next().unwrap_or(rest));
        for gate in list.map_or_else(|| single.into_iter().collect(), |l| l.split(", ").collect::<Vec<_>>()) {
            let name = format!("{} {gate}", step_of(&lines, line));
            cuts.push(Cut { file: file.to_owned(), name, gate: gate.to_owned(), line });
        }
    }
    cuts
}

/// The text without the gate: out of its list, or a phone question that leads on in its place, which does nothing to
/// the machine.
fn cut_out(text: &str, cut: &Cut) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let line = &mut lines[cut.line];
    if let Some(at) = line.find("gates: [") {
        let end = at + line[at..].find(']').expect("a closed list");
        let kept: Vec<&str> = line[at + 8..end].split(", ").filter(|g| *g != cut.gate).collect();
        if kept.is_empty() {
            let go = line.split("go: ").nth(1).expect("a target").split([',', '}']).next().expect("a target");
            *line = line[..line.find('{').expect("a map")].to_owned() + &passed(go);
        } else {
            *line = format!("{}gates: [{}{}", &line[..at], kept.join(", "), &line[end..]);
        }
        return lines.join("\n");
    }
    if line.contains('{') {
        let go = line.split("go: ").nth(1).expect("a target").split([',', '}']).next().expect("a target");
        *line = line[..line.find('{').expect("a map")].to_owned() + &passed(go);
        return lines.join("\n");
    }
    let depth = line.len() - line.trim_start().len();
    let is_below = |l: &String| l.trim().is_empty() || l.len() - l.trim_start().len() >= depth;
    let end = cut.line + lines[cut.line..].iter().take_while(|l| is_below(l)).count();
    let go =
        lines[cut.line..end].iter().find_map(|l| l.trim().strip_prefix("go: ")).expect("a target").to_owned();
    let asked = format!("{}{}", " ".repeat(depth), passed(&go).trim_matches(['{', '}']));
    let asked = asked.replace("ask: Go on?, phone: true, answers", "ask: Go on?\nPHONE\nANSWERS");
    let indent = " ".repeat(depth);
    let asked = asked
        .replace("PHONE", &format!("{indent}phone: true"))
        .replace("ANSWERS", &format!("{indent}answers"));
    lines.splice(cut.line..end, asked.lines().map(close));
    lines.join("\n")
}

fn passed(go: &str) -> String {
    format!("{{ask: Go on?, phone: true, answers: {{on: {{text: \"On\", go: {}}}}}}}", go.trim())
}

/// Brackets that were trimmed off the end, put back.
fn close(line: &str) -> String {
    let open = line.matches('{').count().saturating_sub(line.matches('}').count());
    format!("{line}{}", "}".repeat(open))
}

/// How a refused tree is told in one line: the rule and the path.
fn refusal(examined: &Examined) -> Option<String> {
    let problems = examined.problems.list().iter().filter(|p| p.weight == loomwalk::diag::Weight::Refused);
    let first = problems.clone().find(|p| !p.path.is_empty())?;
    let steps: Vec<&str> = first.path.iter().map(|(step, _)| step.as_str()).collect();
    Some(format!("refused, {}: {}", first.rule, tail(&steps)))
}

/// The last steps of a path.
fn tail(steps: &[impl AsRef<str>]) -> String {
    let from = steps.len().saturating_sub(5);
    let last: Vec<&str> = steps[from..].iter().map(AsRef::as_ref).collect();
    format!("{}{}", if from > 0 { "… " } else { "" }, last.join(" > "))
}

/// What a gate sets, by name.
fn sets(course: &Course, gate: &str) -> HashSet<String> {
    let vocabulary = course.vocabulary();
    let id: GateId = vocabulary.gate(gate).expect("a gate");
    let all = changes(&Deed::Gate(id), vocabulary);
    let facets =
        all.iter().filter_map(|change| change.facet()).map(|facet| vocabulary.name(facet).to_owned());
    facets.filter(|name| name != "touched" && name != "left").collect()
}

/// The others that set something of what this gate sets.
fn also_set<'c>(course: &Course, cut: &Cut, all: &'c [Cut]) -> Vec<&'c Cut> {
    let wanted = sets(course, &cut.gate);
    let differs = |other: &&Cut| other.name != cut.name || other.file != cut.file;
    let shares = |other: &&Cut| other.gate == cut.gate || !sets(course, &other.gate).is_disjoint(&wanted);
    all.iter().filter(differs).filter(shares).collect()
}

/// Every demand that is not met, by step and rule.
fn unmet(course: &Course) -> BTreeSet<(usize, &'static str)> {
    let graph = course.flow_graph();
    let flow = Flow::over(&graph, course.vocabulary()).expect("a sound graph");
    flow.violations().iter().map(|v| (v.node, v.demand.rule.name())).collect()
}

/// The first demand that is not met here, and was not among those unmet before: its rule and step, and the path there.
fn newly_unmet(course: &Course, before: &BTreeSet<(String, &'static str)>) -> Option<String> {
    let graph = course.flow_graph();
    let flow = Flow::over(&graph, course.vocabulary()).expect("a sound graph");
    let step = |node: usize| course.tree().steps[node].id.clone();
    let new = flow.violations().iter().find(|v| !before.contains(&(step(v.node), v.demand.rule.name())))?;
    let danger = flow.danger(new);
    let path: Vec<String> = danger.paths.first()?.hops.iter().map(|hop| step(hop.node)).collect();
    Some(format!("{}: {}", new.demand.rule.name(), tail(&path)))
}

/// What each gate leaves unmet when it alone is cut out; found once.
struct Alone<'a> {
    tree: &'a str,
    found: Mutex<HashMap<String, BTreeSet<(String, &'static str)>>>,
}

impl Alone<'_> {
    fn without(&self, cut: &Cut) -> BTreeSet<(String, &'static str)> {
        let key = format!("{} {}", cut.file, cut.line) + &cut.gate;
        if let Some(known) = self.found.lock().expect("no panic before").get(&key) {
            return known.clone();
        }
        let whole = Altered { files: Vec::new() };
        let altered = whole.with(&cut.file, cut_out(&whole.text(&cut.file).expect("a file"), cut));
        let course = altered.examine(self.tree).course.expect("a tree");
        let id = |node: usize| course.tree().steps[node].id.clone();
        let found: BTreeSet<_> = unmet(&course).into_iter().map(|(node, rule)| (id(node), rule)).collect();
        self.found.lock().expect("no panic before").insert(key, found.clone());
        found
    }
}

/// What comes of it when a gate is cut out of a tree.
fn fate(cut: &Cut, all: &[Cut], course: &Course, alone: &Alone<'_>) -> String {
    let tree = alone.tree;
    let whole = Altered { files: Vec::new() };
    let once = whole.with(&cut.file, cut_out(&whole.text(&cut.file).expect("a file"), cut));
    let examined = once.examine(tree);
    if let Some(refused) = refusal(&examined) {
        return refused;
    }
    assert!(!examined.problems.refused(), "{tree}, {} cut out: {:#?}", cut.name, examined.problems.list());
    let count =
        |course: &Course| course.tree().steps.iter().filter(|s| matches!(s.kind, Kind::Gate(_))).count();
    if examined.course.as_ref().is_some_and(|without| count(without) == count(course)) {
        return NOT_USED.to_owned();
    }
    let mut others = also_set(course, cut, all);
    // Nearest first: the gate that takes its place stands beside it more often than not.
    others
        .sort_by_key(|other| (other.gate != cut.gate, other.file != cut.file, other.line.abs_diff(cut.line)));
    for other in others.into_iter().take(12) {
        // Two cuts in one file: the later line first, so that the other stays where it is.
        let (first, second) = if other.line > cut.line { (other, cut) } else { (cut, other) };
        let after = whole.with(&first.file, cut_out(&whole.text(&first.file).expect("a file"), first));
        let both = after.with(&second.file, cut_out(&after.text(&second.file).expect("a file"), second));
        let known = alone.without(other);
        let examined = both.examine(tree);
        if let Some(refused) = newly_unmet(examined.course.as_ref().expect("a tree"), &known) {
            return format!("survives: {} also sets it; both cut, refused, {refused}", other.name);
        }
    }
    UNMISSED.to_owned()
}

/// The files that a tree is made of.
fn files_of(tree: &str) -> Vec<String> {
    let examined = Altered { files: Vec::new() }.examine(tree);
    let names =
        examined.files.iter().map(|(_, s)| s.name.strip_suffix(".yaml").unwrap_or(&s.name).to_owned());
    names.filter(|name| !name.ends_with("/machine")).collect()
}

#[test]
fn every_gate_is_missed() {
    let mut told = String::new();
    // By file and gate: does no tree that has it miss it?
    let mut idle: BTreeMap<(String, String), bool> = BTreeMap::new();
    for tree in trees() {
        let _ = writeln!(told, "# {tree}");
        let whole = Altered { files: Vec::new() };
        let course = whole.examine(&tree).course.expect("a tree");
        let files = files_of(&tree);
        let all: Vec<Cut> =
            files.iter().flat_map(|file| gates_in(file, &whole.text(file).expect("a file"))).collect();
        let steps: HashSet<&str> = course.tree().steps.iter().map(|s| s.id.as_str()).collect();
        assert!(all.len() > 20 && steps.len() > all.len(), "{tree}: {} gates", all.len());
        let alone = Alone { tree: &tree, found: Mutex::default() };
        let own = whole.text(&tree).expect("a file");
        // A gate of a group stands under the group's name; groups that this tree does not run are not cut here.
        let stands = |cut: &&Cut| {
            let group = cut.name.split_once('/').map_or("", |(group, _)| group);
            !cut.file.starts_with("common/") || own.contains(&format!("run: {group},"))
        };
        let key = |cut: &Cut| (cut.file.clone(), cut.name.clone());
        let cuts: Vec<&Cut> =
            all.iter().filter(stands).filter(|cut| idle.get(&key(cut)) != Some(&false)).collect();
        let fates = of_each(&cuts, |cut| fate(cut, &all, &course, &alone));
        for (cut, fate) in cuts.into_iter().zip(fates) {
            if fate != NOT_USED {
                let _ = writeln!(told, "{}: {fate}", cut.name);
                idle.insert(key(cut), fate == UNMISSED);
            }
        }
    }
    insta::with_settings!({omit_expression => true}, {
        insta::assert_snapshot!("every_gate_cut_out", told);
    });
    let idle: Vec<&str> =
        idle.iter().filter(|(_, unmissed)| **unmissed).map(|((_, name), _)| name.as_str()).collect();
    assert!(
        idle.is_empty(),
        "a gate that no rule asks for is idle work at the machine, or a hole in the check: {idle:#?}"
    );
}

/// The text of a step without one of its keys.
fn without(line: &str, key: &str) -> Option<String> {
    let at = line.find(&format!("{key}: "))?;
    let before = line[..at].chars().last();
    if before.is_some_and(|c| c.is_alphanumeric() || c == '-') {
        return None;
    }
    let rest = &line[at..];
    let value = key.len() + 2;
    let end = if rest[value..].starts_with('[') {
        rest.find(']')? + 1
    } else if rest[value..].starts_with('"') {
        value + rest[value + 1..].find('"')? + 2
    } else {
        rest.find([',', '}']).unwrap_or(rest.len())
    };
    let end = at + end;
    let tail = line[end..].strip_prefix(", ").unwrap_or(&line[end..]);
    Some(format!("{}{tail}", &line[..at]))
}

/// The steps do the same as those of the tree as it is.
fn is_same(examined: &Examined, course: &Course) -> bool {
    let same = |other: &Course| course.tree().iter().all(|(ix, _)| other.deeds(ix) == course.deeds(ix));
    examined.course.as_ref().is_some_and(same)
}

/// What one step did not undo another does further on: without any of them the tree is refused.
fn again_further_on(tree: &str, key: &str) -> String {
    let mut none = Altered { files: Vec::new() };
    for file in files_of(tree) {
        let text = none.text(&file).expect("a file");
        let lines = text.lines().map(|line| without(line, key).unwrap_or_else(|| line.to_owned()));
        let changed = lines.collect::<Vec<_>>().join("\n");
        none = none.with(&file, changed);
    }
    let refused = refusal(&none.examine(tree));
    refused.map_or("survives".to_owned(), |refused| {
        format!("survives: done again further on; all dropped, {refused}")
    })
}

/// A key that can be dropped from one line.
struct Dropped {
    file: String,
    line: usize,
    key: &'static str,
    /// The line without the key.
    left: String,
}

const KEYS: [&str; 5] = ["plugs", "unbridges", "unties", "unfits", "zone"];

impl Dropped {
    /// Every one of the keys in a file.
    fn all_of(file: &str) -> Vec<Self> {
        let text = Altered { files: Vec::new() }.text(file).expect("a file");
        let told = |line: &&str| !line.trim_start().starts_with('#') && !line.contains("run: ");
        let lines = text.lines().enumerate().filter(|(_, words)| told(words));
        let keys = lines.flat_map(|(line, words)| KEYS.map(|key| (line, key, without(words, key))));
        keys.filter_map(|(line, key, left)| Some(Self { file: file.to_owned(), line, key, left: left? }))
            .collect()
    }

    /// The step that it is dropped from, by the name it has in its file.
    fn step(&self) -> String {
        let text = Altered { files: Vec::new() }.text(&self.file).expect("a file");
        let lines: Vec<&str> = text.lines().take(self.line + 1).collect();
        let above = |depth: usize| {
            let is_key = |l: &&str| l.len() - l.trim_start().len() == depth && !l.trim().starts_with('#');
            let line = lines.iter().rfind(|l| !l.trim().is_empty() && is_key(l)).expect("a line");
            line.trim().split(':').next().unwrap_or_default().to_owned()
        };
        if above(0) == "groups" { format!("{}/{}", above(2), above(6)) } else { above(2) }
    }

    fn fate(&self, tree: &str, course: &Course, all_dropped: &[OnceLock<String>]) -> String {
        let whole = Altered { files: Vec::new() };
        let text = whole.text(&self.file).expect("a file");
        let mut lines: Vec<&str> = text.lines().collect();
        lines[self.line] = &self.left;
        let examined = whole.with(&self.file, lines.join("\n")).examine(tree);
        match refusal(&examined) {
            Some(refused) => refused,
            None if examined.problems.refused() => format!("refused, {}", examined.problems.list()[0].rule),
            // Where nobody says it, `no-zone` refuses the tree.
            None if self.key == "zone" => "survives: said by the machine, or not needed".to_owned(),
            None if is_same(&examined, course) => NOT_USED.to_owned(),
            None => {
                let at = KEYS.iter().position(|key| *key == self.key).expect("one of the keys");
                all_dropped[at].get_or_init(|| again_further_on(tree, self.key)).clone()
            }
        }
    }
}

#[test]
fn what_undoes_and_where_one_stands_is_missed() {
    let mut told = String::new();
    let mut missed: HashSet<(String, usize, &str)> = HashSet::new();
    for tree in trees() {
        let _ = writeln!(told, "# {tree}");
        let course = Altered { files: Vec::new() }.examine(&tree).course.expect("a tree");
        let mut dropped: Vec<Dropped> = files_of(&tree).iter().flat_map(|f| Dropped::all_of(f)).collect();
        dropped.retain(|one| !missed.contains(&(one.file.clone(), one.line, one.key)));
        let all_dropped = [const { OnceLock::new() }; KEYS.len()];
        let fates = of_each(&dropped, |one| one.fate(&tree, &course, &all_dropped));
        for (one, fate) in dropped.into_iter().zip(fates).filter(|(_, fate)| fate != NOT_USED) {
            let _ = writeln!(told, "{} {}, {}: {fate}", one.file, one.step(), one.key);
            missed.insert((one.file, one.line, one.key));
        }
    }
    insta::with_settings!({omit_expression => true}, {
        insta::assert_snapshot!("every_undoing_dropped", told);
    });
    let idle: Vec<&str> = told.lines().filter(|line| line.ends_with("survives")).collect();
    assert!(idle.is_empty(), "nobody would miss these: {idle:#?}");
}
