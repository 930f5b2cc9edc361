"""Who can do what, and in how many minutes a day: the ability table of a trip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog import Method, Tool, assumed
from solver.case import NEVER, Bools, Ints
from solver.cut import Floats, cleft_length, clefts, face_cm2, notch_cm3, stroke_left
from solver.need import Need

MS_PER_MINUTE = 60_000
TEN = 10  # a score of ten works at the reference rate, by the definition of a score

MODES = {
    "split": ("split",),
    "saw": ("saw",),
    "chop": ("chop",),
    "carve": ("carve",),
    "buck": ("saw", "chop", "buck"),
}
ASSUMPTIONS = {
    "split": ("cleave-rate", "burnable-dry"),
    "saw": ("saw-rate",),
    "chop": ("chop-rate",),
    "carve": ("carve-minutes",),
    "buck": ("saw-rate",),
}


@dataclass(frozen=True)
class Workers:
    """The scores and largest diameters of tools, then methods, by way of working."""

    rows: tuple[Tool, ...]
    carried: int
    score: dict[str, Floats]
    largest: dict[str, Floats]


def workers_from(tools: Sequence[Tool], methods: Sequence[Method]) -> Workers:
    """Return the workers in a table; only methods buck in a way of their own."""
    rows = (*tools, *methods)
    score = {mode: column(rows, f"{mode}_score") for mode in ("split", "saw", "carve", "chop", "buck")}
    largest = {mode: column(rows, f"{mode}_max_mm") for mode in ("split", "saw", "carve", "chop", "buck")}
    return Workers(rows, len(tools), score, largest)


def column(rows: Sequence[Tool], name: str) -> Floats:
    """Return one figure of every row, 0 where the row has none."""
    return np.array([getattr(row, name, 0.0) for row in rows], dtype=float)


@dataclass(frozen=True)
class Ability:
    """N needs against the workers: able, time [ms a day], and the way of working that is fastest."""

    able: Bools
    work: Ints
    mode: list[list[str]]


def ability_of(needs: Sequence[Need], workers: Workers) -> Ability:
    """Return the ability table of a trip's needs."""
    size = (len(needs), len(workers.rows))
    able, work = np.zeros(size, dtype=bool), np.full(size, NEVER)
    mode: list[list[str]] = []
    for n, need in enumerate(needs):
        times = np.stack([mode_work(need, way, workers) for way in MODES[need.task]])
        work[n] = times.min(axis=0)
        able[n] = work[n] < NEVER
        mode.append([MODES[need.task][way] for way in times.argmin(axis=0)])
    return Ability(able, work, mode)


def can(need: Need, mode: str, workers: Workers) -> Bools:
    """Tell which workers can do a need in this way: by score above 0, least score, and diameter."""
    score, largest = workers.score[mode], workers.largest[mode]
    able: Bools = (score > 0) & (score >= need.min_score) & (largest >= need.diameter_mm)
    return able


def mode_work(need: Need, mode: str, workers: Workers) -> Ints:
    """Return the time of every worker that does a need in this way [ms a day], NEVER where it can't."""
    able = can(need, mode, workers)
    rate = np.where(able, workers.score[mode], np.inf) / TEN
    if mode == "saw":
        rate = rate * np.where(able, stroke_left(diameter_mm=need.diameter_mm, largest_mm=workers.largest[mode]), 1.0)
    minutes = need.per_day * reference_minutes(need, mode) / rate
    return np.where(able, np.rint(minutes * MS_PER_MINUTE), NEVER).astype(np.int64)


def reference_minutes(need: Need, mode: str) -> float:
    """Return what one round, cut or piece takes at score 10 [min]."""
    d = need.diameter_mm
    if mode == "split":
        count = clefts(diameter_mm=d, burnable_mm=assumed("burnable-dry"))
        return count * cleft_length(diameter_mm=d) / assumed("cleave-rate")
    if mode == "chop":
        return notch_cm3(diameter_mm=d) / assumed("chop-rate")
    if mode == "carve":
        return assumed("carve-minutes")
    return face_cm2(diameter_mm=d) / assumed("saw-rate")
