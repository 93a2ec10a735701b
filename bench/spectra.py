"""One million spectra to CIELAB with colour-science, for comparison with the `colour` crate.

Its vectorised way: the spectra as arrays, integrated under D65 for the 10 degree observer, then CIELAB of the whole
array. One thread; the least time of each block over several repeats. Prints one line:

    spectrum-to-lab colour-science <ns per spectrum>

Also writes the CIELAB of a few spectra that both sides make from the same rule, so that the comparison is of the same
work:

    check <L> <a> <b>
"""

import time
import warnings

import numpy as np

warnings.filterwarnings("ignore")
import colour  # noqa: E402

COUNT = 1_000_000
BLOCK = 100_000  # spectra at once: larger arrays are slower
REPEATS = 5
OBSERVER = "CIE 1964 10 Degree Standard Observer"


def reflectances(first, count):
    """The rule of both sides: band b of spectrum i is 0.5 + 0.4 sin(0.2 b + 0.001 i), as smooth as cloth."""
    i = np.arange(first, first + count, dtype=np.float64)[:, None]
    return 0.5 + 0.4 * np.sin(0.2 * np.arange(31)[None, :] + 0.001 * i)


def main():
    cmfs = colour.MSDS_CMFS[OBSERVER]
    light = colour.SDS_ILLUMINANTS["D65"]
    shape = colour.SpectralShape(400, 700, 10)

    def to_xyz(spectra):
        return colour.msds_to_XYZ(spectra, cmfs, light, method="Integration", shape=shape) / 100

    white = colour.XYZ_to_xy(to_xyz(np.ones((1, 31)))[0])
    blocks = [reflectances(first, BLOCK) for first in range(0, COUNT, BLOCK)]
    best = [float("inf")] * len(blocks)
    labs = [None] * len(blocks)
    for _ in range(REPEATS):
        for at, block in enumerate(blocks):
            start = time.perf_counter()
            labs[at] = colour.XYZ_to_Lab(to_xyz(block), white)
            best[at] = min(best[at], time.perf_counter() - start)
    print(f"spectrum-to-lab colour-science {sum(best) / COUNT * 1e9:.1f}")
    for row in labs[0][:3]:
        print("check " + " ".join(f"{v:.3f}" for v in row))


main()
