"""Trips drawn from a population: each field by the distribution it states, each by a stream of its own."""

from statistics import NormalDist
from typing import Any

import pytest
from scipy.stats import kstest, lognorm, truncnorm

from api.examples.invented import population_examples
from solver import Population, Trip, TripError
from solver.needs.question import question_of
from solver.populations.drawn_trip import drawn_trips

pytestmark = pytest.mark.quick

BASE: dict[str, Any] = {"tasks": [{"task": "saw", "diameter_mm": 60}], "fire": {"hot_water_l_per_person": 1}}
MANY = 4_000
LEAST_P = 1e-4  # of a test that a right stream fails once in ten thousand seeds; the seed is fixed


def population(*vary: dict[str, Any], **more: Any) -> Population:
    """A population of one group, invented."""
    return Population.model_validate({"groups": [{"name": "all", "trip": BASE, "vary": list(vary)} | more]})


def plans(trip: Trip) -> None:
    """Ask what a plan asks of a trip."""
    question_of(trip)


def drawn(found: Population, path: str, *, count: int = MANY, seed: int = 1) -> list[Any]:
    """The values of a field."""
    return [one.values[path] for one in drawn_trips(found, count=count, seed=seed)]


def test_a_normal_figure_is_the_truncated_normal_of_scipy() -> None:
    """Kolmogorov-Smirnov against `scipy.stats.truncnorm`."""
    one = {"field": "air_c", "low": -8, "high": 12, "shape": "normal", "middle": 5, "spread": 6}
    low, high = (-8 - 5) / 6, (12 - 5) / 6
    assert kstest(drawn(population(one), "air_c"), truncnorm(low, high, loc=5, scale=6).cdf).pvalue > LEAST_P


def test_a_log_normal_figure_is_that_of_scipy_between_its_ends() -> None:
    """Kolmogorov-Smirnov against `scipy.stats.lognorm`, cut at both ends."""
    one = {"field": "elevation_m", "low": 100, "high": 2500, "shape": "log_normal", "middle": 600, "spread": 2}
    whole = lognorm(s=0.6931471805599453, scale=600)
    least, most = whole.cdf(100), whole.cdf(2500)
    found = kstest(drawn(population(one), "elevation_m"), lambda x: (whole.cdf(x) - least) / (most - least))
    assert found.pvalue > LEAST_P


def test_an_even_figure_and_whole_steps_come_equally_often() -> None:
    even = drawn(population({"field": "air_c", "low": -10, "high": 30}), "air_c")
    assert kstest(even, lambda x: (x + 10) / 40).pvalue > LEAST_P
    steps = drawn(population({"field": "people", "low": 1, "high": 5, "step": 1}), "people")
    deviation = (MANY * 0.2 * 0.8) ** 0.5  # of a binomial count
    assert all(abs(steps.count(people) - MANY / 5) < 4 * deviation for people in range(1, 6))
    assert set(steps) == {1, 2, 3, 4, 5}


def test_values_come_by_their_weights_and_one_of_no_weight_never() -> None:
    one = {"field": "wood.species", "values": ["white-spruce", "paper-birch", "red-maple"], "weights": [3, 1, 0]}
    found = drawn(population(one), "wood.species")
    assert abs(found.count("white-spruce") - 0.75 * MANY) < 4 * (MANY * 0.75 * 0.25) ** 0.5
    assert "red-maple" not in found


def test_groups_come_by_their_weights() -> None:
    groups = [{"name": name, "weight": weight, "trip": BASE} for name, weight in (("often", 4), ("seldom", 1))]
    found = [one.group for one in drawn_trips(Population.model_validate({"groups": groups}), count=MANY, seed=3)]
    assert abs(found.count("often") - 0.8 * MANY) < 4 * (MANY * 0.8 * 0.2) ** 0.5


def test_a_field_more_changes_no_other_and_more_trips_begin_with_the_same() -> None:
    air = {"field": "air_c", "low": -10, "high": 30}
    people = {"field": "people", "low": 1, "high": 5, "step": 1}
    alone = drawn(population(air), "air_c", count=50)
    assert drawn(population(people, air), "air_c", count=50) == alone
    assert drawn(population(air), "air_c", count=20) == alone[:20]
    assert drawn(population(air), "air_c", count=50, seed=2) != alone


