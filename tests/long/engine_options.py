"""Count the false optima of solvers by sets of options: `python tests engine_options [--programs N] [SET ...]`.

Every program is asked raw, without a second look at what is offered. `missed` are answers that are wrong: no optimum
where one is, one that weighs more than the least, or a solver that breaks off. `let through` are kits that break a
rule by less than a tolerance; these are caught by the check in whole numbers and cost one more solve.
Run by hand; a slice of it is `tests/solver/programs/test_engine_options.py`.
"""

import argparse
import math
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from typing import Any
from unittest.mock import patch

from limit_programs import KINDS, Asked, asked

from solver import Effort
from solver.forms.effort import SolverName
from solver.programs import engine as engine_module
from solver.programs.engine import BrokenOff, Engine, Status
from solver.programs.linear_model import Row

CHUNK = 100
NODES = 20_000

Scaling = Callable[[Row], Row]


def by_power(row: Row, size: float) -> Row:
    """The row with a size brought to between 1 and 2."""
    factor = 2.0 ** -math.floor(math.log2(size))
    low, high = (None if side is None else side * factor for side in (row.low, row.high))
    return replace(row, coefficients=tuple(value * factor for value in row.coefficients), low=low, high=high)


def side_of(row: Row) -> float:
    """The larger side of a row."""
    return max(abs(side) for side in (row.low or 0.0, row.high or 0.0))


def by_side(row: Row) -> Row:
    """By the side alone, so that rows of 0 stay as they are."""
    return by_power(row, max(side_of(row), 1.0))


def by_largest(row: Row) -> Row:
    """By the largest figure in the row."""
    return by_power(row, max(map(abs, row.coefficients), default=1.0))


def by_side_or_largest(row: Row) -> Row:
    """By the side, and where that is 0 by the largest coefficient."""
    return by_power(row, side_of(row)) if side_of(row) else by_largest(row)


def by_middle(row: Row) -> Row:
    """By the geometric mean of the smallest and largest coefficient."""
    sizes = [abs(value) for value in row.coefficients] or [1.0]
    return by_power(row, math.sqrt(min(sizes) * max(sizes)))


def unscaled(row: Row) -> Row:
    """As it is."""
    return row


TOLERANCES = ("mip_feasibility_tolerance", "primal_feasibility_tolerance")
FINE: dict[str, Any] = {
    "mip_feasibility_tolerance": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
    "mip_heuristic_run_feasibility_jump": False,
    "random_seed": 0,
}
USUAL: dict[str, Any] = {"random_seed": 0}
QUIET = USUAL | {"mip_heuristic_run_feasibility_jump": False}
ROWS_FINE = QUIET | {"primal_feasibility_tolerance": 1e-9}
SETS: dict[str, tuple[dict[str, Any], Scaling]] = {
    "fine, rows by side (before)": (FINE, by_side),
    "fine, rows of 0 too": (FINE, by_side_or_largest),
    "fine, rows by largest": (FINE, by_largest),
    "usual, rows as they are": (USUAL, unscaled),
    "usual, rows of 0 too": (USUAL, by_side_or_largest),
    "usual, rows by largest": (USUAL, by_largest),
    "usual, rows by middle": (USUAL, by_middle),
    "no jump, rows of 0 too": (QUIET, by_side_or_largest),
    "rows fine, rows of 0 too": (ROWS_FINE, by_side_or_largest),
    "rows fine, rows by largest": (ROWS_FINE, by_largest),
    "rows fine, by largest, no presolve": (ROWS_FINE | {"presolve": "off"}, by_largest),
    "rows fine, of 0 too, no symmetry": (ROWS_FINE | {"mip_detect_symmetry": False}, by_side_or_largest),
    "rows 1e-8, rows of 0 too": (QUIET | {"primal_feasibility_tolerance": 1e-8}, by_side_or_largest),
    "fine, by largest, no presolve": (FINE | {"presolve": "off"}, by_largest),
    "fine, by largest, no symmetry": (FINE | {"mip_detect_symmetry": False}, by_largest),
    "whole 1e-8, rows by largest": (FINE | {"mip_feasibility_tolerance": 1e-8}, by_largest),
    "whole 1e-7, rows by largest": (FINE | {"mip_feasibility_tolerance": 1e-7}, by_largest),
    "whole 1e-7, rows by middle": (FINE | {"mip_feasibility_tolerance": 1e-7}, by_middle),
    "all 1e-7, rows by largest": (FINE | dict.fromkeys(TOLERANCES, 1e-7), by_largest),
}


@contextmanager
def put_in_force(name: str) -> Iterator[None]:
    """Give the engine a set of options and a way to scale rows, while it lasts; `in force` is what it has."""
    if name == "in force":
        yield
        return
    options, scaling = SETS[name]
    with patch.object(engine_module, "HIGHS_OPTIONS", options), patch.object(Row, "scaled", scaling):
        yield


def answered(one: Asked, solver: SolverName) -> str:
    """How a solver's answer to a program stands to its optimum."""
    try:
        outcome = Engine(one.model, solver=solver, effort=Effort(nodes=NODES, seconds=3600)).minimise(one.cost)
    except BrokenOff:
        return "missed"
    if outcome.status is Status.STOPPED:
        return "stopped"
    if outcome.values is None:
        return "right" if one.least is None else "missed"
    worth = one.worth(outcome.values)
    if worth is None:
        return "let through"
    return "right" if worth == one.least else "missed"


def counted(job: tuple[list[str], SolverName, str, range]) -> tuple[dict[str, Counter[str]], list[str]]:
    """How the answers to some programs stand by each set of options, and which are wrong."""
    names, solver, kind, numbers = job
    found: dict[str, Counter[str]] = {name: Counter() for name in names}
    wrong = []
    for number in numbers:
        one = asked(kind, number)
        for name in names:
            with put_in_force(name):
                how = answered(one, solver)
            found[name][how] += 1
            if how in {"missed", "stopped"}:
                wrong.append(f"{name}: {kind}-{number} {how}")
    return found, wrong


def main() -> None:
    """Print a table: for each set of options and each kind, missed / let through."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sets", nargs="*", default=["in force"], help="`all`, or some of: " + "; ".join(SETS))
    parser.add_argument("--programs", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0, help="the number of the first: others are other programs")
    parser.add_argument("--solver", choices=("highs", "cbc"), default="highs")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--kinds", nargs="*", default=list(KINDS))
    given = parser.parse_args()
    names = ["in force", *SETS] if given.sets == ["all"] else given.sets
    print(f"{given.programs} programs of each kind, by {given.solver}: missed / let through")
    columns = {}
    with ProcessPoolExecutor(given.processes) as pool:
        for kind in given.kinds:
            numbers = range(given.first, given.first + given.programs)
            starts = range(0, len(numbers), CHUNK)
            jobs = [(names, given.solver, kind, numbers[at : at + CHUNK]) for at in starts]
            totals: dict[str, Counter[str]] = {name: Counter() for name in names}
            for found, wrong in pool.map(counted, jobs):
                for name in names:
                    totals[name] += found[name]
                print(*wrong[:20], sep="\n", end="\n" * bool(wrong), file=sys.stderr)
            cells = {n: f"{t['missed'] + t['stopped']} / {t['let through']}" for n, t in totals.items()}
            columns[kind] = cells
            print(kind, cells, file=sys.stderr, flush=True)
    print(f"{'options':38}", *(f"{kind:>13}" for kind in given.kinds))
    for name in names:
        print(f"{name:38}", *(f"{columns[kind][name]:>13}" for kind in given.kinds))


if __name__ == "__main__":
    main()
