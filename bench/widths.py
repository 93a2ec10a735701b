"""Local widths of a drawing by shrinking balls over scipy's k-d tree, for comparison with the `stamp` crate.

From each point of the outline along its normal the greatest disc that holds no other point: the ball is shrunk to the
nearest point until none lies in it (Ma, Bae and Choi, The Visual Computer 28, 2012). The points come on standard input
as `<x> <y> <normal x> <normal y>`, mm; our own side measures to the edges between them, so the radii agree to what the
sampling costs. One thread; least of several repeats. Prints

    widths scipy <us per point>
    check <quartiles of the radii, mm>
"""

import sys
import time

import numpy as np
from scipy.spatial import cKDTree

WIDEST = 8.0
REPEATS = 3
ROUNDS = 30


def radii(points, normals):
    tree = cKDTree(points)
    radius = np.full(len(points), WIDEST)
    open_ = np.arange(len(points))
    for _ in range(ROUNDS):
        p, n = points[open_], normals[open_]
        centre = p + radius[open_, None] * n
        far, near = tree.query(centre)
        v = points[near] - p
        towards = np.einsum("ij,ij->i", v, n)
        smaller = (far < radius[open_] - 1e-6) & (towards > 1e-9)
        r = np.where(smaller, np.einsum("ij,ij->i", v, v) / np.where(smaller, 2 * towards, 1), radius[open_])
        radius[open_] = np.minimum(radius[open_], r)
        open_ = open_[smaller]
        if len(open_) == 0:
            break
    return radius


def main():
    data = np.loadtxt(sys.stdin)
    points, normals = data[:, :2], data[:, 2:]
    best = float("inf")
    for _ in range(REPEATS):
        start = time.perf_counter()
        found = radii(points, normals)
        best = min(best, time.perf_counter() - start)
    print(f"widths scipy {best / len(points) * 1e6:.3f}")
    print("check " + " ".join(f"{v:.4f}" for v in np.quantile(found, [0.25, 0.5, 0.75])))


main()
