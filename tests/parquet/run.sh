#!/usr/bin/env bash
# Parquet files read by an outside engine: runs the example of the guide («Sweeps at scale») as it stands there, and compares what the engine prints.
# Then the engine checks that the shares together are the whole and that Parquet and CSV say the same. Needs python3 with venv; the engine comes
# from PyPI into a folder that is removed again.
#
# BRUSHARM_BIN   the program to test, with the feature parquet; built from this checkout when not given
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../.." && pwd)"
if [ -z "${BRUSHARM_BIN:-}" ]; then
  cargo build --quiet --features parquet --manifest-path "$root/Cargo.toml"
  BRUSHARM_BIN="${CARGO_TARGET_DIR:-$root/target}/debug/brusharm"
fi

work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
source "$here/engine.sh"
engine_into "$work/python"
mkdir "$work/sweep"
cp -r "$root/scenarios" "$work/sweep/"
cd "$work/sweep"
BRUSHARM_BIN="$BRUSHARM_BIN" "$work/python/bin/python" "$here/check.py" "$root/src/guide.md"
