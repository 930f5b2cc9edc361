"""The one file that knows PuLP: hands a model to HiGHS in process, or to CBC, and reads the outcome.

PuLP calls a solve that its limit stopped "Optimal", and leaves unsolved columns at 0.0; so the outcome is
read from the solver's own status, and values are given only where there is a point.
"""

import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import accumulate
from math import frexp
from pathlib import Path
from time import monotonic
from typing import Any

import highspy
import numpy as np
import pulp

from catalog.tables.number import Floats
from solver.forms.effort import Effort
from solver.forms.quantity import Objective
from solver.model.case import Ints
from solver.model.linear_model import Model, Row

_THREADS = 1  # HiGHS fixes its scheduler at first use: one constant count in the whole process
_COST_BITS = 24  # judged: masses of tools are below 2**24 x 0.01 g
_FEASIBILITY = 1e-9  # masses run to millions of 0.01 g: a column off by more could hide a unit


class Status(StrEnum):
    """How a solve ended."""

    OPTIMAL = "optimal"
    STOPPED = "stopped"
    INFEASIBLE = "infeasible"


@dataclass(frozen=True)
class Outcome:
    """The end of a solve: status, point (None where there is none), and the proven bound."""

    status: Status
    values: Sequence[float] | None
    bound: float | None


_NOTHING_KNOWN = Outcome(Status.STOPPED, None, None)


class Engine:
    """A model ready to be minimised again and again, with rows added in between."""

    def __init__(self, model: Model, *, solver: str, effort: Effort) -> None:
        self.solver = solver
        self.effort = effort
        self.problem = pulp.LpProblem("kit", pulp.LpMinimize)
        self.columns = [self.add_column(index, column) for index, column in enumerate(model.columns)]
        for row in model.rows:
            self.add_row(row)

    def add_column(self, index: int, column: Any) -> Any:
        """Add one unknown; its name keeps PuLP's order, which is that of names."""
        kind = pulp.LpInteger if column.whole else pulp.LpContinuous
        return self.problem.add_variable(f"c{index:07d}", column.low, column.high, kind)

    def add_row(self, row: Row) -> None:
        """Add one rule, as one or two of PuLP's constraints."""
        row = row.scaled()
        if row.low is not None and row.low == row.high:
            self.add_side(row, pulp.LpConstraintEQ, row.low)
            return
        if row.low is not None:
            self.add_side(row, pulp.LpConstraintGE, row.low)
        if row.high is not None:
            self.add_side(row, pulp.LpConstraintLE, row.high)

    def add_side(self, row: Row, sense: int, bound: float) -> None:
        """Add one side of a rule."""
        terms = zip((self.columns[column] for column in row.columns), row.coefficients, strict=True)
        self.problem.addConstraint(pulp.LpConstraint(pulp.LpAffineExpression(dict(terms)), sense, rhs=bound))

    def minimise(self, cost: Objective) -> Outcome:
        """Return the least point of this cost under all rows so far.

        Raises:
            Cancelled: nobody waits for it.
        """
        scale = _scale_of(cost)
        objective = {self.columns[column]: value * scale for column, value in cost.items()}
        self.problem.setObjective(pulp.LpAffineExpression(objective))
        if not self.columns:
            return self.empty()
        outcome = self.solved()
        return outcome if outcome.bound is None else replace(outcome, bound=outcome.bound / scale)

    def solved(self) -> Outcome:
        """Return the outcome of the problem as it stands, unless it was cancelled."""
        self.effort.go_on()
        solve = _by_cbc if self.solver == "cbc" else _by_highs
        outcome = solve(self.problem, self.columns, self.effort)
        self.effort.go_on()
        if self.effort.on_solve is not None:
            self.effort.on_solve()
        return outcome

    def empty(self) -> Outcome:
        """Return the outcome of a model without columns: every rule must hold for nothing at all."""
        if all(constraint.valid() for constraint in self.problem.constraints()):
            return Outcome(Status.OPTIMAL, [], 0.0)
        return Outcome(Status.INFEASIBLE, None, None)


