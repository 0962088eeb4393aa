//! Stations and what they collect.
//!
//! Contact pressure at a station is the radial push per area, p = K δ^p dψ/ds (Pa). Wipes come at N ω/2π per second while touched.
//! Rubbing work per area is ∫ μ p |v_tip| dt (J/m²). A station that a patch covers in part counts that part, so sums do not depend on
//! where the stations happen to lie.

use super::CoverageSettings;
use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::contact::{ContactLaw, SpanRoom};
use crate::pass::motion::{UnitDynamics, contact_law, state};
use crate::pass::{PassSetup, Record};
use crate::vehicle::{Vehicle, Zone};
use rayon::prelude::*;

/// What one brush did to one station.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cell {
    /// Time in contact, s.
    pub contact_s: f64,
    /// Strip passes.
    pub wipes: f64,
    /// Rubbing work per area, J/m².
    pub work_j_m2: f64,
    /// ∫ pressure dt, Pa s; over the contact time it is the mean pressure.
    pub pressure_time_pa_s: f64,
    /// Highest pressure, Pa.
    pub peak_pa: f64,
    /// First touch, s.
    pub first_s: Option<f64>,
    /// Last touch, s.
    pub last_s: Option<f64>,
    /// When the pressure was highest, s.
    pub peak_s: Option<f64>,
}

impl Cell {
    /// Share of the time between first and last touch that is over at `t_s`, 0…1; 0 when never touched.
    pub fn share_by(&self, t_s: f64) -> f64 {
        match (self.first_s, self.last_s) {
            (Some(first), Some(_)) if t_s <= first => 0.0,
            (Some(first), Some(last)) if t_s < last => (t_s - first) / (last - first),
            (Some(_), Some(_)) => 1.0,
            _ => 0.0,
        }
    }
}

/// A short run of the perimeter of one band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Arclength of its middle from the nose centre, counterclockwise, m.
    pub s_m: f64,
    /// Its middle in the vehicle frame, m.
    pub point_m: Vec2,
    /// Zone.
    pub zone: Zone,
    /// Feature it belongs to, as index into the vehicle's features.
    pub feature: Option<usize>,
    /// Whether it is judged: near enough to the widest outline.
    pub judged: bool,
    /// Left and right brush, indexed by [`Side::index`].
    pub cells: [Cell; 2],
}

impl Station {
    /// Strip passes of both brushes.
    pub fn wipes(&self) -> f64 {
        self.cells[0].wipes + self.cells[1].wipes
    }

    /// Rubbing work of both brushes, J/m².
    pub fn work_j_m2(&self) -> f64 {
        self.cells[0].work_j_m2 + self.cells[1].work_j_m2
    }

    /// Contact time of both brushes, s.
    pub fn contact_s(&self) -> f64 {
        self.cells[0].contact_s + self.cells[1].contact_s
    }

    /// Mean pressure while touched, Pa; `None` when never touched.
    pub fn mean_pressure_pa(&self) -> Option<f64> {
        let t = self.contact_s();
        (t > 0.0).then(|| (self.cells[0].pressure_time_pa_s + self.cells[1].pressure_time_pa_s) / t)
    }

    /// Highest pressure, Pa.
    pub fn peak_pa(&self) -> f64 {
        self.cells[0].peak_pa.max(self.cells[1].peak_pa)
    }

    /// How far the station is washed: 1 = just enough. The lesser of wipes and (if asked) work.
    pub fn washed_ratio(&self, settings: &CoverageSettings) -> f64 {
        washed_ratio(self.wipes(), self.work_j_m2(), settings)
    }

    /// How far the station is washed at time `t_s`: 1 = just enough. A brush's share counts as given evenly between its first and its last
    /// touch, which is exact while it stays on.
    pub fn washed_ratio_at(&self, t_s: f64, settings: &CoverageSettings) -> f64 {
        let done = |amount: fn(&Cell) -> f64| -> f64 {
            self.cells.iter().map(|cell| amount(cell) * cell.share_by(t_s)).sum()
        };
        washed_ratio(done(|c| c.wipes), done(|c| c.work_j_m2), settings)
    }

    /// Last touch by either brush, s; `None` when never touched.
    pub fn last_s(&self) -> Option<f64> {
        self.cells.iter().filter_map(|cell| cell.last_s).reduce(f64::max)
    }

