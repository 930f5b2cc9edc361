"""A design from the outline in a drawing file: what it is like stays as it is, its profile comes from the file."""

import math
from collections.abc import Callable
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from api.workshop.dxf_lines import lines_of_dxf
from api.workshop.outline_file import AskedAgain, Count, OutlineRefused, ReadingForm, library
from api.workshop.profile import Profile, chains, framed, teeth_of
from api.workshop.ring_set import shape_of
from api.workshop.sheet_plan import OUTLINE_LAYER
from api.workshop.svg_lines import lines_of_svg
from catalog.bench.design import Design, bare_mass_g
from catalog.drawings.axe_drawing import POLL_MM, AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.tables.wrong_value import sentence_of

FileKind = Literal["svg", "dxf"]
_READERS: dict[FileKind, Callable[..., Any]] = {"svg": lines_of_svg, "dxf": lines_of_dxf}
_DECIMALS = 3  # judged: a micrometre
_PIN_ROOM = 1.15  # judged: a hole so much wider than a pin is still the pin's
_ROUND = 0.95  # judged: chords of a circle leave more


class OutlineFound(BaseModel):
    """The outline of a file.

    `area_mm2` has its holes taken off. `lines` is how many lines were joined to it, `left_out` what the file holds that
    draws no line, `within_mm` how far the points of the design may lie off the outline.
    """

    model_config = ConfigDict(frozen=True)

    area_mm2: float
    length_mm: float
    height_mm: float
    holes: int
    lines: int
    within_mm: float
    left_out: list[str]


class ReadDesign(BaseModel):
    """A design whose profile was read from a file, and what it changed in the one that it is like.

    `changes` are fields by their paths; `mass_g` is its mass as drawn, without a cover. `notes` say what was assumed.
    """

    model_config = ConfigDict(frozen=True)

    outline: OutlineFound
    changes: dict[str, Any]
    design: Design
    mass_g: float
    notes: list[str]


def read_design(body: bytes, kind: FileKind, *, like: Design, form: ReadingForm, heed: AskedAgain) -> ReadDesign:
    """Return the design that a drawing file makes of another.

    Args:
        body: the file.
        kind: what it is.
        like: the design whose other measures and materials it has.
        form: how it is read.
        heed: asked again and again; what it raises ends the reading.

    Raises:
        OutlineRefused: the file can't be taken, or makes no such tool.
        WorkshopMissing: the libraries are not installed.
    """
    count = Count(heed)
    shape = shape_of(
        _READERS[kind](body, form, count, OUTLINE_LAYER[like.drawing.form]), join_mm=form.join_mm, count=count
    )
    profile = framed(shape, form, y_falls=kind == "svg")
    within, notes = form.flatten_mm, list[str]()
    drawing = like.drawing
    if isinstance(drawing, KnifeDrawing):
        changes, within = _knife(drawing, profile, form, notes)
    elif isinstance(drawing, AxeDrawing):
        changes = _axe(drawing, profile, form, notes)
    else:
        changes = _saw(profile, notes)
    changes = {field: _rounded(value) for field, value in changes.items()}
    try:
        design = like.varied(changes)
    except ValidationError as error:
        fault = error.errors()[0]
        where = ".".join(str(step) for step in fault["loc"])
        told = sentence_of(fault, fault["input"]) if len(str(fault["input"])) < 100 else fault["msg"]
        raise OutlineRefused(f"the outline makes no {drawing.form}: {where}: {told}") from error
    return ReadDesign(
        outline=OutlineFound(
            area_mm2=round(profile.area_mm2, 2),
            length_mm=round(profile.length_mm, 3),
            height_mm=round(profile.height_mm, 3),
            holes=len(profile.holes),
            lines=shape.joined,
            within_mm=within,
            left_out=sorted(count.left_out),
        ),
        changes=changes,
        design=design,
        mass_g=round(bare_mass_g(design.drawing), 2),
        notes=notes,
    )


def _rounded(value: Any) -> Any:
    """Return a measure without binary crumbs."""
    return round(value, _DECIMALS) if isinstance(value, float) else value


