#!/usr/bin/env bash
# The set-up sheet in a real browser: opens sheets on a phone and on a desk, plays and scrubs the replay, prints them, and checks the markup,
# contrast and labels. Needs chromium, poppler-utils, node and npm; the checking tools come from npm into a folder that is removed again.
#
# BRUSHARM_BIN   the program to test; built from this checkout when not given
# SHEET_SHOTS    a folder for screenshots and pages to look at; none are kept when not given
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../.." && pwd)"
read -r -a program <<<"${BRUSHARM_BIN:-cargo run --release --quiet --manifest-path $root/Cargo.toml --}"

for tool in node npm pdfinfo pdftotext; do
  command -v "$tool" >/dev/null || { echo "browser checks need $tool" >&2; exit 1; }
done
browser="${CHROMIUM:-/usr/bin/chromium}"
[ -x "$browser" ] || { echo "browser checks need chromium at $browser" >&2; exit 1; }

work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
npm install --silent --no-audit --no-fund --prefix "$work" playwright-core@1.65.1 axe-core@4.14.1 html-validate@11.21.1 >/dev/null

mkdir "$work/sheets"
node "$here/scenarios.mjs" "$root/scenarios/ferry-return.ron" "$work/found.ron" "$work/hostile.ron"
sheet() { "${program[@]}" sheet "$@"; }
for lang in en es fr; do
  sheet "$root/scenarios/ferry-return.ron" --from "$work/found.ron" --date 2026-03-09 --who "A. Technician" --lang "$lang" -o "$work/sheets/steps-$lang.html"
done
mkdir "$work/forms"
for lang in en es fr; do sheet --blank "$root/scenarios/ferry-return.ron" --lang "$lang" -o "$work/forms/$lang.html"; done
# Studies to be shown with a sheet.
"${program[@]}" sweep "$root/scenarios/ferry-return.ron" --over line.throughput=120..160:20 --over both.air.cap=5..9:2 -o "$work/sweep.jsonl" >/dev/null
"${program[@]}" nudge "$root/scenarios/ferry-return.ron" --format json -o "$work/nudge.json"
"${program[@]}" spread "$root/scenarios/ferry-return.ron" --blocks 8 --format json -o "$work/spread.json"
"${program[@]}" compare "$root/scenarios/ferry-return.ron" --set throughput=160 --set "both.bearings.lower_offset=1/8" --format json -o "$work/compare.json"
for lang in en fr; do
  sheet "$root/scenarios/ferry-return.ron" --add "$work/sweep.jsonl" --add "$work/nudge.json" --add "$work/spread.json" --add "$work/compare.json" --lang "$lang" -o "$work/sheets/studies-$lang.html"
done
sheet "$work/found.ron" --recommend -o "$work/sheets/recommended.html"
sheet "$root/scenarios/ferry-return.ron" --units si -o "$work/sheets/alone-si.html"
sheet "$root/scenarios/one-unit.ron" -o "$work/sheets/one-unit.html"
sheet "$work/hostile.ron" --from "$work/found.ron" --date 2026-03-09 -o "$work/sheets/hostile.html"

BROWSER_TOOLS="$work" CHROMIUM="$browser" SHEETS="$work/sheets" FORMS="$work/forms" node "$here/checks.mjs"