    /// The same for one brush alone.
    pub fn washed_ratio_by(&self, side: Side, settings: &CoverageSettings) -> f64 {
        let cell = &self.cells[side.index()];
        washed_ratio(cell.wipes, cell.work_j_m2, settings)
    }
}

fn washed_ratio(wipes: f64, work: f64, settings: &CoverageSettings) -> f64 {
    let by_wipes = if settings.washed_wipes > 0.0 { wipes / settings.washed_wipes } else { f64::INFINITY };
    settings.washed_work_j_m2.map_or(by_wipes, |w| if w > 0.0 { by_wipes.min(work / w) } else { by_wipes })
}

/// One height band of the measured vehicle, unrolled.
#[derive(Debug, Clone, PartialEq)]
pub struct BandCoverage {
    /// Index of the band in the vehicle.
    pub band: usize,
    /// Lowest height the media covers, m.
    pub z_low_m: f64,
    /// Highest height the media covers, m.
    pub z_high_m: f64,
    /// Length of the perimeter, m.
    pub perimeter_m: f64,
    /// Length of a station, m.
    pub station_m: f64,
    /// Stations from the nose centre, counterclockwise.
    pub stations: Vec<Station>,
    /// How far the left and the right brush touch past the centre of the nose, measured along the perimeter, m; negative = short of it.
    /// `None` when that brush does not touch this band there at all.
    pub past_nose_m: [Option<f64>; 2],
    /// The same for the tail.
    pub past_tail_m: [Option<f64>; 2],
}

impl BandCoverage {
    /// Height washed by the media, m.
    pub fn height_m(&self) -> f64 {
        self.z_high_m - self.z_low_m
    }
}

/// The unrolled map: perimeter × height.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Bands that the media reaches, lowest first.
    pub bands: Vec<BandCoverage>,
}

/// The power of the spindle motor is read once in so many looks.
pub const POWER_LOOKS: usize = 4;

/// One look at one unit during the pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// When, s.
    pub t_s: f64,
    /// Time it stands for, s.
    pub weight_s: f64,
    /// Deepest press on the measured vehicle, m; 0 = none.
    pub deepest_m: f64,
    /// Zone of the deepest press.
    pub zone: Option<Zone>,
    /// Power of the spindle motor, W; read in one look of [`POWER_LOOKS`].
    pub spindle_power_w: Option<f64>,
    /// Force on each touched feature (index as in the unit's own vehicle), N, vehicle frame.
    pub features: Vec<(usize, Vec2)>,
}

/// Lays out the stations of the measured vehicle.
fn lay_out(setup: &PassSetup, settings: &CoverageSettings) -> Coverage {
    let vehicle = &setup.train[setup.measured].shape.real;
    let low = setup.units.iter().map(|u| u.brush.z_low_m).fold(f64::INFINITY, f64::min);
    let high = setup.units.iter().map(|u| u.brush.z_high_m).fold(f64::NEG_INFINITY, f64::max);
    let mut bands = Vec::new();
    for (index, band) in vehicle.bands.iter().enumerate() {
        let (z_low, z_high) = (band.z_low_m.max(low), band.z_high_m.min(high));
        let Some(outline) = band.outlines.first().filter(|o| !o.island) else { continue };
        if z_high - z_low <= 1e-9 {
            continue;
        }
        let perimeter = outline.chain.length_m();
        // An even count puts a station border at the nose centre and at the tail centre.
        let count = 2 * (perimeter / (2.0 * settings.station_m)).round().max(8.0) as usize;
        let station_m = perimeter / count as f64;
        let mut stations = Vec::with_capacity(count);
        for i in 0..count {
            let s_m = (i as f64 + 0.5) * station_m;
            let (piece, local_m) = outline.chain.locate(s_m);
            let point_m = outline.chain.pieces()[piece].point_at(local_m);
            let tag = &outline.tags[piece];
            stations.push(Station {
                s_m,
                point_m,
                zone: tag.zone,
                feature: tag.feature,
                judged: !deeper_than(vehicle, index, point_m, settings.judged_depth_m),
                cells: [Cell::default(); 2],
            });
        }
        bands.push(BandCoverage {
            band: index,
            z_low_m: z_low,
            z_high_m: z_high,
            perimeter_m: perimeter,
            station_m,
            stations,
            past_nose_m: [None; 2],
            past_tail_m: [None; 2],
        });
    }
    Coverage { bands }
}