def _knife(knife: KnifeDrawing, profile: Profile, form: ReadingForm, notes: list[str]) -> tuple[dict[str, Any], float]:
    """Return what the outline of a knife changes: the blade, and the tang where it is drawn with it."""
    changes: dict[str, Any] = {}
    blade = profile
    if form.from_mm:
        tang, blade = profile.part(0, form.from_mm), profile.part(form.from_mm, profile.length_mm)
        changes |= _tang(knife, tang, form.from_mm, notes)
    if blade.holes:
        x, y = blade.holes[0].representative_point().coords[0]
        raise OutlineRefused(f"the blade has a hole at ({x:.2f}, {y:.2f}) mm; its strength is known only without one")
    spine, edge, within = chains(blade, flatten_mm=form.flatten_mm)
    if spine[0][1] - edge[0][1] <= 0:
        raise OutlineRefused("the blade has no width at the handle; state from_mm, where the blade begins")
    outline = {"spine": [list(one) for one in spine], "edge": [list(one) for one in edge]}
    broad = max(_width(spine, edge, x) for x, _ in (*spine, *edge))
    changes |= {
        "drawing.blade.length_mm": spine[-1][0],
        "drawing.blade.width_mm": broad,
        "drawing.blade.tip_length_mm": None,
        "drawing.blade.outline": outline,
    }
    if broad > spine[-1][0]:
        notes.append("The blade is wider than it is long: if its tip points up or down, turn the drawing.")
    notes.append("Thickness, grind, steel, hardness and the rest are those of the design that it is like.")
    return changes, within


def _width(spine: list[tuple[float, float]], edge: list[tuple[float, float]], x: float) -> float:
    """Return the width between two chains at a station [mm]."""
    numbers = library("numpy")
    above, below = (numbers.interp(x, *zip(*chain, strict=True)) for chain in (spine, edge))
    return float(above - below)


def _tang(knife: KnifeDrawing, tang: Profile, length_mm: float, notes: list[str]) -> dict[str, Any]:
    """Return what the outline of a tang changes."""
    whole_mm2 = tang.area_mm2 + sum(hole.area for hole in tang.holes)
    width_mm = whole_mm2 / length_mm
    if knife.tang.kind != "full":
        if tang.holes:
            notes.append("Holes in a stick tang are not counted: they hold pins.")
        stick = {"drawing.tang.width_mm": width_mm}
        return stick if knife.tang.kind == "through" else stick | {"drawing.tang.length_mm": length_mm}
    pin_mm = max((pin.diameter_mm for pin in knife.pins), default=0.0)
    most_mm2 = math.pi / 4 * (_PIN_ROOM * pin_mm) ** 2  # area of a circle
    cut_mm2 = sum(hole.area for hole in tang.holes if hole.area > most_mm2 or not _is_round(hole))
    notes.append("The handle is as wide as the tang is on average; its thickness stays.")
    return {
        "drawing.handle.length_mm": length_mm,
        "drawing.handle.width_mm": width_mm,
        "drawing.tang.cutout_pct": 100 * cut_mm2 / whole_mm2,
    }


def _is_round(hole: Any) -> bool:
    """Tell whether a hole is drilled: as much of a circle as of its girth."""
    # derived: 4 pi area over girth squared is 1 of a circle, and 0.785 of a square
    return bool(4 * math.pi * hole.area > _ROUND * hole.length**2)


def _saw(profile: Profile, notes: list[str]) -> dict[str, Any]:
    """Return what the outline of a saw's blade changes: its mean width is that of its area."""
    mean_mm = profile.area_mm2 / profile.length_mm
    changes: dict[str, Any] = {"drawing.blade.length_mm": profile.length_mm}
    teeth = teeth_of(profile)
    if teeth is None:
        notes.append("The outline has no teeth: it is taken as the line of their tips.")
        return changes | {"drawing.blade.width_mm": mean_mm}
    pitch_mm, depth_mm = teeth
    notes.append("Teeth are drawn: their gullets are in the area.")
    return changes | {
        "drawing.blade.tooth_pitch_mm": pitch_mm,
        "drawing.blade.tooth_depth_mm": depth_mm,
        "drawing.blade.width_mm": mean_mm + depth_mm / 2,  # the form takes half the tooth depth off
    }


def _axe(axe: AxeDrawing, profile: Profile, form: ReadingForm, notes: list[str]) -> dict[str, Any]:
    """Return what the outline of a head changes: its mass follows its area, as thick on average as before."""
    eye_mm = form.from_mm or axe.handle.width_mm + POLL_MM
    reach_mm = profile.height_mm - eye_mm
    if reach_mm <= 0:
        raise OutlineRefused(f"the head is {profile.height_mm:g} mm from poll to edge, no more than to the eye's front")
    geometry = library("shapely")
    low = profile.polygon.intersection(geometry.box(-1, -1, profile.length_mm + 1, reach_mm / 2))
    eye = profile.polygon.intersection(geometry.box(-1, reach_mm, profile.length_mm + 1, profile.height_mm + 1))
    notes.append(
        f"The head weighs as its area, {profile.area_mm2:.0f} mm2, at the mean thickness of the design that it is like."
    )
    return {
        "drawing.bit_width_mm": low.bounds[2] - low.bounds[0],
        "drawing.head_height_mm": eye.bounds[2] - eye.bounds[0],
        "drawing.bit_reach_mm": reach_mm,
        "drawing.head_mass_g": axe.head_mass_g * profile.area_mm2 / axe.side_mm2,
    }
