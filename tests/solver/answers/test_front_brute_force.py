"""POST /v1/kits/front against every kit of small random trips, looked at one by one."""

from itertools import pairwise
from random import Random

import pytest
from kit_space import Known, Space
from oracle import CUTTING_TASKS, DEFAULT_WORK_MIN, HUNDREDTHS, MS_PER_MIN, Row
from random_trips import random_trip
from random_wood_trips import random_wood_trip
from service import kit_of

MANY_MIN = 1440.0
ALIKE = {"minutes": 2.0, "price": 0.5}  # ms, hundredths: what differs by less may stand as one point


def trip_of(rng: Random) -> Row:
    """A stated trip or one with a fire, every rule now and then on."""
    if rng.random() < 0.5:
        return random_trip(rng, fewest=3, most=6)
    return random_wood_trip(rng, fewest=3, most=5) | {"aim": "mass"}


def as_answered(trip: Row, gaps: list[Row]) -> Row:
    """The trip that the front is of: what can't go aside, limits that leave no kit raised as the gaps say."""
    dropped = {gap["closest"] for gap in gaps if gap["field"] == "must_carry"}
    limits = {"work_min_per_day": DEFAULT_WORK_MIN} | trip.get("limits", {})
    for gap in gaps:
        if gap["kind"] == "limit" and gap["field"] in limits:
            limits[gap["field"]] = round(limits[gap["field"]] + gap["short_by"], 5)  # as it is told
    must = [name for name in trip.get("must_carry", []) if name not in dropped]
    worn = any(gap["field"] == "life" for gap in gaps)
    return trip | {"limits": limits, "must_carry": must} | ({"life": False} if worn else {})


def second(known: Known, against: str) -> float:
    """What grams are weighed against: ms or hundredths of the price."""
    return known.ms if against == "minutes" else float(known.cents)


def expect_front(trip: Row, against: str) -> int:
    """The points are the non-dominated kits, all of them, each with its own figures; returns their number."""
    answer = kit_of({"trip": trip, "against": against}, address="/v1/kits/front")
    gaps = answer["gaps"]
    assert not [gap for gap in gaps if against == "minutes" and gap["field"] == "work_min_per_day"]
    space = Space(as_answered(trip, gaps))
    assert answer["status"] == ("uncovered" if gaps else "optimal")
    kits = space.working if against == "minutes" else space.within
    if not gaps:
        assert kits, "without a gap there is a kit"
    by_ids = {one.ids: one for one in kits}
    points = [by_ids[tuple(sorted(point["ids"]))] for point in answer["points"]]
    for point, known in zip(answer["points"], points, strict=True):
        assert round(point["mass_g"] * HUNDREDTHS) == known.mass_cg
        assert round(point["price"] * HUNDREDTHS) == known.cents
        assert point["work_min_per_day"] == pytest.approx(known.told_ms / MS_PER_MIN, abs=1e-4)
    expect_none_better(points, kits, against)
    expect_none_missed(points, kits, against)
    return len(points)


def expect_none_better(points: list[Known], kits: list[Known], against: str) -> None:
    """The points rise in grams and fall in the other; no kit beats one."""
    for before, after in pairwise(points):
        assert before.mass_cg < after.mass_cg
        assert second(before, against) > second(after, against)
    for point in points:
        for kit in kits:
            less = second(kit, against) < second(point, against) - ALIKE[against]
            assert not (kit.mass_cg <= point.mass_cg and less), (kit, point)
            no_more = second(kit, against) <= second(point, against)
            assert not (kit.mass_cg < point.mass_cg and no_more), (kit, point)


def expect_none_missed(points: list[Known], kits: list[Known], against: str) -> None:
    """For every kit there is a point that is as good in both; so the ends are the lightest and the fastest."""
    for kit in kits:
        assert any(
            point.mass_cg <= kit.mass_cg and second(point, against) <= second(kit, against) + ALIKE[against]
            for point in points
        ), kit
    if kits:
        assert points[0].mass_cg == min(kit.mass_cg for kit in kits)
        assert second(points[-1], against) <= min(second(kit, against) for kit in kits) + ALIKE[against]


def long_front_trip(rng: Random) -> Row:
    """A trip whose tools are each good at their own: the heavier the faster, the lighter the dearer."""
    trip = random_trip(rng, fewest=6, most=7, needs_most=4)
    for rank, tool in enumerate(trip["tools"]):
        tool |= {"mass_g": 80 + 60 * rank + rng.randint(0, 30), "price": 90 - 10 * rank + rng.randint(0, 9)}
        for task in [task for task in CUTTING_TASKS if f"{task}_score" in tool]:
            tool |= {f"{task}_score": min(10, 1 + 1.5 * rank), f"{task}_max_mm": 300}
        for alone in ("needs", "one_person"):
            tool.pop(alone, None)
    return trip | {"limits": {"work_min_per_day": MANY_MIN}, "backup": "none", "knife": "none"}


@pytest.mark.parametrize("against", ["minutes", "price"])
def test_fixed_run_of_fronts(against: str) -> None:
    """Seeded trips: as they come, and such that many have several points."""
    for number in range(60):
        trip = trip_of(Random(number))
        try:
            expect_front(trip, against)
        except (AssertionError, KeyError) as error:
            raise AssertionError(f"trip {number}: {error!r}\n{trip}") from error
    sizes = [expect_front(long_front_trip(Random(number)), against) for number in range(20)]
    assert sum(size > 2 for size in sizes) >= 10, sizes


def test_a_trip_without_work_has_one_point() -> None:
    """A fire that may not be lit asks for nothing: the empty kit, of no grams and no minutes."""
    answer = kit_of({"trip": {"fire": {"allowed": False}}, "against": "minutes"}, address="/v1/kits/front")
    assert [(one["ids"], one["mass_g"], one["work_min_per_day"]) for one in answer["points"]] == [([], 0, 0)]
    assert answer["status"] == "optimal"


def test_days_far_longer_than_a_life_still_part() -> None:
    """Of a hundred million minutes a solver can't tell one millisecond; the front goes on all the same."""
    stone = {"id": "stone", "name": "Stone", "kind": "sharpening stone", "mass_g": 20}
    saws = [
        {"id": f"saw-{n}", "name": f"Saw {n}", "kind": "bow saw", "mass_g": 100 * n, "saw_score": n, "saw_max_mm": 3000}
        | {"saw_life": 1, "sharpened_by": "stone"}
        for n in (2, 4, 8)
    ]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 3000, "per_day": 10_000}], "tools": [stone, *saws]}
    answer = kit_of({"trip": trip, "against": "minutes"}, address="/v1/kits/front")
    assert [sorted(one["ids"]) for one in answer["points"]] == [[f"saw-{n}", "stone"] for n in (2, 4, 8)]
