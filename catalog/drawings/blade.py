from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Literal, Self

from pydantic import Field, model_validator

from catalog.drawings.outline import BladeOutline, struck_share
from catalog.drawings.rigid_body import G_PER_MM3, RigidBody
from catalog.drawings.section import Grind, Section, Thickness, ground, hollow, hollow_thickness, rectangle
from catalog.maths.quadrature import PANELS, simpson
from catalog.tables.errors import RangeError
from catalog.tables.number import N, power, spread
from catalog.tables.strict_form import Drawing
from catalog.tables.table import read_rows

_TipShape = Literal[
    "square", "drop point", "spear point", "clip point", "sheepsfoot", "angled", "straight back", "trailing point"
]
_PARTLY_GROUND = ("saber", "scandi")


@dataclass(frozen=True, slots=True)
class _Tip:
    """How the width falls to the point: w (1 - u**power), u from 0 to 1 along the tip."""

    power: float
    spine_share: float
    length_in_widths: float


@dataclass(frozen=True, slots=True)
class _Solid:
    """What a blade is as a solid: volume [mm3], its centre [mm], and its moment of inertia by density [mm5]."""

    volume_mm3: float
    centre_mm: float
    inertia_mm5: float


@lru_cache(maxsize=1)
def tips() -> dict[str, _Tip]:
    """Tip shapes by name."""
    return {
        row["tip"]: _Tip(
            power=float(row["power"]),
            spine_share=float(row["spine_share"]),
            length_in_widths=float(row["length_in_widths"]),
        )
        for row in read_rows("drawings/tips.csv")
    }


