"""Adoption against every kit: each trip is really asked, with the tools at that mass, whether a lightest kit has them.

The reference is the slow search over all kits of `tests/support`, which shares no code with the answer.
"""

from random import Random
from typing import Any

import pytest
from every_kit import TRIES, covering_kits
from oracle import Row
from random_trips import one_knife, random_tool, random_trip
from random_wood_trips import random_wood_tool, random_wood_trip
from robust_kits import bearing_kits

from catalog import Tool
from catalog.scores.score_spread import ScoreDraws
from solver import AdoptionAnswer, adoption

NEAR_CG = 5_000  # 50 g
WEIGHTS = (1, 2, 3)  # in wholes, so that shares are compared exactly

SLOW = {"id": "slow", "kind": "fixed knife", "mass_g": 10, "carve_score": 1, "carve_max_mm": 50}
NO_TIME = {"tasks": [{"task": "carve", "diameter_mm": 1, "per_day": 9_000}], "limits": {"work_min_per_day": 1}}


def offered(rng: Random, name: str, *, wood: bool, mass_g: int) -> Row:
    """A tool of a mass, bare."""
    tool = random_wood_tool(rng, name) if wood else random_tool(rng, name)
    return tool | {"mass_g": mass_g, "cover_g": 0}


def trips_for(rng: Random, offers: list[Row], *, wood: bool, number: int) -> list[Row]:
    """Trips with weights that some kit covers at least while the offer weighs nothing, and one that none covers."""
    found: list[Row] = []
    for _ in range(TRIES):
        if wood:
            trip = one_knife(random_wood_trip(rng, fewest=2, most=4)) | {"aim": "mass"}
        else:
            trip = one_knife(random_trip(rng, fewest=2, most=5, needs_most=3))
        trip.pop("robust", None)
        if covering_kits(trip | {"extra_tools": [one | {"mass_g": 0} for one in offers]}):
            found.append(trip)
        if len(found) == number:
            lost = NO_TIME | {"tools": [*found[0]["tools"], SLOW]}
            return [{"weight": rng.choice(WEIGHTS), "trip": trip} for trip in (*found, lost)]
    raise AssertionError(f"too few trips in {TRIES} draws")


def by_brute_force(trips: list[Row], offers: list[Row]) -> dict[str, float]:
    """Shares of weight, from every kit of every trip with the offers among its tools."""
    ids = {one["id"] for one in offers}
    wanted = near = saved = counted = only = 0.0
    for one in trips:
        trip = one["trip"]
        rows = [row for row in trip.get("extra_tools", []) if row["id"] not in ids]
        asked = trip | {"extra_tools": [*rows, *offers]}
        kits = bearing_kits(asked) if trip.get("robust") else covering_kits(asked)
        if not kits:
            continue
        least = kits[0].mass_cg
        with_all = [kit.mass_cg for kit in kits if ids <= set(kit.ids)]
        without = [kit.mass_cg for kit in kits if not ids & set(kit.ids)]
        wants = bool(with_all) and with_all[0] == least
        wanted += one["weight"] * wants
        near += one["weight"] * (bool(with_all) and with_all[0] <= least + NEAR_CG)
        only += one["weight"] * (wants and not without)
        if without:
            saved += one["weight"] * (without[0] - least)
            counted += one["weight"]
    whole = sum(one["weight"] for one in trips)
    return {
        "adoption": round(wanted / whole, 9),
        "within_50_g": round(near / whole, 9),
        "only_with_it": round(only / whole, 9),
        "saves_g": round(saved / counted) / 100 if counted else 0.0,
    }


def told(answer: AdoptionAnswer) -> dict[str, float]:
    """What brute force tells too."""
    return {name: getattr(answer, name) for name in ("adoption", "within_50_g", "only_with_it", "saves_g")}


def at_mass(answer: AdoptionAnswer, mass_g: float) -> float:
    """The share at a mass, read off the curve: it falls only just above its points."""
    later = [point.adoption for point in answer.curve if point.mass_g >= mass_g]
    return later[0] if later else answer.at_every_mass


@pytest.mark.parametrize("number", range(6))
def test_the_share_of_a_tool_is_that_of_every_kit_at_every_mass(number: int) -> None:
    """At its own mass, at each step of the curve, and 0.01 g above it."""
    rng, wood = Random(f"adoption {number}"), number % 3 == 2
    tool = offered(rng, "new", wood=wood, mass_g=rng.choice((80, 220, 400)))
    trips = trips_for(rng, [tool], wood=wood, number=4 if wood else 8)
    answer = adoption(tool=tool, trips=trips)
    assert told(answer) == by_brute_force(trips, [tool])
    assert answer.status == "optimal"
    for point in answer.curve[:12]:
        for mass_g, share in ((point.mass_g, point.adoption), (round(point.mass_g + 0.01, 2), None)):
            expected = by_brute_force(trips, [tool | {"mass_g": mass_g}])
            assert at_mass(answer, mass_g) == expected["adoption"]
            if share is not None:
                assert (share, point.within_50_g) == (expected["adoption"], expected["within_50_g"])
    if answer.doubles_at_g is not None:
        more = round(answer.doubles_at_g + 0.01, 2)
        assert by_brute_force(trips, [tool | {"mass_g": answer.doubles_at_g}])["adoption"] >= 2 * answer.adoption
        assert by_brute_force(trips, [tool | {"mass_g": more}])["adoption"] < 2 * answer.adoption


