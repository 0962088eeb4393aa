#!/usr/bin/env bash
# Runs every check against an outside reference and writes what each found into residuals.md, beside what it allows.
set -euo pipefail
cd "$(dirname "$0")/../.."
rows=$(mktemp)
trap 'rm -f "$rows"' EXIT
RESIDUALS=$rows cargo test "$@" val_ >&2
{
  cat <<'HEAD'
# What the checks against outside references found

Written by `bash tests/validation/residuals.sh` from a run of every `val_` test. Each row is one comparison; where a test makes it many times, the worst
is shown. The expression is the test's own; relative unless its unit is in the test. Tests without a row compare exactly or by yes and no. What each is
compared with stands in `README.md`.

| Test | Compared | Found | Allowed |
|---|---|---|---|
HEAD
  # The worst of each comparison: the greatest share of what it allows.
  sort "$rows" | awk -F'\t' '
    { key = $1 "\t" $2 "\t" $3; share = $4 / $5
      if (!(key in worst) || share > worst[key]) { worst[key] = share; found[key] = $4; allowed[key] = $5 } }
    END { for (key in worst) { split(key, part, "\t")
      printf "| `%s` | `%s` | %s | %s |\n", part[1], part[3], found[key], allowed[key] } }' | LC_ALL=C sort
} > tests/validation/residuals.md.new
mv tests/validation/residuals.md.new tests/validation/residuals.md
