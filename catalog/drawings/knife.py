from __future__ import annotations

import math
from typing import Any, Literal, Self

from pydantic import ConfigDict, Field, field_validator, model_validator

from catalog.drawings.blade import BladeDrawing, blade_body
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.material_table import SheathMaterial, material
from catalog.drawings.rigid_body import G_PER_MM3, RigidBody, join, prism
from catalog.drawings.section import Section, rectangle, slotted_bar
from catalog.drawings.steel import known_grade, steels
from catalog.drawings.tang import PinDrawing, TangDrawing, TangSlot, pin_places, tang_slots
from catalog.drawings.tempering import tempered_hrc
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.number import N
from catalog.tables.strict_form import Drawing, formed


class FittingDrawing(Drawing):
    """A guard, pommel or other part of known mass; x is 0 at the blade and negative along the handle."""

    name: str = Field(min_length=1, max_length=60)
    mass_g: float = Field(gt=0, le=500)
    x_mm: float = Field(ge=-400, le=100)


class SheathDrawing(Drawing):
    """A sheath of two leaves round the blade, and a loop; defaults are judged."""

    material: SheathMaterial = "leather"
    # judged: usual where the drawing does not say
    thickness_mm: float = Field(default=3, ge=0.5, le=8)
    # judged: usual where the drawing does not say
    welt_mm: float = Field(default=12, ge=0, le=40, description="beyond the edge, for seam or rivets")
    # judged: usual where the drawing does not say
    over_mm: float = Field(default=15, ge=0, le=80, description="longer than the blade")
    # judged: usual where the drawing does not say
    loop_mm2: float = Field(default=4000, ge=0, le=40000, description="area of loop and straps [mm2]")


