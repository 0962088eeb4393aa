#!/usr/bin/env bash
# Mutation testing over the physics, by hand: `bash tests/mutation/run.sh [FOLDER…]` (coverage, vehicle, pass, arm unless told), folder by folder.
# Works in a copy under target/mutation for each, with switches in that folder alone (the others run at full speed); goes on from results.tsv and
# writes it and the tables of README.md. THREADS (2) test programs run at once;
# BUDGET_S is the processor time for each mutant, s (no end unless told); UNTRIED=1 leaves out those that survived before, SURVIVORS=1 those never tried; BUILT=1 takes the
# copy as it was built last; PASSES=1 takes over which tests each survivor passed, MEASURED=1 what tests of the
# same name come by; LONGEST_S (20) leaves out tests that take longer with no mutant on; TESTS names the test programs to
# try with, where not all; AFRESH=1 forgets what is known. Needs cargo-mutants (`cargo install cargo-mutants --locked`), which names the mutants.
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
cd "$here/../.."
folders=("$@")
[ "${#folders[@]}" -gt 0 ] || folders=(coverage vehicle pass arm)
if [ "${#folders[@]}" -gt 1 ]; then
  for folder in "${folders[@]}"; do bash "$here/run.sh" "$folder"; done
  exit
fi
folder="${folders[0]}"
work="$PWD/target/mutation/$folder"
mkdir -p "$work"
if [ -n "${AFRESH:-}" ]; then
  sed -i "/\tsrc\/$folder\//d" "$here/results.tsv"
  rm -f "$work/passed.tsv"
fi
# Of these, and the library's own (lib), or those of TESTS.
all="lib laws vehicle parts coverage coverage_zones geometry determinism trade_facts validation_air validation_contact validation_hinge validation_stop"
read -r -a tests <<<"${TESTS:-$all}"
tool=(cargo run --quiet --release --manifest-path "$here/Cargo.toml" --target-dir "$PWD/target/mutation/tool" --)
if [ -z "${BUILT:-}" ]; then
  rm -rf "$work/tree" "$work/originals"
  if [ -z "${PASSES:-}" ]; then rm -f "$work/passed.tsv"; fi
  mkdir -p "$work/tree" "$work/originals"
  git ls-files -z --cached --others --exclude-standard | while IFS= read -r -d '' file; do
    if [ -e "$file" ]; then cp -p --parents "$file" "$work/tree"; fi
  done
  cd "$work/tree"
  # Programs of another folder have other names: all are built into one place, where what they depend on is built once.
  sed -i "0,/^version = .*/s//version = \"0.0.0-$folder\"/" Cargo.toml
  # Only the rooms that these tests enter: half the building time.
  rm -rf src/main.rs src/{command,drawing,live,report,window} assets/web examples benches
  sed -i -E '/^(#\[cfg\(feature = "(cli|window)"\)\]|pub mod (command|drawing|live|report|window);)$/d' src/lib.rs
  sed -i -E '/^(default-run|build|maud|clap|anstream|anstyle|comfy-table|indicatif|csv|tempfile|ctrlc|flate2|sha2|base64|insta|assert_cmd|divan|egui_kittest) =/d; /^\[\[(bin|bench|example)\]\]/,/^$/d; s/^members = .*//; s/^(cli|window|default) = .*/\1 = []/' Cargo.toml
  cp -r src "$work/originals"
  cargo mutants --list --json --file="src/$folder/**" >"$work/mutants.json"
fi
"${tool[@]}" "$work/tree" "$work/mutants.json" "$here" "${THREADS:-2}" "$folder" "${tests[@]}"
