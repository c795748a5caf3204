//! Wire, splice, sleeve, bundle, fuse, and where along the wire.
//!
//! Knows copper, crimps and tables, and says where each number comes from. Must not know machines, trees or
//! people: sizes, lengths and places arrive as arguments.

mod bundle;
mod copper;
mod error;
mod locate;
mod rating;
mod route;
mod sheet;
mod sleeve;
mod source;
mod splice;

pub use bundle::{bundle, mixed_bundle, packing};
pub use copper::{Copper, Strand, conductor_temperature, drop_of, is_listed, length_when_hot, warmth};
pub use error::RepairError;
pub use locate::{
    Conductor, EndReading, Instead, Joint, JointVerdict, Leg, LocateError, Measured, Opening, PlaceOnWire,
    Read, Rub, RubRank, SocketLamp, Split, drop_ratio, half_split, loaded_drop, murray, rank_rubs,
    socket_lamp, two_ended, varley,
};
pub use rating::{
    BundleRow, Duty, FuseChoice, GaugeChoice, Limit, TABLE_11_9, fuse, gauge, protecting_fuse, rating_alone,
    rating_in_bundle,
};
pub use route::{RouteFigure, RouteItem, Wrap, clamps_for, half_lapped};
pub use sheet::{
    BarrelOnSheet, CorrectionError, Damage, Flex, Injury, Method, Near, Pair, Part, Question, Reason,
    RepairSheet, SheetLine, SleeveOnSheet, repair_sheet,
};
pub use sleeve::{Sleeve, sleeve, sleeve_length};
pub use source::{Mark, Source};
pub use splice::{
    Barrel, CircularMils, LetIn, Newtons, Nicked, PullTable, STRANDINGS, Stranding, barrel, circular_mils,
    insulation_gap, let_in, nicked_allowed, pull_on_sample, stagger, traded_as,
};
