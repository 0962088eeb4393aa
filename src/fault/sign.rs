//! The signs: what is seen, in the words of the job, and how plainly a pass shows it beside the machine as it should be.
//!
//! A grade is a ramp of how far an observable has moved from that of the healthy machine, from what nobody would notice (0) to what is plain (1); where there is a
//! measure that is bad by itself, whichever of the two is more. Ramps are common practice without a source.

use super::observe::{Measured, Observable};
use crate::arm::Side;

/// With what a fault comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Circumstance {
    /// From one day to the next.
    Sudden,
    /// Little by little.
    Gradual,
    /// Since somebody worked on the machine.
    AfterRepair,
    /// Since something was hit.
    AfterCrash,
    /// When it is cold, or first thing in the morning.
    Cold,
    /// After rain, or with dirty vehicles.
    AfterRain,
    /// On busy days.
    BusyDays,
    /// Since other vehicles come.
    NewVehicles,
}

/// How a sign is tested.
#[derive(Debug, Clone, Copy)]
pub enum Test {
    /// The observable is higher than healthy by this much, SI: nobody would notice, plain.
    Rise(Observable, f64, f64),
    /// It is lower.
    Fall(Observable, f64, f64),
    /// It is higher by this share of the healthy one.
    RiseShare(Observable, f64, f64),
    /// It is lower by this share.
    FallShare(Observable, f64, f64),
    /// It comes with this circumstance, as the table of causes says.
    Comes(Circumstance),
    /// What is not washed is so on a busy day and not on a slow line.
    OnlyBusy,
    /// It shows on wide vehicles and not on the planned one.
    OnlyWide,
    /// One side shows something and the other does not.
    OneSide,
}

/// Where a value is bad by itself: from here nobody would complain, from there everybody.
#[derive(Debug, Clone, Copy)]
pub struct Absolute(pub f64, pub f64);

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub struct SignRow {
    /// Stable key.
    pub key: &'static str,
    /// In the words of the job.
    pub words: &'static str,
    /// Whether it is of a side.
    pub sided: bool,
    /// How it is tested.
    pub test: Test,
    /// Where it is bad by itself.
    pub absolute: Option<Absolute>,
    /// Whether it is of what is washed or touched, which is asked about speed and vehicle.
    pub of_wash: bool,
}

const fn sided(key: &'static str, words: &'static str, test: Test) -> SignRow {
    SignRow { key, words, sided: true, test, absolute: None, of_wash: false }
}

const fn whole(key: &'static str, words: &'static str, test: Test) -> SignRow {
    SignRow { key, words, sided: false, test, absolute: None, of_wash: false }
}

impl SignRow {
    const fn bad(mut self, from: f64, to: f64) -> SignRow {
        self.absolute = Some(Absolute(from, to));
        self
    }

    const fn wash(mut self) -> SignRow {
        self.of_wash = true;
        self
    }
}

use Observable as O;
use Test::{Comes, Fall, FallShare, Rise, RiseShare};

