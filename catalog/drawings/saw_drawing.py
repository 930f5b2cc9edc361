from __future__ import annotations

import math
from typing import Literal, Self

from pydantic import ConfigDict, Field, model_validator

from catalog.drawings.handle import HandleDrawing
from catalog.drawings.material_table import FrameMaterial, material
from catalog.drawings.rigid_body import G_PER_MM3, RigidBody, join, prism
from catalog.tables.errors import RangeError
from catalog.tables.strict_form import Drawing, formed

Teeth = Literal["pull, triple ground", "push and pull, peg", "push and pull, raker"]


class SawBlade(Drawing):
    """A toothed strip; lengths in mm."""

    length_mm: float = Field(ge=80, le=1600, description="toothed length")
    width_mm: float = Field(ge=6, le=120, description="mean, teeth to back")
    thickness_mm: float = Field(ge=0.3, le=3)
    kerf_mm: float = Field(ge=0.4, le=5, description="width of the cut")
    tooth_pitch_mm: float = Field(ge=1, le=20)
    tooth_depth_mm: float = Field(ge=0.5, le=20)
    teeth: Teeth
    # from-memory: carbon steel
    density_kg_m3: float = Field(default=7850, ge=7000, le=8800)

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        # judged: the field's own upper limit
        _within("kerf_mm", self.kerf_mm, low=self.thickness_mm, high=5)
        _within("tooth_depth_mm", self.tooth_depth_mm, low=0, high=self.width_mm / 2)
        return self

    @property
    def area_mm2(self) -> float:
        """Side face [mm2]: the strip less its gullets, triangles of half the tooth depth."""
        return self.length_mm * (self.width_mm - self.tooth_depth_mm / 2)


class FoldingSawDrawing(Drawing):
    """A saw whose blade folds into the handle; x = 0 at the pivot, blade positive; defaults are judged."""

    model_config = ConfigDict(json_schema_extra=formed)

    form: Literal["folding saw"] = "folding saw"
    blade: SawBlade
    handle: HandleDrawing
    slot_mm: float = Field(default=2, ge=0.5, le=10, description="width of the slot for the blade")
    handle_hollow_pct: float = Field(default=0, ge=0, le=80, description="share of the handle that is empty")
    # judged: usual where the drawing does not say
    hardware_g: float = Field(default=15, ge=0, le=150, description="pivot, lock and screws")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        _within("blade.length_mm", self.blade.length_mm, low=0, high=self.handle.length_mm)
        room_mm = self.handle.area_mm2 / min(self.blade.width_mm, self.handle.width_mm)
        _within("slot_mm", self.slot_mm, low=self.blade.thickness_mm, high=room_mm)
        _within("blade.width_mm", self.blade.width_mm, low=0, high=2 * self.handle.width_mm)
        return self

    @property
    def packed_mm(self) -> float:
        """Longest side when folded [mm]."""
        return self.handle.length_mm


class FrameDrawing(Drawing):
    """A bow or frame that holds a blade tight: a stretcher and two legs; defaults are judged."""

    material: FrameMaterial = "steel"
    outer_mm: float = Field(ge=6, le=60, description="diameter, or side of a square bar")
    wall_mm: float | None = Field(default=None, ge=0.4, le=10, description="wall of a round tube; default: a solid bar")
    clear_depth_mm: float = Field(ge=20, le=400, description="distance from blade to stretcher")
    leg_extra_mm: float = Field(default=0, ge=0, le=300, description="length of each leg beyond the stretcher")
    hardware_g: float = Field(default=60, ge=0, le=600, description="lever, cord, pins, grip")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if self.wall_mm is not None:
            _within("wall_mm", self.wall_mm, low=0, high=self.outer_mm / 2)
        return self

    @property
    def area_mm2(self) -> float:
        """Section of material [mm2]: a tube, or a square bar."""
        if self.wall_mm is None:
            return self.outer_mm**2
        return math.pi * (self.outer_mm - self.wall_mm) * self.wall_mm


class BowSawDrawing(Drawing):
    """A bow saw or bucksaw; x = 0 at the hand's end of the blade."""

    model_config = ConfigDict(json_schema_extra=formed)

    form: Literal["bow saw"] = "bow saw"
    blade: SawBlade
    frame: FrameDrawing
    # judged: usual where the drawing does not say
    mask_mass_g: float = Field(default=40, ge=0, le=300)
    takes_down: bool = Field(default=False, description="whether the saw packs into a bundle no longer than its blade")


def _within(quantity: str, value: float, *, low: float, high: float) -> None:
    if not low <= value <= high:
        raise RangeError(quantity=quantity, value=value, low=low, high=high, unit="mm", source="the drawing")


def _strip(blade: SawBlade) -> RigidBody:
    return prism(
        area_mm2=blade.area_mm2 / blade.length_mm * blade.thickness_mm,
        start_mm=0,
        end_mm=blade.length_mm,
        depth_mm=blade.width_mm,
        density_kg_m3=blade.density_kg_m3,
    )


def folding_saw_body(saw: FoldingSawDrawing) -> RigidBody:
    """Mass, balance and swing inertia of a folding saw, opened."""
    handle = saw.handle
    slot_mm2 = min(saw.blade.width_mm, handle.width_mm) * saw.slot_mm
    solid_mm2 = (handle.area_mm2 - slot_mm2) * (1 - saw.handle_hollow_pct / 100)
    grip = prism(
        area_mm2=solid_mm2,
        start_mm=-handle.length_mm,
        end_mm=0,
        depth_mm=handle.width_mm,
        density_kg_m3=material(handle.material, used_for="handle").density_kg_m3,
    )
    pivot = RigidBody(mass_g=saw.hardware_g, centre_mm=0, inertia_g_mm2=0)
    return join(_strip(saw.blade), grip, pivot)


def frame_length_mm(saw: BowSawDrawing) -> float:
    """Length of bar or tube in the frame [mm]: the stretcher over both legs, and two legs past the blade."""
    legs_mm = 2 * (saw.blade.width_mm + saw.frame.clear_depth_mm + saw.frame.leg_extra_mm)
    return saw.blade.length_mm + 2 * saw.frame.outer_mm + legs_mm


def bow_saw_mass_g(saw: BowSawDrawing) -> float:
    """Mass of a bow saw or bucksaw with its blade, without a mask [g]."""
    density = material(saw.frame.material, used_for="frame").density_kg_m3
    frame_g = saw.frame.area_mm2 * frame_length_mm(saw) * density * G_PER_MM3
    return _strip(saw.blade).mass_g + frame_g + saw.frame.hardware_g
