//! Bands that stand over each other, met by a brush at one place.
//!
//! Nothing hides a piece that lies on the convex hull of its band, so what strips do along it is summed once for all bands that have it, times the height of those
//! bands together. The pieces within the hull (beside a plate or a mirror, in a bay) are found band by band, first surface only.

use super::near::{Cells, NearIndex};
use super::{ContactLaw, ContactSum, SpanScratch, strips, visible_part};
use crate::geometry::{Facet, Piece, Vec2};
use crate::vehicle::Outline;

/// A band of a stack.
#[derive(Debug, Clone, Copy)]
pub struct StackBand<'a> {
    /// Its outlines.
    pub outlines: &'a [Outline],
    /// The index of them.
    pub near: &'a NearIndex,
    /// Height that the strips cover, m.
    pub height_m: f64,
}

/// A piece by its numbers: the same for the same piece in another band. Bands that a plate or a mirror divides have most of their outline in common.
fn key(piece: &Piece) -> [u64; 6] {
    let numbers = match piece {
        Piece::Line(line) => [line.a.x, line.a.y, line.b.x, line.b.y, 0.0, 0.0],
        Piece::Arc(arc) => [arc.center.x, arc.center.y, arc.radius_m, arc.start_rad, arc.sweep_rad, 1.0],
    };
    numbers.map(f64::to_bits)
}

/// For bands over each other and one brush radius: what could be touched from anywhere in a slice of the vehicle's length.
#[derive(Debug, Clone)]
pub struct BandStack {
    radius_m: f64,
    cells: Cells,
    /// For each cell, where its part of `pieces` and of `within` begins; one more than there are cells.
    starts: Vec<[usize; 2]>,
    pieces: Vec<HullPiece>,
    /// Places in the stack of bands that have something within their hull there.
    within: Vec<usize>,
}

/// A piece on the hull of some bands, touched while the y of the brush is within these.
#[derive(Debug, Clone, Copy)]
struct HullPiece {
    facet: Facet,
    key: [u64; 6],
    /// Of all bands that have it, m.
    height_m: f64,
    y_m: [f64; 2],
}

