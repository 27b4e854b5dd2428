#!/usr/bin/env python3
"""Rewrites limits.csv, the last two columns of reference.csv and the tables of README.md from
solved results: tables.py RESULTS, where RESULTS/small-block/trend.csv ... were written by
`tiltfin solve cases/small-block.toml -o RESULTS/small-block` and so on."""
import csv
import math
import pathlib
import sys

here = pathlib.Path(__file__).parent
results = pathlib.Path(sys.argv[1])
coolers = ("small-block", "ring", "large-stack")
nothing = {"power_limit_w": "", "power_limit_error_w": "", "status": "not solved"}


def number(row, key):
    is_result = row["status"] not in ("not converged", "not solved")
    return "%.1f" % float(row[key]) if is_result and row[key] else "-"


def solved(cooler):
    path = results / cooler / "trend.csv"
    if not path.exists():
        return {}
    with open(path) as file:
        return {(row["panel"], row["orientation"]): row for row in csv.DictReader(file)}


def limit_rows():
    rows = []
    for cooler in coolers:
        trends = solved(cooler)
        for panel in ("on", "off"):
            for orientation in ("upright", "flat-up", "flat-down"):
                row = trends.get((panel, orientation), nothing)
                rows.append([cooler, panel, orientation, number(row, "power_limit_w"),
                             number(row, "power_limit_error_w"), row["status"]])
    return rows


def judge(row, limits):
    ratio = math.prod(limits[name] for name in row["limits"].split(" x "))
    ratio /= math.prod(limits[name] for name in row["by limits"].split(" x "))
    low = 0.0 if row["low"] == "-" else float(row["low"])
    high = math.inf if row["high"] == "-" else float(row["high"])
    if math.isnan(ratio):
        row["program"], row["verdict"] = "-", "open"
    else:
        row["program"] = "%.2f" % ratio
        row["verdict"] = "agrees" if low < ratio < high else "disagrees"


def line_of(row):
    allowed = [] if row["low"] == "-" else ["above %g" % float(row["low"])]
    allowed += [] if row["high"] == "-" else ["below %g" % float(row["high"])]
    return [row["statement"], row["limits"] + " by " + row["by limits"], row["bench"],
            ", ".join(allowed), row["program"], row["verdict"]]


def put_table(lines, heading, rows):
    """Replaces the rows below the two lines of the table that begins with `heading`."""
    begin = next(k for k, line in enumerate(lines) if line.startswith("| " + heading + " |")) + 2
    end = begin
    while end < len(lines) and lines[end].startswith("|"):
        end += 1
    lines[begin:end] = ["| " + " | ".join(row) + " |" for row in rows]


rows = limit_rows()
with open(here / "limits.csv", "w") as file:
    file.write("cooler,panel,orientation,limit W,error W,status\n")
    file.writelines(",".join(row) + "\n" for row in rows)
limits = {" ".join(row[:3]): float("nan" if row[3] == "-" else row[3]) for row in rows}
with open(here / "reference.csv") as file:
    statements = list(csv.DictReader(file))
for statement in statements:
    judge(statement, limits)
with open(here / "reference.csv", "w") as file:
    file.write(",".join(statements[0]) + "\n")
    file.writelines(",".join(statement.values()) + "\n" for statement in statements)
readme = (here / "README.md").read_text().split("\n")
put_table(readme, "cooler", rows)
put_table(readme, "statement", [line_of(statement) for statement in statements])
(here / "README.md").write_text("\n".join(readme))