/// Every sign.
pub static SIGNS: [SignRow; 58] = [
    sided("tail-missed", "the tail is missed", Rise(O::TailUnwashed, 0.05, 0.22)).bad(0.2, 0.5).wash(),
    sided("tail-missed-whole", "the tail is missed whole", Rise(O::TailUnwashed, 0.4, 0.7))
        .bad(0.6, 0.9)
        .wash(),
    sided("tail-late", "the brush is late on the tail", Rise(O::Chase, 0.08, 0.3)),
    sided("tail-early", "the brush is on the tail sooner", Fall(O::Chase, 0.06, 0.15)),
    sided("tail-hard", "it strikes the tail hard", RiseShare(O::TailPeak, 0.2, 0.6)),
    sided("nose-missed", "the nose is missed", Rise(O::NoseUnwashed, 0.04, 0.15)).bad(0.2, 0.5).wash(),
    sided("nose-hard", "it strikes the nose hard", RiseShare(O::NosePeak, 0.2, 0.6)),
    sided("nose-soft", "it gives way soft at the nose", FallShare(O::NosePeak, 0.2, 0.5)),
    sided("leaves-nose", "it bounces off the nose", Rise(O::OffFront, 0.1, 1.5)),
    sided("strip-front", "a strip left behind the front corner", Rise(O::FrontUnwashed, 0.02, 0.1))
        .bad(0.1, 0.3)
        .wash(),
    sided("strip-rear", "strips left along the side", Rise(O::RearUnwashed, 0.02, 0.1)).bad(0.1, 0.3).wash(),
    sided("side-hard", "too hard on the side", RiseShare(O::SidePressure, 0.15, 0.45)),
    sided("side-soft", "too soft on the side", FallShare(O::SidePressure, 0.15, 0.4)),
    sided("side-pounded", "it beats on the side", RiseShare(O::SidePeak, 0.25, 0.7)),
    sided("side-dull", "the side stays dull", FallShare(O::SideWork, 0.2, 0.5)),
    sided("side-rubbed", "the side is rubbed too much", RiseShare(O::SideWork, 0.25, 0.7)),
    sided("few-wipes", "few strips pass", FallShare(O::SideWipes, 0.15, 0.4)),
    sided("mirror-hard", "mirrors are pushed hard or folded", RiseShare(O::Mirror, 0.2, 0.6)),
    sided("mirror-soft", "mirrors are hardly touched", FallShare(O::Mirror, 0.25, 0.6)),
    sided("slams", "it slams at the stop", Rise(O::StopForce, 50.0, 200.0)),
    sided("stop-deep", "it goes deep into the bumper", Rise(O::Compression, 0.004, 0.015)),
    sided("stop-gentle", "it hardly meets the bumper", FallShare(O::StopSpeed, 0.3, 0.8)),
    sided("bounces", "it bounces off the stop", Rise(O::Rebound, 0.025, 0.08)),
    sided("comes-in-slow", "it comes in slowly", Rise(O::SwingIn, 0.3, 1.0)),
    sided("comes-in-fast", "it comes in fast", Fall(O::SwingIn, 0.12, 0.4)),
    sided("rests-out", "it comes to stand too far out", Rise(O::Stands, 0.017, 0.07)),
    sided("stays-out", "it stays out after a vehicle", Rise(O::AtNext, 0.12, 0.35)),
    sided("rests-in", "it comes to stand too far in", Fall(O::Stands, 0.012, 0.045)),
    sided("not-settled", "it is not settled before the next vehicle", Fall(O::Recovery, 0.4, 1.5))
        .bad(0.5, -1.0)
        .wash(),
    sided("swings-wide", "it is thrown wide", Rise(O::Widest, 0.035, 0.12)),
    sided("rides-deep", "it does not swing out as far", Fall(O::Widest, 0.03, 0.1)),
    sided("chatters", "it chatters along the vehicle", Rise(O::Reversals, 2.0, 6.0)),
    sided("spindle-labours", "the spindle labours or trips", RiseShare(O::SpindlePeak, 0.15, 0.45)),
    sided("spindle-light", "the spindle runs light", FallShare(O::SpindlePeak, 0.15, 0.4)),
    sided("hub-marks", "hub marks, or pressed flat", Fall(O::HubClearance, 0.012, 0.04)).bad(0.012, -0.01),
    sided("outer-stop", "it hits its outer stop", Rise(O::OuterStop, 0.2, 0.8)),
    sided(
        "gauge-climbs",
        "the gauge climbs, or does not fall when it should",
        Rise(O::AirOver, 3000.0, 14_000.0),
    ),
    sided("turns-slowly", "the brush turns slowly", FallShare(O::Spin, 0.15, 0.45)),
    sided("turns-fast", "the brush turns fast", RiseShare(O::Spin, 0.15, 0.45)),
    sided("looks-worn", "the media look short", Fall(O::Radius, 0.025, 0.09)),
    sided("looks-thin", "the media look thin or torn", FallShare(O::Strips, 0.15, 0.4)),
    sided("looks-caked", "the media look caked, soaked or iced", RiseShare(O::MovedMass, 0.08, 0.3)),
    whole("brushes-touch", "the brushes touch", Rise(O::BrushesMeet, 0.02, 0.1)),
    whole("tail-middle", "a strip in the middle of the tail", Rise(O::TailMiddle, 0.06, 0.25))
        .bad(0.2, 0.5)
        .wash(),
    whole("nose-middle", "a strip in the middle of the nose", Rise(O::NoseMiddle, 0.05, 0.25))
        .bad(0.1, 0.3)
        .wash(),
    whole("vehicles-fast", "vehicles run by fast", RiseShare(O::LineSpeed, 0.12, 0.35)),
    whole("vehicles-slow", "vehicles creep by", FallShare(O::LineSpeed, 0.12, 0.35)),
    whole("vehicles-close", "vehicles follow closely", FallShare(O::Room, 0.2, 0.5)),
    whole("only-busy", "only on busy days, when the line is fast", Test::OnlyBusy),
    whole("only-wide", "only on wide vehicles", Test::OnlyWide),
    sided("one-side", "only on this side", Test::OneSide),
    whole("sudden", "from one day to the next", Comes(Circumstance::Sudden)),
    whole("gradual", "little by little", Comes(Circumstance::Gradual)),
    whole("after-repair", "since somebody worked on it", Comes(Circumstance::AfterRepair)),
    whole("after-crash", "since something was hit", Comes(Circumstance::AfterCrash)),
    whole("cold", "when cold, or with the first vehicles of the day", Comes(Circumstance::Cold)),
    whole("after-rain", "after rain, or with dirty vehicles", Comes(Circumstance::AfterRain)),
    whole("new-vehicles", "since other vehicles come", Comes(Circumstance::NewVehicles)),
];

/// A sign at its place: of a side, of either, or of the whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sign {
    /// Which of [`SIGNS`].
    pub row: usize,
    /// The side; none of what has no side, or where the caller did not say which.
    pub side: Option<Side>,
}

