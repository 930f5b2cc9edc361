"""Every score and largest diameter of a drawing: physics, times what the class drawings teach, with its interval."""

import math
from dataclasses import replace

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.rigid_body import RigidBody
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.scores.derived_figure import Figure
from catalog.scores.physical_score import physical_figures
from catalog.scores.posterior import ScorePart, posterior_of
from catalog.scores.residual import drawn_factor, ln_residual


def drawn_figures(
    drawing: KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing,
    body: RigidBody | None,
    *,
    intervals: bool = True,
) -> list[Figure]:
    """Scores and largest diameters with their intervals; what a drawing can't do stays 0.

    Args:
        drawing: a knife, an axe or a saw.
        body: mass, balance and inertia of a knife or axe; None for a saw.
        intervals: whether the bands of assumptions count in the intervals.
    """
    figures = physical_figures(drawing, body, intervals=intervals)
    return [_drawn(drawing, one) if one.value else one for one in figures]


def _drawn(drawing: KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing, physical: Figure) -> Figure:
    """Return a figure by physics, above 0, with the residual."""
    value = physical.value * math.exp(ln_residual(drawing, physical.name, math.log(physical.value)))
    factor = drawn_factor(physical.name, physical.high / physical.value)
    found = posterior_of([ScorePart("drawn", value, value / factor, value * factor)])
    return replace(physical, value=value, low=found.low, high=found.high, parts=found.parts)
