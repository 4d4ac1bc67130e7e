"""Confirms tests/data/sequences.txt with mpmath: limits at large n, suprema on fine grids.

Usage: python3 tests/oracles/sequences.py [tests/data/sequences.txt]
"""

import re
import sys
from pathlib import Path

import mpmath as mp

mp.mp.dps = 60
PARAMETERS = {"a": mp.mpf(1) / 3, "b": mp.mpf(5) / 2, "c": mp.mpf(1) / 2, "r": mp.mpf(3) / 2}
NAMES = {"e": mp.e, "pi": mp.pi, "abs": abs, "sin": mp.sin, "cos": mp.cos, "atan": mp.atan, "log": mp.log}
FAR = mp.mpf(10) ** 15


def value(text, **own):
    """The value of a formula; whole numbers are exact."""
    python = re.sub(r"(?<![\w.])(\d+)", r"mpf(\1)", text.replace("^", "**"))
    return eval(python, {"mpf": mp.mpf, **NAMES, **PARAMETERS, **own})


def interval(text):
    """Ends of the domain, with whether they belong to it."""
    low, high = (-mp.inf, False), (mp.inf, False)
    for part in filter(None, (own.strip() for own in text.split(","))):
        left, sign, right = re.match(r"(.+?)\s*(<=|>=|<|>|=)\s*(.+)", part).groups()
        if "x" == right.strip():
            left, right = right, left
            sign = {"<=": ">=", ">=": "<=", "<": ">", ">": "<", "=": "="}[sign]
        if left.strip() != "x":
            continue
        end = (value(right), sign in ("<=", ">=", "="))
        if sign in ("<=", "<", "="):
            high = end
        if sign in (">=", ">", "="):
            low = end
    return low, high


def grid(low, high):
    """Points of the domain at all scales near both ends."""
    (a, a_in), (b, b_in) = low, high
    steps = [mp.mpf(k) / 300 for k in range(1, 300)]
    near = [mp.mpf(2) ** (-mp.mpf(k) / 8) for k in [*range(40, 160), 400, 2000, 8000, 32000, 128000]]
    if mp.isinf(a) and mp.isinf(b):
        sizes = [mp.mpf(10) ** (mp.mpf(k) / 40) for k in range(-120, 321)]
        points = [0] + sizes + [-own for own in sizes]
    elif mp.isinf(b):
        points = [a + mp.mpf(10) ** (mp.mpf(k) / 40) for k in range(-320, 321)]
    else:
        points = [a + (b - a) * own for own in steps + near] + [b - (b - a) * own for own in near]
    return points + ([a] if a_in else []) + ([b] if b_in else [])


def samples(low, high):
    """A few points of the domain, its ends with them, none of the others near an end."""
    (a, a_in), (b, b_in) = low, high
    sizes = [mp.mpf(own) for own in ("0.1", "0.7", "1", "3", "20")]
    if mp.isinf(a) and mp.isinf(b):
        return [mp.mpf(0), *sizes, *(-own for own in sizes)]
    if mp.isinf(b):
        return [a + own for own in sizes] + ([a] if a_in else [])
    inner = [a + (b - a) * mp.mpf(k) / 7 for k in range(1, 7)]
    return inner + ([a] if a_in else []) + ([b] if b_in else [])


def limit_at(pieces, x):
    """The stated limit at a point."""
    for piece in pieces:
        formula, _, place = piece.partition(":")
        (a, a_in), (b, b_in) = interval(place)
        if (a < x or a_in and a == x) and (x < b or b_in and x == b):
            return value(formula, x=x)
    raise ValueError(x)


def check(line):
    """What does not agree with the line."""
    term, domain, limit, supremum, uniform = (own.strip() for own in line.split(";"))
    pieces = limit.split("|")
    points = grid(*interval(domain))
    errors = lambda n: max(abs(value(term, n=mp.mpf(n), x=x) - limit_at(pieces, x)) for x in points)
    faults = []
    for x in samples(*interval(domain)):
        near = abs(value(term, n=FAR, x=x) - limit_at(pieces, x))
        if near > 1e-3 and near > errors_shrink(term, pieces, x):
            faults.append(f"limit at {mp.nstr(x, 6)}")
    found = {n: errors(n) for n in (5, 40)}
    for n, own in found.items():
        if supremum == "inf":
            if own < 10:
                faults.append(f"supremum at n = {n} is only {mp.nstr(own, 8)}")
            continue
        known = value(supremum, n=mp.mpf(n))
        if not known * (1 - mp.mpf("2e-3")) <= own <= known * (1 + mp.mpf("1e-15")):
            faults.append(f"supremum at n = {n}: {mp.nstr(own, 10)} and not {mp.nstr(known, 10)}")
    tends = supremum != "inf" and abs(value(supremum, n=FAR)) < 1e-3
    if tends != (uniform == "yes"):
        faults.append("uniform")
    return faults


def errors_shrink(term, pieces, x):
    """Half of the error at an index a hundred times smaller: a limit that is near only slowly."""
    return abs(value(term, n=FAR / 100, x=x) - limit_at(pieces, x)) / 2


def main():
    path = Path(sys.argv[1] if len(sys.argv) > 1 else "tests/data/sequences.txt")
    lines = [own for own in path.read_text().splitlines() if own and not own.startswith("#")]
    wrong = 0
    for line in lines:
        faults = check(line)
        if faults:
            wrong += 1
            print(line, faults)
    print(f"{len(lines)} sequences, {wrong} in doubt")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
