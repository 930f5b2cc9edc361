"""The next kits: lightest first, really different from those before and better in something, by brute force."""

from functools import cache
from random import Random
from typing import Any

import pytest
from better_kits import Compared
from every_kit import Kit, covered_trip, covered_wood_trip, covering_kits, cutting
from oracle import MS_PER_MIN, Row, told_ms
from random_trips import chance
from service import kit_of
from stated_trips import AXE, KNIFE, SAW, SPLIT

MINUTES_TOLERANCE = 1e-3
TRIPS = 92


def differs(kit: frozenset[str], listed: frozenset[str]) -> bool:
    """Whether the cutting tools of a kit hold not all of a listed one's; one without any cuts out its like."""
    return not listed <= kit if listed else bool(kit)


def carried(kit: Row) -> tuple[str, ...]:
    """Ids of a kit, sorted, each as often as it is there."""
    return tuple(sorted(tool["id"] for tool in kit["tools"] for _ in range(tool["count"])))


def expect_steps(answer: Row) -> None:
    """Grams and minutes more are those of the two kits."""
    for other in answer["alternatives"]:
        assert other["more_g"] == pytest.approx(other["mass_g"] - answer["kit"]["mass_g"], abs=1e-6)
        more_min = other["work_min_per_day"] - answer["kit"]["work_min_per_day"]
        assert other["more_min_per_day"] == pytest.approx(more_min, abs=1e-5)


def busy(rng: Random, *, most: int) -> Row:
    """A covered trip of much work, so that minutes part its kits; lengths, prices and lives are all known now and then.

    Tools of the same mass and work are frequent.
    """
    trip = covered_trip(rng, most=most)
    for task in trip["tasks"]:
        task["per_day"] = task.get("per_day", 1) * rng.choice((1, 5, 20))
    trip["limits"] = trip.get("limits", {}) | {"work_min_per_day": 1440}
    if chance(rng, 60):
        for tool in trip["tools"]:
            tool |= {"packed_mm": rng.choice((150, 200, 380)), "price": rng.choice((10, 20, 35.5))}
    return trip if covering_kits(trip) else busy(rng, most=most)


@cache
def enumerated(number: int) -> tuple[Row, Kit, list[tuple[Kit, list[str]]]]:
    """A seeded trip with its lightest kit and its next ones, with in what each is better."""
    rng = Random(f"alternatives {number}")
    trip = busy(rng, most=7) if number % 2 else covered_trip(rng, most=8)
    trip["alternatives"] = rng.randint(0, 5)
    first, *others = covering_kits(trip)
    return trip, first, Compared(trip).next_kits(first, others, trip["alternatives"])


@pytest.mark.parametrize("number", range(TRIPS))
def test_next_kits_are_the_lightest_that_are_better_in_something(number: int) -> None:
    """Ids, grams, minutes and regards of each, for 0 to 5 kits asked; fewer only where there are no more."""
    trip, first, wanted = enumerated(number)
    answer = kit_of(trip)
    assert carried(answer["kit"]) == first.ids
    assert [(carried(kit), kit["better_in"]) for kit in answer["alternatives"]] == [
        (kit.ids, better) for kit, better in wanted
    ]
    for kit, (other, _) in zip(answer["alternatives"], wanted, strict=True):
        assert kit["mass_g"] == pytest.approx(other.mass_cg / 100, abs=1e-6)
        told = told_ms(other.ms, trip.get("people", 1)) / MS_PER_MIN
        assert kit["work_min_per_day"] == pytest.approx(told, abs=MINUTES_TOLERANCE)
        alone = kit_of(trip | {"only": other.ids, "must_carry": other.ids, "detail": "kit"})["kit"]
        assert [(tool["id"], tool["does"]) for tool in kit["tools"]] == [
            (tool["id"], tool["does"]) for tool in alone["tools"]
        ]
    expect_steps(answer)


def test_those_trips_have_every_regard() -> None:
    """Else they would say nothing of one; no kit is lighter than the lightest."""
    seen = {word for number in range(TRIPS) for _, better in enumerated(number)[2] for word in better}
    assert seen == {"time", "tools", "price", "length", "loss", "backup"}


