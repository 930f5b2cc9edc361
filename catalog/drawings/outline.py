from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Self

from pydantic import Field, model_validator

from catalog.tables.errors import RangeError
from catalog.tables.number import N, power
from catalog.tables.strict_form import Drawing

# judged: more points than any blade needs at a hundredth of a millimetre
_MOST_POINTS = 200
# judged: two stations nearer than this are one
LEAST_STEP_MM = 0.001
# judged: the point begins where the width has fallen by this share
_POINT_BEGINS = 0.95

_Coordinate = Annotated[float, Field(ge=-1000, le=1000)]
_Point = Annotated[list[_Coordinate], Field(min_length=2, max_length=2)]
_Chain = Annotated[list[_Point], Field(min_length=2, max_length=_MOST_POINTS)]


class BladeOutline(Drawing):
    """The side view of a blade by points (x, y) [mm], joined by straight lines.

    x is 0 at the handle and rises to the tip; y rises from edge to spine. The blade stretches the outline to its
    `length_mm` and `width_mm`, so that a sweep may vary both.
    """

    spine: _Chain = Field(description="points of the spine, from the handle to the tip")
    edge: _Chain = Field(description="points of the edge, from the handle to the tip; it ends where the spine ends")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        for name, chain in (("spine", self.spine), ("edge", self.edge)):
            _fits(f"{name}.0.x", chain[0][0], low=0, high=0)
            for place, (one, other) in enumerate(pairwise(chain), start=1):
                _fits(f"{name}.{place}.x", other[0], low=one[0] + LEAST_STEP_MM, high=1000)  # judged: as the field
        end_mm = self.spine[-1][0]
        _fits(f"edge.{len(self.edge) - 1}.x", self.edge[-1][0], low=end_mm, high=end_mm)
        for x_mm in self.stations_mm[:-1]:
            if self.width_at(x_mm) <= 0:
                raise ValueError(f"at x {x_mm:g} mm the edge lies on or above the spine")
        if self.width_at(end_mm) < 0:
            raise ValueError(f"at the tip, x {end_mm:g} mm, the edge lies above the spine")
        return self

    @property
    def length_mm(self) -> float:
        """From the handle to the tip [mm]."""
        return self.spine[-1][0]

    @cached_property
    def stations_mm(self) -> tuple[float, ...]:
        """Where spine or edge has a corner, both ends included [mm]."""
        return tuple(sorted({x for x, _ in (*self.spine, *self.edge)}))

    @cached_property
    def greatest_mm(self) -> float:
        """The greatest width [mm]."""
        return max(self.width_at(x) for x in self.stations_mm)

    @cached_property
    def area_mm2(self) -> float:
        """Area between spine and edge [mm2].

        Source: derived, the trapezium rule, exact between two corners.
        """
        return sum(
            (x - before) * (self.width_at(x) + self.width_at(before)) / 2 for before, x in pairwise(self.stations_mm)
        )

    @cached_property
    def point_share(self) -> float:
        """Share of the length over which the width falls to the point for good [-]."""
        broad = [x for x in self.stations_mm if self.width_at(x) >= _POINT_BEGINS * self.greatest_mm]
        return 1 - broad[-1] / self.length_mm

    def edge_at(self, x_mm: float) -> float:
        """Height of the edge at a station [mm]."""
        return _between(self._edge_x, self.edge, x_mm)

    def width_at(self, x_mm: float) -> float:
        """Edge to spine at a station [mm]."""
        return _between(self._spine_x, self.spine, x_mm) - self.edge_at(x_mm)

    @cached_property
    def _spine_x(self) -> list[float]:
        return [x for x, _ in self.spine]

    @cached_property
    def _edge_x(self) -> list[float]:
        return [x for x, _ in self.edge]

    def spine_slopes(self, from_mm: float) -> list[tuple[float, float]]:
        """Return length along the axis [mm] and steepness [-] of each straight part of the spine behind a station."""
        parts = []
        for (x, y), (end, end_y) in pairwise(self.spine):
            if end > from_mm:
                parts.append((end - max(x, from_mm), abs(end_y - y) / (end - x)))
        return parts


def _between(places: list[float], chain: Sequence[Sequence[float]], x_mm: float) -> float:
    """Return the height of a chain of points at a station [mm]."""
    after = min(max(bisect_right(places, x_mm), 1), len(chain) - 1)
    (x, y), (end, end_y) = chain[after - 1], chain[after]
    return y + (end_y - y) * (x_mm - x) / (end - x)


def _fits(quantity: str, value: float, *, low: float, high: float) -> None:
    if not low <= value <= high:
        raise RangeError(quantity=quantity, value=value, low=low, high=high, unit="mm", source="the outline")


def struck_share(slope: N, *, slip: N) -> N:
    """Share of a piece of spine that a baton can strike before it slips off, 1 / (1 + (slope / slip)4) [-].

    Args:
        slope: how steeply it falls [-].
        slip: the slope at which a baton slips off, its friction on the spine [-].
    """
    # judged: how sharply a baton slips off, half at equality
    return 1 / (1 + power(slope / slip, 4))
