"""The one file that knows PuLP: hands a model to HiGHS in process, or to CBC, and reads the outcome.

PuLP calls a solve that its limit stopped "Optimal", and leaves unsolved columns at 0.0; so the outcome is
read from the solver's own status, and values are given only where there is a point.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import accumulate
from math import frexp, inf
from typing import Any

import highspy
import numpy as np
import pulp

from catalog.tables.number import Floats, Ints
from solver.exact.highs import THREADS, quiet_highs
from solver.forms.effort import Effort
from solver.forms.quantity import Objective
from solver.programs.cbc import Said, Tableau, run_cbc
from solver.programs.linear_model import Model, Row

_COST_BITS = 24  # judged: masses of tools are below 2**24 x 0.01 g
_FEASIBILITY = 1e-9  # of rows: some add up milliseconds of weeks, and a day may not be one too long
_WHOLENESS = 1e-8  # of columns; 1e-9 makes HiGHS call worse points optimal, 1e-7 lets it miss some

# Set by the long run of `python tests engine_options`; its table stands in tests/benchmarks/README.md.
HIGHS_OPTIONS: dict[str, Any] = {
    "mip_feasibility_tolerance": _WHOLENESS,
    "primal_feasibility_tolerance": _FEASIBILITY,
    "mip_heuristic_run_feasibility_jump": False,
    "random_seed": 0,
}


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
        """Return the outcome of the problem as it stands, unless it was cancelled.

        Where the time of the answer is over nothing is known of it, as of any solve that was stopped.
        """
        self.effort.heed()
        if self.effort.over:
            return _NOTHING_KNOWN
        solve = _by_cbc if self.solver == "cbc" else _by_highs
        outcome = solve(self.problem, self.columns, self.effort)
        self.effort.heed()
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
        lp.solverModel.passModel(_highs_model(_tableau_of(lp, self.unknowns)))

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
        rows = [row.scaled() for row in model.rows]
        bulk = _highs_model(
            Tableau(
                cost=[cost.get(column, 0.0) for column in range(len(model.columns))],
                low=[column.low for column in model.columns],
                high=[inf if column.high is None else column.high for column in model.columns],
                whole=[False] * len(model.columns),
                row_low=[-inf if row.low is None else row.low for row in rows],
                row_high=[inf if row.high is None else row.high for row in rows],
                starts=[0, *accumulate(len(row.columns) for row in rows)],
                columns=[column for row in rows for column in row.columns],
                coefficients=[value for row in rows for value in row.coefficients],
            )
        )
        self.highs = quiet_highs(primal_feasibility_tolerance=_FEASIBILITY)
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

    def point(self) -> Floats:
        """Return the columns at the last optimum."""
        return np.array(self.highs.getSolution().col_value)

    def prices(self) -> tuple[Floats, Floats]:
        """Return the reduced cost of each column and the price of each row at the last optimum."""
        found = self.highs.getSolution()
        return np.array(found.col_dual), np.array(found.row_dual)


def _tableau_of(problem: Any, columns: Sequence[Any]) -> Tableau:
    """Return a problem in plain arrays; PuLP's own list leaves out the columns that no row and no cost names."""
    place = {column: index for index, column in enumerate(columns)}
    rows = problem.constraints()
    lows, highs = [row.getLb() for row in rows], [row.getUb() for row in rows]
    return Tableau(
        cost=[float(problem.objective.get(column, 0.0)) for column in columns],
        low=[float(column.lowBound) for column in columns],
        high=[inf if column.upBound is None else float(column.upBound) for column in columns],
        whole=[column.cat == pulp.LpInteger for column in columns],
        row_low=[-inf if low is None else float(low) for low in lows],
        row_high=[inf if high is None else float(high) for high in highs],
        starts=[0, *accumulate(len(row) for row in rows)],
        columns=[place[column] for row in rows for column in row],
        coefficients=[float(value) for row in rows for value in row.values()],
    )


