#!/usr/bin/env bash
# Many passes with an existing scheduler and an existing engine: GNU parallel starts the shares of one sweep (--part K/N), DuckDB sums what they wrote.
# Shows that the shares are the whole, that their memory stays flat, and how many passes a second that is; reckons a million. Needs GNU parallel and
# python3 with venv; the engine comes from PyPI into a folder that is removed again.
#
# POINTS         passes in all (400)
# PARTS          shares (8)
# JOBS           shares at once (one a core)
# SCENARIO       a scenario shipped (ferry-return), SIDE the units whose bearings and air are turned (both; left for one-unit)
# KEEP           a folder for the rows and what was measured; none are kept when not given
# BRUSHARM_BIN   the program to test, with the feature parquet; built from this checkout (release) when not given
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../.." && pwd)"
command -v parallel >/dev/null || { echo "this needs GNU parallel (Debian: parallel)" >&2; exit 1; }
if [ -z "${BRUSHARM_BIN:-}" ]; then
  cargo build --quiet --release --features parquet --manifest-path "$root/Cargo.toml"
  BRUSHARM_BIN="${CARGO_TARGET_DIR:-$root/target}/release/brusharm"
fi
export BRUSHARM_BIN POINTS="${POINTS:-400}" PARTS="${PARTS:-8}" SCENARIO="$root/scenarios/${SCENARIO:-ferry-return}.ron" SIDE="${SIDE:-both}"
jobs="${JOBS:-$(nproc)}"

work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
source "$root/tests/parquet/engine.sh"
engine_into "$work/python"
cd "$work"

# One share on one thread, and what it holds of memory while it runs: seconds since it started, KiB.
share() {
  local start="$EPOCHREALTIME"
  "$BRUSHARM_BIN" sweep "$SCENARIO" --over vehicle=all --over throughput=60..140:0.1 --over "$SIDE.bearings.lower_offset=-1/8in..1/8in:1/64in" \
    --over "$SIDE.air.cap=4..9:0.25" --sample "$POINTS" --part "$1/$PARTS" --threads 1 -o "rows-$1.parquet" >/dev/null &
  local run=$! held
  while held="$(awk '/^VmRSS/ { print $2 }' "/proc/$run/status" 2>/dev/null)" && [ -n "$held" ]; do
    awk -v now="$EPOCHREALTIME" -v start="$start" -v held="$held" 'BEGIN { printf "%.2f,%d\n", now - start, held }' >>"memory-$1.csv"
    sleep 0.05
  done
  wait "$run"
}
export -f share
started="$EPOCHREALTIME"
seq "$PARTS" | parallel --will-cite --halt now,fail=1 --jobs "$jobs" share
export TOOK_S="$(awk -v now="$EPOCHREALTIME" -v start="$started" 'BEGIN { print now - start }')" JOBS="$jobs"
"$work/python/bin/python" "$here/sum.py"
if [ -n "${KEEP:-}" ]; then mkdir -p "$KEEP" && cp rows-*.parquet memory-*.csv "$KEEP"; fi
