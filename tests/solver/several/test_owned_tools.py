"""What to own, against every set of tools: masses over four decades, weights of many digits, limits met to the cent.

Seasons are small and seeded. Each is asked three times: as a caller does, with lists of kits that are always too long,
so that one program of all trips answers, and with an effort that ends early.
"""

from random import Random

import numpy as np
import pytest
from kit_space import Space
from oracle import HUNDREDTHS, Row
from owned_sets import Wardrobe, lacking
from random_trips import chance, one_knife, random_limits, random_task, random_trip

import solver.several.kit_list as lists
from solver import Effort, plan, season
from solver.forms.question_answers import SeasonAnswer
from solver.several import owned_cover
from solver.several.owned_cover import OwnedCover

pytestmark = pytest.mark.quick

SEASONS = range(40)
DECADES = (0.01, 0.1, 1, 10, 100)
WEIGHTS = (0.1, 0.333333, 1, 1.0000001, 2.5, 7)


def small_season(number: int) -> Row:
    """Two or three trips on the same tools, and limits that some sets of tools meet to the cent, or miss by one."""
    rng = Random(f"owning {number}")
    while True:
        base = one_knife(random_trip(rng, fewest=4, most=5, needs_most=2))
        for tool in base["tools"]:
            tool |= {"mass_g": max(0.01, round(tool["mass_g"] * rng.choice(DECADES), 2)), "cover_g": 0}
        more = [base | {"tasks": [random_task(rng)], "limits": random_limits(rng, base["tools"])} for _ in range(2)]
        trips = [base, *more][: rng.choice((2, 3))]
        if all(Space(trip).covering for trip in trips):
            break
    body: Row = {"trips": [{"weight": rng.choice(WEIGHTS), "trip": trip} for trip in trips]}
    doing = Wardrobe(body).doing()
    if chance(rng, 65):
        body["own_at_most"] = max(0, min(count for count, _ in doing) + rng.choice((-1, 0, 0, 1)))
    if chance(rng, 50):
        few = [cents for count, cents in doing if count <= body.get("own_at_most", count)] or [
            cents for _, cents in doing
        ]
        body["money"] = max(0, min(few) + rng.choice((-1, 0, 0, 500))) / HUNDREDTHS
    return body


BODIES = [small_season(number) for number in SEASONS]


def asked(body: Row, effort: Effort) -> SeasonAnswer:
    """The answer to a season."""
    trips = [(one["weight"], one["trip"]) for one in body["trips"]]
    return season(trips, own_at_most=body.get("own_at_most"), money=body.get("money"), effort=effort)


def expect_best(body: Row, answer: SeasonAnswer) -> None:
    """Tools, weighted grams and what is lacking are those of all sets."""
    wardrobe = Wardrobe(body)
    best = wardrobe.best()
    assert answer.checked
    assert answer.status == ("uncovered" if best is None else "optimal")
    if best is None:
        gaps = {gap.field: gap.short_by for gap in answer.gaps}
        assert gaps == pytest.approx(lacking(wardrobe.doing(), body.get("own_at_most"), body.get("money")))
        return
    weighted, _, own = best
    assert tuple(answer.own) == own
    assert answer.weighted_g == answer.bound_g == pytest.approx(float(weighted) / HUNDREDTHS, abs=1e-6)
    saved = weighted - wardrobe.next_best(own)
    assert answer.next_tool_saves_g == pytest.approx(float(saved) / HUNDREDTHS, abs=1e-6)


@pytest.mark.parametrize("number", SEASONS)
def test_what_to_own_is_the_best_of_all_sets(number: int) -> None:
    expect_best(BODIES[number], asked(BODIES[number], Effort()))


