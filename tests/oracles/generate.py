"""Writes claims with confirmed truth, in the format of obligations, to the file that is named.

Usage: generate.py FILE. The same claims in the same order on every run.
"""

import collections
import json
import sys

from claims import all_claims
from confirm import confirm

MINIMUM = 400


def main():
    """Generates, confirms, writes; any doubt about a claim's truth ends in an error."""
    if len(sys.argv) != 2:
        sys.exit("usage: generate.py FILE")
    items = all_claims()
    if len(items) < MINIMUM:
        sys.exit(f"only {len(items)} claims")
    ways = collections.Counter()
    for item in items:
        item["confirmed_by"] = confirm(item)
        item["hyps"] = []
        item["tex"] = ""
        item["tag"] = item["topic"]
        item["why_hard"] = "sharp constant"
        ways["z3" if "z3" in item["confirmed_by"] else "point" if not item["truth"] else "sweep"] += 1
    with open(sys.argv[1], "w", encoding="utf-8") as file:
        json.dump(items, file, indent=1)
    false = sum(not item["truth"] for item in items)
    print(f"{len(items)} claims, {false} false; confirmed by {dict(sorted(ways.items()))}")


if __name__ == "__main__":
    main()
