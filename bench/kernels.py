"""The kernels of the cloth in numpy, for comparison with the compiled ones.

The same work as the compiled kernels, written the way a careful numpy user would: float32 throughout, buffers
reused, whole planes at a time (rows in blocks that stay in the cache). Prints one line a kernel:

    <kernel> numpy <ns per sample>

`cargo xtask bench` runs this beside the compiled kernels and prints the ratios. Threads are not used by any of
these operations; least of several repeats.
"""

import sys
import time

import numpy as np

SIDE = 256  # samples along a patch: a plane of float32 is 256 KiB
PER_CELL = 40.0  # samples along a cell of noise
REPEATS = 15

F = np.float32
A, B = np.uint32(0x9FDB3B25), np.uint32(0xC42CEF55)
SEED = np.uint32(7)


def finish(h):
    """Mixes the sum of a place in place: 32 bits in, 32 bits out."""
    h += SEED
    h ^= h >> np.uint32(16)
    h *= np.uint32(0x85EBCA6B)
    h += np.uint32((7 << 13) & 0xFFFFFFFF)
    h ^= h >> np.uint32(13)
    h *= np.uint32(0xC2B2AE35)
    h ^= h >> np.uint32(16)
    return h


def split(v):
    whole = np.floor(v)
    return whole.astype(np.int32).view(np.uint32), v - whole


def fade(t):
    return t * t * t * (t * (t * F(6) - F(15)) + F(10))


def noise(x, y):
    """Gradient noise at arbitrary places: four hashed corners, quintic fade."""
    ix, dx = split(x)
    iy, dy = split(y)
    place = ix * A + iy * B

    def corner(step, ox, oy):
        h = finish(place + step)
        gx = (h & np.uint32(0xFFFF)).astype(F) * F(1 / 32768) - F(1)
        gy = (h >> np.uint32(16)).astype(F) * F(1 / 32768) - F(1)
        gx *= dx - F(ox)
        gy *= dy - F(oy)
        gx += gy
        return gx

    a, b = corner(np.uint32(0), 0, 0), corner(A, 1, 0)
    c, d = corner(B, 0, 1), corner(np.uint32((int(A) + int(B)) & 0xFFFFFFFF), 1, 1)
    wx = fade(dx)
    top = a + wx * (b - a)
    bottom = c + wx * (d - c)
    return F(1.6) * (top + fade(dy) * (bottom - top))


def cells(x, y):
    """Distances to the two nearest of points scattered one to a cell, and who they are; 3 x 3 cells."""
    ix, dx = split(x)
    iy, dy = split(y)
    corner = ix * A + iy * B
    corner -= A
    corner -= B
    f1 = np.full(x.shape, F(9))
    f2 = np.full(x.shape, F(9))
    id1 = np.zeros(x.shape, np.uint32)
    id2 = np.zeros(x.shape, np.uint32)
    for j in range(3):
        for i in range(3):
            h = finish(corner + np.uint32((int(A) * i + int(B) * j) & 0xFFFFFFFF))
            ax = dx + F(0.9 - i) - (h & np.uint32(0xFFFF)).astype(F) * F(0.8 / 65536)
            ay = dy + F(0.9 - j) - (h >> np.uint32(16)).astype(F) * F(0.8 / 65536)
            d = ax * ax + ay * ay
            first = d < f1
            second = d < f2
            f2 = np.where(first, f1, np.where(second, d, f2))
            id2 = np.where(first, id1, np.where(second, h, id2))
            f1 = np.where(first, d, f1)
            id1 = np.where(first, h, id1)
    return np.sqrt(f1), np.sqrt(f2), id1, id2


def gaussian(sigma, radius):
    at = np.arange(-radius, radius + 1)
    taps = np.exp(-0.5 * (at / sigma) ** 2)
    return (taps / taps.sum()).astype(F)


ACROSS, ALONG = gaussian(2.5, 7), gaussian(1.8, 5)  # 15 and 11 taps


def blur(plane, scratch, out, term):
    """Separable Gaussian, 15 taps across and 11 along; `plane` carries its halo, `out` does not."""
    rows, columns = out.shape
    scratch.fill(0)
    for k, tap in enumerate(ACROSS):
        np.multiply(plane[:, k : k + columns], tap, out=term)
        scratch += term
    out.fill(0)
    for k, tap in enumerate(ALONG):
        np.multiply(scratch[k : k + rows], tap, out=term[:rows])
        out += term[:rows]
    return out


