"""What pins an answer: at the breakpoint the kit is still of least mass, one step beyond it is not.

Every probe is the whole trip with one figure changed, judged by brute force over every kit.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from random import Random

import oracle
import pytest
from every_kit import covered_trip, covered_wood_trip, covering_kits, is_least, with_tool
from oracle import Row, packed_cg
from service import kit_of
from stated_trips import AXE, KNIFE, SAW, SPLIT, WEDGE, own
from two_way_trips import two_way_trip

from catalog import assumptions
from catalog.tables.remembered import forget

GRAM_STEP = 0.01
FINE_STEP = 1e-4  # the last digit that a pinned size or score is told to
LARGEST_MM = 3000
# Judged figures that the brute force of stated trips keeps as constants of its own.
RATES = {
    "pace": "PACE",
    "saw_turned_share": "TURNED_SHARE",
    "saw_rate": "SAW_CM2_PER_MIN",
    "chop_rate": "CHOP_CM3_PER_MIN",
    "chop_rate_thin": "THIN_CHOP_CM3_PER_MIN",
    "cleave_rate": "CLEFTS_PER_MIN",
    "cleft_exponent": "CLEFT_EXPONENT",
    "baton_exponent": "BATON_EXPONENT",
    "handling_cut": "CUT_HANDLING_MIN",
    "handling_round": "ROUND_HANDLING_MIN",
    "rest_share": "REST_SHARE",
    "rest_free_min": "REST_FREE_MIN",
    "carve_minutes": "CARVE_MIN_PER_PIECE",
    "burnable_dry": "BURNABLE_MM",
    "dead_strength_share": "DEAD_SHARE",
    "break_force": "BREAK_FORCE_N",
    "break_arm": "BREAK_ARM_M",
    "lever_force": "LEVER_FORCE_N",
    "lever_arm": "LEVER_ARM_M",
    "wedge_least_mm": "WEDGE_LEAST_MM",
    "wedge_start_split": "WEDGE_START_SPLIT",
    "wedge_start_chop": "WEDGE_START_CHOP",
    "wedge_start_min": "WEDGE_START_MIN",
    "wedges_a_round": "WEDGES_A_ROUND",
    "wedge_lasts": "WEDGE_LASTS",
    "wedge_minutes": "WEDGE_CARVE_MIN",
}


def pins_of(trip: Row) -> tuple[Row, list[str]]:
    """The pins of a trip's answer, and the ids of its kit."""
    answer = kit_of(trip | {"alternatives": 0})
    assert answer["status"] == "optimal"
    pins: Row = answer["pins"]
    return pins, [tool["id"] for tool in answer["kit"]["tools"] for _ in range(tool["count"])]


def heavier(trip: Row, name: str, grams: float) -> Row:
    """The trip with a tool that weighs so much more, all of it bare mass."""
    (tool,) = (one for one in trip["tools"] if one["id"] == name)
    return with_tool(trip, name, mass_g=round(packed_cg(tool) / 100 + grams, 2), cover_g=0)


def expect_mass_pins(trip: Row, pins: Row, kit: list[str]) -> None:
    """A tool may grow to the breakpoint and no further; null: as heavy as tools come."""
    assert [pin["id"] for pin in pins["tools"]] == list(dict.fromkeys(kit))
    for pin in pins["tools"]:
        grow_g = pin["mass_may_grow_g"]
        if grow_g is None:
            assert is_least(heavier(trip, pin["id"], 50_000), kit), pin
        else:
            assert is_least(heavier(trip, pin["id"], grow_g), kit), pin
            assert not is_least(heavier(trip, pin["id"], grow_g + GRAM_STEP), kit), pin


def fallen(trip: Row, name: str, column: str, value: float) -> Row:
    """The trip with one figure of a tool fallen; with a saw's largest diameter falls that of a turned log."""
    (tool,) = (one for one in trip["tools"] if one["id"] == name)
    if column != "saw_max_mm" or tool.get("turned_max_mm", 0) <= tool["saw_max_mm"]:
        return with_tool(trip, name, **{column: value})
    return with_tool(trip, name, saw_max_mm=min(value, tool["saw_max_mm"]), turned_max_mm=value)


def expect_ability_pins(trip: Row, pins: Row, kit: list[str], *, step: float = FINE_STEP) -> None:
    """A size or score may fall to the breakpoint and no further; 0: it may vanish."""
    for tool in pins["tools"]:
        for pin in tool["abilities"]:
            for column, now, least in (
                ("max_mm", pin["max_mm"], pin["max_may_fall_to_mm"]),
                ("score", pin["score"], pin["score_may_fall_to"]),
            ):
                name = f"{pin['task']}_{column}"
                assert 0 <= least <= now
                assert is_least(fallen(trip, tool["id"], name, least), kit), (tool["id"], name, least)
                if least > 0:
                    beyond = max(0.0, least - step)
                    assert not is_least(fallen(trip, tool["id"], name, beyond), kit), (tool["id"], name, least)


def at_diameter(trip: Row, number: int, diameter_mm: float) -> Row:
    """The trip with one of its stated tasks at another diameter."""
    tasks = list(trip["tasks"])
    tasks[number] = tasks[number] | {"diameter_mm": diameter_mm}
    return trip | {"tasks": tasks}