class KnifeDrawing(Drawing):
    """A fixed knife from tip to pommel."""

    model_config = ConfigDict(json_schema_extra=formed)

    form: Literal["knife"] = "knife"
    blade: BladeDrawing
    steel: str = Field(min_length=1, max_length=30, description="AISI or SAE grade")
    hardness_hrc: float | None = Field(
        default=None, ge=40, le=70, description="of the whole blade; default: from temper_c by the tempering table"
    )
    edge_hardness_hrc: float | None = Field(default=None, ge=40, le=70, description="default: hardness_hrc")
    spine_hardness_hrc: float | None = Field(
        default=None, ge=40, le=70, description="of spine and tang, which bear the bending; default: hardness_hrc"
    )
    temper_c: float | None = Field(
        default=None, ge=100, le=700, description="tempering temperature; some embrittle the steel"
    )
    shoulder_radius_mm: float | None = Field(
        default=None, ge=0, le=40, description="where the tang meets the blade; 0 is a sharp corner; default: assumed"
    )
    plunge_radius_mm: float | None = Field(
        default=None, ge=0, le=60, description="where the grind ends at the ricasso; default: assumed"
    )
    steel_density_kg_m3: float | None = Field(
        default=None, ge=7000, le=8800, description="for a grade that is not in the table"
    )
    tang: TangDrawing
    handle: HandleDrawing
    pins: list[PinDrawing] = Field(default_factory=list, max_length=10)
    fittings: list[FittingDrawing] = Field(default_factory=list, max_length=10)
    sheath: SheathDrawing | None = None

    @field_validator("steel")
    @classmethod
    def _as_in_the_table(cls, said: str) -> str:
        return known_grade(said)

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        # judged: the shortest edge that makes a knife
        _at_most("blade.ricasso_mm", self.blade.ricasso_mm, high=self.blade.length_mm - 5)
        _at_most("tang.length_mm", self.tang_length_mm, high=self.handle.length_mm)
        _at_most("tang.width_mm", self.tang_width_mm, high=self.handle.width_mm)
        _at_most("blade.spine_mm", self.blade.spine_mm, high=self.handle.area_mm2 / self.tang_width_mm)
        both_stated = self.edge_hardness_hrc is not None and self.spine_hardness_hrc is not None
        if self.hardness_hrc is None and not both_stated:
            if self.temper_c is None:
                raise ValueError("give hardness_hrc, or temper_c, or edge_hardness_hrc and spine_hardness_hrc")
            tempered_hrc(self.steel, temper_c=self.temper_c)
        return self

    @property
    def edge_hrc(self) -> float:
        """Hardness of the edge [HRC]."""
        return self._hrc(self.edge_hardness_hrc)

    @property
    def spine_hrc(self) -> float:
        """Hardness of spine and tang [HRC]."""
        return self._hrc(self.spine_hardness_hrc)

    def _hrc(self, own: float | None) -> float:
        """Return a hardness: its own where stated, else the blade's, else by the tempering table [HRC]."""
        if own is not None:
            return own
        if self.hardness_hrc is not None:
            return self.hardness_hrc
        assert self.temper_c is not None  # `_consistent`
        return tempered_hrc(self.steel, temper_c=self.temper_c)

    @property
    def tang_length_mm(self) -> float:
        """Length of tang inside the handle [mm]."""
        return self.handle.length_mm if self.tang.length_mm is None else self.tang.length_mm

    @property
    def tang_width_mm(self) -> float:
        """Width of the tang in the plane of the blade [mm]."""
        return self.handle.width_mm if self.tang.width_mm is None else self.tang.width_mm

    @property
    def overall_mm(self) -> float:
        """Tip to pommel [mm]."""
        return self.blade.length_mm + self.handle.length_mm

    @property
    def hand_mm(self) -> float:
        """Station of the middle of the hand, taken at the middle of the handle [mm]."""
        return -self.handle.length_mm / 2

    @property
    def pins_mm(self) -> tuple[tuple[float, float], ...]:
        """Station and diameter of each pin [mm], evenly along the tang."""
        return pin_places(self.pins, length_mm=self.tang_length_mm)

    @property
    def slots(self) -> tuple[TangSlot, ...]:
        """The cutouts of a full tang, from the blade on."""
        return tang_slots(
            length_mm=self.tang_length_mm,
            width_mm=self.tang_width_mm,
            cutout_pct=self.tang.cutout_pct,
            pins_mm=self.pins_mm,
        )

    @property
    def rim_mm(self) -> float:
        """Steel either side of the cutouts of a full tang [mm]; half its width where it has none."""
        return (self.tang_width_mm - max((one.width_mm for one in self.slots), default=0.0)) / 2

    @property
    def cut_mm2(self) -> float:
        """Area of the cutouts of a full tang [mm2]."""
        return sum(one.area_mm2 for one in self.slots)

    @property
    def cutout_fits(self) -> float:
        """Share of the cutout as drawn that there is room for between pins, ends and rims [-]."""
        wanted_mm2 = self.tang_length_mm * self.tang_width_mm * self.tang.cutout_pct / 100
        return min(1.0, self.cut_mm2 / wanted_mm2) if wanted_mm2 else 1.0

    def section_at(self, x_mm: float) -> Section:
        """Section of steel at a station: blade for x >= 0, tang for x < 0; handle material not counted.

        Through a cutout it is what stands either side of it.

        Raises:
            RangeError: a station off the steel.
        """
        if x_mm >= 0:
            return self.blade.section_at(x_mm)
        _at_most("distance along the tang", -x_mm, high=self.tang_length_mm)
        width_mm, thickness_mm = self.tang_width_mm, self.blade.spine_mm
        for slot in self.slots:
            if slot.left_mm < x_mm < slot.right_mm:
                return slotted_bar(width_mm=width_mm, slot_mm=slot.width_mm, thickness_mm=thickness_mm)
        return rectangle(width_mm=width_mm, thickness_mm=thickness_mm)


def _at_most(quantity: str, value: float, *, high: float) -> None:
    if value > high:
        raise RangeError(quantity=quantity, value=value, low=0, high=high, unit="mm", source="the drawing")


def steel_density(knife: KnifeDrawing, ledger: Ledger[N]) -> N:
    """Density of the steel: as drawn, else of the grade, else the assumed one [kg/m3]."""
    if knife.steel_density_kg_m3 is not None:
        return knife.steel_density_kg_m3
    grade = steels().get(knife.steel)
    return grade.density_kg_m3 if grade else ledger("steel_density_kg_m3")


