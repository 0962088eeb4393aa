//! How media push, lead, rub, strike and stir the air, against strips computed as chains of links on a turning hub.
//!
//! `data/strip_chain.json` holds walls, `data/strip_chain_posts.json` posts, the reversed spin and the air. The laws of `arm::Media` are fitted to the walls, so those
//! tests say how near they come and over which range, not that nature agrees: no measurement of wash media in print was found.

#[path = "common/residual.rs"]
#[macro_use]
mod residual;

use brusharm::arm::{Brush, Media, PushBack, SpinSense};
use brusharm::geometry::{Vec2, rounded_polygon};
use brusharm::pass::contact::{ContactLaw, ContactSum, SpanScratch, find_spans};
use brusharm::vehicle::{Outline, PieceTag, Zone};
use serde_json::Value;
use std::f64::consts::TAU;

const HEIGHT_M: f64 = 1.22;

/// One row of the walls.
struct Wall {
    depth_m: f64,
    rpm: f64,
    mass_kg: f64,
    bending: f64,
    friction: f64,
    push_n: f64,
    moment_n_m: f64,
    place_m: f64,
    rubbing_w: f64,
}

fn walls() -> Vec<Wall> {
    let data: Value = serde_json::from_str(include_str!("validation/data/strip_chain.json")).expect("JSON");
    let rows = data["cases"].as_array().expect("cases").iter();
    let walls: Vec<Wall> = rows
        .map(|row| {
            let n = |key: &str| row[key].as_f64().expect("a number");
            assert_eq!((n("radius_m"), n("hub_m"), n("strips")), (0.597, 0.127, 16.0));
            Wall {
                depth_m: n("depth_m"),
                rpm: n("spin_rpm"),
                mass_kg: n("media_kg"),
                bending: n("bending_n_m2"),
                friction: n("friction"),
                push_n: n("normal_n"),
                moment_n_m: n("moment_n_m"),
                place_m: n("place_m"),
                rubbing_w: n("rubbing_w"),
            }
        })
        .collect();
    assert!(walls.len() > 50);
    walls
}

fn brush(media: Media, rpm: f64, friction: f64) -> Brush {
    Brush {
        radius_m: 0.597,
        worn_m: 0.0,
        hub_radius_m: 0.127,
        z_low_m: 0.0,
        z_high_m: HEIGHT_M,
        strips: 16,
        spin_rad_s: rpm.abs() * TAU / 60.0,
        spin_sense: if rpm < 0.0 { SpinSense::InboardAtNose } else { SpinSense::OutboardAtNose },
        media,
        exponent: media.exponent(),
        push_factor: 1.0,
        stiffening_spin_rad_s: None,
        friction,
        air_drag_n_m_s2: 0.0,
    }
}

/// Pressed into a wall at y = 0, the whole height of the media: N, N m, W.
fn pressed(brush: &Brush, depth_m: f64) -> ContactSum {
    let corners = [(-9.0, -1.0), (9.0, -1.0), (9.0, 0.0), (-9.0, 0.0)].map(|(x, y)| (Vec2::new(x, y), 0.0));
    let chain = rounded_polygon(&corners).expect("a wall");
    let tags = vec![PieceTag { zone: Zone::LeftSide, feature: None }; chain.pieces().len()];
    let outlines = [Outline { chain, tags, island: false }];
    let law = ContactLaw::of(brush);
    let mut sum = ContactSum::default();
    let center = Vec2::new(0.0, brush.radius_m - depth_m);
    for span in find_spans(&outlines, center, brush.radius_m, &mut SpanScratch::default()) {
        sum.add(&span.contact(&law, Vec2::zeros()));
    }
    ContactSum {
        push_n_per_m: sum.push_n_per_m * HEIGHT_M,
        friction_n_per_m: sum.friction_n_per_m * HEIGHT_M,
        push_moment_n: sum.push_moment_n * HEIGHT_M,
        friction_moment_n: sum.friction_moment_n * HEIGHT_M,
        rubbing_w_per_m: sum.rubbing_w_per_m * HEIGHT_M,
        ..sum
    }
}

