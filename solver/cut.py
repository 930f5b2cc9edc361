"""How much cutting a piece of wood is: face, notch, clefts, and how a saw slows as its stroke runs out."""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MM_PER_CM = 10
MM_PER_100 = 100  # the diameter at which cleaving is rated


def face_cm2(*, diameter_mm: float) -> float:
    """Return the face of a cut through a round [cm2]: pi d^2 / 4."""
    return math.pi * (diameter_mm / MM_PER_CM) ** 2 / 4  # area of a circle


def notch_cm3(*, diameter_mm: float) -> float:
    """Return the wood that two 45 degree notches take out of a round [cm3]: d^3 / 3.

    The width of the notches at a depth equals twice the depth left, so the volume is the integral of the
    squared half chord over the round.
    """
    return (diameter_mm / MM_PER_CM) ** 3 / 3  # integral over the chord, see the docstring


def clefts(*, diameter_mm: float, burnable_mm: float) -> int:
    """Return the clefts that bring a round down to burnable pieces: max(1, ceil((d/b)^2) - 1)."""
    pieces = math.ceil((diameter_mm / burnable_mm) ** 2 - 1e-9)  # tolerance: (75/75)^2 is one piece
    return max(1, pieces - 1)


def cleft_length(*, diameter_mm: float) -> float:
    """Return how long a cleft takes relative to one at 100 mm: in proportion to the diameter."""
    return diameter_mm / MM_PER_100


def stroke_left(*, diameter_mm: float, largest_mm: Floats) -> Floats:
    """Return the share of its rate that a saw keeps at a diameter.

    It is 1 up to half of the saw's largest diameter, then falls in a line to 1/2 at its largest.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        share = 3 / 2 - diameter_mm / largest_mm  # the line through (1/2, 1) and (1, 1/2)
    return np.where(diameter_mm <= largest_mm / 2, 1.0, np.nan_to_num(share))
