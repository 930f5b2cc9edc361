"""The distribution of latent figures after stopwatch records, by sampling: a random walk that shares no code.

The model, written again: ln minutes = ln(H e^h + K e^(w - s - r)) - p + e, where s is the tool's score, r the rate, w
the wood, h the handling and p the pace, each normal; e is normal with a spread of scaled inverse chi-square, or, with
the chance of a spoilt record, Cauchy.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Records:
    """Records of a small set: places in the list of latents, -1 for none; first the scores, then the shared ones."""

    log_minutes: Floats
    handling: Floats
    cutting: Floats
    slower: NDArray[np.int64]  # [N, 1]: wood
    faster: NDArray[np.int64]  # [N, 2]: score and rate
    hand: NDArray[np.int64]  # [N]
    pace: NDArray[np.int64]  # [N, 2]: person and skill
    sd: Floats
    spread: float
    freedom: float
    spoilt_share: float
    spoilt_spread: float


def log_density(one: Records, latent: Floats) -> Floats:
    """Logarithm of the density after the records, of walkers [W, L + 1]; the last figure is ln of the spread."""
    padded = np.concatenate([latent[:, :-1], np.zeros((len(latent), 1))], axis=1)  # place -1 reads 0
    spread = np.exp(latent[:, -1:])
    work = one.cutting * np.exp(padded[:, one.slower].sum(axis=2) - padded[:, one.faster].sum(axis=2))
    minutes = one.handling * np.exp(padded[:, one.hand]) + work
    error = one.log_minutes - np.log(minutes) + padded[:, one.pace].sum(axis=2)
    good = (1 - one.spoilt_share) * np.exp(-0.5 * (error / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    bad = one.spoilt_share / (np.pi * one.spoilt_spread * (1 + (error / one.spoilt_spread) ** 2))
    prior = -0.5 * np.sum((latent[:, :-1] / one.sd) ** 2, axis=1)
    ratio = one.spread / spread[:, 0]
    told: Floats = np.log(good + bad).sum(axis=1) + prior + one.freedom * np.log(ratio) - 0.5 * one.freedom * ratio**2
    return told


def sampled(one: Records, *, steps: int, walkers: int, seed: int) -> Floats:
    """Draws of the latents and of ln of the spread, by stretch moves of two halves (Goodman and Weare 2010)."""
    rng = np.random.default_rng(seed)
    wide = len(one.sd) + 1
    place = rng.normal(size=(walkers, wide)) * np.append(one.sd, 0.2) * 0.3
    place[:, -1] += np.log(one.spread)
    density = log_density(one, place)
    half, kept = walkers // 2, []
    for step in range(steps):
        for mine, other in ((slice(0, half), slice(half, None)), (slice(half, None), slice(0, half))):
            stretch = (1 + rng.random(half)) ** 2 / 2  # between 1/2 and 2
            partner = place[other][rng.integers(half, size=half)]
            moved = partner + stretch[:, None] * (place[mine] - partner)
            found = log_density(one, moved)
            taken = np.log(rng.random(half)) < (wide - 1) * np.log(stretch) + found - density[mine]
            place[mine] = np.where(taken[:, None], moved, place[mine])
            density[mine] = np.where(taken, found, density[mine])
        if step >= steps // 3 and step % 5 == 0:
            kept.append(place.copy())
    return np.concatenate(kept)
