//! Samples of one unit during the pass: what its strips touch at the Gauss points of the path, and the peaks found between them.

use super::end::End;
use super::find::highest;
use super::integral::integral;
use super::layout::{BandLayout, Place};
use super::path::{BrushAt, Course, Path, spinning};
use crate::geometry::Vec2;
use crate::pass::contact::{ContactLaw, Span, SpanScratch, surface_point};
use crate::vehicle::{PieceTag, Zone};
use std::cell::RefCell;

/// One sample of one unit during the pass.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sample {
    /// When, s.
    pub t_s: f64,
    /// Time it stands for, s.
    pub weight_s: f64,
    /// Deepest press on the measured vehicle, m; 0 = none.
    pub indentation_m: f64,
    /// Zone of the deepest press.
    pub zone: Option<Zone>,
    /// Band (of the plan) of the deepest press.
    indented_band: usize,
    /// Whether at some height the deepest press is on the tail.
    pub on_tail: bool,
    /// Power of the spindle motor, W.
    pub spindle_power_w: f64,
    /// Force on each touched feature (index as in the unit's own vehicle), N, vehicle frame.
    pub features: Vec<(usize, Vec2)>,
    /// How deep strips press on each of these, m.
    indentation_on: Vec<(usize, f64)>,
    /// Highest pressure on the judged part of each zone and its band (of the plan), Pa.
    pressures: [(f64, usize); 4],
    /// How far past the middle of nose and tail each band (of the plan) is touched, m.
    reach_m: Vec<[Option<f64>; 2]>,
}

/// What takes the power of a spindle motor, W.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SpindlePower {
    /// Rubbing on the vehicle.
    pub rubbing_w: f64,
    /// Flexing of strips.
    pub flexing_w: f64,
    /// Air that the strips stir: engineering estimate.
    pub air_w: f64,
}

impl SpindlePower {
    /// All together, W.
    pub fn total_w(&self) -> f64 {
        self.rubbing_w + self.flexing_w + self.air_w
    }
}

/// Load of the unit on one feature.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Load {
    /// Index in the unit's own vehicle.
    pub feature: usize,
    pub peak_s: f64,
    /// Force at the peak, N, frame of the unit's own vehicle.
    pub peak_n: Vec2,
    pub impulse_n_s: f64,
    /// Deepest press on it, m, and the height under the media, m.
    pub indentation_m: f64,
    pub height_m: f64,
}

/// The highest pressure of a brush on one zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PressurePeak {
    /// Index into the coverage's bands.
    pub band: usize,
    /// Station, in the unit's own order.
    pub station: usize,
    pub peak_pa: f64,
    pub peak_s: f64,
}

/// Samples what one unit's strips touch of the measured vehicle at any instant.
pub(super) struct Sampler<'a> {
    pub course: Course<'a>,
    /// Layout of each band of the plan in the unit's own vehicle, and its index in the coverage.
    pub layouts: Vec<Option<(usize, &'a BandLayout)>>,
    scratch: RefCell<SpanScratch>,
}

