"""Sums the shares of a sweep in this folder with DuckDB, a line a check; any failure ends with code 1."""
import os
import sys

import duckdb

points, parts, took_s = int(os.environ["POINTS"]), int(os.environ["PARTS"]), float(os.environ["TOOK_S"])
rows = "'rows-*.parquet'"
failed = 0


def check(name, truth, told=""):
    global failed
    failed += not truth
    print(f"{'ok     ' if truth else 'FAILED '} {name} {told}".rstrip())


one = lambda sql: duckdb.sql(sql).fetchall()[0]
count, different, first, last, computed = one(f'SELECT count(*), count(DISTINCT "row"), min("row"), max("row"), count(verdict) FROM {rows}')
check("the shares are the whole, row for row", count == different == last + 1 == points and first == 0, f"{count} rows of {parts} shares")
check("nearly every point was computed", computed > 0.9 * points, f"{computed}")
# What a share holds in its third quarter, against its second: flat while rows come, however many. At the end the file is put together from them, a group of
# bounded size at a time, which is in the highest. A share watched too shortly says nothing.
held, told = [], 0
for part in range(1, parts + 1):
    log = [tuple(map(float, line.split(","))) for line in open(f"memory-{part}.csv", encoding="utf-8")]
    held.append(max(kib for _, kib in log) / 1024)
    quarter = len(log) // 4
    if quarter < 5:
        continue
    told += 1
    early, late = (max(kib for _, kib in log[k * quarter : (k + 1) * quarter]) / 1024 for k in (1, 2))
    if late > 1.15 * early + 1:
        check(f"memory of share {part} is flat", False, f"{early:.1f} MiB, then {late:.1f}")
check("memory is bounded", told > 0 and max(held) < 60, f"at most {max(held):.1f} MiB a share, {told} shares watched long enough")
print(duckdb.sql(f"""
    SELECT vehicle, count(*) AS passes, round(100.0 * count(*) FILTER (verdict = 'pass') / count(*), 1) AS pass_percent,
           round(quantile_cont(tail_gap_m, 0.5), 3) AS gap_median_m, round(quantile_cont(tail_gap_m, 0.95), 3) AS gap_95_m
    FROM {rows} GROUP BY vehicle ORDER BY vehicle"""))
rate = points / took_s
print(f"{points} passes in {took_s:.1f} s with {os.environ['JOBS']} shares at once: {rate:.0f} a second; a million would take {1e6 / rate / 3600:.2f} h")
sys.exit(1 if failed else 0)
