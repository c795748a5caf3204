//! Every facet, gate and zone that a machine or a tree can speak of, by number and by name.
//!
//! Built once from what a machine file adds; then it learns the names (plugs, ties, bridges, leads,
//! proofs) that the steps use, and only then are states made. A facet takes as many bits of a word as
//! it has values and never lies in two words.

use std::collections::HashMap;

use crate::diag::Text;
use crate::units::Minutes;

use super::conditions::{BUILT_IN, Facet, FacetKind, Fact, NamedKind, Values};
use super::deed::Deed;
use super::gates::{Gate, GateId};
use super::own::{CabKind, LostBy, OwnFault, OwnSafety};
use super::zones::Zone;

/// The condition of a machine file that says the machine is on stands, and its value.
pub(super) const STANDS: (&str, &str) = ("stands", "on");

/// The most names of plugs, ties, bridges, leads and proofs in one vocabulary.
pub const NAME_LIMIT: usize = 4096;

/// There are more names than the safety check keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("more than {NAME_LIMIT} plugs, ties, bridges, leads and proofs in one tree")]
pub struct TooManyNames;

#[derive(Debug, Clone, Copy)]
pub(super) struct Slot {
    pub(super) word: usize,
    pub(super) shift: u32,
    width: u32,
}

impl Slot {
    pub(super) const fn mask(self) -> u64 {
        (1 << self.width) - 1
    }
}

#[derive(Debug, Clone)]
struct Entry {
    name: String,
    values: Vec<String>,
    at_start: Values,
    kind: FacetKind,
    slot: Slot,
}

/// A gate of a machine file, its names resolved.
#[derive(Debug, Clone)]
pub(super) struct OwnGateEntry {
    pub(super) name: String,
    pub(super) needs: Vec<(Facet, Values)>,
    pub(super) sets: Vec<(Facet, Values)>,
    pub(super) items: Vec<Text>,
    pub(super) minutes: Minutes,
}

/// A zone of a machine file, its names resolved.
#[derive(Debug, Clone)]
pub(super) struct OwnZoneEntry {
    pub(super) name: String,
    pub(super) needs: Vec<(Facet, Values)>,
    pub(super) minutes: Minutes,
}

/// What a machine file adds to one built-in gate or zone.
#[derive(Debug, Clone, Default)]
pub(super) struct Further {
    pub(super) needs: Vec<(Facet, Values)>,
    pub(super) items: Vec<Text>,
    pub(super) minutes: Option<Minutes>,
}

/// Facets, gates and zones of one machine or tree.
#[derive(Debug, Clone)]
pub struct Vocabulary {
    cab: CabKind,
    entries: Vec<Entry>,
    used_bits: u32,
    words: usize,
    named: HashMap<NamedKind, HashMap<String, Facet>>,
    open_masks: HashMap<NamedKind, Vec<(usize, u64)>>,
    pub(super) lost_by: Vec<(Facet, Vec<LostBy>)>,
    pub(super) own_gates: Vec<OwnGateEntry>,
    pub(super) own_zones: Vec<OwnZoneEntry>,
    pub(super) further_gates: HashMap<Gate, Further>,
    pub(super) further_zones: HashMap<Zone, Further>,
}

impl Vocabulary {
    /// The built-in vocabulary with what a machine file adds.
    ///
    /// # Errors
    /// Everything in `own` that cannot be taken, all at once.
    pub fn new(own: &OwnSafety) -> Result<Self, Vec<OwnFault>> {
        let mut vocabulary = Self::empty(own.cab);
        let faults = super::resolve::add_own(&mut vocabulary, own);
        if faults.is_empty() { Ok(vocabulary) } else { Err(faults) }
    }

    /// The built-in vocabulary, for a tree without a machine file: a cab that tilts.
    #[must_use]
    pub fn built_in() -> Self {
        Self::empty(CabKind::Tilts)
    }

