"""Laws that drawn scores keep, residual and all: no lookup, no cliff, more of a good thing helps.

All by common practice, no source, unless a test says more.
"""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from class_design import class_designs
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.drawings.axe_drawing import AxeDrawing, axe_body
from catalog.drawings.knife import KnifeDrawing, knife_body
from catalog.drawings.rigid_body import RigidBody
from catalog.scores.physical_score import ln_physical, physical_figures
from catalog.scores.residual import ln_residual
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick

DESIGNS = {one.id: one for one in class_designs()}
KNIVES = [
    one.id for one in DESIGNS.values() if isinstance(one.drawing, KnifeDrawing) and one.drawing.tang.kind == "full"
]
AXES = [one.id for one in DESIGNS.values() if isinstance(one.drawing, AxeDrawing)]
FOLDING = [name for name in DESIGNS if name.startswith("folding")]
FRAMES = [name for name in DESIGNS if name.startswith("b") and "saw" in name]
LEAST = 0.25  # judged: the score from which a drawn tool does a task


def body_of(design: Design) -> RigidBody | None:
    drawing = design.drawing
    if isinstance(drawing, KnifeDrawing):
        return knife_body(drawing)
    return axe_body(drawing) if isinstance(drawing, AxeDrawing) else None


def logs_of(design: Design) -> dict[str, float]:
    """Logarithms of the figures of a drawing that it can do, with the residual."""
    found = ln_physical(design.drawing, body_of(design), Ledger())
    able = {column: log for column, log in found.items() if log > math.log(1e-8)}
    return found | {column: log + ln_residual(design.drawing, column, log) for column, log in able.items()}


def score(design: Design, name: str) -> float:
    return math.exp(logs_of(design)[name])


def measures(values: dict[str, Any], path: str = "drawing") -> Iterator[tuple[str, float]]:
    for name, value in values.items():
        if isinstance(value, dict):
            yield from measures(value, f"{path}.{name}")
        elif isinstance(value, float) and value:
            yield f"{path}.{name}", value


@pytest.mark.parametrize("name", DESIGNS)
def test_two_percent_of_any_measure_move_each_score_by_less_than_five(name: str) -> None:
    design = DESIGNS[name]
    plain = logs_of(design)
    for path, value in measures(design.drawing.model_dump()):
        for factor in (0.98, 1.02):
            try:
                moved = design.varied({path: value * factor})
            except ValidationError:  # such a tool can't be drawn
                continue
            for column, found in logs_of(moved).items():
                if plain[column] > math.log(LEAST):
                    assert abs(math.expm1(found - plain[column])) < 0.05, (path, column)


# what more of a measure does to a score: path, column, sign, tools it is tried on
LAWS = [
    ("drawing.blade.spine_mm", "split_score", 1, KNIVES),
    ("drawing.blade.edge_angle_deg", "split_score", -1, KNIVES),
    ("drawing.blade.edge_angle_deg", "carve_score", -1, KNIVES),
    ("drawing.blade.edge_angle_deg", "chop_score", -1, KNIVES),
    # a thin blade made longer bends more under the baton: no law for machetes
    ("drawing.blade.length_mm", "split_max_mm", 1, [name for name in KNIVES if "machete" not in name]),
    ("drawing.blade.length_mm", "chop_score", 1, KNIVES),
    ("drawing.head_mass_g", "split_score", 1, AXES),
    ("drawing.handle.length_mm", "chop_score", 1, AXES),
    ("drawing.handle.length_mm", "split_score", 1, AXES),
    ("drawing.edge_angle_deg", "carve_score", -1, AXES),
    ("drawing.edge_angle_deg", "chop_score", -1, AXES),
    ("drawing.blade.kerf_mm", "saw_score", -1, FOLDING + FRAMES),
    ("drawing.blade.length_mm", "saw_max_mm", 1, FOLDING),
    ("drawing.blade.tooth_depth_mm", "saw_score", 1, FOLDING + FRAMES),
    ("drawing.frame.outer_mm", "saw_score", 1, FRAMES),
    ("drawing.frame.clear_depth_mm", "saw_score", -1, FRAMES),
]


