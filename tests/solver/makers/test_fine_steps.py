"""Fine steps: to the corner that linear programming names, within their number, never to a heavier design."""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from scipy.optimize import linprog

from api.examples.invented import design_examples
from catalog import Design
from solver.makers.fine_steps import finely_stepped
from solver.makers.measure_space import MeasureSpace, SearchRange
from solver.makers.weighed_design import Weighed

HEAD, LENGTH = "drawing.head_mass_g", "drawing.handle.length_mm"
SPACE = MeasureSpace(
    [SearchRange(HEAD, 200, 900), SearchRange(LENGTH, 250, 600)],
    Design.model_validate(design_examples()["belt-axe"]).model_dump(),
)
DENSE, LIGHT = 1.0, 0.6  # invented: grams of a gram of head and of a millimetre of haft
LEAST, REACH = 900.0, 420.0  # invented: head and twice the haft must come to that; a haft must reach


def mass_g(values: Mapping[str, float]) -> float:
    return DENSE * values[HEAD] + LIGHT * values[LENGTH]


def keeps(values: Mapping[str, float]) -> bool:
    return values[HEAD] + 2 * values[LENGTH] >= LEAST * 1.5 - 1e-9 and values[LENGTH] <= REACH + 1e-9


class _Weighing:
    """Designs that keep two straight limits, each counted."""

    def __init__(self) -> None:
        self.tried: list[Weighed] = []

    def __call__(self, points: Sequence[Mapping[str, float]]) -> list[Weighed]:
        # a candidate stands for one that can be drawn: nothing of it is asked here
        found = [Weighed(dict(one), cast(Any, object()), (), 0.0 if keeps(one) else 1.0) for one in points]
        self.tried += found
        return found


def lightest(most: int) -> tuple[float, int]:
    """Least mass of the designs kept, and how many were weighed."""
    weighing = _Weighing()
    (start,) = weighing([{HEAD: 555.37, LENGTH: 411.13}])
    finely_stepped(start, SPACE, weigh=weighing, mass_g=mass_g, loss=lambda one: mass_g(one.values), most=most)
    return min(mass_g(one.values) for one in weighing.tried if one.allowed), len(weighing.tried) - 1


def test_they_end_at_the_corner_of_two_limits_to_the_hundredth() -> None:
    """Against scipy's linear program; a hundredth of both measures weighs 0.016."""
    best = linprog([DENSE, LIGHT], A_ub=[[-1, -2], [0, 1]], b_ub=[-LEAST * 1.5, REACH], bounds=[(200, 900), (250, 600)])
    found, _ = lightest(10_000)
    assert best.fun - 1e-9 <= found <= best.fun + 0.016


def test_they_keep_to_their_number_and_are_never_worse() -> None:
    start = mass_g({HEAD: 555.37, LENGTH: 411.13})
    found = [lightest(most) for most in (0, 1, 7, 40)]
    assert [count for _, count in found] == [0, 1, 7, 40]
    masses = [mass for mass, _ in found]
    assert masses == sorted(masses, reverse=True)
    assert masses[0] == start
