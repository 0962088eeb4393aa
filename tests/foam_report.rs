//! A foam file from text to report: what is printed, written and drawn.

use brusharm::drawing::{Theme, svg};
use brusharm::report::foam::{FoamQuestions, FoamReport, FoamSubject, map::foam_map};
use brusharm::scenario::foam::FoamFile;
use brusharm::units::UnitSystem;

const DEMO: &str = include_str!("../scenarios/foam-station.ron");

fn report(edit: &[(&str, &str)], questions: FoamQuestions) -> FoamReport {
    let mut source = DEMO.to_owned();
    for (path, value) in edit {
        source = brusharm::scenario::source_map::set_value(&source, path, value).unwrap();
    }
    let (file, station) = FoamFile::read("foam-station.ron", &source).unwrap_or_else(|e| panic!("{e}"));
    FoamReport::compute(FoamSubject::of_file("foam-station.ron", &file, station), questions).unwrap()
}

#[test]
fn look() {
    let r = report(&[], FoamQuestions { target_ratio: Some(60.0), ..Default::default() });
    print!("{}", r.text(UnitSystem::Us));
    std::fs::write("/tmp/map.svg", svg::svg(&foam_map(&r, UnitSystem::Us).unwrap(), Theme::Light)).unwrap();
}
