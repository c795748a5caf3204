//! A numbered list: what else can be done here, or a question whose answers go by number.

use super::{Effect, Purpose, scrolled};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::walk::{Declined, Input, Moment, Now, WhyGate};

/// A line of the list: its key, its words, what it does.
pub(super) type Entry = (char, String, Vec<Effect>);

/// A list on top of a screen.
#[derive(Debug)]
pub(in crate::tui) struct List {
    pub(in crate::tui) scroll: usize,
    title: String,
    entries: Vec<Entry>,
    asks: bool,
}

impl List {
    /// What else can be done where the walk is; on the start screen without one.
    pub(in crate::tui) fn more(session: &Session) -> Self {
        let title = if session.recorded.is_some() { "More at this step" } else { "More" };
        Self { scroll: 0, title: title.to_owned(), entries: more(session), asks: false }
    }

    /// Asked after half an hour without a key.
    pub(in crate::tui) fn still_so() -> Self {
        let yes = "Yes: just as I left it, and I was with it".to_owned();
        let no = "No, or I am not sure: the gates are asked again".to_owned();
        Self {
            scroll: 0,
            title: "More than 30 minutes have passed. Is everything at the machine as it was?".to_owned(),
            entries: vec![
                ('1', yes, vec![Effect::Close, Effect::Say(Input::StillSo)]),
                ('2', no, vec![Effect::Close, Effect::Lapse]),
            ],
            asks: true,
        }
    }

    /// True if it asks whether everything is as it was.
    pub(in crate::tui) const fn asks(&self) -> bool {
        self.asks
    }

    /// A reading too close to an edge: measure again, or decide and say why.
    pub(in crate::tui) fn too_close(session: &Session, typed: &str, declined: &Declined) -> Self {
        let again = "Measure again, on a better range".to_owned();
        let mut entries = vec![('1', again, vec![Effect::Close])];
        if let Declined::TooClose(chances) = declined {
            for (chance, digit) in chances.iter().zip('2'..='9') {
                let text = format!(
                    "It is {}   {:.0} of 100; say why",
                    band_words(session, chance.band),
                    chance.chance * 100.0
                );
                let purpose = Purpose::Decide { typed: typed.to_owned(), band: chance.band };
                entries.push((digit, text, vec![Effect::Close, Effect::Fill(purpose)]));
            }
        }
        Self { scroll: 0, title: format!("{typed}: too close to an edge to call"), entries, asks: false }
    }

    pub(super) fn update(&mut self, message: Message) -> Vec<Effect> {
        match message {
            Message::Pick(c) => {
                let found = self.entries.iter().find(|(key, _, _)| *key == c);
                found.map(|(_, _, effects)| effects.clone()).unwrap_or_default()
            }
            other => scrolled(&mut self.scroll, other),
        }
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(width, session.around.letters, Place::List, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, &self.title);
        framed.body.blank();
        for (key, text, _) in &self.entries {
            let from = framed.body.len();
            framed.body.hanging((Role::Strong, &format!("   {key}")), 6, (Role::Plain, text));
            framed.body.click_from(from, Message::Pick(*key));
        }
        framed
    }
}

fn band_words(session: &Session, band: usize) -> String {
    let read = session.recorded.as_ref().and_then(|r| r.walk().reading_here());
    match read.and_then(|read| read.bands.get(band)).map(|b| &b.kind) {
        Some(crate::tree::BandKind::Range(range)) => range.to_string(),
        _ => format!("band {}", band + 1),
    }
}

/// The words of the list, for the footer.
pub(super) fn named(session: &Session) -> String {
    let words: Vec<String> = more(session)
        .iter()
        .map(|(_, text, _)| text.split(':').next().unwrap_or_default().to_lowercase())
        .collect();
    words.join(", ")
}

/// Only what does something here.
fn more(session: &Session) -> Vec<Entry> {
    let close_and = |effect| vec![Effect::Close, effect];
    let mut entries = Vec::new();
    let mut add = |key: char, text: &str, effect| entries.push((key, text.to_owned(), close_and(effect)));
    if let Some(recorded) = &session.recorded {
        let (walk, at) = (recorded.walk(), session.at);
        let takes = |input: Input, at: Moment| walk.accept(input, at).is_ok();
        let over = matches!(walk.now(), Now::Ended(_));
        if takes(Input::Back(None), at) {
            add('1', "Back: to the step before", Effect::Say(Input::Back(None)));
        }
        add('2', "Note", Effect::WriteNote);
        if takes(Input::Cannot(String::new()), at) {
            add('3', "Cannot: it cannot be done, or not be known", Effect::Fill(Purpose::Cannot));
        }
        if !over {
            add('4', "Own reading: one that the tree did not ask for", Effect::Fill(Purpose::Own));
        }
        if takes(Input::Wait(String::new()), at) {
            add('7', "Wait: the job's clock stands still", Effect::Fill(Purpose::Wait));
        }
        if matches!(walk.now(), Now::Gate(gate) if gate.why != WhyGate::NoWay) {
            add('5', "Initials: somebody else confirms", Effect::Initials(String::new()));
        }
    } else {
        add('1', "Light or dark: the other palette, kept for next time", Effect::Turn);
    }
    add('8', "Help: the keys, and how it is done", Effect::ShowHelp);
    add('q', "Leave: the job is kept", Effect::Leave);
    entries
}
