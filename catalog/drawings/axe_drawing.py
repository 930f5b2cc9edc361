from __future__ import annotations

import math
from typing import Literal, Self

from pydantic import ConfigDict, Field, model_validator

from catalog.drawings.handle import HandleDrawing
from catalog.drawings.material_table import material
from catalog.drawings.rigid_body import G_PER_MM3, RigidBody, join
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, of_math
from catalog.tables.strict_form import Drawing, formed

POLL_MM = 2.0  # judged: steel behind the eye
_STEEL_G_PER_MM3 = material("steel", used_for="fitting").density_kg_m3 * G_PER_MM3


class AxeDrawing(Drawing):
    """An axe or hatchet: a head of known mass on a haft that runs through it; lengths in mm.

    The handle's length is the whole tool's, from the top of the head to the end of the knob.
    Defaults are judged.
    """

    model_config = ConfigDict(json_schema_extra=formed)

    form: Literal["axe"] = "axe"
    head_mass_g: float = Field(ge=150, le=4000)
    bit_width_mm: float = Field(ge=30, le=200, description="length of the cutting edge")
    head_height_mm: float = Field(default=60, ge=20, le=150, description="height of the eye, along the handle")
    bit_reach_mm: float = Field(
        # judged: usual where the drawing does not say
        default=90,
        ge=30,
        le=250,
        description="from the eye to the cutting edge, across the handle",
    )
    # judged: usual where the drawing does not say
    edge_angle_deg: float = Field(default=30, ge=10, le=90, description="included angle of the bevel")
    cheek_angle_deg: float | None = Field(
        default=None,
        ge=4,
        le=80,
        description="included angle of the cheeks behind the bevel; default: as the head's mass fills its outline",
    )
    handle: HandleDrawing
    mask_mass_g: float = Field(default=60, ge=0, le=500, description="cover for the edge")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if self.head_height_mm > self.handle.length_mm / 2:
            raise RangeError(
                quantity="head_height_mm",
                value=self.head_height_mm,
                # judged: the field's own lower limit
                low=20,
                high=self.handle.length_mm / 2,
                unit="mm",
                source="half the handle",
            )
        return self

    @property
    def strike_mm(self) -> float:
        """Station of the bit, level with the middle of the head [mm]; x = 0 is the top of the handle."""
        return -self.head_height_mm / 2

    @property
    def wedge_slope(self) -> float:
        """Tangent of the half angle of the wedge that bevel and cheeks are together [-]."""
        # derived: half of the included angle
        bevel = math.tan(math.radians(self.edge_angle_deg) / 2)
        # judged: share of the depth in the wood that the bevel takes
        share = 0.2
        return share * bevel + (1 - share) * self._cheek_slope

    @property
    def side_mm2(self) -> float:
        """Area of the head seen from the side [mm2]: the block of the eye, and a trapezoid to the edge."""
        return self.head_height_mm * (self.handle.width_mm + POLL_MM) + self._front_mm2

    @property
    def head_thickness_mm(self) -> float:
        """Mean thickness of the head, its eye taken as steel [mm]."""
        return self.head_mass_g / _STEEL_G_PER_MM3 / self.side_mm2

    @property
    def _front_mm2(self) -> float:
        """Area of the trapezoid from eye to bit [mm2]."""
        # derived: a trapezoid
        return (self.bit_width_mm + self.head_height_mm) / 2 * self.bit_reach_mm

    @property
    def _cheek_slope(self) -> float:
        """Tangent of the half angle of the cheeks [-].

        Where no angle is drawn, it lies half way, by ratio, between that of usual cheeks and of a wedge that most of
        the head's mass would make, as wide as bit and eye on average: its mean thickness over its reach.
        """
        if self.cheek_angle_deg is not None:
            # derived: half of the included angle
            return math.tan(math.radians(self.cheek_angle_deg) / 2)
        # judged: share of the head in front of the middle of the eye
        front_g = 0.75 * self.head_mass_g
        filled = front_g / _STEEL_G_PER_MM3 / self._front_mm2 / self.bit_reach_mm
        # judged: tangent of half of 15 degrees
        usual = 0.13
        return math.sqrt(usual * filled)


def hands_on(axe: AxeDrawing, ledger: Ledger[N]) -> N:
    """Hands on the handle, 1 to 2: the second one counts by the share of users who find room for it (logistic)."""
    beyond = axe.handle.length_mm - ledger.as_given("two_hand_length_mm")
    return 1 + 1 / (1 + of_math("exp", -beyond / ledger.as_given("two_hand_spread_mm")))


def is_two_handed(axe: AxeDrawing, ledger: Ledger) -> bool:
    """Tell whether most users swing it with two hands."""
    # judged: the second hand of half of them
    return hands_on(axe, ledger) > 3 / 2


def axe_grip_mm(axe: AxeDrawing, ledger: Ledger[N]) -> N:
    """Station of the middle of the hand, or of both hands side by side, at the end of the handle [mm]."""
    half_mm = ledger.as_given("hand_breadth_mm") / 2
    return -axe.handle.length_mm + half_mm * hands_on(axe, ledger)


def axe_body(axe: AxeDrawing) -> RigidBody:
    """Mass, balance and swing inertia of the whole axe without its mask.

    The head is a block as deep as its reach; the wood inside the eye counts as haft, since the head's
    mass is that of the bare head. x = 0 is the top of the head, the handle is negative.
    """
    handle = axe.handle
    haft = handle.body
    # uniform block, m (a2 + b2) / 12
    # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
    inertia = axe.head_mass_g * (axe.head_height_mm**2 + axe.bit_reach_mm**2) / 12
    head = RigidBody(mass_g=axe.head_mass_g, centre_mm=axe.strike_mm, inertia_g_mm2=inertia)
    return join(head, haft)
