"""A slice of `python tests sure_exact`: how sure a kit is, by every kit of every draw, worked out independently."""

from collections import Counter

from sure_exact import asked

DRAWS = 64
TRIPS = (3, 15, 17, 23, 24, 27, 110)


def test_the_kit_the_curve_and_the_next_kits_are_those_of_every_kit() -> None:
    """With fire, wear, backup, work limits at the very day of a kit in one draw, and kits as light as each other."""
    seen: Counter[str] = Counter()
    for number in TRIPS:
        assert asked(number, DRAWS, seen) == [], number
    assert min(seen.values()) > 0, seen
    assert len(seen) == 9
