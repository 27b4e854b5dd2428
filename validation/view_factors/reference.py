"""Emissivity of the mouth of an isothermal slot, computed independently of tiltfin.

Writes the values of "slot" in reference.csv: python3 reference.py (numpy).

Each wall of a slot of width 1 is cut into n strips, shorter at the rim and at the bottom, the bottom
into n / 4; view factors by crossed strings; the radiosities by a dense solve; the heat through the
mouth extrapolated with second order from n = 200 and 400.
"""

import numpy as np


def emissivity(e, depth, n):
    def cuts(k):
        return 0.5 * (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, k + 1)))

    y, x = depth * cuts(n), cuts(n // 4)
    walls = [((0.0, y[k + 1]), (0.0, y[k])) for k in range(n)]
    bottom = [((x[k], 0.0), (x[k + 1], 0.0)) for k in range(n // 4)]
    opposite = [((1.0, y[k]), (1.0, y[k + 1])) for k in range(n)]
    mouth = [((1.0, depth), (0.0, depth))]
    strips = np.array(walls + bottom + opposite + mouth)
    face = np.repeat(np.arange(4), [n, n // 4, n, 1])
    a, b = strips[:, 0], strips[:, 1]

    def distance(p, q):
        return np.hypot(p[:, None, 0] - q[None, :, 0], p[:, None, 1] - q[None, :, 1])

    exchange = 0.5 * np.abs(distance(a, a) + distance(b, b) - distance(a, b) - distance(b, a))
    exchange[face[:, None] == face[None, :]] = 0.0
    factors = exchange / np.hypot(*(a - b).T)[:, None]
    own = np.where(face == 3, 1.0, e)  # the mouth is black and cold
    power = np.where(face == 3, 0.0, 1.0)
    radiosity = np.linalg.solve(np.eye(len(own)) - (1.0 - own)[:, None] * factors, own * power)
    return (factors @ radiosity)[-1]


for e in (0.05, 0.2, 0.82):
    for depth in (2.0, 8.0):
        coarse, fine = emissivity(e, depth, 200), emissivity(e, depth, 400)
        print(f"e {e} H/s {depth:g}: {fine + (fine - coarse) / 3.0:.5f} ({fine - coarse:+.1e})")