fn off(got: f64, want: f64) -> f64 {
    (got / want - 1.0).abs()
}

fn limp(wall: &Wall) -> ContactSum {
    pressed(&brush(Media::Limp { mass_kg: wall.mass_kg }, wall.rpm, wall.friction), wall.depth_m)
}

/// Limp strips, 0.15 to 0.30 m deep, 45 to 150 rpm, 15 to 40 kg, friction 0.1 to 0.6: push and spindle moment within a fifth, place within 60 mm.
#[test]
fn val_limp_strips_push_where_and_as_hard_as_chains() {
    let mut held = 0;
    for wall in walls().iter().filter(|w| w.bending == 0.0 && w.depth_m > 0.15) {
        let got = limp(wall);
        let about =
            format!("{} m, {} rpm, {} kg, friction {}", wall.depth_m, wall.rpm, wall.mass_kg, wall.friction);
        let push_n = got.push_n_per_m.y;
        held!(off(push_n, wall.push_n), 0.20, "{about}: {push_n} N, not {}", wall.push_n);
        let moment_n_m = -got.moment_n();
        held!(off(moment_n_m, wall.moment_n_m), 0.20, "{about}: {moment_n_m} N m, not {}", wall.moment_n_m);
        let place_m = got.push_moment_n / push_n;
        held!((place_m - wall.place_m).abs(), 0.06, "{about}: at {place_m} m, not {}", wall.place_m);
        assert!(place_m < -0.2 && push_n > 10.0);
        held += 1;
    }
    assert_eq!(held, 20);
}

/// What is rubbed off the power, from 90 rpm on and up to 0.25 m: seven tenths of μ F d ω.
#[test]
fn val_limp_strips_rub_less_than_their_friction() {
    let mut held = 0;
    for wall in
        walls().iter().filter(|w| w.bending == 0.0 && (0.15..0.26).contains(&w.depth_m) && w.rpm >= 90.0)
    {
        let rubbing_w = limp(wall).rubbing_w_per_m;
        held!(off(rubbing_w, wall.rubbing_w), 0.20, "{} m, {} rpm", wall.depth_m, wall.rpm);
        held += 1;
    }
    assert_eq!(held, 13);
}

/// Below 0.12 m the law of limp strips fails, and by how much is said where it is used: a fifth high at 0.10 m, down to a quarter at 0.03 m.
#[test]
fn val_limp_strips_pressed_lightly_are_out_of_range() {
    let at = |depth_m: f64| {
        let walls = walls();
        let wall =
            walls.iter().find(|w| w.bending == 0.0 && w.depth_m == depth_m && w.rpm == 90.0).expect("a row");
        limp(wall).push_n_per_m.y / wall.push_n
    };
    held!((at(0.10) - 1.2).abs(), 0.05);
    held!((at(0.05) - 0.53).abs(), 0.05);
    held!((at(0.03) - 0.27).abs(), 0.05);
}

fn foam(bending: f64) -> impl Fn(&&Wall) -> bool {
    move |w| w.bending == bending && w.mass_kg == 25.0 && w.friction == 0.3 && w.depth_m < 0.26
}