@pytest.mark.parametrize(("path", "column", "sign", "tools"), LAWS, ids=[f"{law[0]}-{law[1]}" for law in LAWS])
@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_more_of_a_measure_moves_a_score_one_way(
    path: str, column: str, sign: int, tools: list[str], data: st.DataObject
) -> None:
    design = DESIGNS[data.draw(st.sampled_from(tools))]
    place: Any = design.drawing
    for step in path.split(".")[1:]:
        place = getattr(place, step)
    low = place * data.draw(st.floats(0.85, 1.2))
    high = low * data.draw(st.floats(1.01, 1.2))
    try:
        scores = [score(design.varied({path: value}), column) for value in (low, high)]
    except ValidationError:  # such a tool can't be drawn
        return
    assert sign * (scores[1] - scores[0]) >= -1e-9 * scores[0]


@settings(max_examples=25, deadline=None)
@given(length=st.floats(300, 650), step=st.floats(0.1, 2))
def test_no_millimetre_of_a_haft_makes_a_jump(length: float, step: float) -> None:
    design = DESIGNS["axe-small-680"]
    one, other = (design.varied({"drawing.handle.length_mm": mm}) for mm in (length, length + step))
    for column in ("chop_score", "split_score", "carve_score"):
        assert score(other, column) == pytest.approx(score(one, column), rel=0.01 * step)


@settings(max_examples=25, deadline=None)
@given(width=st.floats(6, 11), spine=st.floats(2, 6), length=st.floats(120, 350))
def test_no_rod_splits(width: float, spine: float, length: float) -> None:
    design = DESIGNS["long-knife-240"].varied(
        {"drawing.blade.width_mm": width, "drawing.blade.spine_mm": spine, "drawing.blade.length_mm": length}
    )
    assert rate(design).tool.split_score <= 1
    assert rate(design).tool.split_score < score(DESIGNS["long-knife-240"], "split_score") / 3


def test_logarithms_are_those_of_the_figures_and_take_draws() -> None:
    draws = np.array([0.2, 0.25, 0.3])
    for name in ("long-knife-240", "hatchet-454", "folding-saw-210", "bow-saw-610"):
        design = DESIGNS[name]
        figures = {one.name: one.value for one in physical_figures(design.drawing, body_of(design))}
        logs = ln_physical(design.drawing, body_of(design), Ledger())
        assert logs == pytest.approx({column: math.log(value) for column, value in figures.items()})
        drawn = ln_physical(design.drawing, body_of(design), Ledger[Any]({"wood_friction": draws}))
        assert [float(np.broadcast_to(one, 3)[1]) for one in drawn.values()] == pytest.approx([*logs.values()])


def test_what_a_drawing_can_not_do_has_the_logarithm_of_nothing() -> None:
    hidden = DESIGNS["fixed-knife-90-hidden"]
    assert ln_physical(hidden.drawing, body_of(hidden), Ledger())["split_score"] == pytest.approx(math.log(1e-9))


def test_a_rated_figure_is_physics_times_the_residual() -> None:
    for design in DESIGNS.values():
        logs = logs_of(design)
        for one in rate(design).scores:
            assert one.value == pytest.approx(math.exp(logs[one.name]) if one.physical else 0)


def test_intervals_are_log_normal_and_hold_their_median() -> None:
    for design in DESIGNS.values():
        for one in rate(design).scores:
            assert (one.low < one.value < one.high) == (one.value > 0)
            if one.value:
                assert one.value / one.low == pytest.approx(one.high / one.value)
                (part,) = one.parts
                assert (part.source, part.weight) == ("drawn", 1)
                assert (part.low, part.median, part.high) == (one.low, one.value, one.high)