    fn empty(cab: CabKind) -> Self {
        let mut vocabulary = Self {
            cab,
            entries: Vec::new(),
            used_bits: 64,
            words: 0,
            named: HashMap::new(),
            open_masks: HashMap::new(),
            lost_by: Vec::new(),
            own_gates: Vec::new(),
            own_zones: Vec::new(),
            further_gates: HashMap::new(),
            further_zones: HashMap::new(),
        };
        for facet in &BUILT_IN {
            let values = facet.values.iter().map(|v| (*v).to_owned()).collect();
            vocabulary.add(facet.name.to_owned(), values, facet.at_start, facet.kind);
        }
        if cab == CabKind::Fixed {
            vocabulary.entries[usize::from(Facet::CAB.0)].at_start = super::Cab::Down.only();
        }
        vocabulary
    }

    pub(super) fn add(
        &mut self,
        name: String,
        values: Vec<String>,
        at_start: Values,
        kind: FacetKind,
    ) -> Facet {
        let width = u32::try_from(values.len()).unwrap_or(32);
        if self.used_bits + width > 64 {
            self.words += 1;
            self.used_bits = 0;
        }
        let slot = Slot { word: self.words - 1, shift: self.used_bits, width };
        self.used_bits += width;
        let facet = Facet(u16::try_from(self.entries.len()).unwrap_or(u16::MAX));
        self.entries.push(Entry { name, values, at_start, kind, slot });
        facet
    }

    /// The facet of this name, which it takes in if it is new.
    ///
    /// # Errors
    /// When there are more than [`NAME_LIMIT`] names.
    pub fn intern(&mut self, kind: NamedKind, name: &str) -> Result<Facet, TooManyNames> {
        if let Some(facet) = self.find(kind, name) {
            return Ok(facet);
        }
        if self.named.values().map(HashMap::len).sum::<usize>() >= NAME_LIMIT {
            return Err(TooManyNames);
        }
        let full = format!("{}:{name}", kind.word());
        let values = vec!["no".to_owned(), "yes".to_owned()];
        let facet = self.add(full, values, Fact::No.only(), FacetKind::Named(kind));
        self.named.entry(kind).or_default().insert(name.to_owned(), facet);
        self.mark_open(kind, facet);
        Ok(facet)
    }

    fn mark_open(&mut self, kind: NamedKind, facet: Facet) {
        let Some(slot) = self.slot(facet) else { return };
        let bit = u64::from(Fact::Yes.only().0) << slot.shift;
        let masks = self.open_masks.entry(kind).or_default();
        match masks.last_mut() {
            Some((word, mask)) if *word == slot.word => *mask |= bit,
            _ => masks.push((slot.word, bit)),
        }
    }

    /// Takes in every name that a deed speaks of. To be called for all deeds of a tree before the
    /// first [`State`](super::State) is made.
    ///
    /// # Errors
    /// When there are more than [`NAME_LIMIT`] names.
    pub fn learn(&mut self, deed: &Deed) -> Result<(), TooManyNames> {
        deed.names().into_iter().try_for_each(|(kind, name)| self.intern(kind, name).map(|_| ()))
    }

    /// The facet of a named thing, if it was taken in.
    #[must_use]
    pub fn find(&self, kind: NamedKind, name: &str) -> Option<Facet> {
        self.named.get(&kind)?.get(name).copied()
    }

    /// Every named thing of this kind with its facet, by name.
    #[must_use]
    pub fn named(&self, kind: NamedKind) -> Vec<(&str, Facet)> {
        let mut all: Vec<_> =
            self.named.get(&kind).into_iter().flatten().map(|(n, f)| (n.as_str(), *f)).collect();
        all.sort_unstable();
        all
    }

    /// The built-in or own condition of this name.
    #[must_use]
    pub fn condition(&self, name: &str) -> Option<Facet> {
        self.facets().find(|facet| {
            matches!(self.kind(*facet), FacetKind::Condition | FacetKind::Own) && self.name(*facet) == name
        })
    }

