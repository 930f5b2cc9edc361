"""A map of who wants an offer: the share of kits over two figures of the trips, with how many trips rest in a cell."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from catalog.equipment.camp_work import camp_items
from solver.forms.trip import Trip
from solver.offers.adoption_answer import AdoptionCell, AdoptionMap, TripFigure
from solver.place.site import firewood_mm, hearth_of

_MAPS: tuple[tuple[TripFigure, TripFigure], ...] = (("nights", "air_c"), ("thickest_mm", "work_min_per_day"))
_BANDS = 4  # judged: so many of a figure that a cell still holds trips, and a page of A4 two maps


def map_figures(trip: Trip) -> dict[TripFigure, float]:
    """Return the figures by which a trip has its place on the maps; a trip without wood has no thickness."""
    found: dict[TripFigure, float] = {
        "nights": float(trip.nights),
        "air_c": trip.air_c,
        "work_min_per_day": trip.limits.work_min_per_day,
    }
    work = [item.diameter_mm for item in (camp_items()[one.id] for one in trip.camp_work)]
    wood = [*(task.diameter_mm for task in trip.tasks), *work, *(firewood_mm(trip) if hearth_of(trip) else [])]
    return found | ({"thickest_mm": max(wood)} if wood else {})


@dataclass(frozen=True)
class CellShares:
    """What is told of the trips of a cell, given their places: share of kits, share within 50 g, half of them allow."""

    adoption: Callable[[Sequence[int]], float]
    within_50_g: Callable[[Sequence[int]], float]
    median_allowance_g: Callable[[Sequence[int]], float | None]


def maps_of(figures: Sequence[dict[TripFigure, float]], shares: CellShares) -> list[AdoptionMap]:
    """Return the maps; a figure that is the same on all trips has one band.

    Args:
        figures: of each trip.
        shares: tells of the trips of a cell.
    """
    return [_map_of(across, down, figures, shares) for across, down in _MAPS]


def _map_of(
    across: TripFigure, down: TripFigure, figures: Sequence[dict[TripFigure, float]], shares: CellShares
) -> AdoptionMap:
    """Return one map, with the cells that hold trips, by rows."""
    here = [place for place, one in enumerate(figures) if across in one and down in one]
    columns = _bands([figures[place][across] for place in here])
    rows = _bands([figures[place][down] for place in here])
    cells = []
    for down_low, down_high in rows:
        for across_low, across_high in columns:
            places = [
                place
                for place in here
                if across_low <= figures[place][across] <= across_high and down_low <= figures[place][down] <= down_high
            ]
            if places:
                cells.append(
                    AdoptionCell(
                        across_low=across_low,
                        across_high=across_high,
                        down_low=down_low,
                        down_high=down_high,
                        trips=len(places),
                        adoption=shares.adoption(places),
                        within_50_g=shares.within_50_g(places),
                        median_allowance_g=shares.median_allowance_g(places),
                    )
                )
    return AdoptionMap(across=across, down=down, cells=cells)


def _bands(values: Sequence[float]) -> list[tuple[float, float]]:
    """Return bands that hold about as many values each, from the least to the largest value of each, rising."""
    different = sorted(set(values))
    if len(different) <= _BANDS:
        return [(value, value) for value in different]
    inner = np.quantile(values, [part / _BANDS for part in range(1, _BANDS)]).tolist()
    ends = [-np.inf, *sorted(set(inner)), np.inf]
    within = [[value for value in different if low < value <= high] for low, high in pairwise(ends)]
    return [(band[0], band[-1]) for band in within if band]
