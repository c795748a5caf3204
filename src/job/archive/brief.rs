//! A line of a journal by what a listing needs of it.
//!
//! The opening holds the texts of tree and machine, nine tenths of a job. Its line is hashed like every other, but the
//! texts are not read: only a fingerprint of them is kept, so that jobs on the same texts can share what is made of
//! them. A shape that this program did not write is read in full.

use crate::job::kept::Kept;
use crate::job::summary::Listable;
use crate::walk::Event;

/// A line of a journal, briefly.
#[derive(Debug, Clone, PartialEq)]
pub struct Brief {
    /// On the first line: the version of the program, and a fingerprint of the texts.
    pub opened: Option<(String, u64)>,
    /// The event.
    pub event: Event,
}

impl Listable for Brief {
    fn event(&self) -> &Event {
        &self.event
    }

    fn version(&self) -> Option<&str> {
        self.opened.as_ref().map(|(version, _)| version.as_str())
    }
}

/// What happened in a walk that sums are made of, by the ids of steps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trace {
    /// Done, passed or taken note of.
    Done(String),
    /// Answered.
    Answered(String, String),
    /// Read, and the band.
    Read(String, usize),
    /// It could not be done; the gate, where one had been begun there.
    Cannot(String, Option<String>),
}

impl Trace {
    /// What of an event sums are made of; `gate` is the gate of the last confirmed item, and its step.
    pub(super) fn of(event: &Event, gate: Option<&(String, String)>) -> Option<Self> {
        Some(match event {
            Event::Done { step, .. } => Self::Done(step.clone()),
            Event::Answered { step, answer } => Self::Answered(step.clone(), answer.clone()),
            Event::Read { step, band, .. } => Self::Read(step.clone(), *band),
            Event::Cannot { step, .. } => {
                let begun = gate.filter(|(of, _)| of == step).map(|(_, gate)| gate.clone());
                Self::Cannot(step.clone(), begun)
            }
            _ => return None,
        })
    }
}

/// Reads the text of an event.
pub(super) fn brief(text: &str) -> Result<Brief, String> {
    if let Some(opened) = opened(text) {
        return opened;
    }
    // Nearly every line is an event of the walk; what is none is read as whatever a line can be.
    if let Ok(event) = serde_json::from_str(text) {
        return Ok(Brief { opened: None, event });
    }
    let kept: Kept = serde_json::from_str(text).map_err(|error| error.to_string())?;
    Ok(match kept {
        Kept::Walk(event) => Brief { opened: None, event: *event },
        Kept::Opened(opening) => {
            let texts = serde_json::to_string(&opening.texts).map_err(|error| error.to_string())?;
            let (version, event) = (opening.version, opening.event);
            Brief { opened: Some((version, fingerprint(&texts))), event }
        }
    })
}

/// An opening as this program writes it: `{"opened":{"version":"…","texts":[…],"event":…}}`. A bare quote cannot stand
/// inside a JSON string, so that the last `],"event":` is the one that ends the texts.
fn opened(text: &str) -> Option<Result<Brief, String>> {
    let inner = text.strip_prefix("{\"opened\":{\"version\":\"")?.strip_suffix("}}")?;
    let (version, rest) = inner.split_once("\",\"texts\":")?;
    let (texts, event) = rest.rsplit_once("],\"event\":")?;
    if version.contains('\\') || !texts.starts_with('[') {
        return None;
    }
    let event: Event = match serde_json::from_str(event) {
        Ok(event) => event,
        Err(error) => return Some(Err(error.to_string())),
    };
    let texts = fingerprint(&rest[..=texts.len()]);
    Some(Ok(Brief { opened: Some((version.to_owned(), texts)), event }))
}

fn fingerprint(texts: &str) -> u64 {
    let hash = blake3::hash(texts.as_bytes());
    hash.as_bytes().first_chunk().map_or(0, |first| u64::from_le_bytes(*first))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Files, Source};
    use crate::walk::{Details, Walker};

    #[test]
    fn briefly_or_in_full_it_says_the_same() {
        let mut files = Files::default();
        files.add(Source::new("a.yaml", "say: \"],\\\"event\\\":{\" # \n"));
        let begun = Event::Begun {
            tree: "t".to_owned(),
            revision: 3,
            lang: "en".to_owned(),
            walker: Walker::Person,
            details: Details { complaint: Some("],\"event\":".to_owned()), ..Details::default() },
        };
        let text = serde_json::to_string(&Kept::opening(&files, begun.clone())).expect("it is JSON");
        let short = opened(&text).expect("the written shape").expect("it reads");
        assert_eq!(short.event, begun);
        // With a space that this program does not write it is read in full.
        let spaced = text.replacen("{\"opened\":", "{\"opened\": ", 1);
        assert_eq!(opened(&spaced), None);
        assert_eq!(brief(&spaced).expect("it reads"), short);
    }
}