@pytest.mark.parametrize("number", range(6))
def test_the_share_of_a_pair_is_that_of_every_kit_at_every_total(number: int) -> None:
    """Two to one by mass: four optima a trip, neither, each, both; totals are multiples of three."""
    rng, wood = Random(f"pair {number}"), number % 3 == 2
    first, second = (offered(rng, name, wood=wood, mass_g=0) for name in ("left", "right"))
    trips = trips_for(rng, [first, second], wood=wood, number=4 if wood else 8)
    curves = []
    for total in (30, 150, 300, 450):
        pair = [first | {"mass_g": 2 * total / 3}, second | {"mass_g": total / 3}]
        answer = adoption(pair=[{"tool": one} for one in pair], trips=trips)
        assert told(answer) == by_brute_force(trips, pair)
        assert sum(one.share for one in answer.held) <= 1
        curves.append({point.mass_g: point.adoption for point in answer.curve if point.mass_g != total})
        assert at_mass(answer, total) == answer.adoption
    for other in curves[1:]:
        assert {mass: curves[0][mass] for mass in set(curves[0]) & set(other)} == {
            mass: other[mass] for mass in set(curves[0]) & set(other)
        }


@pytest.mark.parametrize("number", range(3))
def test_the_share_at_a_price_is_that_of_every_kit(number: int) -> None:
    """Trips with a price limit decide by it; at each step of the curve, and 0.01 above it."""
    rng = Random(f"price {number}")
    tool = offered(rng, "new", wood=False, mass_g=60) | {"price": 20.0}
    trips = trips_for(rng, [tool | {"price": 0.0}], wood=False, number=6)
    for one in trips[::2]:
        rows = [row | {"price": float(rng.randint(1, 40))} for row in one["trip"]["tools"]]
        limits = one["trip"].get("limits", {}) | {"price": float(rng.randint(20, 70))}
        one["trip"] = one["trip"] | {"tools": rows, "limits": limits}
    answer = adoption(tool=tool, trips=trips)
    assert told(answer) == by_brute_force(trips, [tool])
    for place, point in enumerate(answer.price_curve):
        assert by_brute_force(trips, [tool | {"price": point.price}])["adoption"] == point.adoption
        above = [later.adoption for later in answer.price_curve[place + 1 :]]
        dearer = by_brute_force(trips, [tool | {"price": round(point.price + 0.01, 2)}])["adoption"]
        assert dearer < point.adoption
        assert not above or dearer == above[0]


@pytest.mark.parametrize("number", range(4))
def test_the_share_at_a_price_of_a_pair_is_that_of_every_kit(number: int) -> None:
    """Both tools at half of the price each, by every kit: at each step of the curve, and 0.02 above it."""
    rng = Random(f"price of a pair {number}")
    pair = [offered(rng, name, wood=False, mass_g=40) | {"price": 10.0} for name in ("new", "other")]
    trips = trips_for(rng, [one | {"price": 0.0} for one in pair], wood=False, number=6)
    for one in trips:
        rows = [row | {"price": float(rng.randint(1, 40))} for row in one["trip"]["tools"]]
        limits = one["trip"].get("limits", {}) | {"price": float(rng.randint(20, 70))}
        one["trip"] = one_knife(one["trip"]) | {"tools": rows, "limits": limits}
    answer = adoption(pair=[{"tool": one} for one in pair], trips=trips)
    assert told(answer) == by_brute_force(trips, pair)
    for place, point in enumerate(answer.price_curve):
        assert by_brute_force(trips, halved(pair, point.price))["adoption"] == point.adoption
        above = [later.adoption for later in answer.price_curve[place + 1 :]]
        dearer = by_brute_force(trips, halved(pair, point.price + 0.02))["adoption"]
        assert dearer < point.adoption
        assert not above or dearer == above[0]


def halved(pair: list[Row], price: float) -> list[Row]:
    """A pair that costs so much, each tool half, down to the hundredth."""
    return [one | {"price": int(round(100 * price) / 2) / 100} for one in pair]


@pytest.mark.parametrize("number", range(3))
def test_trips_that_bear_a_loss_are_asked_so(number: int) -> None:
    """Only kits count that bear the loss of any one tool, where the trip asks for it."""
    rng = Random(f"robust adoption {number}")
    tool = offered(rng, "new", wood=False, mass_g=120)
    trips = trips_for(rng, [tool], wood=False, number=5)[:-1]
    for one in trips:
        one["trip"] = one["trip"] | {"robust": {"needs": "critical", "work_multiple": 2}}
    trips = [one for one in trips if bearing_kits(one["trip"] | {"extra_tools": [tool | {"mass_g": 0}]})]
    assert trips
    answer = adoption(tool=tool, trips=trips)
    assert told(answer) == by_brute_force(trips, [tool])


