"""Firewood by diameter class: what lies within reach, and what a kilogram of it takes to make burnable."""

import math
from dataclasses import dataclass, replace

from catalog import Method
from catalog.tables.ledger import Ledger
from catalog.wood.bending import breaks, broken_mm
from catalog.wood.cut import clefts_per_round
from solver.forms.trip import DiameterClass, Trip
from solver.needs.job import Job, job_of, split_jobs
from solver.place.site import Site, firewood_mm, hearth_of

_MM_PER_M = 1000
TWIGS_MM, THIN_MM, MIDDLE_MM = 30, 50, 80  # judged: the thicknesses at which reach and gathering change


@dataclass(frozen=True)
class WoodClass:
    """Wood of one thickness: reach [kg a day], a round's mass [kg], gathering [min/kg], jobs per kilogram.

    `short_mm` is the thickest round that each field method breaks as short as this wood must be [mm]: a stove's
    pieces, and those that are split. None: it may stay as long as it breaks.
    """

    diameter_mm: float
    reach_kg: float
    round_kg: float
    clefts: int
    gather_min_per_kg: float
    buck: Job
    splits: tuple[Job, ...]
    short_mm: dict[str, float] | None

    def worked_by(self, method: Method) -> bool:
        """Tell whether a field method leaves pieces as short as this wood must be."""
        if self.short_mm is None:
            return True
        return not method.own_fire and self.short_mm.get(method.id, math.inf) >= self.diameter_mm

    @property
    def jobs(self) -> list[Job]:
        """The jobs that every kilogram of it is due."""
        return [self.buck, *self.splits]


def wood_classes(trip: Trip, site: Site, ledger: Ledger) -> list[WoodClass]:
    """Return the classes that a trip can burn, thinnest first."""
    hearth = hearth_of(trip)
    if hearth is None:
        return []
    pieces = replace(site, burnable_mm=hearth.burnable_mm(site.burnable_mm, ledger))
    longest = hearth.longest_mm(ledger)
    found = sorted(_within_reach(trip, site, ledger), key=lambda one: one.mm)
    return [_wood_class(one, pieces, longest, ledger) for one in found]


def _within_reach(trip: Trip, site: Site, ledger: Ledger) -> list[DiameterClass]:
    """Return the diameters with their reach: the trip's own, or the usual reach shared out over a band.

    Snow buries thin and middle wood.
    """
    if trip.wood.diameters is not None:
        return _merged(trip.wood.diameters)
    diameters = firewood_mm(trip)
    bands = [band(mm) for mm in diameters]
    buried = {name: ledger("reach_snow") if site.snow and name != "thick" else 1.0 for name in bands}
    return [
        DiameterClass(mm=mm, reach_kg_per_day=ledger(f"reach_{name}") * buried[name] / bands.count(name))
        for mm, name in zip(diameters, bands, strict=True)
    ]


def _merged(classes: list[DiameterClass]) -> list[DiameterClass]:
    """Return the classes with equal diameters added up."""
    reach: dict[float, float] = {}
    for one in classes:
        reach[one.mm] = reach.get(one.mm, 0.0) + one.reach_kg_per_day
    return [DiameterClass(mm=mm, reach_kg_per_day=kg) for mm, kg in reach.items()]


def band(diameter_mm: float) -> str:
    """Return the name of the band of thickness that reach and gathering go by."""
    if diameter_mm <= THIN_MM:
        return "thin"
    return "middle" if diameter_mm <= MIDDLE_MM else "thick"


def _gathered(diameter_mm: float) -> str:
    """Return the name of the band of thickness that gathering goes by."""
    return "twigs" if diameter_mm <= TWIGS_MM else band(diameter_mm)


def _wood_class(one: DiameterClass, site: Site, longest_mm: float | None, ledger: Ledger) -> WoodClass:
    """Return one class: every kilogram is cut to length, and split where it is too thick or wet outside.

    Args:
        one: its thickness and reach.
        site: the place of work, whose rounds are split to the size of the hearth.
        longest_mm: longest piece that the hearth takes [mm], None where it takes any.
        ledger: reads and notes the assumptions.
    """
    length_m = min(ledger("round_length"), longest_mm or math.inf) / _MM_PER_M
    round_kg = site.density_kg_m3 * math.pi * (one.mm / _MM_PER_M) ** 2 / 4 * length_m  # derived: a cylinder
    due = one.mm >= site.split_from_mm or one.mm > site.burnable_mm
    rounds = 1 / round_kg
    common = {"diameter_mm": one.mm, "amount": rounds, "min_score": 0.0, "site": site, "ledger": ledger}
    return WoodClass(
        diameter_mm=one.mm,
        reach_kg=one.reach_kg_per_day,
        round_kg=round_kg,
        clefts=clefts_per_round(diameter_mm=one.mm, burnable_mm=site.burnable_mm) if due else 0,
        gather_min_per_kg=ledger(f"gather_{_gathered(one.mm)}") * (ledger("gather_snow") if site.snow else 1.0),
        buck=job_of("buck", **common),  # type: ignore[arg-type]  # the keywords of job_of, shared by both
        splits=split_jobs(**common) if due else (),  # type: ignore[arg-type]  # as above
        short_mm=_short_mm(site, longest_mm, ledger, due=due),
    )


def _short_mm(site: Site, longest_mm: float | None, ledger: Ledger, *, due: bool) -> dict[str, float] | None:
    """Return the thickest round that each field method breaks short enough [mm]; None where wood may stay long."""
    if not due and longest_mm is None:
        return None
    if not site.rupture_mpa:
        return dict.fromkeys(breaks(), 0.0)
    longest = ledger("split_piece_longest") if longest_mm is None else longest_mm
    return {name: broken_mm(name, rupture_mpa=site.rupture_mpa, ledger=ledger, longest_mm=longest) for name in breaks()}
