#!/usr/bin/env bash
# Instructions of four runs of the development build, counted and held against counts.txt: on a noisy machine the only measure of speed that says anything.
# More than 5 % over what is written there fails; as much under it asks to be written down: COUNTS_UPDATE=1 does. Needs valgrind. They depend on the compiler: a new one wants new counts.
# BRUSHARM_BIN=FILE takes a build that is there. Prints «counts: N passed, M failed».
set -uo pipefail
cd "$(dirname "$0")/../.."
binary=${BRUSHARM_BIN:-target/debug/brusharm}
[ -n "${BRUSHARM_BIN:-}" ] || cargo build --quiet --features parquet || exit 1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
list=tests/bench/counts.txt
passed=0 failed=0

# Name of a run, then its arguments.
runs=(
  "one pass of the demo|pass scenarios/ferry-return.ron"
  "one pass of the opposite pair|pass scenarios/opposite-pair.ron"
  "three passes of one unit|sweep scenarios/one-unit.ron --over throughput=100,120"
  "reading and checking the demo|check scenarios/ferry-return.ron"
)
for run in "${runs[@]}"; do
  name=${run%%|*}
  read -ra arguments <<<"${run#*|}"
  RAYON_NUM_THREADS=1 valgrind --tool=callgrind --callgrind-out-file="$work/out" "$binary" "${arguments[@]}" >/dev/null 2>"$work/log" || true
  count=$(sed -n 's/.*refs: *\([0-9,]*\).*/\1/p' "$work/log" | tr -d ,)
  if [ -z "$count" ]; then
    echo "FAIL  $name: nothing was counted: $(tail -1 "$work/log")"
    failed=$((failed + 1))
    continue
  fi
  now=$(( (count + 500000) / 1000000 ))
  known=$(sed -n "s/^\([0-9]*\)  $name\$/\1/p" "$list" 2>/dev/null)
  printf '%s  %s\n' "$now" "$name" >>"$work/list"
  if [ -n "${COUNTS_UPDATE:-}" ]; then
    echo "ok    $name: $now million, written down"
    passed=$((passed + 1))
  elif [ -z "$known" ]; then
    echo "FAIL  $name: $now million, and none written down in $list"
    failed=$((failed + 1))
  elif [ $(( now * 100 )) -gt $(( known * 105 )) ]; then
    echo "FAIL  $name: $now million instructions, $known are written down; more than 5 % over"
    failed=$((failed + 1))
  else
    passed=$((passed + 1))
    [ $(( now * 100 )) -lt $(( known * 95 )) ] && echo "note  $name: $now million, more than 5 % under the $known written down; COUNTS_UPDATE=1 writes it"
    echo "ok    $name: $now million ($known written down)"
  fi
done
if [ -n "${COUNTS_UPDATE:-}" ]; then
  cp "$work/list" "$list"
fi
echo "counts: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
