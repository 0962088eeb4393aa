#!/usr/bin/env bash
# Mutation testing over the physics, by hand: `bash tests/mutation/run.sh [FOLDER…]` (arm, pass, coverage, vehicle unless told). Works in a copy
# under target/mutation. THREADS (2) test programs run at once. Needs cargo-mutants (`cargo install cargo-mutants --locked`), which names the mutants.
set -euo pipefail
cd "$(dirname "$0")/../.."
folders=("$@")
[ "${#folders[@]}" -gt 0 ] || folders=(arm pass coverage vehicle)
folders=("${folders[@]/%//**}")
work="$PWD/target/mutation"
tests=()
for test in laws vehicle parts coverage coverage_zones geometry determinism trade_facts validation_air validation_contact validation_hinge validation_stop; do
  if [ -e "tests/$test.rs" ] || [ -e "tests/$test/main.rs" ]; then tests+=("$test"); fi
done
rm -rf "$work/tree"
mkdir -p "$work/tree"
git ls-files -z --cached --others --exclude-standard | while IFS= read -r -d '' file; do
  if [ -e "$file" ]; then cp -p --parents "$file" "$work/tree"; fi
done
cd "$work/tree"
# Only the rooms that these tests enter: half the building time.
rm -rf src/main.rs src/{command,drawing,report,window}
sed -i -E '/^(#\[cfg\(feature = "window"\)\]|pub mod (command|drawing|report|window);)$/d' src/lib.rs
sed -i -E '/^(default-run|maud|clap|anstream|anstyle|comfy-table|indicatif|csv|tempfile|ctrlc|sha2|base64|insta|assert_cmd|divan|egui_kittest) =/d; /^\[\[bench\]\]/,/^$/d' Cargo.toml
cargo mutants --list --json "${folders[@]/#/--file=src/}" >"$work/mutants.json"
cargo run --quiet --release --manifest-path tests/mutation/Cargo.toml --target-dir "$work/tool" -- \
  "$work/tree" "$work/mutants.json" "$work/results.tsv" "${THREADS:-2}" "${tests[@]}" | tee "$work/table.md"
