"""The front of a search: the designs of which none is lighter, saves more, is safer and costs less than another."""

from collections.abc import Sequence

from solver.makers.best_design_answer import TriedDesign

_MOST_POINTS = 30


def spread_front(tried: Sequence[TriedDesign]) -> list[TriedDesign]:
    """Return the designs of which none beats another in mass, grams saved, margin and price, the lightest first."""
    front: list[TriedDesign] = []
    for one in sorted(tried, key=lambda two: (two.design_g, -two.saved_g, -(two.margin or 0.0), two.price or 0.0)):
        if not any(_beats(two, one) for two in front):
            front.append(one)
    return _spread(front)


def _beats(one: TriedDesign, other: TriedDesign) -> bool:
    """Tell whether a design is nowhere worse than another."""
    return (
        one.design_g <= other.design_g
        and one.saved_g >= other.saved_g
        and (one.margin or 0.0) >= (other.margin or 0.0)
        and (one.price or 0.0) <= (other.price or 0.0)
    )


def _spread(front: list[TriedDesign]) -> list[TriedDesign]:
    """Return at most so many designs of a front, spread over their masses; the one that saves most stays."""
    if len(front) <= _MOST_POINTS:
        return front
    step = (len(front) - 1) / (_MOST_POINTS - 1)
    kept = {round(number * step) for number in range(_MOST_POINTS)}
    kept.add(max(range(len(front)), key=lambda place: front[place].saved_g))
    return [front[place] for place in sorted(kept)]