class BladeDrawing(Drawing):
    """A knife blade, all lengths in mm, from the handle (x = 0) to the tip.

    The grind follows the outline: near the tip the edge climbs to the spine, whose thickness is that of
    the stock less the distal taper. Defaults are judged.
    """

    length_mm: float = Field(ge=20, le=700, description="handle to tip, ricasso included")
    width_mm: float = Field(ge=6, le=120, description="width from edge to spine where the edge begins")
    spine_mm: float = Field(ge=0.8, le=12, description="thickness of the spine at the handle")
    tip_spine_mm: float | None = Field(
        default=None, ge=0.4, le=12, description="thickness of the spine at the tip; default: no taper"
    )
    ricasso_mm: float = Field(default=0, ge=0, le=80, description="length before the edge that is not ground")
    grind: Grind = "full flat"
    grind_height_mm: float | None = Field(default=None, ge=1, le=120, description="above the edge; saber, scandi")
    wheel_diameter_mm: float | None = Field(default=None, ge=20, le=2000, description="hollow grind only")
    edge_mm: float = Field(default=0, ge=0, le=3, description="thickness behind the final bevel")
    # judged: usual where the drawing does not say
    edge_angle_deg: float = Field(default=30, ge=8, le=90, description="included angle of the final bevel")
    tip: _TipShape = "drop point"
    tip_length_mm: float | None = Field(
        default=None, ge=1, le=300, description="default: from the tip table, or from the outline"
    )
    outline: BladeOutline | None = Field(
        default=None, description="its side view by points, in place of the tip's shape; width_mm is then the greatest"
    )

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if self.grind in _PARTLY_GROUND and self.grind_height_mm is None:
            raise ValueError(f"a {self.grind} grind needs grind_height_mm")
        if self.grind == "full flat" and self.grind_height_mm not in (None, self.width_mm):
            raise ValueError("a full flat grind reaches the spine; leave grind_height_mm out, or use saber")
        if (self.grind == "hollow") != (self.wheel_diameter_mm is not None):
            raise ValueError("a hollow grind needs wheel_diameter_mm; other grinds do not take it")
        _within("grind_height_mm", self.ground_mm, high=self.width_mm)
        _within("tip_spine_mm", self.point_spine_mm, high=self.spine_mm)
        _within("edge_mm", self.edge_mm, high=self.point_spine_mm)
        _within("ricasso_mm", self.ricasso_mm, high=self.length_mm)
        _within("ricasso_mm + tip_length_mm", self.ricasso_mm + self.point_mm, high=self.length_mm)
        if self.wheel_diameter_mm is not None:
            # the full height under the thinnest spine is the hardest place for a wheel
            hollow(
                width_mm=self.ground_mm,
                edge_mm=self.edge_mm,
                spine_mm=self.point_spine_mm,
                wheel_diameter_mm=self.wheel_diameter_mm,
            )
        return self

    @property
    def ground_mm(self) -> float:
        """Height of the grind above the edge [mm]."""
        return self.width_mm if self.grind_height_mm is None else self.grind_height_mm

    @cached_property
    def solid(self) -> _Solid:
        """Its volume, centre and inertia, integrated once."""
        return _solid(self, PANELS)

    @property
    def point_spine_mm(self) -> float:
        """Spine thickness at the tip [mm]."""
        return self.spine_mm if self.tip_spine_mm is None else self.tip_spine_mm

    @property
    def point_mm(self) -> float:
        """Length over which the width falls to the point [mm]; 0 for a square end."""
        if self.outline is not None:
            stated = self.tip_length_mm
            return min(self.outline.point_share * self.length_mm if stated is None else stated, self.edge_length_mm)
        if self.tip == "square":
            return 0.0
        if self.tip_length_mm is not None:
            return self.tip_length_mm
        return min(tips()[self.tip].length_in_widths * self.width_mm, self.edge_length_mm)

    @property
    def edge_length_mm(self) -> float:
        """Length of the cutting edge along the blade [mm]."""
        return self.length_mm - self.ricasso_mm

    @property
    def _stretch(self) -> tuple[float, float]:
        """Length and width of the blade over those of its outline [-]."""
        assert self.outline is not None
        return self.length_mm / self.outline.length_mm, self.width_mm / self.outline.greatest_mm

    @property
    def face_mm2(self) -> float:
        """Area of one face, from the handle to the tip [mm2].

        Source: derived; of a tip of width w (1 - u^p), u from 0 to 1, p / (p + 1) of its rectangle is left.
        """
        if self.outline is not None:
            along, across = self._stretch
            return self.outline.area_mm2 * along * across
        if self.point_mm == 0:
            return self.length_mm * self.width_mm
        return self.width_mm * (self.length_mm - self.point_mm / (tips()[self.tip].power + 1))

    def width_at(self, x_mm: float) -> float:
        """Edge to spine at a distance from the handle [mm]."""
        if self.outline is not None:
            along, across = self._stretch
            return max(0.0, across * self.outline.width_at(x_mm / along))
        start = self.length_mm - self.point_mm
        if x_mm <= start or self.point_mm == 0:
            return self.width_mm
        u = min(1.0, (x_mm - start) / self.point_mm)
        return self.width_mm * (1 - float(u ** tips()[self.tip].power))

    def spine_at(self, x_mm: float) -> float:
        """Spine thickness at a distance from the handle [mm], linear distal taper."""
        return self.spine_mm + (self.point_spine_mm - self.spine_mm) * x_mm / self.length_mm

    def section_at(self, x_mm: float) -> Section:
        """Cross-section at a distance from the handle [mm].

        Raises:
            RangeError: a station off the blade.
        """
        _within("x_mm", x_mm, high=self.length_mm)
        width_mm, spine_mm = self.width_at(x_mm), self.spine_at(x_mm)
        if x_mm < self.ricasso_mm:
            return rectangle(width_mm=width_mm, thickness_mm=spine_mm)
        return ground(
            self.grind,
            width_mm=width_mm,
            edge_mm=self.edge_mm,
            spine_mm=spine_mm,
            grind_height_mm=self.ground_mm,
            wheel_diameter_mm=self.wheel_diameter_mm,
        )

    # judged: enough corners for a smooth outline
    def profile_mm(self, x_mm: float, points: int = 25) -> list[tuple[float, float]]:
        """Height above the edge and full thickness [mm] at a distance from the handle, from edge to spine."""
        width_mm, spine_mm = self.width_at(x_mm), self.spine_at(x_mm)
        height_mm = min(self.ground_mm, width_mm)
        thickness = self._thickness(height_mm, spine_mm)
        ground_part = [(height_mm * i / (points - 1), thickness(height_mm * i / (points - 1))) for i in range(points)]
        bar = [(0.0, spine_mm), (width_mm, spine_mm)]
        if x_mm < self.ricasso_mm:
            return bar
        return ground_part if height_mm == width_mm else [*ground_part, bar[1]]

    def _thickness(self, height_mm: float, spine_mm: float) -> Thickness:
        rise = spine_mm - self.edge_mm
        if self.grind == "convex":
            return lambda y: self.edge_mm + rise * (2 * y / height_mm - (y / height_mm) ** 2)  # as in section.convex
        if self.wheel_diameter_mm is not None:
            return hollow_thickness(
                width_mm=height_mm, edge_mm=self.edge_mm, spine_mm=spine_mm, wheel_diameter_mm=self.wheel_diameter_mm
            )
        return lambda y: self.edge_mm + rise * y / height_mm

    def edge_at(self, x_mm: float) -> float:
        """Height of the edge above that of the straight part [mm], on a picture."""
        if self.outline is not None:
            along, across = self._stretch
            return across * (self.outline.edge_at(x_mm / along) - self.outline.edge_at(self.ricasso_mm / along))
        lost_mm = self.width_mm - self.width_at(x_mm)
        return (1 - tips()[self.tip].spine_share) * lost_mm

    @property
    def cheek_slope(self) -> float:
        """Tangent of the half angle of the wedge that the blade is as a whole, halfway along the edge [-].

        Mean thickness over width: that of a full flat grind is half its spine over the width, and less is ground off
        the others.
        """
        middle = self.section_at(self._middle_mm)
        return middle.area_mm2 / middle.width_mm**2

    def buried_slope(self, *, rubbing: N) -> N:
        """Tangent of the half angle of the wedge that the blade is, with what its flanks rub above the grind [-].

        The mean slope of the ground part, halfway along the edge, times h / (h + 2 r (w - h)): height h of the grind,
        width w, share r of the flanks that rub. They open nothing. That of a full flat grind is `cheek_slope`.

        Args:
            rubbing: share of the flanks above the grind that rub [-].

        Source: derived. The wood presses with a force in proportion to the opening y: a wedge opens by the integral of
        y dy and rubs by 2 f times that of y dx, so that a flank rubs twice what as much of a flat grind does.
        """
        middle, spine_mm = self.section_at(self._middle_mm), self.spine_at(self._middle_mm)
        ground_mm = min(self.ground_mm, middle.width_mm)
        flank_mm = middle.width_mm - ground_mm
        ground_mm2 = middle.area_mm2 - spine_mm * flank_mm
        return ground_mm2 / (ground_mm * (ground_mm + 2 * rubbing * flank_mm))

    @property
    def _middle_mm(self) -> float:
        """Station halfway along the straight edge [mm]."""
        return self.ricasso_mm + (self.edge_length_mm - self.point_mm) / 2

    def joints_mm(self) -> list[float]:
        """Stations where the outline or the grind has a corner, both ends included [mm]."""
        if self.outline is not None:
            along, _ = self._stretch
            corners = [x * along for x in self.outline.stations_mm[1:-1]]
            return sorted({0.0, self.ricasso_mm, *corners, self.length_mm})
        inner = (self.ricasso_mm, self.length_mm - self.point_mm)
        return sorted({0.0, *inner, self.length_mm})

    # judged: enough corners for a smooth outline
    def outline_mm(self, points: int = 33) -> list[tuple[float, float]]:
        """Closed outline (x, y) for a picture [mm]: edge side out to the tip, spine side back."""
        if self.outline is not None:
            stations = self.joints_mm()
            edge = [(x, self.edge_at(x)) for x in stations]
            return edge + [(x, self.edge_at(x) + self.width_at(x)) for x in reversed(stations)]
        start = self.length_mm - self.point_mm
        stations = [0.0, *(start + self.point_mm * i / (points - 1) for i in range(points))]
        edge = [(x, self.edge_at(x)) for x in stations]
        spine = [(x, self.edge_at(x) + self.width_at(x)) for x in stations]
        return edge + spine[::-1]


