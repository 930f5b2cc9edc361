"""The steel of a knife in one piece, as it is cut: its contour, the holes of its pins, the cutouts of a full tang."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from api.workshop.outline_file import Corner2D
from catalog.drawings.knife import KnifeDrawing

_SPLINE_POINTS = 121  # judged: corners of a tip; its area is then right to a few parts in a hundred thousand
_ARC_PARTS = 12  # judged: chords of a quarter of a rounded corner
_FRONT_MM, _BACK_MM = 8.0, 6.0  # judged: steel left at the shoulder, where a tang breaks first, and at the end
_BESIDE_PIN_MM, _RIM_MM = 3.0, 3.0  # judged: least steel round a pin, and either side of a cutout
_CORNER_MM = 3.0  # judged: radius of a cutter for a cutout's corners
_WIDE_SHARE = 0.4  # judged: of the tang's width; a smaller cutout is made shorter, not narrower
_HALVINGS = 40  # far below a micrometre


@dataclass(frozen=True)
class _Slot:
    """A cutout with rounded corners in the middle of the tang's width [mm]: its ends along x, its width, its radius."""

    left_mm: float
    right_mm: float
    width_mm: float

    @property
    def corner_mm(self) -> float:
        """Radius of its corners [mm]."""
        return min(_CORNER_MM, (self.right_mm - self.left_mm) / 2, self.width_mm / 2)

    @property
    def area_mm2(self) -> float:
        """Its area [mm2], with corners as chords draw them."""
        # derived: the polygon of n chords in a quarter of a circle holds n sin(pi / 2n) / 2 of its radius squared
        quarter = _ARC_PARTS * sin(pi / 2 / _ARC_PARTS) / 2
        return (self.right_mm - self.left_mm) * self.width_mm - 4 * (1 - quarter) * self.corner_mm**2

    @property
    def corners(self) -> tuple[Corner2D, ...]:
        """Its corners [mm]."""
        half, tall = (self.right_mm - self.left_mm) / 2, self.width_mm / 2
        middle = (self.left_mm + self.right_mm) / 2
        return tuple((middle + x, y) for x, y in rounded_corners(half, tall, self.corner_mm))


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


def pin_places(knife: KnifeDrawing) -> list[tuple[float, float]]:
    """Return station and diameter of each pin [mm], evenly along the handle: a drawing states no places."""
    across = [pin.diameter_mm for pin in knife.pins for _ in range(pin.count)]
    return [(-knife.handle.length_mm * place / (len(across) + 1), one) for place, one in enumerate(across, start=1)]


def pin_holes(knife: KnifeDrawing) -> list[tuple[float, float]]:
    """Return station and diameter of each hole that pins need in the tang [mm]; one as wide as the tang is none."""
    reach, widest = knife.tang_length_mm, knife.tang_width_mm - _RIM_MM
    return [(x, across) for x, across in pin_places(knife) if -x + across / 2 < reach and across < widest]


def cutout_mm2(knife: KnifeDrawing) -> float:
    """Return the area that the mass leaves out of a full tang [mm2]."""
    return knife.tang_length_mm * knife.tang_width_mm * knife.tang.cutout_pct / 100


def cutout_slots(knife: KnifeDrawing) -> list[_Slot]:
    """Return the cutouts of a full tang as equal slots between its pins; none where it has none.

    Their area is what the mass leaves out, unless there is no room for so much: then they are as large as fits.
    """
    if not knife.tang.cutout_pct:
        return []
    bays, most = _bays(knife), knife.tang_width_mm - 2 * _RIM_MM
    if not bays or most <= 0:
        return []
    wanted, usual = cutout_mm2(knife), min(most, _WIDE_SHARE * knife.tang_width_mm)
    short, wide = (1.0, most) if _area(_slots(bays, 1.0, usual)) < wanted else (0.0, usual)
    low, high = (usual, most) if short else (0.0, 1.0)

    def slots(size: float) -> list[_Slot]:
        return _slots(bays, 1.0, size) if short else _slots(bays, size, wide)

    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _area(slots(middle)) < wanted else (low, middle)
    return slots(high)


def _bays(knife: KnifeDrawing) -> list[Corner2D]:
    """Return where a tang may be cut out, from the blade on: ends of each stretch between its pins [mm]."""
    right, found = -_FRONT_MM, []
    for x, across in pin_places(knife):
        clear = across / 2 + _BESIDE_PIN_MM
        found.append((x + clear, right))
        right = x - clear
    found.append((_BACK_MM - knife.tang_length_mm, right))
    # judged: a shorter one is not worth a cut
    return [(left, end) for left, end in found if end - left > 2 * _CORNER_MM]


def _slots(bays: Sequence[Corner2D], share: float, width_mm: float) -> list[_Slot]:
    """Return a slot in the middle of each bay, so long a share of it and so wide [mm]."""
    found = []
    for left, right in bays:
        middle, half = (left + right) / 2, share * (right - left) / 2
        found.append(_Slot(middle - half, middle + half, width_mm))
    return found


def _area(slots: Sequence[_Slot]) -> float:
    """Return the area of slots [mm2]."""
    return sum(one.area_mm2 for one in slots)
