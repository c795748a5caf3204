//! Plain mode: each prompt begins with its kind, one fact a line, no redraw, and the last line is always the question.
//!
//! For screen readers, dumb terminals and pipes. The words `back`, `note`, `cannot`, `repeat`, `where`, `own`, `wait`,
//! `take`, `hide` work at any prompt; answers and items go by number.

mod mends;
mod reads;
mod words;

use std::io::{BufRead, Write};

use self::words::{HELP, MACHINE_NOW, Word, is_yes, kind_word, word_of};
use super::begin::{begun, go_on, job_place, new_job};
use super::suggests::Suggests;
use super::{WalkArgs, walkable};
use crate::cli::screens::settings_file;
use crate::cli::{Ending, Failure, Outcome};
use crate::diag::{Lang, visible_line};
use crate::job::Recorded;
use crate::safety::{Confirm, Words};
use crate::tui::{Clock, meter_kept};
use crate::units::{Measure, Reading};
use crate::walk::{Declined, Details, Input, ItemState, Lapse, Now, OwnReading, Page, PageKind, Walker};

/// Whether somebody sits at the other end.
type Asked = bool;

/// Walks with a person, line by line.
pub(super) fn run(args: &WalkArgs, clock: Clock, asked: Asked, out: &mut dyn Write) -> Outcome {
    let at = clock.now();
    let recorded = if args.resume {
        let place = job_place(args, "", at)?;
        go_on(&place, at)?
    } else {
        let course = walkable(args)?;
        let place = job_place(args, &course.tree().id, at)?;
        let meter = settings_file().as_deref().and_then(meter_kept);
        let first = begun(&course, &args.lang, Walker::Person, Details { meter, ..Details::default() });
        new_job(&course, &place, &first, at)?
    };
    let stdin = std::io::stdin();
    let suggests = Suggests::default();
    let mut talk = Talk { recorded, clock, lines: stdin.lock(), initials: None, again: true, suggests, out };
    talk.greet()?;
    let done = talk.talk();
    let kept = talk.recorded.place().name();
    if asked && !matches!(talk.recorded.walk().now(), Now::Ended(_)) {
        let (is_kept, goes_on) =
            (talk.either("is kept", "queda guardado"), talk.either("goes on with it", "sigue con él"));
        let the_job = talk.either("The job", "El trabajo");
        writeln!(talk.out, "{the_job} {kept} {is_kept}. `--resume --job {kept}` {goes_on}.")?;
    }
    done?;
    Ok(Ending::Fine)
}

struct Talk<'o, R> {
    recorded: Recorded,
    clock: Clock,
    lines: R,
    initials: Option<String>,
    again: bool,
    suggests: Suggests,
    out: &'o mut dyn Write,
}