def strikable_mm(blade: BladeDrawing, *, slip: N) -> N:
    """Length of spine above the edge that a baton can strike before it slips off towards the point [mm].

    Along the tip, a station counts 1 / (1 + (slope / slip)4) of its length, by the slope at which the spine falls.

    Args:
        blade: the drawing.
        slip: the slope at which a baton slips off, its friction on the spine [-].
    """
    if blade.outline is not None:
        along, across = blade._stretch
        parts = blade.outline.spine_slopes(blade.ricasso_mm / along)
        counted: N = sum(along * part_mm * struck_share(slope * across / along, slip=slip) for part_mm, slope in parts)
        return counted
    straight_mm = blade.edge_length_mm - blade.point_mm
    tip = tips()[blade.tip]
    if blade.point_mm == 0 or tip.spine_share <= 0:
        return straight_mm + blade.point_mm
    # slope of share w u^power, u = x / length of the tip
    steepest = tip.spine_share * blade.width_mm * tip.power / blade.point_mm

    def counted_at(u: N) -> N:
        return struck_share(steepest * power(u, tip.power - 1), slip=slip)

    ends: list[N] = [0.0, 1.0]
    # judged: panels after which a halving moves no length by 0.1 mm
    return straight_mm + blade.point_mm * simpson(counted_at, low=ends[0], high=ends[1], panels=12)


