//! Where routes lead in a text, by one look through it that keeps nothing else and ends with the last of them.

use std::collections::HashMap;

use granit_parser::Event;

use super::{bytes, events, trimmed_end};
use crate::diag::place::{Leg, Side, Span};

/// The bytes to which each route leads; one that leads nowhere ends at the last leg that exists. `None` if the text cannot
/// be taken apart as far as that.
pub(in crate::diag) fn seek(text: &str, routes: &[(&[Leg], Side)]) -> Option<Vec<Span>> {
    let mut seeker = Seeker::of(text, routes);
    if seeker.open > 0 {
        for next in events(text) {
            let (event, span) = next.ok()?;
            seeker.take(&event, bytes(&span))?;
            if seeker.open == 0 {
                break;
            }
        }
    }
    Some(routes.iter().map(|(legs, side)| seeker.led_to(legs, *side)).collect())
}

/// One leg, as it is found in a text.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Step<'r> {
    Key(&'r str),
    Item(usize),
}

impl<'r> Step<'r> {
    fn of(leg: &'r Leg) -> Self {
        match leg {
            Leg::Key(key) | Leg::Entry(key, _) => Self::Key(key),
            Leg::Item(item) => Self::Item(*item),
        }
    }
}

/// A place on some route.
#[derive(Default)]
struct Branch {
    /// Where its key stands, as soon as that was come to; an item has none.
    key: Option<Span>,
    /// Where its value stands, as soon as that has ended.
    value: Option<Span>,
    /// Whether it is an item that has begun.
    is_item: bool,
    /// Whether some route ends at its key, or at its value.
    ends: (bool, bool),
}

/// A list or map that is gone through.
struct Level {
    branch: Option<usize>,
    start: u32,
    inside: Inside,
}

enum Inside {
    /// A list, with the number of its next item.
    List(usize),
    /// A map, at a key.
    Key,
    /// A map, at the value of this branch.
    Value(Option<usize>),
}