    /// The set of one value of the facet, by the value's name.
    #[must_use]
    pub fn value(&self, facet: Facet, name: &str) -> Option<Values> {
        let entry = self.entry(facet)?;
        entry.values.iter().position(|v| v == name).map(Values::only)
    }

    /// The gate of this name, built in or own.
    #[must_use]
    pub fn gate(&self, name: &str) -> Option<GateId> {
        let own = || self.own_gates.iter().position(|g| g.name == name);
        Gate::named(name)
            .map(GateId::BuiltIn)
            .or_else(|| own().and_then(|at| u16::try_from(at).ok()).map(GateId::Own))
    }

    /// The zone of this name, built in or own.
    #[must_use]
    pub fn zone(&self, name: &str) -> Option<Zone> {
        let own = || self.own_zones.iter().position(|z| z.name == name);
        Zone::named(name).or_else(|| own().and_then(|at| u16::try_from(at).ok()).map(Zone::Own))
    }

    /// The names of all zones, the built-in ones first.
    pub fn zone_names(&self) -> impl Iterator<Item = &str> {
        Zone::ALL
            .into_iter()
            .map(|zone| zone.name(self))
            .chain(self.own_zones.iter().map(|zone| zone.name.as_str()))
    }

    /// Every gate, the built-in ones first.
    pub fn gates(&self) -> impl Iterator<Item = GateId> + '_ {
        let own = (0..self.own_gates.len()).filter_map(|at| u16::try_from(at).ok().map(GateId::Own));
        Gate::ALL.into_iter().map(GateId::BuiltIn).chain(own)
    }

    /// Every facet, in order.
    pub fn facets(&self) -> impl Iterator<Item = Facet> + use<> {
        (0..u16::try_from(self.entries.len()).unwrap_or(u16::MAX)).map(Facet)
    }

    /// What the facet is called, as in `power` or `apart:X14`.
    #[must_use]
    pub fn name(&self, facet: Facet) -> &str {
        self.entry(facet).map_or("", |entry| &entry.name)
    }

    /// What sort of thing the facet is.
    #[must_use]
    pub fn kind(&self, facet: Facet) -> FacetKind {
        self.entry(facet).map_or(FacetKind::Tracked, |entry| entry.kind)
    }

    /// The names of the values in a set, in the facet's order.
    #[must_use]
    pub fn value_names(&self, facet: Facet, values: Values) -> Vec<&str> {
        let Some(entry) = self.entry(facet) else { return Vec::new() };
        values.places().filter_map(|place| entry.values.get(place)).map(String::as_str).collect()
    }

    /// Every value that the facet can have: what is left when it is not known.
    #[must_use]
    pub fn all(&self, facet: Facet) -> Values {
        if facet == Facet::CAB && self.cab == CabKind::Fixed {
            return super::Cab::Down.only();
        }
        self.slot(facet).map_or(Values(0), |slot| Values(u32::try_from(slot.mask()).unwrap_or(0)))
    }

    /// The values that the facet can have when a job begins.
    #[must_use]
    pub fn at_start(&self, facet: Facet) -> Values {
        self.entry(facet).map_or(Values(0), |entry| entry.at_start)
    }

    /// The cab of the machine.
    #[must_use]
    pub const fn cab(&self) -> CabKind {
        self.cab
    }

    pub(super) fn slot(&self, facet: Facet) -> Option<Slot> {
        self.entry(facet).map(|entry| entry.slot)
    }

    pub(super) const fn word_count(&self) -> usize {
        self.words
    }

    pub(super) fn open_masks(&self, kind: NamedKind) -> &[(usize, u64)] {
        self.open_masks.get(&kind).map_or(&[], Vec::as_slice)
    }

    fn entry(&self, facet: Facet) -> Option<&Entry> {
        self.entries.get(usize::from(facet.0))
    }
}
