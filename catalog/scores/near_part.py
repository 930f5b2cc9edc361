"""What the built-in rows near a drawing say of it beyond what all classes teach: a factor on a drawn figure.

A row is what was judged of a class and what its typical drawing comes to without it, joined; so at that drawing the
figure is the row's, and the farther a drawing lies from all classes the less they say. Between them the logarithm is
kriged: a sum of Matern functions of order 5/2, one at each class, of the distance in the logarithms of a few measures.
Measures whose laws physics holds but weakly count half, so that the laws still hold.

Source: Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, equation 2.23 (from memory).
"""

import math
from collections.abc import Mapping
from functools import cache

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.maths.near_field import likeness
from catalog.tables.table import read_rows

_Drawing = KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing
# judged: how far in the logarithm of its measures a class is like another; nearer or farther foretells no better
_REACH = 0.5
# judged: share of a distance with which a measure counts; the others count whole
_HALF = {"length_mm": 0.5, "edge_angle_deg": 0.5, "haft_mm": 0.5}


def near_measures(drawing: _Drawing) -> dict[str, float]:
    """Return the measures by which drawings of one form lie near each other [mm, g or degrees].

    Frame saws have none: laws bind all that their scores go by.
    """
    if isinstance(drawing, KnifeDrawing):
        blade = drawing.blade
        shape = {"width_mm": blade.width_mm, "spine_mm": blade.spine_mm, "edge_angle_deg": blade.edge_angle_deg}
        return {"length_mm": blade.length_mm} | shape
    if isinstance(drawing, AxeDrawing):
        head = {"head_mass_g": drawing.head_mass_g, "bit_mm": drawing.bit_width_mm}
        return head | {"haft_mm": drawing.handle.length_mm, "edge_angle_deg": drawing.edge_angle_deg}
    if isinstance(drawing, FoldingSawDrawing):
        plate = drawing.blade
        return {"length_mm": plate.length_mm, "width_mm": plate.width_mm, "thickness_mm": plate.thickness_mm}
    return {}


def near_place(measures: Mapping[str, float]) -> tuple[float, ...]:
    """Return where a drawing of these measures lies among others of its form [-], in the order of the measures."""
    return tuple(_HALF.get(name, 1.0) * math.log(value) / _REACH for name, value in measures.items())


def ln_near(drawing: _Drawing, column: str) -> float:
    """Return the logarithm of the factor that near rows put on a drawn figure.

    Args:
        drawing: a knife, an axe or a saw.
        column: of the catalog row.
    """
    rows = _weights().get((drawing.form, column))
    if not rows:
        return 0.0
    place = near_place(near_measures(drawing))
    return math.fsum(weight * likeness(place, _places()[tool]) for tool, weight in rows)


@cache
def _weights() -> Mapping[tuple[str, str], tuple[tuple[str, float], ...]]:
    found: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for row in read_rows("scores/near_weights.csv"):
        found.setdefault((row["form"], row["column"]), []).append((row["tool_id"], float(row["weight"])))
    return {key: tuple(rows) for key, rows in found.items()}


@cache
def _places() -> Mapping[str, tuple[float, ...]]:
    found: dict[str, dict[str, float]] = {}
    for row in read_rows("scores/near_measures.csv"):
        found.setdefault(row["tool_id"], {})[row["measure"]] = float(row["value"])
    return {tool: near_place(measures) for tool, measures in found.items()}
