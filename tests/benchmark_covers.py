"""Steiner triple covering to its proof, A9 to A45 (Fulkerson, Nemhauser, Trotter 1974).

Run by `python tests/benchmark_covers.py`.

A45 is built on Bose's system of 15 points; from the projective one the optimum would be another. Times are told as
ratios to A27 of the same run.
"""

from time import perf_counter

import numpy as np
from steiner import affine_plane_9, bose, incidence, tripled

from solver import lightest


def main() -> None:
    """Print each system with its optimum, bound, and time against A27."""
    systems = {
        "A9": affine_plane_9(),
        "A15": bose(15),
        "A27": tripled(affine_plane_9()),
        "A45": tripled(bose(15)),
    }
    rows = []
    for name, triples in systems.items():
        able = np.asarray(incidence(triples), dtype=bool)
        start = perf_counter()
        cover = lightest(np.ones(able.shape[1]), able)
        rows.append((name, cover.mass, cover.bound, cover.status, perf_counter() - start))
    base = next(seconds for name, *_, seconds in rows if name == "A27")
    for name, mass, bound, status, seconds in rows:
        print(f"{name}: {mass:g}, bound {bound:g}, {status}, {seconds / base:.2f} x A27")


if __name__ == "__main__":
    main()