impl<'a> Sampler<'a> {
    pub fn new(course: Course<'a>, layouts: Vec<Option<(usize, &'a BandLayout)>>) -> Self {
        Sampler { course, layouts, scratch: RefCell::default() }
    }

    fn radius_m(&self) -> f64 {
        self.course.dynamics.law.radius_m
    }

    /// What strips touch of one band of the plan.
    fn each_of(&self, band: usize, at: &BrushAt, mut visit: impl FnMut(&Span, Vec2, &PieceTag)) {
        let plan = self.course.plan;
        let part = &plan.bands[band];
        let local = at.c + plan.pose.vehicle_from_unit_dir(part.shift_m);
        let mut scratch = self.scratch.borrow_mut();
        for span in part.near().find_spans(&part.band.outlines, local, &mut scratch) {
            visit(span, local, &part.band.outlines[span.outline].tags[span.piece]);
        }
    }

    /// Deepest press and its zone.
    pub fn indentation(&self, t_s: f64) -> (f64, Option<Zone>) {
        let at = self.course.brush(t_s);
        let (mut deepest, mut zone) = (0.0, None);
        for band in 0..self.course.plan.bands.len() {
            self.each_of(band, &at, |span, _, tag| {
                let press = span.indentation_m(self.radius_m());
                if press > deepest {
                    (deepest, zone) = (press, Some(tag.zone));
                }
            });
        }
        (deepest, zone)
    }

    /// How much deeper strips press on a zone (`None`: on anything at all) than elsewhere at one height, m: at the height at which that is most. While
    /// they do not touch the zone, it counts as pressed by less than nothing, by how far it is out of reach.
    pub fn lead_m(&self, zone: Option<Zone>, t_s: f64) -> f64 {
        let is_there = |tag: &PieceTag| zone.is_none_or(|zone| tag.zone == zone);
        let at = self.course.brush(t_s);
        let plan = self.course.plan;
        let mut most = f64::NEG_INFINITY;
        for (band, part) in plan.bands.iter().enumerate() {
            let (mut there, mut elsewhere): (f64, f64) = (0.0, 0.0);
            self.each_of(band, &at, |span, _, tag| {
                let deepest = if is_there(tag) { &mut there } else { &mut elsewhere };
                *deepest = deepest.max(span.indentation_m(self.radius_m()));
            });
            if there == 0.0 {
                let local = at.c + plan.pose.vehicle_from_unit_dir(part.shift_m);
                let pieces = part.band.outlines.iter().flat_map(|o| o.chain.pieces().iter().zip(&o.tags));
                let away_m =
                    pieces.filter(|(_, tag)| is_there(tag)).map(|(piece, _)| piece.nearest(local).distance_m);
                there = away_m.fold(f64::NEG_INFINITY, |reach, away_m| reach.max(self.radius_m() - away_m));
                there = there.min(0.0);
            }
            most = most.max(there - elsewhere);
        }
        most
    }

    /// Whether strips touch a feature of a kind.
    pub fn touches(&self, t_s: f64, kind: &dyn Fn(usize) -> bool) -> bool {
        let at = self.course.brush(t_s);
        let mut any = false;
        for band in 0..self.course.plan.bands.len() {
            self.each_of(band, &at, |_, _, tag| any |= tag.feature.is_some_and(kind));
        }
        any
    }

    fn indentation_of(&self, band: usize, t_s: f64) -> f64 {
        let mut deepest: f64 = 0.0;
        let at = self.course.brush(t_s);
        self.each_of(band, &at, |span, _, _| deepest = deepest.max(span.indentation_m(self.radius_m())));
        deepest
    }

    /// Power that the spindle motor gives to what strips touch and to the air, W, by what takes it.
    fn spindle_power(&self, t_s: f64) -> SpindlePower {
        let at = self.course.brush(t_s);
        let law = spinning(&self.course.dynamics.law, &at);
        let (mut contact_w, mut rubbing_w) = (0.0, 0.0);
        for (band, part) in self.course.plan.bands.iter().enumerate() {
            self.each_of(band, &at, |span, _, _| {
                let sum = span.contact(&law, at.v);
                contact_w -= sum.moment_n() * part.height_m * self.course.dynamics.law.spin_rad_s;
                rubbing_w += sum.rubbing_w_per_m * part.height_m;
            });
        }
        SpindlePower { rubbing_w, flexing_w: contact_w - rubbing_w, air_w: self.air_w(&at) }
    }

    /// Power that the spindle motor gives to the air, W.
    fn air_w(&self, at: &BrushAt) -> f64 {
        let dynamics = self.course.dynamics;
        let turning = at.spin_rad_s;
        dynamics.model.brush.air_drag_n_m_s2 * turning * turning.abs() * dynamics.law.spin_rad_s
    }

    fn spindle_power_w(&self, t_s: f64) -> f64 {
        self.spindle_power(t_s).total_w()
    }

    /// How deep strips press on a feature, m.
    fn indentation_on_feature(&self, feature: usize, t_s: f64) -> f64 {
        let at = self.course.brush(t_s);
        let mut deepest: f64 = 0.0;
        for band in 0..self.course.plan.bands.len() {
            self.each_of(band, &at, |span, _, tag| {
                if tag.feature == Some(feature) {
                    deepest = deepest.max(span.indentation_m(self.radius_m()));
                }
            });
        }
        deepest
    }

    /// Height of a feature under the media, m.
    fn height_of(&self, feature: usize) -> f64 {
        let bands = self.course.plan.bands.iter();
        let has =
            |outline: &crate::vehicle::Outline| outline.tags.iter().any(|tag| tag.feature == Some(feature));
        bands.filter(|part| part.band.outlines.iter().any(has)).map(|part| part.height_m).sum()
    }

    /// Force on a feature, N.
    fn force_on(&self, feature: usize, t_s: f64) -> Vec2 {
        let at = self.course.brush(t_s);
        let law = spinning(&self.course.dynamics.law, &at);
        let mut force = Vec2::zeros();
        for (band, part) in self.course.plan.bands.iter().enumerate() {
            let has = |tag: &PieceTag| tag.feature == Some(feature);
            if part.band.outlines.iter().any(|outline| outline.tags.iter().any(has)) {
                self.each_of(band, &at, |span, _, tag| {
                    if has(tag) {
                        force -= span.contact(&law, at.v).force_n_per_m() * part.height_m;
                    }
                });
            }
        }
        force
    }

    /// Highest pressure on the judged part of one span: strips press hardest where they are shortest. Gives pressure and local arclength.
    fn pressure_on(
        &self,
        (band, span): (usize, &Span),
        law: &ContactLaw,
        (local, v): (Vec2, Vec2),
    ) -> Option<(f64, f64)> {
        let (_, layout) = self.layouts[band]?;
        let outline = &self.course.plan.bands[band].band.outlines[span.outline];
        if span.outline != 0 || outline.island {
            return None;
        }
        let piece = &outline.chain.pieces()[span.piece];
        let foot_m = piece.nearest(local).s_m;
        // Of the judged stations under the span the one next to the foot.
        let places = layout.of_piece(span.piece);
        let under = |place: &Place| place.judged && place.from_m < span.to_m && place.to_m > span.from_m;
        let beside = places.partition_point(|place| place.to_m < foot_m);
        let after = places[beside..].iter().take_while(|place| place.from_m < span.to_m);
        let before = places[..beside].iter().rev().take_while(|place| place.to_m > span.from_m);
        let near = |s: f64| (s - foot_m).abs();
        let nearest = |place: &Place| foot_m.clamp(place.from_m.max(span.from_m), place.to_m.min(span.to_m));
        let spot = [before.copied().find(under), after.copied().find(under)]
            .into_iter()
            .flatten()
            .map(|place| nearest(&place))
            .min_by(|a, b| near(*a).total_cmp(&near(*b)))?;
        Some((surface_point(law, piece, spot, local, v).pressure_pa.max(0.0), spot))
    }

    /// Highest pressure on the judged part of a zone in one band, with the piece and the place on it.
    fn zone_pressure(&self, band: usize, zone: Zone, t_s: f64) -> Option<(f64, usize, f64)> {
        let at = self.course.brush(t_s);
        let law = spinning(&self.course.dynamics.law, &at);
        let mut best: Option<(f64, usize, f64)> = None;
        self.each_of(band, &at, |span, local, tag| {
            if tag.zone == zone
                && let Some((pressure, s)) = self.pressure_on((band, span), &law, (local, at.v))
                && best.is_none_or(|(b, ..)| pressure > b)
            {
                best = Some((pressure, span.piece, s));
            }
        });
        best
    }

    /// How far past the middle of an end strips touch one band, m; `None` when they do not touch it.
    fn reach_m(&self, band: usize, end: End, t_s: f64) -> Option<f64> {
        let mut reach = [None; 2];
        self.each_of(band, &self.course.brush(t_s), |span, _, _| self.note_reach(band, span, &mut reach));
        reach[end as usize]
    }

    fn note_reach(&self, band: usize, span: &Span, reach: &mut [Option<f64>; 2]) {
        let outline = &self.course.plan.bands[band].band.outlines[span.outline];
        if span.outline != 0 || outline.island {
            return;
        }
        let start_m = outline.chain.piece_start_m(span.piece);
        for (end, farthest) in End::BOTH.into_iter().zip(reach) {
            let past_m = end.past_m(start_m + span.from_m, start_m + span.to_m, outline.chain.length_m());
            *farthest = Some(farthest.map_or(past_m, |most: f64| most.max(past_m)));
        }
    }

    fn sample(&self, at: &BrushAt, weight_s: f64) -> Sample {
        let model_law = &self.course.dynamics.law;
        let law = spinning(model_law, at);
        let count = self.course.plan.bands.len();
        let mut sample = Sample {
            t_s: at.t_s,
            weight_s,
            indentation_m: 0.0,
            zone: None,
            indented_band: 0,
            on_tail: false,
            spindle_power_w: self.air_w(at),
            features: Vec::new(),
            indentation_on: Vec::new(),
            pressures: [(0.0, 0); 4],
            reach_m: vec![[None; 2]; count],
        };
        for (band, part) in self.course.plan.bands.iter().enumerate() {
            let mut deepest = (0.0, false);
            self.each_of(band, at, |span, local, tag| {
                let indentation_m = span.indentation_m(law.radius_m);
                if indentation_m > deepest.0 {
                    deepest = (indentation_m, tag.zone == Zone::Tail);
                }
                if indentation_m > sample.indentation_m {
                    (sample.indentation_m, sample.zone, sample.indented_band) =
                        (indentation_m, Some(tag.zone), band);
                }
                let sum = span.contact(&law, at.v);
                sample.spindle_power_w -= sum.moment_n() * part.height_m * model_law.spin_rad_s;
                if let Some(feature) = tag.feature {
                    let force = -sum.force_n_per_m() * part.height_m;
                    match sample.features.iter_mut().find(|(f, _)| *f == feature) {
                        Some((_, sum)) => *sum += force,
                        None => sample.features.push((feature, force)),
                    }
                    match sample.indentation_on.iter_mut().find(|(f, _)| *f == feature) {
                        Some((_, most)) => *most = most.max(indentation_m),
                        None => sample.indentation_on.push((feature, indentation_m)),
                    }
                }
                if let Some((pressure, _)) = self.pressure_on((band, span), &law, (local, at.v))
                    && pressure > sample.pressures[tag.zone.index()].0
                {
                    sample.pressures[tag.zone.index()] = (pressure, band);
                }
                self.note_reach(band, span, &mut sample.reach_m[band]);
            });
            sample.on_tail |= deepest.1;
        }
        sample
    }

    /// Samples at every Gauss point of the path.
    pub fn samples(&self, path: &Path) -> Vec<Sample> {
        let legs = path.legs.iter();
        let each = legs.flat_map(|leg| leg.inner.iter().map(|at| (at, 0.5 * leg.length_s())));
        each.map(|(at, weight_s)| self.sample(at, weight_s)).collect()
    }
}

