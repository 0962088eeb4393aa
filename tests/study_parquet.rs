//! Sweeps written as Parquet, by the real program, read back with the `parquet` crate. (`tests/parquet/` has an outside engine read them.)
#![cfg(feature = "parquet")]

use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Eight points, two of which cannot be computed.
fn sweep(out: &Path, more: &[&str]) -> Command {
    let scenario: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/ferry-return.ron");
    let mut command = Command::new(env!("CARGO_BIN_EXE_brusharm"));
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).arg("sweep").arg(scenario);
    command.args(["--over", "vehicle=sedan,pickup", "--over", "vehicle.lateral_offset=0,2,4,18"]);
    command.arg("-o").arg(out).args(more);
    command
}

fn written(out: &Path, more: &[&str]) {
    let output = sweep(out, more).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Names of the columns, and every row as text, empty where there is nothing.
fn read(path: &Path) -> (Vec<String>, Vec<Vec<String>>) {
    let reader = SerializedFileReader::new(File::open(path).unwrap()).unwrap();
    let schema = reader.metadata().file_metadata().schema_descr().columns().to_vec();
    let names = schema.iter().map(|column| column.name().to_owned()).collect();
    let text = |field: Field| match field {
        Field::Null => String::new(),
        Field::Long(v) => v.to_string(),
        Field::Double(v) => format!("{v:?}"),
        Field::Str(v) => v,
        other => panic!("{other:?}"),
    };
    let rows = reader.get_row_iter(None).unwrap();
    let cells = rows.map(|row| row.unwrap().into_columns().into_iter().map(|(_, f)| text(f)).collect());
    (names, cells.collect())
}

#[test]
fn verif_parquet_holds_what_csv_holds_and_shares_are_the_whole() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    written(&at("whole.parquet"), &[]);
    written(&at("whole.csv"), &[]);
    let (names, rows) = read(&at("whole.parquet"));
    assert_eq!(rows.len(), 8);

    let mut csv = csv::Reader::from_path(at("whole.csv")).unwrap();
    assert_eq!(csv.headers().unwrap().iter().collect::<Vec<_>>(), names);
    let reason = names.iter().position(|name| name == "reason").unwrap();
    let gap = names.iter().position(|name| name == "tail_gap_m").unwrap();
    for (record, row) in csv.records().map(Result::unwrap).zip(&rows) {
        for ((name, text), cell) in names.iter().zip(record.iter()).zip(row) {
            // Numbers to the last bit, whatever way they are written.
            let same = match (text.parse::<f64>(), cell.parse::<f64>()) {
                (Ok(a), Ok(b)) => a.to_bits() == b.to_bits(),
                _ => text == cell,
            };
            assert!(same, "{name}: {text} in CSV, {cell} in Parquet");
        }
        assert_eq!(row[reason].is_empty(), !row[gap].is_empty());
    }
    assert_eq!(rows.iter().filter(|row| !row[reason].is_empty()).count(), 2);

    let mut parts = Vec::new();
    for part in ["1/3", "2/3", "3/3"] {
        let path = at(&format!("part{}.parquet", &part[..1]));
        written(&path, &["--part", part]);
        let (part_names, part_rows) = read(&path);
        assert_eq!(part_names, names);
        parts.extend(part_rows);
    }
    assert!(parts == rows);
}

#[test]
fn verif_a_killed_sweep_goes_on_to_the_same_parquet_file() {
    let folder = tempfile::tempdir().unwrap();
    let (whole, out) = (folder.path().join("whole.parquet"), folder.path().join("killed.parquet"));
    written(&whole, &[]);
    let (mut kills, mut wait_ms) = (0, 20);
    while !out.exists() {
        let mut child = sweep(&out, &["--threads", "1"]).spawn().unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait_ms));
        wait_ms += 43;
        child.kill().unwrap();
        kills += usize::from(!child.wait().unwrap().success());
        assert!(kills < 200);
    }
    assert!(kills > 0);
    assert!(fs::read(out).unwrap() == fs::read(whole).unwrap());
}
