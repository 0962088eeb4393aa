//! Solenoid valves on a schedule driven by where the vehicle is.
//!
//! «When nose/tail is at X (+ delay) → chamber on supply / on exhaust / closed», plus the valve's pull-in delay. The conveyor runs at
//! constant speed, so every switch happens at a known time.

/// Which end of the vehicle a step watches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VehicleEnd {
    /// The foremost point.
    Nose,
    /// The rearmost point.
    Tail,
}

/// Which chamber a step switches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChamberName {
    /// The full-bore end.
    Cap,
    /// The rod end.
    Rod,
}

/// What a valve connects its chamber to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValveConnection {
    /// To the regulator, through the supply path.
    Supply,
    /// To the atmosphere, through the exhaust path.
    Exhaust,
    /// To nothing: the air is shut in.
    Closed,
}

/// One step of the schedule; repeated for every vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveStep {
    /// The watched end.
    pub end: VehicleEnd,
    /// Its position along the lane from the unit's pivot, m, positive downstream.
    pub at_m: f64,
    /// Delay after that, including the valve's pull-in time, s.
    pub delay_s: f64,
    /// The chamber switched.
    pub chamber: ChamberName,
    /// What it is switched to.
    pub to: ValveConnection,
}
