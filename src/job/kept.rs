//! What a line of a job's journal holds: the opening of the job first, then events of the walk.
//!
//! The opening holds the program's version and the texts of the tree, of the files it uses and of
//! its machine, so that a job can be replayed wherever its one file is copied to. In JSON it is
//! `{"opened":{"version","texts":[{"name","text"}…],"event":…}}` with the event that began the walk;
//! every other line is an event as the walk writes it.

use serde::{Deserialize, Serialize};

use crate::diag::{Files, Source};
use crate::walk::Event;

/// What a line of a job's journal holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kept {
    /// The opening of the job; the first line and no other.
    Opened(Box<Opening>),
    /// An event of the walk.
    #[serde(untagged)]
    Walk(Box<Event>),
}

/// How a job was opened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// The version of the program that opened it.
    pub version: String,
    /// The texts that the walk is made of: the tree first.
    pub texts: Vec<KeptText>,
    /// The event that began the walk.
    pub event: Event,
}

/// A text inside a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptText {
    /// The name it went by, against which the names in it are resolved.
    pub name: String,
    /// The whole text.
    pub text: String,
}

impl Kept {
    /// Opens a job of this version of the program, with the texts that were read and the event that
    /// begins the walk.
    #[must_use]
    pub fn opening(texts: &Files, event: Event) -> Self {
        let kept = |source: &Source| KeptText { name: source.name.clone(), text: source.text.to_string() };
        Self::Opened(Box::new(Opening {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            texts: texts.iter().map(|(_, source)| kept(source)).collect(),
            event,
        }))
    }

    /// The event, whichever line it stands in.
    #[must_use]
    pub fn event(&self) -> &Event {
        match self {
            Self::Opened(opening) => &opening.event,
            Self::Walk(event) => event,
        }
    }
}

impl From<Event> for Kept {
    fn from(event: Event) -> Self {
        Self::Walk(Box::new(event))
    }
}

impl Opening {
    /// The texts as a loader asks for them: the tree first.
    #[must_use]
    pub fn sources(&self) -> Vec<Source> {
        self.texts.iter().map(|kept| Source::new(kept.name.clone(), kept.text.clone())).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::walk::{Details, Walker};

    fn begun() -> Event {
        Event::Begun {
            tree: "tern/no-lift".to_owned(),
            revision: 3,
            lang: "en".to_owned(),
            walker: Walker::Script,
            details: Details::default(),
        }
    }

    #[test]
    fn the_first_line_holds_version_and_texts() {
        let mut files = Files::default();
        files.add(Source::new("trees/tern/no-lift.yaml", "tree: no-lift\n"));
        files.add(Source::new("trees/common/safe.yaml", "groups: {}\n"));
        let opening = Kept::opening(&files, begun());
        let text = serde_json::to_string(&opening).expect("it is JSON");
        assert!(text.starts_with(r#"{"opened":{"version":""#), "{text}");
        let back: Kept = serde_json::from_str(&text).expect("it reads back");
        assert_eq!(back, opening);
        let Kept::Opened(opening) = back else { panic!("an opening") };
        assert_eq!(opening.sources(), files.iter().map(|(_, source)| source.clone()).collect::<Vec<_>>());
    }

    #[test]
    fn every_other_line_is_an_event() {
        for event in [
            Event::Stayed,
            Event::Answered { step: "a".to_owned(), answer: "yes".to_owned() },
            Event::Resumed { cut: Some(7) },
            Event::Resumed { cut: None },
        ] {
            let text = serde_json::to_string(&Kept::from(event.clone())).expect("it is JSON");
            assert_eq!(text, serde_json::to_string(&event).expect("it is JSON"));
            assert_eq!(serde_json::from_str::<Kept>(&text).expect("it reads back"), Kept::from(event));
        }
    }

    #[test]
    fn what_is_no_event_is_refused() {
        for text in ["{}", "null", r#"{"flew":{}}"#, r#"{"opened":{}}"#, r#""begun""#] {
            assert!(serde_json::from_str::<Kept>(text).is_err(), "{text}");
        }
    }
}