def test_kits_listed_one_at_a_time_say_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the clock is looked at after each kit of a list, as between thousands of kits of many tools."""
    monkeypatch.setattr(lists, "_CELLS_AT_ONCE", 1)
    for body in BODIES[::5]:
        expect_best(body, asked(body, Effort()))


def test_seasons_are_of_every_sort() -> None:
    """Many with a limit that binds, and some that no tools within the limits cover."""
    bests = [Wardrobe(body).best() for body in BODIES]
    assert sum(best is None for best in bests) >= 3
    assert sum(best is not None and "own_at_most" in body for best, body in zip(bests, BODIES, strict=True)) >= 10
    assert sum(best is not None and "money" in body for best, body in zip(bests, BODIES, strict=True)) >= 10


@pytest.mark.parametrize("number", SEASONS)
def test_one_program_of_all_trips_says_the_same(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With lists that are too long from the first kit on, but for those of the next tool."""
    body = BODIES[number]
    usual = asked(body, Effort())
    monkeypatch.setattr(lists, "_MOST_KITS", 0)
    answer = asked(body, Effort())
    assert (answer.status, answer.own, answer.weighted_g) == (usual.status, usual.own, usual.weighted_g)
    assert answer.gaps == usual.gaps


@pytest.mark.parametrize("nodes", [1, 2, 3])
def test_an_effort_that_ends_early_tells_a_true_bound(nodes: int) -> None:
    """What is told is within the limits, no better than the best, and the bound no higher; or nothing is told."""
    told = 0
    for body in BODIES:
        best = Wardrobe(body).best()
        answer = asked(body, Effort(nodes=nodes))
        if answer.status == "not_settled":
            assert answer.own == []
            continue
        if best is None:
            assert answer.status == "uncovered"
            continue
        told += 1
        least = float(best[0]) / HUNDREDTHS
        assert answer.bound_g is not None
        assert answer.bound_g <= least + 1e-6
        assert answer.weighted_g >= least - 1e-6
        assert (answer.status == "optimal") == (answer.gap_g == 0)
        assert not answer.checked or tuple(answer.own) == best[2]
    assert told >= 20


@pytest.mark.parametrize("most", [1, 2])
def test_the_fewest_tools_that_have_of_each_set_are_those_of_a_program(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found among all sets of tools, and by the program of all tools; some sets ask for two."""
    for number in range(60):
        rng = np.random.default_rng([number, most])
        width, sets = int(rng.integers(2, 12)), int(rng.integers(1, 8))
        price = rng.integers(0, 4, width)
        counts = {}
        for members in rng.random((sets, width)) < rng.uniform(0.3, 0.9):
            counts[np.packbits(members).tobytes()] = int(rng.integers(1, max(1, min(most, int(members.sum()))) + 1))
        found: list[tuple[int | None, ...]] = []
        for tried, many in ((2_000, 1_000), (-1, 0)):  # then every tool stands in the program
            monkeypatch.setattr(owned_cover, "_MOST_TRIED", tried)
            monkeypatch.setattr(owned_cover, "_MANY", many)
            cover = OwnedCover([], [], price, effort=Effort())
            cover.counts = counts
            several = [cover.least("number", number=None, money=None), cover.least("money", number=None, money=None)]
            several.append(cover.least("number", number=None, money=2))
            found.append(tuple(None if one is None else one.value for one in several))
            for one in several:
                held = [] if one is None else sorted(one.tools)
                members = [np.unpackbits(np.frombuffer(key, np.uint8), count=width)[held] for key in counts]
                assert one is None or all(
                    got.sum() >= wanted for got, wanted in zip(members, counts.values(), strict=True)
                )
        assert found[0] == found[1]


def by_a_fire(people: int, **wood: object) -> Row:
    """A trip on the built-in tools with too many kits to list."""
    return {
        "people": people,
        "nights": 4,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 3},
        "wood": {"diameters_mm": [40, 80, 120], **wood},
        "detail": "kit",
    }


def test_what_is_owned_is_what_the_trips_of_a_season_carry() -> None:
    """By a fire, from the built-in tools: any number owned, each trip has the kit that its own plan tells."""
    trips = [(3.0, by_a_fire(4, state="dead-wet")), (10.0, {"tasks": [{"task": "carve", "diameter_mm": 25}]})]
    plans = [plan(trip).kit.mass_g for _, trip in trips]
    free = season(trips)
    tight = season(trips, own_at_most=len(free.own) - 1)
    for answer in (free, tight):
        assert answer.checked
        assert answer.own == sorted({name for trip in answer.trips for name in trip.ids})
        assert answer.weighted_g == sum(trip.weight * trip.mass_g for trip in answer.trips)
    assert [trip.mass_g for trip in free.trips] == plans
    assert free.next_tool_saves_g == 0
    assert len(tight.own) == len(free.own) - 1
    assert free.weighted_g < tight.weighted_g