/// Stiff strips whose push-back test was made at 0.152 m and 90 rpm: at that spin from 0.03 to 0.25 m within a quarter, place within 60 mm from 0.1 m on; at other spins,
/// creeping to 150 rpm, within the band that is told.
#[test]
fn val_stiff_strips_push_as_hard_as_one_test_lets_know() {
    let walls = walls();
    let tested =
        walls.iter().filter(foam(1.6)).find(|w| w.depth_m == 0.1524 && w.rpm == 90.0).expect("the test");
    let test = PushBack { depth_m: 0.1524, force_n: tested.push_n, height_m: HEIGHT_M };
    let media = Media::Stiff { test, measured_at_rad_s: 90.0 * TAU / 60.0, mass_kg: Some(25.0) };
    let (mut same, mut other) = (0, 0);
    let mut seen = [f64::INFINITY, 0.0_f64];
    for wall in walls.iter().filter(foam(1.6)) {
        let brush = brush(media, wall.rpm, wall.friction);
        let got = pressed(&brush, wall.depth_m);
        let ratio = wall.push_n / got.push_n_per_m.y;
        let about = format!("{} m, {} rpm: {ratio} of the law", wall.depth_m, wall.rpm);
        let [low, high] = media.push_band(brush.spin_rad_s);
        assert!(low <= ratio && ratio <= high, "{about}, told {low} to {high}");
        if wall.rpm == 90.0 {
            held!(off(got.push_n_per_m.y, wall.push_n), 0.25, "{about}");
            held!(off(-got.moment_n(), wall.moment_n_m), 0.25, "{about}");
            if wall.depth_m >= 0.1 {
                held!((got.push_moment_n / got.push_n_per_m.y - wall.place_m).abs(), 0.06, "{about}");
            }
            same += 1;
        } else {
            seen = [seen[0].min(ratio), seen[1].max(ratio)];
            other += 1;
        }
    }
    assert!(same == 6 && other == 13, "{same} {other}");
    // The band is no wider than what the chains do.
    assert!(seen[0] < 0.8 && seen[1] > 1.8, "{seen:?}");
}

/// What lies between, of which only pushes at one depth are known: a push-back test at that depth is met by definition; the limp share of the mass is a floor.
#[test]
fn val_media_between_are_no_softer_than_limp_ones() {
    for wall in walls().iter().filter(|w| w.bending == 0.8 || w.bending == 1.2) {
        let test = PushBack { depth_m: wall.depth_m, force_n: 0.5 * wall.push_n, height_m: HEIGHT_M };
        let media = Media::Between { test, measured_at_rad_s: 0.6, mass_kg: wall.mass_kg };
        let brush = brush(media, wall.rpm, wall.friction);
        let ratio = wall.push_n / pressed(&brush, wall.depth_m).push_n_per_m.y;
        let [low, high] = media.push_band(brush.spin_rad_s);
        assert!(low <= ratio && ratio <= high, "{ratio}, told {low} to {high}");
    }
}

struct Post {
    name: String,
    depth_m: f64,
    radius_m: f64,
    media: Media,
    drag: f64,
    brush: Value,
    strip: Value,
}

fn posts() -> Vec<Post> {
    let data: Value =
        serde_json::from_str(include_str!("validation/data/strip_chain_posts.json")).expect("JSON");
    let rows = data["cases"].as_array().expect("cases").iter();
    rows.map(|row| {
        let n = |key: &str| row["inputs"][key].as_f64().expect("a number");
        assert_eq!((n("R"), n("r0"), n("N"), n("H"), n("M")), (0.597, 0.127, 16.0, HEIGHT_M, 25.0));
        let test = PushBack { depth_m: 0.1524, force_n: 147.2, height_m: HEIGHT_M };
        let stiff = Media::Stiff { test, measured_at_rad_s: 9.42, mass_kg: Some(25.0) };
        Post {
            name: row["name"].as_str().expect("a name").to_owned(),
            depth_m: n("depth"),
            radius_m: n("post"),
            media: if n("EI") == 0.0 { Media::Limp { mass_kg: 25.0 } } else { stiff },
            drag: n("Cd"),
            brush: row["whole_brush"].clone(),
            strip: row["one_strip_own_chain"].clone(),
        }
    })
    .collect()
}

/// Reversed spin: same push, friction, lead and moment the other way.
#[test]
fn val_reversed_spin_is_the_mirror_image() {
    let row = posts().into_iter().find(|post| post.name == "cloth-reversed").expect("the row");
    let n = |key: &str| row.brush[key].as_f64().expect("a number");
    let got = pressed(&brush(row.media, -90.0, 0.3), row.depth_m);
    held!(off(got.push_n_per_m.y, n("Fn_N")), 0.20);
    // The chains count the friction on the wall's side: along the motion of the tips.
    held!(off(-got.friction_n_per_m.x, n("Ft_N")), 0.20);
    held!(off(-got.moment_n(), n("contact_torque_Nm")), 0.20);
    held!((got.push_moment_n / got.push_n_per_m.y - n("y_centroid_m")).abs(), 0.06);
    assert!(n("contact_torque_Nm") < -20.0);
}

