//! The terminal taken and given back, whatever happens, and the loop between.
//!
//! One thread for keys and drawing; the worker beside it holds nothing up. It draws only when something changed, and waits without a clock of its own in between but for the minute.

use std::io::{self, BufWriter, IsTerminal, Write};
use std::time::Duration;

use crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture, Event, KeyEvent,
    MouseEvent, poll, read,
};
use crossterm::execute;
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::app::App;
use super::clock::Clock;
#[cfg(not(unix))]
use super::elsewhere::Waiter;
#[cfg(unix)]
use super::unix::Waiter;
use super::woke::Woke;
use crate::walk::Moment;

/// How the screen was left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// By the person.
    Asked,
    /// By a signal, or since the terminal is gone.
    Ended,
}

/// What stands on a terminal: it takes keys with their moments, and draws cells.
pub trait OnTerminal {
    /// Draws itself.
    fn draw(&mut self, area: Rect, buffer: &mut Buffer);
    /// It was drawn, and is seen from now on.
    fn is_shown(&mut self, _at: Moment) {}
    /// Takes a key.
    fn key(&mut self, key: &KeyEvent, at: Moment);
    /// Takes what the mouse does.
    fn mouse(&mut self, _mouse: MouseEvent, _at: Moment) {}
    /// Takes text that was pasted.
    fn paste(&mut self, text: &str, at: Moment);
    /// Time has passed; true if that changed what is shown.
    fn tick(&mut self, at: Moment) -> bool;
    /// How long it may be left alone.
    fn patience(&mut self) -> Duration {
        RESTING
    }
    /// A count that is shown: when it changes, it is drawn again.
    fn minutes(&self) -> u64 {
        0
    }
    /// True once it is to be left.
    fn is_left(&self) -> bool;
}

/// Whether there is a terminal on both sides.
#[must_use]
pub fn is_terminal() -> bool {
    io::stdin().is_terminal() && io::stdout().is_terminal()
}

fn enter() -> io::Result<()> {
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen, EnableMouseCapture, EnableBracketedPaste)
}

/// Gives the terminal back; what fails here is gone anyway.
fn restore() {
    let _ = execute!(
        io::stdout(),
        DisableBracketedPaste,
        DisableMouseCapture,
        LeaveAlternateScreen,
        crossterm::cursor::Show
    );
    let _ = disable_raw_mode();
}

/// Gives the terminal back when it goes out of scope.
struct Taken;

impl Drop for Taken {
    fn drop(&mut self) {
        restore();
    }
}

/// Takes the terminal, does something, and gives the terminal back before anything else is said, also when it panics.
///
/// # Errors
/// When the terminal cannot be used.
pub fn holding_terminal<T>(does: impl FnOnce() -> T) -> io::Result<T> {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        restore();
        before(panic);
    }));
    enter()?;
    let _taken = Taken;
    Ok(does())
}

/// Runs the screens until they are left. The terminal is given back before it returns, also after a panic.
///
/// # Errors
/// When the terminal cannot be used.
pub fn run(app: &mut dyn OnTerminal, clock: Clock) -> io::Result<Left> {
    let mut waiter = Waiter::new()?;
    holding_terminal(|| {
        turn(app, clock, &mut waiter, &mut Canvas::new(BufWriter::with_capacity(FRAME, io::stdout())))
    })?
}

/// A frame of a large terminal goes out in one piece, in bytes.
const FRAME: usize = 64 * 1024;

/// What stands on the terminal, so that only what differs is sent. The terminal is never asked anything: over a slow
/// link, or where nothing answers, a question would end the program. The system is asked for its size only when that may
/// have changed.
struct Canvas<W: Write> {
    backend: CrosstermBackend<W>,
    area: Option<Rect>,
    stands: Option<Buffer>,
    next: Buffer,
}

impl<W: Write> Canvas<W> {
    fn new(to: W) -> Self {
        Self { backend: CrosstermBackend::new(to), area: None, stands: None, next: Buffer::default() }
    }

    /// Nothing is known of what stands there.
    fn forget(&mut self) {
        self.stands = None;
        self.forget_size();
    }

