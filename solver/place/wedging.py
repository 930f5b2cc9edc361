"""Wedges carved in camp: a carried tool starts the first cleft of a round and carves the wedges that open it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic

from catalog import Method, methods
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, negated, somewhere
from solver.forms.barring import usable_methods
from solver.forms.trip import Trip


@dataclass(frozen=True)
class Wedging(Generic[N]):
    """How rounds are opened with wedges.

    Attributes:
        score: of driving them, on the scale of splitting.
        largest_mm: thickest round that they open [mm].
        least_mm: thinnest round that they open [mm].
        start_split: thickest round that a tool can start, as a multiple of its largest splitting diameter.
        start_chop: the same, as a share of its largest chopping diameter.
        start_min: minutes to start a cleft and set the wedges.
        start_cm3: notch volume that wears an edge as a start does, where its life is stated in notches.
        carved: wedges carved for a round.
        carving_min: minutes of carving for a round at score 10.
        there: whether they open any; of draws, in which.
    """

    score: float
    largest_mm: float
    least_mm: N
    start_split: N
    start_chop: N
    start_min: N
    start_cm3: N
    carved: N
    carving_min: N
    there: Truth = True


def wedging_of(trip: Trip, diameters_mm: Iterable[float], *, frozen: Truth, ledger: Ledger[N]) -> Wedging[N] | None:
    """Return how wedges open the rounds of a trip, or None where they open none.

    Wedges want sound wood with straight grain that is not frozen, rounds that are thick enough, and hands that
    are not numb (judged).

    Args:
        trip: what the traveller asks.
        diameters_mm: of the rounds that may be split.
        frozen: whether the wood is frozen.
        ledger: reads and notes the assumptions.
    """
    method = next((one for one in usable_methods(trip) if one.with_tools), None)
    thickest = max(diameters_mm, default=0.0)
    there = negated(frozen)
    if method is None or not somewhere(there) or trip.wood.knotty or not thickest:
        return None
    least = ledger("wedge_least_mm")
    there = there & (thickest >= least)
    if not somewhere(there):
        return None
    there = there & (trip.air_c >= ledger("wedge_coldest_c"))
    if not somewhere(there):
        return None
    carved = ledger("wedges_a_round") / ledger("wedge_lasts")
    return Wedging(
        score=method.split_score,
        largest_mm=method.split_max_mm,
        least_mm=least,
        start_split=ledger("wedge_start_split"),
        start_chop=ledger("wedge_start_chop"),
        start_min=ledger("wedge_start_min"),
        start_cm3=ledger("wedge_start_cm3"),
        carved=carved,
        carving_min=carved * ledger("wedge_minutes"),
        there=there,
    )


def wedge_method() -> Method:
    """Return the row of the method."""
    return next(one for one in methods() if one.with_tools)
