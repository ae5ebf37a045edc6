"""Reads an export back with DuckDB, Polars and a spreadsheet library and holds every total against the book's own.

    read_back.py FOLDER BOOK.db

Every table must have the same rows, the same sum of every numeric column and the same letters in every text column;
no spreadsheet cell may be a formula; every trace must have the same rows and sums in both engines.
"""

import csv
import glob
import json
import math
import os
import sqlite3
import sys
import tempfile

import duckdb
import openpyxl
import polars

folder, book = sys.argv[1], sqlite3.connect(f"file:{sys.argv[2]}?mode=ro", uri=True)
csv.field_size_limit(1 << 30)
SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n")
wrong = []


def close(one, other):
    return math.isclose(one or 0, other or 0, rel_tol=1e-9, abs_tol=1e-12)


def bare(text):
    return text[1:] if text and text.startswith("'") else text


def hold(engine, table, rows, sums, wanted):
    if rows != wanted["rows"]:
        wrong.append(f"{engine} {table}: {rows} rows, the book has {wanted['rows']}")
    for column, total in sums.items():
        if not close(total, wanted["sums"][column]):
            wrong.append(f"{engine} {table}.{column}: {total}, the book has {wanted['sums'][column]}")


def sheet_of(path, columns):
    """The table through a workbook: written, saved, loaded; as a person who opens it in a spreadsheet sees it."""
    written = openpyxl.Workbook(write_only=True)
    sheet = written.create_sheet("t")
    with open(path, newline="", encoding="utf-8") as file:
        for at, row in enumerate(csv.reader(file)):
            cells = []
            for (name, kind), text in zip(columns, row):
                if at and kind in ("REAL", "INTEGER"):
                    cells.append(float(text) if text else None)
                else:
                    # A workbook's cell holds 32,767 letters; the book's longest are the kept standings.
                    cells.append(text[:32000])
            sheet.append(cells)
    with tempfile.NamedTemporaryFile(suffix=".xlsx") as saved:
        written.save(saved.name)
        loaded = openpyxl.load_workbook(saved.name)["t"]
        rows = list(loaded.iter_rows(min_row=2))
    for row in rows:
        for cell in row:
            if cell.data_type == "f":
                wrong.append(f"spreadsheet {path}: {cell.coordinate} is a formula: {cell.value}")
    return rows


tables = [name for (name,) in book.execute("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")]
manifest = json.load(open(os.path.join(folder, "manifest.json"), encoding="utf-8"))
assert set(tables) == set(manifest["tables"]), "every table is exported"
document = json.load(open(os.path.join(folder, "book.json"), encoding="utf-8"))
duck = duckdb.connect()
for table in tables:
    columns = [(name, kind.upper()) for _, name, kind, *_ in book.execute(f"PRAGMA table_info('{table}')")]
    numeric = [name for name, kind in columns if kind in ("REAL", "INTEGER")]
    texts = [name for name, kind in columns if kind == "TEXT"]
    wanted = {
        "rows": book.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0],
        "sums": {name: book.execute(f'SELECT total("{name}") FROM "{table}"').fetchone()[0] for name in numeric}
        | {name: book.execute(f'SELECT total(length("{name}")) FROM "{table}"').fetchone()[0] for name in texts},
    }
    path = os.path.join(folder, "csv", f"{table}.csv")

    types = {name: {"REAL": "DOUBLE", "INTEGER": "BIGINT"}.get(kind, "VARCHAR") for name, kind in columns}
    reads = f"read_csv(?, header=true, delim=',', quote='\"', escape='\"', max_line_size=100000000, columns={types!r})"
    rows = duck.execute(f"SELECT count(*) FROM {reads}", [path]).fetchone()[0]
    sums = {}
    for name in numeric:
        sums[name] = duck.execute(f'SELECT sum("{name}") FROM {reads}', [path]).fetchone()[0]
    for name in texts:
        sums[name] = duck.execute(
            f"SELECT sum(length(\"{name}\") - CASE WHEN \"{name}\" LIKE '''%' THEN 1 ELSE 0 END) FROM {reads}", [path]
        ).fetchone()[0]
    hold("DuckDB", table, rows, sums, wanted)

    schema = {name: {"REAL": polars.Float64, "INTEGER": polars.Int64}.get(kind, polars.String) for name, kind in columns}
    frame = polars.read_csv(path, schema=schema)
    sums = {name: frame[name].sum() for name in numeric}
    for name in texts:
        starts = frame[name].str.starts_with("'").cast(polars.Int64)
        sums[name] = (frame[name].str.len_chars().cast(polars.Int64) - starts).sum()
    hold("Polars", table, frame.height, sums, wanted)

    cells = sheet_of(path, columns)
    at = {name: number for number, (name, _) in enumerate(columns)}
    sums = {name: math.fsum(row[at[name]].value or 0 for row in cells) for name in numeric}
    hold("spreadsheet", table, len(cells), sums, wanted)

    for row in document["tables"][table]:
        assert list(row) and set(row) == set(at), f"{table}: {row}"
    sums = {name: math.fsum(row[name] or 0 for row in document["tables"][table]) for name in numeric}
    sums |= {name: sum(len(row[name] or "") for row in document["tables"][table]) for name in texts}
    hold("JSON", table, len(document["tables"][table]), sums, wanted)

traces = glob.glob(os.path.join(folder, "traces", "*.parquet"))
assert traces, "the export holds a trace"
everything = os.path.join(folder, "traces", "*.parquet")
ducks = duck.execute(
    "SELECT entry, count(*), sum(time_s), sum(thrust_n), sum(pressure_pa) FROM read_parquet(?) GROUP BY entry", [everything]
).fetchall()
bears = (
    polars.scan_parquet(everything)
    .group_by("entry")
    .agg(polars.len(), polars.col("time_s").sum(), polars.col("thrust_n").sum(), polars.col("pressure_pa").sum())
    .collect()
    .rows()
)
said = {trace["entry"]: trace["rows"] for trace in manifest["traces"]}
for one, other in zip(sorted(ducks), sorted(bears)):
    if one[:2] != other[:2] or said[one[0]] != one[1] or not all(close(a, b) for a, b in zip(one[2:], other[2:])):
        wrong.append(f"trace {one} in DuckDB, {other} in Polars, {said[one[0]]} rows in the manifest")
assert len(ducks) == len(said), "every trace is read"

print(f"{len(tables)} tables and {len(traces)} traces read back by DuckDB, Polars, a spreadsheet library and as JSON")
if wrong:
    sys.exit("\n".join(wrong))