/// Whether a point of one band lies farther than `depth_m` inside the outline of another band.
fn deeper_than(vehicle: &Vehicle, own: usize, p: Vec2, depth_m: f64) -> bool {
    vehicle.bands.iter().enumerate().any(|(index, band)| {
        let Some(outline) = band.outlines.first().filter(|o| !o.island && index != own) else { return false };
        // No point is deeper inside an outline than inside the rectangle around it.
        let b = outline.chain.bounds();
        let boxed = (p.x - b.min.x).min(b.max.x - p.x).min(p.y - b.min.y).min(b.max.y - p.y);
        boxed > depth_m && -outline.chain.nearest(p).distance_m > depth_m
    })
}

/// Walks the record of every unit past the measured vehicle.
pub(super) fn accumulate(
    setup: &PassSetup,
    record: &Record,
    settings: &CoverageSettings,
) -> (Coverage, Vec<Vec<Look>>) {
    let mut coverage = lay_out(setup, settings);
    let walks: Vec<(Vec<Look>, Vec<Strip>)> = (0..setup.units.len())
        .into_par_iter()
        .map(|unit| walk(setup, record, unit, settings, &coverage))
        .collect();
    let mut looks = Vec::with_capacity(walks.len());
    for (model, (unit_looks, strips)) in setup.units.iter().zip(walks) {
        for strip in &strips {
            strip.deliver(&mut coverage, model.side, model.brush.wipe_rate_per_s());
        }
        looks.push(unit_looks);
    }
    (coverage, looks)
}

/// The stations of one band as one unit meets them, in its own handedness.
struct Strip {
    /// Index into the coverage's bands.
    band: usize,
    station_m: f64,
    points: Points,
    sums: Vec<Sum>,
    /// Room for the pressure and the rubbing power of the stations under one span.
    pressure_pa: Vec<f64>,
    rubbing_w_m2: Vec<f64>,
    perimeter_m: f64,
    past_nose_m: Option<f64>,
    past_tail_m: Option<f64>,
}

/// Middles and outward normals of stations, by coordinate.
#[derive(Default)]
struct Points {
    x_m: Vec<f64>,
    y_m: Vec<f64>,
    normal_x: Vec<f64>,
    normal_y: Vec<f64>,
}

/// What a station collects in one walk; wipes follow from the time.
#[derive(Clone, Copy)]
struct Sum {
    contact_s: f64,
    pressure_time_pa_s: f64,
    work_j_m2: f64,
    peak_pa: f64,
    peak_s: f64,
    first_s: f64,
    last_s: f64,
}

impl Strip {
    fn new(index: usize, band: &BandCoverage, vehicle: &Vehicle) -> Strip {
        let none = Sum {
            contact_s: 0.0,
            pressure_time_pa_s: 0.0,
            work_j_m2: 0.0,
            peak_pa: 0.0,
            peak_s: f64::NAN,
            first_s: f64::NAN,
            last_s: f64::NAN,
        };
        let chain = &vehicle.bands[band.band].outlines[0].chain;
        let count = band.stations.len();
        let mut points = Points::default();
        for i in 0..count {
            let (piece, local) = chain.locate((i as f64 + 0.5) * band.station_m);
            let piece = &chain.pieces()[piece];
            let (middle, normal) = (piece.point_at(local), piece.normal_at(local));
            points.x_m.push(middle.x);
            points.y_m.push(middle.y);
            points.normal_x.push(normal.x);
            points.normal_y.push(normal.y);
        }
        Strip {
            band: index,
            station_m: band.station_m,
            points,
            sums: vec![none; count],
            pressure_pa: vec![0.0; count],
            rubbing_w_m2: vec![0.0; count],
            perimeter_m: band.perimeter_m,
            past_nose_m: None,
            past_tail_m: None,
        }
    }

    /// Notes how far round nose and tail a span reaches. A unit's own side is the first half of the perimeter, so past the nose centre
    /// arclength counts down from the perimeter and past the tail centre it counts up from half of it.
    fn reach(&mut self, from_m: f64, to_m: f64) {
        let p = self.perimeter_m;
        let further = |best: &mut Option<f64>, past: f64| *best = Some(best.map_or(past, |b| b.max(past)));
        if from_m < 0.25 * p {
            further(&mut self.past_nose_m, -from_m);
        } else if from_m > 0.75 * p {
            further(&mut self.past_nose_m, p - from_m);
        }
        if to_m > 0.25 * p && to_m < 0.75 * p {
            further(&mut self.past_tail_m, to_m - 0.5 * p);
        }
    }

