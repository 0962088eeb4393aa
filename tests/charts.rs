//! Charts: exact text of one picture of each kind in `tests/snapshots`, and layout laws over many sizes.
//! All data here is invented.

use brusharm::drawing::chart::{
    Axis, Band, BarGroup, BarRow, Bars, Chart, Draw, Event, HeatAxis, HeatCell, HeatMap, HeatWords, Limit,
    LineChart, ParallelAxis, ParallelChart, ParallelLine, Series, Sheet, Side, Strip, Strips, shared_range,
    small_multiples,
};
use brusharm::drawing::grade::Grade;
use brusharm::drawing::list::MIN_TEXT_SIZE;
use brusharm::drawing::svg::svg;
use brusharm::drawing::ticks::Steps;
use brusharm::drawing::{DisplayList, Role, SeriesStyle, Theme, pos};

/// When the environment variable `PICTURE_DIR` names a folder, the picture is also left there to be looked at.
fn leave(name: &str, list: &DisplayList) {
    if let Some(folder) = std::env::var_os("PICTURE_DIR") {
        for (theme, word) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let path = std::path::Path::new(&folder).join(format!("{name}-{word}.svg"));
            std::fs::write(path, svg(list, theme)).expect("the picture folder can be written");
        }
    }
}

fn wave(count: usize, span: f64, f: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    (0..=count).map(|i| span * i as f64 / count as f64).map(|x| [x, f(x)]).collect()
}

fn line_chart(width: f64, height: f64, size: f64) -> Chart {
    let sheet = Sheet::new("Tail gap against throughput, three set-ups", width, height)
        .with_text_size(size)
        .described("Three rising lines; all pass the limit of 4 in before 140 vehicles an hour.");
    let mut chart = LineChart::new(
        sheet,
        Axis::new("throughput", "veh/h").stepped(Steps::Whole),
        Axis::new("tail gap", "in").stepped(Steps::Inches),
    );
    let line = |slope: f64, bow: f64| {
        (0..9)
            .map(|i| 60.0 + 10.0 * f64::from(i))
            .map(|x| [x, slope * (x - 60.0) + bow * (x - 60.0).powi(2)])
            .collect()
    };
    chart.series = vec![
        Series::new("A: lower bearing 1/8 in to lane", Role::SetupA.style(), line(0.05, 0.0006)),
        Series::new("B: plumb", Role::SetupB.style(), line(0.03, 0.0004)).drawn(Draw::LineAndPoints),
        Series::new("C: lower bearing 1/8 in to wall", Role::SetupC.style(), {
            let mut points: Vec<[f64; 2]> = line(0.01, 0.0002);
            points[4][1] = f64::NAN;
            points
        }),
    ];
    chart.bands = vec![Band {
        name: "B: middle 90 % of vehicles".into(),
        points: (0..9)
            .map(|i| 60.0 + 10.0 * f64::from(i))
            .map(|x| [x, 0.01 * (x - 60.0), 0.06 * (x - 60.0) + 0.3])
            .collect(),
        role: Role::SetupB,
    }];
    chart.limits = vec![Limit { value: 4.0, name: "limit 4 in".into(), bad: Side::Above }];
    chart.draw()
}

