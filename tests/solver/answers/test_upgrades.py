"""Upgrades and the deciding default: by brute force over every kit of small trips."""

import math
from collections import Counter
from random import Random
from typing import Any

import pytest
from better_kits import worth_their_grams
from every_kit import Kit, covered_trip, covered_wood_trip, covering_kits, least_cg
from oracle import CUTTING_TASKS, DEFAULT_WORK_MIN, MS_PER_MIN, Row, told_ms
from random_trips import random_trip
from service import ask, kit_of, small_app
from stated_trips import ids

MANY_MIN = 1440
FEW_MS = 1.0  # a program and a linear program may differ by so much in a day with wear
CARVE = {"task": "carve", "diameter_mm": 30, "per_day": 7}
MIN_AT_TEN = 7 * 3
WEARING = {"skill": "practised"}  # the default, stated: so the reference counts wear
STONE = {"id": "stone", "name": "Pocket stone", "mass_g": 40, "kind": "sharpening stone"}


def graded_trip(rng: Random) -> Row:
    """A busy trip whose tools are the quicker the heavier, in steps of some 30 g, so that its front is long."""
    trip = random_trip(rng, fewest=6, most=7, needs_most=3)
    for rank, tool in enumerate(trip["tools"]):
        tool |= {"mass_g": 80 + 25 * rank + rng.randint(0, 15), "cover_g": 0}
        for task in [task for task in CUTTING_TASKS if f"{task}_score" in tool]:
            tool |= {f"{task}_score": min(10, 1 + 1.5 * rank), f"{task}_max_mm": 300}
        for alone in ("needs", "one_person"):
            tool.pop(alone, None)
    for task in trip["tasks"]:
        task |= {"per_day": rng.choice((10, 20, 30)), "min_score": 0}
    trip |= {"limits": {"work_min_per_day": rng.choice((100, 300, 1440))}, "people": rng.randint(1, 3)}
    return trip if covering_kits(trip) else graded_trip(rng)


def expect_upgrades(trip: Row, *, exact: bool = True) -> int:
    """Each kit of the front that saves much for few grams, the lightest first, with its figures; their number."""
    answer = kit_of(trip | {"alternatives": 0})
    held = Counter({tool["id"]: tool["count"] for tool in answer["kit"]["tools"]})
    told, wanted = next(kit for kit in covering_kits(trip) if Counter(kit.ids) == held), worth(trip)
    upgrades = answer["upgrades"]
    assert [round(100 * one["more_g"]) for one in upgrades] == [kit.mass_cg - told.mass_cg for kit in wanted]
    for one, kit in zip(upgrades, wanted, strict=True):
        days = [told_ms(day.ms, trip.get("people", 1)) for day in (told, kit)]
        assert one["saves_min_per_day"] == pytest.approx((days[0] - days[1]) / MS_PER_MIN, abs=2 * FEW_MS / MS_PER_MIN)
        assert Counter(one["ids"]) == held - Counter(one["leave"]) + Counter(one["add"])
        assert not set(one["add"]) & set(one["leave"])
        assert Counter(one["leave"]) <= held
        if exact:
            assert tuple(one["ids"]) == kit.ids
    return len(upgrades)


def worth(trip: Row) -> list[Kit]:
    """The kits wanted."""
    return worth_their_grams(trip)


def test_upgrades_are_the_kits_of_the_front_that_save_much_for_few_grams() -> None:
    """Graded trips, which have many, and trips as they come, which have few."""
    graded = [expect_upgrades(graded_trip(Random(f"upgrades {number}"))) for number in range(40)]
    assert sum(found > 0 for found in graded) >= 15, graded
    assert max(graded) >= 3, graded
    for number in range(25):
        expect_upgrades(covered_trip(Random(f"any upgrade {number}"), most=8))


@pytest.mark.parametrize("number", range(12))
def test_upgrades_of_trips_with_fire_wear_and_sharpeners(number: int) -> None:
    """Days are linear programs here, and may tie: grams and minutes are compared."""
    expect_upgrades(covered_wood_trip(Random(f"wood upgrade {number}"), most=6), exact=False)


def dull_trip(**rules: Any) -> Row:
    """A quick knife whose edge lasts for a part of the week, and a poor one for the rest: seven pieces a day.

    A piece takes 3 minutes at score 10 (judged, no source): 21 min a day at score 10, 84 at 2.5.
    """
    carver = {"carve_max_mm": 80, "kind": "fixed knife"}
    quick = {"id": "quick", "mass_g": 120, "carve_score": 10, "carve_life": 20, "sharpened_by": "stone"} | carver
    poor = {"id": "poor", "mass_g": 80, "carve_score": 2.5} | carver
    tools = [quick, poor, STONE]
    return {"tasks": [CARVE], "nights": 7, "tools": tools, "field_methods": False} | WEARING | rules


