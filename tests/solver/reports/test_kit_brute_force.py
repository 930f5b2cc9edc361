"""The kit program against full enumeration, with every rule on and off.

The reference (oracle.py) looks at all subsets of up to 14 tools. Besides the property test there is a fixed
run of 1,200 instances that any solver upgrade must pass; in a third of them the work limit lies between the
fastest and the lightest kit, so that minutes decide.
"""

from functools import cache
from itertools import combinations
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import Outcome, Row, best_kit, tool_ms
from random_trips import NO_WORK_LIMIT_MIN, random_trip, with_binding_work_limit

from catalog import methods
from solver import Trip, lightest, plan

INSTANCES = 1_200
BATCH = 100
SEED = 1974
MINUTES_TOLERANCE = 1e-3
TRIES = 200  # draws until a work limit can be made to bind


@cache
def method_rows() -> tuple[Row, ...]:
    """The built-in field methods as plain rows."""
    return tuple(row.model_dump() for row in methods())


def answer_to(trip: Row) -> Row:
    """The program's answer, as JSON would carry it."""
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    return answer


def kit_ids(answer: Row) -> list[str]:
    """Ids of the carried tools, sorted, each as often as it is there."""
    return sorted(tool["id"] for tool in answer["kit"]["tools"] for _ in range(tool["count"]))


def expect_same_kit(answer: Row, truth: Outcome) -> None:
    """Mass, minutes and ids are those of the enumeration."""
    kit = answer["kit"]
    found = (answer["status"], kit_ids(answer), round(kit["mass_g"], 2))
    assert found == (truth.status, truth.ids, truth.mass_g)
    assert kit["work_min_per_day"] == pytest.approx(truth.minutes, abs=MINUTES_TOLERANCE)


def expect_sound_kit(answer: Row, trip: Row, truth: Outcome) -> None:
    """Packed masses add up, each covered need has its own minutes, and only what is there does the work."""
    kit = answer["kit"]
    assert sum(round(t["mass_g"] * 100) * t["count"] for t in kit["tools"]) == truth.mass_cg
    there = {*kit_ids(answer), *kit["methods"]}
    worked = [row for row in answer["needs"] if row["task"] not in ("rest", "knife")]
    assert sum(row["minutes_per_day"] for row in answer["needs"] if row["minutes_per_day"]) == pytest.approx(
        truth.minutes, abs=MINUTES_TOLERANCE
    )
    assert sum(kit["minutes"].values()) == pytest.approx(truth.minutes, abs=MINUTES_TOLERANCE)
    for row, (i, ms) in zip(worked, sorted(truth.ms_by_need.items()), strict=True):
        assert row["task"] == trip["tasks"][i]["task"]
        assert row["minutes_per_day"] == pytest.approx(ms / 60_000, abs=MINUTES_TOLERANCE)
        assert {part["id"] for part in row["done_with"]} <= there
        assert sum(part["share"] for part in row["done_with"]) == pytest.approx(1)


def expect_proof(answer: Row) -> None:
    """An optimal answer carries a bound that meets its mass."""
    proof, mass_g = answer["proof"], answer["kit"]["mass_g"]
    assert proof["bound_g"] == pytest.approx(mass_g, abs=0.005)
    assert proof["gap_g"] == pytest.approx(0, abs=0.005)


def judge(trip: Row) -> Outcome:
    """Compare one answer with the enumeration and return the latter."""
    truth, answer = best_kit(trip, method_rows()), answer_to(trip)
    kinds = [gap["kind"] for gap in answer["gaps"]]
    assert answer["status"] == truth.status
    if truth.blocked:
        assert kinds, "an uncovered trip names its gaps"
    else:
        expect_same_kit(answer, truth)
        assert ("need" in kinds) == bool(truth.gaps)
        assert kinds.count("need") >= len(truth.gaps)
    if truth.blocked == "limits":
        assert "limit" in kinds
    if truth.status == "optimal":
        assert not kinds
        expect_sound_kit(answer, trip, truth)
        expect_proof(answer)
    return truth


@settings(max_examples=50)
@given(st.randoms(use_true_random=False))
def test_any_small_trip_gets_the_kit_of_full_enumeration(rng: Random) -> None:
    """Status, grams, minutes and ids agree for 3 to 12 tools, whatever rules are on."""
    judge(random_trip(rng, fewest=3, most=12))