@pytest.mark.parametrize("number", range(12))
def test_next_kits_of_the_quickest_kit_are_the_quickest_that_are_better_in_something_else(number: int) -> None:
    """No kit is quicker than one whose least work is proven: so none is asked for, and all parts are settled."""
    trip = busy(Random(f"quickest {number}"), most=6) | {"aim": "work_time", "alternatives": 3}
    answer, compared = kit_of(trip), Compared(trip)
    kits = sorted(covering_kits(trip), key=lambda kit: (round(kit.ms), kit.mass_cg, kit.count, kit.ids))
    told = kits[0]
    assert carried(answer["kit"]) == told.ids
    left, wanted = [kit for kit in kits if compared.differs(kit, told)], []
    while len(wanted) < 3:
        better = [kit for kit in left if {*compared.better_in(told, kit)} - {"loss"}]
        if not better:
            break
        wanted.append(better[0].ids)
        left = [kit for kit in left if compared.differs(kit, better[0])]
    assert [carried(kit) for kit in answer["alternatives"]] == wanted
    assert not answer["not_settled"]


@pytest.mark.parametrize("number", range(8))
def test_next_kits_of_a_trip_with_wear_ignore_sharpeners(number: int) -> None:
    """A kit with another stone is not another kit; grams are compared, since days of equal length can tie."""
    trip = covered_wood_trip(Random(f"wood alternatives {number}"), most=6)
    answer = kit_of(trip | {"alternatives": 3})
    compared, left = Compared(trip), covering_kits(trip)
    told = next(kit for kit in left if kit.ids == carried(answer["kit"]))
    listed = [cutting(trip, told.ids)]
    for kit in [*answer["alternatives"], None]:
        left = [
            one
            for one in left
            if differs(cutting(trip, one.ids), listed[-1])
            or (len(listed) == 1 and "loss" in compared.better_in(told, one))
        ]
        better = [one for one in left if compared.better_in(told, one)]
        if kit is None:
            assert not better or len(answer["alternatives"]) == 3
            break
        assert carried(kit) in {one.ids for one in better if one.mass_cg == better[0].mass_cg}
        (own,) = (one for one in better if one.ids == carried(kit))
        assert kit["better_in"] == compared.better_in(told, own)
        listed.append(cutting(trip, carried(kit)))
    expect_steps(answer)


def figures_of(kit: Row, rows: dict[str, Row]) -> dict[str, Any]:
    """What a told kit comes to in the regards that its own figures tell."""
    mine = [rows[name] for name in carried(kit)]
    lengths = [tool.get("packed_mm") for tool in mine]
    prices = [tool.get("price") for tool in mine]
    return {
        "mass": kit["mass_g"],
        "time": kit["work_min_per_day"],
        "tools": len(mine),
        "length": max(lengths) if lengths and None not in lengths else None,
        "price": sum(prices) if None not in prices else None,
    }


@pytest.mark.parametrize("aim", ["effort", "work_time"])
@pytest.mark.parametrize("number", range(8))
def test_whatever_the_aim_no_next_kit_is_dominated_by_the_told_one(number: int, aim: str) -> None:
    """What a kit is said to be better in it is better in; and there is something."""
    trip = busy(Random(f"aims {number}"), most=6)
    answer = kit_of(trip | {"aim": aim, "alternatives": 4})
    rows = {tool["id"]: tool for tool in trip["tools"]}
    told = figures_of(answer["kit"], rows)
    for kit in answer["alternatives"]:
        assert kit["better_in"]
        mine = figures_of(kit, rows)
        for word in set(kit["better_in"]) & set(told):
            assert mine[word] < told[word], (word, mine, told)


