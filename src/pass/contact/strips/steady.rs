//! Sums over a stretch of an arc all of whose tips rub one way, F = K δᵖ (n + σ μ t): one factor for the friction of all.

use super::gauss::{GAUSS_4, GAUSS_6, GAUSS_8, GAUSS_16, HALF_4, HALF_8, HALF_16};
use super::{Bed, Points, Slide, Stretch, StripAt, Sums};

/// A stretch all of whose tips rub one way: the rubbing force is the push times one factor, and its power follows from its sums.
pub(super) struct Steady<'a> {
    pub slide: &'a Slide<'a>,
    pub bed: Bed,
    pub sense: f64,
    pub stretch: Stretch,
}

impl Steady<'_> {
    pub fn sum(&self, mirrored: bool, force: impl Fn(f64) -> f64, sums: &mut Sums) {
        match (self.stretch.points(self.slide.arc), mirrored) {
            (Points::Four, true) => self.sum_half(&HALF_4, force, sums),
            (Points::Four, false) => self.sum_whole(&GAUSS_4, force, sums),
            (Points::Six, false) => self.sum_whole(&GAUSS_6, force, sums),
            (Points::Six | Points::Eight, true) => self.sum_half(&HALF_8, force, sums),
            (Points::Eight, false) => self.sum_whole(&GAUSS_8, force, sums),
            (Points::Sixteen, true) => self.sum_half(&HALF_16, force, sums),
            (Points::Sixteen, false) => self.sum_whole(&GAUSS_16, force, sums),
        }
    }

    pub fn sum_whole<const N: usize>(
        &self,
        points: &[(f64, f64); N],
        force: impl Fn(f64) -> f64,
        sums: &mut Sums,
    ) {
        let Stretch { mid, half } = self.stretch;
        let arc = self.slide.arc;
        // Two points at a time, in lanes, for the sake of machines that compute two at once.
        let mut lanes = [[0.0_f64; 2]; 4];
        for pair in points.chunks_exact(2) {
            for lane in 0..2 {
                let (x, w) = pair[lane];
                let strip = StripAt::new(arc, mid + half * x);
                let pushed = w * strip.push(self.bed, &force);
                let (sin_theta, cos_theta) = strip.theta();
                lanes[0][lane] += pushed;
                lanes[1][lane] += pushed * cos_theta;
                lanes[2][lane] += pushed * sin_theta;
                lanes[3][lane] += pushed * (strip.free * strip.cos);
            }
        }
        self.add(self.bed.scale(arc, half), lanes.map(|[a, b]| a + b), sums);
    }

    /// The same with the points of one half, their weights doubled.
    pub fn sum_half<const N: usize>(
        &self,
        points: &[(f64, f64); N],
        force: impl Fn(f64) -> f64,
        sums: &mut Sums,
    ) {
        let arc = self.slide.arc;
        let mut lanes = [[0.0_f64; 2]; 3];
        for pair in points.chunks_exact(2) {
            for lane in 0..2 {
                let (x, w) = pair[lane];
                let strip = StripAt::new(arc, self.stretch.half * x);
                let pushed = w * strip.push(self.bed, &force);
                lanes[0][lane] += pushed;
                lanes[1][lane] += pushed * strip.theta().1;
                lanes[2][lane] += pushed * (strip.free * strip.cos);
            }
        }
        let [normal, cos_theta, face] = lanes.map(|[a, b]| a + b);
        self.add(self.bed.scale(arc, 2.0 * self.stretch.half), [normal, cos_theta, 0.0, face], sums);
    }

    fn add(&self, scale: f64, parts: [f64; 4], sums: &mut Sums) {
        let [normal, cos_theta, sin_theta, face] = parts.map(|part| scale * part);
        let Slide { a_m_s, b_m_s, spin_rad_s, friction, .. } = *self.slide;
        let rub = friction * self.sense;
        let (rub_e, rub_f, rub_face) = (rub * sin_theta, rub * cos_theta, rub * face);
        sums.normal += normal;
        sums.push_e += cos_theta;
        sums.push_f += sin_theta;
        sums.rub_e += rub_e;
        sums.rub_f += rub_f;
        sums.rub_face += rub_face;
        sums.rub_w += self.bed.rubbing_share * (a_m_s * rub_e - b_m_s * rub_f - spin_rad_s * rub_face);
        sums.lead += self.bed.lead_m * self.sense * normal;
    }
}
