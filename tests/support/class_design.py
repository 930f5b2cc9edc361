"""Typical drawings of built-in tool classes, to hold the model's scores against the judged ones."""

from __future__ import annotations

from catalog.bench.design import Design
from catalog.bench.rating import Rating, rate
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.class_drawing import class_drawings
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.tang import TangDrawing
from catalog.tables.table import read_rows

Row = dict[str, str]


def class_rows(name: str) -> list[Row]:
    """Rows of one of the tables of typical drawings."""
    return read_rows(f"drawings/{name}")


def class_designs() -> list[Design]:
    """Every class that has a typical drawing, under its tool id."""
    return [Design(id=tool, drawing=drawing) for tool, drawing in class_drawings().items()]


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
