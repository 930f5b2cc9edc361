"""Limits that leave no kit give way by the least: held against every kit of small trips.

The rule: as few limits as possible; one alone in the order time, grams, money,
number of tools; of several, grams are held first, then money, then the number of tools, then time.
"""

import math
from random import Random

import pytest
from kit_space import Known, Space
from oracle import DEFAULT_WORK_MIN, HUNDREDTHS, MS_PER_MIN, Row
from random_trips import chance, random_trip
from service import kit_of

from solver import Trip
from solver.needs.question import question_of

PER_UNIT = {"work_min_per_day": MS_PER_MIN, "mass_g": HUNDREDTHS, "price": HUNDREDTHS, "tools_at_most": 1}
UNITS = {"mass_g": " g", "work_min_per_day": " min", "price": "", "tools_at_most": ""}  # as sentences have them
HELD = ("mass_g", "price", "tools_at_most", "work_min_per_day")
CASES = 150

SPLIT = {"task": "split", "diameter_mm": 100}


def tool(name: str, mass_g: float, price: float) -> Row:
    """A tool that splits."""
    return {"id": name, "kind": "axe", "mass_g": mass_g, "price": price, "split_score": 5, "split_max_mm": 200}


def figures(kit: Known) -> dict[str, float]:
    """What a kit comes to, in the units of limits."""
    return {"work_min_per_day": kit.told_ms, "mass_g": kit.mass_cg, "price": kit.cents, "tools_at_most": len(kit.ids)}


def short_trip(rng: Random) -> Row:
    """A trip whose limits are tight, often several at once; nothing else is amiss."""
    trip = random_trip(rng, fewest=3, most=7, needs_most=3) | {"backup": "none"}
    trip.pop("must_carry", None)
    limits: Row = {"work_min_per_day": rng.choice((1, 2, 5, 20, 90))}
    if chance(rng, 80):
        limits["mass_g"] = rng.choice((0, 100, 200, 300))
    if chance(rng, 80):
        limits["price"] = rng.choice((0, 10, 30, 60))
    if chance(rng, 60):
        limits["tools_at_most"] = rng.choice((0, 1, 1, 2))
    return trip | {"limits": limits}


def expected(kits: list[Known], limits: dict[str, float]) -> dict[str, float]:
    """The limits that give way and to what, by looking at every kit."""
    over = [
        {field for field, cap in limits.items() if figures(kit)[field] > cap + (field == "work_min_per_day")}
        for kit in kits
    ]
    fewest = min(map(len, over))
    if fewest == 0:
        return {}
    if fewest == 1:
        field = next(field for field in limits if {field} in over)
        return {field: min(figures(kit)[field] for kit, broken in zip(kits, over, strict=True) if broken == {field})}
    raised = [
        [max(math.ceil(figures(kit)[field]), limits[field]) for field in HELD if field in limits]
        for kit, broken in zip(kits, over, strict=True)
        if len(broken) == fewest
    ]
    best = dict(zip((field for field in HELD if field in limits), min(raised), strict=True))
    return {field: value for field, value in best.items() if value > limits[field]}


def shown(value: float) -> str:
    """A figure with as many decimals as a day's minutes have."""
    return f"{value:.5f}".rstrip("0").rstrip(".")


def in_words(field: str, value: float) -> float:
    """A figure as sentences have it: minutes are rounded up to the tenth."""
    return math.ceil(round(10 * value, 4)) / 10 if field == "work_min_per_day" else value


def test_limits_give_way_as_every_kit_says() -> None:
    """Which limits, and to what, with one to four of them at fault."""
    sizes: list[int] = []
    for number in range(CASES):
        trip = short_trip(Random(1600 + number))
        space = Space(trip | {"limits": {"work_min_per_day": DEFAULT_WORK_MIN}})
        if space.has_gaps or not space.working:
            continue
        limits = {field: float(cap * PER_UNIT[field]) for field, cap in trip["limits"].items()}
        wanted = expected(space.working, limits)
        gaps = kit_of(trip | {"detail": "kit"})["gaps"]
        told = {gap["field"]: round(trip["limits"][gap["field"]] + gap["short_by"], 6) for gap in gaps}
        assert told == pytest.approx({f: v / PER_UNIT[f] for f, v in wanted.items()}, abs=1e-3), (number, gaps)
        for gap in gaps:
            others = [
                f"with {shown(in_words(field, value))}{UNITS[field]} as the limit on"
                for field, value in told.items()
                if field != gap["field"]
            ]
            assert ("with all other rules kept" in gap["text"]) == (not others)
            assert all(other in gap["text"] for other in others)
        sizes.append(len(wanted))
    assert min(sizes.count(size) for size in (0, 1, 2, 3, 4)) >= 3, sizes


