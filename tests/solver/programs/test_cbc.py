"""CBC beside HiGHS on small programs with every odd thing in them, and how its process ends.

No source: the two solvers are held against each other, and a cover against its published optimum (test_engine.py).
"""

import sys
from pathlib import Path
from random import Random
from threading import Event

import pulp
import pytest
from oracle import Row

from solver import Cancelled, Effort, plan
from solver.forms.quantity import Objective
from solver.programs.engine import Engine, Outcome, Status
from solver.programs.linear_model import Model

pytestmark = pytest.mark.quick

PROGRAMS = 60


def odd_program(rng: Random) -> tuple[Model, Objective]:
    """Columns that no row and no cost names, fixed ones, rows of nothing, rows that none can keep, and no cost."""
    model = Model()
    columns = []
    for _ in range(rng.randint(1, 5)):
        low, high = rng.choice((0.0, 0.0, 0.0, 1.0)), rng.choice((1.0, 1.0, 3.0))
        columns.append(model.column(low=low, high=rng.choice((low, high)), whole=rng.random() < 1 / 2))
    for _ in range(rng.randint(0, 4)):
        terms = [(one, rng.choice((-1.0, 1.0, 2.0, 0.0, 1e6, 0.5))) for one in columns if rng.random() < 1 / 2]
        side = rng.choice((0.0, 1.0, 2.0, -1.0, 1e6))
        model.row(terms, low=rng.choice((None, side)), high=rng.choice((None, side, side + 1)))
    return model, {one: rng.choice((0.0, 1.0, 2.0, 1e7)) for one in columns if rng.random() < 1 / 2}


def told(outcome: Outcome, cost: Objective) -> tuple[Status, float | None]:
    """The status, and the cost of the point."""
    values = outcome.values
    return outcome.status, None if values is None else round(sum(each * values[c] for c, each in cost.items()), 3)


def test_cbc_ends_where_highs_ends() -> None:
    """With a cost, then none, then the same cost again, which is how the aims of a kit follow each other."""
    statuses = []
    for number in range(PROGRAMS):
        found = []
        for solver in ("highs", "cbc"):
            model, cost = odd_program(Random(f"odd-{number}"))
            engine = Engine(model, solver=solver, effort=Effort())
            found.append([told(engine.minimise(one), one) for one in (cost, {}, cost)])
        assert found[0] == found[1], number
        statuses.append(found[0][0][0])
    assert min(statuses.count(status) for status in (Status.OPTIMAL, Status.INFEASIBLE)) >= PROGRAMS / 6


@pytest.mark.parametrize("mass_g", [0, 200])
@pytest.mark.parametrize("task", ["carve", "saw"])
def test_two_identical_saws_are_a_choice_for_cbc_too(task: str, mass_g: float) -> None:
    """They carve nothing: the task is uncovered, and the kit for the rest has no cost in any aim but the ids."""
    saw: Row = {"kind": "folding saw", "mass_g": mass_g, "saw_score": 5, "saw_max_mm": 100}
    trip = {
        "tasks": [{"task": task, "diameter_mm": 25}],
        "tools": [saw | {"id": "a"}, saw | {"id": "b"}],
        "field_methods": False,
    }
    by_highs, by_cbc = (plan(trip, effort=Effort(solver=solver)) for solver in ("highs", "cbc"))
    assert (by_cbc.status, by_cbc.kit, by_cbc.gaps) == (by_highs.status, by_highs.kit, by_highs.gaps)
    assert by_cbc.status == ("uncovered" if task == "carve" else "optimal")


def test_a_cbc_that_nobody_waits_for_is_ended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stand-in that never ends by itself; the caller leaves as soon as it runs."""
    started, cancelled = tmp_path / "started", Event()
    script = tmp_path / "cbc"
    script.write_text(
        f"#!{sys.executable}\nimport pathlib, signal\npathlib.Path({str(started)!r}).touch()\nsignal.pause()\n"
    )
    script.chmod(0o755)
    monkeypatch.setattr(pulp.PULP_CBC_CMD, "pulp_cbc_path", str(script))

    class Leaving(Event):
        """Set as soon as the process has started."""

        def is_set(self) -> bool:
            return cancelled.is_set() or started.exists()

    model = Model()
    cost = {model.column(low=0.0, high=1.0, whole=True): 1.0}
    with pytest.raises(Cancelled):
        Engine(model, solver="cbc", effort=Effort(solver="cbc", cancelled=Leaving())).minimise(cost)
