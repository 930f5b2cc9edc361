"""What a solver says of a model, and what is told of it: a stop is never told as "there is none".

Covers of 9 points: Fulkerson, Nemhauser, Trotter 1974, as in test_engine.py.
"""

from pathlib import Path

import numpy as np
import pulp
import pytest
from oracle import Row
from steiner import affine_plane_9, incidence
from test_engine import stopped_at

from solver import Effort, Trip, front, lightest, plan
from solver.forms.effort import SolverName
from solver.programs.engine import Engine, Status
from solver.programs.linear_model import Model

pytestmark = pytest.mark.quick

BEST_9 = 5
# What CBC 2.10.3 writes where its time ends while it preprocesses.
STOPPED_IN_PREPROCESSING = "Integer infeasible - objective value 3.00000000"
BY_HIGHS = Effort(solver="highs")


def cbc_that_says(first_line: str, *, folder: Path, monkeypatch: pytest.MonkeyPatch, code: int = 0) -> None:
    """CBC as it is, but for the first line of its solution file, and the code with which it ends."""
    script = folder / "cbc"
    script.write_text(
        f"""#!/bin/sh
{pulp.PULP_CBC_CMD.pulp_cbc_path} "$@"
for word; do
  [ "$before" = -solution ] && sed -i '1s/.*/{first_line}/' "$word"
  before=$word
done
exit {code}
"""
    )
    script.chmod(0o755)
    monkeypatch.setattr(pulp.PULP_CBC_CMD, "pulp_cbc_path", str(script))


def test_what_cbc_calls_infeasible_is_told_only_where_it_is_proven(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A cover that there is, one that there is not, and no time for a second look."""
    able = incidence(affine_plane_9())
    cbc_that_says(STOPPED_IN_PREPROCESSING, folder=tmp_path, monkeypatch=monkeypatch)
    cover = lightest(np.ones(9), able, effort=Effort(solver="cbc"))
    assert (cover.status, cover.mass) == ("optimal", BEST_9)
    assert lightest(np.ones(9), able, 4, effort=Effort(solver="cbc")).status == "uncovered"
    assert lightest(np.ones(9), able, effort=Effort(solver="cbc", seconds=1e-9)).status == "feasible"


@pytest.mark.parametrize("said", ["Optimal", "Unbounded - objective value 0", "Status unknown - objective value 0", ""])
@pytest.mark.parametrize("code", [0, 3])
def test_nothing_rests_on_what_cbc_says(said: str, code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It only proposes where to start: the proof is the same without it, also where it breaks off."""
    cbc_that_says(said, folder=tmp_path, monkeypatch=monkeypatch, code=code)
    cover = lightest(np.ones(9), incidence(affine_plane_9()), effort=Effort(solver="cbc"))
    assert (cover.status, cover.mass, cover.bound) == ("optimal", BEST_9, BEST_9)
    assert lightest(np.ones(9), incidence(affine_plane_9()), 5, effort=Effort(solver="cbc")).status == "uncovered"


@pytest.mark.parametrize("solver", ["highs", "cbc"])
def test_a_point_keeps_its_row_to_the_last_digit(solver: SolverName) -> None:
    """Eight digits of a point would break a row that holds the cost at what it came to."""
    model = Model()
    first, second = model.column(high=None), model.column(high=None)
    model.row([(first, 0.5), (second, 0.5)], low=1.00619086882)
    engine = Engine(model, solver=solver, effort=Effort())
    outcome = engine.minimise({first: 3.0, second: 4.0})
    assert outcome.status is Status.OPTIMAL
    assert outcome.values == pytest.approx([2 * 1.00619086882, 0.0], rel=1e-12)
    assert outcome.bound == pytest.approx(6 * 1.00619086882, rel=1e-12)


@pytest.mark.parametrize("solve", range(2, 6))
def test_limits_give_way_in_their_order_or_nothing_is_said(solve: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A solve stopped without a kit does not make money give way where grams would do, but where nothing is settled."""
    saw: Row = {"kind": "bow saw", "saw_score": 5, "saw_max_mm": 200}
    tools = [saw | {"id": "a", "mass_g": 500, "price": 10}, saw | {"id": "b", "mass_g": 300, "price": 50}]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}], "tools": tools, "field_methods": False}
    form = Trip.model_validate({"detail": "kit"} | trip | {"limits": {"mass_g": 400, "price": 20}})
    with stopped_at(solve, keep_point=False, monkeypatch=monkeypatch):
        answer = plan(form, effort=BY_HIGHS)
    (gap,) = answer.gaps
    if "kit" in answer.not_settled:  # greed found the lighter saw
        assert gap.text.startswith("No kit found within the allowed effort keeps the limit of 20 on the price: ")
        assert not answer.proof.checked
    else:
        assert (gap.field, gap.short_by) == ("mass_g", 100)


def test_a_limit_whose_relief_was_not_proven_is_not_called_the_least(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each solve in turn is cut short with the point it had; one of them is that of the least grams."""
    saw: Row = {"id": "a", "kind": "bow saw", "mass_g": 500, "saw_score": 5, "saw_max_mm": 200}
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}], "tools": [saw], "field_methods": False, "detail": "kit"}
    form = Trip.model_validate(trip | {"limits": {"mass_g": 400}})
    said = set()
    for solve in range(1, 6):
        with stopped_at(solve, keep_point=True, monkeypatch=monkeypatch):
            (gap,) = plan(form, effort=BY_HIGHS).gaps
        said.add(gap.text)
    assert said == {
        f"No kit keeps the limit of 400 g on packed mass: {least} is 500 g, with all other rules kept."
        for least in ("the least that works", "the least value found within the allowed effort")
    }


def test_a_front_with_a_price_that_was_not_proven_is_not_called_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two saws of one mass: that the dearer is the cheapest for its grams was never proven."""
    saw: Row = {"kind": "bow saw", "mass_g": 300, "saw_score": 5, "saw_max_mm": 200}
    tools = [saw | {"id": "a", "price": 90}, saw | {"id": "b", "price": 20}]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}], "tools": tools, "field_methods": False}
    whole = front(trip, against="price", effort=BY_HIGHS)
    assert (whole.status, [point.ids for point in whole.points]) == ("optimal", [["b"]])
    for solve in range(2, 8):
        with stopped_at(solve, keep_point=False, monkeypatch=monkeypatch):
            cut = front(trip, against="price", effort=BY_HIGHS)
        assert cut.status == "feasible" or cut.points == whole.points, solve