impl<R: BufRead> Talk<'_, R> {
    fn greet(&mut self) -> Result<(), Failure> {
        let tree = self.recorded.walk().course().tree();
        let title = tree.title.in_lang(&self.recorded.walk().lang()).to_owned();
        let name = self.recorded.place().name();
        let job = self.either("Job", "Trabajo");
        self.line(&format!("{job} {name}. {title}."))?;
        if let Some(said) = self.recorded.gone_on() {
            self.line(&said)?;
        }
        let any = self.either("At any prompt", "En todo momento");
        self.line(&format!("{any}: back, note, cannot, repeat, where, own, wait, take, hide, help."))?;
        self.leaves()
    }

    fn leaves(&mut self) -> Result<(), Failure> {
        self.tell("Ctrl-D leaves; the job is kept.", "Ctrl-D sale; el trabajo queda guardado.")
    }

    fn talk(&mut self) -> Result<(), Failure> {
        let mut show = true;
        while !matches!(self.recorded.walk().now(), Now::Ended(_)) {
            if show {
                let again = std::mem::take(&mut self.again);
                self.show(again)?;
            }
            let Some(typed) = self.read()? else { return Ok(()) };
            if let Some(cause) = self.recorded.walk().due(self.clock.now())
                && !self.still_so(cause)?
            {
                show = true;
                continue;
            }
            show = self.hear(typed.trim())?;
            if !show {
                let page = self.recorded.walk().page();
                self.question(&page)?;
            }
        }
        let page = self.recorded.walk().page();
        let end = self.either("End", "Fin");
        self.line(&format!("{end}. {}.", page.title))?;
        let head = self.recorded.head().printed();
        let named = self.either("Head", "Cabeza");
        self.line(&format!("{named} {head}"))
    }

    /// After a long pause it asks first; a sleep is not asked about.
    fn still_so(&mut self, cause: Lapse) -> Result<bool, Failure> {
        if cause == Lapse::Idle {
            self.tell(
                "More than 30 minutes have passed. Is everything at the machine just as you left it, and were you with it? yes or no",
                "Han pasado más de 30 minutos. ¿Está todo en la máquina tal como lo dejó, y estuvo usted con ella? sí o no",
            )?;
            let Some(typed) = self.read()? else { return Ok(false) };
            if matches!(typed.trim().to_lowercase().as_str(), "yes" | "y" | "sí" | "si" | "s") {
                let at = self.clock.now();
                return Ok(self.recorded.say(Input::StillSo, at)?.is_ok());
            }
        }
        let at = self.clock.now();
        self.recorded.record(&crate::walk::Event::Lapsed { cause }, at)?;
        self.tell(
            "What was in force is not taken for granted any more; the gates are asked again.",
            "Lo que estaba en vigor ya no se da por hecho; los controles se preguntan otra vez.",
        )?;
        Ok(false)
    }

    /// Takes one typed line; true if the page is to be shown again.
    fn hear(&mut self, typed: &str) -> Result<bool, Failure> {
        if let Some(word) = word_of(typed) {
            return self.word(word);
        }
        let page = self.recorded.walk().page();
        if page.kind == PageKind::Close && self.recorded.walk().codes_to_ask() {
            return self.codes(typed);
        }
        match page.kind {
            PageKind::Ask | PageKind::Look => self.choose(&page, typed),
            PageKind::Read => self.reading(typed),
            PageKind::Gate => self.confirm(&page, typed),
            PageKind::Waiting => self.waited(typed),
            PageKind::Do | PageKind::Find | PageKind::Close | PageKind::Refer if is_yes(typed) => {
                self.say(Input::Done)
            }
            PageKind::Do => {
                self.tell(
                    "Not taken. 1 when it is done, or cannot.",
                    "No se tomó. 1 cuando esté hecho, o cannot.",
                )?;
                Ok(false)
            }
            _ => Ok(false),
        }
    }

    fn choose(&mut self, page: &Page, typed: &str) -> Result<bool, Failure> {
        let by_number = typed.parse::<usize>().ok().and_then(|n| page.choices.get(n.checked_sub(1)?));
        let by_id = page.choices.iter().find(|c| c.id == typed);
        if let Some(choice) = by_number.or(by_id) {
            self.say(Input::Answer(choice.id.clone()))
        } else {
            let none = self.either("is none of the answers", "no es ninguna de las respuestas");
            self.not_taken(&format!("{} {none}", visible_line(typed)))?;
            Ok(false)
        }
    }

    fn confirm(&mut self, page: &Page, typed: &str) -> Result<bool, Failure> {
        let Some(live) = page.items.iter().position(|i| i.state == ItemState::Live) else { return Ok(true) };
        let is_reading = matches!(page.items[live].confirm, Confirm::Typed(_));
        if !is_reading && typed != (live + 1).to_string() {
            let (press, when) = (
                self.either("Not taken. Press", "No se tomó. Pulse"),
                self.either("when you have seen it, or cannot", "cuando lo haya visto, o cannot"),
            );
            self.line(&format!("{press} {} {when}.", live + 1))?;
            return Ok(false);
        }
        let Some(by) = self.who()? else { return Ok(false) };
        let typed = is_reading.then(|| typed.to_owned());
        self.say(Input::Confirm { item: live, by, typed })
    }

    /// Initials, asked once.
    fn who(&mut self) -> Result<Option<String>, Failure> {
        while self.initials.is_none() {
            self.tell("Your initials, once for this job:", "Sus iniciales, una vez para este trabajo:")?;
            let Some(typed) = self.read()? else { return Ok(None) };
            let initials: String = typed.trim().chars().take(12).collect();
            if !initials.is_empty() {
                self.initials = Some(initials);
            }
        }
        Ok(self.initials.clone())
    }

    fn waited(&mut self, typed: &str) -> Result<bool, Failure> {
        match typed {
            "1" => self.say(Input::Stayed),
            "2" => self.say(Input::LeftIt),
            _ => Ok(true),
        }
    }

    fn word(&mut self, word: Word) -> Result<bool, Failure> {
        match word {
            Word::Back => self.say(Input::Back(None)),
            Word::Note(text) => {
                let text = if text.is_empty() { self.ask("The note:", "La nota:")? } else { Some(text) };
                match text {
                    Some(text) => self.say(Input::Note(text)),
                    None => Ok(false),
                }
            }
            Word::Cannot(why) => {
                let why = if why.is_empty() { self.ask("Why not?", "¿Por qué no?")? } else { Some(why) };
                match why {
                    Some(why) => self.say(Input::Cannot(why)),
                    None => Ok(false),
                }
            }
            Word::Repeat => {
                self.again = true;
                Ok(true)
            }
            Word::Where => {
                self.whereabouts()?;
                Ok(false)
            }
            Word::Own => self.own(),
            Word::Repair(said) => self.repair(&said),
            Word::Left(how) => self.left(how),
            Word::Job(said) => self.job(&said),
            Word::Wait(why) => self.say(Input::Wait(why)),
            Word::Take => {
                if let Some(step) = self.suggests.step(self.recorded.walk()) {
                    return self.say(Input::Jump(step));
                }
                self.tell(
                    "There is no suggestion here; the tree's own order goes on.",
                    "Aquí no hay sugerencia; se sigue el orden del árbol.",
                )?;
                Ok(false)
            }
            Word::Hide => {
                let hidden = self.suggests.hide();
                if hidden {
                    let es = "Los sospechosos están ocultos. Diga hide para oírlos otra vez.";
                    self.tell("Suspects are hidden. Say hide to hear them again.", es)?;
                } else {
                    self.tell("Suspects are said again.", "Los sospechosos se dicen otra vez.")?;
                }
                Ok(!hidden)
            }
            Word::Help => {
                let lang = self.recorded.walk().lang();
                HELP.iter().try_for_each(|line| self.line(line.in_lang(&lang)))?;
                Ok(false)
            }
            Word::Quit => {
                self.leaves()?;
                Ok(false)
            }
        }
    }

    fn ask(&mut self, en: &'static str, es: &'static str) -> Result<Option<String>, Failure> {
        self.tell(en, es)?;
        Ok(self.read()?.map(|t| t.trim().to_owned()))
    }

    fn whereabouts(&mut self) -> Result<(), Failure> {
        let page = self.recorded.walk().page();
        let now = MACHINE_NOW.in_lang(&self.recorded.walk().lang());
        self.line(&format!("{now}: {}", page.machine_now))?;
        for line in self.suggests.suspects(self.recorded.walk()) {
            self.line(&line)?;
        }
        let steps: Vec<String> = self
            .recorded
            .walk()
            .visits()
            .iter()
            .rev()
            .take(8)
            .map(|v| self.recorded.walk().course().tree().step(v.step).id.clone())
            .collect();
        self.tell("The way here:", "El camino hasta aquí:")?;
        for step in steps.iter().rev() {
            self.line(&format!("  {step}"))?;
        }
        Ok(())
    }

    fn own(&mut self) -> Result<bool, Failure> {
        let Some(red) = self.ask("Red lead on:", "Punta roja en:")? else { return Ok(false) };
        let black = self.ask("Black lead on (empty: the frame):", "Punta negra en (vacío: el bastidor):")?;
        let Some(black) = black else { return Ok(false) };
        let typed = self.ask("You read, with its unit:", "Usted lee, con su unidad:")?;
        let Some(typed) = typed else { return Ok(false) };
        let parsed = Measure::ALL.iter().find_map(|m| Reading::parse(&typed, m.unit()).ok());
        if let Some(reading) = parsed {
            let black = (!black.is_empty()).then_some(black);
            self.say(Input::Own(OwnReading { red, black, with: Vec::new(), reading }))
        } else {
            self.not_taken(self.either(
                "that is no reading. Write it as 12.4 V, 0.3 ohm or OL",
                "eso no es una lectura. Escríbala como 12.4 V, 0.3 ohm u OL",
            ))?;
            Ok(false)
        }
    }

    fn say(&mut self, input: Input) -> Result<bool, Failure> {
        let at = self.clock.now();
        let noted = matches!(
            input,
            Input::Note(_) | Input::Own(_) | Input::Left(_) | Input::Repaired(_) | Input::Details(_)
        );
        match self.recorded.say(input, at)? {
            Ok(()) if noted => {
                self.tell("Recorded.", "Anotado.")?;
                Ok(true)
            }
            Ok(()) => Ok(true),
            Err(declined) => self.declined(&declined),
        }
    }

    fn declined(&mut self, declined: &Declined) -> Result<bool, Failure> {
        self.not_taken(&declined.in_lang(&self.recorded.walk().lang()))?;
        Ok(matches!(declined, Declined::Lapsed(_)))
    }

    fn show(&mut self, again: bool) -> Result<(), Failure> {
        let page = self.recorded.walk().page();
        self.line("")?;
        // Within a gate the caution was said before its first item; `repeat` says it again.
        let within =
            page.kind == PageKind::Gate && page.items.first().is_some_and(|i| i.state != ItemState::Live);
        if within && !again {
            return self.gate_question(&page);
        }
        if self.recorded.walk().is_left_here() {
            self.tell(
                "`left WORDS` writes down how the machine stands and who was told.",
                "`left PALABRAS` anota cómo queda la máquina y a quién se avisó.",
            )?;
        }
        for line in page_lines(&page, &self.recorded.walk().lang()) {
            self.line(&line)?;
        }
        for line in self.suggests.after(self.recorded.walk()) {
            self.line(&line)?;
        }
        self.question(&page)
    }

    /// The last line of every prompt.
    fn question(&mut self, page: &Page) -> Result<(), Failure> {
        match page.kind {
            PageKind::Gate => self.gate_question(page),
            PageKind::Ask | PageKind::Look => {
                for (nth, choice) in page.choices.iter().enumerate() {
                    self.line(&format!("{}. {}", nth + 1, choice.text))?;
                }
                self.tell("Which number?", "¿Qué número?")
            }
            PageKind::Read => self.tell("You read?", "¿Qué lee?"),
            PageKind::Do if self.recorded.walk().damage().is_some() => self.tell(
                "`repair LINE VALUE` puts a line right, as: repair flex still. 1 when it is done. Done?",
                "`repair LÍNEA VALOR` corrige una línea, como: repair flex still. 1 cuando esté hecho. ¿Hecho?",
            ),
            PageKind::Do => self.tell("1 when it is done. Done?", "1 cuando esté hecho. ¿Hecho?"),
            PageKind::Find => {
                self.tell("1 to go on to the repair. Go on?", "1 para pasar a la reparación. ¿Seguir?")
            }
            PageKind::Close if self.recorded.walk().codes_to_ask() => self.tell(
                "Codes still on the display? Type SPN and FMI of each, as 520301 4; or none; or not looked.",
                "¿Quedan códigos en la pantalla? SPN y FMI de cada uno, como 520301 4; o ninguno; o no mirado.",
            ),
            PageKind::Close | PageKind::Refer => {
                self.tell("1 to end the job here. End it?", "1 para terminar aquí el trabajo. ¿Terminar?")
            }
            PageKind::Waiting => {
                self.tell(
                    "left, and how: writes down how the machine stands, and who was told.",
                    "left, y cómo: anota cómo queda la máquina y a quién se avisó.",
                )?;
                self.tell(
                    "1. Back, and I stayed with the machine. 2. Back, and I left it. Which number?",
                    "1. De vuelta, y me quedé con la máquina. 2. De vuelta, y la dejé. ¿Qué número?",
                )
            }
            PageKind::Ended => Ok(()),
        }
    }

    fn gate_question(&mut self, page: &Page) -> Result<(), Failure> {
        let Some(live) = page.items.iter().position(|i| i.state == ItemState::Live) else { return Ok(()) };
        let (gate, of) = (self.either("Gate, item", "Control, punto"), self.either("of", "de"));
        self.line(&format!("{gate} {} {of} {}. {}", live + 1, page.items.len(), page.title))?;
        self.line(&page.items[live].text)?;
        match page.items[live].confirm {
            Confirm::Typed(_) => self.tell("You read?", "¿Qué lee?"),
            Confirm::SaidToOthers => {
                let said = self.either("when you have said it. Said?", "cuando lo haya dicho. ¿Dicho?");
                self.line(&format!("{} {said}", live + 1))
            }
            Confirm::Seen => {
                let seen = self.either("when you have seen it. Seen?", "cuando lo haya visto. ¿Visto?");
                self.line(&format!("{} {seen}", live + 1))
            }
        }
    }

    /// The wording in the language of the walk.
    fn either(&self, en: &'static str, es: &'static str) -> &'static str {
        Words { en, es }.in_lang(&self.recorded.walk().lang())
    }

    fn tell(&mut self, en: &'static str, es: &'static str) -> Result<(), Failure> {
        self.line(self.either(en, es))
    }

    fn not_taken(&mut self, why: &str) -> Result<(), Failure> {
        let not_taken = self.either("Not taken", "No se tomó");
        self.line(&format!("{not_taken}: {why}."))
    }

    fn line(&mut self, text: &str) -> Result<(), Failure> {
        writeln!(self.out, "{}", visible_line(text))?;
        Ok(self.out.flush()?)
    }

    /// One typed line; `None` at its end. What is no UTF-8 is shown as far as it goes.
    fn read(&mut self) -> Result<Option<String>, Failure> {
        let mut bytes = Vec::new();
        let taken = std::io::Read::take(&mut self.lines, 1 << 20).read_until(b'\n', &mut bytes)?;
        Ok((taken > 0).then(|| String::from_utf8_lossy(&bytes).trim_end_matches(['\r', '\n']).to_owned()))
    }
}

/// What a page says before its question, line by line.
pub(in crate::cli) fn page_lines(page: &Page, lang: &Lang) -> Vec<String> {
    let mut lines: Vec<String> =
        page.cautions.iter().map(|(signal, hazard)| format!("{signal}. {hazard}")).collect();
    lines.extend(page.defer.clone());
    if page.kind != PageKind::Gate {
        lines.push(format!("{}. {}", kind_word(page.kind).in_lang(lang), page.title));
    }
    lines.extend(page.needed_for.clone());
    lines.extend(page.lines.iter().map(|line| match line.label.as_str() {
        "" => line.text.clone(),
        label => format!("{label}: {}", line.text),
    }));
    if matches!(page.kind, PageKind::Do | PageKind::Read | PageKind::Look) {
        lines.push(format!("{}: {}", MACHINE_NOW.in_lang(lang), page.machine_now));
    }
    lines
}
