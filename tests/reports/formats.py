"""The reports for code hosts and mark books, held against their standards and the JSON report.

Usage: formats.py FOLDER SCHEMA, with the program's path in MAJORANT. Every check that fails is
printed; the status is 1 if there is one.
"""

import csv
import io
import json
import os
import subprocess
import sys

import jsonschema

COLUMNS = (
    "draft,argument,title,proved,refuted,unsettled,unread,errors,warnings,established,"
    "first_check,first_line,first_message"
).split(",")


def report(folder, kind):
    """The report of that kind as bytes."""
    command = [os.environ["MAJORANT"], "review", "--format", kind, folder]
    done = subprocess.run(command, capture_output=True, check=False)
    if done.returncode not in (0, 1):
        raise SystemExit(f"{command} ended with {done.returncode}: {done.stderr.decode()}")
    return done.stdout


def sarif_faults(folder, schema, drafts):
    """What is wrong with the SARIF report."""
    log = json.loads(report(folder, "sarif"))
    with open(schema, encoding="utf-8") as file:
        schema = json.load(file)
    if "2.1.0" not in json.dumps(schema.get("title", "")) + schema.get("$id", ""):
        yield "this is not the schema of SARIF 2.1.0"
    validator = jsonschema.validators.validator_for(schema)
    validator.check_schema(schema)
    for error in validator(schema).iter_errors(log):
        yield f"{error.json_path}: {error.message}"
    results = log["runs"][0]["results"]
    findings = [finding for draft in drafts for finding in draft["findings"]]
    if [one["ruleId"] for one in results] != [one["check"] for one in findings]:
        yield "SARIF and JSON tell different findings"
    for one, other in zip(results, findings):
        region = one["locations"][0]["physicalLocation"]["region"]
        place = (region["startLine"], region["startColumn"])
        if place != (other["start"]["line"], other["start"]["column"]):
            yield f"SARIF and JSON tell different places: {place}"


def csv_faults(folder, drafts):
    """What is wrong with the CSV report."""
    text = report(folder, "csv").decode("utf-8")
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    if rows[0] != COLUMNS:
        yield f"the columns are {rows[0]}"
    if any(len(row) != len(COLUMNS) for row in rows):
        yield "a row has another number of cells"
    if any(cell[:1] in "=+-@\t\r" for row in rows for cell in row if cell):
        yield "a cell begins as a formula"
    expected = []
    for draft in drafts:
        for number, argument in enumerate(draft["arguments"], start=1):
            tally = argument["tally"].values()
            expected.append([draft["path"], str(number), *(str(count) for count in tally)])
        if not draft["arguments"]:
            expected.append([draft["path"], "", "", "", "", ""])
    if [row[:2] + row[3:7] for row in rows[1:]] != expected:
        yield "CSV and JSON tell different tallies"


def main():
    folder, schema = sys.argv[1:]
    drafts = json.loads(report(folder, "json"))["drafts"]
    faults = [*sarif_faults(folder, schema, drafts), *csv_faults(folder, drafts)]
    for fault in faults:
        print(fault, file=sys.stderr)
    print(f"formats: {len(drafts)} drafts, {len(faults)} faults")
    return 1 if faults or not drafts else 0


if __name__ == "__main__":
    sys.exit(main())
