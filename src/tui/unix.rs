//! The only code that is Unix: waiting for the terminal or a signal, without using the processor meanwhile.
//!
//! A terminal that is gone is found out here, before the event library reads from it: reading it would never end. Should it
//! vanish while the library reads, the process is ended from beside: every event is on the disk already.

use std::io::{self, Read};
use std::os::fd::AsFd;
use std::os::unix::net::UnixStream;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use jiff::tz::TimeZone;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGWINCH};

use super::woke::Woke;

/// Signals to be noticed, and the pipe that wakes whoever waits.
pub(super) struct Waiter {
    woken: UnixStream,
    ends: Arc<AtomicBool>,
    gone: Arc<AtomicBool>,
    stops: Arc<AtomicBool>,
    goes_on: Arc<AtomicBool>,
    resized: Arc<AtomicBool>,
}

impl Waiter {
    pub(super) fn new() -> io::Result<Self> {
        let (woken, waker) = UnixStream::pair()?;
        woken.set_nonblocking(true)?;
        let flag = || Arc::new(AtomicBool::new(false));
        let (ends, gone, stops, goes_on, resized) = (flag(), flag(), flag(), flag(), flag());
        let waiter = Self { woken, ends, gone, stops, goes_on, resized };
        let flags = [
            (SIGTERM, &waiter.ends),
            (SIGINT, &waiter.ends),
            (SIGHUP, &waiter.gone),
            (SIGTSTP, &waiter.stops),
            (SIGCONT, &waiter.goes_on),
            (SIGWINCH, &waiter.resized),
        ];
        for (signal, flag) in flags {
            signal_hook::flag::register(signal, Arc::clone(flag))?;
            signal_hook::low_level::pipe::register(signal, waker.try_clone()?)?;
        }
        end_when_hung_up()?;
        Ok(waiter)
    }

    /// True if nobody is at the other end of the terminal any more.
    pub(super) fn is_gone(&self) -> bool {
        let stdin = io::stdin();
        let mut fds = [PollFd::from_borrowed_fd(stdin.as_fd(), PollFlags::IN)];
        let asked = poll(&mut fds, Some(&Timespec::default()));
        let hung = fds[0].revents().intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL);
        self.gone.load(Ordering::Relaxed) || (asked.is_ok() && hung)
    }

    /// Waits for a key, a signal, or for this long.
    pub(super) fn wait(&mut self, longest: Duration) -> io::Result<Woke> {
        let timeout = Timespec {
            tv_sec: i64::try_from(longest.as_secs()).unwrap_or(60),
            tv_nsec: longest.subsec_nanos().into(),
        };
        let stdin = io::stdin();
        let (input, hung, woken) = {
            let mut fds = [
                PollFd::from_borrowed_fd(stdin.as_fd(), PollFlags::IN),
                PollFd::from_borrowed_fd(self.woken.as_fd(), PollFlags::IN),
            ];
            match poll(&mut fds, Some(&timeout)) {
                Ok(_) | Err(rustix::io::Errno::INTR) => {}
                Err(error) => return Err(error.into()),
            }
            let seen = fds[0].revents();
            let hung = seen.intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL);
            (!seen.is_empty(), hung, !fds[1].revents().is_empty())
        };
        let mut drain = [0; 64];
        while woken && matches!(self.woken.read(&mut drain), Ok(n) if n > 0) {}
        if hung || self.gone.load(Ordering::Relaxed) {
            return Ok(Woke::Gone);
        }
        if self.ends.load(Ordering::Relaxed) {
            return Ok(Woke::Ends);
        }
        if self.stops.swap(false, Ordering::Relaxed) {
            return Ok(Woke::Stops);
        }
        if self.goes_on.swap(false, Ordering::Relaxed) {
            return Ok(Woke::GoesOn);
        }
        if self.resized.swap(false, Ordering::Relaxed) {
            return Ok(Woke::Resized);
        }
        Ok(if input { Woke::Input } else { Woke::Other })
    }

    /// Stops the process as the signal would have; comes back when it is continued.
    pub(super) fn stop() -> io::Result<()> {
        signal_hook::low_level::emulate_default_handler(SIGTSTP)
    }
}

/// How long a process may take to end by itself once its terminal has hung up.
const AFTER_HANG_UP: Duration = Duration::from_secs(2);
/// The status of a process ended by a hang-up, as shells count it: 128 and the number of the signal.
const HUNG_UP: i32 = 128 + SIGHUP;

fn end_when_hung_up() -> io::Result<()> {
    let (mut hung_up, waker) = UnixStream::pair()?;
    signal_hook::low_level::pipe::register(SIGHUP, waker)?;
    std::thread::Builder::new().name("hang-up".to_owned()).spawn(move || {
        if hung_up.read_exact(&mut [0]).is_ok() {
            std::thread::sleep(AFTER_HANG_UP);
            std::process::exit(HUNG_UP);
        }
    })?;
    Ok(())
}

/// The time zone of this place, read from its own file: asked for it, the library first goes through the folders of all
/// zones that there are, which takes longer than a first frame. Where `TZ` says something else, that counts.
pub(super) fn zone_here() -> TimeZone {
    let own = std::env::var_os("TZ").is_none().then(|| std::fs::read("/etc/localtime").ok()).flatten();
    own.and_then(|zone| TimeZone::tzif("here", &zone).ok()).unwrap_or_else(TimeZone::system)
}