def seeded_trip(number: int) -> tuple[Row, bool]:
    """Instance of the fixed run, and whether its work limit was set to bind: two in five."""
    rng = Random(SEED * 3_000 + number)
    fewest, most = (10, 14) if number % 7 == 0 else (3, 11)
    trip = random_trip(rng, fewest=fewest, most=most)
    if number % 5 > 1:
        return trip, False
    for _ in range(TRIES):
        bound = with_binding_work_limit(rng, trip, method_rows())
        if bound:
            return bound, True
        trip = random_trip(rng, fewest=max(5, fewest), most=most)
    raise AssertionError(f"no binding work limit in {TRIES} draws")


@pytest.mark.parametrize("first", range(0, INSTANCES, BATCH))
def test_fixed_run_agrees_with_full_enumeration(first: int) -> None:
    """Each instance can be had again by its number; in two fifths minutes decide the kit."""
    bound_count = 0
    for number in range(first, first + BATCH):
        trip, bound = seeded_trip(number)
        try:
            truth = judge(trip)
        except AssertionError as error:
            raise AssertionError(f"instance {number}: {error}\n{trip}") from error
        if bound:
            bound_count += truth.mass_cg > best_kit(without_work_limit(trip), method_rows()).mass_cg
    assert bound_count * 3 >= BATCH


def without_work_limit(trip: Row) -> Row:
    """The same trip with more time than any kit needs."""
    return trip | {"limits": trip["limits"] | {"work_min_per_day": NO_WORK_LIMIT_MIN}}


def enumerated_cover(mass: Any, able: Any, at_least: Any) -> float | None:
    """Least mass over all column subsets, one by one; None when all columns together do not suffice."""
    columns = range(len(mass))
    picks = (list(pick) for size in range(len(mass) + 1) for pick in combinations(columns, size))
    masses = [mass[pick].sum() for pick in picks if (able[:, pick].sum(axis=1) >= at_least).all()]
    return min(masses, default=None)


@pytest.mark.parametrize("number", range(150))
def test_bare_cover_program_agrees_with_full_enumeration(number: int) -> None:
    """The core that published covers judge: one count for all rows, or one for each."""
    rng = np.random.default_rng([SEED, number])
    tools, needs = int(rng.integers(1, 10)), int(rng.integers(1, 7))
    mass = rng.integers(0, 12, tools) * 25.25
    able = rng.random((needs, tools)) < 0.5
    at_least = rng.integers(0, 3, needs) if number % 2 else int(rng.integers(1, 3))
    truth, cover = enumerated_cover(mass, able, at_least), lightest(mass, able, at_least=at_least)
    if truth is None:
        assert cover.status == "uncovered"
        return
    assert (cover.status, round(cover.mass, 2)) == ("optimal", truth)
    picked = list(cover.columns)
    assert mass[picked].sum() == pytest.approx(cover.mass)
    assert (able[:, picked].sum(axis=1) >= at_least).all()


CARVER: Row = {
    "id": "carver",
    "name": "Carver",
    "kind": "fixed knife",
    "mass_g": 100,
    "carve_score": 10,
    "carve_max_mm": 50,
}
CARVING = [{"task": "carve", "diameter_mm": 20}]


@pytest.mark.parametrize(("work_min", "status"), [(3, "optimal"), (2.99, "uncovered")])
def test_day_of_exactly_the_limit_is_within_it(work_min: float, status: str) -> None:
    """One piece carved at score 10 takes 3 min (judged value): a day of 3 min covers it, 2.99 does not."""
    assert tool_ms(CARVER, CARVING[0]) == 3 * 60_000
    limits = {"work_min_per_day": work_min}
    trip = {"tasks": CARVING, "tools": [CARVER], "field_methods": False, "limits": limits}
    answer = answer_to(trip)
    assert answer["status"] == status
    assert [gap["kind"] for gap in answer["gaps"]] == ([] if status == "optimal" else ["limit"])


@pytest.mark.parametrize("rule", [{"leave_home": ["carver"]}, {"limits": {"banned_kinds": ["fixed knife"]}}])
def test_must_carry_against_another_rule_is_an_answer_not_an_error(rule: Row) -> None:
    """Two rules of the traveller's own that contradict each other leave the trip uncovered."""
    trip = {"tasks": CARVING, "tools": [CARVER], "must_carry": ["carver"], **rule}
    answer = answer_to(trip)
    assert answer["status"] == "uncovered"
    assert answer["gaps"]


@pytest.mark.parametrize("field", ["must_carry", "leave_home"])
def test_unknown_id_is_an_error(field: str) -> None:
    """A rule about a tool that is not in the catalog is a slip, so it is refused."""
    trip = {"tasks": CARVING, "tools": [CARVER], field: ["no-such-tool"]}
    with pytest.raises(ValueError, match="no-such-tool"):
        answer_to(trip)
