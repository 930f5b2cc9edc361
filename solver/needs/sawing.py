"""Sawing by a party: two at one saw, and logs that are turned because the frame does not clear them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.assumption import assumed
from catalog.tables.ledger import Ledger
from catalog.tables.number import Floats, N, Number
from solver.forms.trip import Trip
from solver.needs.candidates import Candidates
from solver.needs.job import KNIFE, Job

PAIR = 2  # people at one saw


@dataclass(frozen=True)
class Sawing:
    """People who can work, those of the whole party, and the share of a saw's rate that turning the log leaves [-].

    The share is a number, or one for each of an axis of draws.
    """

    people: int
    party: int
    turned: Number


def sawing_of(trip: Trip, people: int, jobs: Sequence[Job[N]], candidates: Candidates, ledger: Ledger[N]) -> Sawing:
    """Return how those of a party who can work saw; the share counts as used where some log of the trip is turned."""
    low, high = candidates.figures["saw_max_mm"], candidates.sawn_mm
    sawn = [job.diameter_mm for job in jobs if "saw" in job.loads]
    if any(((low < mm) & (mm <= high)).any() for mm in sawn):
        ledger.note(("saw_turned_share",))
    return Sawing(people, trip.people, assumed("saw_turned_share", ledger.changed))


def usable_scores(candidates: Candidates, way: str, sawing: Sawing) -> Floats:
    """Return the scores of workers at a way of working, 0 for tools that one person alone can't use.

    What counts as a knife in the pack is settled by the party when it packs.
    """
    score = candidates.figures[f"{way}_score"]
    people = sawing.party if way == KNIFE else sawing.people
    if people >= PAIR or candidates.for_one.all():
        return score
    return np.where(candidates.for_one, score, 0.0)


def pair_gain(candidates: Candidates, sawing: Sawing) -> Floats:
    """Return the sawing rate per person and minute over that of one person alone [-], of each worker.

    Two saw together where that gains a minute of the party, or where one can't use the tool.
    """
    if sawing.people < PAIR:
        return np.ones(len(candidates.rows))
    together = candidates.pair_rate / PAIR
    return np.where(candidates.for_one, np.maximum(together, 1.0), together)
