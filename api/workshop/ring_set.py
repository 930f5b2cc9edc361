"""Closed outlines from the lines of a file: joined at their ends, checked, the holes told from the outside."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from api.workshop.outline_file import Corner2D, Count, DrawnLine, OutlineRefused, library

_PLACE = re.compile(r"\[\s*(\S+)\s+([^\s\]]+)")
_LEAST_MM2 = 0.01  # judged: a smaller ring is a crumb of the drawing
_MOST_OPEN = 2_000  # judged: lines that are joined


@dataclass(frozen=True)
class Shape2D:
    """An outline with its holes.

    Attributes:
        polygon: as the geometry library has it.
        joined: how many lines make its outside.
    """

    polygon: Any
    joined: int


def shape_of(lines: Sequence[DrawnLine], *, join_mm: float, count: Count) -> Shape2D:
    """Return the one outline that lines draw.

    Args:
        lines: of a file [mm].
        join_mm: ends no farther apart than this are joined [mm].
        count: asked while it works.

    Raises:
        OutlineRefused: there is none, it is open, crosses itself, or there are two.
    """
    if not lines:
        raise OutlineRefused("the file draws no line")
    closed = [(list(one.points), 1) for one in lines if one.closed or _apart(one.points) <= join_mm]
    pieces = [list(one.points) for one in lines if not one.closed and _apart(one.points) > join_mm]
    rings = closed + _joined(pieces, join_mm, count)
    polygons = sorted(
        ((_polygon(points), joined) for points, joined in rings), key=lambda pair: pair[0].area, reverse=True
    )
    polygons = [pair for pair in polygons if pair[0].area >= _LEAST_MM2]
    if not polygons:
        raise OutlineRefused("the file draws no outline that holds an area")
    (outer, joined), holes = polygons[0], [polygon for polygon, _ in polygons[1:]]
    for hole in holes:
        count.heed()
        if outer.contains(hole):
            continue
        x, y = hole.representative_point().coords[0]
        told = "crosses the first" if outer.intersects(hole) else "lies outside the first"
        raise OutlineRefused(f"a second outline {told}, near ({x:.2f}, {y:.2f}) mm; name the layer of the one")
    geometry = library("shapely")
    whole = geometry.Polygon(outer.exterior.coords, [hole.exterior.coords for hole in holes])
    if not whole.is_valid:
        raise OutlineRefused(f"its holes touch or cross {_where(geometry.is_valid_reason(whole))}")
    return Shape2D(geometry.geometry.polygon.orient(whole), joined)


def _apart(points: Sequence[Corner2D]) -> float:
    """Return how far the ends of a line lie apart [mm]; of one without an area, far."""
    return math.dist(points[0], points[-1]) if len(points) > 3 else math.inf


def _polygon(points: list[Corner2D]) -> Any:
    """Return a ring as a polygon.

    Raises:
        OutlineRefused: it crosses itself.
    """
    geometry = library("shapely")
    found = [one for one, after in zip(points, [*points[1:], points[0]], strict=True) if one != after]
    if len(found) < 3:
        return geometry.Polygon()
    polygon = geometry.Polygon(found)
    if not polygon.is_valid:
        raise OutlineRefused(f"the outline crosses or touches itself {_where(geometry.is_valid_reason(polygon))}")
    return polygon


def _where(reason: str) -> str:
    """Return the place of a fault, as the geometry library tells it."""
    found = _PLACE.search(reason)
    return f"at ({float(found[1]):.2f}, {float(found[2]):.2f}) mm" if found else f"({reason})"


def _joined(pieces: list[list[Corner2D]], join_mm: float, count: Count) -> list[tuple[list[Corner2D], int]]:
    """Return rings of open lines, each joined to the next at its end.

    Raises:
        OutlineRefused: they do not close, or three meet.
    """
    if len(pieces) > _MOST_OPEN:
        raise OutlineRefused(f"it has {len(pieces):,} open lines, more than {_MOST_OPEN:,}; join them in the drawing")
    _check_ends(pieces, join_mm, count)
    rings = []
    while pieces:
        count.heed()
        ring, joined = pieces.pop(), 1
        while math.dist(ring[0], ring[-1]) > join_mm or len(ring) < 3:
            place = next((i for i, one in enumerate(pieces) if _meets(ring[-1], one, join_mm)), None)
            if place is None:
                (x, y), (end_x, end_y) = ring[0], ring[-1]
                gap = math.dist(ring[0], ring[-1])
                raise OutlineRefused(
                    f"the outline is open: it ends at ({x:.2f}, {y:.2f}) and at ({end_x:.2f}, {end_y:.2f}) mm, "
                    f"{gap:.2f} mm apart; ends within join_mm, {join_mm:g} mm, are joined"
                )
            following = pieces.pop(place)
            if math.dist(ring[-1], following[0]) > math.dist(ring[-1], following[-1]):
                following.reverse()
            ring, joined = ring + following[1:], joined + 1
        if math.dist(ring[0], ring[-1]) <= join_mm:
            ring.pop()
        rings.append((ring, joined))
    return rings


def _meets(end: Corner2D, piece: list[Corner2D], join_mm: float) -> bool:
    """Tell whether a line begins or ends at a place."""
    return min(math.dist(end, piece[0]), math.dist(end, piece[-1])) <= join_mm


def _check_ends(pieces: list[list[Corner2D]], join_mm: float, count: Count) -> None:
    """Refuse a place where more than two lines end, since nobody can tell which go on.

    Raises:
        OutlineRefused: there is one.
    """
    ends: dict[tuple[int, int], list[Corner2D]] = {}
    for piece in pieces:
        for x, y in (piece[0], piece[-1]):
            ends.setdefault((math.floor(x / join_mm), math.floor(y / join_mm)), []).append((x, y))
    for (column, row), held in ends.items():
        count.heed()
        near = [one for i in (-1, 0, 1) for j in (-1, 0, 1) for one in ends.get((column + i, row + j), [])]
        for x, y in held:
            if sum(math.dist((x, y), one) <= join_mm for one in near) > 2:
                raise OutlineRefused(f"three lines or more meet at ({x:.2f}, {y:.2f}) mm; leave two, or name a layer")