BANDS, DYES, K_MAX = 31, 6, F(41)


def colour_tables(rng):
    per_gram = rng.uniform(0.01, 0.5, (BANDS, DYES)).astype(F)
    cloth = rng.uniform(0.005, 0.02, BANDS).astype(F)
    to_screen = rng.uniform(0.0, 2.0 / BANDS, (3, BANDS)).astype(F)
    steps = np.arange(4097) / 4096
    curve = np.where(steps <= 0.0031308, 12.92 * steps, 1.055 * steps ** (1 / 2.4) - 0.055)
    return per_gram, cloth, to_screen, np.rint(curve * 255).astype(np.uint8)


def colour(dyes, tables, k, work):
    """Six dyes to screen bytes: K/S of 31 bands, levelled off, to reflectance, to three linear channels.

    `dyes` is (DYES, samples); `k` and `work` are (BANDS, samples), overwritten. The sum over dyes and the sum
    over bands are matrix products (BLAS).
    """
    per_gram, cloth, to_screen, curve = tables
    np.matmul(per_gram, dyes, out=k)
    np.multiply(k, F(1) / K_MAX, out=work)
    work += F(1)
    k /= work
    k += cloth[:, None]
    np.add(k, F(2), out=work)
    work *= k
    np.sqrt(work, out=work)
    work += k
    work += F(1)
    np.reciprocal(work, out=work)
    linear = to_screen @ work
    np.clip(linear, 0, 1, out=linear)
    linear *= F(4096)
    linear += F(0.5)
    return curve[linear.astype(np.int32)]


def best_ns(work, samples):
    work()
    least = float("inf")
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        least = min(least, time.perf_counter() - start)
    return least / samples * 1e9


def check():
    """The kernels do what they say, before they are timed."""
    lattice = np.arange(8, dtype=F)
    x, y = np.meshgrid(lattice, lattice)
    assert np.abs(noise(x, y)).max() == 0, "gradient noise is zero on its lattice"
    f1, f2, id1, id2 = cells(x + F(0.3), y + F(0.6))
    assert (f1 <= f2).all() and (id1 != id2).all() and f1.max() < 1.1
    flat = np.full((20 + 10, 20 + 14), F(3))
    out = blur(flat, np.empty((30, 20), F), np.empty((20, 20), F), np.empty((30, 20), F))
    assert np.abs(out - 3).max() < 1e-5, "a flat plane stays flat"
    tables = colour_tables(np.random.default_rng(1))
    pale, deep = (
        colour(np.full((DYES, 1), F(g)), tables, np.empty((BANDS, 1), F), np.empty((BANDS, 1), F)) for g in (0, 20)
    )
    assert (pale > deep).all(), "more dye is darker"


def main():
    check()
    rng = np.random.default_rng(1)
    x, y = np.meshgrid(np.arange(SIDE, dtype=F) / F(PER_CELL), np.arange(SIDE, dtype=F) / F(PER_CELL))
    samples = SIDE * SIDE
    plane = rng.random((SIDE + 10, SIDE + 14), dtype=F)
    scratch, term = np.empty((SIDE + 10, SIDE), F), np.empty((SIDE + 10, SIDE), F)
    out = np.empty((SIDE, SIDE), F)
    tables = colour_tables(rng)
    block = SIDE * 8  # 31 bands of 2,048 samples are 248 KiB
    dyes = rng.uniform(0, 5, (DYES, block)).astype(F)
    k, work = np.empty((BANDS, block), F), np.empty((BANDS, block), F)

    for name, kernel, count in [
        ("noise", lambda: noise(x, y), samples),
        ("cells", lambda: cells(x, y), samples),
        ("blur", lambda: blur(plane, scratch, out, term), samples),
        ("colour", lambda: colour(dyes, tables, k, work), block),
    ]:
        print(f"{name} numpy {best_ns(kernel, count):.2f}")


if __name__ == "__main__":
    with np.errstate(over="ignore"):
        sys.exit(main())
