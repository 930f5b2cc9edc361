"""The tang inside a handle: its kinds, where pins go through it, and the slots that lighten a full one.

Mass, strength and the workshop's sheet are all told from these slots.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, Self

from pydantic import Field, model_validator

from catalog.drawings.material_table import PinMaterial
from catalog.drawings.rigid_body import RigidBody, prism
from catalog.tables.number import N, absolute
from catalog.tables.strict_form import Drawing
from catalog.tables.whole_number import Whole

# judged: steel left at the shoulder, where a tang breaks first, and at its end [mm]
_FRONT_MM, _BACK_MM = 8.0, 6.0
# judged: least steel round a pin, and the least that a cutter leaves either side of a slot [mm]
_BESIDE_PIN_MM, _LEAST_RIM_MM = 3.0, 1.0
# judged: radius of a cutter for a slot's corners [mm]
_CORNER_MM = 3.0
# judged: of the tang's width; slots first grow longer, and wider only where there is no more length
_WIDE_SHARE = 0.4
# judged: far below a micrometre
_HALVINGS = 40


class TangDrawing(Drawing):
    """The part of the blade inside the handle.

    ``full`` has the outline of the handle and shows between two scales; ``hidden`` is a stick that ends
    inside the handle; ``through`` is a stick as long as the handle. Lengths in mm.
    """

    kind: Literal["full", "hidden", "through"]
    width_mm: float | None = Field(default=None, ge=3, le=60, description="hidden and through tang")
    length_mm: float | None = Field(default=None, ge=10, le=400, description="hidden tang")
    cutout_pct: float = Field(default=0, ge=0, le=60, description="share of a full tang drilled or milled away")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        stick = self.kind != "full"
        if stick != (self.width_mm is not None):
            raise ValueError("a hidden or through tang needs width_mm; a full tang does not take it")
        if (self.kind == "hidden") != (self.length_mm is not None):
            raise ValueError("a hidden tang needs length_mm; other tangs do not take it")
        if stick and self.cutout_pct:
            raise ValueError("only a full tang takes cutout_pct")
        return self


class PinDrawing(Drawing):
    """Pins through the handle, from face to face."""

    diameter_mm: float = Field(ge=1, le=12)
    count: Whole = Field(ge=1, le=12)
    material: PinMaterial = "brass"


def pin_places(pins: Sequence[PinDrawing], *, length_mm: float) -> tuple[tuple[float, float], ...]:
    """Return station and diameter of each pin [mm], evenly along a tang, since a drawing states no places.

    Args:
        pins: the pins, from the blade on.
        length_mm: length of the tang [mm].
    """
    across = [pin.diameter_mm for pin in pins for _ in range(pin.count)]
    return tuple((-length_mm * (2 * place + 1) / (2 * len(across)), one) for place, one in enumerate(across))


@dataclass(frozen=True, slots=True)
class TangSlot:
    """A cutout with rounded corners in the middle of the tang's width.

    Attributes:
        left_mm: station of its end at the pommel's side, below 0 [mm].
        right_mm: station of its end at the blade's side, below 0 [mm].
        width_mm: its size in the plane of the blade [mm].
    """

    left_mm: float
    right_mm: float
    width_mm: float

    @property
    def corner_mm(self) -> float:
        """Radius of its corners [mm]."""
        return min(_CORNER_MM, (self.right_mm - self.left_mm) / 2, self.width_mm / 2)

    @property
    def area_mm2(self) -> float:
        """Its area [mm2]."""
        # derived: area or girth of circles and rounded corners
        return (self.right_mm - self.left_mm) * self.width_mm - (4 - math.pi) * self.corner_mm**2

    def missing(self, *, thickness_mm: float, density_kg_m3: N) -> RigidBody[N]:
        """Return the steel that it takes out of a tang, a body of negative mass."""
        return prism(
            area_mm2=-self.area_mm2 * thickness_mm / (self.right_mm - self.left_mm),
            start_mm=self.left_mm,
            end_mm=self.right_mm,
            depth_mm=self.width_mm,
            density_kg_m3=density_kg_m3,
        )


def rim_stress_mpa(*, rim_mm: float, thickness_mm: float, moment_step_n_mm: N) -> N:
    """Stress at the end of a slot by which its two rims bend one beside the other, as the legs of a frame do [MPa].

    The shear that a moment in the plane of the blade brings with it is shared by the two rims. Each bends to an S,
    with a quarter of the step of the moment along the slot at either end.

    Args:
        rim_mm: steel either side of the slot [mm].
        thickness_mm: thickness of the tang [mm].
        moment_step_n_mm: by how much the moment in the plane of the blade changes along the slot [N mm].

    Source: derived, a panel of a frame without diagonals (Vierendeel) whose legs turn in their middles.
    """
    # derived: a quarter of the step over the section modulus t r2 / 6
    return absolute(moment_step_n_mm) / 4 * 6 / (thickness_mm * rim_mm**2)


# judged: a search rates one design after the other, and asks for its slots at every station
@lru_cache(maxsize=64)
def tang_slots(
    *, length_mm: float, width_mm: float, cutout_pct: float, pins_mm: tuple[tuple[float, float], ...]
) -> tuple[TangSlot, ...]:
    """Return the cutouts of a full tang, from the blade on, as equal slots between its pins; none where it has none.

    Their area is the share drawn, unless there is no room for so much: then they are as large as fits.

    Args:
        length_mm: length of the tang [mm].
        width_mm: its width [mm].
        cutout_pct: share of the tang that is cut out [%].
        pins_mm: station and diameter of each pin [mm].
    """
    bays, most = _bays(length_mm, pins_mm), width_mm - 2 * _LEAST_RIM_MM
    wanted, usual = length_mm * width_mm * cutout_pct / 100, _WIDE_SHARE * width_mm
    if not cutout_pct or not bays:
        return ()
    wider = _area(_slots(bays, 1.0, usual)) < wanted
    low, high = (usual, most) if wider else (0.0, 1.0)

    def slots(size: float) -> tuple[TangSlot, ...]:
        return _slots(bays, 1.0, size) if wider else _slots(bays, size, usual)

    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _area(slots(middle)) < wanted else (low, middle)
    return slots(high)


def _bays(length_mm: float, pins_mm: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return where a tang may be cut out, from the blade on: ends of each stretch between its pins [mm]."""
    right, found = -_FRONT_MM, []
    for x, across in pins_mm:
        clear = across / 2 + _BESIDE_PIN_MM
        found.append((x + clear, right))
        right = x - clear
    found.append((_BACK_MM - length_mm, right))
    # judged: a shorter one is not worth a cut
    return [(left, end) for left, end in found if end - left > 2 * _CORNER_MM]


def _slots(bays: Sequence[tuple[float, float]], share: float, width_mm: float) -> tuple[TangSlot, ...]:
    """Return a slot in the middle of each bay, so long a share of it and so wide [mm]."""
    found = []
    for left, right in bays:
        middle, half = (left + right) / 2, share * (right - left) / 2
        found.append(TangSlot(middle - half, middle + half, width_mm))
    return tuple(found)


def _area(slots: Sequence[TangSlot]) -> float:
    """Return the area of slots [mm2]."""
    return sum(one.area_mm2 for one in slots)