def test_an_empty_kit_rules_out_no_tool() -> None:
    """Where field methods do the work, the next kit is the lightest tool that is quicker, not nothing again.

    Sixty cuts of 30 mm by hand (score 2 by a method, judged) take 7 minutes; a knife can't cut to length.
    """
    hand = {"task": "buck", "diameter_mm": 30, "per_day": 60}
    answer = kit_of({"tasks": [hand], "tools": [KNIFE, AXE, SAW]})
    assert carried(answer["kit"]) == ()
    told = answer["kit"]["work_min_per_day"]
    wanted = [("saw", told - answer_min("saw", hand)), ("axe", told - answer_min("axe", hand))]
    assert [carried(kit) for kit in answer["alternatives"]] == [(name,) for name, saves in wanted if saves >= 5]


def answer_min(name: str, task: Row) -> float:
    """The minutes that one tool takes over a task."""
    rows = {"saw": SAW, "axe": AXE}
    answer = kit_of({"tasks": [task], "tools": [rows[name]], "must_carry": [name]})
    return float(answer["kit"]["work_min_per_day"])


def test_another_sharpener_or_method_is_no_other_kit() -> None:
    """One knife and two stones make one kit: the next one needs another cutting tool."""
    stones = [{"id": name, "mass_g": 20, "kind": "sharpening stone"} for name in ("coarse", "fine")]
    dull = KNIFE | {"split_life": 1, "sharpened_by": "coarse|fine"}
    trip = {"tasks": [SPLIT], "nights": 9, "tools": [dull, AXE, *stones], "field_methods": False, "knife": "none"}
    answer = kit_of(trip)
    assert carried(answer["kit"]) == ("coarse", "knife")
    assert [(carried(kit), kit["better_in"]) for kit in answer["alternatives"]] == [(("axe",), ["tools"])]


def test_a_kit_that_is_heavier_and_no_better_is_not_told() -> None:
    """Two axes of one work: the heavier one is no next kit, the one that saves five minutes is (judged figure)."""
    slow = AXE | {"id": "slow", "mass_g": 700}
    rounds = SPLIT | {"per_day": 30}
    trip = {"tasks": [rounds], "field_methods": False, "limits": {"tools_at_most": 1}}
    twin = kit_of(trip | {"tools": [slow, slow | {"id": "twin", "mass_g": 750}]})
    assert (carried(twin["kit"]), twin["alternatives"]) == (("slow",), [])
    worse = slow | {"split_score": 4.5}
    better = kit_of(trip | {"tools": [worse, AXE]})
    assert [(carried(kit), kit["better_in"]) for kit in better["alternatives"]] == [(("axe",), ["time"])]


def test_the_next_kit_that_bears_a_loss_may_be_the_kit_with_one_tool_more() -> None:
    """Two axes of one work; it is the kit that `robust` asks for."""
    first, spare = (AXE | {"id": name, "mass_g": mass} for name, mass in (("a", 700), ("b", 800)))
    trip = {"tasks": [SPLIT], "field_methods": False, "tools": [first, spare]}
    (kit,) = kit_of(trip)["alternatives"]
    assert (carried(kit), kit["better_in"]) == (("a", "b"), ["loss", "backup"])
    assert kit["gives"].startswith("b too: 860 g more, the same time")
    assert carried(kit_of(trip | {"robust": {"needs": "all"}})["kit"]) == ("a", "b")


def test_no_kit_bears_a_loss_and_is_lighter_than_the_first_that_is_told() -> None:
    """Among next kits the first that bears a loss weighs what `robust` weighs."""
    told = 0
    for number in range(1, 48, 2):
        trip, first, wanted = enumerated(number)
        bearing = [kit.mass_cg for kit, better in wanted if "loss" in better]
        if bearing:
            robust = kit_of(trip | {"robust": {"needs": "all"}, "alternatives": 0, "detail": "kit"})
            assert round(100 * robust["kit"]["mass_g"]) == bearing[0] > first.mass_cg
            told += 1
    assert told >= 3


def test_kits_seen_by_enumeration_are_kits() -> None:
    """The reference knows its own: a kit is never better than itself."""
    trip = covered_trip(Random("own"), most=6)
    compared, kits = Compared(trip), covering_kits(trip)
    assert all(isinstance(kit, Kit) and compared.better_in(kit, kit) == [] for kit in kits)