/// What is taken as nothing between two samples, as a share of an impulse.
const WITHIN: f64 = 5e-6;

/// What a unit's samples come to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sampled {
    pub samples: Vec<Sample>,
    /// First and last instant of the path, s.
    pub ends_s: (f64, f64),
    pub indentation_m: f64,
    /// What takes the power of the spindle motor when it gives most.
    pub spindle_peak: SpindlePower,
    pub loads: Vec<Load>,
    pub pressure_peaks: Vec<PressurePeak>,
    /// The farthest that each band the unit covers is touched past the middle of nose and tail, m; `None` when it is never touched. With the
    /// index of the band in the vehicle.
    pub reach_m: Vec<(usize, [Option<f64>; 2])>,
}

impl Sampled {
    /// Of a brush that touched nothing.
    #[cfg(test)]
    pub fn none() -> Sampled {
        let none_w = SpindlePower { rubbing_w: 0.0, flexing_w: 0.0, air_w: 0.0 };
        Sampled {
            samples: Vec::new(),
            ends_s: (0.0, 0.0),
            indentation_m: 0.0,
            spindle_peak: none_w,
            loads: Vec::new(),
            pressure_peaks: Vec::new(),
            reach_m: Vec::new(),
        }
    }

    pub fn new(sampler: &Sampler<'_>, path: &Path) -> Sampled {
        let samples = sampler.samples(path);
        let ends_s = path.ends_s().unwrap_or((0.0, 0.0));
        let times: Vec<f64> = samples.iter().map(|l| l.t_s).collect();
        let series = |value: &dyn Fn(&Sample) -> f64| samples.iter().map(value).collect::<Vec<f64>>();
        // The band in which a peak is looked for is that of the sample or of one beside it.
        let beside = |i: usize, band: &dyn Fn(&Sample) -> usize| {
            let mut bands: Vec<usize> =
                samples[i.saturating_sub(1)..(i + 2).min(samples.len())].iter().map(band).collect();
            bands.sort_unstable();
            bands.dedup();
            bands
        };
        let deepest = highest(&times, &series(&|l| l.indentation_m), ends_s, |t, i| {
            let bands = beside(i, &|l| l.indented_band);
            bands.into_iter().map(|band| sampler.indentation_of(band, t)).fold(0.0, f64::max)
        });
        let power = highest(&times, &series(&|l| l.spindle_power_w.abs()), ends_s, |t, _| {
            sampler.spindle_power_w(t).abs()
        });
        let mut sampled = Sampled {
            ends_s,
            indentation_m: deepest.map_or(0.0, |(_, x)| x),
            spindle_peak: power.map_or(SpindlePower::default(), |(t, _)| sampler.spindle_power(t)),
            loads: Vec::new(),
            pressure_peaks: Vec::new(),
            reach_m: Vec::new(),
            samples: Vec::new(),
        };
        let mut features: Vec<usize> =
            samples.iter().flat_map(|l| l.features.iter().map(|(f, _)| *f)).collect();
        features.sort_unstable();
        features.dedup();
        for feature in features {
            let of_look =
                |l: &Sample| l.features.iter().find(|(f, _)| *f == feature).map_or(0.0, |(_, n)| n.norm());
            let force_n = |t: f64| sampler.force_on(feature, t).norm();
            let touched = |l: &Sample| of_look(l) > 0.0;
            let (Some(first), Some(last)) =
                (samples.iter().position(touched), samples.iter().rposition(touched))
            else {
                continue;
            };
            let before_s = first.checked_sub(1).map_or(ends_s.0, |i| samples[i].t_s);
            let after_s = samples.get(last + 1).map_or(ends_s.1, |l| l.t_s);
            let mut nodes = vec![(before_s, [force_n(before_s)])];
            nodes.extend(samples[first..=last].iter().map(|l| (l.t_s, [of_look(l)])));
            nodes.push((after_s, [force_n(after_s)]));
            let rough: f64 = samples.iter().map(|l| of_look(l) * l.weight_s).sum();
            let mut seen: Vec<(f64, f64)> = nodes.iter().map(|(t, [force])| (*t, *force)).collect();
            let [impulse_n_s] = integral(&nodes, [WITHIN * rough], |t| {
                seen.push((t, force_n(t)));
                [seen[seen.len() - 1].1]
            });
            // Where the integral had to be read closely the force bends or jumps: its peak may be there.
            seen.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (instants, forces): (Vec<f64>, Vec<f64>) = seen.into_iter().unzip();
            let found = highest(&instants, &forces, (before_s, after_s), |t, _| force_n(t));
            let Some((peak_s, _)) = found else { continue };
            let peak_n = sampler.force_on(feature, peak_s);
            let press =
                |l: &Sample| l.indentation_on.iter().find(|(f, _)| *f == feature).map_or(0.0, |(_, m)| *m);
            let pressed = highest(&times, &series(&press), (before_s, after_s), |t, _| {
                sampler.indentation_on_feature(feature, t)
            });
            let (indentation_m, height_m) = (pressed.map_or(0.0, |(_, m)| m), sampler.height_of(feature));
            sampled.loads.push(Load { feature, peak_s, peak_n, impulse_n_s, indentation_m, height_m });
        }
        for zone in [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide] {
            let pressure = |l: &Sample| l.pressures[zone.index()].0;
            let mut best_band = 0;
            let mut top = 0.0;
            let found = highest(&times, &series(&pressure), ends_s, |t, i| {
                let mut most: f64 = 0.0;
                for band in beside(i, &|l| l.pressures[zone.index()].1) {
                    let value = sampler.zone_pressure(band, zone, t).map_or(0.0, |(p, ..)| p);
                    most = most.max(value);
                    if value > top {
                        (top, best_band) = (value, band);
                    }
                }
                most
            });
            let Some((peak_s, peak_pa)) = found else { continue };
            // A peak at a sample was not read again: its band is the sample's.
            let at_sample = samples.iter().find(|l| l.t_s == peak_s);
            let band = at_sample.map_or(best_band, |l| l.pressures[zone.index()].1);
            let Some((_, piece, s_m)) = sampler.zone_pressure(band, zone, peak_s) else { continue };
            let Some((index, layout)) = sampler.layouts[band] else { continue };
            let places = layout.of_piece(piece);
            let in_piece =
                places.iter().position(|p| p.judged && p.from_m <= s_m && s_m <= p.to_m).unwrap_or(0);
            let station = layout.first_of_piece(piece) + in_piece;
            sampled.pressure_peaks.push(PressurePeak { band: index, station, peak_pa, peak_s });
        }
        for (band, part) in sampler.course.plan.bands.iter().enumerate() {
            let Some(body) = part.band.body() else { continue };
            // Counted from a whole perimeter before the middle, so that what is to be found is positive.
            let perimeter_m = body.chain.length_m();
            let past = |reach: Option<f64>| reach.map_or(0.0, |past_m| past_m + perimeter_m);
            let farthest = End::BOTH.map(|end| {
                let found =
                    highest(&times, &series(&|l| past(l.reach_m[band][end as usize])), ends_s, |t, _| {
                        past(sampler.reach_m(band, end, t))
                    });
                found.map(|(_, past_m)| past_m - perimeter_m)
            });
            sampled.reach_m.push((part.index, farthest));
        }
        sampled.samples = samples;
        sampled
    }
}

#[cfg(test)]
mod tests;