def test_reasons_count_every_trip_that_does_not_want_it() -> None:
    """With the share itself they make 1, and each trip has one reason."""
    rng = Random("reasons")
    tool = offered(rng, "new", wood=False, mass_g=300)
    trips = trips_for(rng, [tool], wood=False, number=10)
    answer = adoption(tool=tool, trips=trips)
    assert answer.adoption + sum(one.share for one in answer.reasons) == pytest.approx(1, abs=1e-6)
    assert answer.never == pytest.approx(
        sum(one.share for one in answer.reasons if one.reason != "other_mass"), abs=1e-6
    )
    assert answer.never + answer.at_any_mass == pytest.approx(1, abs=1e-6)


def test_draws_of_the_scores_are_trips_with_those_scores() -> None:
    """Each draw again as a trip of its own, its tools with the scores drawn by name and seed, asked at the medians."""
    draws, spread = 8, {"low": 0.6, "high": 1.7}
    ends = {f"{task}_score_{end}": 5 * factor for task in ("saw", "split") for end, factor in spread.items()}
    tool = {"kind": "froe", "saw_score": 5.0, "saw_max_mm": 300, "split_score": 5.0, "split_max_mm": 300} | ends
    rows = [tool | {"id": name, "mass_g": mass} for name, mass in (("one", 300), ("two", 420), ("three", 600))]
    tasks = [{"task": "saw", "diameter_mm": 80, "per_day": 9}, {"task": "split", "diameter_mm": 80, "per_day": 9}]
    trips = [
        {
            "trip": {
                "tasks": tasks,
                "tools": rows,
                "field_methods": False,
                "life": False,
                "limits": {"work_min_per_day": most},
            }
        }
        for most in (6, 8, 10)
    ]
    new = tool | {"id": "new", "mass_g": 290}
    answer = adoption(tool=new, trips=trips, score_draws=draws)
    shares = []
    for draw in range(draws):
        again = [_at_draw(Tool.model_validate(one), draw, draws) for one in (*rows, new)]
        asked = [{"trip": one["trip"] | {"tools": again[:-1]}} for one in trips]
        shares.append(adoption(tool=again[-1], trips=asked).adoption)
    assert len(set(shares)) > 1
    assert answer.scores is not None
    assert (answer.scores.draws, answer.scores.trips, answer.scores.at_medians) == (draws, 3, answer.adoption)
    assert answer.scores.adoption == pytest.approx(sum(shares) / draws, abs=1e-8)
    assert (answer.scores.low, answer.scores.high) == (min(shares), max(shares))


def _at_draw(tool: Tool, draw: int, draws: int) -> Tool:
    """A tool with the scores of a draw, known exactly."""
    scores = {
        task: getattr(tool, f"{task}_score")
        * float(ScoreDraws(count=draws, seed=1).factors(tool, task, name=tool.id)[draw])
        for task in ("saw", "split")
    }
    return tool.model_copy(
        update={f"{task}_score{end}": score for task, score in scores.items() for end in ("", "_low", "_high")}
    )


def test_listed_trips_are_told_by_name_and_apart_by_their_fields() -> None:
    """Two trips by hand: the saw of 80 g goes where the other weighs 100, and not where hands do all."""
    saw = {"id": "old", "kind": "folding saw", "mass_g": 100, "saw_score": 5, "saw_max_mm": 100}
    tasks = [{"task": "saw", "diameter_mm": 60}]
    work = {"name": "sawing", "people": 1, "tools": [saw], "tasks": tasks}
    idle = {"name": "no fire", "people": 2, "tools": [saw], "fire": {"hot_water_l_per_person": 1, "allowed": False}}
    answer = adoption(tool=saw | {"id": "new", "mass_g": 80}, trips=[{"weight": 3, "trip": work}, {"trip": idle}])
    assert answer.adoption == 0.75
    assert [(one.name, one.adoption, one.median_allowance_g) for one in answer.groups] == [
        ("no fire", 0, 0),
        ("sawing", 1, 100),
    ]
    assert [(one.value, one.adoption) for one in answer.classes if one.field == "people"] == [("1", 1), ("2", 0)]
    assert [(one.reason, one.share) for one in answer.reasons] == [("no_work", 0.25)]
    assert [(one.id, one.share) for one in answer.replaces] == [("old", 1)]
    assert (answer.saves_g, answer.saves_taken_g) == (15, 20)


def test_a_knife_for_each_counts_as_often_as_it_goes() -> None:
    """Three people, a knife each: the new one must beat the old one threefold; by hand."""
    old: dict[str, Any] = {"id": "old", "kind": "fixed knife", "mass_g": 100, "carve_score": 5, "carve_max_mm": 50}
    new = old | {"id": "new", "mass_g": 90}
    trip = {"people": 3, "nights": 2, "knife": "each", "tools": [old], "tasks": [{"task": "carve", "diameter_mm": 20}]}
    answer = adoption(tool=new, trips=[{"trip": trip}])
    assert (answer.adoption, answer.saves_g, [one.mass_g for one in answer.curve]) == (1, 30, [90, 100])
    assert adoption(tool=new | {"mass_g": 100.01}, trips=[{"trip": trip}]).adoption == 0
