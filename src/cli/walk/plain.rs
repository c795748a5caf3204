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
use crate::safety::Confirm;
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
        writeln!(talk.out, "The job {kept} is kept. `--resume --job {kept}` goes on with it.")?;
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
        self.line(&format!("Job {name}. {title}."))?;
        if let Some(said) = self.recorded.gone_on() {
            self.line(&said)?;
        }
        self.line("At any prompt: back, note, cannot, repeat, where, own, wait, take, hide, help.")?;
        self.line("Ctrl-D leaves; the job is kept.")
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
        self.line(&format!("End. {}.", page.title))?;
        let head = self.recorded.head().printed();
        self.line(&format!("Head {head}"))
    }

    /// After a long pause it asks first; a sleep is not asked about.
    fn still_so(&mut self, cause: Lapse) -> Result<bool, Failure> {
        if cause == Lapse::Idle {
            self.line("More than 30 minutes have passed. Is everything at the machine just as you left it, and were you with it? yes or no")?;
            let Some(typed) = self.read()? else { return Ok(false) };
            if matches!(typed.trim().to_lowercase().as_str(), "yes" | "y" | "sí" | "si" | "s") {
                let at = self.clock.now();
                return Ok(self.recorded.say(Input::StillSo, at)?.is_ok());
            }
        }
        let at = self.clock.now();
        self.recorded.record(&crate::walk::Event::Lapsed { cause }, at)?;
        self.line("What was in force is not taken for granted any more; the gates are asked again.")?;
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
                self.line("Not taken. 1 when it is done, or cannot.")?;
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
            self.line(&format!("Not taken: {} is none of the answers.", visible_line(typed)))?;
            Ok(false)
        }
    }

    fn confirm(&mut self, page: &Page, typed: &str) -> Result<bool, Failure> {
        let Some(live) = page.items.iter().position(|i| i.state == ItemState::Live) else { return Ok(true) };
        let is_reading = matches!(page.items[live].confirm, Confirm::Typed(_));
        if !is_reading && typed != (live + 1).to_string() {
            self.line(&format!("Not taken. Press {} when you have seen it, or cannot.", live + 1))?;
            return Ok(false);
        }
        let Some(by) = self.who()? else { return Ok(false) };
        let typed = is_reading.then(|| typed.to_owned());
        self.say(Input::Confirm { item: live, by, typed })
    }

    /// Initials, asked once.
    fn who(&mut self) -> Result<Option<String>, Failure> {
        while self.initials.is_none() {
            self.line("Your initials, once for this job:")?;
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
                let text = if text.is_empty() { self.ask("The note:")? } else { Some(text) };
                match text {
                    Some(text) => self.say(Input::Note(text)),
                    None => Ok(false),
                }
            }
            Word::Cannot(why) => {
                let why = if why.is_empty() { self.ask("Why not?")? } else { Some(why) };
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
                self.line("There is no suggestion here; the tree's own order goes on.")?;
                Ok(false)
            }
            Word::Hide => {
                let hidden = self.suggests.hide();
                self.line(if hidden {
                    "Suspects are hidden. Say hide to hear them again."
                } else {
                    "Suspects are said again."
                })?;
                Ok(!hidden)
            }
            Word::Help => {
                for line in HELP {
                    self.line(line)?;
                }
                Ok(false)
            }
            Word::Quit => {
                self.line("Ctrl-D leaves; the job is kept.")?;
                Ok(false)
            }
        }
    }

    fn ask(&mut self, question: &str) -> Result<Option<String>, Failure> {
        self.line(question)?;
        Ok(self.read()?.map(|t| t.trim().to_owned()))
    }

    fn whereabouts(&mut self) -> Result<(), Failure> {
        let page = self.recorded.walk().page();
        self.line(&format!("Machine now: {}", page.machine_now))?;
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
        self.line("The way here:")?;
        for step in steps.iter().rev() {
            self.line(&format!("  {step}"))?;
        }
        Ok(())
    }

    fn own(&mut self) -> Result<bool, Failure> {
        let Some(red) = self.ask("Red lead on:")? else { return Ok(false) };
        let Some(black) = self.ask("Black lead on (empty: the frame):")? else { return Ok(false) };
        let Some(typed) = self.ask("You read, with its unit:")? else { return Ok(false) };
        let parsed = Measure::ALL.iter().find_map(|m| Reading::parse(&typed, m.unit()).ok());
        if let Some(reading) = parsed {
            let black = (!black.is_empty()).then_some(black);
            self.say(Input::Own(OwnReading { red, black, with: Vec::new(), reading }))
        } else {
            self.line("Not taken: that is no reading. Write it as 12.4 V, 0.3 ohm or OL.")?;
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
                self.line("Recorded.")?;
                Ok(true)
            }
            Ok(()) => Ok(true),
            Err(declined) => self.declined(&declined),
        }
    }

    fn declined(&mut self, declined: &Declined) -> Result<bool, Failure> {
        self.line(&format!("Not taken: {declined}."))?;
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
            self.line("`left WORDS` writes down how the machine stands and who was told.")?;
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
                self.line("Which number?")
            }
            PageKind::Read => self.line("You read?"),
            PageKind::Do if self.recorded.walk().damage().is_some() => self.line(
                "`repair LINE VALUE` puts a line right, as: repair flex still. 1 when it is done. Done?",
            ),
            PageKind::Do => self.line("1 when it is done. Done?"),
            PageKind::Find => self.line("1 to go on to the repair. Go on?"),
            PageKind::Close if self.recorded.walk().codes_to_ask() => self.line(
                "Codes still on the display? Type SPN and FMI of each, as 520301 4; or none; or not looked.",
            ),
            PageKind::Close | PageKind::Refer => self.line("1 to end the job here. End it?"),
            PageKind::Waiting => {
                self.line("left, and how: writes down how the machine stands, and who was told.")?;
                self.line("1. Back, and I stayed with the machine. 2. Back, and I left it. Which number?")
            }
            PageKind::Ended => Ok(()),
        }
    }

    fn gate_question(&mut self, page: &Page) -> Result<(), Failure> {
        let Some(live) = page.items.iter().position(|i| i.state == ItemState::Live) else { return Ok(()) };
        self.line(&format!("Gate, item {} of {}. {}", live + 1, page.items.len(), page.title))?;
        self.line(&page.items[live].text)?;
        match page.items[live].confirm {
            Confirm::Typed(_) => self.line("You read?"),
            Confirm::SaidToOthers => self.line(&format!("{} when you have said it. Said?", live + 1)),
            Confirm::Seen => self.line(&format!("{} when you have seen it. Seen?", live + 1)),
        }
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