def _scale_of(cost: Objective) -> float:
    """Return the power of two that brings costs far above those of masses down to them; it changes no digit."""
    largest = max(map(abs, cost.values()), default=0.0)
    return 2.0 ** -max(0, frexp(largest)[1] - _COST_BITS)


class BrokenOff(RuntimeError):
    """The solver ended without saying anything of the model."""


class _BulkHighs(pulp.HiGHS):  # type: ignore[misc]
    """PuLP's HiGHS, with the model handed over in one call and the outcome read from HiGHS itself."""

    unknowns: Sequence[Any]
    outcome: Outcome

    def buildSolverModel(self, lp: Any) -> None:
        """Hand the whole model over."""
        variables = self.unknowns  # lp.variables() leaves out those that no row and no cost names
        for index, variable in enumerate(variables):
            variable.index = index
        bulk = highspy.HighsLp()
        bulk.num_col_, bulk.num_row_ = len(variables), len(lp.constraints())
        bulk.col_cost_ = [lp.objective.get(variable, 0.0) for variable in variables]
        bulk.col_lower_ = [variable.lowBound for variable in variables]
        bulk.col_upper_ = [
            highspy.kHighsInf if variable.upBound is None else variable.upBound for variable in variables
        ]
        bulk.integrality_ = [
            highspy.HighsVarType.kInteger if variable.cat == pulp.LpInteger else highspy.HighsVarType.kContinuous
            for variable in variables
        ]
        _fill_rows(bulk, lp.constraints())
        lp.solverModel.passModel(bulk)

    def findSolutionValues(self, lp: Any) -> tuple[int, int]:
        """Read status, point and bound; PuLP's own table has no entry for a node limit."""
        highs = lp.solverModel
        info = highs.getInfo()
        has_point = info.primal_solution_status == int(highspy.SolutionStatus.kSolutionStatusFeasible)
        values = list(highs.getSolution().col_value) if has_point else None
        self.outcome = Outcome(_highs_status(highs, has_point), values, _highs_bound(highs, info))
        return pulp.LpStatusNotSolved, pulp.LpSolutionNoSolutionFound


class Rerun:
    """A linear program that HiGHS keeps, minimised again and again within other bounds.

    It goes round PuLP, which would hand the model over anew each time, and starts from where the time before ended.
    """

    def __init__(self, model: Model, cost: Objective) -> None:
        """Hand the model over.

        Args:
            model: columns, none of them whole, and rows.
            cost: what is minimised.
        """
        bulk = highspy.HighsLp()
        bulk.num_col_, bulk.num_row_ = len(model.columns), len(model.rows)
        bulk.col_cost_ = [cost.get(column, 0.0) for column in range(len(model.columns))]
        bulk.col_lower_ = [column.low for column in model.columns]
        bulk.col_upper_ = [highspy.kHighsInf if column.high is None else column.high for column in model.columns]
        rows = [row.scaled() for row in model.rows]
        bulk.row_lower_ = [-highspy.kHighsInf if row.low is None else row.low for row in rows]
        bulk.row_upper_ = [highspy.kHighsInf if row.high is None else row.high for row in rows]
        bulk.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        bulk.a_matrix_.start_ = [0, *accumulate(len(row.columns) for row in rows)]
        bulk.a_matrix_.index_ = [column for row in rows for column in row.columns]
        bulk.a_matrix_.value_ = [value for row in rows for value in row.coefficients]
        self.highs = highspy.Highs()
        for name, value in (
            ("output_flag", False),
            ("threads", _THREADS),
            ("primal_feasibility_tolerance", _FEASIBILITY),
        ):
            self.highs.setOptionValue(name, value)
        self.highs.passModel(bulk)

    def least(self, columns: Ints, upper: Floats, rows: Ints, highest: Floats) -> float | None:
        """Return the least cost, or None where HiGHS can't tell.

        Args:
            columns: whose upper bounds are set; the lower ones become 0.
            upper: those bounds.
            rows: whose upper sides are set; the lower ones are left open.
            highest: those sides.
        """
        self.highs.changeColsBounds(len(columns), columns, np.zeros(len(columns)), upper)
        self.highs.changeRowsBounds(len(rows), rows, np.full(len(rows), -highspy.kHighsInf), highest)
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        return float(self.highs.getInfo().objective_function_value)

    def prices(self) -> tuple[Floats, Floats]:
        """Return the reduced cost of each column and the price of each row at the last optimum."""
        found = self.highs.getSolution()
        return np.array(found.col_dual), np.array(found.row_dual)


