"""An integer program over whole numbers as a textbook states it, handed to scipy's HiGHS, raw HiGHS or CP-SAT.

OR-Tools cannot share a process with highspy, so no solver is imported before it is asked for.
"""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Literal

import numpy as np

By = Literal["scipy", "highs", "cp-sat"]
ENDLESS = 2**60  # no bound of a row


class WholeProgram:
    """Columns from 0 to a whole number, and rows low <= a x <= high of whole numbers, a block of them at a time."""

    solves: ClassVar[int] = 0  # of all programs of this process

    def __init__(self, by: By) -> None:
        self.by = by
        self.high: list[int] = []
        self.whole: list[bool] = []
        self.rows: list[np.ndarray] = []
        self.columns: list[np.ndarray] = []
        self.values: list[np.ndarray] = []
        self.low: list[int] = []
        self.most: list[int] = []

    def add(self, number: int, *, whole: bool, high: int = 1) -> np.ndarray:
        """So many more columns."""
        first = len(self.high)
        self.high += [high] * number
        self.whole += [whole] * number
        return np.arange(first, first + number)

    def block(self, rows: Any, columns: Any, values: Any, *, low: Sequence[int], high: Sequence[int]) -> None:
        """As many more rows as there are bounds; `rows` says for each value in which of them it stands."""
        rows, columns, values = (np.asarray(one, dtype=np.int64) for one in np.broadcast_arrays(rows, columns, values))
        self.rows.append(rows + len(self.low))
        self.columns.append(columns)
        self.values.append(values)
        self.low += low
        self.most += high

    def row(self, columns: Any, values: Any, *, low: int = -ENDLESS, high: int = ENDLESS) -> None:
        """One more row."""
        self.block(0, columns, values, low=[low], high=[high])

    def least(self, cost: Mapping[int, int]) -> np.ndarray | None:
        """The columns at the least cost, proven, in whole numbers where they are whole; None where no point is."""
        WholeProgram.solves += 1
        return {"scipy": self._by_scipy, "highs": self._by_highs, "cp-sat": self._by_cp_sat}[self.by](cost)

    def _arrays(self, cost: Mapping[int, int]) -> tuple[Any, np.ndarray, np.ndarray, np.ndarray]:
        """The rows as a sparse matrix, their bounds, and the cost of each column."""
        from scipy.sparse import csr_array

        shape = (len(self.low), len(self.high))
        entries = (np.concatenate(self.rows), np.concatenate(self.columns))
        matrix = csr_array((np.concatenate(self.values).astype(float), entries), shape=shape)
        low, high = np.array(self.low, dtype=float), np.array(self.most, dtype=float)
        low[low == -ENDLESS], high[high == ENDLESS] = -np.inf, np.inf
        each = np.zeros(len(self.high))
        each[list(cost)] = list(cost.values())
        return matrix, low, high, each

    def _rounded(self, point: Any) -> np.ndarray:
        """A point, in whole numbers where columns are whole."""
        return np.where(self.whole, np.rint(point), point)

    def _by_scipy(self, cost: Mapping[int, int]) -> np.ndarray | None:
        from scipy.optimize import Bounds, LinearConstraint, milp

        matrix, low, high, each = self._arrays(cost)
        found = milp(
            each,
            constraints=LinearConstraint(matrix, low, high),
            integrality=np.array(self.whole, dtype=int),
            bounds=Bounds(0, np.array(self.high, dtype=float)),
            options={"mip_rel_gap": 0.0},
        )
        infeasible = 2
        assert found.success or found.status == infeasible, found.message
        return self._rounded(found.x) if found.success else None

    def _by_highs(self, cost: Mapping[int, int]) -> np.ndarray | None:
        """HiGHS fed from arrays, its costly feasibility-jump heuristic off as in this project."""
        import highspy

        matrix, low, high, each = self._arrays(cost)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(each), len(low)
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = each, np.zeros(len(each)), np.array(self.high, dtype=float)
        lp.row_lower_, lp.row_upper_ = low, high
        kinds = {True: highspy.HighsVarType.kInteger, False: highspy.HighsVarType.kContinuous}
        lp.integrality_ = [kinds[one] for one in self.whole]
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
        highs = highspy.Highs()
        jump = "mip_heuristic_run_feasibility_jump"
        for option, value in {"output_flag": False, "threads": 1, "mip_rel_gap": 0.0, jump: False}.items():
            highs.setOptionValue(option, value)
        highs.passModel(lp)
        highs.run()
        status = highs.getModelStatus()
        assert status in {highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible}, status
        done = status == highspy.HighsModelStatus.kOptimal
        return self._rounded(highs.getSolution().col_value) if done else None

    def _by_cp_sat(self, cost: Mapping[int, int]) -> np.ndarray | None:
        """All columns whole, as a need goes wholly to one tool where nothing wears out."""
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        columns = [model.new_bool_var("") if high == 1 else model.new_int_var(0, high, "") for high in self.high]
        terms: list[list[Any]] = [[] for _ in self.low]
        weights: list[list[int]] = [[] for _ in self.low]
        entries = zip(np.concatenate(self.rows), np.concatenate(self.columns), np.concatenate(self.values), strict=True)
        for row, column, value in entries:
            terms[row].append(columns[column])
            weights[row].append(int(value))
        for term, weight, low, high in zip(terms, weights, self.low, self.most, strict=True):
            model.add_linear_constraint(cp_model.LinearExpr.weighted_sum(term, weight), low, high)
        model.minimize(cp_model.LinearExpr.weighted_sum([columns[c] for c in cost], [int(v) for v in cost.values()]))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        status = solver.solve(model)
        assert status in {cp_model.OPTIMAL, cp_model.INFEASIBLE}, solver.status_name(status)
        return np.array([solver.value(column) for column in columns]) if status == cp_model.OPTIMAL else None
