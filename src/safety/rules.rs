//! The rules no author can switch off: one name for each way to hurt somebody, with what to say.
//!
//! A name is the fault's, stable, and what `explain` and JSON carry. The texts are for a problem in a
//! file: what is wrong, what would happen at the machine, what to write.

macro_rules! rules {
    ($($variant:ident $name:literal $wrong:literal $at_machine:literal $write:literal)+) => {
        /// A rule no author can switch off.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum SafetyRule {
            $(#[doc = $wrong] $variant),+
        }

        impl SafetyRule {
            /// Every rule.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The rule's name.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),+ }
            }

            /// What is wrong.
            #[must_use]
            pub const fn wrong(self) -> &'static str {
                match self { $(Self::$variant => $wrong),+ }
            }

            /// What would happen at the machine.
            #[must_use]
            pub const fn at_machine(self) -> &'static str {
                match self { $(Self::$variant => $at_machine),+ }
            }

            /// What to write instead.
            #[must_use]
            pub const fn write(self) -> &'static str {
                match self { $(Self::$variant => $write),+ }
            }
        }
    };
}

rules! {
    NoZone "no-zone"
        "The step does not say where the body is."
        "Whoever follows it may be under something that is not held."
        "`zone:` with seat, outside, engine-bay, under-cab, under-arms, under-machine or a zone of the machine file."
    WrongZone "wrong-zone"
        "The step says another zone than the machine file gives for its point, plug, wire or rub."
        "The body will be where the part is, whatever the step says."
        "the zone of the part, or leave `zone:` out."
    ZoneNeed "zone-need"
        "A need of the machine file for this zone is not surely in force."
        "The one who wrote it knows what moves or falls there."
        "the gate that puts it in force, on every path to the step."
    SeatCabUp "seat-cab-up"
        "A step in the seat is reached with the cab not surely down."
        "There is no seat to sit in, or it comes down with who climbs in."
        "gate `lower-cab` before the step, on every path."
    EngineBayRunning "engine-bay-running"
        "A step at the engine is reached with the engine possibly running."
        "Fan and belts take a sleeve, a lead or a hand."
        "gate `park` before the step; for a reading with the engine running, `fits:` the leads first and read from `seat` or `outside`."
    EngineRunningLeads "engine-running-leads"
        "A reading at the engine is reached with it possibly running and its leads not surely fitted before."
        "The hand with the probe goes beside the fan."
        "an earlier `do:` with `fits: [red point, black point]`, power off, on every path."
    UnderCabFixed "under-cab-fixed"
        "The cab of this machine is fixed, and the step is under it."
        "There is no under-cab on this machine."
        "the zone where the part can be reached."
    UnderCabNotSupported "under-cab-not-supported"
        "A step under the cab is reached with the cab not surely on its support."
        "A cab that is not held comes down on head and hands."
        "gate `raise-cab` before the step, on every path."
    UnderCabArmsRaised "under-cab-arms-raised"
        "A step under the cab is reached with the arms possibly up and not held."
        "The arms come down over the one who leans in."
        "gate `lower-arms` or `support-arms` before the step; running the engine or watching a function that moves them loses it."
    UnderCabRunning "under-cab-running"
        "A step under the cab is reached with the engine possibly turning; cranking counts."
        "Shafts and belts turn where the hands are."
        "gate `park`, `lockout` or `live-test` before the step, on every path."
    UnderArmsNotParked "under-arms-not-parked"
        "A step under the arms is reached with the machine not surely parked."
        "It rolls over who lies there."
        "gate `park` before the step, on every path."
    UnderArmsNotSupported "under-arms-not-supported"
        "A step under the arms is reached with the arms not surely on their support."
        "Arms held by oil alone come down without warning."
        "gate `support-arms` before the step, on every path."
    UnderArmsPower "under-arms-power"
        "A step under the arms is reached with the power possibly on."
        "A valve that opens drops or lifts what stands above."
        "gate `park` or `lockout` before the step, on every path."
    UnderMachineNotParked "under-machine-not-parked"
        "A step under the machine is reached with it not surely parked."
        "It rolls over who lies there."
        "gate `park` before the step, on every path."
    UnderMachineNoStands "under-machine-no-stands"
        "A step under the machine is reached without it surely standing on stands."
        "A machine on a jack or on its own hydraulics comes down."
        "`conditions: {stands: {values: [none, \"on\"]}}` and a gate that sets it in the machine file; without one, `refer`."
    UnderMachineArmsRaised "under-machine-arms-raised"
        "A step under the machine is reached with the arms possibly up and not held."
        "When they drop, the machine shifts on its stands."
        "gate `lower-arms` or `support-arms` before the step, on every path."
    UnderMachinePower "under-machine-power"
        "A step under the machine is reached with the power possibly on."
        "Tracks and fans start above the face."
        "gate `park` or `lockout` before the step, on every path."
    UnplugLive "unplug-live"
        "A connector is plugged or unplugged with the power possibly on."
        "The controller sees a fault that was not there, a valve moves, a pin burns."
        "gate `park` or `lockout` before the step, on every path."
    UndoFeedLive "undo-feed-live"
        "A feed or battery connector is plugged or unplugged without the power surely locked out."
        "The full battery is behind it: it burns hands and eyes."
        "gate `lockout` before the step, on every path."
    CutLive "cut-live"
        "A wire is cut, stripped or crimped, or a cable undone, without the power surely locked out."
        "The cutter shorts the battery, or somebody starts the machine meanwhile."
        "gate `lockout` before the step, on every path."
    StillLive "still-live"
        "With the isolator open, this place can still push more than 0.1 A into the frame."
        "The lockout is on and the wire still burns."
        "first a step that takes the other source off, or `refer`."
    OhmsOnLive "ohms-on-live"
        "Ohms are read with the power not surely locked out and the part not surely unplugged at both ends."
        "The meter shows nonsense or blows its fuse, and the wrong part is changed."
        "gate `lockout` before the step, or `unplugs:` at both ends, on every path."
    CanOhmsFed "can-ohms-fed"
        "Ohms are read on the CAN pair while a controller can be fed."
        "A fed controller drives the pair and the ohms mean nothing."
        "gate `lockout` before the step, on every path."
    DeadMeter "dead-meter"
        "Volts or amps are read where no source can be named in the power that can be there."
        "A dead reading means nothing there, and is taken for a fault."
        "a setup in which the point is fed, or the source in the author's word, and the gate that brings it on."
    FeedCurrentInLine "feed-current-in-line"
        "Battery or feed current is measured in line without a fuse, or above 10 A."
        "The meter or its leads burn in the hand."
        "measure by clamp, or in line fused up to 10 A."
    HydraulicsPressurised "hydraulics-pressurised"
        "Hydraulics are opened or a gauge is fitted with the pressure not surely released."
        "Oil at 200 bar goes through a glove; a part that it held falls."
        "gate `release-pressure` before the step, on every path, and nothing after it that runs the engine or moves the arms."
    HydraulicsArmsRaised "hydraulics-arms-raised"
        "Hydraulics are opened with the arms possibly up and not held."
        "The oil that is let out was holding them."
        "gate `lower-arms` or `support-arms` before the step, on every path."
    HydraulicsPower "hydraulics-power"
        "Hydraulics are opened with the power possibly on."
        "A pilot valve opens or the pump starts behind the open joint."
        "gate `park` or `lockout` before the step, on every path."
    LeakByHand "leak-by-hand"
        "A leak is looked for close up with the pressure not surely released."
        "A jet too thin to see goes into the hand; that is a hospital case."
        "gate `release-pressure` before the step, or a card at a distance."
    FitLeadsLive "fit-leads-live"
        "A meter lead is fitted on a point with the power possibly on."
        "The lead shorts, or the fan takes it."
        "gate `park` or `lockout` before the step, on every path."
    BridgeLive "bridge-live"
        "A bridge is put on or taken off with the power possibly on."
        "What it lets go moves at once, with the hand still there."
        "gate `park` or `lockout` before the step, on every path."
    BridgeLeft "bridge-left"
        "A bridge that was put on is not surely off again when the walk ends."
        "The next driver trusts an interlock that is not there."
        "a `do:` with `unbridges:` on every path after it."
    TieImpossible "tie-impossible"
        "A control is tied that cannot be tied."
        "What does not hold comes off when it is needed."
        "`can-be-tied: true` in the machine file, if it is so; else another way."
    TieCabUp "tie-cab-up"
        "A control in the seat is tied or untied with the cab not surely down."
        "Nobody can reach it, or somebody climbs where the cab comes down."
        "gate `lower-cab` before the step, on every path."
    ControlOutOfReach "control-out-of-reach"
        "A control in the seat is set with the cab not surely down and the control not surely tied."
        "Nobody can hold it with the cab tilted; somebody tries."
        "`ties:` the control with the cab down, on every path, or read it before the cab goes up."
    SetupContradicts "setup-contradicts"
        "What the step sets up does not fit the power that is surely in force."
        "The step says one thing and the machine is in another state; cranking is running."
        "the gate that brings the power the setup needs, or a setup that fits."
    WatchPower "watch-power"
        "A function is watched without the power it needs surely on."
        "It cannot work, and that is taken for the fault; or the engine is started in passing."
        "gate `run-up` before the step, or `live-test` if the function needs no engine."
    WatchCabUp "watch-cab-up"
        "A function is watched with the cab not surely down."
        "What moves takes the cab along."
        "gate `lower-cab` before the step, on every path."
    WatchNotWhole "watch-not-whole"
        "A function is watched with something possibly apart, cut, bridged or tied."
        "It moves when it must not, or sprays where it is open."
        "gate `put-back` before the step, on every path."
    WatchLockedOut "watch-locked-out"
        "A function is watched with a lock possibly still on."
        "Somebody counts on that lock."
        "gate `release-lockout` before the step, on every path."
    WatchNotParked "watch-not-parked"
        "A function is watched with the machine not surely parked."
        "It rolls off while everybody watches the arms."
        "gate `park` before the step, on every path; a drive test loses it."
    WatchFromDanger "watch-from-danger"
        "A function is watched from another place than the seat or outside."
        "It moves while somebody is within reach of it."
        "`zone: seat` or `zone: outside`."
    MovingSetup "moving-setup"
        "In this step's setup a function can move the machine, and what watching it needs is not surely in force or the body is elsewhere."
        "The reading itself makes the arms move."
        "another setup, or all that watching needs: whole, lock off, cab down, parked, `zone: seat` or `outside`."
    HeatEarly "heat-early"
        "Heat is used before `hot-work` is surely in force."
        "Fuel, oil or battery gas catches fire."
        "gate `hot-work` right before the step, on every path; power on or opened hydraulics lose it."
    RepairNotIsolated "repair-not-isolated"
        "A finding is repaired without the power surely locked out."
        "The cutter shorts the battery, or somebody starts the machine meanwhile."
        "gate `lockout` before the step, on every path."
    HighVoltage "high-voltage"
        "The circuit is above 60 V d.c. or 30 V a.c."
        "It kills at the first touch."
        "`refer` to somebody licensed for it; no step at this circuit."
    PhoneHandsOn "phone-hands-on"
        "A phone question asks somebody to measure, to bypass or to go near."
        "There is nobody there who knows what can fall."
        "`phone: true` only on a question that can be answered from memory or from the seat of a car."
    NameUnknown "name-unknown"
        "A plug, control, bridge, point or proof is named that the safety check was not told of."
        "What is not followed cannot be shown to be off again."
        "a name that the machine file or the tree uses."
    CloseNotLeft "close-not-left"
        "The job is closed without `leave` surely done last."
        "The machine stands as nobody has said, and somebody climbs in."
        "gate `leave` right before `close`, on every path."
    CloseCabUp "close-cab-up"
        "The job is closed with the cab not surely down."
        "The next one drives off with it, or it falls."
        "gate `lower-cab` before `leave`, on every path."
    CloseNotWhole "close-not-whole"
        "The job is closed with something possibly apart, bridged, opened or tied."
        "The machine goes back to work without what protects its driver."
        "gate `put-back` before `leave`, on every path."
    CloseLocked "close-locked"
        "The job is closed with the lock possibly still on."
        "Nobody can run it, or somebody cuts the lock off."
        "gate `release-lockout` before `leave`, on every path."
    CloseBridged "close-bridged"
        "The job is closed with something possibly bridged."
        "The next driver trusts an interlock that is not there."
        "a `do:` with `unbridges:`, then gate `put-back`, on every path."
    CloseLeadsOn "close-leads-on"
        "The job is closed with a meter lead possibly still fitted."
        "The lead goes into the fan."
        "a `do:` with `unfits:` before `close`, on every path."
    CloseNotFound "close-not-found"
        "The job is closed as repaired without a finding on every path."
        "Nobody knows what was wrong, and it comes back."
        "a `find` before it, or close as `temporary` or `not-reproduced`."
    CloseNotRepaired "close-not-repaired"
        "The job is closed as repaired without a repair after the finding on every path."
        "The fault is still there."
        "`do: repair` after the `find`, on every path."
    CloseNotProved "close-not-proved"
        "The job is closed as repaired without its proof on every path."
        "The function was never seen to work, or its interlock never seen to hold."
        "`proof: works`, and `proof: held` where the function has `held-when`, after the repair."
    InterlockNotShown "interlock-not-shown"
        "The job is closed although an interlock was not shown to hold."
        "The next driver is crushed by what it should have held."
        "tag it out and `refer`."
    ReferNotLeft "refer-not-left"
        "The job is handed over without `leave` or `keep-away` surely done last."
        "It stands with the cab up and the key on, and somebody walks in."
        "gate `leave` right before `refer`; after a `cannot`, gate `keep-away`."
    GateNotParked "gate-not-parked"
        "A gate is reached with the machine not surely parked."
        "It rolls while it is being made safe."
        "gate `park` before it, on every path."
    GateArmsRaised "gate-arms-raised"
        "A gate is reached with the arms possibly up and not held."
        "The arms come down on who does it."
        "gate `lower-arms` or `support-arms` before it, on every path."
    GateCabNotHeld "gate-cab-not-held"
        "A gate is reached with the cab possibly up and not held."
        "The cab comes down on who does it."
        "gate `lower-cab` or `raise-cab` before it, on every path."
    GateCabNotDown "gate-cab-not-down"
        "A gate is reached with the cab not surely down."
        "It is done from the seat, and there is none."
        "gate `lower-cab` before it, on every path."
    GateCabFixed "gate-cab-fixed"
        "A gate raises the cab of a machine whose cab is fixed."
        "There is nothing that tilts."
        "leave the gate out, or `cab: tilts` in the machine file."
    GatePower "gate-power"
        "A gate is reached with a power it does not allow."
        "It starts, moves or burns while the gate is being done."
        "gate `park` before it for power off, `lockout` for locked out, on every path."
    GateNotWhole "gate-not-whole"
        "The lock comes off with something possibly apart, cut, opened, bridged or tied."
        "The first who starts it is hit by what was left."
        "gate `put-back` before it, on every path."
    GatePlugApart "gate-plug-apart"
        "`put-back` is reached with a plug possibly still apart."
        "What it feeds fails, or works when it must not."
        "a `do:` with `plugs:` before it, on every path."
    GateBridgeOn "gate-bridge-on"
        "`put-back` is reached with a bridge possibly still on."
        "The interlock behind it holds nothing."
        "a `do:` with `unbridges:` before it, on every path."
    GateTied "gate-tied"
        "`put-back` is reached with a control possibly still tied."
        "The machine believes that somebody sits there."
        "a `do:` with `unties:` before it, on every path."
    GateNotStuck "gate-not-stuck"
        "`keep-away` is reached where no gate surely failed."
        "It is for a machine that cannot be made safe; any other is made safe."
        "the gates that make it safe, then `leave`."
    GateNeed "gate-need"
        "A need of the machine file for this gate is not surely in force."
        "The one who wrote it knows what moves or falls there."
        "the gate that puts it in force before it, on every path."
    GateRunning "gate-running"
        "A gate sets a condition that the engine's turning loses, with the engine possibly turning."
        "It would be lost again at once."
        "gate `park` before it, on every path."
    StartNotParked "start-not-parked"
        "The engine is started with the machine not surely parked."
        "It rolls off with the engine running."
        "gate `park` before `run-up`, on every path."
    StartCabUp "start-cab-up"
        "The engine is started with the cab not surely down."
        "Whoever starts it stands beside a machine that runs."
        "gate `lower-cab` before `run-up`, on every path."
    StartNotWhole "start-not-whole"
        "The engine is started with something possibly apart, cut, opened, bridged or tied."
        "It starts without what should have held it."
        "gate `put-back` before `run-up`, on every path."
    StartLockedOut "start-locked-out"
        "The engine is started with a lock possibly still on."
        "Somebody counts on that lock with hands in the machine."
        "gate `release-lockout` before `run-up`, on every path; only it takes the lock off."
}

impl SafetyRule {
    /// The rule of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|rule| rule.name() == name)
    }
}

impl SafetyRule {
    /// Whether it is about the place where somebody's body is.
    #[must_use]
    pub const fn is_of_place(self) -> bool {
        matches!(
            self,
            Self::SeatCabUp
                | Self::EngineBayRunning
                | Self::UnderCabNotSupported
                | Self::UnderCabArmsRaised
                | Self::UnderCabRunning
                | Self::UnderArmsNotParked
                | Self::UnderArmsNotSupported
                | Self::UnderArmsPower
                | Self::UnderMachineNotParked
                | Self::UnderMachineNoStands
                | Self::UnderMachineArmsRaised
                | Self::UnderMachinePower
        )
    }
}