def _fill_rows(bulk: Any, constraints: Sequence[Any]) -> None:
    """Write the constraints into the bulk model, row by row."""
    starts, indices, coefficients = [0], [], []
    lower, upper = [], []
    for constraint in constraints:
        for variable, coefficient in constraint.items():
            indices.append(variable.index)
            coefficients.append(coefficient)
        starts.append(len(indices))
        low, high = constraint.getLb(), constraint.getUb()
        lower.append(-highspy.kHighsInf if low is None else low)
        upper.append(highspy.kHighsInf if high is None else high)
    bulk.row_lower_, bulk.row_upper_ = lower, upper
    bulk.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    bulk.a_matrix_.start_, bulk.a_matrix_.index_ = starts, indices
    bulk.a_matrix_.value_ = coefficients


def _highs_status(highs: Any, has_point: bool) -> Status:
    """Return how HiGHS ended."""
    status = highs.getModelStatus()
    if status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kModelEmpty):
        return Status.OPTIMAL
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return Status.INFEASIBLE
    limits = (
        highspy.HighsModelStatus.kTimeLimit,
        highspy.HighsModelStatus.kSolutionLimit,
        highspy.HighsModelStatus.kIterationLimit,
    )
    if status in limits or has_point:
        return Status.STOPPED
    raise BrokenOff(f"the solver ended with {status}")


def _highs_bound(highs: Any, info: Any) -> float | None:
    """Return the bound that HiGHS has proven: of the branch and bound, or the optimum of a plain program."""
    whole = any(kind == highspy.HighsVarType.kInteger for kind in highs.getLp().integrality_)
    bound = info.mip_dual_bound if whole else info.objective_function_value
    return None if abs(bound) >= highspy.kHighsInf else float(bound)


def _by_highs(problem: Any, columns: Sequence[Any], effort: Effort) -> Outcome:
    """Solve in process; where HiGHS breaks off in its presolve, once more without it.

    Raises:
        RuntimeError: HiGHS breaks off again.
    """
    try:
        return _one_solve(problem, columns, effort, presolve="choose")
    except BrokenOff:
        return _one_solve(problem, columns, effort, presolve="off")


def _one_solve(problem: Any, columns: Sequence[Any], effort: Effort, *, presolve: str) -> Outcome:
    """Solve in process, with or without HiGHS's presolve."""
    solver = _BulkHighs(
        presolve=presolve,
        msg=False,
        threads=_THREADS,
        gapRel=0.0,
        timeLimit=effort.seconds,
        mip_max_nodes=effort.nodes,
        mip_feasibility_tolerance=_FEASIBILITY,
        primal_feasibility_tolerance=_FEASIBILITY,
        mip_heuristic_run_feasibility_jump=False,
        random_seed=0,
        **_interruptible(effort),
    )
    solver.unknowns = columns
    problem.solve(solver)
    return solver.outcome


def _interruptible(effort: Effort) -> dict[str, Any]:
    """Return what lets an cancelled solve end within milliseconds, where anyone may cancel it."""
    cancelled = effort.cancelled
    if cancelled is None:
        return {}

    def look(_: Any, __: str, ___: Any, told: Any, ____: Any) -> None:
        if cancelled.is_set():
            told.user_interrupt = True

    kinds = highspy.cb.HighsCallbackType
    return {
        "callbackTuple": (look, None),
        "callbacksToActivate": [kinds.kCallbackMipInterrupt, kinds.kCallbackSimplexInterrupt],
    }


