//! A sweep of a million rows in flat memory. Its own test program, so that nothing else counts.
#![cfg(target_os = "linux")]

use brusharm::coverage::MeasureName;
use brusharm::report::row_log::{LogHeader, SCHEMA, examine};
use brusharm::report::rows::csv_row;
use brusharm::study::axis::Axis;
use brusharm::study::design::Design;
use brusharm::study::stream::{Workers, in_order};
use brusharm::study::summary::Summary;
use brusharm::study::table::{Cell, Column, Row};
use brusharm::units::{Dimension, FractionDim, LengthDim};
use std::convert::Infallible;
use std::io::{BufReader, BufWriter, Seek, Write};

/// Most memory this process ever held, KiB.
fn peak_kib() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

#[test]
fn verif_a_million_rows_stay_under_200_mb() {
    // 1000 × 1000 points, a cheap function in place of the pass; everything else as in a sweep: axes, ordered threads, summary, log, reading back.
    let axes = vec![
        Axis::quantity("offset", "-1in..0.998in:0.002in", LengthDim::INFO, None).unwrap(),
        Axis::quantity("friction", "0.001..1:0.001", FractionDim::INFO, None).unwrap(),
    ];
    let design = Design::grid(axes).unwrap();
    assert_eq!(design.rows(), 1_000_000);
    let mut columns = vec![Column::count("row")];
    columns.extend(design.axes().iter().map(|axis| axis.column().clone()));
    columns.extend([Column::text("verdict"), Column::number("tail_gap_m"), Column::text("reason")]);
    let work = |row: u64| -> Row {
        let values = design.point(row).unwrap();
        let number = |i: usize| values[i].number.unwrap();
        let gap = number(0) * number(1);
        let verdict = if gap > 0.5 { "fail" } else { "pass" };
        let reason = if row % 1000 == 7 { Cell::text("jams") } else { Cell::Missing };
        vec![
            Cell::Count(row),
            Cell::Number(number(0)),
            Cell::Number(number(1)),
            Cell::text(verdict),
            Cell::Number(gap),
            reason,
        ]
    };
    let header = LogHeader {
        schema: SCHEMA.into(),
        version: "test".into(),
        scenario: "cheap".into(),
        fingerprint: String::new(),
        design: design.summary(),
        axes: design.axes().iter().map(Axis::summary).collect(),
        part: "1/1".into(),
        first_row: 0,
        end_row: design.rows(),
        columns: columns.iter().map(|c| c.name.clone()).collect(),
    };
    let mut file = tempfile::tempfile().unwrap();
    let mut summary = Summary::new(design.axes(), &columns, design.rows(), MeasureName::TailGap.whole());
    {
        let mut log = BufWriter::new(&mut file);
        log.write_all(header.text(&columns).as_bytes()).unwrap();
        in_order(0..design.rows(), Workers::new(2), work, |_, row| {
            summary.add(&row);
            log.write_all(csv_row(&row).as_bytes()).unwrap();
            Ok::<(), Infallible>(())
        })
        .unwrap();
        log.flush().unwrap();
    }
    let written = file.metadata().unwrap().len();
    assert!(written > 30_000_000, "{written} bytes");
    file.rewind().unwrap();
    let state = examine(BufReader::new(&file), &header, &columns).unwrap();
    assert_eq!((state.next_row, state.keep_bytes), (1_000_000, written));
    assert_eq!(summary.counts.total(), 1_000_000);
    assert_eq!(summary.counts.not_computed, 1000);
    let peak = peak_kib();
    assert!(peak > 1000 && peak < 200 * 1024, "{peak} KiB");
}