def expect_need_pins(trip: Row, pins: Row, kit: list[str], *, step: float = FINE_STEP) -> None:
    """A stated diameter may grow to the breakpoint and no further, or to the end of the range."""
    for number, pin in enumerate(pins["needs"][: len(trip["tasks"])]):
        grown = pin["may_grow_to_mm"]
        assert pin["diameter_mm"] == trip["tasks"][number]["diameter_mm"] <= grown <= LARGEST_MM
        assert is_least(at_diameter(trip, number, grown), kit), pin
        if grown < LARGEST_MM:
            assert not is_least(at_diameter(trip, number, grown + step), kit), pin


@contextmanager
def assuming(name: str, value: float) -> Iterator[None]:
    """The brute force under another value of an assumption."""
    row, table, constant = assumptions()[name], assumptions(), RATES.get(name)
    kept = getattr(oracle, constant) if constant else None
    table[name] = row.model_copy(update={"value": value})
    forget()
    try:
        if constant:
            setattr(oracle, constant, value)
        yield
    finally:
        table[name] = row
        forget()
        if constant:
            setattr(oracle, constant, kept)


def expect_assumption_pins(trip: Row, pins: Row, kit: list[str]) -> None:
    """At both ends of the band: the kit where it is still of least mass, else a lightest one, null without any."""
    for pin in pins["assumptions"]:
        row = assumptions()[pin["id"]]
        assert (pin["value"], pin["low"], pin["high"]) == (row.value, row.low, row.high)
        changed = []
        for end in ("low", "high"):
            told = pin[f"at_{end}"]
            with assuming(pin["id"], pin[end]):
                kits = covering_kits(trip)
                keeps = is_least(trip, kit)
            changed.append(not keeps)
            if not kits:
                assert told is None, pin
            elif keeps:
                assert told["ids"] == sorted(kit), pin
            else:
                assert tuple(told["ids"]) in {one.ids for one in kits if one.mass_cg == kits[0].mass_cg}, pin
                assert told["mass_g"] == pytest.approx(kits[0].mass_cg / 100, abs=1e-6)
        assert pin["changes"] == any(changed), pin


@pytest.mark.parametrize("number", range(30))
def test_every_pin_is_an_exact_breakpoint(number: int) -> None:
    """Masses, sizes, scores, diameters and assumptions of stated trips, with every rule on now and then."""
    trip = covered_trip(Random(f"pins {number}"), most=6, wanted=lambda _, kits: bool(kits[0].ids))
    pins, kit = pins_of(trip)
    expect_mass_pins(trip, pins, kit)
    expect_ability_pins(trip, pins, kit)
    expect_need_pins(trip, pins, kit)
    expect_assumption_pins(trip, pins, kit)


@pytest.mark.parametrize("number", range(6))
def test_masses_and_assumptions_pin_a_trip_with_firewood_and_wear(number: int) -> None:
    """Every judged figure that the day of a wood fire rests on, at both ends of its band."""
    trip = covered_wood_trip(Random(f"wood pins {number}"), most=4)
    pins, kit = pins_of(trip)
    expect_mass_pins(trip, pins, kit)
    expect_assumption_pins(trip, pins, kit)


@pytest.mark.parametrize("number", range(5))
def test_pins_of_tools_that_work_in_several_ways_and_wear_out(number: int) -> None:
    """A figure that falls lets the other way take over, as far as its part lasts."""
    trips = (two_way_trip(Random(f"pins {number} {n}")) | {"aim": "mass"} for n in count())
    trip = next(one for one in trips if (kits := covering_kits(one)) and kits[0].ids)
    pins, kit = pins_of(trip)
    expect_mass_pins(trip, pins, kit)
    expect_ability_pins(trip, pins, kit)
    expect_need_pins(trip, pins, kit)
    expect_assumption_pins(trip, pins, kit)


def test_a_tool_that_must_go_may_grow_without_end() -> None:
    """It is in every kit; only a mass limit holds it."""
    trip = own(KNIFE, WEDGE) | {"must_carry": ["wedge"]}
    free, _ = pins_of(trip)
    capped, _ = pins_of(trip | {"limits": {"mass_g": 480}})
    assert [tool["mass_may_grow_g"] for tool in free["tools"] if tool["id"] == "wedge"] == [None]
    assert [tool["mass_may_grow_g"] for tool in capped["tools"] if tool["id"] == "wedge"] == [480 - 100]


def test_a_need_of_the_largest_size_has_nowhere_to_grow() -> None:
    """3,000 mm is the end of the range of a diameter, and the tool takes no more."""
    hewer = {"id": "hewer", "mass_g": 500, "kind": "drawknife", "carve_score": 5, "carve_max_mm": LARGEST_MM}
    pins, _ = pins_of(own(hewer) | {"tasks": [{"task": "carve", "diameter_mm": LARGEST_MM}]})
    assert [need["may_grow_to_mm"] for need in pins["needs"]] == [LARGEST_MM]
    assert [one["max_may_fall_to_mm"] for one in pins["tools"][0]["abilities"]] == [LARGEST_MM]


def test_a_score_that_a_companion_asks_for_may_not_vanish() -> None:
    """The knife never chops on this trip, but the wedge goes only with something that can chop."""
    wedge = WEDGE | {"needs": "can:chop"}
    knife = SAW | {"id": "blade", "chop_score": 1, "chop_max_mm": 40}
    trip = own(knife, wedge, AXE) | {"tasks": [SPLIT, {"task": "buck", "diameter_mm": 100}]}
    pins, kit = pins_of(trip)
    assert kit == ["blade", "wedge"]
    expect_ability_pins(trip, pins, kit)
    (chop,) = (one for tool in pins["tools"] for one in tool["abilities"] if one["task"] == "chop")
    assert (chop["max_may_fall_to_mm"], chop["score_may_fall_to"]) == (0, FINE_STEP)
