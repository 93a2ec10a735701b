"""One shade over every single, pair and triple of a store in scipy, for comparison with the compiled solver.

The same question as the compiled solver is asked: which amounts of the dyes, none negative, bring the cloth nearest to
a target under three lights. Written the way a careful scipy user would: amounts by non-negative least squares in K/S,
then bounded least squares on L*a*b* with an analytic Jacobian; colour differences are Euclidean here, which is less
work than CIEDE2000. Reads what `cargo run --example solve_speed -- data` prints; prints

    shades scipy <ms per shade, median> <ms per shade, slowest>

`cargo xtask bench` runs both and prints the ratios.
"""

import sys
import time
from itertools import combinations

import numpy as np
from scipy.optimize import least_squares, nnls

LIGHTS = [0.5, 0.25, 0.25]


def read():
    """Rows of numbers by their first word."""
    rows = {}
    for line in sys.stdin:
        word, *numbers = line.split()
        rows.setdefault(word, []).append(np.array(numbers, dtype=float))
    return rows


class Store:
    def __init__(self, rows):
        self.units = np.array(rows["unit"])
        self.cloth = rows["cloth"][0]
        self.k_max = rows["k_max"][0][0]
        # Per light three rows of weights, and the white.
        self.weights = np.array(rows["weight"]).reshape(3, 3, -1)
        self.whites = np.array(rows["white"])

    def reflectance(self, k):
        seen = 1.0 / (1.0 + k / self.k_max)
        ks = k * seen + self.cloth
        root = np.sqrt(ks * (ks + 2.0))
        r = 1.0 / (1.0 + ks + root)
        return r, -r / root * seen * seen

    def lab(self, r):
        """Nine numbers, and their slope along the reflectance."""
        out, slopes = [], []
        for weights, white, share in zip(self.weights, self.whites, LIGHTS):
            t = weights @ r / white
            low = t <= (24 / 116) ** 3
            f = np.where(low, t * 841 / 108 + 16 / 116, np.cbrt(t))
            df = np.where(low, 841 / 108, 1 / (3 * np.cbrt(np.maximum(t, 1e-9)) ** 2)) / white
            d = df[:, None] * weights
            s = np.sqrt(share)
            out += [s * (116 * f[1] - 16), s * 500 * (f[0] - f[1]), s * 200 * (f[1] - f[2])]
            slopes += [s * 116 * d[1], s * 500 * (d[0] - d[1]), s * 200 * (d[1] - d[2])]
        return np.array(out), np.array(slopes)


def solve(store, target):
    goal, _ = store.lab(target)
    wanted = (1 - target) ** 2 / (2 * target) - store.cloth
    wanted = np.clip(wanted, 0, 0.95 * store.k_max)
    wanted = wanted / (1 - wanted / store.k_max)
    _, falls = store.reflectance(wanted)
    best = np.inf
    for n in (1, 2, 3):
        for dyes in combinations(range(len(store.units)), n):
            units = store.units[list(dyes)]
            start, _ = nnls((units * falls).T, wanted * falls)

            def residuals(x):
                return store.lab(store.reflectance(x @ units)[0])[0] - goal

            def slopes(x):
                r, falls = store.reflectance(x @ units)
                return store.lab(r)[1] @ (units * falls).T

            start = np.clip(start, 1e-6, 39.9)
            found = least_squares(residuals, start, slopes, bounds=(0, 40), method="trf", xtol=1e-6, ftol=1e-6)
            best = min(best, found.cost)
    return best


def main():
    rows = read()
    store = Store(rows)
    times = []
    for target in rows["target"]:
        begun = time.perf_counter()
        solve(store, target)
        times.append((time.perf_counter() - begun) * 1e3)
    times.sort()
    print(f"shades scipy {times[len(times) // 2]:.2f} {times[-1]:.2f}")


main()