impl Sign {
    /// What the table says of it.
    pub fn row(self) -> &'static SignRow {
        &SIGNS[self.row]
    }

    /// `tail-missed:left`.
    pub fn key(self) -> String {
        self.side
            .map_or_else(|| self.row().key.to_owned(), |side| format!("{}:{}", self.row().key, side.name()))
    }

    /// `left: the tail is missed`.
    pub fn said(self) -> String {
        match self.side {
            Some(side) => format!("{}: {}", side.name(), self.row().words),
            None => self.row().words.to_owned(),
        }
    }
}

/// The row with this key.
pub fn sign_named(key: &str) -> Option<usize> {
    SIGNS.iter().position(|row| row.key == key)
}

/// Every sign that a machine with these sides can show, in the order of grades.
pub fn signs(sides: &[Side]) -> Vec<Sign> {
    let mut all = Vec::new();
    for (row, sign) in SIGNS.iter().enumerate() {
        if sign.sided {
            all.extend(sides.iter().map(|&side| Sign { row, side: Some(side) }));
        } else {
            all.push(Sign { row, side: None });
        }
    }
    all
}

/// 0 below, 1 above, smooth between.
pub(super) fn ramp(value: f64, from: f64, to: f64) -> f64 {
    let x = ((value - from) / (to - from)).clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// How plainly a pass shows a sign beside the healthy machine in the same view.
fn grade_in(row: &SignRow, side: Side, now: &Measured, healthy: &Measured) -> f64 {
    if let Some(jammed) = now.jammed {
        let told = matches!(row.key, "hub-marks" | "spindle-labours" | "side-hard");
        return if told && jammed == side { 1.0 } else { 0.0 };
    }
    let (of, grade) = match row.test {
        Test::Rise(of, from, to) => (of, change(of, side, now, healthy).map(|d| ramp(d, from, to))),
        Test::Fall(of, from, to) => (of, change(of, side, now, healthy).map(|d| ramp(-d, from, to))),
        Test::RiseShare(of, from, to) => (of, share(of, side, now, healthy).map(|d| ramp(d, from, to))),
        Test::FallShare(of, from, to) => (of, share(of, side, now, healthy).map(|d| ramp(-d, from, to))),
        _ => return 0.0,
    };
    let bad = row.absolute.and_then(|Absolute(from, to)| Some(ramp(now.value(of, side)?, from, to)));
    grade.unwrap_or(0.0).max(bad.unwrap_or(0.0))
}

fn change(of: Observable, side: Side, now: &Measured, healthy: &Measured) -> Option<f64> {
    Some(now.value(of, side)? - healthy.value(of, side)?)
}

fn share(of: Observable, side: Side, now: &Measured, healthy: &Measured) -> Option<f64> {
    let was = healthy.value(of, side)?;
    (was.abs() > 1e-9).then_some((now.value(of, side)? - was) / was.abs())
}

/// Passes of one machine: planned, slow, busy, wide; what could not be computed is missing.
pub(super) type Seen = [Option<Measured>; 4];

/// What counts of a sign on a busy day: who tells of it may speak of an ordinary one.
const BUSY: f64 = 0.8;
/// What a circumstance that a cause does not come with counts.
const UNLIKELY: f64 = 0.06;

/// Grades of all signs of a machine beside the healthy one, in the order of [`signs`].
pub(super) fn grades(sides: &[Side], now: &Seen, healthy: &Seen, comes: &[Circumstance]) -> Vec<f64> {
    let view = |row: &SignRow, side: Option<Side>, i: usize| -> f64 {
        let (Some(now), Some(healthy)) = (&now[i], &healthy[i]) else { return 0.0 };
        let of = |side| grade_in(row, side, now, healthy);
        side.map_or_else(|| sides.iter().copied().map(of).fold(0.0, f64::max), of)
    };
    let worst = |i: usize| {
        let of_wash = SIGNS.iter().filter(|row| row.of_wash);
        of_wash.map(|row| view(row, None, i)).fold(0.0, f64::max)
    };
    let [planned, slow, busy, wide] = [0, 1, 2, 3].map(worst);
    let graded = |row: &SignRow, side: Option<Side>| {
        let [planned, slow, busy] = [0, 1, 2].map(|i| view(row, side, i));
        planned.max(slow).max(BUSY * busy)
    };
    let most = |side: Side| {
        SIGNS.iter().filter(|row| row.sided).map(|row| graded(row, Some(side))).fold(0.0, f64::max)
    };
    signs(sides)
        .into_iter()
        .map(|sign| match sign.row().test {
            Test::OneSide => {
                let own = sign.side.map_or(0.0, most);
                let other = sides
                    .iter()
                    .filter(|side| Some(**side) != sign.side)
                    .map(|side| most(*side))
                    .fold(0.0, f64::max);
                if sides.len() == 2 { ramp(own - other, 0.3, 0.7) } else { 0.0 }
            }
            Test::Comes(with) if comes.contains(&with) => 1.0,
            Test::Comes(_) => UNLIKELY,
            Test::OnlyBusy => ramp(planned.max(busy) - slow, 0.3, 0.7),
            Test::OnlyWide => ramp(wide - planned.max(slow), 0.3, 0.7),
            _ => graded(sign.row(), sign.side),
        })
        .collect()
}