    /// Its size may have changed.
    const fn forget_size(&mut self) {
        self.area = None;
    }

    fn area(&mut self) -> io::Result<Rect> {
        let known = self.area.map_or_else(
            || Ok(Rect::from((ratatui::layout::Position::ORIGIN, self.backend.size()?))),
            io::Result::Ok,
        );
        self.area = known.as_ref().ok().copied();
        known
    }

    fn draw(&mut self, app: &mut dyn OnTerminal) -> io::Result<()> {
        let area = self.area()?;
        let known = self.stands.take().filter(|buffer| buffer.area == area);
        if known.is_none() {
            self.backend.hide_cursor()?;
            self.backend.clear()?;
        }
        let stands = known.unwrap_or_else(|| Buffer::empty(area));
        self.next.resize(area);
        self.next.reset();
        app.draw(area, &mut self.next);
        self.backend.draw(stands.diff(&self.next).into_iter())?;
        Backend::flush(&mut self.backend)?;
        self.stands = Some(std::mem::replace(&mut self.next, stands));
        Ok(())
    }
}

/// How long it waits for a key while the worker is at something.
const THINKING: Duration = Duration::from_millis(40);
/// And while nothing goes on.
const RESTING: Duration = Duration::from_secs(30);

fn turn<W: Write>(
    app: &mut dyn OnTerminal,
    clock: Clock,
    waiter: &mut Waiter,
    canvas: &mut Canvas<W>,
) -> io::Result<Left> {
    let mut changed = true;
    loop {
        if changed {
            canvas.draw(app)?;
            app.is_shown(clock.now());
        }
        let minutes = app.minutes();
        let woke = waiter.wait(app.patience())?;
        let again = matches!(woke, Woke::Stops | Woke::GoesOn | Woke::Resized);
        match woke {
            Woke::Ends | Woke::Gone => return Ok(Left::Ended),
            Woke::Stops => {
                restore();
                Waiter::stop()?;
                enter()?;
                canvas.forget();
            }
            Woke::GoesOn => {
                enter()?;
                canvas.forget();
            }
            Woke::Resized => canvas.forget_size(),
            Woke::Input | Woke::Other => {}
        }
        let asked = app.tick(clock.now());
        changed = asked | again | heard(app, clock, (waiter, canvas))? || app.minutes() != minutes;
        if app.is_left() {
            return Ok(Left::Asked);
        }
    }
}

/// Takes one key after another; after each that may have changed the screen it is drawn, so that what was typed ahead
/// is told from what was typed at what is seen.
fn heard<W: Write>(
    app: &mut dyn OnTerminal,
    clock: Clock,
    (waiter, canvas): (&Waiter, &mut Canvas<W>),
) -> io::Result<bool> {
    let mut changed = false;
    while !waiter.is_gone() && poll(Duration::ZERO)? {
        changed = true;
        match read()? {
            Event::Key(key) => app.key(&key, clock.now()),
            Event::Mouse(mouse) => app.mouse(mouse, clock.now()),
            Event::Paste(text) => app.paste(&text, clock.now()),
            Event::Resize(..) => canvas.forget_size(),
            _ => {}
        }
        if app.is_left() {
            break;
        }
    }
    Ok(changed)
}

impl OnTerminal for App {
    fn draw(&mut self, area: Rect, buffer: &mut Buffer) {
        Self::draw(self, area, buffer);
    }

    fn is_shown(&mut self, at: Moment) {
        Self::is_shown(self, at);
    }

    fn key(&mut self, key: &KeyEvent, at: Moment) {
        Self::key(self, key, at);
    }

    fn mouse(&mut self, mouse: MouseEvent, at: Moment) {
        Self::mouse(self, mouse, at);
    }

    fn paste(&mut self, text: &str, at: Moment) {
        Self::paste(self, text, at);
    }

    fn tick(&mut self, at: Moment) -> bool {
        Self::tick(self, at) | self.hear_thoughts()
    }

    fn patience(&mut self) -> Duration {
        if self.thinks() { THINKING } else { RESTING }
    }

    fn minutes(&self) -> u64 {
        Self::minutes(self)
    }

    fn is_left(&self) -> bool {
        Self::is_left(self)
    }
}
