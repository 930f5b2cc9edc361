"""A whole answer within its time: what is told is right, and what is not settled is named.

The clock is one that runs out after so many looks, so that nothing here depends on the machine. No source: an answer
cut short is held against the same answer without a limit.
"""

from contextlib import suppress
from random import Random
from threading import Event
from typing import Any

import pytest
from counted_clock import LONG_S, CountedClock, cut_after
from oracle import Row
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from catalog import Tool
from solver import (
    Answer,
    Cancelled,
    Effort,
    Trip,
    Unfinished,
    allowance,
    bad_night,
    check,
    confidence,
    front,
    plan,
    season,
)
from solver.needs.question import question_of

pytestmark = pytest.mark.quick

LOOKS = (1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048, 4096, 8192)
FIELDS: dict[str, tuple[str, ...]] = {
    "share": ("share", "share_proof"),
    "pins": ("pins",),
    "conflict": ("conflict",),
    "alternatives": ("alternatives",),
    "upgrades": ("upgrades",),
    "why_not": ("why_not",),
}


def judge(found: Answer, whole: Answer) -> None:
    """What an answer tells that was cut short must be so."""
    if found.status == "optimal":
        assert (whole.status, found.kit.mass_g) == ("optimal", whole.kit.mass_g)
    elif found.status == "feasible":
        assert whole.status != "uncovered"
        assert found.kit.mass_g >= whole.kit.mass_g
        assert (found.proof.bound_g or 0.0) <= whole.kit.mass_g
    if found.status != whole.status or found.kit != whole.kit:
        return
    if found.pins is not None and "assumption_pins" in found.not_settled:
        assert found.pins.assumptions == []
        assert whole.pins is not None
        whole = whole.model_copy(update={"pins": whole.pins.model_copy(update={"assumptions": []})})
    for part, fields in FIELDS.items():
        for field in fields:
            mine, its = getattr(found, field), getattr(whole, field)
            if part not in found.not_settled:
                assert mine == its, part
            elif part == "why_not":
                assert mine == its[: len(mine)], part
    if "tool_prices" not in found.not_settled and "need_prices" not in found.not_settled:
        assert found.needs == whole.needs
        assert found.kit.tools == whole.kit.tools


@pytest.mark.parametrize("number", range(4))
def test_a_plan_cut_short_tells_nothing_wrong(number: int) -> None:
    """From the look that starts the clock up to a full answer."""
    trip = random_wood_trip(Random(f"time-{number}"), fewest=4, most=7)
    trip |= {"detail": "full", "ask_about": [trip["tools"][0]["id"]]}
    whole = plan(trip, effort=Effort(seconds=LONG_S))
    assert whole.not_settled == []
    ends = []
    for looks in LOOKS:
        try:
            found = plan(trip, effort=cut_after(looks))
        except Unfinished:
            ends.append("unfinished")
            continue
        judge(found, whole)
        ends.append("cut" if found.not_settled or found.status != whole.status else "whole")
    assert ends[0] == "cut"  # a kit by greed
    assert ends == sorted(ends, key=["unfinished", "cut", "whole"].index)


def test_parts_are_named_in_their_order_and_the_kit_stays() -> None:
    """A time that suffices for the kit and little more."""
    trip = example_trips()["wet-autumn"] | {"detail": "full"}
    whole = plan(trip, effort=Effort(seconds=LONG_S))
    found = next(
        answer
        for looks in range(20, 100_000, 8)
        if (answer := planned(trip, looks)) is not None and answer.status == whole.status
    )
    assert (found.kit.mass_g, found.proof.bound_g) == (whole.kit.mass_g, whole.proof.bound_g)
    assert {"tool_prices", "pins", "alternatives", "assumption_pins"} <= set(found.not_settled)
    assert found.pins is None


def planned(trip: Row, looks: int) -> Answer | None:
    """The plan of a trip within so many looks, or None where there is none."""
    try:
        return plan(trip, effort=cut_after(looks))
    except Unfinished:
        return None


