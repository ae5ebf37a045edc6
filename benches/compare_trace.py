#!/usr/bin/env python3
"""Reading and reducing 5,000,000 rows of three columns: proofmark's whole process against general CSV readers.

Each contender is a process of its own, timed from start to end: it opens the file, reads three columns, and gives
the integral of thrust over time (proofmark does all the rest of a reduction as well). Every contender may use all
cores. The best of several runs counts, because a busy machine can only add time; processor time (user + system) is
printed beside it, because it is what a busy machine cannot fake.

    cargo build --release
    python3 -m venv venv && venv/bin/pip install duckdb polars
    venv/bin/python benches/compare_trace.py [--rows 5000000] [--runs 7] [--file long.csv]

A reader that is not installed is left out and said so.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DUCKDB = """
import sys, duckdb
duckdb.sql("SET enable_progress_bar = false")
print(duckdb.sql(f'''
  SELECT sum((f + g) / 2 * (u - t)) FROM (
    SELECT t, f, lead(t) OVER (ORDER BY t) AS u, lead(f) OVER (ORDER BY t) AS g FROM (
      SELECT "time_s" AS t, "thrust_N" AS f, "pressure_MPa" AS p FROM read_csv('{sys.argv[1]}')))
''').fetchall()[0][0])
"""

# The same read, the sum by NumPy: a window over 5,000,000 rows is no reader's strength, so the read is timed kindly.
DUCKDB_NUMPY = """
import sys, duckdb, numpy
duckdb.sql("SET enable_progress_bar = false")
c = duckdb.sql(f"SELECT * FROM read_csv('{sys.argv[1]}')").fetchnumpy()
t, f = c['time_s'], c['thrust_N']
print(float(((f[1:] + f[:-1]) * (t[1:] - t[:-1])).sum() / 2))
"""

POLARS = """
import sys, polars as pl
d = pl.read_csv(sys.argv[1])
t, f = d['time_s'].to_numpy(), d['thrust_N'].to_numpy()
print(float(((f[1:] + f[:-1]) * (t[1:] - t[:-1])).sum() / 2))
"""


def make(path, rows):
    """A plateau with a rise and a tail-off, and a scatter that is the same every time; about 26 bytes a row."""
    seed = 1
    with open(path, "w", buffering=1 << 20) as out:
        out.write("time_s,thrust_N,pressure_MPa\n")
        for i in range(rows):
            seed = (seed * 1664525 + 1013904223) & 0xFFFFFFFF
            scatter = (seed >> 8) / (1 << 24) - 0.5
            x = i / rows
            level = min(max(min((x - 0.04) / 0.01, (0.84 - x) / 0.06), 0.0), 1.0)
            out.write(f"{i * 1e-5 - 2:.5f},{1500 * level + 4 * scatter:.4f},{5 * level + 0.02 * scatter:.5f}\n")


def run(command):
    """Seconds on the wall, processor seconds, largest resident memory in MiB, what it printed."""
    before = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.PIPE)
    out = process.stdout.read()
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - before
    if status != 0:
        raise SystemExit(f"{command[0]} failed: {out.decode()[:500]}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, out.decode().strip()


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--rows", type=int, default=5_000_000)
    options.add_argument("--runs", type=int, default=7)
    options.add_argument("--file", type=Path, help="keep the made file here, and use it when it is there")
    chosen = options.parse_args()
    root = Path(__file__).resolve().parent.parent
    binary = root / "target" / "release" / "proofmark"
    if not binary.exists():
        raise SystemExit("build it first: cargo build --release")
    path = chosen.file or Path(tempfile.gettempdir()) / f"trace-{chosen.rows}.csv"
    if not path.exists():
        make(path, chosen.rows)
    contenders = [("proofmark trace", [str(binary), "trace", str(path), "--json"])]
    for name, module, script in [
        ("duckdb, window sum", "duckdb", DUCKDB),
        ("duckdb, numpy sum", "duckdb", DUCKDB_NUMPY),
        ("polars, numpy sum", "polars", POLARS),
    ]:
        if subprocess.run([sys.executable, "-c", f"import {module}, numpy"], capture_output=True).returncode:
            print(f"{name}: {module} or numpy is not installed, left out")
            continue
        contenders.append((name, [sys.executable, "-c", script, str(path)]))
    print(f"{path}: {path.stat().st_size / 1e6:.0f} MB, {chosen.rows} rows, {os.cpu_count()} cores, "
          f"best of {chosen.runs}, load average before {os.getloadavg()[0]:.1f}")
    rows = {name: [] for name, _ in contenders}
    # In turns, so that a busy spell hits all of them.
    for _ in range(chosen.runs):
        for name, command in contenders:
            rows[name].append(run(command))
    print(f"{'':22}{'wall s':>9}{'median':>9}{'cpu s':>9}{'MiB':>7}   integral")
    best = {}
    for name, _ in contenders:
        walls = sorted(row[0] for row in rows[name])
        text = rows[name][0][3].splitlines()[-1]
        integral = json.loads(text)["impulse_ns"] if text.startswith("{") else float(text)
        best[name] = (walls[0], min(row[1] for row in rows[name]))
        print(f"{name:22}{walls[0]:9.3f}{walls[len(walls) // 2]:9.3f}{best[name][1]:9.3f}"
              f"{max(row[2] for row in rows[name]):7.0f}   {integral:.3f}")
    others = [it for name, it in best.items() if name != "proofmark trace"]
    if others:
        mine = best["proofmark trace"]
        fastest, least = min(it[0] for it in others), min(it[1] for it in others)
        print(f"proofmark takes {mine[0] / fastest:.2f} of the fastest reader's time "
              f"and {mine[1] / least:.2f} of the least processor time")


if __name__ == "__main__":
    main()