    /// Adds what a span of strips does to its stations during one look.
    fn add(&mut self, law: &ContactLaw, from_m: f64, to_m: f64, local: Vec2, velocity: Vec2, at: &Look) {
        let h = self.station_m;
        let count = self.sums.len();
        let first = (from_m / h).max(0.0) as usize;
        let last = ((to_m / h) as usize).min(count - 1);
        if first > last {
            return;
        }
        let under = first..last + 1;
        let points = &self.points;
        let columns = [&points.x_m, &points.y_m, &points.normal_x, &points.normal_y];
        let columns = columns.map(|column| &column[under.clone()]);
        let (pressure_pa, rubbing_w_m2) =
            (&mut self.pressure_pa[under.clone()], &mut self.rubbing_w_m2[under.clone()]);
        let moving = (local, velocity);
        let stiffness = law.stiffness;
        if law.exponent == 1.0 {
            press_on(law, |press| stiffness * press, moving, columns, pressure_pa, rubbing_w_m2);
        } else {
            let push = |press: f64| stiffness * press.powf(law.exponent);
            press_on(law, push, moving, columns, pressure_pa, rubbing_w_m2);
        }
        for i in under {
            let share = if i == first || i == last {
                (((i + 1) as f64 * h).min(to_m) - (i as f64 * h).max(from_m)) / h
            } else {
                1.0
            };
            // A span that ends at a station's border covers none of the next one, whatever the rounding says.
            if share <= 1e-9 {
                continue;
            }
            let time = share * at.weight_s;
            let pressure = self.pressure_pa[i];
            let sum = &mut self.sums[i];
            sum.contact_s += time;
            sum.pressure_time_pa_s += time * pressure;
            sum.work_j_m2 += time * self.rubbing_w_m2[i];
            if pressure > sum.peak_pa {
                sum.peak_pa = pressure;
                sum.peak_s = at.t_s;
            }
            if sum.first_s.is_nan() {
                sum.first_s = at.t_s;
            }
            sum.last_s = at.t_s;
        }
    }

    /// Hands the sums to the coverage.
    fn deliver(&self, coverage: &mut Coverage, side: Side, wipes_per_s: f64) {
        let count = self.sums.len();
        coverage.bands[self.band].past_nose_m[side.index()] = self.past_nose_m;
        coverage.bands[self.band].past_tail_m[side.index()] = self.past_tail_m;
        let some = |t: f64| (!t.is_nan()).then_some(t);
        for (i, sum) in self.sums.iter().enumerate() {
            // The right unit sees the vehicle mirrored: its stations run the other way.
            let index = match side {
                Side::Left => i,
                Side::Right => count - 1 - i,
            };
            coverage.bands[self.band].stations[index].cells[side.index()] = Cell {
                contact_s: sum.contact_s,
                wipes: sum.contact_s * wipes_per_s,
                work_j_m2: sum.work_j_m2,
                pressure_time_pa_s: sum.pressure_time_pa_s,
                peak_pa: sum.peak_pa,
                first_s: some(sum.first_s),
                last_s: some(sum.last_s),
                peak_s: some(sum.peak_s),
            };
        }
    }
}

/// Pressure (Pa) and rubbing power (W/m²) on stations at x, y with normals nx, ny under a brush at `local` that moves at `velocity`; `push` is
/// the push of a strip in its press. One loop without branches over columns: it is where measuring spends its time.
fn press_on(
    law: &ContactLaw,
    push: impl Fn(f64) -> f64,
    (local, velocity): (Vec2, Vec2),
    [x, y, nx, ny]: [&[f64]; 4],
    pressure_pa: &mut [f64],
    rubbing_w_m2: &mut [f64],
) {
    let count = pressure_pa.len();
    let (x, y, nx, ny) = (&x[..count], &y[..count], &nx[..count], &ny[..count]);
    let rubbing_w_m2 = &mut rubbing_w_m2[..count];
    for i in 0..count {
        let (arm_x, arm_y) = (x[i] - local.x, y[i] - local.y);
        let rho_squared = arm_x * arm_x + arm_y * arm_y;
        let rho = rho_squared.sqrt();
        let along = -(arm_x * nx[i] + arm_y * ny[i]);
        let press = (law.radius_m - rho).max(0.0);
        let per_psi = push(press) + law.hub_stiffness * (law.hub_radius_m - rho).max(0.0);
        let pressure = (per_psi * along / rho_squared).max(0.0);
        let tip = nx[i] * velocity.y - ny[i] * velocity.x - law.spin_rad_s * along;
        pressure_pa[i] = pressure;
        rubbing_w_m2[i] = law.friction * pressure * tip.abs();
    }
}

