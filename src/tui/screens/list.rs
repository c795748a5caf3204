//! A numbered list: what else can be done here, or a question whose answers go by number.

use super::archive::ArchiveScreen;
use super::report::report;
use super::{Circuit, Effect, Purpose, Screen, Shown, Sums, scrolled};
use crate::safety::Words;
use crate::tree::BandKind;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::walk::{Declined, Input, Moment, Now, Walk, WhyGate, band_words as range_words};

/// A line of the list: its key, its words, what it does.
pub(in crate::tui) type Entry = (char, String, Vec<Effect>);

/// A list on top of a screen.
pub(in crate::tui) struct List {
    scroll: usize,
    title: String,
    entries: Vec<Entry>,
    asks: Asks,
}

/// What a list asks that must not be answered by accident.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::tui) enum Asks {
    /// Nothing: it is what else can be done.
    Nothing,
    /// What was meant, or is decided.
    Reading,
    /// Whether everything is as it was.
    StillSo,
}

const MORE_HERE: Words = say("More at this step", "Más en este paso");
const MORE_AT_START: Words = say("More", "Más");
const STILL_SO: [Words; 3] = [
    say(
        "More than 30 minutes have passed. Is everything at the machine as it was?",
        "Pasaron más de 30 minutos. ¿Está todo en la máquina como estaba?",
    ),
    say("Yes: just as I left it, and I was with it", "Sí: tal como lo dejé, y estuve con ella"),
    say(
        "No, or I am not sure: the gates are asked again",
        "No, o no estoy seguro: los controles se preguntan otra vez",
    ),
];
const TOO_CLOSE: Words = say("too close to an edge to call", "demasiado cerca de un límite para decidir");
const AGAIN: Words = say("Measure again, on a better range", "Medir otra vez, en una escala mejor");
const IT_IS: Words = say("It is", "Es");
const OF_100: Words = say("of 100; say why", "de 100; diga por qué");

impl List {
    /// A list of these entries.
    pub(in crate::tui) fn of(title: &str, entries: Vec<Entry>) -> Self {
        Self { scroll: 0, title: title.to_owned(), entries, asks: Asks::Nothing }
    }

    /// What else can be done at the start screen, practice on the marked tree first.
    pub(in crate::tui) fn more_with(session: &Session, marked: Option<(&str, &str)>) -> Vec<Entry> {
        let practise = marked.map(|(name, title)| {
            let text = format!("{} {title}", session.word(PRACTISE));
            ('2', text, vec![Effect::Close, Effect::Practise(name.to_owned())])
        });
        let mut entries = more(session);
        entries.splice(1..1, practise);
        entries
    }

    /// What else can be done where the walk is; on the start screen without one.
    pub(in crate::tui) fn more(session: &Session) -> Self {
        let title = if session.walk().is_some() { MORE_HERE } else { MORE_AT_START };
        Self::of(session.word(title), more(session))
    }

    /// Asked after half an hour without a key.
    pub(in crate::tui) fn still_so(session: &Session) -> Self {
        let [title, yes, no] = STILL_SO.map(|words| session.word(words).to_owned());
        let entries = vec![
            ('1', yes, vec![Effect::Close, Effect::Say(Input::StillSo)]),
            ('2', no, vec![Effect::Close, Effect::Lapse]),
        ];
        Self { scroll: 0, title, entries, asks: Asks::StillSo }
    }

    /// The same, asking about a reading.
    pub(in crate::tui) fn about_a_reading(self) -> Self {
        Self { asks: Asks::Reading, ..self }
    }

    /// What it asks.
    pub(in crate::tui) const fn asks(&self) -> Asks {
        self.asks
    }

    /// A reading too close to an edge: measure again, or decide and say why.
    pub(in crate::tui) fn too_close(session: &Session, typed: &str, declined: &Declined) -> Self {
        let mut entries = vec![('1', session.word(AGAIN).to_owned(), vec![Effect::Close])];
        if let Declined::TooClose(chances) = declined {
            let (it_is, of_100) = (session.word(IT_IS), session.word(OF_100));
            for (chance, digit) in chances.iter().zip('2'..='9') {
                let band = band_words(session, chance.band);
                let text = format!("{it_is} {band}   {:.0} {of_100}", chance.chance * 100.0);
                let purpose = Purpose::Decide { typed: typed.to_owned(), band: chance.band };
                entries.push((digit, text, vec![Effect::Close, Effect::Fill(purpose)]));
            }
        }
        Self::of(&format!("{typed}: {}", session.word(TOO_CLOSE)), entries).about_a_reading()
    }
}

