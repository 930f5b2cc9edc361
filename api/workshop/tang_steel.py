"""The steel of a knife in one piece, as it is cut: its contour, the holes of its pins, the corners of its cutouts."""

from collections.abc import Sequence
from math import cos, pi, sin

from api.workshop.outline_file import Corner2D
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.tang import TangSlot

_SPLINE_POINTS = 121  # judged: corners of a tip; its area is then right to a few parts in a hundred thousand
_ARC_PARTS = 12  # judged: chords of a quarter of a rounded corner
_BESIDE_HOLE_MM = 3.0  # judged: least steel beside a hole that is drawn, both sides together


def slot_corners(slot: TangSlot) -> tuple[Corner2D, ...]:
    """Return the corners of a cutout of a tang [mm]."""
    half, tall = (slot.right_mm - slot.left_mm) / 2, slot.width_mm / 2
    middle = (slot.left_mm + slot.right_mm) / 2
    return tuple((middle + x, y) for x, y in rounded_corners(half, tall, slot.corner_mm))


def rounded_corners(half_mm: float, tall_mm: float, round_mm: float) -> list[Corner2D]:
    """Return the corners of a rectangle round the origin, rounded, none twice in a row [mm].

    Args:
        half_mm: half its size along x [mm].
        tall_mm: half its size along y [mm].
        round_mm: radius of its corners [mm].
    """
    found: list[Corner2D] = []
    for quarter, (a, b) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
        for i in range(_ARC_PARTS + 1):
            turn = pi / 2 * (quarter + i / _ARC_PARTS)
            found.append(
                (a * (half_mm - round_mm) + round_mm * cos(turn), b * (tall_mm - round_mm) + round_mm * sin(turn))
            )
    return list(without_twins(found))


def without_twins(points: Sequence[Corner2D]) -> tuple[Corner2D, ...]:
    """Return the corners of an outline, none of them twice in a row."""
    return tuple(one for one, before in zip(points, (points[-1], *points[:-1]), strict=True) if one != before)


def blade_corners(knife: KnifeDrawing) -> tuple[Corner2D, ...]:
    """Return the outline of the blade, from the handle along the edge and back along the spine [mm].

    y is 0 in the middle of its width.
    """
    drop = knife.blade.width_mm / 2
    return without_twins([(x, y - drop) for x, y in knife.blade.outline_mm(points=_SPLINE_POINTS)])


def steel_corners(knife: KnifeDrawing) -> tuple[Corner2D, ...]:
    """Return the outline of blade and tang in one piece [mm]: a full tang is as wide as the handle is on average."""
    half, end = knife.tang_width_mm / 2, -knife.tang_length_mm
    return without_twins([(end, -half), (0.0, -half), *blade_corners(knife), (0.0, half), (end, half)])


def pin_holes(knife: KnifeDrawing) -> list[Corner2D]:
    """Return station and diameter of each hole that pins need in the tang [mm]; one as wide as the tang is none."""
    return [(x, across) for x, across in knife.pins_mm if across < knife.tang_width_mm - _BESIDE_HOLE_MM]
