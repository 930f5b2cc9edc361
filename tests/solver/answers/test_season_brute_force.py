"""POST /v1/kits/season against every set of tools owned, for small random trips."""

from collections import Counter
from itertools import product
from random import Random

import pytest
from kit_space import Space
from oracle import CUTTING_TASKS, HUNDREDTHS, Row
from owned_sets import Wardrobe, lacking
from random_trips import chance, one_knife, random_limits, random_task, random_trip
from random_wood_trips import random_wood_trip
from service import kit_of

from api.examples.invented import example_trips
from solver import Effort, TripError, season
from solver.reports import season_report

SEASONS = 50
WEIGHTS = (0.5, 1, 1, 2, 3, 10)
ADDRESS = "/v1/kits/season"


def drawn_trips(rng: Random) -> list[Row]:
    """Up to three trips out of the same tools."""
    if chance(rng, 25):
        return specialists(rng)
    if chance(rng, 50):
        base = one_knife(random_trip(rng, fewest=3, most=5, needs_most=2))
        others = [base | {"tasks": [random_task(rng)], "limits": random_limits(rng, base["tools"])} for _ in range(2)]
    else:
        base = one_knife(random_wood_trip(rng, fewest=3, most=4))
        others = [
            one_knife(random_wood_trip(rng, fewest=3, most=4)) | {"tools": base["tools"], "must_carry": []}
            for _ in range(2)
        ]
    return [base, *others][: rng.randint(1, 3)]


def specialists(rng: Random) -> list[Row]:
    """Trips of one task each, a heavy tool that does for all, and lighter ones good at one: more tools, fewer grams."""
    plain = {"mass_g": 700, "price": 40} | {f"{task}_score": 6 for task in CUTTING_TASKS}
    tools: list[Row] = [plain | {f"{task}_max_mm": 300 for task in CUTTING_TASKS} | {"id": "t-all", "kind": "axe"}]
    for number, task in enumerate(rng.sample(CUTTING_TASKS, 4)):
        row = {
            "id": f"t-{number}",
            "kind": "bow saw",
            "mass_g": rng.choice((150, 250, 350)),
            "price": rng.choice((10, 30)),
        }
        tools.append(row | {f"{task}_score": 8, f"{task}_max_mm": 300})
    tasks = rng.sample(CUTTING_TASKS, rng.randint(2, 3))
    base: Row = {"tools": tools, "field_methods": False, "limits": {"work_min_per_day": 1440}}
    return [base | {"tasks": [{"task": task, "diameter_mm": 60}]} for task in tasks]


def random_season(rng: Random) -> Row:
    """Trips, most often such as some kit covers, and a limit on number or price of tools, or on both."""
    trips = drawn_trips(rng)
    if chance(rng, 85):
        while not all(Space(trip).covering for trip in trips):
            trips = drawn_trips(rng)
    body: Row = {"trips": [{"weight": rng.choice(WEIGHTS), "trip": trip} for trip in trips]}
    doing = Wardrobe(body).doing() or [(1, 20 * HUNDREDTHS)]
    if chance(rng, 60):
        body["own_at_most"] = max(0, min(number for number, _ in doing) + rng.choice((-1, 0, 0, 0, 1)))
    if chance(rng, 40):
        body["money"] = max(0, min(cents for _, cents in doing) / HUNDREDTHS + rng.choice((-10, 0, 0, 20)))
    return body


def expect_season(body: Row) -> Row:
    """Tools, kits, grams and what the next tool saves are those of the enumeration."""
    answer, wardrobe = kit_of(body, address=ADDRESS), Wardrobe(body)
    best = wardrobe.best()
    assert answer["status"] == ("uncovered" if best is None else "optimal")
    if best is None:
        expect_nothing(answer, body, wardrobe)
        return answer
    weighted, _, own = best
    assert tuple(answer["own"]) == own
    assert answer["weighted_g"] == pytest.approx(weighted / HUNDREDTHS, abs=0.006)
    for row, space in zip(answer["trips"], wardrobe.spaces, strict=True):
        kit = tuple(sorted(row["ids"]))
        assert {*kit} <= {*own}
        assert round(row["mass_g"] * HUNDREDTHS) == space.covering[kit].mass_cg
        assert row["gaps"] == []
    saved = weighted - wardrobe.next_best(own)
    assert answer["next_tool_saves_g"] == pytest.approx(saved / HUNDREDTHS, abs=0.011)
    assert {*own} <= {*answer["next_own"]}
    assert len(answer["next_own"]) == len(own) + (saved > 0)
    assert wardrobe.weighted_cg(tuple(answer["next_own"])) == pytest.approx(weighted - saved)
    assert answer["gaps"] == []
    return answer


def expect_nothing(answer: Row, body: Row, wardrobe: Wardrobe) -> None:
    """No tools do for all: either some trip is beyond every kit, or the number or the money is too small."""
    assert (answer["own"], answer["next_tool_saves_g"], answer["next_own"]) == ([], None, None)
    for row, space in zip(answer["trips"], wardrobe.spaces, strict=True):
        assert row["ids"] == []
        assert bool(row["gaps"]) == (not space.covering)
    if any(not space.covering for space in wardrobe.spaces):
        assert answer["gaps"] == []
        return
    gaps = {gap["field"]: gap["short_by"] for gap in answer["gaps"]}
    assert gaps == pytest.approx(lacking(wardrobe.doing(), body.get("own_at_most"), body.get("money")))