@pytest.mark.parametrize(
    "ask",
    [
        lambda trip, effort: front(trip, effort=effort),
        lambda trip, effort: check(trip, [], effort=effort),
        lambda trip, effort: bad_night(trip, None, effort=effort),
        lambda trip, effort: season([trip], effort=effort),
        lambda trip, effort: confidence(trip, [{"weight": 1.0}], confidence=0.5, effort=effort),
        lambda trip, effort: allowance(Tool(id="new", name="New", kind="axe", mass_g=500), trip, effort=effort),
    ],
    ids=["front", "check", "bad night", "season", "confidence", "allowance"],
)
def test_every_question_ends_with_its_time(ask: Any) -> None:
    """It answers, or says that it is not finished, after a bounded number of looks beyond the end."""
    trip = example_trips()["stream-survey"]
    for looks in (1, 2, 10, 100):
        clock = CountedClock(looks)
        with suppress(Unfinished):
            ask(trip, Effort(answer_seconds=LONG_S, seconds=LONG_S, clock=clock))
        assert clock.left >= -2_000, looks


def test_the_clock_of_an_answer_starts_once() -> None:
    """A part has its share of the time left, a short closing piece has what it takes, and who leaves ends both."""
    times = iter((100.0, 130.0, 400.0, 400.0))
    effort = Effort(answer_seconds=300, clock=lambda: next(times)).begun()
    assert (effort.until, effort.begun()) == (400.0, effort)
    part = effort.portion(1 / 3)
    assert part.until == 130 + 270 / 3
    assert effort.over
    assert not effort.closing().over
    with pytest.raises(Unfinished):
        effort.go_on()
    effort.heed()
    assert Effort().begun().portion(1 / 2) == Effort()
    assert issubclass(Unfinished, RuntimeError)
    assert not issubclass(Unfinished, Cancelled)


def test_a_confidence_cut_short_tells_a_kit_that_suffices() -> None:
    """By greed where nothing else was found; the lightest is no heavier, and nothing of it is called proven."""
    trip = example_trips()["stream-survey"] | {"alternatives": 0}
    scenarios = [{"weight": 3, "wood": {"species": "white-spruce"}}, {"weight": 1, "wood": {"species": "paper-birch"}}]
    whole = confidence(trip, scenarios, confidence=0.7, effort=Effort(seconds=LONG_S))
    found = confidence(trip, scenarios, confidence=0.7, effort=cut_after(10))
    assert whole.kit is not None
    assert found.kit is not None
    assert (whole.status, found.status, found.checked) == ("optimal", "feasible", False)
    assert found.kit.mass_g >= whole.kit.mass_g
    assert found.probability >= 0.7
    trips = [trip | {"wood": scenario["wood"]} for scenario in scenarios]
    covers = [check(one, found.kit.ids, effort=Effort(seconds=LONG_S)).covered for one in trips]
    assert covers == [place in found.suffices_in for place in range(2)]


def test_a_check_cut_short_tells_what_the_kit_does() -> None:
    """Its cover, gaps and minutes are those of the whole answer; the swap is left out."""
    trip, kit = example_trips()["stream-survey"], ["hatchet-600", "fixed-knife-90"]
    whole, found = check(trip, kit, effort=Effort(seconds=LONG_S)), check(trip, kit, effort=cut_after(1))
    assert whole.checked
    assert (found.checked, found.first_swap) == (False, None)
    bare = check(trip | {"limits": {"mass_g": 1}}, kit, effort=cut_after(1))  # greed finds no kit as light
    assert (bare.checked, bare.lightest, bare.over_lightest_g, bare.covered) == (False, None, None, False)
    assert (found.covered, found.gaps, found.needs, found.kit) == (whole.covered, whole.gaps, whole.needs, whole.kit)


def test_a_question_is_not_put_to_its_end_once_its_caller_has_left() -> None:
    """Of many tools it takes a second: it looks several times before it stands, of the plainest trip too."""
    looks: list[int] = []
    effort = Effort(cancelled=_Leaving(looks, at=3))
    with pytest.raises(Cancelled):
        question_of(Trip.model_validate({"tasks": [{"task": "saw", "diameter_mm": 60}]}), effort=effort)
    assert len(looks) == 3


class _Leaving(Event):
    """A caller who has left by so many looks."""

    def __init__(self, looks: list[int], *, at: int) -> None:
        super().__init__()
        self.looks, self.at = looks, at

    def is_set(self) -> bool:
        self.looks.append(1)
        return len(self.looks) >= self.at
