"""Handling of cuts and rounds, rest, and the parts of a day: by hand, and by laws that hold whatever the trip.

Handling 0.25 minutes a cut and 0.12 a round, rest of a fifth beyond 30 minutes a person (judged from measured shares).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from service import kit_of
from stated_trips import AXE, KNIFE, Row, ids, own

from catalog.tables.assumption import assumptions
from catalog.wood.rate import rates
from solver.model.rest import Rest

pytestmark = pytest.mark.quick

MINUTES = 1e-5  # answers tell six digits
SAW: Row = {"id": "saw", "mass_g": 250, "saw_score": 5, "saw_max_mm": 200, "kind": "folding saw"}
SHARES, FREE, WORK = st.floats(0, 1), st.floats(0, 1e7), st.floats(0, 1e9)


def sawing(cuts: float, **rules: object) -> Row:
    """A trip of so many cuts of 100 mm a day by one saw of score 5."""
    return own(SAW) | {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": cuts}], "detail": "kit"} | rules


def work_min(cuts: float) -> float:
    """78.54 cm2 a cut at 150 a minute, and a quarter of a minute to handle it."""
    return cuts * (78.5398 / 150 + 0.25)


def test_every_rate_says_what_its_clock_timed() -> None:
    """Cutting alone is added an assumption on handling; a whole job none."""
    for rate in rates().values():
        assert (rate.clock == "cutting") == (rate.handling is not None)
        assert rate.handling is None or rate.handling in assumptions()
        assert rate.id in assumptions() or rate.id == "buck"
    assert {"saw_rate", "chop_rate", "chop_rate_thin", "cleave_rate", "carve_minutes"} <= rates().keys()


@given(share=SHARES, free=FREE, one=WORK, other=WORK)
def test_a_told_day_is_the_same_the_way_back_and_never_shorter_for_more_work(share, free, one, other) -> None:
    rest = Rest(share, free)
    assert rest.work(rest.told(one)) == pytest.approx(one, rel=1e-12, abs=1e-6)
    assert rest.told(rest.work(one)) == pytest.approx(one, rel=1e-12, abs=1e-6)
    less, more = sorted((one, other))
    assert rest.told(less) <= rest.told(more)
    assert rest.told(less) == less or less > free


@pytest.mark.parametrize("people", [1, 2, 5])
@pytest.mark.parametrize("share", [0.5, 0.99, 1.01, 3])
def test_rest_is_a_row_beyond_half_an_hour_a_person(people: int, share: float) -> None:
    """By hand: work and a fifth of what is beyond; the rows and the parts add up to the told minutes."""
    cuts = share * 30 * people / work_min(1)
    answer = kit_of(sawing(cuts, people=people, limits={"work_min_per_day": 1440}))
    kit, rest = answer["kit"], [need for need in answer["needs"] if need["id"] == "rest"]
    beyond = max(0.0, work_min(cuts) - 30 * people)
    assert kit["minutes"] == {
        "cutting": pytest.approx(cuts * 78.5398 / 150, abs=1e-3),
        "handling": pytest.approx(cuts / 4, abs=MINUTES),
        "gathering": 0,
        "rest": pytest.approx(beyond / 5, abs=1e-3),
    }
    assert (kit["minutes"]["rest"] == 0) == (share < 1) == (rest == [])
    assert kit["work_min_per_day"] == pytest.approx(work_min(cuts) + beyond / 5, abs=1e-3)
    assert sum(kit["minutes"].values()) == pytest.approx(kit["work_min_per_day"], abs=MINUTES)
    assert sum(need["minutes_per_day"] for need in answer["needs"]) == pytest.approx(
        kit["work_min_per_day"], abs=MINUTES
    )
    for row in rest:
        assert (row["task"], row["per_day"], row["done_with"]) == ("rest", row["minutes_per_day"], [])


@pytest.mark.parametrize("trip", ["stated", "fire"])
def test_a_told_day_can_be_given_back_as_the_limit(trip: str) -> None:
    """The kit of a free day keeps its own told minutes as a limit, and not two milliseconds less."""
    if trip == "stated":
        free = own(KNIFE, AXE) | {"tasks": [{"task": "split", "diameter_mm": 140, "per_day": 37}], "detail": "kit"}
    else:
        fire, wood = {"hot_water_l_per_person": 3, "warmth_h": 2}, {"species": "white-spruce", "state": "dead-wet"}
        free = {"people": 3, "nights": 4, "air_c": 3, "fire": fire, "wood": wood, "detail": "kit"}
    first = kit_of(free | {"limits": {"work_min_per_day": 1440}})
    told = first["kit"]["work_min_per_day"]
    assert first["kit"]["minutes"]["rest"] > 0 or trip == "fire"
    again = kit_of(free | {"limits": {"work_min_per_day": told}})
    assert (again["status"], ids(again)) == ("optimal", ids(first))
    assert again["kit"]["work_min_per_day"] == told
    less = kit_of(free | {"limits": {"work_min_per_day": told - 3 / 60_000}})
    assert ids(less) != ids(first) or less["gaps"]


def test_the_least_limit_of_a_gap_is_one_that_works() -> None:
    """Both the gap of a limit and the conflict tell minutes with rest."""
    short = kit_of(sawing(200, limits={"work_min_per_day": 40}) | {"detail": "full"})
    (gap,) = short["gaps"]
    assert gap["short_by"] == pytest.approx(work_min(200) + (work_min(200) - 30) / 5 - 40, abs=1e-3)
    least = 40 + gap["short_by"]
    (member,) = short["conflict"]
    assert member["least"] == pytest.approx(least, abs=MINUTES)
    assert kit_of(sawing(200, limits={"work_min_per_day": least}))["status"] == "optimal"
    assert kit_of(sawing(200, limits={"work_min_per_day": least - 2 / 60_000}))["status"] == "uncovered"


@given(
    task=st.sampled_from(["split", "saw", "chop", "carve"]),
    mm=st.floats(10, 200),
    one=st.floats(0.1, 10),
    other=st.floats(0.1, 10),
    per_day=st.floats(0.1, 60),
)
def test_a_better_score_never_takes_longer(task, mm, one, other, per_day) -> None:
    """Handling takes as long with any tool, so it blunts the gain and never turns it."""
    days = []
    for score in sorted((one, other)):
        tool = {"id": "a", "kind": "axe", "mass_g": 500, f"{task}_score": score, f"{task}_max_mm": 200}
        trip = own(tool) | {"tasks": [{"task": task, "diameter_mm": mm, "per_day": per_day}], "detail": "kit"}
        days.append(kit_of(trip | {"people": 50, "limits": {"work_min_per_day": 72_000}})["kit"]["work_min_per_day"])
    assert days[1] <= days[0]


def test_energy_is_told_between_the_ends_of_the_bands_of_mets() -> None:
    """Sawing 5.9 to 9.7 METs beside 7.0 (ILO); rest costs nothing above rest."""
    told = kit_of(sawing(200, limits={"work_min_per_day": 1440}))["effort"]["chosen"]
    each = work_min(200) * 75 / 60
    assert told["work_kcal_per_person_day"] == pytest.approx(6.0 * each, rel=1e-3)
    assert told["work_kcal_low"] == pytest.approx(4.9 * each, rel=1e-3)
    assert told["work_kcal_high"] == pytest.approx(8.7 * each, rel=1e-3)


def test_walking_outside_an_equation_is_a_caution_and_not_a_failure() -> None:
    """A pack heavier than its carrier is beyond what LCDA holds for."""
    answer = kit_of(sawing(1, route={"body_kg": 40, "pack_kg": 50}))
    (caution,) = [one for one in answer["cautions"] if one["code"] == "walking-range"]
    assert "100 % of the body" in caution["text"]
    assert not [one for one in kit_of(sawing(1))["cautions"] if one["code"] == "walking-range"]


@pytest.mark.parametrize(
    ("name", "mm", "low_s", "high_s"),
    [
        ("fixed-knife-90", 40, 5, 16),
        ("fixed-knife-120", 70, 10, 35),
        ("fixed-knife-150", 40, 3, 10),
        *((name, 100, 15, 40) for name in ("fixed-knife-150", "long-knife-180", "long-knife-200", "long-knife-240")),
        ("long-knife-200", 150, 40, 120),
        ("long-knife-280", 200, 60, 180),
    ],
)
def test_a_cleft_under_a_baton_takes_as_long_as_it_does_in_camp(
    name: str, mm: float, low_s: float, high_s: float
) -> None:
    """A practised adult in straight dry softwood: common practice, from memory, no source."""
    tasks = [{"task": "split", "diameter_mm": mm, "per_day": 10}]
    trip: Row = {"tasks": tasks, "only": [name], "detail": "kit", "field_methods": False}
    seconds = kit_of(trip | {"assumptions": {"burnable_dry": 100}})["kit"]["minutes"]["cutting"] * 60 / 10
    # a round beyond 100 mm is split into more pieces, each by a cleft through half of it
    clefts = max(1, math.ceil((mm / 100) ** 2) - 1)
    assert low_s <= seconds / (1 + (clefts - 1) * 0.5**2.1) <= high_s


@pytest.mark.parametrize("litres", [round(0.5 + 0.05 * step, 2) for step in range(40)])
def test_a_day_as_told_given_back_as_the_limit_keeps_the_kit(litres: float) -> None:
    """A day of firewood is no whole number of milliseconds: it counts as the next one, and is told rounded up too."""
    wood = {"species": "white-ash", "state": "dead-dry"}
    tasks = [{"task": "saw", "diameter_mm": 120, "per_day": 2}, {"task": "buck", "diameter_mm": 75, "critical": True}]
    fire = {"hot_water_l_per_person": litres, "warmth_h": 2}
    trip: Row = {"tasks": tasks, "air_c": -3, "fire": fire, "wood": wood, "backup": "all", "detail": "kit"}
    first = kit_of(trip | {"limits": {"work_min_per_day": 600}})
    again = kit_of(trip | {"limits": {"work_min_per_day": first["kit"]["work_min_per_day"]}})
    assert ids(again) == ids(first)
    assert again["kit"]["mass_g"] == first["kit"]["mass_g"]
