"""Typical drawings of built-in tool classes, to hold the model's scores against the judged ones."""

from __future__ import annotations

from pathlib import Path

from catalog.axe_drawing import AxeDrawing
from catalog.blade import BladeDrawing
from catalog.handle import HandleDrawing
from catalog.knife import KnifeDrawing, TangDrawing
from catalog.rating import Label, Rating, rate_axe, rate_bow_saw, rate_folding_saw, rate_knife
from catalog.saw_drawing import BowSawDrawing, FoldingSawDrawing, FrameDrawing, SawBlade
from catalog.table import parse_rows

HERE = Path(__file__).parent
Row = dict[str, str]
_STEEL, _HRC = "1095", 57  # strength plays no part in the scores that are compared


def class_rows(name: str) -> list[Row]:
    """Rows of one of the tables of typical drawings beside this file."""
    return parse_rows((HERE / name).read_text("utf-8"), file=name).rows


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
    size = _some(row, "head_mass_g", "bit_width_mm", "bit_reach_mm", "edge_angle_deg")
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


def _rate_saw(row: Row, label: Label) -> Rating:
    saw = class_saw(row)
    return rate_folding_saw(saw, label) if isinstance(saw, FoldingSawDrawing) else rate_bow_saw(saw, label)


def class_ratings() -> dict[str, Rating]:
    """Ratings of every class that has a typical drawing, by tool id."""

    def label(row: Row) -> Label:
        return Label(id=row["tool_id"], name=row["tool_id"])

    knives = [rate_knife(class_knife(row), label(row)) for row in class_rows("class_knives.csv")]
    axes = [rate_axe(class_axe(row), label(row)) for row in class_rows("class_axes.csv")]
    saws = [_rate_saw(row, label(row)) for row in class_rows("class_saws.csv")]
    return {str(rating.row["id"]): rating for rating in [*knives, *axes, *saws]}