impl BandStack {
    /// Stack of bands for a brush of radius R.
    pub fn new(bands: &[StackBand<'_>], radius_m: f64) -> Self {
        let cells = Cells::about(bands.iter().flat_map(|band| band.outlines), radius_m);
        let mut hull: Vec<Vec<HullPiece>> = vec![Vec::new(); cells.count];
        let mut rough: Vec<Vec<usize>> = vec![Vec::new(); cells.count];
        for (place, band) in bands.iter().enumerate() {
            for (index, outline) in band.outlines.iter().enumerate() {
                for (piece, bounds) in outline.chain.piece_bounds().iter().enumerate() {
                    let on_hull = band.near.on_hull()[index][piece];
                    let key = key(&outline.chain.pieces()[piece]);
                    for cell in cells.of(bounds) {
                        if on_hull {
                            let height_m = band.height_m;
                            match hull[cell].iter_mut().find(|p| p.key == key) {
                                Some(known) => known.height_m += height_m,
                                None => hull[cell].push(HullPiece {
                                    facet: outline.chain.facets()[piece],
                                    key,
                                    height_m,
                                    y_m: cells.across_m(bounds),
                                }),
                            }
                        } else if rough[cell].last() != Some(&place) {
                            rough[cell].push(place);
                        }
                    }
                }
            }
        }
        let mut starts = vec![[0; 2]];
        for (pieces, within) in hull.iter().zip(&rough) {
            let [a, b] = starts[starts.len() - 1];
            starts.push([a + pieces.len(), b + within.len()]);
        }
        BandStack { radius_m, cells, starts, pieces: hull.concat(), within: rough.concat() }
    }

    /// Contact of a brush at `c` with all bands of the stack: forces, moments and powers times the heights (N, N m, W). `band` gives those the stack was made of by
    /// their place in it, as far as they are asked for; `law` has the radius of the stack.
    pub fn contact<'b>(
        &self,
        band: impl Fn(usize) -> StackBand<'b>,
        law: &ContactLaw,
        c: Vec2,
        velocity_m_s: Vec2,
        scratch: &mut SpanScratch,
    ) -> ContactSum {
        let mut total = ContactSum::default();
        let Some(cell) = self.cells.at(c) else { return total };
        let ([piece, within], [piece_end, within_end]) = (self.starts[cell], self.starts[cell + 1]);
        for p in &self.pieces[piece..piece_end] {
            if p.y_m[0] <= c.y
                && c.y <= p.y_m[1]
                && let Some((visible, _)) = visible_part::visible_part(&p.facet, c, self.radius_m)
            {
                total.add(&strips::contact(law, &visible, velocity_m_s).over(p.height_m));
            }
        }
        for place in &self.within[within..within_end] {
            let StackBand { outlines, near, height_m, .. } = band(*place);
            let sum = near.contact_within_hull(outlines, law, c, velocity_m_s, scratch);
            total.add(&sum.over(height_m));
        }
        total
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{BAY, BOX, bay_and_box, outline};
    use super::super::{ContactLaw, chances};
    use super::*;

    /// A stack is the sum of its bands, each summed alone and weighed with its height: a block, the block with a bay, both with a box over the bay, from
    /// everywhere round them, standing and moving.
    #[test]
    fn verif_a_stack_is_the_sum_of_its_bands() {
        let block = [(-2.0, 0.0), (2.0, 0.0), (2.0, 1.0), (-2.0, 1.0)];
        let bands: [Vec<Outline>; 4] = [
            vec![outline(&block, |v| v)],
            vec![outline(&BAY, |v| v)],
            bay_and_box().to_vec(),
            vec![outline(&block, |v| v), outline(&BOX, |v| v)],
        ];
        let heights_m = [0.3, 0.2, 0.5, 0.11];
        let mut by = chances();
        let (mut touched, mut within) = (0, 0);
        for case in 0..600 {
            let radius_m = by(0.4, 1.0);
            let law = ContactLaw {
                radius_m,
                hub_radius_m: 0.1,
                stiffness: 50.0,
                spin_stiffness: 0.0,
                exponent: if case % 2 == 0 { 1.0 } else { 0.0 },
                friction: 0.3,
                lead_m: 0.2,
                rubbing_share: 0.7,
                spin_rad_s: 9.0,
                hub_stiffness: 1e4,
            };
            let near: Vec<NearIndex> = bands.iter().map(|b| NearIndex::new(b, radius_m)).collect();
            let band = |i: usize| StackBand { outlines: &bands[i], near: &near[i], height_m: heights_m[i] };
            let stack = BandStack::new(&[0, 1, 2, 3].map(band), radius_m);
            let (mut own, mut shared) = (SpanScratch::default(), SpanScratch::default());
            for _ in 0..8 {
                let c = Vec2::new(by(-3.2, 3.2), by(-1.2, 2.8));
                let velocity = Vec2::new(by(-0.5, 0.5), by(-0.5, 0.5));
                let mut want = ContactSum::default();
                for (i, near) in near.iter().enumerate() {
                    want.add(&near.contact(&bands[i], &law, c, velocity, &mut own).over(heights_m[i]));
                }
                let got = stack.contact(band, &law, c, velocity, &mut shared);
                let close = |a: f64, b: f64| (a - b).abs() <= 1e-11 * (1.0 + want.normal_sum_n_per_m);
                assert!(
                    close(got.normal_sum_n_per_m, want.normal_sum_n_per_m)
                        && close(got.moment_n(), want.moment_n())
                        && close(got.rubbing_w_per_m, want.rubbing_w_per_m)
                        && close(got.absorbed_w_per_m, want.absorbed_w_per_m)
                        && close(got.force_n_per_m().x, want.force_n_per_m().x)
                        && close(got.force_n_per_m().y, want.force_n_per_m().y)
                        && got.indentation_m == want.indentation_m,
                    "{c:?} {radius_m}: {got:?} {want:?}"
                );
                touched += usize::from(got.indentation_m > 0.0);
                let rough = near[1].contact_within_hull(&bands[1], &law, c, velocity, &mut own);
                within += usize::from(rough.indentation_m > 0.0);
            }
        }
        assert!(touched > 1000 && within > 100, "{touched} {within}");
    }
}
