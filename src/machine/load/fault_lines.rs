//! The `faults` section: shares that an author knows better, and faults that are not electrical.

use super::draft::Draft;
use super::forms;
use super::head::named;
use crate::diag::{Entries, Place as FilePlace, nearest};
use crate::machine::family::turned;
use crate::machine::fault::{Fault, FaultKind, Measured, SeenAt};
use crate::machine::model::FunctionId;
use std::collections::HashMap;

/// Applies the file's lines to the faults that its circuits have.
pub(super) fn apply_lines(
    draft: &mut Draft<'_>,
    top: &Entries<'_, '_>,
    mut faults: Vec<Fault>,
) -> Vec<Fault> {
    let mut numbers: HashMap<String, usize> =
        faults.iter().enumerate().map(|(at, fault)| (fault.name.clone(), at)).collect();
    for entry in named(draft, top, "faults") {
        let Some(line) = draft.open(&entry.value, &forms::FAULT) else { continue };
        let at = FilePlace::Bytes(draft.file, entry.key_span);
        let (share, title) = (draft.share(&line), draft.title(&line));
        let stops = draft.stops(&line);
        let seen = draft.seen_at(&line);
        let written = entry.key.split_whitespace().collect::<Vec<_>>().join(" ");
        let number = numbers.get(&written).or_else(|| numbers.get(&turned(&written)?)).copied();
        if let Some(fault) = number.map(|at| &mut faults[at]) {
            fault.share = share.unwrap_or(fault.share);
            fault.title = title.or_else(|| fault.title.take());
            fault.stops.extend(stops);
            fault.seen = seen;
        } else if line.get("stops").is_some() {
            numbers.insert(written.clone(), faults.len());
            faults.push(Fault {
                name: written,
                kind: FaultKind::Other,
                share: share.unwrap_or(1.0),
                measured: Measured::Fixed,
                nominal: 0.0,
                spread: vec![0.0],
                title,
                stops,
                seen,
            });
        } else {
            let most = if draft.problems.list().len() < 100 { usize::MAX } else { 20 };
            let meant = nearest(entry.key, faults.iter().map(|f| f.name.as_str()).take(most));
            draft.problems.refuse("dangling-name", at).says(
                format!("the circuits have no fault `{}`, and nothing says what it stops", entry.key),
                "A share for a fault that is not there changes nothing.",
                meant.map_or_else(
                    || "the fault's name as `loomwalk faults` lists it, or `stops: […]`".to_owned(),
                    |m| format!("`{m}`, if that is meant"),
                ),
            );
        }
    }
    faults
}

impl Draft<'_> {
    fn share(&mut self, line: &Entries<'_, '_>) -> Option<f64> {
        let node = line.get("share")?;
        let share = node.scalar().and_then(|text| text.trim().parse::<f64>().ok());
        let share = share.filter(|s| s.is_finite() && (0.0..=1e6).contains(s));
        if share.is_none() {
            let place = self.place(node);
            self.problems.refuse("wrong-quantity", place).says(
                "a share is a number from 0 up",
                "Ranking and plans would be made with it.",
                "`share: 3`",
            );
        }
        share
    }

    fn seen_at(&mut self, line: &Entries<'_, '_>) -> Option<SeenAt> {
        let seen = self.open(line.get("seen")?, &forms::SEEN)?;
        let look = self.text(&seen, "look")?;
        Some(SeenAt { look, zone: self.zone(&seen)?, minutes: self.minutes(&seen) })
    }

    fn stops(&mut self, line: &Entries<'_, '_>) -> Vec<FunctionId> {
        let mut stops = Vec::new();
        for (word, at) in line.words("stops", self.problems) {
            let found = self.parts.functions.iter().position(|f| f.name == word);
            if found.is_none() {
                let names: Vec<String> = self.parts.functions.iter().map(|f| f.name.clone()).collect();
                self.dangling("function", word, at, names.iter().map(String::as_str));
            }
            stops.extend(found.map(FunctionId::new));
        }
        stops
    }
}
