"""The profile of a blade or head: its outline in the frame of the drawings, and what is measured on it."""

from dataclasses import dataclass
from typing import Any

from api.workshop.outline_file import Corner2D, OutlineRefused, ReadingForm, library
from api.workshop.ring_set import Shape2D
from catalog.drawings.outline import LEAST_STEP_MM

_MOST_CORNERS = 190  # judged: of a chain, below what a drawing takes
_TURNS_BACK_MM = 0.005  # judged: less is a crumb of a curve's chords
_TEETH = 6  # judged: valleys in an edge that make it a saw's
_LOST_SHARE = 0.001  # judged: as exactly as a mass is promised
_DECIMALS = 3  # judged: a micrometre


@dataclass(frozen=True)
class Profile:
    """An outline with its far end at the right and its edge below; x is 0 at the left, y at the lowest point.

    Attributes:
        polygon: with its holes, as the geometry library has it.
    """

    polygon: Any

    @property
    def length_mm(self) -> float:
        """From end to end [mm]."""
        return float(self.polygon.bounds[2])

    @property
    def height_mm(self) -> float:
        """From the lowest point to the highest [mm]."""
        return float(self.polygon.bounds[3])

    @property
    def area_mm2(self) -> float:
        """Area, its holes taken off [mm2]."""
        return float(self.polygon.area)

    @property
    def holes(self) -> list[Any]:
        """Each hole as a polygon."""
        return [library("shapely").Polygon(ring) for ring in self.polygon.interiors]

    def part(self, low_mm: float, high_mm: float) -> "Profile":
        """Return what lies between two stations, from x = 0 [mm].

        Raises:
            OutlineRefused: nothing, or two pieces.
        """
        geometry = library("shapely")
        cut = self.polygon.intersection(geometry.box(low_mm, -1.0, high_mm, self.height_mm + 1))
        parts = [cut] if cut.geom_type == "Polygon" else list(getattr(cut, "geoms", ()))
        # a shoulder along the cut leaves a line beside the piece
        pieces = [one for one in parts if one.area]
        if len(pieces) != 1 or pieces[0].geom_type != "Polygon":
            raise OutlineRefused(f"between x {low_mm:g} and {high_mm:g} mm the outline is not one piece")
        moved = geometry.affinity.translate(pieces[0], -low_mm, 0)
        return Profile(geometry.geometry.polygon.orient(moved))


def framed(shape: Shape2D, form: ReadingForm, *, y_falls: bool) -> Profile:
    """Return an outline turned so that its far end lies at the right and its edge below.

    Args:
        shape: in the frame of its file.
        form: where its point and its edge lie as the file is seen.
        y_falls: whether y falls in the file, as in SVG.
    """
    turn = library("shapely.affinity")
    along, across = (1 if form.point == "right" else -1), (1 if (form.edge == "down") != y_falls else -1)
    turned = turn.scale(shape.polygon, along, across, origin=(0, 0))
    low_x, low_y, _, _ = turned.bounds
    return Profile(library("shapely").geometry.polygon.orient(turn.translate(turned, -low_x, -low_y)))


def chains(profile: Profile, *, flatten_mm: float) -> tuple[list[Corner2D], list[Corner2D], float]:
    """Return spine and edge from left to right, and how far they may leave the outline [mm].

    Raises:
        OutlineRefused: a line across the blade meets it more than twice.
    """
    corners = [(float(x), float(y)) for x, y in profile.polygon.exterior.coords[:-1]]
    edge = _thinned(_chain(corners, lower=True), flatten_mm)
    spine = _thinned(_chain(corners, lower=False), flatten_mm)
    between = library("shapely").Polygon([*edge[0], *reversed(spine[0])]).area
    lost = between - profile.area_mm2
    if abs(lost) > _LOST_SHARE * profile.area_mm2:
        raise OutlineRefused(
            f"spine and edge hold {lost:+.1f} mm2 beside the outline: an end of it turns inwards, as at a notch or hook"
        )
    return spine[0], edge[0], max(spine[1], edge[1])


def _chain(corners: list[Corner2D], *, lower: bool) -> list[Corner2D]:
    """Return the corners below, or above, from the left end to the right one.

    Raises:
        OutlineRefused: it turns back.
    """
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    sign = 1 if lower else -1
    first = min(
        (i for i, (x, _) in enumerate(corners) if x - left <= LEAST_STEP_MM), key=lambda i: sign * corners[i][1]
    )
    last = min(
        (i for i, (x, _) in enumerate(corners) if right - x <= LEAST_STEP_MM), key=lambda i: sign * corners[i][1]
    )
    found, place = [corners[first]], first
    while place != last:
        place = (place + sign) % len(corners)
        (x, y), (before, _) = corners[place], found[-1]
        if x < before - _TURNS_BACK_MM:
            raise OutlineRefused(
                f"the outline turns back at ({x:.2f}, {y:.2f}) mm from its left end and lowest point: a line across "
                "the blade meets it more than twice there; a hook or a notch that leans is not taken"
            )
        found.append((max(x, before + LEAST_STEP_MM), y))
    (_, y) = found[0]
    found[0], found[-1] = (left, y), (right, found[-1][1])
    return [one for one in found[:-1] if one[0] <= right - LEAST_STEP_MM] + [found[-1]]


def _thinned(chain: list[Corner2D], flatten_mm: float) -> tuple[list[Corner2D], float]:
    """Return a chain with no more corners than a drawing takes, and the tolerance that this took [mm]."""
    tolerance = flatten_mm / 2
    line = library("shapely").LineString(chain)
    while True:
        thin = list(line.simplify(tolerance, preserve_topology=False).coords)
        if len(thin) <= _MOST_CORNERS:
            break
        tolerance *= 2
    rounded = [(round(float(x), _DECIMALS), round(float(y), _DECIMALS)) for x, y in thin]
    kept = [rounded[0]]
    kept += [one for one in rounded[1:] if one[0] - kept[-1][0] >= LEAST_STEP_MM or one is rounded[-1]]
    return kept, tolerance


def teeth_of(profile: Profile) -> tuple[float, float] | None:
    """Return pitch and depth of the teeth [mm] along the lower side, or None where it has none."""
    corners = [(float(x), float(y)) for x, y in profile.polygon.exterior.coords[:-1]]
    low = [(x, y) for x, y in corners if y <= profile.height_mm / 2]
    tips, valleys = [], []
    for (_, before), (x, y), (_, after) in zip(low, low[1:], low[2:], strict=False):
        if y > before and y >= after:
            valleys.append((x, y))
        elif y < before and y <= after:
            tips.append((x, y))
    if len(valleys) < _TEETH:
        return None
    places = sorted(x for x, _ in valleys)
    pitch = (places[-1] - places[0]) / (len(places) - 1)
    depth = sorted(y for _, y in valleys)[len(valleys) // 2] - sorted(y for _, y in tips)[len(tips) // 2]
    return pitch, depth
