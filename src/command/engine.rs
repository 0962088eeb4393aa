//! The engine of a page: found, checked against the sources of this program, packed.

use super::problem::{Problem, refusal};
use crate::live::{STAMP, stamp_of};
use clap::Args;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// Name of a built engine.
const ENGINE: &str = "brusharm-engine.wasm";
/// The largest engine read, bytes; one is a tenth of this.
const LARGEST_ENGINE: u64 = 32 << 20;

/// Where the engine is.
#[derive(Debug, Args)]
pub(crate) struct EngineOption {
    /// The engine, as «bash assets/web/build.sh» built it; looked for beside the program and one folder up when not given
    #[arg(long, value_name = "ENGINE")]
    engine: Option<PathBuf>,
}

impl EngineOption {
    /// The file that was named.
    pub fn path(&self) -> Option<PathBuf> {
        self.engine.clone()
    }

    /// The engine, gzipped.
    pub fn packed(&self) -> Result<Vec<u8>, Problem> {
        packed(&self.read()?)
    }

    /// The engine, which must be of the sources that this program is of.
    fn read(&self) -> Result<Vec<u8>, Problem> {
        let path = match &self.engine {
            Some(path) => path.clone(),
            None => beside_the_program().ok_or_else(|| {
                missing("a page needs the engine, and there is none beside this program", "")
            })?,
        };
        let name = path.display().to_string();
        let mut bytes = Vec::new();
        let read = std::fs::metadata(&path).and_then(|found| {
            if !found.is_file() {
                return Err(std::io::Error::other("it is no file"));
            }
            std::fs::File::open(&path)?.take(LARGEST_ENGINE).read_to_end(&mut bytes)
        });
        if let Err(error) = read {
            return Err(missing(&format!("the engine cannot be read: {error}"), &name));
        }
        match stamp_of(&bytes) {
            Some(stamp) if stamp == STAMP => Ok(bytes),
            Some(stamp) => Err(Problem::option(
                "--engine",
                refusal(
                    "this engine is of other sources than this program",
                    &format!("{name}, of {stamp}"),
                    &format!("an engine of {STAMP}"),
                    HOW,
                ),
            )),
            None => {
                Err(Problem::option("--engine", refusal("this is no engine of a page", &name, ENGINE, HOW)))
            }
        }
    }
}

const HOW: &str = "build it once with «bash assets/web/build.sh» in the sources of this program, or name a built one with --engine";

fn missing(problem: &str, given: &str) -> Problem {
    Problem::option("--engine", refusal(problem, given, ENGINE, HOW))
}

/// An engine in the folder of the program or the one above it.
fn beside_the_program() -> Option<PathBuf> {
    let program = std::env::current_exe().ok()?;
    program.ancestors().skip(1).take(2).map(|folder: &Path| folder.join(ENGINE)).find(|path| path.is_file())
}

fn packed(engine: &[u8]) -> Result<Vec<u8>, Problem> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::best());
    packer
        .write_all(engine)
        .and_then(|()| packer.finish())
        .map_err(|error| Problem::writing("the engine", &error))
}