fn walk(
    setup: &PassSetup,
    record: &Record,
    unit: usize,
    settings: &CoverageSettings,
    coverage: &Coverage,
) -> (Vec<Look>, Vec<Strip>) {
    let model = &setup.units[unit];
    let law = contact_law(&model.brush);
    let plan = setup.plan(setup.measured, model);
    let dynamics = UnitDynamics { model, law, vehicles: Vec::new() };
    let run = &record.units[unit];
    let mut room = SpanRoom::default();
    let mut looks = Vec::new();
    // One strip for each band of the plan, where the coverage has that band.
    let mut strips: Vec<Option<Strip>> = plan
        .bands
        .iter()
        .map(|b| {
            let index = coverage.bands.iter().position(|c| c.band == b.index)?;
            Some(Strip::new(index, &coverage.bands[index], plan.vehicle))
        })
        .collect();

    let length = model.body.length_m;
    let reach = length + law.radius_m + 0.1;
    let begin = plan.pose.nose_time_s(model.pivot_m.x - reach).max(run.start_s());
    let end = plan.pose.nose_time_s(model.pivot_m.x + reach + plan.pose.length_m).min(run.end_s());
    let mut t = begin;
    let mut step_index = run.step_index(t);
    let mut last_step = 0.0;
    while t <= end {
        while step_index + 1 < run.steps.len() && run.steps[step_index + 1].start_s <= t {
            step_index += 1;
        }
        let motion = run.state_in_step(step_index, t);
        let (c, v) = dynamics.brush_motion(&motion.y);
        // Looks are spaced by how fast the brush passes over the vehicle.
        let pass_speed = (v - Vec2::new(plan.pose.speed_m_s, 0.0)).norm();
        let step = (settings.look_m / pass_speed.max(1e-6)).clamp(0.004, 0.08);
        let mut look = Look {
            t_s: t,
            weight_s: 0.5 * (last_step + step),
            deepest_m: 0.0,
            zone: None,
            spindle_power_w: looks.len().is_multiple_of(POWER_LOOKS).then_some(0.0),
            features: Vec::new(),
        };
        last_step = step;
        if plan.may_touch(c, law.radius_m, t) {
            let omega = motion.y[state::OMEGA];
            let spinning = ContactLaw { spin_rad_s: law.spin_rad_s + omega, ..law };
            let velocity = plan.pose.vehicle_from_unit_dir(v - Vec2::new(plan.pose.speed_m_s, 0.0));
            for (band, strip) in plan.bands.iter().zip(&mut strips) {
                let local = plan.pose.vehicle_from_unit(c + band.shift_m, t);
                let spans = band.near().find_spans(&band.band.outlines, local, &mut room);
                for span in spans {
                    let outline = &band.band.outlines[span.outline];
                    let tag = &outline.tags[span.piece];
                    let deepest_m = span.deepest_m(law.radius_m);
                    if deepest_m > look.deepest_m {
                        look.deepest_m = deepest_m;
                        look.zone = Some(tag.zone);
                    }
                    if tag.feature.is_some() || look.spindle_power_w.is_some() {
                        let sum = span.contact(&spinning, velocity);
                        if let Some(power_w) = &mut look.spindle_power_w {
                            *power_w -= sum.moment_n * band.height_m * law.spin_rad_s;
                        }
                        if let Some(feature) = tag.feature {
                            let force = -sum.force_n_m() * band.height_m;
                            match look.features.iter_mut().find(|(f, _)| *f == feature) {
                                Some((_, sum)) => *sum += force,
                                None => look.features.push((feature, force)),
                            }
                        }
                    }
                    if let Some(strip) = strip.as_mut().filter(|_| span.outline == 0 && !outline.island) {
                        let start = outline.chain.piece_start_m(span.piece);
                        let (from, to) = (start + span.from_m, start + span.to_m);
                        strip.reach(from, to);
                        strip.add(&spinning, from, to, local, velocity, &look);
                    }
                }
            }
            looks.push(look);
        }
        t += step;
    }
    (looks, strips.into_iter().flatten().collect())
}
