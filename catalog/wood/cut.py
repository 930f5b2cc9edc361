"""The geometry of a cut: what a saw, an axe and a cleft have to get through."""

import math

import numpy as np
from numpy.typing import NDArray

from catalog.tables.errors import RangeError
from catalog.tables.validity import require

Floats = NDArray[np.float64]

REFERENCE_MM = 100.0  # diameter of the reference wood, by the definition of a score


def face_area_cm2(*, diameter_mm: float) -> float:
    """Return the sawn face of a round [cm2]: pi d^2/4 (geometry).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("cut.face_area_cm2", diameter_mm=diameter_mm)
    diameter_cm = diameter_mm / 10
    # derived: area of a circle.
    return math.pi * diameter_cm**2 / 4


def notch_volume_cm3(*, diameter_mm: float) -> float:
    """Return the chips of an axe cut through a round [cm3]: d^3/3.

    One 45 degree notch from each side down to the middle, so the mouth equals the diameter (geometry,
    integral over the chords).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("cut.notch_volume_cm3", diameter_mm=diameter_mm)
    diameter_cm = diameter_mm / 10
    # derived: integral of (d - 2x) over the chords of a circle, both sides.
    return diameter_cm**3 / 3


def clefts_per_round(*, diameter_mm: float, burnable_mm: float) -> int:
    """Return the clefts that make a round burnable: max(1, ceil((d/b)^2) - 1) (common practice, no source).

    A piece of burnable thickness b covers about b^2 of the face; each cleft adds a piece; a round that
    has to be opened takes one at least.

    Args:
        diameter_mm: d [mm].
        burnable_mm: b [mm].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("cut.clefts_per_round", diameter_mm=diameter_mm, burnable_mm=burnable_mm)
    return max(1, math.ceil(diameter_mm**2 / burnable_mm**2) - 1)


def cleft_time_factor(*, diameter_mm: float) -> float:
    """Return the time of one cleft against one at 100 mm [-]: d/100, the reference round (assumption).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("cut.cleft_time_factor", diameter_mm=diameter_mm)
    return diameter_mm / REFERENCE_MM


def stroke_share(*, diameter_mm: float | Floats, largest_mm: Floats) -> Floats:
    """Return the share of a saw's rate that the stroke leaves [-] (assumption).

    Full up to half of the largest diameter the saw takes, then falling on a line to half at the largest.

    Args:
        diameter_mm: wood to cut, for all saws or for each [mm].
        largest_mm: largest diameter of each saw, float[T] [mm].

    Raises:
        RangeError: outside ranges.csv, or wood thicker than a saw takes.
    """
    thickness = np.broadcast_to(diameter_mm, largest_mm.shape)
    if thickness.size:
        require("cut.stroke_share", diameter_mm=thickness.min(), largest_mm=largest_mm.min())
        require("cut.stroke_share", diameter_mm=thickness.max(), largest_mm=largest_mm.max())
    over = np.flatnonzero(thickness > largest_mm)
    if len(over):
        thick, saw_mm = float(thickness[over[0]]), float(largest_mm[over[0]])
        raise RangeError(quantity="diameter_mm", value=thick, low=1, high=saw_mm, unit="mm", source="the saw")
    share: Floats = np.minimum(1.0, 1 + 1 / 2 - thickness / largest_mm)
    return share
