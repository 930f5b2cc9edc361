"""A search for the best design as it is asked: the design, the measures that move, the trips and the limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from catalog.bench.design import Design
from catalog.bench.design_limit import loosened
from catalog.bench.feasibility import LimitName
from catalog.drawings.knife import KnifeDrawing
from solver.answers.sweep import DesignLimits
from solver.forms.effort import Effort, Unfinished
from solver.makers.best_design_answer import TriedDesign
from solver.makers.design_search import DesignSearch, Kits
from solver.makers.kit_room import KitRoom
from solver.makers.measure_space import MeasureSpace, SearchRange
from solver.makers.weighed_design import TripWithout, Weighed, free_prefix, weighed

# judged: over more trips grams fall in so many small steps that they are a slope
_FEW_TRIPS = 3
# judged: a design drawn beside a kit that is known, as a share of one whose lightest kit is searched for: to reckon the
# strength of a knife takes most of it (measured: 7.7 of 12.3 ms; of an axe all takes 1.0 of 4.1 ms)
_OF_A_TRY, _OF_A_TRY_WITH_STRENGTH = 0.1, 0.2


@dataclass(frozen=True)
class BestQuestion:
    """What is asked: the design, the measures that move, the trips, the limits, and what each design may cost."""

    design: Design
    ranges: list[SearchRange]
    trips: list[TripWithout]
    limits: DesignLimits
    free: list[LimitName]
    plateau_g: float

    def search(
        self, ranges: Sequence[SearchRange], fixed: Mapping[str, float], *, effort: Effort, ends: Effort
    ) -> DesignSearch:
        """Return a search over some measures, others fixed, that ends with `ends`; a kit costs at most `effort`."""
        trips = [one.trip for one in self.trips]

        def go_on() -> None:
            effort.go_on()
            if ends.spent():
                raise Unfinished

        def weigh(points: Sequence[Mapping[str, float]]) -> list[Weighed]:
            return weighed(
                self.design,
                [{**point, **fixed} for point in points],
                self.trips,
                loosened(self.free),
                self.limits,
                prefix=free_prefix(self.design, trips),
                effort=effort,
                go_on=go_on,
            )

        room = KitRoom(self.design, loosened(self.free), self.limits, effort, go_on)

        def beside(one: Weighed, kits: Kits) -> KitRoom | None:
            assert one.candidate is not None
            own = None if kits != one.others else room.beside(one.candidate, trips, kits, farther=False)
            # one that was rounded reaches by a hair what its kits ask
            return own or room.beside(one.candidate, trips, kits, farther=True)

        space = MeasureSpace(ranges, self.design.model_dump(), fixed)
        few = beside if len(trips) <= _FEW_TRIPS else None
        share = _OF_A_TRY_WITH_STRENGTH if isinstance(self.design.drawing, KnifeDrawing) else _OF_A_TRY
        return DesignSearch(space, weigh, self.loss, lambda one: one.others_g(self.trips), few, share)

    def loss(self, one: Weighed) -> float:
        """Return what the search makes least."""
        return one.loss(self.trips)

    def told(self, one: Weighed) -> TriedDesign:
        """Return a design as callers see it."""
        assert one.candidate is not None
        return TriedDesign(
            values=dict(one.values),
            design_g=one.candidate.rating.tool.packed_mass_g,
            saved_g=round(one.saved_g(self.trips), 2),
            margin=None if one.candidate.margin is None else round(one.candidate.margin, 6),
            price=one.candidate.price,
        )
