#!/usr/bin/env python3
"""Sets the export and the drift of all valves beside the same work in Python, over the same table.

    cowlside export > shop.csv
    python3 benches/shop/compare.py shop.csv [--program cowlside] [--engines 20] [--with pandas]

`--with` is `csv` (the default: the standard library alone), `pandas` (needs pandas and numpy) or
`duckdb` (needs duckdb). It reads the table, works out each valve's drift as the contract's section 8
has it (least squares of the movement over hours, of the last series), and prints times. With
`--program` it asks that program for `history ENGINE --json` of so many engines (COWLSIDE_HOME must
name their folder) and stops with 1 where a drift differs in its first nine digits.
"""

import argparse
import csv
import json
import subprocess
import sys
import time
from collections import defaultdict

NEEDED = ["engine", "session", "date", "hours", "cylinder", "valve", "number", "step",
          "low_mm", "high_mm"]


def rows_by_csv(path):
    with open(path, newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            yield tuple(row[column] for column in NEEDED)


def rows_by_pandas(path):
    import pandas

    table = pandas.read_csv(path, usecols=NEEDED, dtype=str, keep_default_na=False)
    return zip(*(table[column] for column in NEEDED))


def rows_by_duckdb(path):
    import duckdb

    columns = ", ".join(f"coalesce({column}, '')" for column in NEEDED)
    table = duckdb.connect().execute(
        f"select {columns} from read_csv(?, all_varchar = true, header = true)", [path])
    while block := table.fetchmany(100_000):
        yield from block


def nominal(low, high):
    """The middle of an interval in millimetres; None where it has an open end."""
    return None if low == "" or high == "" else (float(low) + float(high)) / 2


def outcomes(rows):
    """What each session found and left of each valve: {(engine, valve): {session: [..]}}."""
    valves = defaultdict(dict)
    for engine, session, date, hours, cylinder, valve, number, step, low, high in rows:
        seen = valves[engine, (int(cylinder), valve, int(number))]
        one = seen.setdefault(session, [float(hours), date, None, None, False])
        middle = nominal(low, high)
        if step == "found":
            one[2] = middle
        if step != "try":
            one[3] = middle
            one[4] = True
    return valves


def drift(seen):
    """100 times the slope of the movement, in millimetres; None under three sessions."""
    series, moved, left = [], 0.0, None
    for hours, _, found, now_left, _ in sorted(seen.values()):
        if found is None or now_left is None:
            series, left = [], None
            continue
        if left is None:
            series, moved = [], 0.0
        else:
            moved += found - left
        series.append((hours, moved))
        left = now_left
    if len(series) < 3:
        return None
    n = len(series)
    mean_h = sum(hours for hours, _ in series) / n
    mean_m = sum(moved for _, moved in series) / n
    over = sum((hours - mean_h) * (moved - mean_m) for hours, moved in series)
    return 100 * over / sum((hours - mean_h) ** 2 for hours, _ in series)


def differs(ours, theirs):
    if ours is None or theirs is None:
        return ours is not theirs
    # A drift of nought comes out as a sum of roundings: far below a nanometre in 100 hours.
    return abs(ours - theirs) > 1e-9 * abs(ours) + 1e-14


def checked(program, engines, drifts):
    """Asks the program for the drifts of some engines; returns how many differ, and of how many."""
    wrong = compared = 0
    for engine in engines:
        said = subprocess.run([program, "history", engine, "--json"], check=True,
                              capture_output=True)
        history = json.loads(said.stdout)
        per_mm = 1 if history["unit"] == "mm" else 25.4
        for valve in history["valves"]:
            key = engine, (valve["cylinder"], valve["valve"], valve["number"])
            ours = valve["drift"] and valve["drift"]["per_100_h"] * per_mm
            compared += 1
            if differs(ours, drifts.get(key)):
                wrong += 1
                print(f"{key}: {ours} here, {drifts.get(key)} by the script")
    return wrong, compared


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("table")
    parser.add_argument("--with", dest="by", choices=["csv", "pandas", "duckdb"], default="csv")
    parser.add_argument("--program")
    parser.add_argument("--engines", type=int, default=20)
    asked = parser.parse_args()
    rows = {"csv": rows_by_csv, "pandas": rows_by_pandas, "duckdb": rows_by_duckdb}[asked.by]
    begun = time.perf_counter()
    valves = outcomes(rows(asked.table))
    read = time.perf_counter()
    drifts = {key: drift(seen) for key, seen in valves.items()}
    done = time.perf_counter()
    print(f"{asked.by}: table read in {read - begun:.2f} s, "
          f"drift of {len(drifts)} valves in {done - read:.2f} s")
    if asked.program:
        engines = sorted({engine for engine, _ in drifts})[:asked.engines]
        wrong, compared = checked(asked.program, engines, drifts)
        print(f"{compared - wrong} of {compared} drifts are the same to nine digits")
        if wrong or not compared:
            sys.exit(1)


if __name__ == "__main__":
    main()