fn strips(width: f64, height: f64, size: f64) -> Chart {
    let sheet = Sheet::new("Left and right unit over one pass", width, height).with_text_size(size);
    let both = |f: fn(f64) -> f64, shift: f64| {
        vec![
            Series::new("left unit", Role::LeftUnit.style(), wave(900, 18.0, f)),
            Series::new("right unit", Role::RightUnit.style(), wave(900, 18.0, move |t| f(t - shift))),
        ]
    };
    let angle = |t: f64| 64.0 + 26.0 * (-((t - 7.5) / 3.4).powi(4)).exp();
    let force = |t: f64| if (2.0..14.0).contains(&t) { 55.0 + 20.0 * (3.0 * t).sin() } else { 0.0 };
    let pressure = |t: f64| 7.0 - 2.0 * (-((t - 8.0) / 3.0).powi(2)).exp();
    let mut strips = Strips::new(
        sheet,
        Axis::new("time", "s").over(0.0, 18.0),
        vec![
            Strip::new(Axis::new("swing angle", "°").stepped(Steps::Degrees), both(angle, 0.8)),
            Strip::new(Axis::new("contact force", "lbf"), both(force, 0.8)),
            Strip::new(Axis::new("chamber pressure", "psi"), both(pressure, 0.8)),
        ],
    );
    strips.strips[1].limits =
        vec![Limit { value: 70.0, name: "mirror limit 70 lbf".into(), bad: Side::Above }];
    let events = [
        (2.0, "first touch"),
        (2.9, "nose corner"),
        (3.3, "past the nose"),
        (4.2, "mirror"),
        (11.4, "tail corner"),
        (11.9, "lost the tail"),
        (12.6, "back on the tail"),
        (13.1, "bumper"),
        (14.2, "settled"),
        (17.4, "next nose"),
    ];
    strips.events =
        events.map(|(at, name)| Event { at, name: name.into(), key: Some(format!("event {name}")) }).to_vec();
    strips.cursor = Some(9.1);
    strips.draw()
}

fn heat_map(width: f64, height: f64, size: f64) -> Chart {
    let throughput: Vec<f64> = (0..9).map(|i| 60.0 + 10.0 * f64::from(i)).collect();
    let offset: Vec<i32> = (-4..=4).collect();
    let cells = offset.iter().map(|o| {
        throughput
            .iter()
            .map(|t| {
                let value = 0.06 * (t - 60.0) + 1.1 * f64::from(*o) - 1.0;
                let grade = if value > 4.0 {
                    Grade::Fail
                } else if value > 2.5 {
                    Grade::Marginal
                } else {
                    Grade::Pass
                };
                (*o != 4 || *t < 130.0).then_some(HeatCell { value, grade: Some(grade), on_edge: false })
            })
            .collect()
    });
    HeatMap {
        sheet: Sheet::new("Tail gap over throughput and bearing offset", width, height).with_text_size(size),
        words: HeatWords::default(),
        x: HeatAxis {
            label: "throughput, veh/h".into(),
            values: throughput.iter().map(|t| format!("{t:.0}")).collect(),
        },
        y: HeatAxis {
            label: "lower bearing toward lane, in".into(),
            values: offset
                .iter()
                .map(|o| brusharm::drawing::ticks::inch_fraction(f64::from(*o) / 16.0))
                .collect(),
        },
        cells: cells.collect(),
        value_label: "tail gap, in".into(),
        decimals: 1,
        range: None,
    }
    .draw()
}

fn bars(width: f64, height: f64, size: f64, groups: usize) -> Chart {
    let names = [
        "bearing tilt",
        "counterweight",
        "air",
        "damper",
        "bumper stop",
        "pivot friction",
        "contact",
        "spindle reaction",
    ];
    let values = [-4.6, -38.2, -21.0, 9.4, 0.0, 2.5, 61.3, -1.1];
    let mut rows: Vec<BarRow> = names
        .into_iter()
        .zip(values)
        .map(|(name, value)| BarRow {
            name: name.into(),
            values: (0..groups).map(|g| Some(value * (1.0 + 0.25 * g as f64))).collect(),
            total: false,
        })
        .collect();
    rows[4].values[0] = None;
    rows.push(BarRow { name: "sum".into(), values: vec![Some(8.3); groups], total: true });
    let roles = [Role::SetupA, Role::SetupB, Role::SetupC];
    Bars {
        sheet: Sheet::new("Why the arm moves as it does, 11.9 s", width, height).with_text_size(size),
        axis: Axis::new("torque on the arm", "lbf·ft"),
        directions: ["inward".into(), "outward".into()],
        groups: (0..groups)
            .map(|g| BarGroup { name: ["A", "B", "C"][g].into(), style: roles[g].style() })
            .collect(),
        rows,
        decimals: 1,
    }
    .draw()
}

