"""The geometry of a cut: what a saw, an axe and a cleft have to get through."""

import math
from collections.abc import Mapping
from typing import overload

import numpy as np

from catalog.tables.assumption import assumed
from catalog.tables.errors import RangeError
from catalog.tables.number import Floats, N, Number, farthest_outside, minimum, power, where
from catalog.tables.validity import require

REFERENCE_MM = 100.0  # diameter of the reference wood, by the definition of a score
_THIN_CHOP_MM = 150  # judged: the timed chops are of 254 and 325 mm


def face_area_cm2(*, diameter_mm: N) -> N:
    """Return the sawn face of a round [cm2]: pi d^2/4 (geometry).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.cut.face_area_cm2", diameter_mm=diameter_mm)
    diameter_cm = diameter_mm / 10
    # derived: area of a circle.
    return math.pi * power(diameter_cm, 2) / 4


def notch_volume_cm3(*, diameter_mm: N) -> N:
    """Return the chips of an axe cut through a round [cm3]: d^3/3.

    One 45 degree notch from each side down to the middle, so the mouth equals the diameter (geometry,
    integral over the chords).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.cut.notch_volume_cm3", diameter_mm=diameter_mm)
    diameter_cm = diameter_mm / 10
    # derived: integral of (d - 2x) over the chords of a circle, both sides.
    return power(diameter_cm, 3) / 3


@overload
def clefts_per_round(*, diameter_mm: float, burnable_mm: float) -> int: ...


@overload
def clefts_per_round(*, diameter_mm: Number, burnable_mm: Number) -> int | Number: ...


def clefts_per_round(*, diameter_mm: Number, burnable_mm: Number) -> int | Number:
    """Return the clefts that make a round burnable: max(1, ceil((d/b)^2) - 1) (common practice, no source).

    A piece of burnable thickness b covers about b^2 of the face; each cleft adds a piece; a round that
    has to be opened takes one at least.

    Args:
        diameter_mm: d [mm].
        burnable_mm: b [mm].

    Returns:
        A whole number; of arrays a float array of whole numbers.

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.cut.clefts_per_round", diameter_mm=diameter_mm, burnable_mm=burnable_mm)
    pieces = power(diameter_mm, 2) / power(burnable_mm, 2)
    if isinstance(pieces, np.ndarray):
        clefts: Floats = np.maximum(1.0, np.ceil(pieces) - 1)
        return clefts
    return max(1, math.ceil(pieces) - 1)


def cleft_time_factor(*, diameter_mm: N, exponent: N) -> N:
    """Return the time of one cleft against one at 100 mm, the reference round [-]: (d/100)^exponent (assumption).

    Args:
        diameter_mm: d [mm].
        exponent: Counted blows say about 0.5; 1 is in proportion to the diameter [-].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.cut.cleft_time_factor", diameter_mm=diameter_mm, exponent=exponent)
    return power(diameter_mm / REFERENCE_MM, exponent)


def baton_share(*, diameter_mm: N, slowing: N) -> N:
    """Return the rate of clefts under a baton over that of an axe of equal score [-]: (100/d)^slowing (assumption).

    A blow of an axe goes through most thin wood. A blade under a baton goes on blow by blow, and less of it stands out
    of a thicker round to be struck. At 100 mm, where scores are stated, both are alike.

    Args:
        diameter_mm: d, what the cleft runs through [mm].
        slowing: exponent of a cleft under a baton, less that of an axe's [-].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.cut.baton_share", diameter_mm=diameter_mm, slowing=slowing)
    return power(REFERENCE_MM / diameter_mm, slowing)


def baton_slowing(changed: Mapping[str, N] | None = None) -> N:
    """Return the exponent of a cleft under a baton, less that of an axe's [-] (assumption).

    Args:
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: A changed assumption is outside its hard limits.
    """
    return assumed("baton_exponent", changed) - assumed("cleft_exponent", changed)


def chop_rate_id(*, diameter_mm: float) -> str:
    """Return the assumption that chopping goes by at a diameter [mm]: nobody timed thin wood, so its band is wider."""
    return "chop_rate_thin" if diameter_mm < _THIN_CHOP_MM else "chop_rate"


def later_cleft_mm(*, diameter_mm: N) -> N:
    """Return how much wood a cleft after the first runs through [mm]: d/2.

    The first cleft of a round runs along a diameter. Each later one, of a half, a quarter or a smaller piece, starts
    at the heart and runs along a radius (geometry).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.cut.later_cleft_mm", diameter_mm=diameter_mm)
    # derived: the radius of the round.
    return diameter_mm / 2


@overload
def stroke_share(*, diameter_mm: Number, largest_mm: Floats) -> Floats: ...


@overload
def stroke_share(*, diameter_mm: N, largest_mm: N) -> N: ...


def stroke_share(*, diameter_mm: Number, largest_mm: Number) -> Number:
    """Return the share of a saw's rate that the stroke leaves [-] (assumption).

    Full up to half of the largest diameter the saw takes, then falling on a line to half at the largest.

    Args:
        diameter_mm: wood to cut, for all saws or for each [mm].
        largest_mm: largest diameter of a saw, or of each [mm].

    Raises:
        RangeError: outside ranges.csv, or wood thicker than a saw takes.
    """
    require("wood.cut.stroke_share", diameter_mm=diameter_mm, largest_mm=largest_mm)
    over = farthest_outside(diameter_mm, low=-math.inf, high=largest_mm)
    if over is not None:
        thick, _, saw_mm = over
        raise RangeError(quantity="diameter_mm", value=thick, low=1, high=saw_mm, unit="mm", source="the saw")
    return minimum(1.0, 1 + 1 / 2 - diameter_mm / largest_mm)


@overload
def sawing_share(*, diameter_mm: Number, largest_mm: Floats, turned: Number) -> Floats: ...


@overload
def sawing_share(*, diameter_mm: N, largest_mm: N, turned: N) -> N: ...


def sawing_share(*, diameter_mm: Number, largest_mm: Number, turned: Number) -> Number:
    """Return the share of a saw's rate that is left where a log too thick for it is turned [-] (assumption).

    As `stroke_share` up to the largest diameter; beyond it the share of the stroke's end times `turned`, for turning
    the log and starting each new cut.

    Args:
        diameter_mm: wood to cut, for all saws or for each [mm].
        largest_mm: largest diameter of a saw without turning, or of each [mm].
        turned: share of the rate that turning leaves [-].

    Raises:
        RangeError: outside ranges.csv.
    """
    require("wood.cut.sawing_share", turned=turned)
    within = stroke_share(diameter_mm=minimum(diameter_mm, largest_mm), largest_mm=largest_mm)
    return within * where(diameter_mm > largest_mm, lambda: turned, lambda: 1.0)