@pytest.mark.parametrize("first", range(0, SEASONS, 25))
def test_any_season_is_that_of_full_enumeration(first: int) -> None:
    """Seeded seasons, with and without limits, many with a next tool that saves."""
    seen: Counter[str] = Counter()
    for number in range(first, first + 25):
        body = random_season(Random(number))
        try:
            answer = expect_season(body)
        except (AssertionError, KeyError) as error:
            raise AssertionError(f"season {number}: {error!r}\n{body}") from error
        seen[answer["status"]] += 1
        seen["saves"] += bool(answer["next_tool_saves_g"])
    assert min(seen["optimal"], seen["uncovered"], seen["saves"]) >= 2, seen


def covered_trips() -> list[Row]:
    """Seeded trips that some kit covers."""
    drawn = [one_knife(random_trip(Random(number), fewest=3, most=5)) for number in range(45)]
    return [trip for trip in drawn if Space(trip).covering]


def test_a_season_of_one_trip_is_the_trip() -> None:
    """Its weighted grams are those of POST /v1/kits, times its weight."""
    trips = covered_trips()
    assert len(trips) >= 5
    for trip in trips:
        alone = kit_of(trip | {"detail": "kit"})
        season = kit_of({"trips": [{"weight": 3, "trip": trip}]}, address=ADDRESS)
        assert season["weighted_g"] == pytest.approx(3 * alone["kit"]["mass_g"])
        assert len(season["trips"][0]["ids"]) <= len(alone["kit"]["tools"])


@pytest.mark.parametrize("scale", [1e-6, 1e-3, 1000, 100_000])
def test_weights_only_scale(scale: float) -> None:
    """A season made so many times as often has the same tools, and so many times the grams."""
    trips = covered_trips()[:4]
    tools = [tool | {"id": f"{tool['id']}-{i}"} for i, trip in enumerate(trips) for tool in trip["tools"]]
    plain = [{key: value for key, value in trip.items() if key in ("tasks", "field_methods")} for trip in trips]
    body = [
        {"weight": weight, "trip": trip | {"tools": tools}} for weight, trip in zip((1, 2, 5, 3), plain, strict=True)
    ]
    once = kit_of({"trips": body, "own_at_most": 4}, address=ADDRESS)
    often = [one | {"weight": one["weight"] * scale} for one in body]
    answer = kit_of({"trips": often, "own_at_most": 4}, address=ADDRESS)
    assert answer["own"] == once["own"]
    assert answer["weighted_g"] == pytest.approx(scale * once["weighted_g"], abs=0.006)


def test_weights_of_many_digits_are_weighed_without_end() -> None:
    """A third and two thirds as decimals: the sums of an integer program over a fire are beyond 64 bits."""
    mild = {"fire": {"drying_h": 10.7, "hearth": "open", "melt_snow": True}}
    cold = mild | {"air_c": -8, "people": 2}
    third, plain = (
        season(
            [{"weight": one, "trip": mild}, {"weight": other, "trip": cold}],
            own_at_most=134,
            money=1 / 3,
            effort=Effort(),
        )
        for one, other in ((0.3333333333333333, 0.6666666666666666), (1, 2))
    )
    assert (third.status, third.own, third.checked) == ("optimal", plain.own, True)
    assert third.weighted_g == pytest.approx(plain.weighted_g / 3)


def test_sets_of_two_limits_are_product() -> None:
    """Number and money together bind as each set of tools says."""
    trip = covered_trips()[0]
    for most, money in product((0, 1, 2), (0, 30, 60)):
        expect_season({"trips": [{"weight": 2, "trip": trip}], "own_at_most": most, "money": money})


@pytest.mark.parametrize("prices", [(10, 40), (40, 10)])
def test_a_tool_whose_price_differs_by_trip_costs_the_higher(prices: tuple[int, int]) -> None:
    """It is bought once: 30 do not buy it, 40 do."""
    saw = {"id": "saw", "mass_g": 300, "saw_score": 8, "saw_max_mm": 200, "kind": "bow saw"}
    tasks = [{"task": "saw", "diameter_mm": 60}]
    trips = [{"weight": 1, "trip": {"tasks": tasks, "tools": [saw | {"price": price}]}} for price in prices]
    for one in trips:
        one["trip"] |= {"field_methods": False}
    short = kit_of({"trips": trips, "money": 30}, address=ADDRESS)
    assert [(gap["field"], gap["short_by"]) for gap in short["gaps"]] == [("money", 10)]
    assert kit_of({"trips": trips, "money": 40}, address=ADDRESS)["own"] == ["saw"]


def test_more_trips_than_memory_holds_are_refused_with_what_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    """The fault names the number, and so many trips are answered."""
    trip = example_trips()["least"]
    monkeypatch.setattr(season_report, "_MOST_TIMES", 300)
    with pytest.raises(TripError) as refused:
        season([trip] * 50)
    (fault,) = refused.value.faults
    assert (fault.pointer, fault.value) == ("#/trips", 50)
    fits = int(fault.allowed.split()[2])
    assert 1 <= fits < 50
    assert season([trip] * fits).found
    with pytest.raises(TripError):
        season([trip] * (fits + 1))