fn parallel(width: f64, height: f64, size: f64) -> Chart {
    let axis = |name: &str, unit: &str, limit: Option<(f64, Side)>| ParallelAxis {
        axis: Axis::new(name, unit),
        limit: limit.map(|(value, bad)| Limit { value, name: format!("{name} limit {value} {unit}"), bad }),
    };
    let axes = vec![
        axis("air pressure", "psi", None),
        axis("bearing offset", "in", None),
        axis("tail gap", "in", Some((4.0, Side::Above))),
        axis("overlap at the nose", "in", Some((1.0, Side::Below))),
        axis("mirror force", "lbf", Some((70.0, Side::Above))),
        axis("recovery margin", "s", Some((0.5, Side::Below))),
    ];
    let lines = (0..40)
        .map(|i| {
            let (a, b) = (f64::from(i % 8), f64::from(i / 8));
            let gap = 6.0 - 0.5 * a - 0.6 * b;
            let force = 40.0 + 5.0 * a + 4.0 * b;
            let grade = if gap > 4.0 || force > 85.0 {
                Grade::Fail
            } else if gap > 3.0 || force > 70.0 {
                Grade::Marginal
            } else {
                Grade::Pass
            };
            ParallelLine {
                name: format!("case {i}"),
                values: vec![
                    Some(5.0 + 0.7 * a),
                    Some(-0.25 + b / 8.0),
                    Some(gap),
                    (i != 3).then_some(2.2 - 0.2 * a + 0.1 * b),
                    Some(force),
                    Some(0.3 + 0.2 * a),
                ],
                grade: Some(grade),
                picked: match i {
                    3 => Some(Role::SetupA.style()),
                    29 => Some(Role::SetupB.style()),
                    _ => None,
                },
            }
        })
        .collect();
    ParallelChart {
        sheet: Sheet::new("Every case tried, setting to result", width, height).with_text_size(size),
        axes,
        lines,
    }
    .draw()
}

fn multiples(width: f64, height: f64, size: f64) -> Chart {
    let mut charts: Vec<LineChart> = (0..6)
        .map(|i| {
            let k = 0.6 + 0.25 * f64::from(i);
            let mut chart = LineChart::new(
                Sheet::new(format!("{} veh/h", 60 + 16 * i), 100.0, 100.0).with_text_size(size),
                Axis::new("position", "ft"),
                Axis::new("pressure", "psi"),
            );
            chart.series = vec![Series::new(
                "left",
                SeriesStyle::nth(0),
                wave(200, 16.0, move |x| k * (1.0 + (x * k).sin())),
            )];
            chart
        })
        .collect();
    shared_range(&mut charts);
    let draws: Vec<Box<dyn Fn(f64, f64) -> Chart>> = charts
        .into_iter()
        .map(|chart| {
            Box::new(move |width: f64, height: f64| {
                let mut sized = chart.clone();
                (sized.sheet.width, sized.sheet.height) = (width, height);
                sized.draw()
            }) as Box<dyn Fn(f64, f64) -> Chart>
        })
        .collect();
    let borrowed: Vec<&dyn Fn(f64, f64) -> Chart> = draws.iter().map(|draw| &**draw as _).collect();
    small_multiples(
        &Sheet::new("Brush pressure along the side", width, height).with_text_size(size),
        3,
        &borrowed,
    )
}

type Draws = fn(f64, f64, f64) -> Chart;
const KINDS: [(&str, Draws); 7] = [
    ("line", line_chart),
    ("strips", strips),
    ("heat", heat_map),
    ("bars", |w, h, s| bars(w, h, s, 1)),
    ("bars_three", |w, h, s| bars(w, h, s, 3)),
    ("parallel", parallel),
    ("multiples", multiples),
];