def tang_body(knife: KnifeDrawing, *, density_kg_m3: N) -> RigidBody[N]:
    """Mass and balance of the tang, a bar of the blade's spine thickness, its steel of a density [kg/m3]."""
    thickness_mm = knife.blade.spine_mm
    whole = prism(
        area_mm2=knife.tang_width_mm * thickness_mm,
        start_mm=-knife.tang_length_mm,
        end_mm=0,
        depth_mm=knife.tang_width_mm,
        density_kg_m3=density_kg_m3,
    )
    return join(whole, *(one.missing(thickness_mm=thickness_mm, density_kg_m3=density_kg_m3) for one in knife.slots))


def grip_body(knife: KnifeDrawing) -> RigidBody:
    """Mass and balance of scales or handle block, the room of the whole tang taken out."""
    handle = knife.handle
    whole = handle.body
    room = prism(
        area_mm2=-knife.tang_width_mm * knife.blade.spine_mm,
        start_mm=-knife.tang_length_mm,
        end_mm=0,
        depth_mm=knife.tang_width_mm,
        density_kg_m3=handle.density_kg_m3,
    )
    return join(whole, room)


def _pin_body(knife: KnifeDrawing, pin: PinDrawing, *, steel_kg_m3: N) -> RigidBody[N]:
    """Mass that pins add over the steel and handle they replace, spread about the middle of the handle."""
    steel_mm = knife.blade.spine_mm
    grip_mm = knife.handle.thickness_mm - steel_mm
    pin_density = material(pin.material, used_for="pin").density_kg_m3
    grip_density = material(knife.handle.material, used_for="handle").density_kg_m3
    per_area = ((steel_mm + grip_mm) * pin_density - steel_mm * steel_kg_m3 - grip_mm * grip_density) * G_PER_MM3
    # derived: area or girth of circles and rounded corners
    added_g = pin.count * math.pi * pin.diameter_mm**2 / 4 * per_area
    return RigidBody(mass_g=added_g, centre_mm=knife.hand_mm, inertia_g_mm2=0.0)


def knife_body(knife: KnifeDrawing, ledger: Ledger[N] | None = None) -> RigidBody[N]:
    """Mass, balance and swing inertia of the knife without its sheath.

    Args:
        knife: the drawing.
        ledger: reads and notes the density of a steel that has none; the table's where it is left out.

    Returns:
        Body with x = 0 where the blade meets the handle: a positive centre is blade-heavy.
    """
    steel_kg_m3: N = steel_density(knife, Ledger[N]() if ledger is None else ledger)
    # frozen: plain numbers serve where any may stand
    parts: list[RigidBody[Any]] = [
        blade_body(knife.blade, density_kg_m3=steel_kg_m3),
        tang_body(knife, density_kg_m3=steel_kg_m3),
        grip_body(knife),
    ]
    parts += [_pin_body(knife, pin, steel_kg_m3=steel_kg_m3) for pin in knife.pins]
    parts += [RigidBody(mass_g=f.mass_g, centre_mm=f.x_mm, inertia_g_mm2=0.0) for f in knife.fittings]
    return join(*parts)


def sheath_mass_g(knife: KnifeDrawing) -> float:
    """Mass of the sheath [g], 0 when none is drawn."""
    sheath = knife.sheath
    if sheath is None:
        return 0.0
    leaf_mm2 = (knife.blade.length_mm + sheath.over_mm) * (knife.blade.width_mm + sheath.welt_mm)
    volume_mm3 = (2 * leaf_mm2 + sheath.loop_mm2) * sheath.thickness_mm
    return volume_mm3 * material(sheath.material, used_for="sheath").density_kg_m3 * G_PER_MM3


def knife_kind(knife: KnifeDrawing, ledger: Ledger) -> Literal["fixed knife", "long knife"]:
    """Return the kind that the length of its edge makes it."""
    return "long knife" if knife.blade.edge_length_mm >= ledger("long_knife_mm") else "fixed knife"
