"""Runs the Parquet example of src/guide.md in this folder and compares. Prints one line a check; any failure ends with code 1.

With UPDATE_README=1 in the environment what the engine prints is written into the guide instead of being compared."""
import os
import re
import subprocess
import sys

import duckdb

guide = open(sys.argv[1], encoding="utf-8").read()
section = guide.split("## Sweeps at scale", 1)[1].split("\n## ", 1)[0]


def block(kind):
    found = re.findall(rf"```{kind}\n(.*?)```", section, re.S)
    assert len(found) == 1, f"the guide has {len(found)} {kind} blocks under «Sweeps at scale»"
    return found[0]


def brusharm(script):
    prelude = 'set -eu\nbrusharm() { "$BRUSHARM_BIN" "$@" >/dev/null; }\n'
    subprocess.run(["bash", "-c", prelude + script], check=True)


failed = 0


def check(name, truth, told=""):
    global failed
    failed += not truth
    print(f"{'ok     ' if truth else 'FAILED '} {name} {told}".rstrip())


shell = block("sh")
brusharm(shell)
printed = subprocess.run([sys.executable, "-c", block("python")], check=True, capture_output=True, text=True).stdout
shown = block("text")
if os.environ.get("UPDATE_README"):
    open(sys.argv[1], "w", encoding="utf-8").write(guide.replace(f"```text\n{shown}```", f"```text\n{printed.strip()}\n```"))
    shown = printed
same = [line.rstrip() for line in printed.strip().splitlines()] == [line.rstrip() for line in shown.strip().splitlines()]
check("the engine prints what the guide shows", same, "" if same else f"\n{printed}")

# The same sweep whole, as Parquet and as CSV.
whole = re.search(r"brusharm sweep.*?(?= --part)", shell, re.S)[0]
brusharm(f"{whole} -o whole.parquet\n{whole} -o whole.csv\n")
one = lambda sql: duckdb.sql(sql).fetchall()[0]
rows, different, first, last = one('SELECT count(*), count(DISTINCT "row"), min("row"), max("row") FROM \'rows-*.parquet\'')
check("every row stands in exactly one share", rows == different == last - first + 1 > 100 and first == 0, f"{rows} rows")
for a, b in [("rows-*", "whole"), ("whole", "rows-*")]:
    left, = one(f"SELECT count(*) FROM (SELECT * FROM '{a}.parquet' EXCEPT ALL SELECT * FROM '{b}.parquet')")
    check(f"nothing is in {a} that is not in {b}", left == 0, f"{left} rows")
both = [duckdb.sql(f"SELECT * FROM {source} ORDER BY \"row\"").fetchall() for source in ("'whole.parquet'", "read_csv('whole.csv', header = true)")]
check("Parquet and CSV hold the same values", both[0] == both[1] and len(both[0]) == rows)
kinds = dict(duckdb.sql("SELECT column_name, column_type FROM (DESCRIBE SELECT * FROM 'whole.parquet')").fetchall())
check("numbers are numbers", (kinds["row"], kinds["tail_gap_m"], kinds["verdict"]) == ("BIGINT", "DOUBLE", "VARCHAR"))
sys.exit(1 if failed else 0)