#[test]
fn regress_charts_svg() {
    for (name, draw) in KINDS {
        let chart = draw(760.0, 460.0, 12.0);
        leave(name, &chart.list);
        insta::assert_snapshot!(format!("chart_{name}"), svg(&chart.list, Theme::Light));
    }
}

#[test]
fn verif_labels_never_overlap_leave_the_page_or_shrink() {
    for (name, draw) in KINDS {
        for (width, height, size) in [
            (760.0, 460.0, 12.0),
            (480.0, 380.0, 12.0),
            (1180.0, 640.0, 12.0),
            (1180.0, 640.0, 20.0),
            (600.0, 460.0, 14.0),
        ] {
            let list = draw(width, height, size).list;
            let texts = list.texts();
            assert!(texts.len() > 5, "{name} has labels");
            for (i, text) in texts.iter().enumerate() {
                let bounds = text.bounds();
                let place = format!("{name} {width}×{height} at {size}: «{}» {bounds:?}", text.text);
                assert!(text.size >= MIN_TEXT_SIZE, "too small: {place}");
                assert!(
                    bounds.x >= 0.0
                        && bounds.y >= 0.0
                        && bounds.right() <= width
                        && bounds.bottom() <= height,
                    "off the page: {place}"
                );
                for other in &texts[..i] {
                    assert!(
                        !bounds.inset(0.5).overlaps(&other.bounds().inset(0.5)),
                        "overlap: {place} and «{}» {:?}",
                        other.text,
                        other.bounds()
                    );
                }
            }
        }
    }
}

#[test]
fn verif_plots_answer_where_a_value_is() {
    let chart = strips(760.0, 460.0, 12.0);
    assert_eq!(chart.plots.len(), 3);
    for plot in &chart.plots {
        // All strips share one clock: the same x everywhere, and the way back is exact.
        assert_eq!(plot.x, chart.plots[0].x);
        assert!((plot.x.value(plot.x.at(9.1)) - 9.1).abs() < 1e-9);
        assert!((plot.x.value_within(plot.area.right() + 50.0) - 18.0).abs() < 1e-9);
    }
    // A click on an event's line finds the event.
    let plot = chart.plots[1];
    let at = pos(plot.x.at(13.1), plot.area.centre().y);
    assert_eq!(chart.list.at(at, 3.0).and_then(|item| item.key.as_deref()), Some("event bumper"));
    let moved = multiples(760.0, 460.0, 12.0);
    assert_eq!(moved.plots.len(), 6);
    assert!(
        moved.plots[4].area.x > moved.plots[3].area.right()
            && moved.plots[4].area.y > moved.plots[1].area.bottom()
    );
    let side = moved.plots[4].at(8.0, 1.0);
    assert!(moved.plots[4].area.contains(side));
}

#[test]
fn verif_missing_values_stay_empty() {
    let draw = |middle: f64| {
        let mut chart = LineChart::new(
            Sheet::new("", 300.0, 200.0),
            Axis::new("x", ""),
            Axis::new("y", "").over(0.0, 4.0),
        );
        chart.series = vec![Series::new(
            "a",
            SeriesStyle::nth(0),
            vec![[0.0, 1.0], [1.0, 2.0], [2.0, middle], [3.0, 1.0], [4.0, 2.0]],
        )];
        svg(&chart.draw().list, Theme::Light)
    };
    let stroke = Role::Series(0).rgb(Theme::Light).css();
    let lines = |text: &str| {
        text.lines().filter(|l| l.starts_with("<path") && l.contains(&format!("stroke=\"{stroke}\""))).count()
    };
    assert_eq!(lines(&draw(3.0)), 1);
    assert_eq!(lines(&draw(f64::NAN)), 2, "the line breaks, it does not fall to zero");
}
