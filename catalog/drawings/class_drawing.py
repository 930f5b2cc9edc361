"""Typical drawings of the classes of built-in tools, under the ids of their rows."""

from __future__ import annotations

from functools import lru_cache

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, FrameDrawing, SawBlade
from catalog.drawings.tang import TangDrawing
from catalog.tables.table import read_rows

_Row = dict[str, str]
# judged: a plain carbon steel at a usual hardness
_STEEL, _HRC = "1095", 57
_HAFT, _SAW_GRIP = "hickory", "nylon-glass"


@lru_cache(maxsize=1)
def class_drawings() -> dict[str, KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing]:
    """Return the typical drawing of each class that has one, by the id of its tool."""
    makers = (("class_knives.csv", class_knife), ("class_axes.csv", class_axe), ("class_saws.csv", class_saw))
    return {row["tool_id"]: draw(row) for name, draw in makers for row in read_rows(f"drawings/{name}")}


def class_knife(row: _Row) -> KnifeDrawing:
    """Return the drawing of a class of knife from its row."""
    tang = {"kind": row["tang"]} | _some(row, "cutout_pct", width_mm="tang_width_mm", length_mm="tang_length_mm")
    blade = {"grind": row["grind"]} | _some(
        row, "length_mm", "width_mm", "spine_mm", "grind_height_mm", "edge_angle_deg"
    )
    return KnifeDrawing(
        form="knife",
        blade=BladeDrawing.model_validate(blade),
        steel=_STEEL,
        hardness_hrc=_HRC,
        tang=TangDrawing.model_validate(tang),
        handle=_handle(row, row["handle_material"]),
    )


def class_axe(row: _Row) -> AxeDrawing:
    """Return the drawing of a class of axe from its row."""
    size = _some(row, "head_mass_g", "bit_width_mm", "bit_reach_mm", "edge_angle_deg", "cheek_angle_deg")
    return AxeDrawing(form="axe", **size, handle=_handle(row, _HAFT))


def class_saw(row: _Row) -> FoldingSawDrawing | BowSawDrawing:
    """Return the drawing of a class of saw from its row."""
    size = _some(row, "length_mm", "width_mm", "thickness_mm", "kerf_mm", "tooth_pitch_mm", "tooth_depth_mm")
    blade = SawBlade.model_validate({"teeth": row["teeth"]} | size)
    if row["form"] == "folding saw":
        return FoldingSawDrawing(
            form="folding saw",
            blade=blade,
            handle=_handle(row, _SAW_GRIP),
            handle_hollow_pct=float(row["handle_hollow_pct"]),
            hardware_g=float(row["hardware_g"]),
        )
    frame = {"material": row["frame_material"]} | _some(
        row, "outer_mm", "wall_mm", "clear_depth_mm", "leg_extra_mm", "hardware_g"
    )
    return BowSawDrawing(
        form="bow saw",
        blade=blade,
        frame=FrameDrawing.model_validate(frame),
        takes_down=row["form"] == "bucksaw",
    )


def _some(row: _Row, *fields: str, **columns: str) -> dict[str, float]:
    """Return the figures of a row whose cells are filled, by field; a field may stand in a column of another name."""
    named = dict(zip(fields, fields, strict=True)) | columns
    return {field: float(row[column]) for field, column in named.items() if row[column]}


def _handle(row: _Row, material: str) -> HandleDrawing:
    return HandleDrawing(
        length_mm=float(row["handle_length_mm"]),
        width_mm=float(row["handle_width_mm"]),
        thickness_mm=float(row["handle_thickness_mm"]),
        material=material,
    )