def _within(quantity: str, value: float, *, high: float) -> None:
    if not 0 <= value <= high:
        raise RangeError(quantity=quantity, value=value, low=0, high=high, unit="mm", source="the drawing")


def blade_body(blade: BladeDrawing, *, density_kg_m3: N, panels: int = PANELS) -> RigidBody[N]:
    """Mass, centre of mass and swing inertia of a blade by integrating its real sections.

    Args:
        blade: the drawing.
        density_kg_m3: density of the steel [kg/m3].
        panels: panels of the integration between two corners of the outline.

    The small offsets of centroids across the blade are left out of the inertia, their own second
    moments are in it.
    """
    solid = blade.solid if panels == PANELS else _solid(blade, panels)
    per_mm3 = density_kg_m3 * G_PER_MM3
    return RigidBody(
        mass_g=per_mm3 * solid.volume_mm3,
        centre_mm=spread(solid.centre_mm, per_mm3),
        inertia_g_mm2=per_mm3 * solid.inertia_mm5,
    )


def _solid(blade: BladeDrawing, panels: int) -> _Solid:
    """Integrate the real sections of a blade, each section drawn once."""
    # judged: between two points of an outline a section changes little
    fine = panels if blade.outline is None else min(panels, 4)
    pieces = list(pairwise(blade.joints_mm()))
    seen: list[dict[float, Section]] = [{} for _ in pieces]

    def along(weigh: Callable[[float, Section], float]) -> float:
        found = 0.0
        for (low, high), drawn in zip(pieces, seen, strict=True):
            # the ricasso ends in a step: its last station must still see the bar
            in_ricasso = high <= blade.ricasso_mm

            def integrand(x: float, drawn: dict[float, Section] = drawn, bar: bool = in_ricasso) -> float:
                if x not in drawn:
                    drawn[x] = (
                        rectangle(width_mm=blade.width_at(x), thickness_mm=blade.spine_at(x))
                        if bar
                        else blade.section_at(x)
                    )
                return weigh(x, drawn[x])

            found += simpson(integrand, low=low, high=high, panels=fine)
        return found

    volume_mm3 = along(lambda _, s: s.area_mm2)
    centre_mm = along(lambda x, s: s.area_mm2 * x) / volume_mm3
    inertia_mm5 = along(lambda x, s: s.area_mm2 * power(x - centre_mm, 2) + s.edge_mm4)
    return _Solid(volume_mm3, centre_mm, inertia_mm5)