def test_grams_are_held_before_money() -> None:
    """Worked by hand: the light tool is dear, the cheap one heavy, and neither keeps both limits."""
    trip = {
        "tasks": [SPLIT],
        "tools": [tool("light", 100, 100), tool("cheap", 500, 10)],
        "field_methods": False,
        "limits": {"mass_g": 50, "price": 5},
    }
    answer = kit_of(trip)
    assert [one["id"] for one in answer["kit"]["tools"]] == ["light"]
    assert [gap["text"] for gap in answer["gaps"]] == [
        "No kit keeps the limit of 50 g on packed mass: the least that works is 100 g, with 100 as the limit "
        "on the price. All other rules are kept.",
        "No kit keeps the limit of 5 on the price: the least that works is 100, with 100 g as the limit on "
        "packed mass. All other rules are kept.",
    ]


def test_a_gap_of_a_limit_names_what_else_is_left_out() -> None:
    """A need that nothing can do, and a tool that must go but may not, are no rules kept."""
    trip = {
        "tasks": [SPLIT, {"task": "saw", "diameter_mm": 50}],
        "tools": [tool("light", 100, 100), tool("home", 90, 1)],
        "field_methods": False,
        "must_carry": ["home"],
        "leave_home": ["home"],
        "limits": {"mass_g": 50},
    }
    text = kit_of(trip)["gaps"][-1]["text"]
    assert text == (
        "No kit keeps the limit of 50 g on packed mass: the least that works is 100 g, without must_carry "
        "home and without saw-50. "
        "All other rules are kept."
    )


# Ten cuts of 100 mm are 785.4 cm2 (geometry), at 300 cm2 a minute and score 10 (judged): 5.236 minutes at score 5,
# and 2.5 to handle them.
WEARING: Row = {"id": "wearing", "kind": "folding saw", "mass_g": 250, "price": 50, "saw_score": 5, "saw_max_mm": 200}
SAWN_MIN = 10 * math.pi * 10**2 / 4 / 300 * 2 + 2.5


@pytest.mark.parametrize(
    ("limits", "short_by"),
    [
        ({}, {}),
        ({"mass_g": 250, "price": 50}, {}),
        ({"mass_g": 249.99, "price": 50}, {"mass_g": 0.01}),
        ({"mass_g": 100, "price": 5}, {"mass_g": 150, "price": 45}),
        ({"mass_g": 100, "price": 5, "work_min_per_day": 1},
         {"mass_g": 150, "price": 45, "work_min_per_day": SAWN_MIN - 1}),
    ],
)  # fmt: skip
def test_where_tools_wear_out_whatever_gives_way_wear_is_left_out_first(limits: Row, short_by: Row) -> None:
    """A saw that lasts for 1 cm2 and no other: without wear, the limits still count."""
    sawing = {"task": "saw", "diameter_mm": 100, "per_day": 10}
    trip = {"tasks": [sawing], "tools": [WEARING | {"saw_life": 1}], "field_methods": False, "limits": limits}
    answer = kit_of(trip)
    assert (answer["status"], [one["id"] for one in answer["kit"]["tools"]]) == ("uncovered", ["wearing"])
    life, *others = answer["gaps"]
    lives = 10 * math.pi * 10**2 / 4  # ten cuts of so many cm2, at a life of 1 cm2
    assert (life["kind"], life["field"], life["unit"], life["closest"]) == ("limit", "life", "life", "wearing")
    assert life["short_by"] == pytest.approx(lives - 1, abs=2e-5)
    assert answer["kit"]["tools"][0]["lives_spent_teeth"] == pytest.approx(lives, abs=2e-5)
    assert f" {math.ceil(10 * lives) / 10:g} lives of the teeth of wearing, which has 1." in life["text"]
    assert {gap["field"]: gap["short_by"] for gap in others} == pytest.approx(short_by, abs=1e-3)
    assert all("the least that works is" in gap["text"] and "without wear" in gap["text"] for gap in others)
    lasting = kit_of(trip | {"tools": [WEARING | {"saw_life": 1e6}]})
    assert [gap["field"] for gap in lasting["gaps"]] == list(short_by)


def test_a_limit_that_there_is_not_can_not_be_set() -> None:
    """A name that is no field of a limit fails rather than set another one."""
    case = question_of(Trip.model_validate({"tasks": [SPLIT]})).case
    with pytest.raises(ValueError, match=r"no limit .count_cap.*mass_g"):
        case.capped("count_cap", 3)
