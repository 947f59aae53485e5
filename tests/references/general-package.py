"""Fits and chances by a general-purpose statistics package, for tests/learn/rates.test.ts and tests/learn/scores.test.ts.

    /usr/bin/python3 tests/references/general-package.py > tests/references/general-package.json

Needs SciPy as Debian packs it (python3-scipy). The fits are SciPy's own optimiser on SciPy's own log-beta; nothing of the engine is used.
"""
import json
import math
import subprocess

import numpy as np
import scipy
from scipy import optimize, special, stats


def packed(name):
    return subprocess.run(["dpkg-query", "-W", "-f", "${Package} ${Version}", name], capture_output=True, text=True, check=True).stdout


def log_soft(a, b, k, n):
    return special.betaln(a + k, b + n - k) - special.betaln(a, b)


def log_chance(h, a, b, k, n):
    soft = math.log1p(-h) + log_soft(a, b, k, n)
    return soft if k < n or h == 0 else np.logaddexp(math.log(h), soft)


def minus_log_likelihood(x, rows, only_shown, with_hard):
    h = special.expit(x[0]) if with_hard else 0.0
    mean, size = special.expit(x[-2]), math.exp(x[-1])
    a, b = mean * size, (1 - mean) * size
    total = 0.0
    for k, n, w in rows:
        total += w * log_chance(h, a, b, k, n)
        if only_shown:
            total -= w * math.log1p(-math.exp(log_chance(h, a, b, 0, n)))
    return -total


def fit(name, rows, only_shown, with_hard):
    first = [-1.0, -0.5, 1.0] if with_hard else [-0.5, 1.0]
    options = {"xatol": 1e-12, "fatol": 1e-13, "maxiter": 40000, "maxfev": 40000}
    x = first
    for _ in range(4):
        best = optimize.minimize(minus_log_likelihood, x, (rows, only_shown, with_hard), "Nelder-Mead", options=options)
        x = best.x
    mean, size = special.expit(x[-2]), math.exp(x[-1])
    return {"name": name, "rows": rows, "onlyShown": only_shown, "hard": special.expit(x[0]) if with_hard else None,
            "a": mean * size, "b": (1 - mean) * size, "value": -best.fun}


WARM = [[0, 6, 41], [1, 6, 30], [2, 6, 22], [3, 6, 15], [4, 6, 12], [5, 6, 9], [6, 6, 31]]
MIXED = [[0, 4, 12], [1, 4, 9], [2, 4, 8], [3, 4, 4], [4, 4, 14], [0, 9, 20], [1, 9, 9], [3, 9, 7], [6, 9, 5], [9, 9, 11]]
SHOWN = [row for row in MIXED if row[0] > 0]

draws = np.array([12.0, 9.5, 15.0, 11.0, 30.0, 8.0, 14.5, 10.0])
logs = np.log(draws)

print(json.dumps({
    "made": f"SciPy {scipy.__version__}, NumPy {np.__version__} (Debian's {packed('python3-scipy')} and {packed('python3-numpy')}): tests/references/general-package.py; the counts are made up",
    "within": {"relative": 2e-5, "why": "Nelder–Mead on a sum of a few hundred logarithms stops where the last digits no longer tell"},
    "fits": [
        fit("six starts, with a hard point", WARM, False, True),
        fit("four and nine starts, with a hard point", MIXED, False, True),
        fit("the same, without one", MIXED, False, False),
        fit("the same, conditioned on having shown", SHOWN, True, True),
    ],
    "chances": [
        {"k": k, "n": n, "hard": h, "a": a, "b": b, "log": float(log_chance(h, a, b, k, n))}
        for k, n, h, a, b in [(0, 12, 0.1, 0.5, 2.0), (12, 12, 0.1, 0.5, 2.0), (3, 40, 0.0, 2.5, 7.5), (200, 500, 0.3, 1.2, 1.8), (7, 7, 0.0, 30.0, 0.2)]
    ],
    "betas": [
        {"alpha": a, "beta": b, "low": float(stats.beta.ppf(0.05, a, b)), "high": float(stats.beta.ppf(0.95, a, b))}
        for a, b in [(2.5, 40.0), (0.7, 3.0), (120.0, 30.0)]
    ],
    "wilson": [
        {"k": k, "n": n, "z": 1.6448536269514722,
         **dict(zip(["low", "high"], [float(x) for x in stats.binomtest(k, n).proportion_ci(0.9, "wilson")]))}
        for k, n in [(4, 20), (0, 15), (15, 15), (333, 1000)]
    ],
    "minutes": {"draws": draws.tolist(), "mean": float(logs.mean()), "variance": float(logs.var())},
}, indent=2))
