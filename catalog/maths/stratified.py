"""Draws of figures by name, normal or even: each stratified by itself (a Latin hypercube), or plain pseudorandom."""

from functools import cache
from hashlib import sha256
from statistics import NormalDist

import numpy as np

from catalog.tables.number import Floats


def normal_draws(*, name: str, count: int, seed: int) -> Floats:
    """Return draws of a standard normal figure, one from the middle of each of as many strata, float[count].

    Their order goes by the seed and the name alone, so that one figure more changes no other's draws.

    Args:
        name: of the figure.
        count: how many draws, 1 or more.
        seed: any whole number.

    Source: Latin hypercube sampling (McKay, Beckman and Conover 1979, Technometrics 21, 239-245; from memory), with
    strata entered at their middle.
    """
    return _middles(count)[generator(f"{seed}:{name}").permutation(count)]


def even_draws(*, name: str, count: int, seed: int) -> Floats:
    """Return draws of a figure spread evenly between 0 and 1, one from the middle of each of as many strata.

    Args:
        name: of the figure; each has an order of its own.
        count: how many draws, 1 or more.
        seed: any whole number.

    Returns:
        float[count].

    Source: as `normal_draws`.
    """
    # derived: the middle of a stratum is half a stratum above its lower end
    return (generator(f"{seed}:{name}").permutation(count) + 1 / 2) / count


def in_strata(figures: Floats) -> Floats:
    """Return normal draws in the order of others, one from the middle of each of as many strata, float[count].

    So draws that go by others keep their dependence, and each figure its own Latin hypercube.

    Args:
        figures: draws of any figure, no two alike, float[count].

    Source: Stein 1987, Technometrics 29, 143-151 (from memory).
    """
    return _middles(len(figures))[figures.argsort(kind="stable").argsort(kind="stable")]


def fresh_normal_draws(*, name: str, count: int, seed: int) -> Floats:
    """Return plain pseudorandom draws of a standard normal figure, from another stream than `normal_draws`.

    They too go by the seed and the name alone.

    Args:
        name: of the figure.
        count: how many draws, 1 or more.
        seed: any whole number.
    """
    return generator(f"fresh:{seed}:{name}").standard_normal(count)


def generator(key: str) -> np.random.Generator:
    """Return a generator of random numbers of its own for a key."""
    # judged: so many bytes seed the generator in full
    return np.random.Generator(np.random.PCG64(int.from_bytes(sha256(key.encode()).digest()[:16], "big")))


@cache
def _middles(count: int) -> Floats:
    """Return the quantiles in the middle of equal strata, rising, float[count]."""
    normal = NormalDist()
    # derived: the middle of a stratum is half a stratum above its lower end
    return np.array([normal.inv_cdf((place + 1 / 2) / count) for place in range(count)])