def _by_cbc(problem: Any, columns: Sequence[Any], effort: Effort) -> Outcome:
    """Solve by the CBC that PuLP bundles; what it calls infeasible, HiGHS must prove in the time that is left.

    CBC also says "infeasible" where its time ran out in preprocessing, or its tolerance was too fine for it.

    Raises:
        BrokenOff: CBC ends without an outcome.
    """
    start = monotonic()
    solver = _ExactCbc(effort)
    problem.solve(solver)
    if not solver.said.startswith(("Infeasible", "Integer infeasible")):
        return _cbc_outcome(solver, columns, problem)
    left = effort.seconds - (monotonic() - start)
    return _by_highs(problem, columns, replace(effort, seconds=left)) if left > 0 else _NOTHING_KNOWN


class _ExactCbc(pulp.LpSolver_CMD):  # type: ignore[misc]
    """CBC in a process and a folder of its own, which only its limits end.

    PuLP's own reads the point from CBC's text, where it has 8 digits: too few for rows held within 1e-9.

    Attributes:
        said: the line in which CBC told how it ended.
        point: the value of each column that reached CBC, by name.
    """

    said: str
    point: dict[str, float]

    def __init__(self, effort: Effort) -> None:
        super().__init__(path=pulp.PULP_CBC_CMD.pulp_cbc_path, msg=False)
        self.effort = effort

    def actualSolve(self, lp: Any) -> int:
        """Hand the model over in a file, and read from files how it ended, and the point."""
        with tempfile.TemporaryDirectory(prefix="kitwright-") as folder:
            model, told, point = (Path(folder) / name for name in ("model.mps", "told.txt", "point.bin"))
            written, *_ = lp.writeMPS(str(model), rename=1)
            command = [self.path, model, *self.limits(), "-solve", "-solution", told, "-saveSolution", point]
            ended = subprocess.run(command, cwd=folder, stdin=subprocess.DEVNULL, capture_output=True, check=False)
            if ended.returncode or not (told.exists() and point.exists()):
                raise BrokenOff(f"CBC ended with {ended.returncode} and without an outcome")
            self.said = told.read_text("ascii").partition("\n")[0]
            self.point = dict(zip((column.name for column in written), _cbc_point(point).tolist(), strict=True))
        return int(pulp.LpStatusNotSolved)

    def limits(self) -> list[str]:
        """Return CBC's options: tolerances and limits."""
        options = {
            "-primalTolerance": _FEASIBILITY,
            "-integerTolerance": _FEASIBILITY,
            "-ratio": 0.0,
            "-threads": _THREADS,
            "-timeMode": "elapsed",
            "-maxNodes": self.effort.nodes,
            "-sec": self.effort.seconds,
        }
        return [str(word) for option in options.items() for word in option]


def _cbc_point(path: Path) -> Floats:
    """Return the columns of CBC's binary file: two counts, the cost, rows and their prices, columns, reduced costs."""
    content = path.read_bytes()
    rows, columns = np.frombuffer(content, dtype=np.int32, count=2).tolist()
    return np.frombuffer(content, dtype=np.float64, offset=16, count=2 * rows + columns)[2 * rows :]


def _cbc_outcome(solver: _ExactCbc, columns: Sequence[Any], problem: Any) -> Outcome:
    """Return how CBC ended, unless infeasible; its bound is known only where it proved the optimum.

    A column that no row and no cost names never reached CBC and stays at its least. A stopped solve without
    whole-number columns has no point that keeps the rows.
    """
    values = [solver.point.get(column.name, column.lowBound) for column in columns]
    if solver.said.startswith("Optimal"):
        cost = sum(problem.objective.get(column, 0.0) * value for column, value in zip(columns, values, strict=True))
        return Outcome(Status.OPTIMAL, values, cost)
    if solver.said.startswith("Stopped") and "no integer solution" not in solver.said and problem.isMIP():
        return Outcome(Status.STOPPED, values, None)
    return _NOTHING_KNOWN