def test_a_stone_that_saves_half_the_day_is_offered() -> None:
    """40 g keep the edge of the quick knife: the poor one need not do what it wore out on."""
    trip = dull_trip(must_carry=["quick", "poor"])
    answer = kit_of(trip)
    assert ids(answer) == ["poor", "quick"]
    assert answer["kit"]["work_min_per_day"] > 2 * MIN_AT_TEN
    (upgrade,) = answer["upgrades"]
    assert (upgrade["ids"], upgrade["add"], upgrade["leave"]) == (["poor", "quick", "stone"], ["stone"], [])
    (other,) = answer["alternatives"]
    assert ([tool["id"] for tool in other["tools"]], other["better_in"]) == (upgrade["ids"], ["time", "loss"])
    assert upgrade["more_g"] == 40
    left = answer["kit"]["work_min_per_day"] - upgrade["saves_min_per_day"]
    assert left == pytest.approx(MIN_AT_TEN, abs=1e-3)
    assert upgrade["why"].startswith("Add Pocket stone, which renews the edge of quick: 40 g more, carving takes 21 ")
    expect_upgrades(trip)


def test_an_upgrade_tells_a_knife_for_each_as_often_as_there_are_people() -> None:
    """Two people with a knife each, and a quick saw in place of a slow one: both knives stay."""
    saw = {"kind": "bow saw", "saw_max_mm": 200}
    slow, fast = ({"id": name, "mass_g": mass_g, "saw_score": at} | saw for name, mass_g, at in SAWS)
    knife = {"id": "knife", "kind": "fixed knife", "mass_g": 100}
    trip = {"people": 2, "nights": 3, "knife": "each", "field_methods": False, "tools": [knife, slow, fast]}
    trip |= {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": 40}], "limits": {"work_min_per_day": 900}}
    (upgrade,) = kit_of(trip)["upgrades"]
    assert (upgrade["ids"], upgrade["add"], upgrade["leave"]) == (["fast", "knife", "knife"], ["fast"], ["slow"])
    assert expect_upgrades(trip) == 1


SAWS = (("slow", 50, 1), ("fast", 120, 10))


@pytest.mark.parametrize(
    "rules",
    [
        {"detail": "kit"},
        {"tasks": [CARVE, {"task": "saw", "diameter_mm": 60}]},
        {"robust": {"needs": "all", "work_multiple": 20}, "must_carry": []},
        {"aim": "work_time", "must_carry": []},
    ],
)
def test_no_upgrade_where_it_would_not_hold(rules: Row) -> None:
    """Kit detail, a trip with a gap, a robust kit, and the quickest kit have none."""
    assert kit_of(dull_trip(must_carry=["quick", "poor"]) | rules)["upgrades"] == []


KNIVES = [
    {"id": "light", "kind": "fixed knife", "mass_g": 60, "carve_score": 2, "carve_max_mm": 80},
    {"id": "quick", "kind": "fixed knife", "mass_g": 80, "carve_score": 8, "carve_max_mm": 80},
]


@pytest.mark.parametrize(
    ("knives", "people", "add", "why"),
    [
        ("none", 2, ["quick"], "Take quick, in place of light"),
        ("one", 2, ["quick"], "Take quick, in place of light"),
        ("each", 2, ["quick"], "Take quick, in place of light"),
        ("each", 3, ["quick"], "Take quick, in place of light"),
    ],
)
def test_upgrades_of_a_kit_with_knives_that_stay_in_the_pack(
    knives: str, people: int, add: list[str], why: str
) -> None:
    """One light knife gives way to a quick one, 20 g heavier; the other people keep theirs."""
    trip = {"tools": KNIVES, "tasks": [CARVE], "people": people, "nights": 3, "knife": knives, "field_methods": False}
    (upgrade,) = kit_of(trip | {"limits": {"work_min_per_day": MANY_MIN}, "life": False})["upgrades"]
    assert upgrade["add"] == add
    assert upgrade["leave"] == ["light"]
    assert sorted(upgrade["ids"]) == ["light"] * (people - 1 if knives == "each" else 0) + ["quick"]
    assert upgrade["more_g"] == 80 - 60
    assert upgrade["why"].startswith(why)


def unstated(rng: Random) -> Row:
    """A trip that states no work limit, whose lightest kit takes some 95 to 200 minutes a day if it may."""
    trip = covered_trip(rng, most=7)
    trip["limits"] = {name: one for name, one in trip["limits"].items() if name != "work_min_per_day"}
    lightest = covering_kits(trip | {"limits": trip["limits"] | {"work_min_per_day": MANY_MIN}})[0]
    if not lightest.ms:
        return unstated(rng)
    factor = rng.uniform(95, 200) * MS_PER_MIN / lightest.ms
    for task in trip["tasks"]:
        task["per_day"] = min(9_000.0, round(task.get("per_day", 1) * factor, 1) + 0.1)
    return trip if covering_kits(trip) else unstated(rng)


def least_within(trip: Row, minutes: float) -> int:
    """Mass of the lightest kit in a day of so many minutes [0.01 g]."""
    found = least_cg(trip | {"limits": trip["limits"] | {"work_min_per_day": minutes}})
    assert found is not None
    return found


def deciding(answer: Row) -> list[Row]:
    """The reasons that say so."""
    return [reason for reason in answer["reasons"] if reason["code"] == "deciding-default"]


def test_a_default_that_decides_the_kit_is_said() -> None:
    """Half an hour more, or else twice the limit: what the lightest kit then weighs less, and nothing if as much."""
    said = {120.0: 0, 180.0: 0}
    for number in range(40):
        trip = unstated(Random(f"deciding {number}"))
        least = least_within(trip, DEFAULT_WORK_MIN)
        saves = [(minutes, least - least_within(trip, minutes)) for minutes in said]
        wanted = next(((minutes, less) for minutes, less in saves if less), None)
        reasons = deciding(kit_of(trip | {"detail": "kit"}))
        assert bool(reasons) == bool(wanted)
        if wanted is None:
            continue
        facts, people = reasons[0]["facts"], trip.get("people", 1)
        assert (facts["with_min_per_day"], round(100 * facts["less_g"])) == wanted
        assert (facts["work_min_per_day"], facts["min_each"]) == (90, pytest.approx(90 / people, abs=1e-6))
        said[wanted[0]] += 1
    assert min(said.values()) >= 2, said


LIGHT = {"id": "light", "mass_g": 350, "carve_score": 7, "carve_max_mm": 80, "kind": "fixed knife"}
QUICK = LIGHT | {"id": "quick", "mass_g": 960, "carve_score": 9}
HEAVY = {"tasks": [CARVE | {"per_day": 23}], "tools": [LIGHT, QUICK], "field_methods": False}


def test_the_sentence_of_a_deciding_default() -> None:
    """23 pieces of 3 min at score 10 (judged, no source): 99 min at score 7, 77 at 9; 350 g against 960 g."""
    (alone,) = deciding(kit_of(HEAVY))
    assert alone["text"] == ("90 minutes of wood work a day (assumed) decides this kit: with 120, 610 g less.")
    (party,) = deciding(kit_of(HEAVY | {"people": 3}))
    assert party["text"] == (
        "90 minutes of wood work a day for the whole party (assumed), 30 each, decides this kit: with 120, 610 g less."
    )


def test_a_stated_limit_is_nobodys_assumption() -> None:
    """The same limit, stated, is not told as assumed; other limits state nothing of it."""
    assert deciding(kit_of(HEAVY | {"limits": {"work_min_per_day": 90}})) == []
    assert deciding(kit_of(HEAVY | {"limits": {"mass_g": 5000}}))


def test_a_cell_that_states_the_limit_gets_an_answer_of_its_own() -> None:
    """Cells are answered from memory by their trip: one that leaves the limit out is another trip."""
    app = small_app()
    only = {"only": "folding-saw-240|bow-saw-610", "field_methods": "false", "saw_mm": "100"}

    def cell(field: str, **more: str) -> str:
        return ask("GET", "/v1/sheet/value", app=app, params={"field": field} | only | more).text

    each = float(cell("kit.work_min_per_day", saw_per_day="1"))  # of the lighter saw, which is the slower one
    tried = [{"field": "reasons.*.code", "saw_per_day": f"{minutes / each:.2f}"} for minutes in range(75, 100, 3)]
    asked = next(one for one in tried if "deciding-default" in cell(**one))
    assert "deciding-default" not in cell(**asked, work_min_per_day="90")
    assert "deciding-default" in cell(**asked)


def quickest(answer: Row) -> list[str]:
    """What is said of a kit that is only the quickest."""
    return [reason["text"] for reason in answer["reasons"] if reason["code"] == "quickest-kit"]


def test_where_no_kit_is_quick_enough_the_light_one_in_a_longer_day_is_told() -> None:
    """99 minutes at score 7 and 350 g, 77 at 9 and 960 g; 60 are too few, half an hour more than 77 is enough."""
    answer = kit_of(HEAVY | {"limits": {"work_min_per_day": 60}})
    assert (answer["status"], answer["kit"]["mass_g"]) == ("uncovered", 960)
    day = answer["kit"]["work_min_per_day"]
    (told,) = quickest(answer)
    assert told.endswith(f"With {math.ceil(day) + 30} min of wood work a day 350 g is enough: light.")
    assert not quickest(kit_of(HEAVY | {"limits": {"work_min_per_day": 60}, "tools": [QUICK]}))
    assert not quickest(kit_of(HEAVY))


def test_among_few_minutes_twice_the_day_is_enough_to_tell_it() -> None:
    """One piece: 3.3 minutes at score 9, 4.3 at 7; within 1 no kit does, within 8 the light one."""
    few = HEAVY | {"tasks": [CARVE | {"per_day": 1}], "limits": {"work_min_per_day": 1}}
    (told,) = quickest(kit_of(few))
    assert told.endswith("With 8 min of wood work a day 350 g is enough: light.")
