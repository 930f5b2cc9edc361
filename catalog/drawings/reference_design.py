from __future__ import annotations

from functools import lru_cache

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.handle import HandleDrawing
from catalog.tables.table import read_rows


# judged: more than the reference designs there are
@lru_cache(maxsize=8)
def reference(tool: str) -> dict[str, float]:
    """Dimensions of one of the reference tools that score 10 (axe, bow saw, knife)."""
    return {
        row["field"]: float(row["value"]) for row in read_rows("drawings/reference_designs.csv") if row["tool"] == tool
    }


@lru_cache(maxsize=2)
def reference_axe(tool: str) -> AxeDrawing:
    """One of the reference axes, on hickory.

    Args:
        tool: ``axe``, the full axe that chops and splits at score 10, or ``hatchet``, the one that the
            published largest diameter is taken to mean.
    """
    size = reference(tool)
    return AxeDrawing(
        head_mass_g=size["head_mass_g"],
        bit_width_mm=size["bit_width_mm"],
        bit_reach_mm=size["bit_reach_mm"],
        edge_angle_deg=size["edge_angle_deg"],
        handle=HandleDrawing(
            length_mm=size["handle_length_mm"],
            width_mm=size["handle_width_mm"],
            thickness_mm=size["handle_thickness_mm"],
            material="hickory",
        ),
    )