def test_a_trip_has_its_values_where_they_belong() -> None:
    """Also below a list, and in what the group leaves out; what does not vary stays."""
    vary = [
        {"field": "tasks.0.per_day", "values": [7]},
        {"field": "route.climb_m_per_day", "values": [900]},
        {"field": "limits.price", "values": [None]},
        {"field": "wood", "values": [{"species": "paper-birch", "state": "green"}]},
        {"field": "wood.knotty", "values": [True]},
        {"field": "only", "values": [["hatchet-600"]]},
    ]
    (one,) = drawn_trips(population(*vary), count=1, seed=1)
    trip = one.trip
    assert (trip.tasks[0].per_day, trip.tasks[0].diameter_mm, trip.route.climb_m_per_day) == (7, 60, 900)
    assert (trip.wood.species, trip.wood.state, trip.wood.knotty, trip.only) == (
        "paper-birch",
        "green",
        True,
        ["hatchet-600"],
    )
    assert trip.fire is not None and trip.fire.hot_water_l_per_person == 1


WRONG: list[tuple[dict[str, Any], str, str]] = [
    ({"field": "air_c", "low": -10, "high": 150}, "#/groups/0/vary/0/high", "150 is outside"),
    ({"field": "people", "low": 1, "high": 6}, "#/groups/0/vary/0/step", "must be a whole number"),
    ({"field": "wood.species", "values": ["white-spruce", 3]}, "#/groups/0/vary/0/values/1", "must be text"),
    ({"field": "fire.cinders", "values": [1]}, "#/groups/0/vary/0/values/0", "there is no such field"),
    ({"field": "tasks.4.per_day", "values": [1]}, "#/groups/0/vary/0/values/0", "has no 4"),
]


@pytest.mark.parametrize(("one", "pointer", "words"), WRONG, ids=[one["field"] for one, _, _ in WRONG])
def test_what_a_trip_can_not_be_is_told_by_field_value_and_range(one: dict[str, Any], pointer: str, words: str) -> None:
    with pytest.raises(TripError) as caught:
        list(drawn_trips(population(one), count=1, seed=1))
    (fault,) = [fault for fault in caught.value.faults if fault.pointer == pointer]
    assert words in fault.detail


def test_what_only_the_tools_can_tell_is_checked_too() -> None:
    """An unknown species and an unknown id, as a plan refuses them."""
    vary = [{"field": "wood.species", "values": ["invented-wood"]}, {"field": "only", "values": [["no-such-tool"]]}]
    with pytest.raises(TripError) as caught:
        list(drawn_trips(population(*vary), count=1, seed=1, check=plans))
    assert {fault.pointer for fault in caught.value.faults} == {
        "#/groups/0/vary/0/values/0",
        "#/groups/0/vary/1/values/0",
    }


FORMS: list[tuple[dict[str, Any], str]] = [
    ({"field": "air_c"}, "either values, or low and high"),
    ({"field": "air_c", "low": 1}, "either values, or low and high"),
    ({"field": "air_c", "values": [1], "low": 1, "high": 2}, "either values, or low and high"),
    ({"field": "air_c", "values": [1], "step": 1}, "leave step out"),
    ({"field": "air_c", "values": [1, 2], "weights": [1]}, "as many as values"),
    ({"field": "air_c", "values": [1, 2], "weights": [0, 0]}, "not all 0"),
    ({"field": "air_c", "low": 2, "high": 1}, "low must be below high"),
    ({"field": "air_c", "low": 1, "high": 2, "middle": 1.5}, "middle and spread belong"),
    ({"field": "air_c", "low": 1, "high": 2, "shape": "normal", "middle": 1.5}, "middle and spread belong"),
    ({"field": "air_c", "low": 1, "high": 2, "shape": "normal", "middle": 3, "spread": 1}, "from low to high"),
    ({"field": "air_c", "low": 0, "high": 2, "shape": "log_normal", "middle": 1, "spread": 2}, "low above 0"),
    ({"field": "air_c", "low": 1, "high": 2, "step": 3}, "step must be at most"),
    ({"field": "catalog", "values": ["mine"]}, "catalog does not vary"),
    ({"field": "__class__", "values": [1]}, "should match pattern"),
]


@pytest.mark.parametrize(("one", "words"), FORMS)
def test_a_variation_that_says_too_little_or_too_much_is_refused(one: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        population(one)


def test_the_invented_populations_say_so_and_make_trips() -> None:
    """Every group of each comes up, and each trip passes what a plan asks."""
    assert len(population_examples()) == 3
    for name, body in population_examples().items():
        found = Population.model_validate(body)
        assert found.id == name
        assert (found.name or "").startswith("Invented: ")
        trips = list(drawn_trips(found, count=40, seed=5, check=plans))
        assert {one.group for one in trips} == {group.name for group in found.groups}


def test_far_out_ends_make_no_figure_beyond_them() -> None:
    """Twenty deviations out no float tells shares apart; the figure stays within its ends."""
    one = {"field": "air_c", "low": 20, "high": 30, "shape": "normal", "middle": 20, "spread": 0.01}
    assert all(20 <= value <= 30 for value in drawn(population(one), "air_c", count=200))
    assert NormalDist(20, 0.01).cdf(30) == 1
