"""The next kits: lightest first, really different from those before, by brute force over every kit."""

from random import Random

import pytest
from every_kit import Kit, covered_trip, covered_wood_trip, covering_kits, cutting
from oracle import MS_PER_MIN, Row, told_ms
from service import kit_of
from stated_trips import AXE, KNIFE, SAW, SPLIT

pytestmark = pytest.mark.quick

MINUTES_TOLERANCE = 1e-3


def differs(kit: frozenset[str], listed: frozenset[str]) -> bool:
    """Whether the cutting tools of a kit hold not all of a listed one's; one without any cuts out its like."""
    return not listed <= kit if listed else bool(kit)


def next_kits(trip: Row, number: int) -> list[Kit]:
    """The first kit and up to so many more, each the best of those that hold no listed kit's cutting tools."""
    left = covering_kits(trip)
    found = [left[0]]
    while len(found) <= number:
        last = cutting(trip, found[-1].ids)
        left = [kit for kit in left if differs(cutting(trip, kit.ids), last)]
        if not left:
            break
        found.append(left[0])
    return found


def carried(kit: Row) -> tuple[str, ...]:
    """Ids of a kit, sorted, each as often as it is there."""
    return tuple(sorted(tool["id"] for tool in kit["tools"] for _ in range(tool["count"])))


def expect_steps(answer: Row) -> None:
    """Grams and minutes more are those of the two kits."""
    for other in answer["alternatives"]:
        assert other["more_g"] == pytest.approx(other["mass_g"] - answer["kit"]["mass_g"], abs=1e-6)
        more_min = other["work_min_per_day"] - answer["kit"]["work_min_per_day"]
        assert other["more_min_per_day"] == pytest.approx(more_min, abs=1e-5)


@pytest.mark.parametrize("number", range(30))
def test_next_kits_are_the_lightest_that_hold_no_listed_kit(number: int) -> None:
    """Ids, grams and minutes of each, for 0 to 5 kits asked; fewer only where there are no more."""
    rng = Random(f"alternatives {number}")
    trip, asked = covered_trip(rng, most=9), rng.randint(0, 5)
    answer = kit_of(trip | {"alternatives": asked})
    first, *others = next_kits(trip, asked)
    assert carried(answer["kit"]) == first.ids
    assert [carried(kit) for kit in answer["alternatives"]] == [kit.ids for kit in others]
    for kit, other in zip(answer["alternatives"], others, strict=True):
        assert kit["mass_g"] == pytest.approx(other.mass_cg / 100, abs=1e-6)
        told = told_ms(other.ms, trip.get("people", 1)) / MS_PER_MIN
        assert kit["work_min_per_day"] == pytest.approx(told, abs=MINUTES_TOLERANCE)
    expect_steps(answer)


@pytest.mark.parametrize("number", range(8))
def test_next_kits_of_a_trip_with_wear_ignore_sharpeners(number: int) -> None:
    """A kit with another stone is not another kit; grams are compared, since days of equal length can tie."""
    trip = covered_wood_trip(Random(f"wood alternatives {number}"), most=6)
    answer = kit_of(trip | {"alternatives": 3})
    listed = [cutting(trip, carried(answer["kit"]))]
    left = covering_kits(trip)
    for kit in [*answer["alternatives"], None]:
        left = [one for one in left if differs(cutting(trip, one.ids), listed[-1])]
        if kit is None:
            assert not left or len(answer["alternatives"]) == 3
            break
        assert carried(kit) in {one.ids for one in left if one.mass_cg == left[0].mass_cg}
        listed.append(cutting(trip, carried(kit)))
    expect_steps(answer)


def test_an_empty_kit_rules_out_no_tool() -> None:
    """Where field methods do the work, the next kit is the lightest with a tool, not nothing again."""
    hand = {"task": "buck", "diameter_mm": 30}
    answer = kit_of({"tasks": [hand], "tools": [KNIFE, AXE, SAW]})
    assert carried(answer["kit"]) == ()
    assert [carried(kit) for kit in answer["alternatives"]] == [("saw",), ("knife",), ("axe",)]


def test_another_sharpener_or_method_is_no_other_kit() -> None:
    """One knife and two stones make one kit: the next one needs another cutting tool."""
    stones = [{"id": name, "mass_g": 20, "kind": "sharpening stone"} for name in ("coarse", "fine")]
    dull = KNIFE | {"split_life": 1, "sharpened_by": "coarse|fine"}
    trip = {"tasks": [SPLIT], "nights": 9, "tools": [dull, AXE, *stones], "field_methods": False, "knife": "none"}
    answer = kit_of(trip)
    assert carried(answer["kit"]) == ("coarse", "knife")
    assert [carried(kit) for kit in answer["alternatives"]] == [("axe",)]