struct Seeker<'r, 't> {
    text: &'t str,
    branches: Vec<Branch>,
    further: HashMap<(usize, Step<'r>), usize>,
    levels: Vec<Level>,
    /// How many ends of routes are not found yet.
    open: usize,
}

impl<'r, 't> Seeker<'r, 't> {
    fn of(text: &'t str, routes: &[(&'r [Leg], Side)]) -> Self {
        let mut seeker = Self {
            text,
            branches: vec![Branch::default()],
            further: HashMap::new(),
            levels: Vec::new(),
            open: 0,
        };
        for (legs, side) in routes {
            let mut at = 0;
            for leg in *legs {
                let new = seeker.branches.len();
                at = *seeker.further.entry((at, Step::of(leg))).or_insert(new);
                if at == new {
                    seeker.branches.push(Branch::default());
                }
            }
            let ends = &mut seeker.branches[at].ends;
            let end = if *side == Side::Key { &mut ends.0 } else { &mut ends.1 };
            seeker.open += usize::from(!std::mem::replace(end, true));
        }
        seeker
    }

    /// Takes in one event. `None` at what no file of ours may have: a key that is a list or a map.
    fn take(&mut self, event: &Event<'_>, span: Span) -> Option<()> {
        match event {
            Event::Scalar(text, ..) => self.scalar(text, span),
            Event::Alias(_) | Event::UnresolvedAlias(_) => self.scalar("", span),
            Event::SequenceStart(..) => self.begins(Inside::List(0), span)?,
            Event::MappingStart(..) => self.begins(Inside::Key, span)?,
            Event::SequenceEnd | Event::MappingEnd => {
                let level = self.levels.pop()?;
                let end = trimmed_end(self.text, level.start, span.end.max(level.start));
                self.has_value(level.branch, Span { start: level.start, end });
            }
            _ => {}
        }
        Some(())
    }

    fn scalar(&mut self, text: &str, span: Span) {
        let Some(level) = self.levels.last() else { return self.has_value(Some(0), span) };
        if !matches!(level.inside, Inside::Key) {
            let branch = self.value_begins();
            return self.has_value(branch, span);
        }
        let branch = level.branch.and_then(|at| self.further.get(&(at, Step::Key(text)))).copied();
        // Of a key that stands twice the first counts.
        let branch = branch.filter(|at| self.branches[*at].key.is_none());
        if let Some(found) = branch.map(|at| &mut self.branches[at]) {
            found.key = Some(span);
            self.open -= usize::from(found.ends.0);
        }
        self.now_inside(Inside::Value(branch));
    }

    fn begins(&mut self, inside: Inside, span: Span) -> Option<()> {
        if matches!(self.levels.last(), Some(Level { inside: Inside::Key, .. })) {
            return None;
        }
        let branch = if self.levels.is_empty() { Some(0) } else { self.value_begins() };
        self.levels.push(Level { branch, start: span.start, inside });
        Some(())
    }

    /// The branch of the value that begins here.
    fn value_begins(&mut self) -> Option<usize> {
        let level = self.levels.last()?;
        let (branch, then) = match level.inside {
            Inside::List(item) => {
                let branch = level.branch.and_then(|at| self.further.get(&(at, Step::Item(item)))).copied();
                if let Some(at) = branch {
                    self.branches[at].is_item = true;
                }
                (branch, Inside::List(item + 1))
            }
            Inside::Value(branch) => (branch, Inside::Key),
            Inside::Key => (None, Inside::Key),
        };
        self.now_inside(then);
        branch
    }

    fn now_inside(&mut self, inside: Inside) {
        if let Some(level) = self.levels.last_mut() {
            level.inside = inside;
        }
    }

    fn has_value(&mut self, branch: Option<usize>, span: Span) {
        if let Some(found) = branch.map(|at| &mut self.branches[at])
            && found.value.is_none()
        {
            found.value = Some(span);
            // An item has no key: who asks for it gets the item.
            self.open -= usize::from(found.ends.1) + usize::from(found.ends.0 && found.key.is_none());
        }
    }

    fn led_to(&self, legs: &[Leg], side: Side) -> Span {
        let (mut at, mut span) = (0, self.branches[0].value.unwrap_or_default());
        for (nth, leg) in legs.iter().enumerate() {
            let Some(next) = self.further.get(&(at, Step::of(leg))).copied() else { break };
            let found = &self.branches[next];
            let is_key = side == Side::Key && nth + 1 == legs.len();
            if found.key.or(found.value).is_none() && !found.is_item {
                break;
            }
            // Where what a route only leads through ends is known if the route leads nowhere.
            (at, span) = (next, found.key.filter(|_| is_key).or(found.value).unwrap_or(span));
        }
        span
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::super::super::{FileId, Limits, Node, Nodes, Problems, Value};
    use super::*;

    /// Every route through a tree of nodes, with where its key and its value stand.
    fn every(node: &Node<'_>, legs: &mut Vec<Leg>, key: Span, found: &mut Vec<(Vec<Leg>, Span, Span)>) {
        found.push((legs.clone(), key, node.span));
        match &node.value {
            Value::Scalar(..) => {}
            Value::List(items) => {
                for (nth, item) in items.iter().enumerate() {
                    legs.push(Leg::Item(nth));
                    every(item, legs, item.span, found);
                    legs.pop();
                }
            }
            Value::Map(entries) => {
                for entry in *entries {
                    legs.push(Leg::Key(entry.key.to_string().into()));
                    every(&entry.value, legs, entry.key_span, found);
                    legs.pop();
                }
            }
        }
    }

    fn files(folder: &Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                files(&path, found);
            } else if path.extension().is_some_and(|end| end == "yaml") {
                found.extend(std::fs::read_to_string(path));
            }
        }
    }

    /// Held against the nodes, which are made by other code from the same events.
    #[test]
    fn every_route_leads_to_where_its_node_stands() {
        let mut texts =
            vec!["a: {b: [c, {d: e}], f: |\n    g\n  }\n".to_owned(), "a: 1\na: {b: 2}\n".to_owned()];
        for folder in ["trees", "tests/good_trees", "tests/bad_trees", "tests/machines"] {
            files(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut texts);
        }
        let mut routes_seen = 0;
        for text in texts {
            let nodes = Nodes::default();
            let parsed = nodes.parse_yaml(&text, FileId(0), Limits::default(), &mut Problems::default());
            let Some(root) = parsed else { continue };
            let mut all = Vec::new();
            every(&root, &mut Vec::new(), root.span, &mut all);
            for side in [Side::Key, Side::Value] {
                let routes: Vec<_> = all.iter().map(|(legs, ..)| (legs.as_slice(), side)).collect();
                let found = seek(&text, &routes).expect("it was taken apart before");
                for ((legs, key, value), found) in all.iter().zip(found) {
                    let wanted = if side == Side::Key { key } else { value };
                    assert_eq!(found, *wanted, "{legs:?} {side:?} of\n{text}");
                    routes_seen += 1;
                }
            }
            // By itself, each is found before what it stands in has ended.
            for (legs, key, value) in all.iter().step_by(all.len() / 6 + 1) {
                for (side, wanted) in [(Side::Key, key), (Side::Value, value)] {
                    assert_eq!(
                        seek(&text, &[(legs, side)]),
                        Some(vec![*wanted]),
                        "{legs:?} {side:?} of\n{text}"
                    );
                }
            }
        }
        assert!(routes_seen > 20_000, "{routes_seen}");
    }

    #[test]
    fn a_route_that_leads_nowhere_ends_at_its_last_leg_that_exists() {
        let text = "steps:\n  one: {go: a}\n";
        let legs =
            |keys: &[&str]| keys.iter().map(|key| Leg::Key((*key).to_owned().into())).collect::<Vec<_>>();
        for (keys, shown) in [
            (vec!["steps", "one", "text", "en"], "{go: a}"),
            (vec!["steps", "two"], "one: {go: a}"),
            (vec!["title"], "steps:\n  one: {go: a}"),
        ] {
            for side in [Side::Key, Side::Value] {
                let found = seek(text, &[(&legs(&keys), side)]).expect("a text")[0];
                assert_eq!(&text[found.start as usize..found.end as usize], shown, "{keys:?}");
            }
        }
    }

    #[test]
    fn what_follows_the_last_end_is_not_looked_at() {
        let legs = [Leg::Key("a".into())];
        assert!(seek("a: {b: c}\nd: [", &[(&legs, Side::Value)]).is_some());
        assert!(seek("a: {b: c}\nd: [", &[(&[], Side::Value)]).is_none());
    }
}
