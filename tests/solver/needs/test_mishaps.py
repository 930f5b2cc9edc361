"""What may go wrong on a trip, by hand: what changes, what stays, and where a case does not apply."""

from typing import Any

import pytest

from solver import Trip
from solver.needs.mishap import Mishap, mishaps_of

pytestmark = pytest.mark.quick

TASKS = [{"task": "split", "diameter_mm": 110, "per_day": 3}]


def mishaps(**fields: Any) -> dict[str, Mishap]:
    """The cases of a trip by name."""
    return {one.name: one for one in mishaps_of(Trip.model_validate({"tasks": TASKS} | fields))}


def changed(before: Trip, after: Trip | None) -> dict[str, Any]:
    """The fields of a trip that differ from those of another, as they are then."""
    assert after is not None
    told = after.model_dump()
    return {name: told[name] for name, value in before.model_dump().items() if told[name] != value}


def test_each_case_changes_what_it_says_and_nothing_else() -> None:
    """The figures are those of the cases: one night, ten degrees, wet outside, one of those who share a limit."""
    trip = Trip.model_validate(
        {"tasks": TASKS, "people": 3, "nights": 5, "air_c": 4, "limits": {"work_min_per_day": 60, "mass_g": 900}}
    )
    found = {one.name: one for one in mishaps_of(trip)}
    assert list(found) == ["longer", "colder", "wet", "lost", "hurt", "all-weather"]
    wet = trip.wood.model_dump() | {"state": "dead-wet"}
    assert changed(trip, found["longer"].trip) == {"nights": 6}
    assert [found[name].at_work for name in ("longer", "hurt")] == [None, 2]
    assert changed(trip, found["colder"].trip) == {"air_c": -6}
    assert changed(trip, found["wet"].trip) == {"wood": wet}
    assert found["lost"].trip == trip
    assert changed(trip, found["hurt"].trip) == {"limits": trip.limits.model_dump() | {"work_min_per_day": 40}}
    assert changed(trip, found["all-weather"].trip) == {"nights": 6, "air_c": -6, "wood": wet}


def test_work_counted_for_the_trip_goes_on_at_as_much_a_day() -> None:
    """Six pegs in three nights are two a day; four nights want eight."""
    work = [{"id": "peg", "per_trip": 6}, {"id": "pot-hanger", "per_day": 1}]
    longer = mishaps(nights=3, camp_work=work)["longer"].trip
    assert longer is not None
    assert [(one.per_trip, one.per_day) for one in longer.camp_work] == [(8, None), (None, 1)]


@pytest.mark.parametrize(
    ("name", "fields", "why"),
    [
        ("longer", {"nights": 365}, "365 nights"),
        ("colder", {"air_c": -41}, "down to -50 C"),
        ("wet", {"wood": {"state": "dead-wet"}}, "wet outside already"),
        ("wet", {"wood": {"state": "green"}}, "green"),
        ("hurt", {}, "alone"),
    ],
)
def test_what_does_not_apply_says_why(name: str, fields: dict[str, Any], why: str) -> None:
    found = mishaps(**fields)[name]
    assert found.trip is None
    assert why in (found.why_not or "")


def test_the_coldest_air_is_reached_and_not_passed() -> None:
    """The figures of the wood hold down to -50 C (USDA FPL-GTR-190, Table 5-15)."""
    coldest = mishaps(air_c=-40)["colder"].trip
    assert coldest is not None
    assert coldest.air_c == -50


def test_bad_weather_is_the_weather_that_applies() -> None:
    """In wet wood at -45 C one night more is left of it; with 365 nights nothing is."""
    worst = {"air_c": -45, "wood": {"state": "dead-wet"}}
    trip = mishaps(**worst)["all-weather"].trip
    assert trip is not None
    assert (trip.nights, trip.air_c, trip.wood.state) == (2, -45, "dead-wet")
    none = mishaps(**worst, nights=365)["all-weather"]
    assert none.trip is None
    assert "None of" in (none.why_not or "")
