"""Typical drawings of built-in tool classes, to hold the model's scores against the judged ones."""

from __future__ import annotations

from tree import DATA

from catalog.bench.design import Design
from catalog.bench.rating import Rating, rate
from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing, TangDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, FrameDrawing, SawBlade
from catalog.tables.table import parse_rows

Row = dict[str, str]
_STEEL, _HRC = "1095", 57  # strength plays no part in the scores that are compared


def class_rows(name: str) -> list[Row]:
    """Rows of one of the tables of typical drawings beside this file."""
    return parse_rows((DATA / name).read_text("utf-8"), file=name).rows


def _some(row: Row, *fields: str) -> dict[str, float]:
    return {field: float(row[field]) for field in fields if row[field]}


def _handle(row: Row, material: str) -> HandleDrawing:
    return HandleDrawing(
        length_mm=float(row["handle_length_mm"]),
        width_mm=float(row["handle_width_mm"]),
        thickness_mm=float(row["handle_thickness_mm"]),
        material=material,
    )


def class_knife(row: Row) -> KnifeDrawing:
    """Drawing of a class of knife from its table row."""
    tang = {"kind": row["tang"]} | {
        field: float(row[column])
        for field, column in (
            ("cutout_pct", "cutout_pct"),
            ("width_mm", "tang_width_mm"),
            ("length_mm", "tang_length_mm"),
        )
        if row[column]
    }
    blade = {"grind": row["grind"]} | _some(
        row, "length_mm", "width_mm", "spine_mm", "grind_height_mm", "edge_angle_deg"
    )
    return KnifeDrawing(
        blade=BladeDrawing.model_validate(blade),
        steel=_STEEL,
        hardness_hrc=_HRC,
        tang=TangDrawing.model_validate(tang),
        handle=_handle(row, row["handle_material"]),
    )


def class_axe(row: Row) -> AxeDrawing:
    """Drawing of a class of axe from its table row."""
    size = _some(row, "head_mass_g", "bit_width_mm", "bit_reach_mm", "edge_angle_deg", "cheek_angle_deg")
    return AxeDrawing(**size, handle=_handle(row, "hickory"))


def _saw_blade(row: Row) -> SawBlade:
    size = _some(row, "length_mm", "width_mm", "thickness_mm", "kerf_mm", "tooth_pitch_mm", "tooth_depth_mm")
    return SawBlade.model_validate({"teeth": row["teeth"]} | size)


def class_saw(row: Row) -> FoldingSawDrawing | BowSawDrawing:
    """Drawing of a class of saw from its table row."""
    blade = _saw_blade(row)
    if row["form"] == "folding saw":
        return FoldingSawDrawing(
            blade=blade,
            handle=_handle(row, "nylon-glass"),
            handle_hollow_pct=float(row["handle_hollow_pct"]),
            hardware_g=float(row["hardware_g"]),
        )
    frame = {"material": row["frame_material"]} | _some(
        row, "outer_mm", "wall_mm", "clear_depth_mm", "leg_extra_mm", "hardware_g"
    )
    return BowSawDrawing(blade=blade, frame=FrameDrawing.model_validate(frame), takes_down=row["form"] == "bucksaw")


def class_designs() -> list[Design]:
    """Every class that has a typical drawing, under its tool id."""
    makers = (("class_knives.csv", class_knife), ("class_axes.csv", class_axe), ("class_saws.csv", class_saw))
    return [Design(id=row["tool_id"], drawing=draw(row)) for name, draw in makers for row in class_rows(name)]


def class_ratings() -> dict[str, Rating]:
    """Their ratings by tool id."""
    return {design.id: rate(design) for design in class_designs()}


def bare_designs() -> list[Design]:
    """Designs that read assumptions of every sort: gloves, a grade without data, hardness beyond the table."""
    knife = KnifeDrawing(
        blade=BladeDrawing(length_mm=150, width_mm=30, spine_mm=4),
        steel="D2",
        hardness_hrc=61,
        tang=TangDrawing(kind="full"),
        handle=HandleDrawing(length_mm=120, width_mm=26, thickness_mm=20, material="g10"),
    )
    strange = knife.model_copy(update={"steel": "mystery"})
    return [*class_designs(), Design(drawing=knife, gloves=True), Design(drawing=strange, kind="fixed knife")]