def _highs_model(program: Tableau) -> Any:
    """Return a program as HiGHS takes it in one call."""
    kinds = highspy.HighsVarType
    bulk = highspy.HighsLp()
    bulk.num_col_, bulk.num_row_ = len(program.cost), len(program.row_low)
    bulk.col_cost_ = program.cost
    bulk.col_lower_, bulk.col_upper_ = program.low, program.high
    bulk.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in program.whole]
    bulk.row_lower_, bulk.row_upper_ = program.row_low, program.row_high
    bulk.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    bulk.a_matrix_.start_, bulk.a_matrix_.index_ = program.starts, program.columns
    bulk.a_matrix_.value_ = program.coefficients
    return bulk


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
        return _one_solve(problem, columns, effort, presolve=True)
    except BrokenOff:
        return _one_solve(problem, columns, effort, presolve=False)


def _one_solve(problem: Any, columns: Sequence[Any], effort: Effort, *, presolve: bool) -> Outcome:
    """Solve in process, with or without HiGHS's presolve."""
    options = HIGHS_OPTIONS if presolve else HIGHS_OPTIONS | {"presolve": "off"}
    solver = _BulkHighs(
        msg=False,
        threads=THREADS,
        gapRel=0.0,
        timeLimit=effort.solve_seconds,
        mip_max_nodes=effort.nodes,
        **options,
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
    """Solve by the CBC that PuLP bundles; where it meets neither an optimum nor a limit, HiGHS takes the time left.

    CBC also says "infeasible" where its time ran out in preprocessing, or its tolerance was too fine for it; and
    "unbounded" or nothing at all of models that are neither.

    Raises:
        BrokenOff: CBC ends with an error.
        Cancelled: nobody waits for it.
    """
    stop = effort.solve_until
    solver = _ExactCbc(columns, effort)
    problem.solve(solver)
    if solver.said.code:
        raise BrokenOff(f"CBC ended with {solver.said.code} and without an outcome")
    if solver.said.line.startswith(("Optimal", "Stopped")):
        return _cbc_outcome(solver.said, columns, problem)
    left = stop - effort.clock()
    return _by_highs(problem, columns, replace(effort, seconds=left)) if left > 0 else _NOTHING_KNOWN


class _ExactCbc(pulp.LpSolver_CMD):  # type: ignore[misc]
    """CBC, given all digits of the model and asked for all digits of its point.

    Attributes:
        said: how CBC told that it ended, and its point.
    """

    said: Said

    def __init__(self, columns: Sequence[Any], effort: Effort) -> None:
        super().__init__(path=pulp.PULP_CBC_CMD.pulp_cbc_path, msg=False)
        self.columns = columns
        self.effort = effort

    def actualSolve(self, lp: Any) -> int:
        """Hand the model over, and note how CBC ended."""
        self.said = run_cbc(self.path, _tableau_of(lp, self.columns), self.limits(), self.effort)
        return int(pulp.LpStatusNotSolved)

    def limits(self) -> list[object]:
        """Return CBC's options: tolerances and limits."""
        options: dict[str, object] = {
            "-primalTolerance": _FEASIBILITY,
            "-integerTolerance": _FEASIBILITY,
            "-ratio": 0.0,
            "-threads": THREADS,
            "-timeMode": "elapsed",
            "-maxNodes": self.effort.nodes,
        }
        if (seconds := self.effort.solve_seconds) < inf:
            options["-sec"] = seconds
        return [word for option in options.items() for word in option]


def _cbc_outcome(said: Said, columns: Sequence[Any], problem: Any) -> Outcome:
    """Return how CBC ended at an optimum or a limit; its bound is known only where it proved the optimum.

    A stopped solve without whole-number columns has no point that keeps the rows.
    """
    if said.line.startswith("Optimal"):
        costs = (problem.objective.get(column, 0.0) for column in columns)
        return Outcome(
            Status.OPTIMAL, said.point, sum(cost * value for cost, value in zip(costs, said.point, strict=True))
        )
    has_point = "no integer solution" not in said.line and problem.isMIP()
    return Outcome(Status.STOPPED, said.point, None) if has_point else _NOTHING_KNOWN
