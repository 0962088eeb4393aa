#!/usr/bin/env bash
# One band of one vehicle past one arm: by brusharm, and by a general rigid-body engine (pymunk, from PyPI) given the same arm, stop, drive and outline.
# Says what each takes, how far their swings lie apart, and what each models. By hand, not in CI: it tells times. Needs python3 with venv.
#
# BRUSHARM_BIN   the program; built from this checkout (release) when not given
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../../.." && pwd)"
if [ -z "${BRUSHARM_BIN:-}" ]; then
  cargo build --quiet --release --manifest-path "$root/Cargo.toml"
  BRUSHARM_BIN="${CARGO_TARGET_DIR:-$root/target}/release/brusharm"
fi
export BRUSHARM_BIN
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
python3 -m venv "$work/python"
"$work/python/bin/pip" install --quiet --disable-pip-version-check pymunk==7.3.1
cd "$work"
"$work/python/bin/python" "$here/compare.py" "$root/scenarios/one-unit.ron"
