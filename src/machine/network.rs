//! Places and branches: the network below the machine file.
//!
//! Joined places and ideal sources are one weighted union–find: every place has a root and an offset
//! in volts from it. Two different offsets for one pair are a loop of ideal sources. Every other
//! source rides on its branch, as conductance g with q = g·e (Norton's form).

use crate::units::{Amps, Ohms, Volts};

/// A place in a network: where ends of branches meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place(pub(super) u32);

/// A branch of a network: a resistance, perhaps with a source in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Branch(pub(super) u32);

/// An ideal source of a network: it holds its volts whatever the current.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ideal(pub(super) u32);

impl Place {
    pub(super) fn at(self) -> usize {
        self.0 as usize
    }
}

impl Branch {
    pub(super) fn at(self) -> usize {
        self.0 as usize
    }
}

/// Why something cannot be put into a network.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// Two ideal sources, or a source and a joint, hold one pair of places at different volts.
    #[error("a loop of ideal sources: {asked} V asked between two places already held at {held} V")]
    SourceLoop {
        /// The volts that what is there already holds.
        held: f64,
        /// The volts now asked for.
        asked: f64,
    },
    /// A resistance that is negative or not a number.
    #[error("{0} is not a resistance: it must be 0 or more")]
    Resistance(f64),
    /// A voltage or current that is infinite or not a number.
    #[error("{0} is not a finite number")]
    NotFinite(f64),
}

/// One branch as written: from `a` to `b`, conductance, and the current driven into `a`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) a: Place,
    pub(super) b: Place,
    pub(super) siemens: f64,
    /// The current that the source in the branch drives into `a` out of `b`.
    pub(super) drive: f64,
}

/// How a place hangs on the next one towards its root.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hang {
    pub(super) up: u32,
    /// The ideal source between the two and its sign; none if they are simply joined.
    pub(super) source: Option<(u32, f64)>,
}

/// Places and branches, before an order of elimination is chosen.
#[derive(Debug, Clone, Default)]
pub struct Network {
    pub(super) hangs: Vec<Hang>,
    pub(super) stretches: Vec<Stretch>,
    pub(super) ideals: Vec<f64>,
}

impl Network {
    /// Makes an empty network.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a place.
    ///
    /// # Panics
    /// Beyond four thousand million places.
    pub fn place(&mut self) -> Place {
        let at = u32::try_from(self.hangs.len()).expect("fewer places than u32 counts");
        self.hangs.push(Hang { up: at, source: None });
        Place(at)
    }

    /// Joins two places: they are one node from now on.
    ///
    /// # Errors
    /// [`NetworkError::SourceLoop`] if an ideal source already holds them apart.
    pub fn join(&mut self, a: Place, b: Place) -> Result<(), NetworkError> {
        self.tie(a, b, None, 0.0)
    }

    /// Holds `plus` at `volts` above `minus`, whatever the current.
    ///
    /// # Errors
    /// [`NetworkError::SourceLoop`] if the two are already held at other volts,
    /// [`NetworkError::NotFinite`].
    ///
    /// # Panics
    /// Beyond four thousand million sources.
    pub fn ideal(&mut self, plus: Place, minus: Place, volts: Volts) -> Result<Ideal, NetworkError> {
        let volts = finite(volts.value())?;
        let at = u32::try_from(self.ideals.len()).expect("fewer sources than u32 counts");
        self.ideals.push(volts);
        self.tie(plus, minus, Some(at), volts)?;
        Ok(Ideal(at))
    }

    /// Adds a resistance between two places. Infinite ohms are an open branch; for zero ohms use
    /// [`Network::join`].
    ///
    /// # Errors
    /// [`NetworkError::Resistance`] if it is negative, zero or not a number.
    pub fn resistor(&mut self, a: Place, b: Place, ohms: Ohms) -> Result<Branch, NetworkError> {
        let siemens = conductance(ohms)?;
        Ok(self.push(Stretch { a, b, siemens, drive: 0.0 }))
    }

    /// Adds a source of `volts` behind `ohms`, its plus at `plus`.
    ///
    /// # Errors
    /// As for [`Network::resistor`] and [`Network::ideal`].
    pub fn source(
        &mut self,
        plus: Place,
        minus: Place,
        (volts, ohms): (Volts, Ohms),
    ) -> Result<Branch, NetworkError> {
        let siemens = conductance(ohms)?;
        let drive = siemens * finite(volts.value())?;
        Ok(self.push(Stretch { a: plus, b: minus, siemens, drive }))
    }

    /// Adds an ideal current source that drives `amps` out of `from` into `to`, through the source.
    ///
    /// # Errors
    /// [`NetworkError::NotFinite`].
    pub fn current(&mut self, from: Place, to: Place, amps: Amps) -> Result<Branch, NetworkError> {
        let drive = finite(amps.value())?;
        Ok(self.push(Stretch { a: to, b: from, siemens: 0.0, drive }))
    }

