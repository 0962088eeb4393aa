#!/usr/bin/env bash
# The page for a phone: its engine against the native one, and the page in a real browser. Needs chromium, node and npm, and the built engine
# (assets/web/build.sh, which this runs when there is none of these sources).
#
# BRUSHARM_BIN   the program to test; built from this checkout when not given
# ANSWERS        the native twin of the engine (example «answers»); built when not given
# ROUNDS         set-ups by chance of each scenario, engine against native (10)
# TURNS          turns over which memory must be flat (1000)
# WEB_SHOTS      a folder for screenshots to look at; none are kept when not given
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../.." && pwd)"
target="${CARGO_TARGET_DIR:-$root/target}"
if [ -z "${BRUSHARM_BIN:-}" ] || [ -z "${ANSWERS:-}" ]; then
  cargo build --quiet --manifest-path "$root/Cargo.toml" --bin brusharm --example answers
fi
program="${BRUSHARM_BIN:-$target/debug/brusharm}"
export ANSWERS="${ANSWERS:-$target/debug/examples/answers}" SCENARIOS="$root/scenarios" ENGINE="${ENGINE:-$target/brusharm-engine.wasm}"

for tool in node npm; do
  command -v "$tool" >/dev/null || { echo "the checks of the page need $tool" >&2; exit 1; }
done
browser="${CHROMIUM:-/usr/bin/chromium}"
[ -x "$browser" ] || { echo "the checks of the page need chromium at $browser" >&2; exit 1; }

work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
page() { "$program" page "$@" --engine "$ENGINE"; }
mkdir "$work/pages"
if ! page "$root/scenarios/ferry-return.ron" -o "$work/pages/ferry-return.html" 2>/dev/null; then
  bash "$root/assets/web/build.sh" "$ENGINE"
  page "$root/scenarios/ferry-return.ron" -o "$work/pages/ferry-return.html"
fi
npm install --silent --no-audit --no-fund --prefix "$work" playwright-core@1.65.1 axe-core@4.14.1 html-validate@11.21.1 >/dev/null
export BROWSER_TOOLS="$work" CHROMIUM="$browser"
node "$here/compare.mjs"

node "$here/../browser/scenarios.mjs" "$root/scenarios/ferry-return.ron" "$work/found.ron" "$work/hostile.ron"
for lang in es fr; do page "$root/scenarios/ferry-return.ron" --lang "$lang" --units si -o "$work/pages/ferry-return-$lang.html"; done
page "$work/hostile.ron" -o "$work/pages/hostile.html"
page "$root/scenarios/one-unit.ron" -o "$work/pages/one-unit.html"
page "$root/scenarios/harbour-return.ron" -o "$work/pages/harbour-return.html"
page "$work/found.ron" --set both.air.cap=6 -o "$work/pages/found.html"
page "$root/scenarios/lessons/1-eighth-inch.ron" -o "$work/pages/lesson.html"
page "$root/scenarios/lessons/7-find-the-fault.ron" -o "$work/pages/lesson-fault.html"
page "$root/scenarios/ferry-return.ron" --form -o "$work/pages/form.html"
mkdir "$work/sheets"
sheet() { "$program" sheet "$root/scenarios/ferry-return.ron" --set left.stop_pin.hole=3 --from "$root/scenarios/ferry-return.ron" "$@"; }
sheet -o "$work/sheets/plain.html"
sheet --live --engine "$ENGINE" -o "$work/sheets/live.html"
export BRUSHARM="$program" SHEETS="$work/sheets"
PAGES="$work/pages" node "$here/hand.mjs"
PAGES="$work/pages" node "$here/checks.mjs"
