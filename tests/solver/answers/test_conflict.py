"""Limits that rule everything out: a minimal set, and the least that frees each; by brute force over every kit."""

from collections.abc import Iterable
from random import Random

import pytest
from every_kit import TRIES, Kit, covering_kits
from oracle import Row
from own_limits import STEPS, pointers_of, relaxed, set_to
from random_trips import KINDS, chance, pick_some, random_trip
from random_wood_trips import random_wood_trip
from robust_kits import bearing_kits
from service import kit_of
from stated_trips import AXE, KNIFE, SAW, own

pytestmark = pytest.mark.quick


def kits_of(trip: Row) -> list[Kit]:
    """Every kit that covers a trip with the safety it asks for; a tool that must go and may not leaves none."""
    return bearing_kits(trip) if trip.get("robust") else covering_kits(trip)


def expect_conflict(trip: Row, conflict: list[Row]) -> None:
    """Together the members leave no kit, without any one of them some kit is left, and so at its least value."""
    everything, found = pointers_of(trip), [one["pointer"] for one in conflict]
    if not kits_of(relaxed(trip, everything)):
        assert found == [], "no limit is to blame"
        return
    assert found and set(found) <= set(everything)
    others = set(everything) - set(found) - twins(trip, found)
    alone = relaxed(trip, others)
    assert not kits_of(alone)
    for one in conflict:
        assert kits_of(relaxed(trip, others | {one["pointer"]})), one
        held = trip if kits_of(relaxed(trip, [one["pointer"]])) else alone
        assert ("more limits dropped" in one["text"]) == (held is alone), one
        field = one["pointer"].rsplit("/", 1)[-1]
        if one["least"] is None:
            assert field not in ("mass_g", "price", "tools_at_most", "work_min_per_day")
            continue
        assert kits_of(set_to(held, one["pointer"], one["least"])), one
        less = one["least"] - STEPS[field]
        if less >= 0:
            assert not kits_of(set_to(held, one["pointer"], less)), one


def twins(trip: Row, found: Iterable[str]) -> set[str]:
    """Pointers to further copies of the names that a set holds: they go and stay together."""
    names = {(pointer.rsplit("/", 1)[0], value_at(trip, pointer)) for pointer in found}
    listed = [one for one in pointers_of(trip) if one[-1].isdigit()]
    return {one for one in listed if (one.rsplit("/", 1)[0], value_at(trip, one)) in names}


def value_at(trip: Row, pointer: str) -> object:
    """What a pointer points at, for lists; the pointer itself for a single limit."""
    _, *path = pointer.split("/")
    if not path[-1].isdigit():
        return pointer
    holder = trip["limits"] if path[0] == "limits" else trip
    return holder[path[-2]][int(path[-1])]


def tight(rng: Random, trip: Row) -> Row:
    """The trip with more limits on, several of them at a time."""
    ids = [tool["id"] for tool in trip["tools"]]
    limits = dict(trip["limits"])
    if chance(rng, 40):
        limits["mass_g"] = rng.choice((100, 150, 250, 400))
    if chance(rng, 30):
        limits["price"] = rng.choice((0, 15, 30))
    if chance(rng, 30):
        limits[rng.choice(("edge_mm", "packed_mm"))] = rng.choice((70, 100, 250))
    if chance(rng, 30):
        limits["banned_kinds"] = rng.choices(KINDS, k=3)
    if chance(rng, 40):
        limits["work_min_per_day"] = rng.choice((1, 3, 8, 20))
    if chance(rng, 30):
        trip["leave_home"] = rng.choices(ids, k=2)
    if chance(rng, 20):
        trip["must_carry"] = rng.choices(ids, k=2)
    if chance(rng, 20):
        trip["only"] = pick_some(rng, ids, 4)
    return trip | {"limits": limits}


def uncovered_trip(rng: Random, *, wood: bool = False, robust: bool = False) -> Row:
    """A trip that its limits, or now and then its needs, leave without a kit."""
    for _ in range(TRIES):
        trip = random_wood_trip(rng, fewest=3, most=4) if wood else random_trip(rng, fewest=3, most=7, needs_most=3)
        trip = tight(rng, trip | {"aim": "mass"})
        if robust:
            trip["robust"] = {"needs": rng.choice(("critical", "all")), "work_multiple": rng.choice((1, 2))}
        if not kits_of(trip) and (kits_of(relaxed(trip, pointers_of(trip))) or chance(rng, 10)):
            return trip
    raise AssertionError(f"no such trip in {TRIES} draws")


@pytest.mark.parametrize("number", range(40))
def test_the_conflict_is_minimal_and_each_least_value_frees(number: int) -> None:
    """Dropping any member frees a kit; so does its least value, and one step short of that does not."""
    trip = uncovered_trip(Random(f"conflict {number}"))
    answer = kit_of(trip | {"alternatives": 0})
    assert answer["status"] == "uncovered"
    expect_conflict(trip, answer["conflict"])


@pytest.mark.parametrize("number", range(8))
def test_the_conflict_of_a_trip_with_firewood_and_wear(number: int) -> None:
    """The minutes of a day of firewood count among the limits."""
    trip = uncovered_trip(Random(f"wood conflict {number}"), wood=True)
    expect_conflict(trip, kit_of(trip | {"alternatives": 0})["conflict"])


@pytest.mark.parametrize("number", range(16))
def test_safety_is_one_of_the_limits(number: int) -> None:
    """Where only the safety against a loss leaves no kit, it is a member, with the least multiple that frees."""
    trip = uncovered_trip(Random(f"robust conflict {number}"), robust=True)
    expect_conflict(trip, kit_of(trip | {"alternatives": 0})["conflict"])


def test_a_name_that_stands_twice_is_one_limit() -> None:
    """The axe must go and may not: each of the two rules once, at its first place."""
    trip = own(KNIFE, AXE) | {"must_carry": ["axe", "axe"], "leave_home": ["knife", "axe"]}
    conflict = kit_of(trip)["conflict"]
    assert [one["pointer"] for one in conflict] == ["#/must_carry/0", "#/leave_home/1"]


def test_two_floors_against_their_sum() -> None:
    """x >= 6, y >= 6, x + y <= 11: all three are the irreducible set, and 12 frees it.

    The worked case of the lp_solve reference guide's chapter on infeasibility, as a 2012 note on infeasible
    models retells it (nathanbrixius.wordpress.com, 28 September 2012); here two tools of 6 g that must go.
    """
    x, y = KNIFE | {"id": "x", "mass_g": 6, "cover_g": 0}, SAW | {"id": "y", "mass_g": 6}
    by_hand = {"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": [x, y]}
    conflict = kit_of(by_hand | {"must_carry": ["x", "y"], "limits": {"mass_g": 11}})["conflict"]
    members = {one["pointer"]: one["least"] for one in conflict}
    assert members == {"#/must_carry/0": None, "#/must_carry/1": None, "#/limits/mass_g": 12}


def test_a_covered_trip_has_no_conflict() -> None:
    """Nothing to give way."""
    assert kit_of(own(KNIFE, AXE))["conflict"] == []