impl Shown for List {
    fn place(&self, _: &Session) -> Place {
        Place::List
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        match message {
            Message::Pick(c) => {
                let found = self.entries.iter().find(|(key, _, _)| *key == c);
                found.map(|(_, _, effects)| effects.clone()).unwrap_or_default()
            }
            other => scrolled(&mut self.scroll, other),
        }
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::List, "");
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

/// A band as its range, and what it means where the tree says so.
fn band_words(session: &Session, band: usize) -> String {
    let read = session.walk().and_then(Walk::reading_here);
    let Some(found) = read.and_then(|read| read.bands.get(band)) else { return String::new() };
    let lang = session.lang();
    let means = found.means.as_ref().map_or("", |text| text.in_lang(&lang));
    match &found.kind {
        BandKind::Range(range) if means.is_empty() => range_words(*range, &lang),
        BandKind::Range(range) => format!("{}: {means}", range_words(*range, &lang)),
        BandKind::Like(_) => means.to_owned(),
    }
}

/// The words of the list's numbers but the last two, for the footer.
pub(super) fn named(session: &Session) -> String {
    let words: Vec<String> = more(session)
        .iter()
        .filter(|(key, _, _)| ('1'..='8').contains(key))
        .map(|(_, text, _)| text.split(':').next().unwrap_or_default().to_lowercase())
        .collect();
    words.join(", ")
}

const BACK: Words = say("Back: to the step before", "Atrás: al paso anterior");
const NOTE: Words = say("Note", "Nota");
const CANNOT: Words =
    say("Cannot: it cannot be done, or not be known", "No se puede: no se puede hacer, o no se puede saber");
const OWN: Words =
    say("Own reading: one that the tree did not ask for", "Lectura propia: una que el árbol no pidió");
const CIRCUIT: Words =
    say("Circuit: as a line, with what should be read", "Circuito: como una línea, con lo que debe leerse");
const HIDE: Words = say("Hide the suspects: somebody is looking", "Ocultar los sospechosos: alguien mira");
const SHOW: Words = say("Show the suspects again", "Mostrar otra vez los sospechosos");
const TAKE: Words = say("Take the suggestion", "Tomar la sugerencia");
const SUMS: Words = say(
    "Sums: wire, drop, splice, sleeve, fuse for a repair",
    "Cálculos: cable, caída, empalme, funda, fusible",
);
const WAIT: Words = say("Wait: the job's clock stands still", "Esperar: el reloj del trabajo se para");
const LEFT: Words =
    say("Left: how the machine stands, and who was told", "Queda: cómo está la máquina, y a quién se avisó");
const HELP: Words = say("Help: the keys, and how it is done", "Ayuda: las teclas, y cómo se hace");
const INITIALS: Words = say("Initials: somebody else confirms", "Iniciales: confirma otra persona");
const PALETTE: Words = say(
    "Light or dark: the other palette, kept for next time",
    "Claro u oscuro: la otra paleta, queda para la próxima vez",
);
const PRACTISE: Words = say("Practise, on a simulated machine:", "Practicar, en una máquina simulada:");
const ARCHIVE: Words = say(
    "Archive: what was found, how long it took, what is open",
    "Archivo: lo hallado, lo que tardó, lo abierto",
);
const REPORT: Words =
    say("Report: the job as it is written up so far", "Informe: el trabajo como va hasta ahora");
const LEAVE: Words = say("Leave: the job is kept", "Salir: el trabajo se guarda");

/// Only what does something here.
fn more(session: &Session) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut add = |key: char, words: Words, effect| {
        entries.push((key, session.word(words).to_owned(), vec![Effect::Close, effect]));
    };
    if let Some(walk) = session.walk() {
        let at = session.at;
        let takes = |input: Input, at: Moment| walk.accept(input, at).is_ok();
        if takes(Input::Back(None), at) {
            add('1', BACK, Effect::Say(Input::Back(None)));
        }
        add('2', NOTE, Effect::Open(|_| Ok(Screen::Note(Box::default()))));
        if takes(Input::Cannot(String::new()), at) {
            add('3', CANNOT, Effect::Fill(Purpose::Cannot));
        }
        if !matches!(walk.now(), Now::Ended(_)) {
            add('4', OWN, Effect::Fill(Purpose::Own));
        }
        if walk.course().tree().model.is_some() {
            add('5', CIRCUIT, Effect::Open(|session| Circuit::of(session).map(Screen::Circuit)));
        }
        add('6', SUMS, Effect::Open(|session| Ok(Screen::List(Sums::list(session)))));
        if takes(Input::Wait(String::new()), at) {
            add('7', WAIT, Effect::Fill(Purpose::Wait));
        }
        add('8', HELP, Effect::Help);
        add('9', if session.hides_suspects { SHOW } else { HIDE }, Effect::HideSuspects);
        if walk.takes_suggestions()
            && let Some(suggestion) = session.whereabouts().and_then(|found| found.suggestion.as_ref())
        {
            add('0', TAKE, Effect::Say(Input::Jump(suggestion.step)));
        }
        if walk.is_left_here() {
            add('l', LEFT, Effect::Fill(Purpose::Left));
        }
        if matches!(walk.now(), Now::Gate(gate) if gate.why != WhyGate::NoWay) {
            add('i', INITIALS, Effect::Initials(String::new()));
        }
        add('r', REPORT, Effect::Open(|session| report(session).map(Screen::Leaf)));
    } else {
        add('1', PALETTE, Effect::Turn);
        add('3', ARCHIVE, Effect::Open(|session| Ok(Screen::Archive(ArchiveScreen::of(session)))));
        add('6', SUMS, Effect::Open(|session| Ok(Screen::List(Sums::list(session)))));
        add('8', HELP, Effect::Help);
    }
    add('q', LEAVE, Effect::Leave);
    entries
}
