"""What physics alone says of a drawing: every score and largest diameter, on the scale of the catalog."""

from collections.abc import Iterator

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.rigid_body import RigidBody
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.scores import carve_model, chop_model, saw_model, split_model
from catalog.scores.derived_figure import Derivation, Figure
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, maximum, of_math

# judged: stands for 0 where a logarithm is taken; no tool is so slow
_NOTHING = 1e-9


def _derivations(
    drawing: KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing, body: RigidBody | None
) -> Iterator[Derivation]:
    if isinstance(drawing, FoldingSawDrawing | BowSawDrawing):
        yield from saw_model.sawing(drawing)
    elif body is not None and isinstance(drawing, KnifeDrawing):
        yield from split_model.knife_splitting(drawing, body)
        yield from carve_model.knife_carving(drawing, body)
        yield from chop_model.knife_chopping(drawing, body)
    elif body is not None and isinstance(drawing, AxeDrawing):
        yield from split_model.axe_splitting(drawing, body)
        yield from carve_model.axe_carving(drawing, body)
        yield from chop_model.axe_chopping(drawing, body)


def physical_figures(
    drawing: KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing,
    body: RigidBody | None,
    *,
    intervals: bool = True,
) -> list[Figure]:
    """Scores and largest diameters with their intervals.

    Args:
        drawing: a knife, an axe or a saw.
        body: mass, balance and inertia of a knife or axe; None for a saw.
        intervals: whether the intervals are reckoned; else each ends at its median.
    """
    return [one.figure(intervals=intervals) for one in _derivations(drawing, body)]


def ln_physical(
    drawing: KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing, body: RigidBody | None, ledger: Ledger[N]
) -> dict[str, N]:
    """Natural logarithm of each score and largest diameter [mm], by column, with the assumptions in force.

    Args:
        drawing: a knife, an axe or a saw.
        body: mass, balance and inertia of a knife or axe; None for a saw.
        ledger: reads and notes the assumptions, numbers or arrays of draws.

    Returns:
        A logarithm for each column; that of 1e-9 where the drawing can't do a task.
    """
    return {one.name: of_math("log", maximum(one.formula(ledger), _NOTHING)) for one in _derivations(drawing, body)}
