# Case files and a solved case against the schemas that the program prints, by a general library:
#   check_schema.py TILTFIN CASE...      (the first case is solved, too)
# Code 77 where Python lacks what it takes (3.11 and the package jsonschema).
import json
import pathlib
import subprocess
import sys
import tempfile

try:
    import tomllib

    import jsonschema
except ImportError:
    print("skipped: no tomllib or no jsonschema")
    sys.exit(77)


def schema(tiltfin, of):
    text = subprocess.run([tiltfin, "schema", of], capture_output=True, check=True).stdout
    read = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(read)
    return jsonschema.Draft202012Validator(read)


def errors(checks, name, value):
    found = list(checks.iter_errors(value))
    for error in found:
        print(f"{name}: {'.'.join(map(str, error.absolute_path))}: {error.message[:200]}")
    return len(found)


def must_refuse(checks, value, what):
    if checks.is_valid(value):
        print(f"the schema accepts {what}")
        return 1
    return 0


def main():
    tiltfin, cases = sys.argv[1], sys.argv[2:]
    of_case, of_summary = schema(tiltfin, "case"), schema(tiltfin, "summary")
    bad = 0
    for path in cases:
        bad += errors(of_case, path, tomllib.loads(pathlib.Path(path).read_text(encoding="utf-8")))
    case = tomllib.loads(pathlib.Path(cases[0]).read_text(encoding="utf-8"))
    bad += must_refuse(of_case, {**case, "romo": {}}, "a table that is not known")
    bad += must_refuse(of_case, {**case, "room": {"temperature_c": "warm"}}, "a word for a number")
    bad += must_refuse(of_case, {**case, "mesh": {"cells_per_gap": -1}}, "cells below 0")
    with tempfile.TemporaryDirectory() as scratch:
        command = [tiltfin, "solve", cases[0], "-o", scratch + "/out", "--skip-stability"]
        subprocess.run(command, capture_output=True, check=True)
        summary = json.loads(pathlib.Path(scratch, "out", "summary.json").read_text(encoding="utf-8"))
    bad += errors(of_summary, "summary.json", summary)
    del summary["conditions"][0]["base_rise_mean_k"]
    bad += must_refuse(of_summary, summary, "a condition without its rise")
    print(f"{len(cases)} cases and a summary against their schema: {bad} errors")
    sys.exit(1 if bad else 0)


main()
