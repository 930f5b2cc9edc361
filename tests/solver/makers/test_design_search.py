"""The search for the best measures: a knife as light as was ever found, and shares that keep what ties measures."""

from api.examples.invented import design_examples, example_trips
from catalog import Design
from catalog.bench.design_measure import tied, usual_measures, value_at
from solver import Effort
from solver.answers.sweep import DesignLimits
from solver.forms.trip import Trip
from solver.makers.design_search import DesignSearch
from solver.makers.kit_room import KitRoom
from solver.makers.measure_space import MeasureSpace, SearchRange
from solver.makers.weighed_design import bare_trip, weighed

KNIFE = Design.model_validate(design_examples()["long-knife"])
FORM = KNIFE.model_dump()
RANGES = [SearchRange(one.field, one.low, one.high) for one in usual_measures(KNIFE)]
SPACE = MeasureSpace(RANGES, FORM)
DRAWN = {one.field: value_at(FORM, one.field) or 30.0 for one in RANGES}


def test_all_ten_measures_of_a_knife_come_to_the_lightest_kit_known() -> None:
    """492.8 g is the least that searches of 400 tries find (tests/benchmarks/README.md); this one has 60."""
    effort, trip = Effort(), Trip.model_validate(example_trips()["stream-survey"])
    trips, limits = [bare_trip(trip, 1, effort=effort)], DesignLimits()
    room = KitRoom(KNIFE, {}, limits, effort, lambda: None)
    search = DesignSearch(
        SPACE,
        lambda points: weighed(KNIFE, points, trips, {}, limits, prefix="knife", effort=effort, go_on=lambda: None),
        lambda one: one.loss(trips),
        lambda one: one.others_g(trips),
        lambda one, kits: (
            None if one.candidate is None else room.beside(one.candidate, [trip], kits, farther=kits != one.others)
        ),
        drawn_share=0.2,
    )
    search.at([DRAWN])
    search.run(DRAWN, 60, seed=1, near=True)
    assert search.best is not None
    assert search.best.allowed
    assert search.best.trips[0].mass_g is not None
    assert search.best.trips[0].mass_g <= 495.5


def test_shares_stand_for_measures_that_keep_their_ties() -> None:
    """At 1 a tip is as thick as the spine, an edge as the tip; measures of shares have those shares."""
    assert len(RANGES) == 10
    for share in (0.0, 0.3, 1.0):
        point = SPACE.point([share] * len(RANGES))
        assert tied(point, FORM) == point
        again = SPACE.point(SPACE.shares(point))
        assert all(abs(again[name] - value) < 1e-9 for name, value in point.items())
    assert point["drawing.blade.tip_spine_mm"] == point["drawing.blade.spine_mm"] == 8