/// One strip's blow on a post: impulse, and mean force over 10 ms where a mirror of 0.15 m is as thin as the post.
#[test]
fn val_one_strips_blow_on_a_post() {
    let mut seen = Vec::new();
    for post in posts().iter().filter(|post| post.radius_m > 0.0) {
        let brush = brush(post.media, 90.0, 0.3);
        let blow =
            brush.blow(brush.radius_m - post.depth_m, post.radius_m, HEIGHT_M).expect("the mass is known");
        held!((blow.per_s - 24.0).abs(), 1e-9);
        let n = |key: &str| post.brush[key].as_f64().expect("a number");
        let impulse_n_s = n("normal_sum_N") / 24.0;
        held!(
            off(blow.impulse_n_s, impulse_n_s),
            0.20,
            "{}: {} N s, not {impulse_n_s}",
            post.name,
            blow.impulse_n_s
        );
        if post.radius_m == 0.05 && post.depth_m > 0.15 {
            held!(off(blow.force_10ms_n(), n("peak_10ms_N")), 0.10, "{}", post.name);
            let mirror = brush.blow(brush.radius_m - post.depth_m, post.radius_m, 0.15).expect("known");
            seen.push((post.name.clone(), mirror.impulse_n_s, mirror.force_10ms_n()));
        }
    }
    // On a mirror 0.15 m high: 0.65 N s and 68 N of limp strips, 0.90 N s and 84 N of stiff ones.
    let [(_, limp_n_s, limp_n), (_, stiff_n_s, stiff_n)] = &seen[..] else { panic!("{seen:?}") };
    held!(off(*limp_n_s, 0.65), 0.10);
    held!(off(*limp_n, 68.0), 0.10);
    held!(off(*stiff_n_s, 0.90), 0.10);
    held!(off(*stiff_n, 84.0), 0.10);
}

/// Strips as flat plates: each bit of one at r meets the air at Ω r and is held back by ½ ρ c H (Ω r)² dr, r from the spindle; N of them. Summed by the middle rule.
#[test]
fn verif_stirred_air_is_drag_of_plates() {
    let brush = Brush { strips: 18, hub_radius_m: 0.2, ..brush(Media::Limp { mass_kg: 25.0 }, 90.0, 0.3) };
    let (density, coefficient, turning, n) = (1.2, 0.55, 7.0_f64, 2000);
    let dr = (brush.radius_m - brush.hub_radius_m) / f64::from(n);
    let bit = |i: i32| {
        let r = brush.hub_radius_m + (f64::from(i) + 0.5) * dr;
        0.5 * density * coefficient * brush.height_m() * (turning * r).powi(2) * dr * r
    };
    let want = 18.0 * (0..n).map(bit).sum::<f64>();
    let got = brush.air_drag_torque_n_m_s2(density, coefficient) * turning * turning;
    assert!(want > 1.0 && (got / want - 1.0).abs() < 1e-6, "{got} {want}");
}

/// The drag of the air: what one strip of the second program takes, times sixteen, within a factor of two, as is said.
#[test]
fn val_stirred_air_takes_that_much_within_a_factor_of_two() {
    let mut held = 0;
    for row in posts().iter().filter(|row| row.radius_m == 0.0 && row.strip["air_W"].is_f64()) {
        let brush = brush(row.media, 90.0, 0.3);
        let power_w = brush.air_drag_torque_n_m_s2(1.2, row.drag) * brush.spin_rad_s.powi(3);
        let want_w = row.strip["air_W"].as_f64().expect("a number");
        held!(
            (power_w / want_w).ln().abs(),
            std::f64::consts::LN_2,
            "{}: {power_w} W, not {want_w}",
            row.name
        );
        held += 1;
    }
    assert_eq!(held, 6);
}