    /// How many places there are.
    #[must_use]
    pub fn places(&self) -> usize {
        self.hangs.len()
    }

    /// How many branches there are.
    #[must_use]
    pub fn branches(&self) -> usize {
        self.stretches.len()
    }

    /// Every branch, in the order in which they were added.
    pub(super) fn branch_ids(&self) -> impl Iterator<Item = Branch> + use<> {
        (0..u32::try_from(self.stretches.len()).unwrap_or(u32::MAX)).map(Branch)
    }

    /// The root of a place and its offset in volts above that root.
    pub(super) fn root(&self, place: Place) -> (Place, f64) {
        let (mut at, mut offset) = (place.at(), 0.0);
        loop {
            let hang = self.hangs[at];
            if hang.up as usize == at {
                return (Place(hang.up), offset);
            }
            if let Some((source, sign)) = hang.source {
                offset += sign * self.ideals[source as usize];
            }
            at = hang.up as usize;
        }
    }

    fn push(&mut self, stretch: Stretch) -> Branch {
        let at = u32::try_from(self.stretches.len()).expect("fewer branches than u32 counts");
        self.stretches.push(stretch);
        Branch(at)
    }

    /// Ties two places at `v(a) − v(b) = volts`. The trees are re-hung at `a`, so that each link
    /// keeps the one source it stands for and its volts may change later.
    fn tie(&mut self, a: Place, b: Place, source: Option<u32>, volts: f64) -> Result<(), NetworkError> {
        let ((root_a, over_a), (root_b, over_b)) = (self.root(a), self.root(b));
        if root_a == root_b {
            let held = over_a - over_b;
            let same = (held - volts).abs() <= 1e-9;
            return if same { Ok(()) } else { Err(NetworkError::SourceLoop { held, asked: volts }) };
        }
        self.rehang(a);
        self.hangs[a.at()] = Hang { up: b.0, source: source.map(|s| (s, 1.0)) };
        Ok(())
    }

    /// Turns the links from `place` up to its root round, so that `place` is the root.
    fn rehang(&mut self, place: Place) {
        let (mut below, mut carried) = (place.0, Hang { up: place.0, source: None });
        loop {
            let old = self.hangs[below as usize];
            self.hangs[below as usize] = carried;
            if old.up == below {
                return;
            }
            carried = Hang { up: below, source: old.source.map(|(s, sign)| (s, -sign)) };
            below = old.up;
        }
    }
}

fn finite(value: f64) -> Result<f64, NetworkError> {
    if value.is_finite() { Ok(value) } else { Err(NetworkError::NotFinite(value)) }
}

/// Ohms to siemens; infinite ohms are none.
pub(super) fn conductance(ohms: Ohms) -> Result<f64, NetworkError> {
    let ohms = ohms.value();
    if ohms.is_nan() || ohms <= 0.0 || (1.0 / ohms).is_infinite() {
        return Err(NetworkError::Resistance(ohms));
    }
    Ok(1.0 / ohms)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_add_up_along_joined_sources() {
        let mut net = Network::new();
        let p: Vec<Place> = (0..5).map(|_| net.place()).collect();
        net.ideal(p[1], p[0], Volts(12.0)).expect("first source");
        net.ideal(p[3], p[2], Volts(5.0)).expect("second source");
        net.join(p[2], p[1]).expect("joined");
        net.join(p[4], p[3]).expect("joined");
        let over = |a: Place, b: Place| net.root(a).1 - net.root(b).1;
        assert_eq!(net.root(p[4]).0, net.root(p[0]).0);
        assert!((over(p[4], p[0]) - 17.0).abs() < 1e-12);
        assert!((over(p[2], p[0]) - 12.0).abs() < 1e-12);
    }

    #[test]
    fn a_loop_of_ideal_sources_is_an_error_and_an_agreeing_one_is_not() {
        let mut net = Network::new();
        let (a, b) = (net.place(), net.place());
        net.ideal(a, b, Volts(12.0)).expect("the first");
        assert!(net.ideal(a, b, Volts(12.0)).is_ok());
        assert_eq!(net.ideal(a, b, Volts(12.6)), Err(NetworkError::SourceLoop { held: 12.0, asked: 12.6 }));
        assert!(net.join(a, b).is_err());
        assert!(net.ideal(b, a, Volts(-12.0)).is_ok());
    }

    #[test]
    fn what_is_no_resistance_is_refused() {
        let mut net = Network::new();
        let (a, b) = (net.place(), net.place());
        for bad in [0.0, -1.0, f64::NAN, f64::NEG_INFINITY, 1e-320] {
            assert!(net.resistor(a, b, Ohms(bad)).is_err(), "{bad}");
        }
        assert!(net.resistor(a, b, Ohms(f64::INFINITY)).is_ok());
        assert!(net.ideal(a, b, Volts(f64::NAN)).is_err());
        assert!(net.current(a, b, Amps(f64::INFINITY)).is_err());
    }
}
