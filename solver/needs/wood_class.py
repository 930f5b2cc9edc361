"""Firewood by diameter class: what lies within reach, and what a kilogram of it takes to make burnable."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import reduce
from operator import or_
from typing import Generic

from catalog import Method
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, minimum, negated, somewhere, where
from catalog.wood.bending import breaks, broken_mm
from catalog.wood.cut import clefts_per_round
from solver.forms.trip import DiameterClass, Trip
from solver.needs.job import Job, job_of, split_jobs
from solver.place.fire_use import FireUse
from solver.place.site import Site, firewood_mm, hearth_of

_MM_PER_M = 1000
TWIGS_MM, THIN_MM, MIDDLE_MM = 30, 50, 80  # judged: the thicknesses at which reach and gathering change


@dataclass(frozen=True)
class WoodClass(Generic[N]):
    """Wood of one thickness: reach [kg a day], a round's mass [kg], gathering [min/kg], jobs per kilogram.

    `short_mm` is the thickest round that each field method breaks as short as this wood must be [mm]: a stove's
    pieces, and those that are split. None: it may stay as long as it breaks. `long` tells of draws in which it may,
    and `split` in which it is split. Figures are numbers, or arrays of draws.
    """

    diameter_mm: float
    reach_kg: N
    round_kg: N
    clefts: N
    gather_min_per_kg: N
    buck: Job[N]
    splits: tuple[Job[N], ...]
    short_mm: dict[str, N] | None
    long: Truth
    split: Truth

    def worked_by(self, method: Method) -> Truth:
        """Tell whether a field method leaves pieces as short as this wood must be."""
        if self.short_mm is None:
            return True
        if method.own_fire:
            return self.long
        return self.long | (self.short_mm.get(method.id, math.inf) >= self.diameter_mm)

    @property
    def jobs(self) -> list[Job[N]]:
        """The jobs that every kilogram of it is due."""
        found = [self.buck]
        found += self.splits
        return found


@dataclass(frozen=True)
class _Reach(Generic[N]):
    """Wood of a thickness [mm], and how much of it lies within reach [kg a day]."""

    mm: float
    kg: N


def wood_classes(trip: Trip, site: Site[N], uses: Sequence[FireUse[N]], ledger: Ledger[N]) -> list[WoodClass[N]]:
    """Return the classes that a trip can burn, thinnest first; none where nothing wants a fire."""
    hearth = hearth_of(trip)
    if hearth is None or not uses:
        return []
    lit = reduce(or_, [use.there for use in uses])
    pieces = replace(site, burnable_mm=hearth.burnable_mm(site.burnable_mm, ledger))
    longest = hearth.longest_mm(ledger)
    found = sorted(_within_reach(trip, site, ledger), key=lambda one: one.mm)
    return [_wood_class(one, pieces, longest, lit, ledger) for one in found]


def _within_reach(trip: Trip, site: Site[N], ledger: Ledger[N]) -> list[_Reach[N]]:
    """Return the diameters with their reach: the trip's own, or the usual reach shared out over a band.

    Snow buries thin and middle wood.
    """
    if trip.wood.diameters is not None:
        return _merged(trip.wood.diameters)
    diameters = firewood_mm(trip)
    bands = [band(mm) for mm in diameters]
    buried: dict[str, N] = {name: ledger("reach_snow") if site.snow and name != "thick" else 1.0 for name in bands}
    return [
        _Reach(mm, ledger(f"reach_{name}") * buried[name] / bands.count(name))
        for mm, name in zip(diameters, bands, strict=True)
    ]


def _merged(classes: list[DiameterClass]) -> list[_Reach[N]]:
    """Return the classes with equal diameters added up."""
    reach: dict[float, float] = {}
    for one in classes:
        reach[one.mm] = reach.get(one.mm, 0.0) + one.reach_kg_per_day
    return [_Reach(mm, kg) for mm, kg in reach.items()]


def band(diameter_mm: float) -> str:
    """Return the name of the band of thickness that reach and gathering go by."""
    if diameter_mm <= THIN_MM:
        return "thin"
    return "middle" if diameter_mm <= MIDDLE_MM else "thick"


def _gathered(diameter_mm: float) -> str:
    """Return the name of the band of thickness that gathering goes by."""
    return "twigs" if diameter_mm <= TWIGS_MM else band(diameter_mm)


def _wood_class(one: _Reach[N], site: Site[N], longest_mm: N | None, lit: Truth, ledger: Ledger[N]) -> WoodClass[N]:
    """Return one class: every kilogram is cut to length, and split where it is too thick or wet outside.

    Args:
        one: its thickness and reach.
        site: the place of work, whose rounds are split to the size of the hearth.
        longest_mm: longest piece that the hearth takes [mm], None where it takes any.
        lit: whether a fire burns.
        ledger: reads and notes the assumptions.
    """
    length_mm = ledger("round_length")
    length_m = (length_mm if longest_mm is None else minimum(length_mm, longest_mm)) / _MM_PER_M
    round_kg = site.density_kg_m3 * math.pi * (one.mm / _MM_PER_M) ** 2 / 4 * length_m  # derived: a cylinder
    due = (one.mm >= site.split_from_mm) | (one.mm > site.burnable_mm)
    rounds = 1 / round_kg
    common = {"diameter_mm": one.mm, "amount": rounds, "min_score": 0.0, "site": site, "ledger": ledger}
    return WoodClass(
        diameter_mm=one.mm,
        reach_kg=one.kg,
        round_kg=round_kg,
        clefts=where(due, lambda: clefts_per_round(diameter_mm=one.mm, burnable_mm=site.burnable_mm), lambda: 0),
        gather_min_per_kg=ledger(f"gather_{_gathered(one.mm)}") * (ledger("gather_snow") if site.snow else 1.0),
        buck=job_of("buck", **common, there=lit),  # type: ignore[arg-type]  # the keywords of job_of, shared by both
        splits=split_jobs(**common, there=lit & due) if somewhere(due) else (),  # type: ignore[arg-type]  # as above
        short_mm=_short_mm(site, longest_mm, ledger, due=due),
        long=negated(due) if longest_mm is None else False,
        split=due,
    )


def _short_mm(site: Site[N], longest_mm: N | None, ledger: Ledger[N], *, due: Truth) -> dict[str, N] | None:
    """Return the thickest round that each field method breaks short enough [mm]; None where wood may stay long."""
    if not somewhere(due) and longest_mm is None:
        return None
    if not somewhere(site.rupture_mpa > 0):
        return dict.fromkeys(breaks(), 0.0)
    longest = ledger("split_piece_longest") if longest_mm is None else longest_mm
    return {name: broken_mm(name, rupture_mpa=site.rupture_mpa, ledger=ledger, longest_mm=longest) for name in breaks()}
